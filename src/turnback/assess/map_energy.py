"""What the pack allows over the whole plane: straight out to a place and straight back, on every bearing.

The chance at a place is the brief's own, for a flight straight there and straight back with no look round. Packs are
emptied once (`turnback.assess.map_energy_pack`), flights are added up on every bearing and looked up there
(`turnback.assess.map_energy_kernel`). See docs/models/map-energy.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.flight_energy import Craft
from turnback.assess.map_energy_chance import chances_of
from turnback.assess.map_energy_craft import WINDY_Z, craftwise, emptied_packs
from turnback.assess.map_energy_kernel import plane_kernel
from turnback.assess.map_energy_reach import distances_m
from turnback.assess.map_energy_ways import above_launch_m, held_to_the_brief, steepest_ratio, ways_of, wind_ratios
from turnback.records.case import Case
from turnback.records.route import HeightReference
from turnback.rules.chance import BAND_HIGH

__all__ = ["WINDY_Z", "EnergyTable", "energy_table"]

Array = NDArray[np.float64]

EVERY_DEG: Final = 10.0
EVERY_OVER_GROUND_DEG: Final = 6.0
NEAR_LEGS, NEAR_LEGS_OVER_GROUND = 4, 12


@dataclass(frozen=True, slots=True, eq=False)
class EnergyTable:
    """What the pack allows, by bearing ``b``, distance ``k`` and draw of the unknowns ``j``.

    Attributes
    ----------
    bearing_deg : ndarray, shape (b,)
        Clockwise from true north, ascending, from 0 below 360; the circle closes.
    distance_m : ndarray, shape (k,)
        From launch, ascending, the first 0; between two of them a straight line is close enough.
    chance : ndarray, shape (b, k, j), float32
        Of landing above the land-by volts with no cell harmed; never rises with distance.
    needed_mid_wh, needed_high_wh : ndarray, shape (b, k)
        Energy from the pack: the median draw in the middle wind, and the unfavourable end of the draws in the wind of
        one flight in twenty. Infinite where the wind cannot be beaten.
    beaten : ndarray, shape (b, k, j), bool
        The wind of one flight in twenty can be beaten all the way there and back.
    """

    bearing_deg: Array
    distance_m: Array
    chance: NDArray[np.float32]
    needed_mid_wh: Array
    needed_high_wh: Array
    beaten: NDArray[np.bool_]


def energy_table(
    craft: Craft,
    case: Case,
    height_m: float,
    reference: HeightReference,
    farthest_m: float,
    bearing_deg: Array | None = None,
    distance_m: Array | None = None,
) -> EnergyTable:
    """Return what the pack allows for flights straight out at one height and straight back.

    Parameters
    ----------
    craft : Craft
        The ``j`` draws of the unknowns.
    case : Case
        Terrain, launch height and the route's speed.
    height_m : float
        Above `reference`.
    reference : HeightReference
    farthest_m : float
        Nobody asks beyond this distance from launch.
    bearing_deg, distance_m : ndarray, optional
        Where; chosen here if left out. Distances ascend from 0. Over ground the legs are those between distances.
    """
    over_ground = reference is HeightReference.GROUND
    every = EVERY_OVER_GROUND_DEG if over_ground else EVERY_DEG
    bearing = np.arange(0.0, 360.0, every) if bearing_deg is None else np.asarray(bearing_deg, dtype=np.float64)
    at_launch_m = float(above_launch_m(case, np.zeros(1), np.zeros(1), height_m, reference)[0])
    chances = chances_of(craft.draws.nodes)
    each = craftwise(craft, at_launch_m, steepest_ratio(case) if over_ground else 0.0)
    emptied = emptied_packs(craft, each, at_launch_m)
    if distance_m is None:
        near = NEAR_LEGS_OVER_GROUND if over_ground else NEAR_LEGS
        here = float(wind_ratios(np.array([at_launch_m]))[0])
        distance = distances_m(each, emptied, chances, here, farthest_m, near)
    else:
        distance = np.asarray(distance_m, dtype=np.float64)
    ways = ways_of(craft, case, bearing, distance, height_m, reference)
    if over_ground:
        held_to_the_brief(ways, each, chances.middle, case, height_m, reference)
    shape = (bearing.size, distance.size, craft.draws.count)
    chance, needed = np.empty(shape, dtype=np.float32), np.empty((2, *shape), dtype=np.float32)
    plane_kernel(each, ways, emptied, chances, chance, needed)
    return EnergyTable(
        bearing_deg=bearing,
        distance_m=distance,
        chance=chance,
        needed_mid_wh=_from_above(needed[0], 0.5),
        needed_high_wh=_from_above(needed[1], BAND_HIGH.value),
        beaten=np.isfinite(needed[1]),
    )


def _from_above(values: NDArray[np.float32], at: float) -> Array:
    """Return a quantile along the last axis, the value above where it falls between two: none is half infinite."""
    rank = int(np.ceil(at * (values.shape[-1] - 1)))
    return np.partition(values, rank, axis=-1)[..., rank].astype(np.float64)
