"""Diffraction loss of one radio path: ITU-R P.526-15, the delta-Bullington method of section 4.5.

Two answers stand side by side. The delta-Bullington loss is the general method; on one clean ridge its term of
(10 + 0.02 d) adds some 10 dB, so the loss of the ruling edge alone is given too, as the other end of a bracket.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM, SPEED_OF_LIGHT_MPS
from turnback.base.ranges import within
from turnback.physics.bullington import ray_kernel
from turnback.physics.polarisation import Polarisation
from turnback.physics.profile import (
    number_within,
    ruling_edge,
    valid_ends,
    valid_frequency_mhz,
    valid_profile,
    valid_radius_km,
    wavelength_m,
)

Array = NDArray[np.float64]

AVERAGE_PERMITTIVITY = 22.0
"""Relative permittivity of average land, ITU-R P.526 and P.527."""
AVERAGE_CONDUCTIVITY_S_PER_M = 0.003
"""Conductivity of average land, ITU-R P.526 and P.527."""


@dataclass(frozen=True, slots=True)
class RayLoss:
    """Everything that one path over one profile says.

    Attributes
    ----------
    free_space_db : float
        ITU-R P.525 over the slant distance.
    diffraction_db : float
        Delta-Bullington, ITU-R P.526-15 section 4.5; to be added to free space.
    knife_edge_db : float
        Loss of the ruling edge alone: the other end of a bracket on one clean ridge.
    line_of_sight : bool
    clearance_ratio : float
        Least clearance over the first Fresnel radius; 0.6 and more is clear.
    obstacle_km, obstacle_height_m : float
        The sample that rules: distance from the start, height above sea level.
    """

    free_space_db: float
    diffraction_db: float
    knife_edge_db: float
    line_of_sight: bool
    clearance_ratio: float
    obstacle_km: float
    obstacle_height_m: float


def knife_edge_db(nu: Any) -> Array:
    """Return the diffraction loss of a single knife edge.

    Parameters
    ----------
    nu : array_like
        Diffraction parameter, -1e6 to 1e6, any shape; 0 at grazing, positive when the edge blocks the ray.

    Returns
    -------
    ndarray
        Loss in dB, shape of `nu`; 0 at and below -0.78.

    Raises
    ------
    InputError
        Outside that range.

    Notes
    -----
    J(nu) = 6.9 + 20 log10(√((nu - 0.1)² + 1) + nu - 0.1), ITU-R P.526-15 equation (31).
    """
    value = within("nu", nu, -1e6, 1e6, "")
    shifted = np.maximum(value, -0.78) - 0.1
    loss_db = 6.9 + 20.0 * np.log10(np.sqrt(shifted**2 + 1.0) + shifted)
    return np.where(value > -0.78, loss_db, 0.0)


def valid_ground(relative_permittivity: Any, conductivity_s_per_m: Any) -> tuple[float, float]:
    """Return the two ground constants, if they are ones.

    Raises
    ------
    InputError
        Permittivity outside 1 to 100 or conductivity outside 0 to 10 S/m.
    """
    permittivity = number_within("relative_permittivity", relative_permittivity, 1.0, 100.0, "")
    conductivity = number_within("conductivity_s_per_m", conductivity_s_per_m, 0.0, 10.0, "S/m", "enter S/m, not mS/m")
    return permittivity, conductivity


def delta_bullington_db(
    distance_km: Any,
    height_m: Any,
    from_height_m: float,
    to_height_m: float,
    frequency_mhz: Any,
    effective_earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
    polarisation: Polarisation = Polarisation.VERTICAL,
    relative_permittivity: float = AVERAGE_PERMITTIVITY,
    conductivity_s_per_m: float = AVERAGE_CONDUCTIVITY_S_PER_M,
) -> Array:
    """Return the diffraction loss of a path over a profile, by the delta-Bullington method.

    Parameters
    ----------
    distance_km, height_m : array_like
        Profile, shape ``(n,)``, n at least 3: distance ascending from 0, ground height above sea level.
    from_height_m, to_height_m : float
        Antenna heights above the ground of each end.
    frequency_mhz : float or array_like
        100 to 50,000 MHz, any shape.
    effective_earth_radius_km : float
        8500 km is the median of temperate climates.
    polarisation : Polarisation
        Circular is taken as vertical.
    relative_permittivity, conductivity_s_per_m : float
        Ground constants.

    Returns
    -------
    ndarray
        Loss in dB over free space, shape of `frequency_mhz`; 0 or positive.

    Raises
    ------
    InputError
        Where an input is outside its range.

    Notes
    -----
    ITU-R P.526-15 section 4.5: Bullington part 4.5.1, spherical Earth 4.5.2 with 3.1 and 3.2, together 4.5.3.
    """
    table, _, _, _ = _evaluate(
        distance_km,
        height_m,
        from_height_m,
        to_height_m,
        frequency_mhz,
        effective_earth_radius_km,
        polarisation,
        relative_permittivity,
        conductivity_s_per_m,
    )
    return table[:, 0].reshape(np.shape(frequency_mhz))


def single_edge_db(
    distance_km: Any,
    height_m: Any,
    from_height_m: float,
    to_height_m: float,
    frequency_mhz: Any,
    effective_earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
) -> Array:
    """Return the loss of the ruling edge of a path alone: the other end of a bracket on one clean ridge.

    Parameters
    ----------
    distance_km, height_m : array_like
        Profile, shape ``(n,)``, as in `delta_bullington_db`.
    from_height_m, to_height_m : float
        Antenna heights above the ground of each end.
    frequency_mhz : float or array_like
        100 to 50,000 MHz, any shape.
    effective_earth_radius_km : float
        3000 to 100,000 km.

    Returns
    -------
    ndarray
        J(nu) of the sample with the greatest nu, shape of `frequency_mhz`.

    Raises
    ------
    InputError
        Where an input is outside its range.

    Notes
    -----
    ITU-R P.526-15 equations (26) and (31).
    """
    distance, height = valid_profile(distance_km, height_m)
    start_m, end_m = valid_ends(height, from_height_m, to_height_m)
    direct, _ = ruling_edge(distance, height, start_m, end_m, valid_radius_km(effective_earth_radius_km))
    return knife_edge_db(direct / np.sqrt(wavelength_m(frequency_mhz)))


def ray_loss(
    distance_km: Any,
    height_m: Any,
    from_height_m: float,
    to_height_m: float,
    frequency_mhz: float,
    effective_earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
    polarisation: Polarisation = Polarisation.VERTICAL,
    relative_permittivity: float = AVERAGE_PERMITTIVITY,
    conductivity_s_per_m: float = AVERAGE_CONDUCTIVITY_S_PER_M,
) -> RayLoss:
    """Return everything that one path over one profile says, at one frequency.

    Parameters
    ----------
    distance_km, height_m : array_like
        Profile, shape ``(n,)``, n at least 3: distance ascending from 0, ground height above sea level.
    from_height_m, to_height_m : float
        Antenna heights above the ground of each end.
    frequency_mhz : float
        100 to 50,000 MHz.
    effective_earth_radius_km : float
        8500 km is the median of temperate climates.
    polarisation : Polarisation
        Circular is taken as vertical.
    relative_permittivity, conductivity_s_per_m : float
        Ground constants.

    Returns
    -------
    RayLoss

    Raises
    ------
    InputError
        Where an input is outside its range.

    Notes
    -----
    ITU-R P.525 for free space, P.526-15 section 4.5 for diffraction.
    """
    table, slant_m, distance_of_ruling_km, height_of_ruling_m = _evaluate(
        distance_km,
        height_m,
        from_height_m,
        to_height_m,
        frequency_mhz,
        effective_earth_radius_km,
        polarisation,
        relative_permittivity,
        conductivity_s_per_m,
    )
    return RayLoss(
        free_space_db=20.0 * math.log10(4.0 * math.pi * slant_m * frequency_mhz * 1e6 / SPEED_OF_LIGHT_MPS),
        diffraction_db=float(table[0, 0]),
        knife_edge_db=float(table[0, 1]),
        line_of_sight=bool(table[0, 2] > 0.0),
        clearance_ratio=float(table[0, 2]),
        obstacle_km=distance_of_ruling_km,
        obstacle_height_m=height_of_ruling_m,
    )


def _evaluate(
    distance_km: Any,
    height_m: Any,
    from_height_m: float,
    to_height_m: float,
    frequency_mhz: Any,
    effective_earth_radius_km: float,
    polarisation: Polarisation,
    relative_permittivity: float,
    conductivity_s_per_m: float,
) -> tuple[Array, float, float, float]:
    """Return the table of `ray_kernel`, the slant distance, and where the ruling sample stands."""
    distance, height = valid_profile(distance_km, height_m)
    start_m, end_m = valid_ends(height, from_height_m, to_height_m)
    permittivity, conductivity = valid_ground(relative_permittivity, conductivity_s_per_m)
    frequency = valid_frequency_mhz(frequency_mhz).flatten()
    table = np.empty((frequency.size, 3))
    ruling = ray_kernel(
        distance,
        height,
        start_m,
        end_m,
        frequency,
        valid_radius_km(effective_earth_radius_km),
        polarisation.over_ground_vertical,
        permittivity,
        conductivity,
        table,
    )
    slant_m = math.hypot(1000.0 * float(distance[-1]), end_m - start_m)
    return table, slant_m, float(distance[ruling]), float(height[ruling])
