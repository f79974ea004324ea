"""One radio path over a given profile."""

from __future__ import annotations

from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM
from turnback.physics.diffraction import AVERAGE_CONDUCTIVITY_S_PER_M, AVERAGE_PERMITTIVITY, RayLoss, ray_loss
from turnback.physics.polarisation import Polarisation
from turnback.records.profiles import HeightProfile


def ray(
    profile: HeightProfile,
    *,
    from_height_m: float,
    to_height_m: float,
    frequency_mhz: float,
    earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
    polarisation: Polarisation = Polarisation.VERTICAL,
    permittivity: float = AVERAGE_PERMITTIVITY,
    conductivity_s_per_m: float = AVERAGE_CONDUCTIVITY_S_PER_M,
) -> RayLoss:
    """Return what one path loses, and the obstacle that rules it.

    Parameters
    ----------
    profile : HeightProfile
    from_height_m, to_height_m : float
        Antennas above the ground of each end.
    frequency_mhz : float
        100 to 50,000 MHz.
    earth_radius_km : float
        Effective Earth radius.
    polarisation : Polarisation
    permittivity, conductivity_s_per_m : float
        Ground constants, ITU-R P.527.

    Raises
    ------
    InputError
        Where a number is outside its range.

    Notes
    -----
    ITU-R P.525 for free space, P.526-15 section 4.5 (delta-Bullington) for diffraction.
    """
    return ray_loss(
        profile.distance_km,
        profile.height_m,
        from_height_m,
        to_height_m,
        frequency_mhz,
        earth_radius_km,
        polarisation,
        permittivity,
        conductivity_s_per_m,
    )
