"""The ground under a map's picture: a small PNG of classes over hill shading, hatched so that grey tells them too."""

from __future__ import annotations

import base64
import math
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.home_map import NO_DATA, HomeMap
from turnback.report.shading import LIGHT_HEIGHT_DEG, MOST_RAISED, STEEP_SLOPE, finer, horn_gradient, shade

Array = NDArray[np.float64]
Codes = NDArray[np.uint8]
Stored = NDArray[np.int16]

MOST_CELLS: Final = 450
"""A side. Larger maps are thinned: each cell of the picture takes the worst of those it stands for."""
PIXELS: Final = 900
"""About as many a side, so that hatching is fine."""
SHADES: Final = 24
DARKEST, LIGHTEST, CONTRAST = 0.70, 1.08, 0.8
"""What shade and light make of a colour, and how much of it a unit of brightness moves."""
HATCH_PX: Final = 12
BLANK: Final = 255
"""Class of a cell that is not drawn at all."""


@dataclass(frozen=True, slots=True)
class Fill:
    """How one class is drawn."""

    colour: str
    hatch: str = ""
    """``"/"``, ``"//"``, ``"x"``, ``"."``, ``"\\\\"`` or nothing."""
    ink: str = "#000000"
    """Of the hatching."""
    shaded: float = 1.0
    """How much of the hill shading shows through it."""


def thinned_by(shape: tuple[int, ...], most: int = MOST_CELLS) -> int:
    """Return how many cells along a side become one."""
    return max(1, math.ceil(max(shape) / most))


def least(values: Stored, by: int) -> Stored:
    """Return the least of each block of `by` times `by` cells; one without data makes its block one without data."""
    if by == 1:
        return values
    rows = np.minimum.reduceat(values, np.arange(0, values.shape[0], by), axis=0)
    return np.asarray(np.minimum.reduceat(rows, np.arange(0, values.shape[1], by), axis=1))


def most(values: Stored, by: int) -> Stored:
    """Return the greatest of each block; one without data makes its block one without data."""
    if by == 1:
        return values
    rows = np.maximum.reduceat(values, np.arange(0, values.shape[0], by), axis=0)
    greatest = np.maximum.reduceat(rows, np.arange(0, values.shape[1], by), axis=1)
    return np.where(least(values, by) == NO_DATA, np.int16(NO_DATA), greatest)


def outside(found: HomeMap, by: int) -> NDArray[np.bool_]:
    """Return which cells of the picture lie beyond the map's radius, or across it."""
    rows, columns = found.heights_m.shape
    half = (by - 1) / 2.0
    x_m = found.x_west_m + (np.arange(0, columns, by) + half) * found.cell_m
    y_m = found.y_north_m - (np.arange(0, rows, by) + half) * found.cell_m
    reach = found.radius_m - found.cell_m * by  # a cell of the picture may hold some beyond it
    return np.asarray(np.hypot(x_m[None, :], y_m[:, None]) > reach)


