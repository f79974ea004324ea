"""The rose: how far out it can turn back, as wedges around the launch point, north up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.records.ground_plan import RoseResult
from turnback.records.result import BriefResult
from turnback.report import numbers
from turnback.report.five import LEAST_TURN_BACK_M
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.vega import (
    CARD,
    INK,
    RUST,
    Array,
    Chart,
    Key,
    Spec,
    Swatch,
    bare,
    labels,
    line,
    outline,
    rows,
)
from turnback.report.words_rose import REASONS, bearing_name, distance_words, is_plan, on_compass, rose_of

WEDGE_DEG: Final = 22.5
WINDS: Final = ((0.0, mark("N"), -16), (90.0, mark("E"), -16), (180.0, mark("S"), 16), (270.0, mark("W"), -16))
"""Bearing, letter, and by how many pixels it stands below the number there."""


@dataclass(frozen=True, slots=True)
class Look:
    """The colours of a rose; fills by what ends it, of different lightness, so that they differ in grey too."""

    paper: str
    ink: str
    ring: str
    plan: str
    fills: dict[str, str]


ON_SCREEN: Final = Look(
    CARD,
    INK,
    "#6b685e",
    RUST,
    {
        "energy": "#cf9f6c",
        "control": "#4f83a6",
        "video": "#a9cbdb",
        "ground": "#6f5638",
        "terrain": "#d8cfe0",
        "limit": "#efe6c4",
        "route": "#f7f8ee",
    },
)
IN_BLACK: Final = Look(
    "#ffffff",
    "#000000",
    "#5a5a5a",
    "#000000",
    {
        "energy": "#9a9a9a",
        "control": "#6e6e6e",
        "video": "#c4c4c4",
        "ground": "#505050",
        "terrain": "#dcdcdc",
        "limit": "#eeeeee",
        "route": "#ffffff",
    },
)
RING_STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)
RINGS: Final = 4  # about as many
NUMBERS_AT, EDGE_AT = 1.13, 1.27
"""Of the outer ring's radius."""
ARC_POINTS: Final = 9
HEAD_FRACTION: Final = 0.07
SIDE_PX: Final = 440


def rose(result: BriefResult, units: Units, *, black: bool = False) -> Chart:
    """Return the rose of a brief; in black and grey on white for a printed card.

    Raises
    ------
    ValueError
        If the brief was worked out without one (a slip in code).
    """
    found = rose_of(result)
    per_m = numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    planned = result.back.planned_m * per_m
    reach = np.nan_to_num(found.turn_back_m, nan=0.0) * per_m
    step, outer = rings(max(float(reach.max()), planned if math.isfinite(found.plan_bearing_deg) else 0.0, 1.0))
    ends = (-EDGE_AT * outer, EDGE_AT * outer)
    x, y = bare(ends, "x"), bare(ends, "y")
    look = IN_BLACK if black else ON_SCREEN
    under = [
        *_wedges(found, reach, look, x, y),
        _rings(step, outer, look, x, y),
        *_plan(found, planned, outer, look, x, y),
        *_ring_words(step, outer, units, look, x, y),
        *_wind_words(outer, look, x, y),
    ]
    wide = (*under, *_rim_words(found, outer, units, 1, look, x, y))
    slim = (*under, *_rim_words(found, outer, units, 2, look, x, y))
    return Chart(
        "rose",
        text("How far out it can turn back, by bearing"),
        _alt(result, units),
        wide,
        _keys(found, look),
        SIDE_PX,
        aspect=1.0,
        background=look.paper,
        framed=False,
        narrow_layers=slim,
    )


def rings(most: float) -> tuple[float, float]:
    """Return a round step of rings, and the outer ring, which holds the farthest of what is drawn."""
    rough = most / RINGS
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in RING_STEPS if factor * power >= rough * (1.0 - 1e-9))
    return step, step * math.ceil(most / step - 1e-9)


def _at(bearing_deg: float, out: float) -> tuple[float, float]:
    return out * math.sin(math.radians(bearing_deg)), out * math.cos(math.radians(bearing_deg))


def _wedges(found: RoseResult, reach: Array, look: Look, x: Spec, y: Spec) -> list[Spec]:
    """Return one wedge for each point of the compass, those of one reason in one layer."""
    layers = []
    for reason, fill in look.fills.items():
        shapes = [
            _wedge(float(found.bearing_deg[i]), float(reach[i]))
            for i in range(reach.size)
            if found.reason[i] == reason and on_compass(found, i) and found.turn_back_m[i] >= LEAST_TURN_BACK_M
        ]
        if shapes:
            layers.append(outline(shapes, x, y, look.ink, fill, 1.0, width=1.0))
    return layers


def _wedge(bearing_deg: float, out: float) -> tuple[Array, Array]:
    angle = np.deg2rad(bearing_deg + np.linspace(-0.5, 0.5, ARC_POINTS) * WEDGE_DEG)
    return np.append(0.0, out * np.sin(angle)), np.append(0.0, out * np.cos(angle))


