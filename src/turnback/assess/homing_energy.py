"""What the pack allows along one ray, compiled: straight lines in a table by bearing, distance and draw."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.map_energy import EnergyTable
from turnback.base.kernels import kernel

Array = NDArray[np.float64]
Single = NDArray[np.float32]

ONCE: Final = np.float32(1.0)
SURE: Final = np.float32(0.99995)
"""A chance from here on is one."""


class EnergyRows(NamedTuple):
    """What the pack allows, for the kernel, as in `EnergyTable`; draws in the order of the links'."""

    bearing_deg: Array
    distance_m: Array
    chance: Single
    """``(b, k, j)``."""
    needed_mid_wh: Array
    needed_high_wh: Array
    beaten_share: Array
    """``(b, k)``: of draws that beat the wind."""


class EnergyWay(NamedTuple):
    """What the pack allows on one bearing."""

    distance_m: Array
    """``(k,)``."""
    chance: Single
    """``(k, j)``."""
    steep: Array
    """``(k,)``: most that a chance falls in a metre, from there to the next distance."""
    sure: NDArray[np.bool_]
    """``(k,)``: it is one in every draw, from there to the next distance."""
    mid_wh: Array
    high_wh: Array
    beaten_share: Array


def energy_rows(energy: EnergyTable, order: NDArray[np.int64]) -> EnergyRows:
    """Return the table for the kernel.

    Parameters
    ----------
    energy : EnergyTable
    order : ndarray, shape (j,)
        Of the draws.
    """
    return EnergyRows(
        energy.bearing_deg,
        energy.distance_m,
        np.ascontiguousarray(energy.chance[:, :, order]),
        energy.needed_mid_wh,
        energy.needed_high_wh,
        energy.beaten.mean(axis=2),
    )


@kernel
def energy_way_kernel(energy: EnergyRows, x_m: float, y_m: float) -> EnergyWay:  # pragma: no cover - compiled
    """Return what the pack allows on the bearing of a place: a straight line between two bearings of the table."""
    count = energy.bearing_deg.size
    at = math.degrees(math.atan2(x_m, y_m)) % 360.0
    b = count - 1
    for i in range(count):
        if energy.bearing_deg[i] <= at:
            b = i
    after = (b + 1) % count
    step = (energy.bearing_deg[after] - energy.bearing_deg[b]) % 360.0
    share = ((at - energy.bearing_deg[b]) % 360.0) / step if step > 0.0 else 0.0
    part = np.float32(share)
    places = energy.distance_m.size
    chance = np.empty((places, energy.chance.shape[2]), np.float32)
    mid, high, beaten = np.empty(places), np.empty(places), np.empty(places)
    for k in range(places):
        for j in range(chance.shape[1]):
            chance[k, j] = energy.chance[b, k, j] + part * (energy.chance[after, k, j] - energy.chance[b, k, j])
        mid[k] = between_kernel(energy.needed_mid_wh[b, k], energy.needed_mid_wh[after, k], share)
        high[k] = between_kernel(energy.needed_high_wh[b, k], energy.needed_high_wh[after, k], share)
        beaten[k] = between_kernel(energy.beaten_share[b, k], energy.beaten_share[after, k], share)
    steep = np.zeros(places)
    sure = np.zeros(places, np.bool_)
    for k in range(places - 1):
        least = ONCE
        for j in range(chance.shape[1]):
            steep[k] = max(steep[k], abs(chance[k + 1, j] - chance[k, j]))
            least = min(least, chance[k, j], chance[k + 1, j])
        steep[k] /= energy.distance_m[k + 1] - energy.distance_m[k]
        sure[k] = least >= SURE
    return EnergyWay(energy.distance_m, chance, steep, sure, mid, high, beaten)


@kernel
def between_kernel(start: float, end: float, share: float) -> float:  # pragma: no cover - compiled
    """Return a number on the straight line between two; infinite where one of them is, but at the other's own place."""
    if share <= 0.0:
        return start
    if share >= 1.0:
        return end
    return start + share * (end - start) if math.isfinite(start) and math.isfinite(end) else math.inf


@kernel
def needed_kernel(way: EnergyWay, k: int, share: float) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return the energy to go to a place and come back, in the middle and at its high end; see `answer_kernel`."""
    return (
        between_kernel(way.mid_wh[k], way.mid_wh[k + 1], share),
        between_kernel(way.high_wh[k], way.high_wh[k + 1], share),
    )
