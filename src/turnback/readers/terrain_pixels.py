"""Heights of a raster's window: read in strips, voids marked, small voids filled, values held to what Earth offers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.readers.terrain_facts import Facts
from turnback.records.terrain import TerrainNote, TerrainNoteKind

MOST_PIXELS: Final = 250_000_000  # our choice: about 5 s to unpack; an 8 km radius at 1 m
STRIP_PIXELS: Final = 8_000_000  # our choice: 32 MB at a time
SMALL_VOID_PIXELS: Final = 25  # our choice: 450 m across at 3 arc-seconds; a wider hole may hide a hill
FILL_REACH_PIXELS: Final = 10.0  # our choice: beyond the half width of any small void
LOWEST_M: Final = -500.0  # the lowest dry ground on Earth is at about -430 m (Dead Sea shore; common practice)
HIGHEST_M: Final = 9000.0  # the highest is at 8849 m (2020 survey; common practice)
VOID_VALUES: Final = (-32768.0, -32767.0, -9999.0, -99999.0, 32767.0, 65535.0)  # common practice
HUGE: Final = 1e20  # decimal formats mark voids by numbers of this size; common practice
FLAT_PIXELS: Final = 100  # our choice: so many equal heights are no measurement

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Window:
    """A part of a raster, in pixels, and how many pixels a side are averaged to one."""

    row: int
    column: int
    rows: int
    columns: int
    shrink: int


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """Heights of a window.

    Attributes
    ----------
    heights_m : ndarray
        Shape ``(ceil(rows / shrink), ceil(columns / shrink))``, float32, NaN where the ground is not known.
    void : ndarray
        Same shape, bool: the file had no height there, filled since or not.
    voids_filled : int
    notes : tuple of TerrainNote
    """

    heights_m: Floats
    void: NDArray[np.bool_]
    voids_filled: int
    notes: tuple[TerrainNote, ...]


def read_patch(raster: Any, facts: Facts, window: Window, name: str, where: str) -> Patch:
    """Return the heights of a window in metres.

    Parameters
    ----------
    raster : rasterio.DatasetReader
    facts : Facts
    window : Window
        Inside the raster.
    name, where : str
        The file's name and the field, for sentences.

    Raises
    ------
    InputError
        Too many pixels, no height at all, or heights that cannot be ground.
    """
    if window.rows * window.columns > MOST_PIXELS:
        raise bad_input(
            where,
            f"{name} has {window.rows * window.columns / 1e6:.0f} million pixels within reach, "
            f"more than {MOST_PIXELS / 1e6:.0f} million",
            "crop it, resample it to wider pixels, or fly a shorter route",
        )
    heights, undeclared = _read_strips(raster, facts, window)
    void = np.isnan(heights)
    _verify(heights, void, name, where)
    heights, filled = _fill_small(heights, void) if void.any() else (heights, 0)
    left = int(void.sum()) - filled
    kinds = ((TerrainNoteKind.VOIDS_FILLED, float(filled)), (TerrainNoteKind.VOIDS_LEFT, float(left)))
    notes = [TerrainNote(kind, value) for kind, value in kinds if value]
    notes += [TerrainNote(TerrainNoteKind.VOID_VALUE_UNDECLARED, value) for value in undeclared]
    return Patch(heights, void, filled, tuple(notes))


def _read_strips(raster: Any, facts: Facts, window: Window) -> tuple[Floats, list[float]]:
    """Read strip by strip: memory stays small, and no overview (which may lie elsewhere) is ever asked for."""
    from rasterio.windows import Window as RasterWindow  # noqa: PLC0415 - heavy

    shrink = window.shrink
    out = np.empty((-(-window.rows // shrink), -(-window.columns // shrink)), dtype=np.float32)
    deep = max(1, STRIP_PIXELS // (window.columns * shrink)) * shrink
    undeclared: set[float] = set()
    for start in range(0, window.rows, deep):
        rows = min(deep, window.rows - start)
        part = RasterWindow(window.column, window.row + start, window.columns, rows)
        stored = raster.read(1, window=part)
        if stored.shape != (rows, window.columns):
            raise MemoryError  # told as a damaged file
        heights, seen = _to_metres(stored, facts)
        undeclared |= seen
        if facts.masked:
            heights[raster.read_masks(1, window=part) == 0] = np.nan
        out[start // shrink : -(-(start + rows) // shrink)] = _average(heights, shrink)
    return out, sorted(undeclared)


def _to_metres(stored: NDArray[Any], facts: Facts) -> tuple[Floats, set[float]]:
    numbers = stored.astype(np.float64)
    void = ~(np.abs(numbers) < HUGE)
    undeclared: set[float] = set()
    if facts.nodata is not None:
        void |= numbers == facts.nodata
    # a mark is looked for only where it cannot be a height of scaled numbers
    if facts.scale == 1.0 and facts.offset == 0.0:
        for mark in VOID_VALUES:
            hit = (numbers == mark) & ~void
            if hit.any():
                undeclared.add(mark)
                void |= hit
    with np.errstate(over="ignore", invalid="ignore"):
        metres = ((numbers * facts.scale + facts.offset) * facts.metres_per_unit).astype(np.float32)
    metres[void] = np.nan
    return metres, undeclared


def _average(heights: Floats, shrink: int) -> Floats:
    """Average blocks of `shrink` x `shrink` pixels over those that have a height."""
    if shrink == 1:
        return heights
    rows, columns = heights.shape
    down, right = -(-rows // shrink), -(-columns // shrink)
    whole = np.full((down * shrink, right * shrink), np.nan, dtype=np.float32)
    whole[:rows, :columns] = heights
    blocks = whole.reshape(down, shrink, right, shrink)
    have = np.isfinite(blocks)
    count = have.sum(axis=(1, 3))
    total = np.where(have, blocks, np.float32(0.0)).sum(axis=(1, 3), dtype=np.float64)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan).astype(np.float32)


def _verify(heights: Floats, void: NDArray[np.bool_], name: str, where: str) -> None:
    if void.all():
        raise bad_input(where, f"{name} has no height within reach of the launch point", "give another raster")
    low, high = float(np.nanmin(heights)), float(np.nanmax(heights))
    if high > HIGHEST_M:
        raise bad_input(
            where,
            f"{name} has heights up to {high:.0f} m, above any ground on Earth (8849 m)",
            "they may be feet or decimetres: name the unit in the file's band, or convert them to metres",
        )
    if low < LOWEST_M:
        raise bad_input(
            where,
            f"{name} has heights down to {low:.0f} m, below any dry ground on Earth (-430 m)",
            "declare the value that marks voids, or set the sea floor to 0 m",
        )
    if low == high and (heights.size - int(void.sum()) >= FLAT_PIXELS or low == 0.0):
        raise bad_input(
            where,
            f"{name} has the one height {low:g} m everywhere within reach",
            "the file may be blank; give another, or leave the terrain out and flat ground is assumed",
        )


def _fill_small(heights: Floats, void: NDArray[np.bool_]) -> tuple[Floats, int]:
    """Fill voids of at most `SMALL_VOID_PIXELS` from those around; wider ones stay unknown."""
    from rasterio.features import sieve  # noqa: PLC0415 - heavy
    from rasterio.fill import fillnodata  # noqa: PLC0415

    wide = sieve(void.astype(np.uint8), size=SMALL_VOID_PIXELS + 1, connectivity=8).astype(bool)
    small = void & ~wide
    if not small.any():
        return heights, 0
    guess = fillnodata(
        np.where(void, np.float32(0.0), heights), mask=(~void).astype(np.uint8), max_search_distance=FILL_REACH_PIXELS
    )
    return np.where(small, guess, heights).astype(np.float32), int(small.sum())
