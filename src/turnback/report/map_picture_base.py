"""What every picture of a map shares: its size, the chance classes, and what lies over the ground."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.home_map import NO_DATA, HomeMap, Reason, TurnBackRing
from turnback.report import numbers
from turnback.report.five import LEAST_TURN_BACK_M
from turnback.report.language import text
from turnback.report.map_picture_cells import BLANK, Codes, Fill, Stored, most
from turnback.report.map_picture_draw import Frame, Look, circle, launch, line, north, scale_bar, wide, write
from turnback.report.map_picture_key import Entry, key
from turnback.report.map_picture_labels import Box, free, placed
from turnback.report.map_picture_looks import Palette
from turnback.report.map_picture_words import class_words
from turnback.report.numbers import Toward, Units

Mask = NDArray[np.bool_]

LOWER_CHANCES: Final = (0.8, 0.5)
"""Edges of the classes below the ring's own chance."""
STORED: Final = 1e-4
LIMIT_DASH, SIGHT_DASH = "11 6", "2 5"
CIRCLE_LABELS_DEG: Final = (135.0, 225.0, 45.0, 315.0, 180.0, 90.0, 0.0, 270.0)


@dataclass(frozen=True, slots=True)
class Size:
    """One size of the picture, in pixels of the SVG."""

    name: str
    width: int
    ground: int
    """Width of the ground in it."""
    type: int
    """Size of words on the ground."""
    key: int
    """Size of words in the key."""
    beside: bool
    """Whether the key stands beside the ground; else below."""


WIDE: Final = Size("wide", 760, 520, 14, 15, beside=True)
NARROW: Final = Size("narrow", 320, 320, 13, 14, beside=False)
GAP: Final = 20


@dataclass(frozen=True, slots=True)
class Painted:
    """Classes of cells, what each is drawn with, and the entries of the key for those that are there."""

    classes: Codes
    fills: tuple[Fill, ...]
    entries: tuple[Entry, ...]


def chance_edges(ring: TurnBackRing) -> tuple[float, ...]:
    """Return the chances at which classes meet, descending: first that of the ring."""
    return (ring.chance, *(edge for edge in LOWER_CHANCES if edge < ring.chance - STORED / 2.0))


def chance_classes(values: Stored, blocked: Mask | None, ring: TurnBackRing, palette: Palette) -> Painted:
    """Return the classes of a layer of chances.

    Parameters
    ----------
    values : ndarray of int16
        Chances in ten-thousandths.
    blocked : ndarray of bool or None
        Where the flight would meet the ground.
    ring : TurnBackRing
    palette : Palette
    """
    edges = chance_edges(ring)
    steps = np.array([round(edge / STORED) for edge in reversed(edges)])
    classes = (len(edges) - np.digitize(values, steps)).astype(np.uint8)
    fills = (*palette.chances[: len(edges)], palette.chances[-1], palette.ground, palette.unknown)
    ground, unknown = len(edges) + 1, len(edges) + 2
    if blocked is not None:
        classes[blocked] = ground
    classes[values == NO_DATA] = unknown
    names = (*class_words(edges), text("ground or trees in the way at this height"), text("not known"))
    entries = tuple(
        Entry(name, fill) for number, (name, fill) in enumerate(zip(names, fills, strict=True))
        if (classes == number).any()
    )  # fmt: skip
    return Painted(classes, fills, entries)


def hide(painted: Painted, beyond: Mask, values: Stored) -> Painted:
    """Return the classes with what is not known beyond the map's radius left clear: nobody asked for it."""
    clear = beyond & (values == NO_DATA)
    classes = np.where(clear, np.uint8(BLANK), painted.classes)
    there = {fill for number, fill in enumerate(painted.fills) if (classes == number).any()}
    return Painted(classes, painted.fills, tuple(each for each in painted.entries if each.fill in there))


def frame_of(found: HomeMap, width: float, left: float = 0.0, top: float = 0.0) -> Frame:
    """Return where the map's cells lie in a picture of their whole ground."""
    rows, columns = found.heights_m.shape
    per_m = width / (columns * found.cell_m)
    half = found.cell_m / 2.0
    return Frame(
        left, top, width, rows * found.cell_m * per_m, found.x_west_m - half, found.y_north_m + half, per_m
    )  # fmt: skip


def ground_image(frame: Frame, uri: str) -> str:
    """Return the coloured ground."""
    return (
        f'<image x="{frame.left:g}" y="{frame.top:g}" width="{frame.width:g}" height="{frame.height:.2f}" '
        f'preserveAspectRatio="none" href="{uri}"/>'
    )


def ring_line(ring: TurnBackRing, frame: Frame, look: Look, width: float = 3.0) -> tuple[str, str]:
    """Return the ring as a strong line that reads on any ground: its pale edge, and the line itself."""
    out, angle = np.nan_to_num(ring.turn_back_m), np.deg2rad(ring.bearing_deg)
    path = frame.path(out * np.sin(angle), out * np.cos(angle))
    return line(path, look.halo, 2.4 * width), line(path, look.ink, width)


