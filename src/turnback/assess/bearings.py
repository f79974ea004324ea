"""The rose: how far out it can turn back on each bearing, and how high an automatic return must fly there."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from turnback.assess.bearings_energy import energy_reaches_m
from turnback.assess.bearings_links import link_reaches_m
from turnback.assess.bearings_ways import (
    SAME_DEG,
    Way,
    bearings_of,
    farthest_m,
    plan_bearing_deg,
    plan_height_m,
    way_on,
)
from turnback.assess.coming_back import canopy_m
from turnback.assess.flight_energy import Craft
from turnback.assess.track import Track
from turnback.assess.turning import few_of
from turnback.physics.terrain_grid import TerrainGrid
from turnback.physics.way_home import highest_ground_between
from turnback.records.case import Case
from turnback.records.ground_plan import RoseResult
from turnback.records.result import ReturnResult
from turnback.records.world import World
from turnback.rules.chance import BAND_LOW
from turnback.rules.flight import RETURN_CLEARANCE

Array = NDArray[np.float64]


def rose_of(craft: Craft, track: Track, ground: TerrainGrid, case: Case, back: ReturnResult) -> RoseResult:
    """Return turn-back distance, its reason and the least return height on every point of the compass.

    Straight out and back at the height of the plan's farthest point. On the bearing of a straight plan the answer is
    the brief's own.

    Parameters
    ----------
    craft : Craft
        The aircraft in every draw.
    track : Track
        The plan's stations.
    ground : TerrainGrid
        The case's terrain as rays cross it.
    case : Case
    back : ReturnResult
        What the brief says on the plan's way.
    """
    world, plan_deg = craft.draws.world, plan_bearing_deg(track)
    ways = [way_on(case, world, track, float(bearing)) for bearing in bearings_of(plan_deg)]
    own = [i for i, way in enumerate(ways) if track.straight and abs(way.bearing_deg - plan_deg) < SAME_DEG]
    open_ways = [i for i in range(len(ways)) if i not in own]
    found = dict(zip(open_ways, turn_backs(craft, ground, case, [ways[i] for i in open_ways]), strict=True))
    found |= dict.fromkeys(own, (back.turn_back_m.low, back.turn_back_reason))
    ends = [_ended(ways[i], *found[i]) for i in range(len(ways))]
    turn_back = np.array([end_m for end_m, _ in ends])
    bearing = np.array([way.bearing_deg for way in ways])
    return RoseResult(
        bearing_deg=bearing,
        turn_back_m=turn_back,
        reason=tuple(reason for _, reason in ends),
        lowest_return_m=lowest_return_m(ground, world, bearing, turn_back, case.launch_height_m),
        height_m=plan_height_m(case.route),
        height_above=case.route.height_reference.value,
        farthest_m=farthest_m(track),
        plan_bearing_deg=plan_deg,
    )


def turn_backs(craft: Craft, ground: TerrainGrid, case: Case, ways: list[Way]) -> list[tuple[float, str]]:
    """Return the turn-back distance of every way at the unfavourable end, and what rules it, as a brief does.

    Parameters
    ----------
    craft : Craft
    ground : TerrainGrid
    case : Case
    ways : list of Way
        Straight out, one for each bearing.
    """
    if not ways:
        return []
    few, _, nodes = few_of(craft)
    tracks = [way.track for way in ways]
    links = link_reaches_m(ground, few.draws, tracks, case.launch_height_m)
    ends = np.stack([_end(reach) for reach in links.values()]).min(axis=0)
    enough = np.minimum(ends, [way.most_m for way in ways])
    reaches = {"energy": energy_reaches_m(few, tracks, enough, nodes), **links}
    least = _end(np.minimum.reduce(list(reaches.values())))
    return [(float(least[i]), _reason(reaches, i, way.track)) for i, way in enumerate(ways)]


def lowest_return_m(
    ground: TerrainGrid, world: World, bearing_deg: Array, out_to_m: Array, launch_ground_m: float
) -> Array:
    """Return the least return height above launch that clears ground, trees and margin, by the rule of `way_home`.

    Parameters
    ----------
    ground : TerrainGrid
    world : World
    bearing_deg, out_to_m : ndarray, shape (n,)
        From launch out to these places.
    launch_ground_m : float
        Ground at the launch point, above sea level.
    """
    east, north = np.sin(np.deg2rad(bearing_deg)), np.cos(np.deg2rad(bearing_deg))
    highest = highest_ground_between(ground, out_to_m * east, out_to_m * north)
    return np.asarray(highest.height_m - launch_ground_m + canopy_m(world) + RETURN_CLEARANCE.value)


def _end(reach_m: Array) -> Array:
    return np.asarray(np.quantile(reach_m, BAND_LOW.value, axis=1))


def _reason(reaches: Mapping[str, Array], way: int, track: Track) -> str:
    """Return which reach ends first at its unfavourable end; ``"route"`` where none does, as in `assess_return`."""
    ends = {name: float(np.quantile(reach[way], BAND_LOW.value)) for name, reach in reaches.items()}
    reason = min(ends, key=lambda name: ends[name])
    return "route" if ends[reason] >= float(track.from_launch_m[track.outbound()].max()) - 1.0 else reason


def _ended(way: Way, turn_back_m: float, reason: str) -> tuple[float, str]:
    """Keep a turn-back distance inside what ends the way anyhow."""
    if turn_back_m > way.most_m or reason == "route":
        return min(turn_back_m, way.most_m), way.reason
    return turn_back_m, reason
