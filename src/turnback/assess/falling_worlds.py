"""The worlds that fall: every draw of the unknowns, some times over, each with a wind, a gust and a drag of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draws import spread_over
from turnback.assess.flight_energy import Craft
from turnback.assess.track import Track
from turnback.base.constants import GRAVITY_MPS2
from turnback.physics.fall import SLOWEST_MPS, terminal_mps
from turnback.physics.normal import normal_quantile
from turnback.physics.wind import wind_at_height_mps
from turnback.records.world import Band, Origin
from turnback.rules.typical import typical

Array = NDArray[np.float64]

EACH = 3  # falls of one draw
MOST_MPS = 95.0  # of any part of a wind or a speed: beyond it the wind's own model ends
MOST_CLIMB_MPS = 10.0
STILL_M = 1e-6
PARTS = ("wind", "along", "across", "drag", "pace", "sink", "drift")
ROOT_OF_PARTS = 1.0969816  # x^8 = x + 1: its powers' remainders fill seven dimensions evenly


@dataclass(frozen=True, slots=True)
class FallWorlds:
    """Worlds of a fall; every array has shape ``(n,)``."""

    mass_kg: Array
    drag_area_m2: Array
    density_kg_m3: Array
    airspeed_mps: Array
    """Of unhurried flight on the route."""
    most_mps: Array
    """That a pilot flies against wind."""
    level_mps: Array
    """Greatest level airspeed."""
    wind_east_mps: Array
    wind_north_mps: Array
    """Mean wind of this flight at 10 m, toward east and north."""
    gust_east_mps: Array
    gust_north_mps: Array
    """What this fall meets beside the mean: a fall is as short as a gust."""
    pace_share: Array
    """Part of the speed flown where the aircraft sets off, turns or arrives."""
    sink_mps: Array
    """If it descends in place."""
    drift_share: Array
    """If it descends in place: 0 holds its place, 1 drifts with the wind."""
    rows: NDArray[np.int64]
    """Which draw each world belongs to."""
    roughness_m: float

    def terminal_mps(self) -> Array:
        """Return the speed at which drag carries the weight."""
        return terminal_mps(self.mass_kg, self.drag_area_m2, self.density_kg_m3)

    def factor(self, height_m: Array) -> Array:
        """Return the wind at heights above ground over that at 10 m."""
        return wind_at_height_mps(1.0, 10.0, np.maximum(height_m, 2.0), self.roughness_m)

    def wind_mps(self) -> Array:
        """Return the mean wind of this flight at 10 m."""
        return np.hypot(self.wind_east_mps, self.wind_north_mps)


def fall_worlds(craft: Craft) -> FallWorlds:
    """Return the worlds that fall.

    Drawn without a generator, by steps of irrational length that fill every dimension evenly; the draws themselves are
    in random order, so the two are independent, and the same draws give the same bytes.
    """
    draws, rows = craft.draws, np.repeat(np.arange(craft.draws.count), EACH)
    fall, chance = typical("fall"), typical("chance")
    share = {part: _even(rows.size, k) for k, part in enumerate(PARTS, start=1)}
    ratio, sink = (fall[key] for key in ("drag_ratio", "descend_mps"))
    drag_ratio = spread_over(
        Band("fall.drag_ratio", ratio.value, ratio.low, ratio.high, "", Origin.TYPICAL, ratio.source), share["drag"]
    )
    descent = Band("fall.descend_mps", sink.value, sink.low, sink.high, "m/s", Origin.TYPICAL, sink.source)
    wind = draws["site.wind_mps"][rows] * np.exp(chance["wind_flight_sd"].value * normal_quantile(share["wind"]))
    wind = np.minimum(wind, MOST_MPS / 2.0)
    east, north = (part[rows] for part in draws.wind_to())
    sd = wind * np.maximum(draws["site.gust_factor"][rows] - 1.0, 0.0) / fall["gust_deviations"].value
    along = sd * normal_quantile(share["along"])
    across = sd * fall["gust_across_ratio"].value * normal_quantile(share["across"])
    world = draws.world
    floats_m2 = 2.0 * draws.mass_kg * GRAVITY_MPS2 / (draws.density_kg_m3 * SLOWEST_MPS**2)
    most_drag_m2 = np.minimum(0.99 * floats_m2[rows], 5.0)
    return FallWorlds(
        mass_kg=draws.mass_kg[rows],
        drag_area_m2=np.clip(draws["aircraft.drag_area_m2"][rows] * drag_ratio, 1e-5, most_drag_m2),
        density_kg_m3=draws.density_kg_m3[rows],
        airspeed_mps=draws["aircraft.cruise_mps" if world.route_mps is None else "route.speed_mps"][rows],
        most_mps=0.8 * craft.thrust.most_level_mps[rows],  # as the legs are flown: nobody holds the very greatest speed
        level_mps=craft.thrust.most_level_mps[rows],
        wind_east_mps=wind * east,
        wind_north_mps=wind * north,
        gust_east_mps=along * east - across * north,
        gust_north_mps=along * north + across * east,
        pace_share=share["pace"],
        sink_mps=spread_over(descent, share["sink"]),
        drift_share=share["drift"],
        rows=rows,
        roughness_m=typical("site")["roughness_m"].value,
    )


def _even(count: int, power: int) -> Array:
    """Return evenly spread numbers between 0 and 1, in an order of their own for each power."""
    return np.asarray(np.mod((np.arange(count) + 0.5) * ROOT_OF_PARTS**-power, 1.0)).clip(1e-9, 1.0 - 1e-9)


@dataclass(frozen=True, slots=True)
class Headings:
    """How the planned stations are flown; arrays have shape ``(s,)`` over the planned stations."""

    stations: NDArray[np.int64]
    """Rows of the track."""
    east: Array
    north: Array
    """Unit vector of the way flown; zero where it hovers all the time."""
    slope_ratio: Array
    """Climb over way."""
    slows: NDArray[np.bool_]
    """Where it sets off or arrives: any part of its speed is as likely."""
    turns: NDArray[np.bool_]
    """Where it turns for home: any part of its speed, forth or back."""


def headings(track: Track) -> Headings:
    """Return in which direction each planned station is passed: as it arrives, or leaves where it has not moved yet."""
    rows = np.flatnonzero(track.planned())
    place = np.column_stack([track.x_m[rows], track.y_m[rows], track.height_m[rows]])
    anew = np.append(True, np.abs(np.diff(place, axis=0)).max(axis=1, initial=0.0) > STILL_M)
    rows, place = rows[anew], place[anew]  # the way home begins where the way out ends: one place
    step = np.diff(place, axis=0, prepend=place[:1])
    way = np.hypot(step[:, 0], step[:, 1])
    moved = np.flatnonzero(way > STILL_M)
    slows = np.zeros(rows.size, dtype=np.bool_)
    slows[[0, -1]] = True
    turns = track.phase[rows] != np.append(track.phase[rows][1:], track.phase[rows][-1])
    if not moved.size:
        none = np.zeros(rows.size)
        return Headings(rows, none, none, none, slows, turns)
    last = np.searchsorted(moved, np.arange(rows.size), side="right") - 1
    by = moved[np.maximum(last, 0)]
    return Headings(rows, step[by, 0] / way[by], step[by, 1] / way[by], step[by, 2] / way[by], slows, turns)


def velocity_mps(worlds: FallWorlds, way: Headings, place: NDArray[np.int64], above_m: Array) -> tuple[Array, ...]:
    """Return the velocity over ground toward east, north and up at some of the stations, each of shape ``(p, n)``.

    The wind triangle as the legs are flown (`turnback.assess.legs.fly`); where the track cannot be held against the
    wind, the wind's rest carries it off.
    """
    least = typical("style")["least_ground_speed_mps"].value
    to_east, to_north = way.east[place, None], way.north[place, None]
    factor = worlds.factor(above_m)[:, None]
    along = factor * (worlds.wind_east_mps * to_east + worlds.wind_north_mps * to_north)
    cross = factor * (worlds.wind_north_mps * to_east - worlds.wind_east_mps * to_north)
    needed = np.hypot(np.maximum(least - along, 0.0), cross)
    flown = np.minimum(np.maximum(worlds.airspeed_mps, needed), np.maximum(worlds.most_mps, worlds.airspeed_mps))
    ahead = np.sqrt(np.maximum(flown**2 - cross**2, 0.0)) + along
    aside = np.sign(cross) * np.maximum(np.abs(cross) - flown, 0.0)
    moves = (to_east != 0.0) | (to_north != 0.0)
    pace = np.where(way.slows[place, None], worlds.pace_share, 1.0)
    pace = np.where(way.turns[place, None], 2.0 * worlds.pace_share - 1.0, pace) * moves
    up = np.clip(ahead * way.slope_ratio[place, None], -MOST_CLIMB_MPS, MOST_CLIMB_MPS)
    return tuple(
        np.clip(pace * part, -MOST_MPS, MOST_MPS)
        for part in (ahead * to_east - aside * to_north, ahead * to_north + aside * to_east, up)
    )
