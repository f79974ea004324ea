"""The card's rose: turn-back distance and return height for eight bearings, and an outline to draw."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.aircraft import RadioLossAction
from turnback.records.ground_plan import RoseResult
from turnback.records.result import BriefResult
from turnback.report import keep_to, numbers
from turnback.report.five import LEAST_TURN_BACK_M, find
from turnback.report.language import mark, text
from turnback.report.numbers import Toward, Units

Array = NDArray[np.float64]

BEARINGS: Final = (mark("N"), mark("NE"), mark("E"), mark("SE"), mark("S"), mark("SW"), mark("W"), mark("NW"))
EIGHTH_DEG: Final = 45.0
EDGE_DEG: Final = 1e-9
DRAWN_DECIMALS: Final = 4


@dataclass(frozen=True, slots=True)
class Bearing:
    """One eighth of the circle: the least distance and the greatest return height of all that was looked at in it."""

    name: str
    turn_back_m: float
    """0 where it does not come home."""
    lowest_return_m: float
    """Not a number where it does not come home."""


@dataclass(frozen=True, slots=True)
class Outline:
    """What to draw, in shares of the outer ring; x right (east), y down (south)."""

    points: tuple[tuple[float, float], ...]
    outer: str
    """Distance of the outer ring in words."""
    arrow: tuple[float, float] | None
    """Toward the plan's farthest point, a unit vector."""


def eight(result: BriefResult, rose: RoseResult) -> tuple[Bearing, ...]:
    """Return the eight bearings, north first and clockwise.

    Every bearing that was looked at counts for the eighths it lies in, edges included; where none lies in an eighth,
    its two neighbours count.
    """
    reach_m, found = kept_m(result, rose), []
    for place, name in enumerate(BEARINGS):
        rows = _within(rose.bearing_deg, place * EIGHTH_DEG)
        least_m = float(reach_m[rows].min())
        height_m = float(rose.lowest_return_m[rows].max()) if least_m > 0.0 else math.nan
        found.append(Bearing(text(name), least_m, height_m))
    return tuple(found)


def kept_m(result: BriefResult, rose: RoseResult) -> Array:
    """Return the turn-back distance of every bearing, shape ``(n,)``, capped as the plan is.

    0 where it does not come home, and where the way home would have to be higher than the return is set or than a
    limit that was entered.
    """
    reach_m = np.minimum(np.nan_to_num(rose.turn_back_m, nan=0.0), keep_to.cap_m(result))
    flown = (reach_m >= LEAST_TURN_BACK_M) & (rose.lowest_return_m <= _highest_return_m(result))
    return np.where(flown, reach_m, 0.0)


def outline(result: BriefResult, rose: RoseResult, units: Units) -> Outline:
    """Return the outline of the turn-back distances, no bearing beyond what the pilot keeps inside."""
    reach_m = kept_m(result, rose)
    outer_m = max(float(reach_m.max()), LEAST_TURN_BACK_M)
    share, angle = reach_m / outer_m, np.radians(rose.bearing_deg)
    x, y = (np.round(share * along, DRAWN_DECIMALS) for along in (np.sin(angle), -np.cos(angle)))
    way = math.radians(rose.plan_bearing_deg)
    arrow = (round(math.sin(way), DRAWN_DECIMALS), round(-math.cos(way), DRAWN_DECIMALS))
    return Outline(
        points=tuple((float(east), float(south)) for east, south in zip(x, y, strict=True)),
        outer=distance(outer_m, units, result.back.planned_m),
        arrow=arrow if math.isfinite(way) else None,
    )


def distance(turn_back_m: float, units: Units, planned_m: float) -> str:
    """Return a turn-back distance in words, rounded down; the plan's own reads as the plan's does everywhere."""
    if turn_back_m < LEAST_TURN_BACK_M:
        return text("stay out")
    return numbers.words(turn_back_m, "m", units, Toward.NEAREST if turn_back_m == planned_m else Toward.DOWN)


def height(lowest_return_m: float, units: Units) -> str:
    """Return a least return height in words, rounded up; a dash where it must not be flown."""
    if not math.isfinite(lowest_return_m):
        return "\u2013"
    return numbers.words(max(lowest_return_m, 0.0), "m", units, Toward.UP)


def _highest_return_m(result: BriefResult) -> float:
    """Return the height above launch that the way home may have."""
    back, above = result.back, find(result, "law.return_height")
    ends = [math.inf if above is None or above.limit is None else above.limit]
    if back.action is RadioLossAction.AUTOMATIC_RETURN and back.set_height_m is not None:
        ends.append(back.set_height_m)
    return min(ends)


def _within(bearing_deg: Array, middle_deg: float) -> NDArray[np.intp]:
    apart_deg = np.abs((bearing_deg - middle_deg + 180.0) % 360.0 - 180.0)
    rows = np.flatnonzero(apart_deg <= EIGHTH_DEG / 2.0 + EDGE_DEG)
    if rows.size:
        return rows
    turned_deg = (bearing_deg - middle_deg) % 360.0
    return np.array([int(np.argmin(turned_deg)), int(np.argmax(turned_deg))])
