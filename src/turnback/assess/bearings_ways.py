"""The straight ways out of a rose: one track for each bearing, and where ground, map or an entered limit ends it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.coming_back import canopy_m
from turnback.assess.track import BEYOND_FACTOR, BEYOND_M, Track, lay_track
from turnback.records.case import Case
from turnback.records.route import HeightReference, Route
from turnback.records.world import World

Array = NDArray[np.float64]

POINTS: Final = 16
"""Of the compass: a bearing every 22.5 degrees."""
LEAST_PLANNED_M: Final = 25.0  # a hover over the launch point is asked about as if it went this far
SAME_DEG: Final = 0.05  # nearer than this the plan's bearing is the point of the compass
SAMPLES: Final = 600  # along a bearing, for the ground under it
OVER_TREES_M: Final = 30.0  # as in `route_clearance_m`: nearer than this the launch field has no trees


@dataclass(frozen=True, slots=True)
class Way:
    """Straight out on one bearing, and how far that goes at all."""

    bearing_deg: float
    track: Track
    most_m: float
    """Nothing is asked beyond this, for `reason`."""
    reason: str
    """``"ground"``, ``"terrain"``, ``"limit"`` or ``"route"``."""


def plan_bearing_deg(track: Track) -> float:
    """Return the bearing of the plan's farthest point, not a number where it stays over the launch point."""
    planned = np.flatnonzero(track.planned())
    far = planned[int(np.argmax(track.from_launch_m[planned]))]
    if track.from_launch_m[far] < 1.0:
        return float("nan")
    return float(np.rad2deg(np.arctan2(track.x_m[far], track.y_m[far])) % 360.0)


def bearings_of(plan_deg: float) -> Array:
    """Return the points of the compass and the plan's own bearing, ascending."""
    points: Array = np.arange(POINTS, dtype=np.float64) * (360.0 / POINTS)
    if not np.isfinite(plan_deg):
        return points
    off = np.abs((points - plan_deg + 180.0) % 360.0 - 180.0)
    if off.min() < SAME_DEG:
        points[int(np.argmin(off))] = plan_deg
        return np.sort(points)
    return np.sort(np.append(points, plan_deg))


def farthest_m(track: Track) -> float:
    """Return how far a rose looks: as far beyond the plan as a straight plan is continued."""
    planned_m = float(track.from_launch_m[track.planned()].max())
    return max(planned_m, LEAST_PLANNED_M) * BEYOND_FACTOR + BEYOND_M


def plan_height_m(route: Route) -> float:
    """Return the height of the plan's farthest point, above the route's own reference."""
    return float(route.height_m[int(np.argmax(np.hypot(route.east_m, route.north_m)))])


def way_on(case: Case, world: World, plan: Track, bearing_deg: float) -> Way:
    """Lay the plan's distance and height on another bearing, and find what ends it."""
    terrain, height_m = case.terrain, plan_height_m(case.route)
    planned_m = max(float(plan.from_launch_m[plan.planned()].max()), LEAST_PLANNED_M)
    look_m = farthest_m(plan)
    at = np.linspace(0.0, look_m, SAMPLES)
    east, north = np.sin(np.deg2rad(bearing_deg)), np.cos(np.deg2rad(bearing_deg))
    known_m = _before(at, ~terrain.covers(at * east, at * north))
    out_m = max(min(planned_m, known_m), 1.0)
    route = Route(
        np.array([0.0, out_m * east]), np.array([0.0, out_m * north]), np.array([height_m, height_m]),
        case.route.height_reference, case.route.speed_mps, 0.0, straight=True, closes_at_launch=False,
    )  # fmt: skip
    track = lay_track(route, terrain, case.launch_height_m)
    over_m = _over_ground_m(case, world, terrain.ground_m(at * east, at * north), at, height_m)
    ends = {"limit": case.plan.site.local_limits.distance_m, "ground": _before(at, over_m < 0.0), "terrain": known_m}
    most_m, reason = look_m, "route"
    for name, end_m in ends.items():
        if end_m is not None and end_m < most_m:
            most_m, reason = end_m, name
    return Way(bearing_deg, track, most_m, reason)


def _over_ground_m(case: Case, world: World, ground_m: Array, at_m: Array, height_m: float) -> Array:
    """Return the height over ground and assumed trees along a bearing; trees as `route_clearance_m` has them."""
    above_launch = {
        HeightReference.LAUNCH: np.full_like(at_m, height_m),
        HeightReference.GROUND: height_m + ground_m - case.launch_height_m,
        HeightReference.SEA_LEVEL: np.full_like(at_m, height_m - case.launch_height_m),
    }[case.route.height_reference]
    trees_m = canopy_m(world) if world.site.tree_depth_fraction.value > 0.0 else 0.0
    return np.asarray(above_launch - (ground_m - case.launch_height_m) - np.where(at_m > OVER_TREES_M, trees_m, 0.0))


def _before(at_m: Array, ended: NDArray[np.bool_]) -> float:
    """Return the last distance before something ends the way; infinite where nothing does."""
    if not ended.any():
        return float("inf")
    first = int(np.argmax(ended))
    return float(at_m[max(first - 1, 0)])
