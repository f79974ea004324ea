"""How it comes home: turn-back point, the automatic return against ground and wind."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.assess.reception import LinkAnswer
from turnback.assess.spreads import spread
from turnback.assess.track import Track
from turnback.assess.turning import Turning
from turnback.physics.terrain_grid import TerrainGrid
from turnback.physics.way_home import highest_ground_between
from turnback.physics.wind import FASTEST_MPS, beatable_headwind_mps, ground_speed_mps
from turnback.records.aircraft import RadioLossAction
from turnback.records.common import Answer
from turnback.records.result import ReturnResult
from turnback.records.world import World
from turnback.rules.flight import RETURN_CLEARANCE, RETURN_HEADWIND

Array = NDArray[np.float64]

WINDY_Z = 1.645  # the wind that one flight in twenty meets


@dataclass(frozen=True, slots=True)
class WayHome:
    """The ground under the straight lines home, seen from the launch point's ground."""

    lowest_height_m: float
    obstacle_from_launch_m: float
    obstacle_height_m: float
    clearance_m: float | None


def canopy_m(world: World) -> float:
    """Return the trees that a return line has to clear: as said or typical; none on open ground."""
    site = world.site
    return site.canopy_height_m.value if site.tree_depth_fraction.high > 0.0 else 0.0


def way_home(grid: TerrainGrid, world: World, track: Track, launch_ground_m: float) -> WayHome:
    """Return the highest ground on any straight line home from the plan's stations."""
    planned = track.planned() & (track.from_launch_m > 1.0)
    if not planned.any():
        planned = track.planned()
    highest = highest_ground_between(grid, track.x_m[planned], track.y_m[planned])
    rules = int(np.argmax(highest.height_m))
    top_m = float(highest.height_m[rules]) - launch_ground_m
    over_m = top_m + canopy_m(world)
    set_m = None if world.aircraft.return_height_m is None else world.aircraft.return_height_m.value
    return WayHome(
        lowest_height_m=over_m + RETURN_CLEARANCE.value,
        obstacle_from_launch_m=float(highest.from_launch_m[rules]),
        obstacle_height_m=top_m,
        clearance_m=None if set_m is None else set_m - over_m,
    )


def assess_return(
    draws: DrawSet,
    track: Track,
    home: WayHome,
    turning: Turning,
    links: list[LinkAnswer],
    largest_wind: float,
) -> ReturnResult:
    """Put energy, links, ground and wind into the way home."""
    world = draws.world
    reaches = {"energy": turning.reach_m, **{link.result.name: link.reach_m[turning.rows] for link in links}}
    every = np.stack(list(reaches.values()))
    turn_back = every.min(axis=0)
    ends = {name: float(np.quantile(reach, 0.05)) for name, reach in reaches.items()}
    reason = min(ends, key=lambda name: ends[name])
    farthest = float(track.from_launch_m[track.outbound()].max())
    if ends[reason] >= farthest - 1.0:
        reason = "route"
    planned_m = float(track.from_launch_m[track.planned()].max())
    height = np.array([home.lowest_height_m if home.clearance_m is None else set_height_m(world)])
    wind = draws.wind_mps(height, np.array([0.0, WINDY_Z]))[:, :, 0]
    airspeed = draws["aircraft.return_mps"]
    headwind = _worst_headwind(draws, track, wind[:, 1], airspeed)
    speed_home = np.maximum(airspeed - _worst_headwind(draws, track, wind[:, 0], airspeed), 0.0)
    seconds = np.where(speed_home > 0.0, planned_m / np.where(speed_home > 0.0, speed_home, 1.0), np.inf)
    return ReturnResult(
        action=world.aircraft.action,
        turn_back_m=spread(turn_back),
        turn_back_s=spread(_seconds_at(turning, turn_back)),
        turn_back_reason=reason,
        planned_m=planned_m,
        set_height_m=None if world.aircraft.return_height_m is None else set_height_m(world),
        lowest_height_m=home.lowest_height_m,
        clearance_m=home.clearance_m,
        obstacle_from_launch_m=home.obstacle_from_launch_m,
        obstacle_height_m=home.obstacle_height_m,
        headwind_mps=spread(headwind),
        beatable_headwind_mps=spread(beatable_headwind_mps(airspeed, RETURN_HEADWIND.value)),
        largest_wind_mps=largest_wind,
        seconds_home_s=spread(np.minimum(seconds, 36_000.0)),
    )


def set_height_m(world: World) -> float:
    """Return the set return height, 0 where none is known."""
    return 0.0 if world.aircraft.return_height_m is None else world.aircraft.return_height_m.value


def _seconds_at(turning: Turning, turn_back_m: Array) -> Array:
    """Scale the time at the energy turn-back to the distance that rules."""
    share = np.where(turning.reach_m > 0.0, turn_back_m / np.where(turning.reach_m > 0.0, turning.reach_m, 1.0), 0.0)
    return np.asarray(turning.reach_s * np.minimum(share, 1.0))


def _worst_headwind(draws: DrawSet, track: Track, wind_mps: Array, airspeed_mps: Array) -> Array:
    """Return what the wind takes at most from the airspeed, straight home from the plan's far half, ``(j,)``.

    The headwind, and what holding the line against a cross wind costs; all of the wind where the line cannot be held.
    """
    far = track.planned() & (track.from_launch_m >= 0.5 * track.from_launch_m[track.planned()].max())
    distance = np.maximum(track.from_launch_m[far], 1e-9)
    east, north = -track.x_m[far] / distance, -track.y_m[far] / distance
    to_east, to_north = draws.wind_to()
    along = wind_mps[:, None] * (to_east[:, None] * east + to_north[:, None] * north)
    cross = wind_mps[:, None] * (to_north[:, None] * east - to_east[:, None] * north)
    airspeed = airspeed_mps[:, None]
    ground = ground_speed_mps(
        airspeed, np.clip(along, -FASTEST_MPS, FASTEST_MPS), np.clip(cross, -FASTEST_MPS, FASTEST_MPS)
    )
    taken = np.where(np.isnan(ground), np.hypot(along, cross), airspeed - ground)
    return np.asarray(np.maximum(taken, 0.0).max(axis=1))


def return_works(world: World, home: WayHome, back: ReturnResult) -> bool:
    """True where the automatic return is set, tested on this build, clears the ground and beats the wind."""
    return (
        world.aircraft.action is RadioLossAction.AUTOMATIC_RETURN
        and world.aircraft.return_tested is Answer.YES
        and home.clearance_m is not None
        and home.clearance_m >= RETURN_CLEARANCE.value
        and back.beatable_headwind_mps.low >= back.headwind_mps.high
        and back.beatable_headwind_mps.low > 0.0
    )
