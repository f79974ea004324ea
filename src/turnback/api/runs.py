"""One radio path, and one run of a pack: files in, numbers out."""

from __future__ import annotations

from pathlib import Path

from turnback.flows.pack_run import pack_run as _pack_run
from turnback.flows.ray import ray as _ray
from turnback.physics.diffraction import RayLoss
from turnback.physics.polarisation import Polarisation
from turnback.readers.plan_files import read_pack
from turnback.readers.profile_csv import read_height_profile, read_load_profile
from turnback.records.profiles import PackRun


def ray(
    profile: Path,
    *,
    from_height_m: float,
    to_height_m: float,
    frequency_mhz: float,
    earth_radius_km: float,
    polarisation: str,
    permittivity: float,
    conductivity_s_per_m: float,
) -> RayLoss:
    """Return what one radio path loses over a profile of heights in a CSV file.

    Raises
    ------
    InputError
        With every fault of the file, or the number that is outside its range.
    """
    return _ray(
        read_height_profile(profile),
        from_height_m=from_height_m,
        to_height_m=to_height_m,
        frequency_mhz=frequency_mhz,
        earth_radius_km=earth_radius_km,
        polarisation=Polarisation(polarisation),
        permittivity=permittivity,
        conductivity_s_per_m=conductivity_s_per_m,
    )


def pack_run(pack: Path, profile: Path) -> PackRun:
    """Run the pack of a pack file over a load profile in a CSV file.

    Raises
    ------
    InputError
        With every fault of either file.
    """
    return _pack_run(read_pack(pack), read_load_profile(profile))
