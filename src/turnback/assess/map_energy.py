"""What the pack allows over the whole plane: straight out to a place and straight back, on every bearing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import electrical_w
from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import Craft, flown_legs, landing_chance, march_flight
from turnback.assess.legs import Legs, planned_legs
from turnback.assess.track import lay_track
from turnback.records.case import Case
from turnback.records.route import HeightReference, Route
from turnback.rules.chance import BAND_HIGH

Array = NDArray[np.float64]

WINDY_Z: Final = 1.645
"""The wind that one flight in twenty meets."""
LEAST_M: Final = 0.01  # a flight to the launch point itself goes up and comes down


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
        Where; chosen here if left out. Distances ascend from 0.
    """
    bearing = np.arange(0.0, 360.0, 30.0) if bearing_deg is None else np.asarray(bearing_deg, dtype=np.float64)
    distance = np.linspace(0.0, farthest_m, 9) if distance_m is None else np.asarray(distance_m, dtype=np.float64)
    shape = (bearing.size, distance.size)
    chance = np.empty((*shape, craft.draws.count), dtype=np.float32)
    beaten = np.empty(chance.shape, dtype=np.bool_)
    mid, high = np.empty(shape), np.empty(shape)
    for b, k in np.ndindex(*shape):
        legs = flight_legs(case, float(bearing[b]), float(distance[k]), height_m, reference)
        chance[b, k] = landing_chance(march_flight(craft, legs), craft)
        windy = needed_wh(craft, legs, WINDY_Z)
        mid[b, k], high[b, k] = np.median(needed_wh(craft, legs, 0.0)), _quantile(windy, BAND_HIGH.value)
        beaten[b, k] = np.isfinite(windy)
    return EnergyTable(bearing, distance, np.minimum.accumulate(chance, axis=1), mid, high, beaten)


def flight_legs(case: Case, bearing_deg: float, distance_m: float, height_m: float, reference: HeightReference) -> Legs:
    """Return the legs of the brief's own flight straight out and straight back, with no look round at the far end."""
    out_m = max(distance_m, LEAST_M)
    east, north = np.sin(np.deg2rad(bearing_deg)), np.cos(np.deg2rad(bearing_deg))
    route = Route(
        np.array([0.0, out_m * east]), np.array([0.0, out_m * north]), np.array([height_m, height_m]),
        reference, case.route.speed_mps, 0.0, straight=True, closes_at_launch=False,
    )  # fmt: skip
    return planned_legs(lay_track(route, case.terrain, case.launch_height_m))


def needed_wh(craft: Craft, legs: Legs, wind_z: float) -> Array:
    """Return the energy that a flight takes from the pack in one wind, shape ``(j,)``; infinite where it never ends."""
    flown = flown_legs(craft, legs, Nodes(np.array([wind_z]), np.array([0.0]), np.array([1.0])))
    power_w = electrical_w(craft.draws, craft.thrust, craft.scale, flown.airspeed_mps, flown.climb_mps)
    return np.asarray((power_w * flown.duration_s).sum(axis=-1)[:, 0] / 3600.0)


def _quantile(values: Array, at: float) -> float:
    """Return a quantile of values that may be infinite: never between a number and infinity."""
    return float(np.quantile(values, at, method="higher"))
