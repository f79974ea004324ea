"""The ground around one flight, cut and thinned for a map, with the places that rule links and return."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.track import Track
from turnback.physics.terrain_grid import TerrainGrid
from turnback.physics.way_home import highest_ground_between
from turnback.records.areas import PeopleAreas
from turnback.records.case import Case
from turnback.records.fall import FallResult
from turnback.records.ground_plan import MapMark, MapResult, RoseResult
from turnback.records.result import LinkResult
from turnback.records.terrain import Terrain

Array = NDArray[np.float64]

MOST_CELLS: Final = 300  # along a side of the map
MARGIN_FRACTION: Final = 0.1  # of the larger side, left free around what is shown
LEAST_HALF_M: Final = 60.0  # a hover over the launch point still has a map
SHOWN_BEYOND: Final = 1.25  # of the planned distance: turn-back distances farther out lie off the map
LEAST_MARK_M: Final = 10.0  # an obstacle nearer than this is the ground the pilot stands on


def ground_plan_of(
    case: Case,
    track: Track,
    ground: TerrainGrid,
    links: Sequence[LinkResult],
    rose: RoseResult | None = None,
    fall: FallResult | None = None,
) -> MapResult:
    """Return the map of one flight in local metres.

    Parameters
    ----------
    case : Case
    track : Track
        The plan's stations.
    ground : TerrainGrid
        The case's terrain as rays cross it.
    links : sequence of LinkResult
        Whose ruling obstacles are marked.
    rose : RoseResult, optional
        The map reaches to its turn-back distances, but not far beyond the plan.
    fall : FallResult, optional
        The map reaches to where it comes down.
    """
    planned = track.planned()
    marks = (*(_link_mark(link, track, case.terrain) for link in links), _return_mark(ground, track, case.terrain))
    shown = tuple(mark for mark in marks if mark is not None)
    places = np.concatenate(
        [
            np.column_stack([track.x_m[planned], track.y_m[planned]]),
            np.array([[0.0, 0.0], *((mark.x_m, mark.y_m) for mark in shown)]),
            _rim(rose, float(track.from_launch_m[planned].max())),
            *([] if fall is None else [np.column_stack([at.ring_x_m, at.ring_y_m]) for at in fall.places]),
        ]
    )
    west, south, east, north = _box(places)
    heights, known, x_west_m, y_north_m, cell_m = _cut(case.terrain, west, south, east, north)
    return MapResult(
        heights_m=heights,
        known=known,
        x_west_m=x_west_m,
        y_north_m=y_north_m,
        cell_m=cell_m,
        route_x_m=track.x_m[planned],
        route_y_m=track.y_m[planned],
        marks=shown,
        areas=_inside(case.people_areas, west, south, east, north),
    )


def _rim(rose: RoseResult | None, planned_m: float) -> Array:
    """Return the turn-back places as far as the map should show them, shape ``(n, 2)``."""
    if rose is None:
        return np.empty((0, 2))
    reach = np.minimum(rose.turn_back_m, max(SHOWN_BEYOND * planned_m, 2.0 * LEAST_HALF_M))
    bearing = np.deg2rad(rose.bearing_deg)
    return np.column_stack([reach * np.sin(bearing), reach * np.cos(bearing)])


def _box(places: Array) -> tuple[float, float, float, float]:
    """Return west, south, east and north of a map that shows the places with some room."""
    places = places[np.isfinite(places).all(axis=1)]
    low = np.minimum(places.min(axis=0), -LEAST_HALF_M)
    high = np.maximum(places.max(axis=0), LEAST_HALF_M)
    room = MARGIN_FRACTION * float((high - low).max())
    return float(low[0] - room), float(low[1] - room), float(high[0] + room), float(high[1] + room)


def _cut(
    terrain: Terrain, west: float, south: float, east: float, north: float
) -> tuple[NDArray[np.float32], NDArray[np.bool_], float, float, float]:
    """Return heights, where they are known, centre of the first pixel and cell, cut to a box and thinned by means."""
    rows, columns = terrain.heights_m.shape
    left, right = _ends((west - terrain.x_west_m) / terrain.cell_m, (east - terrain.x_west_m) / terrain.cell_m, columns)
    top, bottom = _ends(
        (terrain.y_north_m - north) / terrain.cell_m, (terrain.y_north_m - south) / terrain.cell_m, rows
    )
    heights, known = terrain.heights_m[top:bottom, left:right], terrain.known[top:bottom, left:right]
    by = math.ceil(max(heights.shape) / MOST_CELLS)
    if by > 1:
        tall, wide = (size // by * by for size in heights.shape)
        blocks = (tall // by, by, wide // by, by)
        heights = heights[:tall, :wide].reshape(blocks).mean(axis=(1, 3), dtype=np.float64).astype(np.float32)
        known = np.asarray(known[:tall, :wide].reshape(blocks).all(axis=(1, 3)), dtype=np.bool_)
    half = (by - 1) / 2.0
    x_west_m = terrain.x_west_m + (left + half) * terrain.cell_m
    y_north_m = terrain.y_north_m - (top + half) * terrain.cell_m
    return heights.copy(), known.copy(), x_west_m, y_north_m, terrain.cell_m * by


def _ends(low: float, high: float, size: int) -> tuple[int, int]:
    """Return the first pixel of a side and the one after its last: at least three, none outside."""
    first = min(max(math.floor(low), 0), max(size - 3, 0))
    return first, max(min(math.ceil(high) + 1, size), min(first + 3, size))


def _link_mark(link: LinkResult, track: Track, terrain: Terrain) -> MapMark | None:
    """Return the obstacle that rules a link at its worst place, on the straight line there."""
    distance_m = float(link.obstacle_from_launch_m[link.worst])
    reach_m = float(track.from_launch_m[link.worst])
    if not math.isfinite(distance_m) or distance_m < LEAST_MARK_M or reach_m < LEAST_MARK_M:
        return None
    share = distance_m / reach_m
    return _mark(link.name, float(track.x_m[link.worst]) * share, float(track.y_m[link.worst]) * share, terrain)


def _return_mark(ground: TerrainGrid, track: Track, terrain: Terrain) -> MapMark | None:
    """Return the highest ground on the straight ways home, by the rule of `turnback.assess.coming_back.way_home`."""
    planned = track.planned() & (track.from_launch_m > 1.0)
    if not planned.any():
        return None
    x, y, reach = track.x_m[planned], track.y_m[planned], track.from_launch_m[planned]
    highest = highest_ground_between(ground, x, y)
    rules = int(np.argmax(highest.height_m))
    if highest.from_launch_m[rules] < LEAST_MARK_M:
        return None
    share = float(highest.from_launch_m[rules] / reach[rules])
    return _mark("return", float(x[rules]) * share, float(y[rules]) * share, terrain)


def _mark(kind: str, x_m: float, y_m: float, terrain: Terrain) -> MapMark:
    return MapMark(kind, x_m, y_m, float(terrain.ground_m(x_m, y_m)) - terrain.launch_ground_m)


def _inside(
    areas: PeopleAreas | None, west: float, south: float, east: float, north: float
) -> tuple[tuple[str, Array], ...]:
    """Return name and outer ring of the people areas whose extent meets the box."""
    found = []
    for area in areas.areas if areas is not None else ():
        ring = area.rings[0]
        low, high = ring.min(axis=0), ring.max(axis=0)
        if low[0] <= east and high[0] >= west and low[1] <= north and high[1] >= south:
            found.append((area.name, ring))
    return tuple(found)
