"""The straight way home along a record: the height flown against ground and trees on the line to the launch point."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.assess.against_track import Stations
from turnback.assess.draw_set import DrawSet
from turnback.assess.spreads import bands_along, spread
from turnback.physics.terrain_grid import TerrainGrid
from turnback.physics.way_home import highest_ground_between
from turnback.records.case import Case
from turnback.records.debrief import Compare, Compared
from turnback.records.finding import Spread
from turnback.rules.record_learn import RECORDED_LEAST

Floats = NDArray[np.float64]


def compared_home(case: Case, ground: TerrainGrid, draws: DrawSet, at: Stations) -> Compared | None:
    """Hold the height flown against the least height of the straight line home; None where no place is known.

    `predicted` is ground and trees on the level line to the launch point, above the launch point: the residual is by
    how much the aircraft would have cleared them from where it was. The band is that of the trees.
    """
    rows = np.flatnonzero(at.placed & at.flying) if at.on_site else np.empty(0, np.intp)
    if rows.size:
        rows = rows[case.terrain.covers(at.x_m[rows], at.y_m[rows])]
    if rows.size < RECORDED_LEAST.value:
        return None
    highest_m = highest_ground_between(ground, at.x_m[rows], at.y_m[rows]).height_m - case.launch_height_m
    over_m = highest_m[None, :] + trees_m(draws)[:, None]
    predicted, low, high = (np.full(at.t_s.size, np.nan) for _ in range(3))
    predicted[rows], low[rows], high[rows] = bands_along(over_m)
    recorded = np.full(at.t_s.size, np.nan)
    recorded[rows] = at.height_m[rows]
    off = np.median(at.height_m[rows][None, :] - over_m, axis=1)
    return Compared(Compare.RETURN_LINE, "m", at.t_s, recorded, predicted, low, high, spread(off))


def home_height(case: Case, ground: TerrainGrid, draws: DrawSet, at: Stations, at_s: float | None) -> Spread | None:
    """Return the least height of the way home: from where the link went, else from the place that asks most."""
    rows = np.flatnonzero(at.placed & at.flying) if at.on_site else np.empty(0, np.intp)
    if rows.size:
        rows = rows[case.terrain.covers(at.x_m[rows], at.y_m[rows])]
    if not rows.size:
        return None
    if at_s is not None:
        rows = rows[[int(np.argmin(np.abs(at.t_s[rows] - at_s)))]]
    highest_m = highest_ground_between(ground, at.x_m[rows], at.y_m[rows]).height_m.max() - case.launch_height_m
    return spread(highest_m + trees_m(draws))


def trees_m(draws: DrawSet) -> Floats:
    """Return the trees that a way home has to clear, shape ``(j,)``; none on open ground."""
    if draws.world.site.tree_depth_fraction.high <= 0.0:
        return np.zeros(draws.count)
    return np.maximum(draws["site.canopy_height_m"], 0.0)
