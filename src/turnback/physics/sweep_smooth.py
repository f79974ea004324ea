"""The smooth-earth part of delta-Bullington (ITU-R P.526-15, sections 4.5.2 and 4.5.3) for one receiver of a ray.

The sums and extremes that the fit needs are handed in; they grow with the ray.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import SPEED_OF_LIGHT_MPS
from turnback.base.kernels import kernel
from turnback.physics.bullington import bullington_kernel
from turnback.physics.spherical_earth import spherical_earth_db
from turnback.physics.sweep_blocks import sample_before
from turnback.physics.sweep_hull import highest_above, steepest_behind
from turnback.physics.sweep_sight import crossing

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

ZERO_LOSS = 17.456
"""Clearance of zero loss over √(d1 d2 λ / d), section 3.2: 0.552 first Fresnel radii, m and km."""


@kernel
def smooth_heights(
    distance_km: Array,
    ground_m: Array,
    hull: Indices,
    size: int,
    area: float,
    moment: float,
    steepest: float,
    from_m: float,
    to_m: float,
    last: int,
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return both antenna heights above the smooth surface (see `bullington.smooth_earth_heights`).

    `hull` is that of the ground between the ends, not flattened; `steepest` the greatest slope from the antenna to it.
    """
    path_km = distance_km[last]
    slope = (to_m - from_m) / path_km
    start_m = (2.0 * area * path_km - moment) / path_km**2
    end_m = (moment - area * path_km) / path_km**2
    forward = steepest - slope
    if forward > 0.0:
        top = highest_above(hull, size, distance_km, ground_m, slope)
        highest = ground_m[top] - (from_m + slope * distance_km[top])
        behind = steepest_behind(hull, size, distance_km, ground_m, path_km, to_m)
        backward = (ground_m[behind] - to_m) / (path_km - distance_km[behind]) + slope
        if highest > 0.0:
            start_m -= highest * forward / (forward + backward)
            end_m -= highest * backward / (forward + backward)
    return from_m - min(start_m, ground_m[0]), to_m - min(end_m, ground_m[last])


@kernel
def far_from_smooth(
    path_km: float, from_m: float, to_m: float, radius_km: float, wavelength: float
) -> bool:  # pragma: no cover - compiled
    """Return whether the spherical Earth surely takes nothing.

    The straight ray stands at d at least 2 √(h1 h2) s / D over the chord, with s = √(d (D - d)) (the mean of two
    numbers is no less than their root product), and the Earth bulges 500 s² / a, at most 250 D s / a. Where the first
    exceeds the second by the clearance of zero loss, 17.456 s √(λ / D), it does so at every d.
    """
    need_m = 250.0 * path_km * path_km / radius_km + ZERO_LOSS * math.sqrt(wavelength * path_km)
    return 2.0 * math.sqrt(from_m * to_m) > need_m * (1.0 + 1e-12)


@kernel
def bulge_value(
    near_km: float, path_km: float, from_m: float, to_m: float, radius_km: float
) -> float:  # pragma: no cover
    """Return v = N |N| / (d (D - d)) of level ground at one distance (see `sweep_sight`)."""
    weight = near_km * (path_km - near_km)
    above_m = 500.0 * weight / radius_km - from_m - (to_m - from_m) * near_km / path_km
    value: float = above_m * abs(above_m) / weight
    return value


@kernel
def beside(distance_km: Array, last: int, at_km: float) -> int:  # pragma: no cover - compiled
    """Return the sample at or before a distance, such that it and the next both lie between the ends 0 and `last`."""
    return min(max(sample_before(distance_km, last, at_km), 1), max(last - 2, 1))


@kernel
def smooth_direct(
    distance_km: Array, last: int, from_m: float, to_m: float, radius_km: float
) -> float:  # pragma: no cover - compiled
    """Return the greatest nu √λ of the samples over level ground; where it is blocked, only that it is positive.

    The bulge above the ray is a parabola: whether a sample reaches the ray is seen beside its vertex. Where none does,
    nu rises to one place and falls from there (a parabola over an ellipse), so halving finds its sample.
    """
    path_km = distance_km[last]
    j = beside(distance_km, last, 0.5 * path_km - (to_m - from_m) * radius_km / (1000.0 * path_km))
    low = min(j, last - 1)
    high = min(j + 1, last - 1)
    best = max(
        bulge_value(distance_km[low], path_km, from_m, to_m, radius_km),
        bulge_value(distance_km[high], path_km, from_m, to_m, radius_km),
    )
    if best < 0.0:
        low = 1
        high = last - 1
        while low < high:
            middle = (low + high) >> 1
            if bulge_value(distance_km[middle], path_km, from_m, to_m, radius_km) < bulge_value(
                distance_km[middle + 1], path_km, from_m, to_m, radius_km
            ):
                low = middle + 1
            else:
                high = middle
        best = bulge_value(distance_km[low], path_km, from_m, to_m, radius_km)
    return math.copysign(math.sqrt(abs(best) * 0.002 * path_km), best)


@kernel
def smooth_edge(
    distance_km: Array, last: int, from_m: float, to_m: float, radius_km: float
) -> float:  # pragma: no cover - compiled
    """Return nu √λ of the Bullington point over level ground.

    From an antenna h up, the slope to level ground is greatest at √(h a / 500) and falls to either side: it is one of
    the two samples beside.
    """
    direct = smooth_direct(distance_km, last, from_m, to_m, radius_km)
    if direct <= 0.0:
        return direct
    path_km = distance_km[last]
    forward = -math.inf
    backward = -math.inf
    j = beside(distance_km, last, math.sqrt(from_m * radius_km / 500.0))
    for k in range(j, min(j + 2, last)):
        forward = max(forward, 500.0 * (path_km - distance_km[k]) / radius_km - from_m / distance_km[k])
    j = beside(distance_km, last, path_km - math.sqrt(to_m * radius_km / 500.0))
    for k in range(j, min(j + 2, last)):
        backward = max(backward, 500.0 * distance_km[k] / radius_km - to_m / (path_km - distance_km[k]))
    near = crossing(from_m, forward, to_m, backward, distance_km, last)
    far = path_km - near
    above_m = from_m + forward * near - (from_m * far + to_m * near) / path_km
    nu_root: float = above_m * math.sqrt(0.002 * path_km / (near * far))
    return nu_root


@kernel
def smooth_excess(
    distance_km: Array,
    last: int,
    from_m: float,
    to_m: float,
    frequency_mhz: Array,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
    out: Array,
) -> None:  # pragma: no cover - compiled
    """Add to ``out[f, 0]`` what the spherical Earth takes beyond Bullington's method over the same level ground."""
    path_km = distance_km[last]
    level = math.nan
    for f in range(frequency_mhz.size):
        wavelength = SPEED_OF_LIGHT_MPS / (frequency_mhz[f] * 1e6)
        if far_from_smooth(path_km, from_m, to_m, radius_km, wavelength):
            continue
        sphere_db = spherical_earth_db(
            path_km, from_m, to_m, frequency_mhz[f], wavelength, radius_km, vertical, permittivity, conductivity
        )
        if sphere_db <= 0.0:
            continue
        if math.isnan(level):
            level = smooth_edge(distance_km, last, from_m, to_m, radius_km)
        out[f, 0] += max(sphere_db - bullington_kernel(level / math.sqrt(wavelength), path_km), 0.0)
