"""Where a lost aircraft came down: from the last that is known, by what it did then, its fall, and the wind."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.falling_ring import ring
from turnback.assess.search_last import GoesOn, LastKnown
from turnback.assess.spreads import spread
from turnback.base.constants import GRAVITY_MPS2
from turnback.base.streams import Rng, stream
from turnback.physics.fall import fall_to_ground
from turnback.physics.terrain_grid import TerrainGrid, ground_height_m, inside
from turnback.records.debrief import SearchArea
from turnback.records.finding import Spread
from turnback.rules.record_debrief import (
    DESCENDS,
    FLIES_LONGEST,
    NOT_KNOWN_FALLS,
    RETURN_SPEED,
    TERMINAL_HIGH,
    TERMINAL_LOW,
    VEERS_SD,
    WIND_NOT_TOLD,
    WIND_SHARE,
)

Array = NDArray[np.float64]

WORLDS: Final = 4000
MASS_KG: Final = 0.5  # only its drag over its mass matters; both come from the terminal speed
DENSITY_KG_M3: Final = 1.2
HALF: Final = 0.5
MOST: Final = 0.9
TURNING_S: Final = 8.0
"""A course that veers holds its turn this long."""


@dataclass(frozen=True, slots=True)
class SearchFacts:
    """What is known beside the last place.

    Parameters
    ----------
    terminal_mps : tuple of float or None
        Low and high of the speed at which it falls; a typical range where None.
    wind_mps, wind_from_deg : float or None
        At flying height.
    ground : TerrainGrid or None
        Level where None. x east, y north of the launch point.
    """

    terminal_mps: tuple[float, float] | None = None
    wind_mps: float | None = None
    wind_from_deg: float | None = None
    ground: TerrainGrid | None = None


@dataclass(slots=True)
class _Going:
    """Where it is in each world; changed by what it goes on to do."""

    x_m: Array
    y_m: Array
    height_m: Array
    east_mps: Array
    north_mps: Array
    climb_mps: Array
    stops_within_s: float


def search_area(last: LastKnown, facts: SearchFacts | None = None, *, seed: int = 1) -> SearchArea:
    """Return where to look.

    Parameters
    ----------
    last : LastKnown
    facts : SearchFacts, optional
    seed : int
        The same seed gives the same area.

    Notes
    -----
    A few thousand falls with quadratic drag onto the plan's ground (`physics.fall.fall_to_ground`) from drawn places,
    speeds, winds and ways of going on; the outlines are the least ellipses of the cloud's own shape that hold half and
    nine tenths of it.
    """
    known = facts or SearchFacts()
    rng = stream(seed, "search")
    going = _start(last, rng)
    wind_east, wind_north = _winds(known, rng)
    ways = _ways(last.goes_on, rng)
    for way, act in ACTS.items():
        rows = np.flatnonzero(ways == way)
        if rows.size:
            act(going, rows, wind_east, wind_north, rng)
    x_m, y_m, speed_mps = _down(going, ways, known, wind_east, wind_north, rng)
    middle = float(np.median(x_m)), float(np.median(y_m))
    if not math.isfinite(last.across_sd_m):
        middle = 0.0, 0.0  # a ring around the launch point: no direction is known
    half, most = (ring(x_m, y_m, *middle, share) for share in (HALF, MOST))
    return SearchArea(
        last_x_m=last.x_m,
        last_y_m=last.y_m,
        last_height_m=last.height_m,
        last_speed_mps=math.hypot(last.east_mps, last.north_mps),
        last_course_deg=math.degrees(math.atan2(last.east_mps, last.north_mps)) % 360.0,
        last_s=last.at_s,
        centre_x_m=middle[0],
        centre_y_m=middle[1],
        distance_m=spread(np.hypot(x_m, y_m)),
        bearing_deg=_bearings(x_m, y_m, middle),
        half_x_m=half[0],
        half_y_m=half[1],
        most_x_m=most[0],
        most_y_m=most[1],
        area_m2=_area_m2(*most),
        flies_on=bool(np.any((ways == GoesOn.FLIES_ON) | (ways == GoesOn.RETURNS))),
        launch_latitude_deg=None if last.launch_deg is None else last.launch_deg[0],
        launch_longitude_deg=None if last.launch_deg is None else last.launch_deg[1],
        impact_speed_mps=Spread(0.0, 0.0, 0.0) if last.goes_on is GoesOn.LIES_THERE else spread(speed_mps),
    )


def _start(last: LastKnown, rng: Rng) -> _Going:
    away = math.hypot(last.x_m, last.y_m)
    out = (last.x_m / away, last.y_m / away) if away > 1.0 else (0.0, 1.0)
    along = rng.normal(0.0, 1.0, WORLDS) * last.along_sd_m
    height = np.maximum(last.height_m + rng.normal(0.0, 1.0, WORLDS) * last.height_sd_m, 0.0)
    each = np.ones(WORLDS)
    if math.isfinite(last.across_sd_m):
        across = rng.normal(0.0, 1.0, WORLDS) * last.across_sd_m
        x = last.x_m + along * out[0] - across * out[1]
        y = last.y_m + along * out[1] + across * out[0]
        return _Going(x, y, height, last.east_mps * each, last.north_mps * each, last.climb_mps * each,
                      last.stops_within_s)  # fmt: skip
    way = rng.uniform(0.0, 2.0 * math.pi, WORLDS)
    far, speed = away + along, math.hypot(last.east_mps, last.north_mps)
    return _Going(far * np.sin(way), far * np.cos(way), height, speed * np.sin(way), speed * np.cos(way), 0.0 * each,
                  last.stops_within_s)  # fmt: skip


def _winds(known: SearchFacts, rng: Rng) -> tuple[Array, Array]:
    if known.wind_mps is None:
        speed = np.abs(rng.normal(0.0, WIND_NOT_TOLD.value, WORLDS))
    else:
        speed = np.maximum(known.wind_mps * (1.0 + WIND_SHARE.value * rng.normal(0.0, 1.0, WORLDS)), 0.0)
    if known.wind_from_deg is None:
        toward = rng.uniform(0.0, 2.0 * math.pi, WORLDS)
    else:
        toward = math.radians(known.wind_from_deg + 180.0) + 0.25 * rng.normal(0.0, 1.0, WORLDS)
    return speed * np.sin(toward), speed * np.cos(toward)


def _ways(goes_on: GoesOn, rng: Rng) -> NDArray[np.object_]:
    ways = np.full(WORLDS, goes_on, dtype=object)
    if goes_on is GoesOn.NOT_KNOWN:
        drawn = rng.uniform(0.0, 1.0, WORLDS)
        left = (1.0 - NOT_KNOWN_FALLS.value) / 3.0
        ways[:] = GoesOn.FALLS
        for k, way in enumerate((GoesOn.FLIES_ON, GoesOn.DRIFTS_DOWN, GoesOn.RETURNS)):
            ways[drawn > NOT_KNOWN_FALLS.value + k * left] = way
    return ways


def _falls(going: _Going, rows: NDArray[np.intp], wind_east: Array, wind_north: Array, rng: Rng) -> None:
    """Fly on as it did until its board stops the motors."""
    del wind_east, wind_north
    _fly(going, rows, rng.uniform(0.2, going.stops_within_s, rows.size))


def _flies_on(going: _Going, rows: NDArray[np.intp], wind_east: Array, wind_north: Array, rng: Rng) -> None:
    """Fly on with held sticks on a course that veers, until something ends it."""
    del wind_east, wind_north
    seconds = rng.uniform(0.2, FLIES_LONGEST.value, rows.size)
    sinks = going.climb_mps[rows] < -0.5  # it meets the ground before that
    meets = np.where(sinks, going.height_m[rows] / np.maximum(-going.climb_mps[rows], 0.5), np.inf)
    seconds = np.minimum(seconds, meets)
    turn = np.radians(rng.normal(0.0, VEERS_SD.value, rows.size)) * np.minimum(seconds, TURNING_S)
    east, north = going.east_mps[rows], going.north_mps[rows]
    cosine, sine = np.cos(turn / 2.0), np.sin(turn / 2.0)  # the chord of an arc points half as far round as it turns
    going.east_mps[rows], going.north_mps[rows] = east * cosine + north * sine, north * cosine - east * sine
    _fly(going, rows, seconds)


def _drifts_down(going: _Going, rows: NDArray[np.intp], wind_east: Array, wind_north: Array, rng: Rng) -> None:
    """Come down where it is: anything between holding its place and drifting with the wind."""
    sink = DESCENDS.value * 2.0 ** rng.uniform(-1.0, 1.0, rows.size)
    seconds, drift = going.height_m[rows] / sink, rng.uniform(0.0, 1.0, rows.size)
    going.x_m[rows] += drift * wind_east[rows] * seconds
    going.y_m[rows] += drift * wind_north[rows] * seconds
    going.height_m[rows] = 0.0
    for part in (going.east_mps, going.north_mps):
        part[rows] = 0.0
    going.climb_mps[rows] = -sink


def _returns(going: _Going, rows: NDArray[np.intp], wind_east: Array, wind_north: Array, rng: Rng) -> None:
    """Fly straight home; it did not come, so it ended somewhere on that line."""
    del wind_east, wind_north
    share = rng.uniform(0.0, 1.0, rows.size)
    away = np.maximum(np.hypot(going.x_m[rows], going.y_m[rows]), 1.0)
    speed = RETURN_SPEED.value * 2.0 ** rng.uniform(-1.0, 1.0, rows.size)
    going.east_mps[rows] = -going.x_m[rows] / away * speed
    going.north_mps[rows] = -going.y_m[rows] / away * speed
    going.climb_mps[rows] = 0.0
    going.x_m[rows] *= 1.0 - share
    going.y_m[rows] *= 1.0 - share


def _lies(going: _Going, rows: NDArray[np.intp], wind_east: Array, wind_north: Array, rng: Rng) -> None:
    """Stay where it is."""
    del wind_east, wind_north, rng
    going.height_m[rows] = 0.0


ACTS: Final = {
    GoesOn.FALLS: _falls,
    GoesOn.FLIES_ON: _flies_on,
    GoesOn.DRIFTS_DOWN: _drifts_down,
    GoesOn.RETURNS: _returns,
    GoesOn.LIES_THERE: _lies,
}


def _fly(going: _Going, rows: NDArray[np.intp], seconds: Array) -> None:
    going.x_m[rows] += going.east_mps[rows] * seconds
    going.y_m[rows] += going.north_mps[rows] * seconds
    going.height_m[rows] = np.maximum(going.height_m[rows] + going.climb_mps[rows] * seconds, 0.0)


def _down(
    going: _Going, ways: NDArray[np.object_], known: SearchFacts, wind_east: Array, wind_north: Array, rng: Rng
) -> tuple[Array, Array, Array]:
    """Let every world fall to the ground; return where it lies and how fast it came."""
    low, high = known.terminal_mps or (TERMINAL_LOW.value, TERMINAL_HIGH.value)
    terminal = low * (high / low) ** rng.uniform(0.0, 1.0, WORLDS)
    drag_m2 = 2.0 * MASS_KG * GRAVITY_MPS2 / (DENSITY_KG_M3 * terminal**2)
    x_m, y_m = going.x_m.copy(), going.y_m.copy()
    speed = np.hypot(np.hypot(going.east_mps, going.north_mps), going.climb_mps)
    rows = np.flatnonzero((going.height_m > 0.0) & (ways != GoesOn.LIES_THERE))
    if rows.size:
        above = _above_ground(going, rows, known.ground)
        fall = fall_to_ground(
            MASS_KG, drag_m2[rows], DENSITY_KG_M3, above, going.east_mps[rows], going.north_mps[rows],
            going.climb_mps[rows], wind_east[rows], wind_north[rows], 0.0, going.x_m[rows], going.y_m[rows],
            known.ground, step_share=0.1,
        )  # fmt: skip
        x_m[rows], y_m[rows], speed[rows] = fall.x_m, fall.y_m, fall.speed_mps
    return x_m, y_m, speed


def _above_ground(going: _Going, rows: NDArray[np.intp], ground: TerrainGrid | None) -> Array:
    """Return heights above the ground under it; the record's count from where it took off."""
    height = going.height_m[rows]
    if ground is None:
        return height
    x_m, y_m = going.x_m[rows], going.y_m[rows]
    there = inside(ground, x_m, y_m)
    here = ground_height_m(ground, np.where(there, x_m, 0.0), np.where(there, y_m, 0.0))
    return np.maximum(height - (here - float(ground_height_m(ground, 0.0, 0.0))), 0.0)


def _bearings(x_m: Array, y_m: Array, middle: tuple[float, float]) -> Spread:
    """Return directions from the launch point; the ends may lie below 0 or beyond 360, all around it is 0 to 360."""
    if middle == (0.0, 0.0):
        return Spread(0.0, 0.0, 360.0)
    centre = math.degrees(math.atan2(*middle)) % 360.0
    off = (np.degrees(np.arctan2(x_m, y_m)) - centre + 180.0) % 360.0 - 180.0
    found = spread(off)
    return Spread(centre, centre + found.low, centre + found.high)


def _area_m2(x_m: Array, y_m: Array) -> float:
    """Return what a closed outline encloses (the surveyor's formula)."""
    return float(abs(np.sum(x_m[:-1] * y_m[1:] - x_m[1:] * y_m[:-1])) / 2.0)