def relief_of(found: HomeMap, by: int) -> Array:
    """Return how much lighter than level ground each cell of the picture is, light from north-west."""
    ground = np.asarray(found.heights_m[by // 2 :: by, by // 2 :: by], dtype=np.float64)
    rows, columns = (-(-size // by) for size in found.heights_m.shape)
    ground = np.pad(ground, ((0, rows - ground.shape[0]), (0, columns - ground.shape[1])), mode="edge")
    east, north = horn_gradient(ground, found.cell_m * by)
    steep = float(np.quantile(np.hypot(east, north), 0.95))
    raised = min(max(STEEP_SLOPE / steep, 1.0), MOST_RAISED) if steep > 0.0 else 1.0
    return shade(east * raised, north * raised) - math.sin(math.radians(LIGHT_HEIGHT_DEG))


def picture(classes: Codes, brighter: Array, fills: Sequence[Fill], pixels: int = PIXELS) -> str:
    """Return a picture as a data URI of a PNG that holds no name, no place and no date.

    Parameters
    ----------
    classes : ndarray of uint8, shape (ny, nx)
        Places in `fills`; `BLANK` is left clear.
    brighter : ndarray, shape (ny, nx)
        Of `relief_of`.
    fills : sequence of Fill
        At most nine.
    pixels : int
        About as many along the longer side.
    """
    rows, columns = classes.shape
    by = max(1, pixels // max(rows, columns))
    wide = finer(np.pad(brighter, 1, mode="edge"), by)[by // 2 :, by // 2 :][: rows * by, : columns * by]
    level = np.clip((np.clip(1.0 + CONTRAST * wide, DARKEST, LIGHTEST) - DARKEST) / (LIGHTEST - DARKEST), 0.0, 1.0)
    shades = np.rint(level * (SHADES - 1)).astype(np.intp)
    kinds = classes.repeat(by, axis=0).repeat(by, axis=1)
    table, clear = _palette(fills)
    drawn = np.where(kinds == BLANK, clear, kinds.astype(np.intp) * (SHADES + 1) + shades)
    for number, fill in enumerate(fills):
        if fill.hatch:
            inked = (kinds == number) & _hatched(fill.hatch, kinds.shape)
            drawn[inked] = number * (SHADES + 1) + SHADES
    return _png(drawn.astype(np.uint8), table)


@cache
def _tile(hatch: str) -> NDArray[np.bool_]:
    """Return where one tile of hatching is inked."""
    down, right = np.indices((HATCH_PX, 2 * HATCH_PX))
    rising, falling, half = (down + right) % HATCH_PX, (down - right) % HATCH_PX, HATCH_PX // 2
    if hatch == ".":
        return np.asarray((down % half < 2) & ((right + half * (down // half)) % HATCH_PX < 2))
    if hatch == "/":
        return np.asarray(rising < 2)
    if hatch == "//":
        return np.asarray(rising % half < 2)
    if hatch == "\\":
        return np.asarray(falling < 2)
    return np.asarray((rising < 2) | (falling < 2))


def _hatched(hatch: str, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    tile = _tile(hatch)
    down, right = (-(-size // side) for size, side in zip(shape, tile.shape, strict=True))
    return np.tile(tile, (down, right))[: shape[0], : shape[1]]


def rgb(colour: str) -> tuple[int, int, int]:
    """Return red, green and blue of a colour written ``#rrggbb``."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _palette(fills: Sequence[Fill]) -> tuple[dict[int, tuple[int, int, int, int]], int]:
    """Return the colours of the picture, for each class its shades and its ink, and the number of the clear one."""
    table: dict[int, tuple[int, int, int, int]] = {}
    factors = DARKEST + (LIGHTEST - DARKEST) * np.arange(SHADES) / (SHADES - 1)
    for fill in fills:
        for factor in 1.0 + (factors - 1.0) * fill.shaded:
            red, green, blue = (min(255, round(part * float(factor))) for part in rgb(fill.colour))
            table[len(table)] = (red, green, blue, 255)
        table[len(table)] = (*rgb(fill.ink), 255)
    clear = len(table)
    table[clear] = (255, 255, 255, 0)
    return table, clear


def _png(drawn: Codes, table: dict[int, tuple[int, int, int, int]]) -> str:
    from rasterio.errors import NotGeoreferencedWarning  # noqa: PLC0415 - heavy
    from rasterio.io import MemoryFile  # noqa: PLC0415

    rows, columns = drawn.shape
    with warnings.catch_warnings(), MemoryFile() as memory:
        warnings.simplefilter("ignore", NotGeoreferencedWarning)  # a picture: no place may stand in it
        with memory.open(driver="PNG", width=columns, height=rows, count=1, dtype="uint8", zlevel=6) as file:
            file.write_colormap(1, table)
            file.write(drawn, 1)
        data = bytes(memory.read())
    return "data:image/png;base64," + base64.b64encode(data).decode("ascii")


def packed(png: bytes) -> bytes:
    """Return a drawn picture packed better, without its clearness: it has a ground of its own."""
    from rasterio.errors import NotGeoreferencedWarning  # noqa: PLC0415
    from rasterio.io import MemoryFile  # noqa: PLC0415

    with warnings.catch_warnings(), MemoryFile(png) as given, MemoryFile() as memory:
        warnings.simplefilter("ignore", NotGeoreferencedWarning)
        with given.open() as file:
            colours = file.read((1, 2, 3))
        with memory.open(
            driver="PNG", width=colours.shape[2], height=colours.shape[1], count=3, dtype="uint8", zlevel=6
        ) as file:
            file.write(colours)
        return bytes(memory.read())
