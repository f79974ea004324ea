"""One ray outward over the ground: the radio losses to every sample of it, in one walk.

For the sample ``i`` the numbers are those of a path over the samples ``0..i`` alone (`bullington.ray_kernel`,
`clutter.canopy_kernel`).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel
from turnback.physics.bullington import ray_kernel
from turnback.physics.clutter import canopy_kernel

Array = NDArray[np.float64]


@kernel
def prefix_ray(
    distance_km: Array,
    ground_m: Array,
    aircraft_m: Array,
    antenna_m: float,
    frequency_mhz: Array,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
    canopy_m: Array,
    table: Array,
    under_m: Array,
    top_m: Array,
) -> None:  # pragma: no cover - compiled
    """Fill, for every sample of a ray, ``table[i, f] = (delta-Bullington loss, ruling edge's loss, clearance ratio)``.

    ``under_m[i, c]`` is the path below each canopy, ``top_m[i]`` the highest ground from the launch point to there.
    Heights above sea level; ``ground_m[0]`` is the launch point's. The first sample is overhead: no loss, infinitely
    clear; to the second the ground half-way is taken as the mean of both ends.
    """
    count = distance_km.size
    top = ground_m[0]
    near_km = np.zeros(3)
    near_m = np.zeros(3)
    for i in range(count):
        top = max(top, ground_m[i])
        top_m[i] = top
        if i == 0:
            for f in range(frequency_mhz.size):
                table[i, f, 0] = 0.0
                table[i, f, 1] = 0.0
                table[i, f, 2] = math.inf
            for c in range(canopy_m.size):
                above_m = antenna_m - ground_m[0]
                under_m[i, c] = min(max(canopy_m[c] - above_m, 0.0), max(aircraft_m[0] - antenna_m, 0.0))
            continue
        at_km = distance_km[: i + 1]
        at_m = ground_m[: i + 1]
        if i == 1:
            near_km[1] = distance_km[1] / 2.0
            near_km[2] = distance_km[1]
            near_m[0] = ground_m[0]
            near_m[1] = (ground_m[0] + ground_m[1]) / 2.0
            near_m[2] = ground_m[1]
            at_km = near_km
            at_m = near_m
        ray_kernel(
            at_km, at_m, antenna_m, aircraft_m[i], frequency_mhz, radius_km, vertical, permittivity, conductivity,
            table[i],
        )  # fmt: skip
        for c in range(canopy_m.size):
            under_m[i, c] = canopy_kernel(at_km, at_m, antenna_m, aircraft_m[i], radius_km, canopy_m[c])
