"""The control link where it was lost, from the side: the straight line from the radio and what stood in its way."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.debrief import AtLoss, GroundSeen
from turnback.report import numbers
from turnback.report.debrief_ground import profile_m
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_curves import TALL, WIDE, Curve, Panel, Tick, ends_of, path, value_ticks

HALF_WIDTH: Final = 0.05
"""Of the picture, to each side of the obstacle: how wide it is, nobody knows."""
STANDS_M: Final = 3.0
"""What stands this high over the ground is drawn by itself: trees."""
ONLY_TOP: Final = mark(
    "The straight line from the radio to the aircraft, and the ground or trees that reach farthest into it. "
    "Only their top is known; the ground between is not drawn."
)
WHOLE: Final = mark("The straight line from the radio to the aircraft, over the ground of the plan.")
STEPS_M: Final = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000)
MOST_STEPS: Final = 4.5


def side_view(at: AtLoss, units: Units, ground: GroundSeen | None = None) -> Panel | None:
    """Return the side view, or None where no obstacle is known.

    The line's height at the radio follows from its height at the aircraft and its clearance over the obstacle. With the
    plan's ground its whole profile is drawn; without it only the top of what stands in the way.
    """
    known = (at.distance_m, at.height_m, at.clearance_m, at.obstacle_from_launch_m, at.obstacle_height_m)
    if not all(map(math.isfinite, known)) or not 0.0 < at.obstacle_from_launch_m < at.distance_m:
        return None
    share = at.obstacle_from_launch_m / at.distance_m
    start_m = (at.obstacle_height_m + at.clearance_m - share * at.height_m) / (1.0 - share)
    unit, factor = ("ft", numbers.FEET_PER_M) if units is Units.IMPERIAL else ("m", 1.0)
    line = np.array([start_m, at.height_m]) * factor
    top = at.obstacle_height_m * factor
    profile = profile_m(ground, at)
    low, high = ends_of([line, np.array([0.0, top])] if profile is None else [line, np.array([top]), profile * factor])
    peak = (high - top) / (high - low) * TALL
    bands = _profile(profile, factor, low, high)
    if (
        profile is None
        or at.obstacle_height_m - np.interp(share, np.linspace(0.0, 1.0, profile.size), profile) > STANDS_M
    ):
        bands += (_hill(share * WIDE, peak),)
    return Panel(
        key="side-view",
        title=text("From the side, when the control link went: height above the launch point ({unit})", unit=unit),
        alt=text(ONLY_TOP if profile is None else WHOLE),
        curves=(
            Curve(text("the straight line from the radio to the aircraft"),
                  path(np.array([0.0, 1.0]), line, low, high, 0.0, 1.0)),
        ),
        ticks_x=_distances(at.distance_m, units),
        ticks_y=value_ticks(low, high),
        bands=bands,
        band_name=text("ground or trees"),
    )  # fmt: skip


def _hill(middle: float, peak: float) -> str:
    wide = HALF_WIDTH * WIDE
    return f"M{middle - wide:.1f} {TALL:.1f}L{middle:.1f} {peak:.1f}L{min(middle + wide, WIDE):.1f} {TALL:.1f}Z"


def _profile(heights_m: NDArray[np.float64] | None, factor: float, low: float, high: float) -> tuple[str, ...]:
    """Return the ground as one closed area, or nothing where it is not known."""
    if heights_m is None:
        return ()
    right = np.linspace(0.0, WIDE, heights_m.size)
    down = (high - heights_m * factor) / (high - low) * TALL
    edge = "L".join(f"{x:.1f} {y:.1f}" for x, y in zip(right, down, strict=True))
    return (f"M0 {TALL:.1f}L{edge}L{WIDE:.1f} {TALL:.1f}Z",)


def _distances(far_m: float, units: Units) -> tuple[Tick, ...]:
    """Return round distances from the launch point."""
    scale = 1.0 / numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    step_m = next((each * scale for each in STEPS_M if far_m / (each * scale) <= MOST_STEPS), far_m / MOST_STEPS)
    turns = range(math.floor(far_m / step_m + 1e-9) + 1)
    return tuple(
        Tick(round(turn * step_m / far_m * 100.0, 2), numbers.words(turn * step_m, "m", units) if turn else "0")
        for turn in turns
    )
