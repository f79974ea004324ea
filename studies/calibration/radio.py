"""A radio path over ground: free space, edges, leaves, echo, patterns, shadowing; written anew for this study."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
EARTH_M: Final = 8_495_000.0
"""4/3 of the Earth's radius."""
SHADOW_STEP_M: Final = 10.0


def free_space_db(path_m: float, mhz: float) -> float:
    """Return 32.448 + 20 log f + 20 log d (MHz, km)."""
    return 32.44778 + 20.0 * math.log10(mhz) + 20.0 * math.log10(max(path_m, 1.0) / 1000.0)


def edge_db(nu: float) -> float:
    """Return the loss of one knife edge at a Fresnel parameter, Lee's closed form as the ITU gives it."""
    if nu <= -0.78:
        return 0.0
    return 6.9 + 20.0 * math.log10(math.sqrt((nu - 0.1) ** 2 + 1.0) + nu - 0.1)


def _worst(
    along: Array, height: Array, first: int, last: int, ends: tuple[float, float], wave_m: float
) -> tuple[int, float]:
    """Return place and ν of the ruling edge between two samples, whose antennas stand at `ends`."""
    if last - first < 2:
        return -1, -9.0
    d = along[last] - along[first]
    d1 = along[first + 1 : last] - along[first]
    d2 = d - d1
    line = ends[0] + (ends[1] - ends[0]) * d1 / d
    over = height[first + 1 : last] + d1 * d2 / (2.0 * EARTH_M) - line
    nu = over * np.sqrt(2.0 * d / (wave_m * d1 * d2))
    k = int(np.argmax(nu))
    return first + 1 + k, float(nu[k])


def edges_db(along: Array, height: Array, from_m: float, to_m: float, mhz: float) -> tuple[float, float, float]:
    """Return the ruling edge's loss, that of up to three edges (Deygout 1966), and the greatest ν.

    `along` and `height` are the ground from the pilot to under the aircraft; `from_m` and `to_m` the antennas' heights.
    """
    wave_m = 299.792458 / mhz
    last = along.size - 1
    main, nu = _worst(along, height, 0, last, (from_m, to_m), wave_m)
    one = edge_db(nu)
    if main < 0 or nu <= -0.78:
        return one, one, nu
    top = float(height[main])
    _, left = _worst(along, height, 0, main, (from_m, top), wave_m)
    _, right = _worst(along, height, main, last, (top, to_m), wave_m)
    return one, one + edge_db(left) + edge_db(right), nu


def echo_db(path_m: float, from_m: float, to_m: float, mhz: float, ratio: float) -> float:
    """Return what the ray reflected by the ground does: a loss, or a gain below zero."""
    if ratio <= 0.0 or path_m < 1.0:
        return 0.0
    longer_m = 2.0 * from_m * max(to_m, 0.0) / path_m
    phase = 2.0 * math.pi * longer_m * mhz / 299.792458
    field = math.hypot(1.0 - ratio * math.cos(phase), ratio * math.sin(phase))
    return -20.0 * math.log10(field)


def leaves_db(leaf_m: float, mhz: float) -> float:
    """Return Weissberger's loss of a path through leaves."""
    ghz = mhz / 1000.0
    if leaf_m <= 0.0:
        return 0.0
    if leaf_m < 14.0:
        return float(0.45 * ghz**0.284 * leaf_m)
    return float(1.33 * ghz**0.284 * min(leaf_m, 400.0) ** 0.588)


def dipole_db(off_axis_rad: float, deepest_db: float) -> float:
    """Return how far a half-wave dipole is below its best at an angle from its rod; a null is filled to a depth."""
    sine = abs(math.sin(off_axis_rad))
    if sine < 1e-4:
        return deepest_db
    field = abs(math.cos(0.5 * math.pi * math.cos(off_axis_rad)) / sine)
    return min(deepest_db, -20.0 * math.log10(max(field, 1e-6)))


def shadow(length_m: float, decorrelation_m: float, chance: np.random.Generator) -> Array:
    """Return shadowing of one standard deviation along the way, every `SHADOW_STEP_M` (Gudmundson 1991)."""
    count = int(length_m / SHADOW_STEP_M) + 3
    keep = math.exp(-SHADOW_STEP_M / decorrelation_m)
    kicks = chance.normal(size=count)
    field = np.empty(count)
    field[0] = kicks[0]
    for k in range(1, count):
        field[k] = keep * field[k - 1] + math.sqrt(1.0 - keep * keep) * kicks[k]
    return field
