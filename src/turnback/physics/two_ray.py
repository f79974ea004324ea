"""A direct ray and one reflected from smooth ground, in line of sight: the envelope and the depth of its nulls."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within
from turnback.physics.link import FARTHEST_M, free_space_db
from turnback.physics.polarisation import Polarisation
from turnback.physics.profile import valid_frequency_mhz, wavelength_m

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class TwoRay:
    """A direct ray and one reflected from smooth ground; arrays have the broadcast shape of the inputs.

    Attributes
    ----------
    loss_db : ndarray
        Basic transmission loss with the phase as computed.
    least_db, greatest_db : ndarray
        Envelope: both rays in step, both rays against each other. The phase is not to be trusted to a wavelength.
    null_depth_db : ndarray
        By how much the deepest null lies under free space.
    """

    loss_db: Array
    least_db: Array
    greatest_db: Array
    null_depth_db: Array


def ground_reflection(
    grazing_rad: Any,
    frequency_mhz: Any,
    polarisation: Polarisation,
    relative_permittivity: Any = 22.0,
    conductivity_s_per_m: Any = 0.003,
) -> NDArray[np.complex128]:
    """Return the reflection coefficient of smooth ground.

    Parameters
    ----------
    grazing_rad : array_like
        Angle between ray and ground, 0 to π/2.
    frequency_mhz : array_like
        100 to 50,000 MHz; shapes broadcast.
    polarisation : Polarisation
        For a circular one: the part that keeps its hand, the mean of both linear coefficients.
    relative_permittivity : array_like
        1 to 100.
    conductivity_s_per_m : array_like
        0 to 10 S/m.

    Returns
    -------
    ndarray of complex
        -1 at grazing for either polarisation.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Fresnel's equations with the complex permittivity of ITU-R P.527: epsilon - j 18000 sigma / f, f in MHz.
    """
    grazing = within("grazing_rad", grazing_rad, 0.0, math.pi / 2, "rad", "enter radians, not degrees")
    frequency = valid_frequency_mhz(frequency_mhz)
    permittivity = within("relative_permittivity", relative_permittivity, 1.0, 100.0, "")
    conductivity = within("conductivity_s_per_m", conductivity_s_per_m, 0.0, 10.0, "S/m", "enter S/m, not mS/m")
    ground = permittivity - 18000.0j * conductivity / frequency
    sine = np.sin(grazing)
    root = np.sqrt(ground - np.cos(grazing) ** 2)
    horizontal = (sine - root) / (sine + root)
    vertical = (ground * sine - root) / (ground * sine + root)
    if polarisation is Polarisation.HORIZONTAL:
        return np.asarray(horizontal)
    if polarisation is Polarisation.VERTICAL:
        return np.asarray(vertical)
    return np.asarray(0.5 * (horizontal + vertical))


def two_ray(
    distance_m: Any, from_height_m: Any, to_height_m: Any, frequency_mhz: Any, reflection: Any = -1.0
) -> TwoRay:
    """Return the loss over smooth flat ground in line of sight; never to be added to a spherical-Earth loss.

    Parameters
    ----------
    distance_m : array_like
        Along the ground, 1 m to 400 km.
    from_height_m, to_height_m : array_like
        Antenna heights above the ground, 0.01 m to 50 km.
    frequency_mhz : array_like
        100 to 50,000 MHz; shapes broadcast.
    reflection : array_like of complex
        Reflection coefficient, from `ground_reflection`; -1 is the worst case.

    Returns
    -------
    TwoRay

    Raises
    ------
    InputError
        Outside those ranges, or where the reflection is larger than 1.

    Notes
    -----
    Sum of both rays' fields with the exact path lengths (image of one end in the ground); textbook, as in Parsons,
    The Mobile Radio Propagation Channel, section 2.3 (from memory).
    """
    distance = within("distance_m", distance_m, 1.0, FARTHEST_M, "m", "enter metres, not km")
    start = within("from_height_m", from_height_m, 0.01, 50_000.0, "m")
    end = within("to_height_m", to_height_m, 0.01, 50_000.0, "m")
    gamma = np.asarray(reflection, dtype=np.complex128)
    within("reflection", np.abs(gamma), 0.0, 1.0, "")
    direct = np.hypot(distance, end - start)
    bounced = np.hypot(distance, end + start)
    wave = 2.0 * math.pi / wavelength_m(frequency_mhz)
    # Taken as a quotient: the difference of two nearly equal lengths would lose its digits far out.
    detour = 4.0 * start * end / (direct + bounced)
    free_db = free_space_db(direct, frequency_mhz)
    share = gamma * direct / bounced
    total = np.abs(1.0 + share * np.exp(-1j * wave * detour))
    strength = np.abs(share)
    with np.errstate(divide="ignore"):
        null_db = -20.0 * np.log10(1.0 - strength)
        loss_db = free_db - 20.0 * np.log10(total)
    return TwoRay(
        loss_db=np.asarray(loss_db),
        least_db=np.asarray(free_db - 20.0 * np.log10(1.0 + strength)),
        greatest_db=np.asarray(free_db + null_db),
        null_depth_db=np.asarray(np.broadcast_to(null_db, np.shape(loss_db))),
    )


def two_ray_crossover_m(from_height_m: Any, to_height_m: Any, frequency_mhz: Any) -> Array:
    """Return the distance of the last peak of two rays, beyond which loss grows with the fourth power of distance.

    Parameters
    ----------
    from_height_m, to_height_m : array_like
        Antenna heights above the ground, 0.01 m to 50 km.
    frequency_mhz : array_like
        100 to 50,000 MHz; shapes broadcast.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    4 h1 h2 / λ: there the detour is half a wavelength (textbook).
    """
    start = within("from_height_m", from_height_m, 0.01, 50_000.0, "m")
    end = within("to_height_m", to_height_m, 0.01, 50_000.0, "m")
    return np.asarray(4.0 * start * end / wavelength_m(frequency_mhz))
