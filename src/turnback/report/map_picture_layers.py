"""Pictures of single layers with their scale, and small pictures of the map at other heights."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.records.home_map import NO_DATA, HeightStep, HomeMap, Layer, Reason
from turnback.report import numbers
from turnback.report.language import text
from turnback.report.map_files_meanings import MEANINGS, REASON_MEANINGS
from turnback.report.map_picture_base import (
    GAP,
    NARROW,
    WIDE,
    Painted,
    Size,
    chance_classes,
    frame_of,
    ground_image,
    hide,
    in_the_way,
    over_entries,
    overlay,
    ring_entry,
    ring_line,
    with_key,
)
from turnback.report.map_picture_cells import Array, Fill, Stored, least, most, outside, picture, relief_of, thinned_by
from turnback.report.map_picture_draw import LEADING, document, launch, write
from turnback.report.map_picture_key import Entry, key
from turnback.report.map_picture_looks import IN_BLACK, ON_SCREEN, Palette, shades_of
from turnback.report.map_picture_words import flights, nearest_words
from turnback.report.numbers import Toward, Units

GREATEST_IS_WORST: Final = frozenset({"energy", "energy_high", "people", "control_diffraction", "video_diffraction"})
"""Where a cell of the picture takes the greatest of those it stands for; elsewhere the least."""
FAILS_BELOW_0: Final = frozenset(
    {"control_margin", "control_to_aircraft", "control_to_ground", "video_margin", "video_to_ground",
     "return_clearance"}
)  # fmt: skip
SHARES: Final = (0.01, 0.05, 0.2, 0.5)
"""Edges of the classes of falls among people."""
MOST_CLASSES: Final = 7
STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
LAYER_PIXELS: Final = 520
STRIP_PIXELS: Final = 300
SHADED: Final = 0.6
SYMBOLS: Final[dict[str, str]] = {"W h": "Wh", "1": "%"}


@dataclass(frozen=True, slots=True)
class Scale:
    """From the numbers of a layer to those that a person reads."""

    factor: float
    symbol: str


def layer_picture_svg(found: HomeMap, layer: str, units: Units, *, narrow: bool = False, black: bool = False) -> str:
    """Return one layer as SVG, with its scale in its unit, over shaded ground and with the ring.

    Parameters
    ----------
    found : HomeMap
    layer : str
        A key of ``found.layers``.
    units : Units
    narrow, black : bool
        As for `map_picture.map_picture_svg`.

    Notes
    -----
    Where a cell of the picture stands for several of the map, it shows the worst of them.
    """
    size, palette = NARROW if narrow else WIDE, IN_BLACK if black else ON_SCREEN
    name = f"layer-{layer.replace('_', '-')}-{size.name}"
    by = thinned_by(found.heights_m.shape)
    values = (most if layer in GREATEST_IS_WORST else least)(found.layers[layer].values, by)
    painted = hide(_painted(found, found.layers[layer], values, by, units, palette), outside(found, by), values)
    frame = frame_of(found, size.ground)
    pixels = LAYER_PIXELS if not any(fill.hatch for fill in painted.fills) else 2 * LAYER_PIXELS
    ground = ground_image(frame, picture(painted.classes, relief_of(found, by), painted.fills, pixels))
    over = overlay(found, units, frame, palette.look, size, name, labelled=False)
    entries = (*painted.entries, *over_entries(found, units, name, labelled=False))
    drawn, end = with_key(frame, size, entries, palette.look, 0.0, 0.0)
    said = text(MEANINGS[layer])
    return document(name, (size.width, end), said, said, ground + over + drawn, palette.look.paper)


def _painted(found: HomeMap, layer: Layer, values: Stored, by: int, units: Units, palette: Palette) -> Painted:
    if layer.key == "reason":
        return _reasons(found.layers[layer.key].values[by // 2 :: by, by // 2 :: by], values.shape, palette)
    if layer.key == "sight":
        fills = (palette.ground, palette.chances[0])
        return _coded(
            values, fills, (text("ground or trees stand in between"), text("the straight line is free")), palette
        )
    if layer.key == "people":
        return _numbered(values, layer, np.array(SHARES) / layer.scale, Scale(100.0, "%"), palette)
    if layer.unit == "1":
        blocked = in_the_way(found, by) if layer.key.startswith("home") else None
        return chance_classes(values, blocked, found.ring, palette)
    feet = layer.unit == "m" and units is Units.IMPERIAL
    scale = Scale(numbers.FEET_PER_M, "ft") if feet else Scale(1.0, SYMBOLS.get(layer.unit, layer.unit))
    known = values[values != NO_DATA].astype(np.float64) * layer.scale * scale.factor
    edges = round_edges(known[known >= 0.0] if layer.key in FAILS_BELOW_0 else known)
    if layer.key in FAILS_BELOW_0 and (known < 0.0).any():  # what fails is one class, however far it fails
        edges = np.append(0.0, edges[edges > 0.0])
    return _numbered(values, layer, edges / (layer.scale * scale.factor), scale, palette)


def _reasons(codes: Stored, shape: tuple[int, ...], palette: Palette) -> Painted:
    """Return what rules each cell; of several the middle one's, for codes have no worst."""
    codes = np.pad(codes, [(0, want - got) for want, got in zip(shape, codes.shape, strict=True)], mode="edge")
    fills = tuple(palette.reasons[reason] for reason in Reason)
    return _coded(codes, fills, tuple(text(REASON_MEANINGS[reason]) for reason in Reason), palette)


