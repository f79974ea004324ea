"""Lay the route over the ground: stations out, home, and a little beyond, with the legs that energy is spent on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from turnback.records.route import HeightReference, Route
from turnback.records.terrain import Terrain

Array = NDArray[np.float64]

LEAST_STATIONS = 24
MOST_STATIONS = 160
BEYOND_FACTOR = 1.3  # a straight route is continued this far, to say how much is left beyond the plan
BEYOND_M = 400.0


class Phase(IntEnum):
    """What a station belongs to."""

    OUT = 0
    HOME = 1
    BEYOND = 2


@dataclass(frozen=True, slots=True)
class Track:
    """Stations of a flight; all arrays have shape ``(n,)``. Metres; x east, y north, from the launch point.

    `height_m` is above the launch point's ground, `along_m` the distance flown, `from_launch_m` horizontal.
    """

    x_m: Array
    y_m: Array
    height_m: Array
    ground_m: Array
    """Ground under each station, above the launch point's ground."""
    along_m: Array
    from_launch_m: Array
    phase: NDArray[np.int64]
    hover_s: float
    straight: bool
    covered: bool
    """False where some station of the plan lies outside the terrain."""

    def planned(self) -> NDArray[np.bool_]:
        """Return which stations the plan asks for."""
        return np.asarray(self.phase != Phase.BEYOND)

    def outbound(self) -> NDArray[np.bool_]:
        """Return the stations from which a turn back is considered: the way out and what lies beyond."""
        return np.asarray(self.phase != Phase.HOME)


def lay_track(route: Route, terrain: Terrain, launch_ground_m: float) -> Track:
    """Return the stations of a route over a terrain.

    The way home is a straight line from the last point to the launch point; where the track itself comes back, it
    is flown as drawn. A straight route is continued beyond its end as far as the terrain reaches.
    """
    corners = _corners(route)
    step = max(_length(corners) / MOST_STATIONS * 2.0, 5.0)
    out = _stations(corners, step)
    beyond = _beyond(out, terrain) if route.straight else np.empty((0, 3))
    home = np.empty((0, 3)) if route.closes_at_launch else _stations(_home(corners[-1]), step)
    x, y, h = np.concatenate([out, beyond, home]).T
    ground = terrain.ground_m(x, y) - launch_ground_m
    height = _above_launch(h, ground, route, launch_ground_m)
    phase = np.repeat([Phase.OUT, Phase.BEYOND, Phase.HOME], [len(out), len(beyond), len(home)])
    along = _along(x, y, phase)
    covered = bool(terrain.covers(x, y)[phase != Phase.BEYOND].all())
    return Track(x, y, height, ground, along, np.hypot(x, y), phase, route.hover_s, route.straight, covered)


def _corners(route: Route) -> Array:
    """Points of the route, the climb straight up over the launch point first."""
    points = np.column_stack([route.east_m, route.north_m, route.height_m])
    if points.size and np.hypot(points[0, 0], points[0, 1]) > 1.0:
        points = np.vstack([[0.0, 0.0, points[0, 2]], points])
    return np.asarray(points, dtype=np.float64)


def _home(last: Array) -> Array:
    return np.array([last, [0.0, 0.0, last[2]]])


def _length(corners: Array) -> float:
    return float(np.hypot(*np.diff(corners[:, :2], axis=0).T).sum())


def _stations(corners: Array, step_m: float) -> Array:
    """Cut a polyline into stations no farther apart than `step_m`, its own points kept."""
    rows = [corners[:1]]
    for start, end in pairwise(corners):
        length = float(np.hypot(end[0] - start[0], end[1] - start[1]))
        pieces = max(1, int(np.ceil(length / step_m)))
        share = np.arange(1, pieces + 1)[:, None] / pieces
        rows.append(start + (end - start) * share)
    return np.concatenate(rows)


def _beyond(out: Array, terrain: Terrain) -> Array:
    """Continue a straight route on its bearing while the terrain reaches."""
    end = out[-1]
    reach = float(np.hypot(end[0], end[1]))
    most = reach * BEYOND_FACTOR + BEYOND_M
    share = np.linspace(1.0, most / max(reach, 1.0), LEAST_STATIONS + 1)[1:]
    x, y = end[0] * share, end[1] * share
    inside = np.cumprod(terrain.covers(x, y)).astype(bool)
    return np.asarray(np.column_stack([x, y, np.full_like(x, end[2])])[inside])


def _above_launch(height_m: Array, ground_m: Array, route: Route, launch_ground_m: float) -> Array:
    if route.height_reference is HeightReference.GROUND:
        return np.asarray(height_m + ground_m)
    if route.height_reference is HeightReference.SEA_LEVEL:
        return np.asarray(height_m - launch_ground_m)
    return height_m


def _along(x_m: Array, y_m: Array, phase: NDArray[np.int64]) -> Array:
    """Distance flown: the way home goes on from the planned end, what lies beyond from there too."""
    along = np.zeros_like(x_m)
    out = phase == Phase.OUT
    along[out] = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x_m[out]), np.diff(y_m[out])))])
    end_x, end_y, end_along = x_m[out][-1], y_m[out][-1], along[out][-1]
    for part in (Phase.BEYOND, Phase.HOME):
        rows = phase == part
        xs, ys = np.concatenate([[end_x], x_m[rows]]), np.concatenate([[end_y], y_m[rows]])
        along[rows] = end_along + np.cumsum(np.hypot(np.diff(xs), np.diff(ys)))
    return along
