"""The words of the rose: turn-back distance, what ends it and the least return height, bearing by bearing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Verdict
from turnback.records.ground_plan import RoseResult
from turnback.records.result import BriefResult
from turnback.report import card_rose, keep_to, numbers
from turnback.report.five import LEAST_TURN_BACK_M
from turnback.report.language import mark, mark_plural, plural, text
from turnback.report.numbers import Toward, Units

POINTS: Final = (
    mark("north"), mark("north-northeast"), mark("northeast"), mark("east-northeast"),
    mark("east"), mark("east-southeast"), mark("southeast"), mark("south-southeast"),
    mark("south"), mark("south-southwest"), mark("southwest"), mark("west-southwest"),
    mark("west"), mark("west-northwest"), mark("northwest"), mark("north-northwest"),
)  # fmt: skip
MAY_FLY: Final = frozenset({Verdict.GO, Verdict.GO_WITH_LIMITS})
POINT_DEG: Final = 22.5
ON_POINT_DEG: Final = 0.05
REASONS: Final[dict[str, str]] = {
    "energy": mark("the pack"),
    "control": mark("the control link"),
    "video": mark("the picture"),
    "limit": mark("the distance you entered as a limit"),
    "terrain": mark("the ground is not known farther out"),
    "ground": mark("at that height it would meet ground or trees"),
    "route": mark("nothing up to there; nobody looked farther"),
}
ENDS_MANY: Final[dict[str, tuple[str, str]]] = {
    "energy": mark_plural("On {count} bearing the pack ends it.", "On {count} bearings the pack ends it."),
    "control": mark_plural(
        "On {count} bearing the control link ends it.", "On {count} bearings the control link ends it."
    ),
    "video": mark_plural("On {count} bearing the picture ends it.", "On {count} bearings the picture ends it."),
    "limit": mark_plural(
        "On {count} bearing the distance you entered as a limit ends it.",
        "On {count} bearings the distance you entered as a limit ends it.",
    ),
    "terrain": mark_plural(
        "On {count} bearing nobody knows the ground farther out.",
        "On {count} bearings nobody knows the ground farther out.",
    ),
    "ground": mark_plural(
        "On {count} bearing it would meet ground or trees at that height.",
        "On {count} bearings it would meet ground or trees at that height.",
    ),
    "route": mark_plural(
        "On {count} bearing nothing ends it as far as was looked.",
        "On {count} bearings nothing ends it as far as was looked.",
    ),
}
FLOWN: Final[dict[str, str]] = {
    "launch": mark("Straight out and back on each bearing, at {height} above launch."),
    "ground": mark("Straight out and back on each bearing, at {height} above the ground."),
    "sea level": mark("Straight out and back on each bearing, at {height} above sea level."),
}


@dataclass(frozen=True, slots=True)
class RoseRow:
    """One bearing in words."""

    bearing: str
    distance: str
    reason: str
    lowest_return: str
    """Above launch; empty where it does not return by itself, or comes home from nowhere."""
    plan: bool
    """The bearing that the plan flies."""


def rose_of(result: BriefResult) -> RoseResult:
    """Return the rose of a brief.

    Raises
    ------
    ValueError
        If the brief was worked out without one (a slip in code).
    """
    if result.rose is None:
        raise ValueError("this brief holds no rose")
    return result.rose


def rose_rows(result: BriefResult, units: Units) -> tuple[RoseRow, ...]:
    """Return the rose as rows, clockwise from north; each number rounded to the careful side."""
    rose = rose_of(result)
    returns = result.back.action is RadioLossAction.AUTOMATIC_RETURN
    rows = []
    for i, reason in enumerate(rose.reason):
        far_m, least_m = float(rose.turn_back_m[i]), float(rose.lowest_return_m[i])
        height = numbers.words(least_m, "m", units, Toward.UP) if returns and far_m >= LEAST_TURN_BACK_M else ""
        plan = is_plan(rose, i)
        rows.append(
            RoseRow(bearing_name(rose, i), distance_words(far_m, reason, units), text(REASONS[reason]), height, plan)
        )
    return tuple(rows)


def rose_lines(result: BriefResult, units: Units) -> tuple[str, ...]:
    """Return what the rose says in a few plain sentences."""
    rose = rose_of(result)
    least, most = int(np.argmin(rose.turn_back_m)), int(np.argmax(rose.turn_back_m))
    lines = [_flown(result, rose, units)]
    if rose.turn_back_m[most] < LEAST_TURN_BACK_M:
        return (*lines, text("On no bearing is coming home sure enough."))
    if rose.turn_back_m[least] < LEAST_TURN_BACK_M:
        count = int((rose.turn_back_m < LEAST_TURN_BACK_M).sum())
        lines.append(
            plural(
                "On {count} bearing coming home is sure enough from nowhere.",
                "On {count} bearings coming home is sure enough from nowhere.",
                count,
            )
        )
    else:
        short = numbers.words(float(rose.turn_back_m[least]), "m", units, Toward.DOWN)
        lines.append(text("It comes home from {distance} on every bearing.", distance=short))
    far = distance_words(float(rose.turn_back_m[most]), rose.reason[most], units)
    if far != distance_words(float(rose.turn_back_m[least]), rose.reason[least], units):
        lines.append(text("Farthest: {distance}, toward {bearing}.", distance=far, bearing=bearing_name(rose, most)))
    if len(set(rose.reason)) == 1:
        lines.append(text("What ends it on every bearing: {reason}.", reason=text(REASONS[rose.reason[0]])))
    else:
        lines += [plural(*ENDS_MANY[key], rose.reason.count(key)) for key in REASONS if key in rose.reason]
    lines.append(text("People underneath, wires, masts and your local law are not in it."))
    return tuple(lines)


def _flown(result: BriefResult, rose: RoseResult, units: Units) -> str:
    """Say how each bearing is flown, and what this flight keeps inside where the rose reaches farther."""
    said = text(FLOWN[rose.height_above], height=numbers.words(rose.height_m, "m", units))
    inside_m = keep_to.farthest_m(result)
    if result.verdict not in MAY_FLY or not LEAST_TURN_BACK_M <= inside_m < float(np.nanmax(rose.turn_back_m)):
        return said
    inside = card_rose.distance(inside_m, units, result.back.planned_m)
    return text("{flown} Whatever it shows, this flight turns back at {distance}.", flown=said, distance=inside)


def distance_words(turn_back_m: float, reason: str, units: Units) -> str:
    """Return a turn-back distance, rounded down; how far was looked, where nothing ended it."""
    if not math.isfinite(turn_back_m) or turn_back_m < LEAST_TURN_BACK_M:
        return text("nowhere")
    distance = numbers.words(turn_back_m, "m", units, Toward.DOWN)
    return text("{distance} or farther", distance=distance) if reason == "route" else distance


def is_plan(rose: RoseResult, i: int) -> bool:
    """Return whether a bearing is the one that the plan flies."""
    return abs(float(rose.bearing_deg[i]) - rose.plan_bearing_deg) < ON_POINT_DEG


def on_compass(rose: RoseResult, i: int) -> bool:
    """Return whether a bearing is a point of the compass."""
    off = float(rose.bearing_deg[i]) / POINT_DEG
    return abs(off - round(off)) * POINT_DEG < ON_POINT_DEG


def bearing_name(rose: RoseResult, i: int) -> str:
    """Return the name of a bearing; the plan's own is said so."""
    bearing_deg = float(rose.bearing_deg[i])
    if on_compass(rose, i):
        name = text(POINTS[round(bearing_deg / POINT_DEG) % len(POINTS)])
        return text("{bearing}, as planned", bearing=name) if is_plan(rose, i) else name
    return text("{bearing}, as planned", bearing=numbers.words(bearing_deg, "°"))
