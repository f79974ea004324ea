"""The delta-Bullington method of ITU-R P.526-15, section 4.5, compiled: one walk over a profile for all frequencies.

These kernels trust their input; `turnback.physics.diffraction` and `turnback.physics.rays` verify it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import SPEED_OF_LIGHT_MPS
from turnback.base.kernels import kernel
from turnback.physics.profile import horizon_slopes, ruling_edge
from turnback.physics.spherical_earth import spherical_earth_db

Array = NDArray[np.float64]


@kernel
def knife_edge_kernel(nu: float) -> float:  # pragma: no cover - compiled
    """Return J(nu), equation (31); 0 at and below nu = -0.78."""
    if nu <= -0.78:
        return 0.0
    return 6.9 + 20.0 * math.log10(math.hypot(nu - 0.1, 1.0) + nu - 0.1)


@kernel
def bullington_kernel(nu: float, path_km: float) -> float:  # pragma: no cover - compiled
    """Return the Bullington loss of an equivalent edge, section 4.5.1."""
    edge_db = knife_edge_kernel(nu)
    return edge_db + (1.0 - math.exp(-edge_db / 6.0)) * (10.0 + 0.02 * path_km)


@kernel
def equivalent_edge(
    distance_km: Array, height_m: Array, from_m: float, to_m: float, radius_km: float, direct: float
) -> float:  # pragma: no cover - compiled
    """Return nu·√λ of the Bullington point; `direct` is that of the ruling sample, taken where the ray is clear.

    Where a sample lies exactly on the ray both horizons are the ray itself and no point stands out: nu is 0.
    """
    if direct <= 0.0:
        return direct
    path_km: float = distance_km[distance_km.size - 1]
    forward, backward = horizon_slopes(distance_km, height_m, from_m, to_m, radius_km)
    near = (to_m - from_m + backward * path_km) / (forward + backward)
    far = path_km - near
    above_m = from_m + forward * near - (from_m * far + to_m * near) / path_km
    nu_root: float = above_m * math.sqrt(0.002 * path_km / (near * far))
    return nu_root


@kernel
def smooth_earth_heights(
    distance_km: Array, height_m: Array, from_m: float, to_m: float
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return both antenna heights above the smooth surface that stands for the terrain, section 4.5.2.

    A least-squares line through the profile, lowered under the greatest obstruction, never above the ground of an end.
    """
    last = distance_km.size - 1
    path_km = distance_km[last]
    area = 0.0
    moment = 0.0
    highest = -math.inf
    forward = -math.inf
    backward = -math.inf
    slope = (to_m - from_m) / path_km
    for i in range(1, last + 1):
        before = distance_km[i - 1]
        here = distance_km[i]
        step = here - before
        area += step * (height_m[i] + height_m[i - 1])
        moment += step * (height_m[i] * (2.0 * here + before) + height_m[i - 1] * (here + 2.0 * before))
        if i < last:
            above_m = height_m[i] - (from_m + slope * here)
            highest = max(highest, above_m)
            forward = max(forward, above_m / here)
            backward = max(backward, above_m / (path_km - here))
    start_m = (2.0 * area * path_km - moment) / path_km**2
    end_m = (moment - area * path_km) / path_km**2
    if highest > 0.0:
        start_m -= highest * forward / (forward + backward)
        end_m -= highest * backward / (forward + backward)
    return from_m - min(start_m, height_m[0]), to_m - min(end_m, height_m[last])


@kernel
def ray_kernel(
    distance_km: Array,
    height_m: Array,
    from_m: float,
    to_m: float,
    frequency_mhz: Array,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
    out: Array,
) -> int:  # pragma: no cover - compiled
    """Fill ``out[f] = (delta-Bullington loss, ruling edge's loss, clearance ratio)``; return the ruling sample.

    The profile is walked once for all frequencies: nu·√λ does not depend on them. Heights above sea level.
    """
    last = distance_km.size - 1
    path_km = distance_km[last]
    direct, ruling = ruling_edge(distance_km, height_m, from_m, to_m, radius_km)
    actual = equivalent_edge(distance_km, height_m, from_m, to_m, radius_km, direct)
    smooth_from_m, smooth_to_m = smooth_earth_heights(distance_km, height_m, from_m, to_m)
    level = np.zeros(last + 1)
    smooth_direct, _ = ruling_edge(distance_km, level, smooth_from_m, smooth_to_m, radius_km)
    smooth = equivalent_edge(distance_km, level, smooth_from_m, smooth_to_m, radius_km, smooth_direct)
    for f in range(frequency_mhz.size):
        wavelength = SPEED_OF_LIGHT_MPS / (frequency_mhz[f] * 1e6)
        root = math.sqrt(wavelength)
        sphere_db = spherical_earth_db(
            path_km,
            smooth_from_m,
            smooth_to_m,
            frequency_mhz[f],
            wavelength,
            radius_km,
            vertical,
            permittivity,
            conductivity,
        )
        excess_db = sphere_db - bullington_kernel(smooth / root, path_km)
        out[f, 0] = bullington_kernel(actual / root, path_km) + max(excess_db, 0.0)
        out[f, 1] = knife_edge_kernel(direct / root)
        out[f, 2] = -direct / root / math.sqrt(2.0)
    return ruling
