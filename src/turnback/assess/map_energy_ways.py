"""The ways out of a map's energy: legs over the ground on every bearing, held against the brief's own legs."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.assess.flight_energy import Craft
from turnback.assess.map_energy_kernel import Craftwise, Ways, leg_kernel
from turnback.base.kernels import kernel, parallel_kernel
from turnback.physics.wind import wind_at_height_mps
from turnback.records.case import Case
from turnback.records.route import HeightReference
from turnback.rules.typical import typical

Array = NDArray[np.float64]

BRIEF_LEGS: Final = 19
BRIEF_STATIONS: Final = 80
SHARES: Final = np.round(np.linspace(0.0, BRIEF_STATIONS, BRIEF_LEGS + 1)) / BRIEF_STATIONS
"""Where a brief's straight way out is cut into legs (`turnback.assess.legs`, `turnback.assess.track`)."""
LEAST_WIND_HEIGHT_M: Final = 2.0
SAG_V, FALL_V = 0.25, 1.0  # of one cell: sag of a way's power, fall over a pack: they only choose a leg to look at


def above_launch_m(case: Case, x_m: Array, y_m: Array, height_m: float, reference: HeightReference) -> Array:
    """Return the height flown over places, above the launch point's ground."""
    if reference is HeightReference.GROUND:
        return np.asarray(height_m + case.terrain.ground_m(x_m, y_m) - case.launch_height_m)
    base = 0.0 if reference is HeightReference.LAUNCH else case.launch_height_m
    return np.full(np.shape(x_m), height_m - base)


def wind_ratios(height_m: Array) -> Array:
    """Return the wind at heights above launch over that at 10 m, as `turnback.assess.draw_set.DrawSet.wind_mps`."""
    roughness_m = typical("site")["roughness_m"].value
    return wind_at_height_mps(1.0, 10.0, np.maximum(height_m, LEAST_WIND_HEIGHT_M), roughness_m)


def steepest_ratio(case: Case) -> float:
    """Return the steepest that a leg over this ground can be, climb over way; never less than a little."""
    heights, cell_m = case.terrain.heights_m, case.terrain.cell_m
    down, across = (float(np.abs(np.diff(heights, axis=axis)).max()) / cell_m for axis in (0, 1))
    return max(float(np.hypot(down, across)), 0.01)


def _legs(heights_m: Array, length_m: Array) -> tuple[Array, Array]:
    """Return slope and wind over that at 10 m of the legs between places, along the last axis."""
    safe = np.where(length_m > 0.0, length_m, 1.0)
    middle = (heights_m[..., 1:] + heights_m[..., :-1]) / 2.0
    return np.diff(heights_m, axis=-1) / safe, wind_ratios(middle)


def ways_of(
    craft: Craft, case: Case, bearing_deg: Array, distance_m: Array, height_m: float, reference: HeightReference
) -> Ways:
    """Return the ways, flown leg by leg between the places of `distance_m`."""
    east, north = np.sin(np.deg2rad(bearing_deg)), np.cos(np.deg2rad(bearing_deg))
    heights = above_launch_m(
        case, east[:, None] * distance_m, north[:, None] * distance_m, height_m, reference
    )  # fmt: skip
    slope, factor = _legs(heights, np.diff(distance_m))
    law = craft.chemistry
    whole = 1.0 + law.r1_ratio + law.r2_ratio
    settle = np.array([[law.r1_ratio / whole, law.tau1_s], [law.r2_ratio / whole, law.tau2_s]])
    shape = (bearing_deg.size, distance_m.size)
    way, legs = np.stack([east, north], axis=1), np.stack([slope, factor], axis=1)
    return Ways(way, np.diff(distance_m), legs, np.ones(shape), np.full(shape, -1, dtype=np.int64), settle)


def held_to_the_brief(
    ways: Ways, craft: Craftwise, middle: int, case: Case, height_m: float, reference: HeightReference
) -> None:
    """Fill in what the brief's own legs take over these, and the leg that asks most, of one draw in the middle."""
    places = np.concatenate([[0.0], np.cumsum(ways.length_m)])[:, None] * SHARES
    east, north = ways.way.T
    heights = above_launch_m(
        case, east[:, None, None] * places, north[:, None, None] * places, height_m, reference
    )  # fmt: skip
    length = np.diff(places, axis=1)
    slope, factor = _legs(heights, length)
    row = int(np.argsort(craft.own[:, 7] / craft.own[:, 6])[craft.own.shape[0] // 2])
    theirs = np.stack([slope, factor], axis=-1)
    _held_kernel(ways, craft.own[row], craft.power_w[row], float(craft.wind_mps[row, middle]), length, theirs)


@parallel_kernel
def _held_kernel(
    ways: Ways, own: Array, table: Array, wind_mps: float, length_m: Array, theirs: Array
) -> None:  # pragma: no cover - compiled
    """Fill `legs_ratio` and `peak`; the brief's legs are ``(k, s)`` long, with slope and wind ``(b, k, s, 2)``."""
    for b in prange(ways.way.shape[0]):
        east, north = ways.way[b, 0], ways.way[b, 1]
        own_j = home_j = home_s = 0.0
        took = np.zeros((ways.length_m.size, 2))
        for k in range(1, ways.length_m.size + 1):
            long_m, slope, air = ways.length_m[k - 1], ways.legs[b, 0, k - 1], wind_mps * ways.legs[b, 1, k - 1]
            out_s, out_w = leg_kernel(own, table, air, east, north, slope)
            back_s, back_w = leg_kernel(own, table, air, -east, -north, -slope)
            took[k - 1, 0], took[k - 1, 1] = back_s * long_m, back_w
            own_j += (out_s * out_w + back_s * back_w) * long_m
            home_j += back_s * back_w * long_m
            home_s += back_s * long_m
            brief_j = 0.0
            for s in range(length_m.shape[1]):
                slope, air = theirs[b, k, s, 0], wind_mps * theirs[b, k, s, 1]
                out_s, out_w = leg_kernel(own, table, air, east, north, slope)
                back_s, back_w = leg_kernel(own, table, air, -east, -north, -slope)
                brief_j += (out_s * out_w + back_s * back_w) * length_m[k, s]
            if math.isfinite(own_j) and math.isfinite(brief_j) and own_j > 0.0:
                ways.legs_ratio[b, k] = brief_j / own_j
                ways.peak[b, k] = _hardest(took[:k], home_j / home_s, own[6], ways.settle)


@kernel
def _hardest(took: Array, home_w: float, label_j: float, settle: Array) -> int:  # pragma: no cover - compiled
    """Return the leg of the way home, told by ``(s, 2)`` time and power from launch outward, that pulls volts lowest.

    -1 where it is the last one, next to launch, at the way's own power.
    """
    found, best, left_j = -1, 0.0, 0.0
    for i in range(took.shape[0]):
        if took[i, 0] <= 0.0:
            continue
        share = 1.0
        for lag in range(2):
            share -= settle[lag, 0] * math.exp(-took[i, 0] / settle[lag, 1])
        more = SAG_V * share * (took[i, 1] / home_w - 1.0) - FALL_V * left_j / label_j
        if more > best:
            found, best = i, more
        left_j += took[i, 0] * took[i, 1]
    return found
