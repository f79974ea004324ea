"""Geometry of one radio path over a height profile: line of sight, Fresnel clearance, the obstacle that rules.

Heights bend with the effective Earth: a sample at distance d1 from one end and d2 from the other stands
``500 d1 d2 / a`` metres higher (d1, d2, a in km): ITU-R P.526-15,
section 4.5.1.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM, SPEED_OF_LIGHT_MPS
from turnback.base.errors import bad_input
from turnback.base.kernels import kernel
from turnback.base.ranges import within

Array = NDArray[np.float64]

LEAST_FREQUENCY_MHZ = 100.0
MOST_FREQUENCY_MHZ = 50_000.0
LONGEST_KM = 400.0
LOWEST_M = -500.0
HIGHEST_M = 50_000.0
LEAST_ANTENNA_M = 0.01


@dataclass(frozen=True, slots=True)
class PathGeometry:
    """What stands in the way on one path.

    Attributes
    ----------
    line_of_sight : bool
        True where no sample reaches the straight ray.
    clearance_ratio : float
        Least clearance over the radius of the first Fresnel zone; 0.6 and more is clear, below 0 is blocked.
    obstacle_km : float
        Distance from the start of the sample that rules: the one of greatest diffraction parameter nu.
    obstacle_height_m : float
        Its height above sea level.
    """

    line_of_sight: bool
    clearance_ratio: float
    obstacle_km: float
    obstacle_height_m: float


@kernel
def ruling_edge(
    distance_km: Array, height_m: Array, from_m: float, to_m: float, radius_km: float
) -> tuple[float, int]:  # pragma: no cover - compiled
    """Return nu·√λ of the sample that rules (λ in metres), and its index.

    nu = h √(2 (d1 + d2) / (λ d1 d2)), ITU-R P.526-15 equation (26); frequency divides out of the comparison, so one
    pass serves every frequency. `from_m` and `to_m` are above sea level.
    """
    last = distance_km.size - 1
    path_km = distance_km[last]
    slope = (to_m - from_m) / path_km
    best = -math.inf
    ruling = 1
    for i in range(1, last):
        near = distance_km[i]
        far = path_km - near
        above_m = height_m[i] + 500.0 * near * far / radius_km - (from_m + slope * near)
        nu = above_m * math.sqrt(0.002 * path_km / (near * far))
        if nu > best:
            best = nu
            ruling = i
    return best, ruling


@kernel
def horizon_slopes(
    distance_km: Array, height_m: Array, from_m: float, to_m: float, radius_km: float
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return the steepest slopes, m/km, from either end to any sample between (ITU-R P.526-15, section 4.5.1)."""
    last = distance_km.size - 1
    path_km = distance_km[last]
    forward = -math.inf
    backward = -math.inf
    for i in range(1, last):
        near = distance_km[i]
        far = path_km - near
        lifted_m = height_m[i] + 500.0 * near * far / radius_km
        forward = max(forward, (lifted_m - from_m) / near)
        backward = max(backward, (lifted_m - to_m) / far)
    return forward, backward


def wavelength_m(frequency_mhz: Any) -> Array:
    """Return the wavelength in free space.

    Parameters
    ----------
    frequency_mhz : array_like
        100 to 50,000 MHz.

    Raises
    ------
    InputError
        Outside that range.

    Notes
    -----
    λ = c / f with the exact speed of light of the SI.
    """
    return SPEED_OF_LIGHT_MPS / (valid_frequency_mhz(frequency_mhz) * 1e6)


def fresnel_radius_m(from_km: Any, to_km: Any, frequency_mhz: Any) -> Array:
    """Return the radius of the first Fresnel zone.

    Parameters
    ----------
    from_km, to_km : array_like
        Distances to either end, 0 to 400 km, not both zero.
    frequency_mhz : array_like
        100 to 50,000 MHz; shapes broadcast.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    R = √(λ d1 d2 / (d1 + d2)), ITU-R P.526-15 equation (2) with n = 1.
    """
    near = within("from_km", from_km, 0.0, LONGEST_KM, "km")
    far = within("to_km", to_km, 0.0, LONGEST_KM, "km")
    path_km = within("from_km + to_km", near + far, 1e-6, 2.0 * LONGEST_KM, "km")
    return np.asarray(np.sqrt(wavelength_m(frequency_mhz) * 1000.0 * near * far / path_km))


def valid_frequency_mhz(frequency_mhz: Any) -> Array:
    """Return a frequency as a float array, if it is inside 100 to 50,000 MHz.

    Raises
    ------
    InputError
        Outside that range.
    """
    slip = "enter MHz: 2.4 GHz is 2400"
    if isinstance(frequency_mhz, float) and LEAST_FREQUENCY_MHZ <= frequency_mhz <= MOST_FREQUENCY_MHZ:
        return np.array(frequency_mhz)
    return within("frequency_mhz", frequency_mhz, LEAST_FREQUENCY_MHZ, MOST_FREQUENCY_MHZ, "MHz", slip)