def people(found: HomeMap, frame: Frame, look: Look, name: str) -> str:
    """Return the people areas hatched, and the pattern that hatches them."""
    if not found.areas:
        return ""
    pattern = (
        f'<defs><pattern id="{name}-people" width="7" height="7" patternUnits="userSpaceOnUse">'
        f'<path d="M0 2.5H7" stroke="{look.people}" stroke-width="2.5"/></pattern></defs>'
    )
    shapes = [frame.path(ring[:, 0], ring[:, 1]) for _, ring in found.areas]
    return pattern + "".join(
        line(path, look.halo, 5.0) + line(path, look.people, 2.2, fill=f"url(#{name}-people)") for path in shapes
    )  # fmt: skip


def shown_circles(found: HomeMap, units: Units) -> list[tuple[float, str, str]]:
    """Return radius, dash and label of the circles that lie on the map."""
    most_m = found.radius_m * 1.001
    said = []
    if found.limit_distance_m is not None and found.limit_distance_m <= most_m:
        far = numbers.words(found.limit_distance_m, "m", units, Toward.DOWN)
        said.append((found.limit_distance_m, LIMIT_DASH, text("limit {distance}", distance=far)))
    if 0.0 < found.sight_m <= most_m:
        far = numbers.words(found.sight_m, "m", units, Toward.DOWN)
        said.append((found.sight_m, SIGHT_DASH, text("seen to {distance}", distance=far)))
    return said


def overlay(found: HomeMap, units: Units, frame: Frame, look: Look, size: Size, name: str, *, labelled: bool) -> str:
    """Return everything that lies over the ground; with labels and circles, or ring and people alone."""
    em = float(size.type)
    circles = shown_circles(found, units) if labelled else []
    x, y = frame.at(0.0, 0.0)
    taken: list[Box] = [
        (frame.left, frame.top, frame.left + 3.0 * em, frame.top + 4.8 * em),  # the arrow
        (frame.left, frame.top + frame.height - 3.4 * em, frame.left + 0.34 * frame.width, frame.top + frame.height),
        (x - em, y - em, x + em, y + em),
    ]
    below, above = ring_line(found.ring, frame, look)
    parts = [below, people(found, frame, look, name)]
    for radius_m, dash, _ in circles:
        parts += [circle(frame, radius_m, look.halo, 5.0, dash), circle(frame, radius_m, look.ink, 2.2, dash)]
    parts += [above, launch(frame, look, em)]
    if labelled:
        parts.append(placed(found.ring, units, frame, look, em, taken))
        parts += [_circle_label(frame, each[0], each[2], em, look, taken) for each in circles]
    clip = (
        f'<defs><clipPath id="{name}-edge"><rect x="{frame.left:g}" y="{frame.top:g}" width="{frame.width:g}" '
        f'height="{frame.height:.2f}"/></clipPath></defs>'
    )
    return f'{clip}<g clip-path="url(#{name}-edge)">{"".join(parts)}</g>' + north(frame, look, em) + scale_bar(
        frame, units, look, em
    )  # fmt: skip


def _circle_label(frame: Frame, radius_m: float, said: str, em: float, look: Look, taken: list[Box]) -> str:
    """Return words across a circle, where there is room."""
    half = wide(said, em) / 2.0
    for bearing_deg in CIRCLE_LABELS_DEG:
        toward = math.radians(bearing_deg)
        x, y = frame.at(radius_m * math.sin(toward), radius_m * math.cos(toward))
        box = (x - half, y - 0.7 * em, x + half, y + 0.7 * em)
        if free(box, frame, taken):
            taken.append(box)
            return write(x, y + 0.35 * em, said, em, look.ink, anchor="middle", halo=look.halo)
    return ""


def ring_entry(*rings: TurnBackRing) -> tuple[Entry, ...]:
    """Return the entry of the key for the rings of a picture; empty where on no bearing it comes home from anywhere."""
    if not any((np.nan_to_num(ring.turn_back_m) >= LEAST_TURN_BACK_M).any() for ring in rings):
        return ()
    return (Entry(text("last place to turn back, flown straight out"), dash="", width=3.5),)


def over_entries(found: HomeMap, units: Units, name: str, *, labelled: bool) -> tuple[Entry, ...]:
    """Return the entries of the key for what `overlay` draws."""
    entries = list(ring_entry(found.ring))
    for radius_m, dash, _ in shown_circles(found, units) if labelled else ():
        far = numbers.words(radius_m, "m", units, Toward.DOWN)
        said = (
            text("distance you entered as a limit, {distance}", distance=far)
            if dash == LIMIT_DASH
            else text("an observer can tell which way it points up to {distance}", distance=far)
        )
        entries.append(Entry(said, dash=dash, width=2.4))
    if found.areas:
        entries.append(Entry(text("people"), hatched=f"{name}-people"))
    return tuple(entries)


def with_key(
    frame: Frame, size: Size, entries: Sequence[Entry], look: Look, top: float, left: float
) -> tuple[str, float]:
    """Return the key beside the ground or below it, and where the picture ends."""
    below = frame.top + frame.height
    if size.beside:
        x = frame.left + frame.width + GAP
        drawn, end = key(entries, x, top, left + size.width - x, size.key, look)
        return drawn, max(below, end)
    return key(entries, left, below + GAP, size.width, size.key, look)


def in_the_way(found: HomeMap, by: int) -> Mask | None:
    """Return where the flight would meet the ground, in cells of the picture: a cell does if one of its own does."""
    reason = found.layers.get("reason")
    return None if reason is None else np.asarray(most(reason.values, by) == max(Reason))  # ground is the greatest
