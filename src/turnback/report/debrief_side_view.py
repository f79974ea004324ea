"""The control link where it was lost, from the side: the straight line from the radio and what stood in its way."""

from __future__ import annotations

import math
from typing import Final

import numpy as np

from turnback.records.debrief import AtLoss
from turnback.report import numbers
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.record_curves import TALL, WIDE, Curve, Panel, Tick, ends_of, path, value_ticks

HALF_WIDTH: Final = 0.05
"""Of the picture, to each side of the obstacle: how wide it is, nobody knows."""
STEPS_M: Final = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000)
MOST_STEPS: Final = 4.5


def side_view(at: AtLoss, units: Units) -> Panel | None:
    """Return the side view, or None where no obstacle is known.

    The line's height at the radio follows from its height at the aircraft and its clearance over the obstacle.
    """
    known = (at.distance_m, at.height_m, at.clearance_m, at.obstacle_from_launch_m, at.obstacle_height_m)
    if not all(map(math.isfinite, known)) or not 0.0 < at.obstacle_from_launch_m < at.distance_m:
        return None
    share = at.obstacle_from_launch_m / at.distance_m
    start_m = (at.obstacle_height_m + at.clearance_m - share * at.height_m) / (1.0 - share)
    unit, factor = ("ft", numbers.FEET_PER_M) if units is Units.IMPERIAL else ("m", 1.0)
    line = np.array([start_m, at.height_m]) * factor
    top = at.obstacle_height_m * factor
    low, high = ends_of([line, np.array([0.0, top])])
    middle, foot = share * WIDE, TALL
    peak = (high - top) / (high - low) * TALL
    wide = HALF_WIDTH * WIDE
    return Panel(
        key="side-view",
        title=text("From the side, when the control link went: height above the launch point ({unit})", unit=unit),
        alt=text(
            "The straight line from the radio to the aircraft, and the ground or trees that reach farthest into it. "
            "Only their top is known; the ground between is not drawn."
        ),
        curves=(
            Curve(text("the straight line from the radio to the aircraft"),
                  path(np.array([0.0, 1.0]), line, low, high, 0.0, 1.0)),
        ),
        ticks_x=_distances(at.distance_m, units),
        ticks_y=value_ticks(low, high),
        bands=(f"M{middle - wide:.1f} {foot:.1f}L{middle:.1f} {peak:.1f}L{min(middle + wide, WIDE):.1f} {foot:.1f}Z",),
        band_name=text("ground or trees"),
    )  # fmt: skip


def _distances(far_m: float, units: Units) -> tuple[Tick, ...]:
    """Return round distances from the launch point."""
    scale = 1.0 / numbers.FEET_PER_M if units is Units.IMPERIAL else 1.0
    step_m = next((each * scale for each in STEPS_M if far_m / (each * scale) <= MOST_STEPS), far_m / MOST_STEPS)
    turns = range(math.floor(far_m / step_m + 1e-9) + 1)
    return tuple(
        Tick(round(turn * step_m / far_m * 100.0, 2), numbers.words(turn * step_m, "m", units) if turn else "0")
        for turn in turns
    )