def valid_profile(distance_km: Any, height_m: Any, path: str = "profile") -> tuple[Array, Array]:
    """Return a profile as two contiguous float arrays, or say what is wrong with it.

    Parameters
    ----------
    distance_km : array_like
        Distances from the start, shape ``(n,)``, n at least 3, ascending from 0, at most 400 km.
    height_m : array_like
        Ground heights above sea level, shape ``(n,)``.
    path : str
        What the user calls it, for the message.

    Raises
    ------
    InputError
        If shape, order or range is wrong.
    """
    # Copies, for a read-only array is another type to the compiler and would be compiled for anew.
    distance = np.array(distance_km, dtype=np.float64, order="C")
    height = np.array(height_m, dtype=np.float64, order="C")
    if distance.ndim == 1 and distance.shape == height.shape and _sound_kernel(distance, height):
        return distance, height
    within("distance_km", distance, 0.0, LONGEST_KM, "km", "enter km, not metres")
    within("height_m", height, LOWEST_M, HIGHEST_M, "m", "enter metres, not feet")
    if distance.ndim != 1 or distance.shape != height.shape:
        raise bad_input(
            path, f"{distance.size} distances and {height.size} heights", "give one height for each distance"
        )
    if distance.size < 3:
        raise bad_input(path, f"only {distance.size} samples", "give at least 3: both ends and one between")
    if distance[0] != 0.0:
        raise bad_input(path, f"starts at {distance[0]:g} km", "let the first sample stand at 0 km, the launch point")
    row = int(np.argmax(np.diff(distance) <= 0.0)) + 1
    raise bad_input(
        path,
        f"distance does not grow at sample {row + 1} ({distance[row]:g} km)",
        "sort by distance and keep one height for each",
    )


@kernel
def _sound_kernel(distance_km: Array, height_m: Array) -> bool:  # pragma: no cover - compiled
    """Return whether a profile has nothing wrong with it; not-a-number fails every comparison."""
    count = distance_km.size
    sound: bool = count >= 3 and distance_km[0] == 0.0 and distance_km[count - 1] <= LONGEST_KM
    for i in range(count):
        sound = sound and LOWEST_M <= height_m[i] <= HIGHEST_M and (i == 0 or distance_km[i] > distance_km[i - 1])
    return sound


def number_within(name: str, value: float, low: float, high: float, unit: str, slip: str = "") -> float:
    """Return one number if it lies inside a range: `within`, quick enough for a single ray.

    Raises
    ------
    InputError
        If the number is not finite or lies outside.
    """
    number = float(value)
    return number if low <= number <= high else float(within(name, value, low, high, unit, slip))


def valid_ends(height_m: Array, from_height_m: Any, to_height_m: Any) -> tuple[float, float]:
    """Return both antenna heights above sea level, given their heights above the ground of each end.

    Raises
    ------
    InputError
        If a height is below 0.01 m or above 50 km.
    """
    slip = "enter metres above the ground of that end"
    start = number_within("from_height_m", from_height_m, LEAST_ANTENNA_M, HIGHEST_M, "m", slip)
    end = number_within("to_height_m", to_height_m, LEAST_ANTENNA_M, HIGHEST_M, "m", slip)
    return float(height_m[0]) + start, float(height_m[-1]) + end


def valid_radius_km(effective_earth_radius_km: Any) -> float:
    """Return the effective Earth radius, if it is one.

    Raises
    ------
    InputError
        Outside 3000 to 100,000 km (k from about a half to 16).
    """
    slip = "enter the radius in km, such as 8500, not the factor k"
    return number_within("effective_earth_radius_km", effective_earth_radius_km, 3000.0, 100_000.0, "km", slip)


def path_geometry(
    distance_km: Any,
    height_m: Any,
    from_height_m: float,
    to_height_m: float,
    frequency_mhz: float,
    effective_earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
) -> PathGeometry:
    """Return line of sight, least Fresnel clearance and the ruling obstacle of one path.

    Parameters
    ----------
    distance_km, height_m : array_like
        Profile, shape ``(n,)``: distance ascending from 0, ground height above sea level.
    from_height_m, to_height_m : float
        Antenna heights above the ground of each end.
    frequency_mhz : float
        100 to 50,000 MHz.
    effective_earth_radius_km : float
        8500 km is the median of temperate climates (ITU-R P.526).

    Returns
    -------
    PathGeometry

    Raises
    ------
    InputError
        Where an input is outside its range.

    Notes
    -----
    ITU-R P.526-15: nu by equation (26), curvature as in section 4.5.1. Clearance over Fresnel radius is -nu / √2.
    """
    distance, height = valid_profile(distance_km, height_m)
    start_m, end_m = valid_ends(height, from_height_m, to_height_m)
    radius_km = valid_radius_km(effective_earth_radius_km)
    nu_root, ruling = ruling_edge(distance, height, start_m, end_m, radius_km)
    nu = nu_root / math.sqrt(float(wavelength_m(frequency_mhz)))
    return PathGeometry(
        line_of_sight=nu < 0.0,
        clearance_ratio=-nu / math.sqrt(2.0),
        obstacle_km=float(distance[ruling]),
        obstacle_height_m=float(height[ruling]),
    )
