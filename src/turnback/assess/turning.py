"""How far out it can turn back on energy, and the largest wind that still comes home."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import (
    Craft,
    landing_chance,
    march_flight,
)
from turnback.assess.legs import Legs, legs_turning_at, planned_legs
from turnback.assess.track import Track
from turnback.rules.chance import BAND_LOW, LIMIT_CHANCE

Array = NDArray[np.float64]

MOST_PLACES = 12
MOST_DRAWS = 250  # a distance and a wind are read at the 5 % end: fewer draws make that end a matter of luck
MOST_WIND_MPS = 20.0
LIMIT_WIND_Z = (-1.0, 0.0, 1.0, 1.6, 2.1, 3.0)  # dense where a chance of nineteen in twenty is crossed
LONG_STEP_S = 10.0  # no volts are read off here: rest volts within 3 mV, 7 mV in the worst world of a tired pack
WIND_STEPS = 7  # halvings: to 0.16 m/s


@dataclass(frozen=True, slots=True)
class Turning:
    """Where energy lets it turn back; arrays over a subset of the draws, shape ``(k,)``."""

    rows: NDArray[np.int64]
    """Which draws."""
    reach_m: Array
    """Farthest turn-back, horizontal distance from launch along the route."""
    reach_s: Array
    """Time flown when it turns there."""


def subset(count: int, most: int = MOST_DRAWS) -> NDArray[np.int64]:
    """Return evenly spread rows; draws are in random order, so any rows are fair."""
    return np.unique(np.linspace(0, count - 1, min(count, most)).round().astype(np.int64))


def kept(craft: Craft, rows: NDArray[np.int64]) -> Craft:
    """Return the aircraft in some of its draws; a row may be asked for several times."""
    thrust = type(craft.thrust)(*(getattr(craft.thrust, name)[rows] for name in craft.thrust.__slots__))
    scale = type(craft.scale)(craft.scale.hover[rows], craft.scale.cruise[rows])
    return Craft(craft.draws.kept(rows), thrust, scale, craft.chemistry)


def few_of(craft: Craft) -> tuple[Craft, NDArray[np.int64], Nodes]:
    """Return the aircraft in the draws that a turn-back is worked out in, which draws, and the nodes of chance."""
    rows = subset(craft.draws.count)
    hand = Nodes(np.array(LIMIT_WIND_Z), np.array([-1.3, 0.0, 1.3]), np.array([0.28, 0.44, 0.28]))
    return kept(craft, rows), rows, hand


def chance_of(craft: Craft, legs: Legs, nodes: Nodes) -> tuple[Array, Array]:
    """Return, for each draw, the chance of landing in time, and the time to the middle of the legs, ``(j,)``."""
    marched = march_flight(craft, legs, nodes, LONG_STEP_S)
    return landing_chance(marched, craft), marched.duration_s[:, int(np.argmin(np.abs(nodes.wind_z))), :]


def energy_turning(craft: Craft, track: Track) -> Turning:
    """Return how far out each draw can turn back and still land above the land-by volts with the limit chance.

    Between two places the chance is joined by a straight line; beyond the last place nothing is claimed.
    """
    few, rows, nodes = few_of(craft)
    places = places_of(track)
    chances = np.empty((places.size, rows.size))
    times = np.empty_like(chances)
    for i, station in enumerate(places):
        legs = legs_turning_at(track, int(station))
        chances[i], duration = chance_of(few, legs, nodes)
        out = legs.end_along_m <= track.along_m[station] + 1e-6
        times[i] = np.where(np.isfinite(duration), duration, 1e6)[:, out].sum(axis=1)
    distance = track.along_m[places]
    holds = np.minimum.accumulate(chances, axis=0)
    reach = _crossing(distance, holds, LIMIT_CHANCE.value)
    seconds = np.array([np.interp(reach[i], distance, times[:, i]) for i in range(rows.size)])
    order = np.flatnonzero(track.outbound())
    farthest_so_far = np.maximum.accumulate(track.from_launch_m[order])  # a round trip ends where it began
    from_launch = np.interp(reach, track.along_m[order], farthest_so_far)
    return Turning(rows, from_launch, seconds)


def places_of(track: Track) -> NDArray[np.int64]:
    """Return the stations of the way out at which a turn back is tried."""
    way = np.flatnonzero(track.outbound())
    moved = way[track.along_m[way] > 0.0]
    way = moved if moved.size else way  # a hover over the launch point goes nowhere
    return way[np.unique(np.linspace(0, way.size - 1, min(MOST_PLACES, way.size)).round().astype(np.int64))]


def _crossing(distance_m: Array, chances: Array, limit: float) -> Array:
    """Return, for each column, the distance at which a falling chance crosses a limit; 0 where it never holds."""
    reach = np.zeros(chances.shape[1])
    for i in range(distance_m.size):
        here = chances[i]
        reach = np.where(here >= limit, distance_m[i], reach)
        if i + 1 < distance_m.size:
            after = chances[i + 1]
            crosses = (here >= limit) & (after < limit)
            share = np.where(crosses, (here - limit) / np.where(crosses, here - after, 1.0), 0.0)
            reach = np.where(crosses, distance_m[i] + share * (distance_m[i + 1] - distance_m[i]), reach)
    return reach


def largest_wind_mps(craft: Craft, track: Track) -> float:
    """Return the largest mean wind at 10 m with which energy still brings the planned flight home.

    At the unfavourable end of all other unknowns, direction included, and with the limit chance. NaN where even calm
    is too much.
    """
    few, _, nodes = few_of(craft)
    legs = planned_legs(track)

    def holds(wind_mps: float) -> bool:
        values = dict(few.draws.values)
        values["site.wind_mps"] = np.full(few.draws.count, wind_mps)
        calm = replace(few, draws=replace(few.draws, values=values))
        chance, _ = chance_of(calm, legs, nodes)
        return float(np.quantile(chance, BAND_LOW.value)) >= LIMIT_CHANCE.value

    if not holds(0.0):
        return float("nan")
    low, high = 0.0, MOST_WIND_MPS
    if holds(high):
        return high
    for _ in range(WIND_STEPS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