def _coded(codes: Stored, fills: tuple[Fill, ...], names: tuple[str, ...], palette: Palette) -> Painted:
    unknown = len(fills)
    classes = np.where(codes == NO_DATA, unknown, codes).astype(np.uint8)
    return _there(classes, (*fills, palette.unknown), (*names, text("not known")))


def _there(classes: np.ndarray[tuple[int, ...], np.dtype[np.uint8]], fills: tuple[Fill, ...],
           names: tuple[str, ...]) -> Painted:  # fmt: skip
    entries = tuple(
        Entry(name, fill) for number, (name, fill) in enumerate(zip(names, fills, strict=True))
        if (classes == number).any()
    )  # fmt: skip
    return Painted(classes, fills, entries)


def round_edges(known: Array) -> Array:
    """Return round numbers between which the classes of a layer lie, ascending; a few, over most of its numbers."""
    if not known.size:
        return np.zeros(1)
    low, high = (float(end) for end in np.quantile(known, (0.02, 0.98)))
    rough = max((high - low) / (MOST_CLASSES - 1), 1e-3)
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in STEPS if factor * power >= rough * (1.0 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return np.arange(first, max(last, first) + 1, dtype=np.float64) * step


def _numbered(values: Stored, layer: Layer, edges: Array, scale: Scale, palette: Palette) -> Painted:
    """Return the classes of numbers between edges that are given as stored numbers."""
    worst_first = layer.key not in GREATEST_IS_WORST
    fills = list(shades_of(palette.ramp if worst_first else palette.ramp[::-1], edges.size + 1))
    fills = [Fill(fill.colour, shaded=SHADED) for fill in fills]
    shown = [f"{round(float(edge) * layer.scale * scale.factor, 6):g}" for edge in edges]
    units = [f"{number} {scale.symbol}" for number in shown]
    if layer.key in FAILS_BELOW_0 and edges[0] == 0.0:
        fills[0] = palette.fails
    names = [
        text("less than {high}", high=units[0]),
        *(text("{low} to {high}", low=low, high=high)
          for low, high in zip(shown, units[1:], strict=False)),
        text("{low} or more", low=units[-1]),
    ]  # fmt: skip
    classes = np.digitize(values, edges - 1e-9).astype(np.uint8)
    classes[values == NO_DATA] = edges.size + 1
    painted = _there(classes, (*fills, palette.unknown), (*names, text("not known")))
    known: tuple[Entry, ...] = painted.entries
    rest: tuple[Entry, ...] = ()
    if known and known[-1].fill == palette.unknown:
        known, rest = known[:-1], known[-1:]
    return Painted(painted.classes, painted.fills, (*known[::-1], *rest))  # the greatest on top


def height_strip_svg(found: HomeMap, units: Units, *, narrow: bool = False, black: bool = False) -> str:
    """Return small pictures of the map at every height that was asked for, from the lowest up.

    Parameters
    ----------
    found : HomeMap
        Its ``heights`` end at the limit that was entered.
    units : Units
    narrow, black : bool
        As for `map_picture.map_picture_svg`.
    """
    size, palette = NARROW if narrow else WIDE, IN_BLACK if black else ON_SCREEN
    across = 2 if narrow else 4
    side = (size.width - GAP * (across - 1)) / across
    parts: list[str] = []
    entries: dict[str, Entry] = {}
    bottom = 0.0
    for number, each in enumerate(found.heights):
        left = (number % across) * (side + GAP)
        top = (number // across) * (side + 5.0 * size.type)
        drawn, there = _panel(found, each, units, size, palette, left, top + 1.9 * size.type, side)
        entries |= {entry.words: entry for entry in there}
        parts.append(drawn)
        bottom = top + side + 5.0 * size.type
    columns = 1 if narrow else 3
    rings = [each.ring for each in found.heights]
    ordered = [*(entries[words] for words in _in_order(palette, entries)), *ring_entry(*rings)]
    y, row = bottom, 0.0
    for number, entry in enumerate(ordered):
        if number % columns == 0 and number:
            y, row = row, 0.0
        room = size.width / columns
        drawn, end = key((entry,), (number % columns) * room, y, room - GAP, size.key, palette.look)
        parts.append(drawn)
        row = max(row, end)
    title = text("The same map at other heights")
    return document(f"heights-{size.name}", (size.width, max(row, y)), title, _strip_words(found, units),
                    "".join(parts), palette.look.paper)  # fmt: skip


def _in_order(palette: Palette, entries: dict[str, Entry]) -> Sequence[str]:
    """Return the words of the key in the order of the classes: best first, not known last."""
    every = (*palette.chances, palette.unknown)
    return sorted(entries, key=lambda words: next(i for i, fill in enumerate(every) if fill == entries[words].fill))


def _panel(
    found: HomeMap, step: HeightStep, units: Units, size: Size, palette: Palette, left: float, top: float, side: float
) -> tuple[str, tuple[Entry, ...]]:
    """Return one small picture with its height above it, and in what distance it must turn back below it."""
    look, frame = palette.look, frame_of(found, side, left, top)
    parts: list[str] = []
    entries: tuple[Entry, ...] = ()
    if step.home_low is not None:
        painted = chance_classes(step.home_low, None, step.ring, palette)
        flat = np.zeros(step.home_low.shape)
        beyond = outside(found, step.thinned)
        shaded = relief_of(found, step.thinned)
        painted = hide(painted, beyond, step.home_low) if beyond.shape == flat.shape else painted
        shaded = shaded if shaded.shape == flat.shape else flat
        parts.append(ground_image(frame, picture(painted.classes, shaded, painted.fills, STRIP_PIXELS)))
        entries = painted.entries
    own = math.isclose(step.height_m, found.height_m)
    height = numbers.words(step.height_m, "m", units, Toward.DOWN)
    parts += [
        *ring_line(step.ring, frame, look, 2.0),
        launch(frame, look, 0.7 * size.type),
        write(left, top - 0.6 * size.type, text("{height}, this map", height=height) if own else height,
              size.type + 1, look.ink, bold=True),
        write(left, top + frame.height + 1.2 * size.type, nearest_words(step.ring, units), size.type, look.ink),
        write(left, top + frame.height + (1.2 + LEADING) * size.type,
              text("{share} of the ground", share=numbers.percent(step.ring.share_home)), size.type, look.soft),
    ]  # fmt: skip
    return "".join(parts), entries


def _strip_words(found: HomeMap, units: Units) -> str:
    """Say what each small picture shows."""
    said = [
        text("{height}: {nearest}; {share} of the ground with {chance} home.",
             height=numbers.words(each.height_m, "m", units, Toward.DOWN), nearest=nearest_words(each.ring, units),
             share=numbers.percent(each.ring.share_home), chance=flights(each.ring.chance))
        for each in found.heights
    ]  # fmt: skip
    return " ".join(said)
