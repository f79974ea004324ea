"""The charts of a range walk: levels against distance with the corrected band; the turn-back ring without and with."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from turnback.records.finding import Spread
from turnback.records.home_map import TurnBackRing
from turnback.records.walk_answer import WalkAnswer
from turnback.report import numbers
from turnback.report.charts_rose import EDGE_AT, NUMBERS_AT, rings
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units
from turnback.report.vega import (
    CARD,
    GRID,
    INK,
    LEAF,
    RADIO,
    RUST,
    SKY,
    Array,
    Chart,
    Key,
    Spec,
    Swatch,
    area,
    axis_x,
    axis_y,
    bare,
    labels,
    line,
    outline,
    rows,
)

Z_BAND: Final = 1.6448536269514722  # nine of ten readings stand inside
MOST_DOTS: Final = 600
MOST_STEPS: Final = 40
LEVELS_PX: Final = 340
RING_PX: Final = 340
PREDICTED_DASH: Final = (7, 4)
NORTH: Final = mark("N")
MEASURED: Final = mark("measured")
AT_FLOOR: Final = mark("no more than that: at the floor, or packets lost")
RING_TITLES: Final = {
    "before": mark("Where to turn back, without the walk"),
    "after": mark("Where to turn back, with the walk"),
}


def levels(answer: WalkAnswer, units: Units) -> Chart:
    """Return measured and predicted levels against distance, and where nine of ten readings are now expected."""
    fit = answer.fit
    per_m = numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    distance, predicted, spread = _steps(answer)
    moved = 10.0 * np.log10(distance / fit.reference_m)
    corrected = predicted - fit.offset_db.mid - fit.excess_exponent.mid * moved
    half = np.hypot(Z_BAND * spread, np.hypot(_half(fit.offset_db), _half(fit.excess_exponent) * moved))
    low, high = corrected - half, corrected + half
    shown = np.concatenate([low, high, predicted, fit.measured_dbm])
    ends = (math.floor(float(shown.min()) / 5.0) * 5.0, math.ceil(float(shown.max()) / 5.0) * 5.0)
    unit = "ft" if units is Units.IMPERIAL else "m"
    x = axis_x(text("Distance from launch ({unit})", unit=unit), (0.0, float(distance[-1]) * per_m * 1.02))
    y = axis_y(text("Level (dBm)"), ends)
    layers = [
        area(rows(1, x=distance * per_m, y=low, y2=high), x, y, SKY, 0.55),
        line(rows(1, x=distance * per_m, y=predicted), x, y, INK, 2.0, PREDICTED_DASH),
        line(rows(1, x=distance * per_m, y=corrected), x, y, RADIO, 3.0),
        *_dots(answer, per_m, x, y),
    ]
    keys = [
        Key(text(MEASURED), RUST, Swatch.LINE),
        Key(text("predicted"), INK, Swatch.LINE, PREDICTED_DASH),
        Key(text("corrected by the walk"), RADIO, Swatch.LINE),
        Key(text("nine of ten readings, corrected"), SKY, Swatch.AREA, opacity=0.55),
    ]
    if fit.censored:
        keys.insert(1, Key(text(AT_FLOOR), LEAF, Swatch.LINE))
    return Chart(
        "levels", text("Level against distance"), _levels_alt(answer, units), tuple(layers), tuple(keys), LEVELS_PX
    )


def ring_pair(answer: WalkAnswer, units: Units) -> tuple[Chart, ...]:
    """Return the turn-back ring without the walk and with it, on one scale; nothing where no maps were drawn."""
    if answer.map_before is None or answer.map_after is None:
        return ()
    found = {"before": answer.map_before.ring, "after": answer.map_after.ring}
    per_m = numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    most = max(float(np.nanmax(ring.turn_back_m)) for ring in found.values()) * per_m
    return tuple(_ring(name, ring, found["before"], max(most, 1.0), per_m, units) for name, ring in found.items())


def _steps(answer: WalkAnswer) -> tuple[Array, Array, Array]:
    """Return distance, predicted level and spread of readings, in stretches of as many readings each."""
    fit = answer.fit
    order = np.argsort(fit.distance_m, kind="stable")
    parts = np.array_split(order, min(MOST_STEPS, max(2, order.size // 4)))
    parts = [part for part in parts if part.size]
    distance = np.array([float(np.median(fit.distance_m[part])) for part in parts])
    predicted = np.array([float(np.median(fit.predicted_dbm[part])) for part in parts])
    return distance, predicted, np.full(distance.size, fit.sigma_db.mid)


def _half(spread: Spread) -> float:
    return (spread.high - spread.low) / 2.0


def _dots(answer: WalkAnswer, per_m: float, x: Spec, y: Spec) -> list[Spec]:
    fit = answer.fit
    some = np.unique(np.linspace(0, fit.readings - 1, min(fit.readings, MOST_DOTS)).astype(int))
    layers = []
    for censored, colour, shape in ((False, RUST, "circle"), (True, LEAF, "triangle-down")):
        kept = some[fit.was_censored[some] == censored]
        if not kept.size:
            continue
        data = rows(1, x=fit.distance_m[kept] * per_m, y=fit.measured_dbm[kept])
        look: Spec = {"type": "point", "filled": True, "size": 36, "color": colour, "shape": shape, "opacity": 0.85}
        layers.append({"data": data, "mark": {**look, "clip": True}, "encoding": {"x": x, "y": y}})
    return layers


def _levels_alt(answer: WalkAnswer, units: Units) -> str:
    fit = answer.fit
    return text(
        "{count} readings out to {distance} from launch, the level that was predicted for them, and the corrected "
        "level with the band that holds nine of ten readings.",
        count=f"{fit.readings:,}",
        distance=numbers.words(fit.walked_m, "m", units, Toward.DOWN),
    )


def _ring(name: str, ring: TurnBackRing, before: TurnBackRing, most: float, per_m: float, units: Units) -> Chart:
    step, outer = rings(most)
    ends = (-EDGE_AT * outer, EDGE_AT * outer)
    x, y = bare(ends, "x"), bare(ends, "y")
    circle = np.linspace(0.0, 2.0 * np.pi, 72, endpoint=False)
    radii = np.arange(step, outer + 0.5 * step, step)
    layers = [outline([_placed(ring, per_m)], x, y, RADIO, SKY, 0.75, width=2.0)]
    if name == "after":
        layers.append(outline([_placed(before, per_m)], x, y, RUST, dash=PREDICTED_DASH, width=2.0))
    layers.append(outline([(r * np.sin(circle), r * np.cos(circle)) for r in radii], x, y, GRID, width=0.8))
    named = [(0.0, -float(r), numbers.words(float(r) / per_m, "m", units)) for r in radii]
    layers += labels(named, x, y, INK, halo=CARD, dy=9)
    layers += labels([(0.0, NUMBERS_AT * outer, text(NORTH))], x, y, INK, fontWeight="bold")
    keys = [Key(text("comes home from inside"), SKY, Swatch.AREA, opacity=0.75)]
    keys += [Key(text("the edge without the walk"), RUST, Swatch.LINE, PREDICTED_DASH)] if name == "after" else []
    middle = numbers.words(float(np.nanmedian(ring.turn_back_m)), "m", units, Toward.DOWN)
    least = numbers.words(float(np.nanmin(ring.turn_back_m)), "m", units, Toward.DOWN)
    alt = text(
        "The turn-back distance by bearing, north up: {least} at least, {middle} on half of the bearings.",
        least=least,
        middle=middle,
    )
    return Chart(
        f"ring-{name}", text(RING_TITLES[name]), alt, tuple(layers), tuple(keys), RING_PX, aspect=1.0, framed=False
    )


def _placed(ring: TurnBackRing, per_m: float) -> tuple[Array, Array]:
    bearing = np.deg2rad(ring.bearing_deg)
    out = np.nan_to_num(ring.turn_back_m, nan=0.0) * per_m
    return out * np.sin(bearing), out * np.cos(bearing)