def _rings(step: float, outer: float, look: Look, x: Spec, y: Spec) -> Spec:
    angle = np.linspace(0.0, 2.0 * np.pi, 72, endpoint=False)
    radii = np.arange(step, outer + 0.5 * step, step)
    return outline([(r * np.sin(angle), r * np.cos(angle)) for r in radii], x, y, look.ring, width=0.8, dash=(2, 3))


def _plan(found: RoseResult, planned: float, outer: float, look: Look, x: Spec, y: Spec) -> list[Spec]:
    """Return an arrow to the planned distance on the plan's bearing, edged so that it reads on any wedge."""
    if not math.isfinite(found.plan_bearing_deg):
        return []
    tip = np.array(_at(found.plan_bearing_deg, planned))
    along = np.array(_at(found.plan_bearing_deg, 1.0))
    aside = np.array([along[1], -along[0]])
    size = min(HEAD_FRACTION * outer, planned)
    foot = tip - size * along
    head = np.array([tip, foot + 0.45 * size * aside, foot - 0.45 * size * aside])
    shaft = rows(2, x=np.array([0.0, foot[0]]), y=np.array([0.0, foot[1]]), order=np.array([0.0, 1.0]))
    edge, middle = line(shaft, x, y, "#ffffff", 5.0), line(shaft, x, y, look.plan, 2.5)
    for layer in (edge, middle):
        layer["encoding"]["order"] = {"field": "order", "type": "quantitative"}
    return [edge, middle, outline([(head[:, 0], head[:, 1])], x, y, "#ffffff", look.plan, 1.0, width=1.0)]


def _ring_words(step: float, outer: float, units: Units, look: Look, x: Spec, y: Spec) -> list[Spec]:
    """Name the rings on the edge between two wedges."""
    per_m = numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    radii = np.arange(step, outer + 0.5 * step, step)
    places = [(*_at(0.5 * WEDGE_DEG, float(r)), numbers.words(float(r) / per_m, "m", units)) for r in radii]
    return labels(places, x, y, look.ring, halo=look.paper, dy=9)


def _wind_words(outer: float, look: Look, x: Spec, y: Spec) -> list[Spec]:
    layers = []
    for bearing, name, down in WINDS:
        layers += labels([(*_at(bearing, NUMBERS_AT * outer), text(name))], x, y, look.ink, fontWeight="bold", dy=down)
    return layers


def _rim_words(found: RoseResult, outer: float, units: Units, every: int, look: Look, x: Spec, y: Spec) -> list[Spec]:
    """Write the distances around the rim: of every point of the compass, or of every second one."""
    places = []
    for i in range(found.bearing_deg.size):
        point = round(float(found.bearing_deg[i]) / WEDGE_DEG)
        if on_compass(found, i) and point % every == 0:
            far_m = float(found.turn_back_m[i])
            words = numbers.words(far_m, "m", units, Toward.DOWN) if far_m >= LEAST_TURN_BACK_M else "0"
            places.append((*_at(float(found.bearing_deg[i]), NUMBERS_AT * outer), words))
    return labels(places, x, y, look.ink)


def _keys(found: RoseResult, look: Look) -> tuple[Key, ...]:
    ends: dict[str, str] = {
        "energy": text("the pack ends it"),
        "control": text("the control link ends it"),
        "video": text("the picture ends it"),
        "ground": text("it would meet ground or trees"),
        "terrain": text("the ground is not known farther out"),
        "limit": text("the distance you entered as a limit"),
        "route": text("nothing ends it as far as was looked"),
    }
    keys = [Key(ends[reason], look.fills[reason], Swatch.AREA) for reason in look.fills if reason in found.reason]
    if math.isfinite(found.plan_bearing_deg):
        keys.append(Key(text("the plan"), look.plan, Swatch.LINE))
    return tuple(keys)


def _alt(result: BriefResult, units: Units) -> str:
    """Say the shortest, the longest and the plan's own bearing."""
    found = rose_of(result)
    least, most = int(np.argmin(found.turn_back_m)), int(np.argmax(found.turn_back_m))

    def said(i: int) -> dict[str, str]:
        far = distance_words(float(found.turn_back_m[i]), found.reason[i], units)
        return {"distance": far, "bearing": bearing_name(found, i), "reason": text(REASONS[found.reason[i]])}

    parts = [
        text("Wedges around the launch point, north up: how far out it can turn back on each bearing."),
        text("Least toward {bearing}: {distance}; what ends it: {reason}.", **said(least)),
        text("Most toward {bearing}: {distance}; what ends it: {reason}.", **said(most)),
    ]
    own: Sequence[int] = [i for i in range(found.bearing_deg.size) if is_plan(found, i)]
    if own:
        planned = numbers.words(result.back.planned_m, "m", units)
        parts.append(
            text("The plan goes {planned} out; it can turn back from {distance} there.", planned=planned,
                 distance=said(own[0])["distance"])
        )  # fmt: skip
    return " ".join(parts)
