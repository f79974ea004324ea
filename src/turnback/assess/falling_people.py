"""Which falls end among people: the areas of a plan's file against the outlines of the falls."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from turnback.assess.falling_ring import between, narrow_m
from turnback.records.areas import PeopleArea, PeopleAreas
from turnback.records.fall import FallPlace

Array = NDArray[np.float64]

MOST_NEAR = 40  # more places near an area of people, so that no turn of the route is passed over
MOST_NEAR_STRAIGHT = 10  # where nothing turns, what lies between two places is between their outlines
NEAR_RATIO = 1.5  # of the farthest that any outline reaches from its place
NEAR_M = 20.0


@dataclass(frozen=True, slots=True)
class Fallen:
    """Falls from one place, over all worlds; arrays have shape ``(n,)``."""

    place: FallPlace
    x_m: Array
    y_m: Array
    """Where each ends."""
    speed_mps: Array
    """At the ground."""


def near(areas: PeopleAreas, x_m: Array, y_m: Array, fallen: Sequence[Fallen], *, straight: bool) -> NDArray[np.int64]:
    """Return which of the stations have an area within reach of a fall; thinned where there are many."""
    most = MOST_NEAR_STRAIGHT if straight else MOST_NEAR
    reach_m = max(
        float(np.hypot(each.place.ring_x_m - each.place.x_m, each.place.ring_y_m - each.place.y_m).max())
        for each in fallen
    )
    within = np.zeros(x_m.shape, dtype=np.bool_)
    for area in areas.areas:
        west, south, east, north = area.box_m()
        away_m = np.hypot(np.maximum(np.maximum(west - x_m, x_m - east), 0.0),
                          np.maximum(np.maximum(south - y_m, y_m - north), 0.0))  # fmt: skip
        within |= away_m <= NEAR_RATIO * reach_m + NEAR_M
    rows = np.flatnonzero(within)
    if rows.size <= most:
        return rows
    return rows[np.unique(np.linspace(0, rows.size - 1, most).round().astype(np.int64))]


def with_areas(fallen: list[Fallen], areas: PeopleAreas) -> list[Fallen]:
    """Return the falls, in the order flown, with the areas met from there or on the way to the next place."""
    rings = [(each.place.ring_x_m, each.place.ring_y_m) for each in fallen]
    met = [areas_met(areas, [outline]) for outline in rings]
    for k, (here, after) in enumerate(pairwise(rings)):
        close = PeopleAreas(tuple(area for area in areas.areas if _boxes_meet(area, here, after)))
        if close.areas:
            on_the_way = between(here, after, max(min(narrow_m(here), narrow_m(after)), NEAR_M / 20.0))
            met[k] += [name for name in areas_met(close, on_the_way) if name not in met[k] + met[k + 1]]
    return [
        replace(each, place=replace(
            each.place, areas=tuple(found), share_in_areas=float(areas.holding(each.x_m, each.y_m).mean())
        ))
        for each, found in zip(fallen, met, strict=True)
    ]  # fmt: skip


def areas_met(areas: PeopleAreas, outlines: Iterable[tuple[Array, Array]]) -> list[str]:
    """Return the names of all areas that any outline meets, each once."""
    return list(dict.fromkeys(name for outline in outlines for name in areas.met_by(*outline)))


def names(areas: PeopleAreas | None, places: Iterable[FallPlace]) -> tuple[str, ...]:
    """Return the names of all areas that are met, in the order of the file."""
    met = {name for place in places for name in place.areas}
    return tuple(dict.fromkeys(area.name for area in areas.areas if area.name in met)) if areas else ()


def _boxes_meet(area: PeopleArea, *outlines: tuple[Array, Array]) -> bool:
    west, south, east, north = area.box_m()
    x, y = np.concatenate([each[0] for each in outlines]), np.concatenate([each[1] for each in outlines])
    return bool(x.max() >= west and x.min() <= east and y.max() >= south and y.min() <= north)
