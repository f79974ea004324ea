"""The ground under and around what a debrief draws: a thinned grid out of the plan's terrain."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.place_track import track_of
from turnback.assess.search_last import took_off
from turnback.physics.geodesy import LOCAL_REACH_M, distance_m, east_north_m
from turnback.records.case import Case
from turnback.records.debrief import GroundSeen, SearchArea
from turnback.records.happened import RecordAnswer

POINTS: Final = 97
"""Along each side."""
WIDER: Final = 1.35
"""Than what is drawn on it: pictures have edges."""
LEAST_HALF_M: Final = 100.0
ELSEWHERE_M: Final = 5000.0
"""A record that took off farther from the plan's launch point than this was flown elsewhere."""


def ground_seen(case: Case | None, read: RecordAnswer | None, search: SearchArea | None) -> GroundSeen | None:
    """Return the ground around track and search area; None without a measured one, or where nothing is drawn on it.

    Parameters
    ----------
    case : Case or None
    read : RecordAnswer or None
    search : SearchArea or None
    """
    if case is None or case.terrain.assumed:
        return None
    track = None if read is None else track_of(read.flown.record)
    start_x = start_y = 0.0
    ends = []
    if read is not None and track is not None and track.east_m is not None and track.north_m is not None:
        x_m, y_m, where = took_off(read, track)
        known = np.isfinite(track.east_m) & np.isfinite(track.north_m)
        ends += [track.east_m[known] - x_m, track.north_m[known] - y_m]
        site = case.plan.site
        if where is not None and site.latitude_deg is not None and site.longitude_deg is not None:
            if float(distance_m(site.latitude_deg, site.longitude_deg, *where)) > min(ELSEWHERE_M, LOCAL_REACH_M):
                return None
            east, north = east_north_m(*where, site.latitude_deg, site.longitude_deg)
            start_x, start_y = float(east), float(north)
    if search is not None:
        ends += [search.most_x_m, search.most_y_m]
    far_m = max((float(np.abs(each).max()) for each in ends if each.size), default=0.0)
    return _grid(case, max(WIDER * far_m, LEAST_HALF_M), start_x, start_y) if ends else None


def _grid(case: Case, half_m: float, start_x: float, start_y: float) -> GroundSeen | None:
    terrain, step_m = case.terrain, 2.0 * half_m / (POINTS - 1)
    west, top = start_x - half_m, start_y + half_m
    x_m = west + np.arange(POINTS) * step_m
    y_m = top - np.arange(POINTS)[:, None] * step_m
    known = terrain.covers(x_m, y_m)
    if not known.any():
        return None
    return GroundSeen(west, top, step_m, terrain.ground_m(x_m, y_m) - case.launch_height_m, known, start_x, start_y)
