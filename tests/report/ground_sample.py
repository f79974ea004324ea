"""A rose and a map made by hand, with round numbers: nothing here was computed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from tests.report import sample

from turnback.records.ground_plan import MapMark, MapResult, RoseResult
from turnback.records.result import BriefResult

REASONS = ("energy", "control", "video", "limit", "terrain", "ground", "route", "energy")


def rose() -> RoseResult:
    """Return 16 points and a plan toward 30 degrees; 100 m more on each, and nowhere toward east."""
    bearing = np.sort(np.append(np.arange(16) * 22.5, 30.0))
    reach = np.asarray(204.9 + 100.0 * np.arange(17), dtype=np.float64)
    reach[5] = 0.0  # toward 90 degrees
    return RoseResult(
        bearing_deg=bearing,
        turn_back_m=reach,
        reason=tuple(REASONS[i % 8] for i in range(17)),
        lowest_return_m=30.2 + np.arange(17.0),
        height_m=60.0,
        height_above="launch",
        farthest_m=1960.0,
        plan_bearing_deg=30.0,
    )


def ground() -> MapResult:
    """Return a slope that rises 0.2 m a metre toward east, 41 by 31 heights 50 m apart, one corner not known."""
    x = -1000.0 + np.arange(41) * 50.0
    known = np.ones((31, 41), dtype=np.bool_)
    known[:4, :4] = False
    way = np.linspace(0.0, 1200.0, 61)
    square = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0], [0.0, 0.0]])
    return MapResult(
        heights_m=np.broadcast_to(400.0 + 0.2 * x, (31, 41)).astype(np.float32),
        known=known,
        x_west_m=-1000.0,
        y_north_m=700.0,
        cell_m=50.0,
        route_x_m=way * 0.5,
        route_y_m=way * 0.4,
        marks=(
            MapMark("control", 440.0, 352.0, 88.0),
            MapMark("video", 440.0, 352.0, 88.0),
            MapMark("return", 560.0, 448.0, 112.0),
        ),
        areas=(("<b>Secret field</b>", square - 400.0),),
    )


def brief() -> BriefResult:
    """Return the sample brief with both."""
    return replace(sample.brief(), rose=rose(), ground_plan=ground())
