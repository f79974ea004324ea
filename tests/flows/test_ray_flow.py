"""One path from a table of heights, held against pycraf for kinds of ground, earth radii, both polarisations.

pycraf is under the GPL: it is a peer in tests only. Line of sight, clearance and obstacle are held against plain
geometry written out here, sample by sample.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from astropy import units
from numpy.typing import NDArray
from pycraf import pathprof
from scipy import constants

from turnback.flows.ray import ray
from turnback.physics.polarisation import Polarisation
from turnback.readers.profile_csv import read_height_profile
from turnback.records.profiles import HeightProfile

pytestmark = pytest.mark.published

Array = NDArray[np.float64]

FROM_M, TO_M = 1.5, 40.0


def ground(kind: str) -> tuple[Array, Array]:
    """Return distance and height of an invented profile."""
    path_km = {"ridge": 5.0, "two ridges": 4.0, "plain": 35.0, "valley": 3.0, "slope": 2.0, "hills": 9.0}[kind]
    x = np.linspace(0.0, path_km, 161)
    shapes = {
        "ridge": 120.0 * np.exp(-(((x - 2.0) / 0.15) ** 2)),
        "two ridges": 70.0 * np.exp(-(((x - 1.0) / 0.2) ** 2)) + 95.0 * np.exp(-(((x - 2.7) / 0.3) ** 2)),
        "plain": np.zeros_like(x),
        "valley": 60.0 * (x / 1.5 - 1.0) ** 2,
        "slope": 150.0 * x,
        "hills": 25.0 * np.sin(2.3 * x) + 12.0 * np.sin(7.1 * x + 1.0),
    }
    return x, 200.0 + shapes[kind]


def table(folder: Path, x: Array, height: Array) -> HeightProfile:
    """Write a profile as people do and read it back."""
    rows = [f"{at!r},{up!r}" for at, up in zip(x.tolist(), height.tolist(), strict=True)]
    path = folder / "ground.csv"
    path.write_text("\n".join(["distance_km,height_m", *rows]), encoding="utf-8")
    return read_height_profile(path)


def pycraf_db(x: Array, height: Array, mhz: float, radius_km: float, horizontal: bool) -> float:
    """Return pycraf's diffraction, version 16: delta-Bullington."""
    path = pathprof.PathProp(
        mhz / 1000.0 * units.GHz, 290.0 * units.K, 1013.0 * units.hPa,
        0.0 * units.deg, 50.0 * units.deg, 0.1 * units.deg, 50.0 * units.deg,
        FROM_M * units.m, TO_M * units.m, 30.0 * units.m, 50.0 * units.percent,
        polarization=0 if horizontal else 1, version=16,
        delta_N=157.0 * (1.0 - 6371.0 / radius_km) / units.km, N0=325.0 * units.dimensionless_unscaled,
        hprof_dists=x * units.km, hprof_heights=height * units.m,
        hprof_bearing=0.0 * units.deg, hprof_backbearing=180.0 * units.deg,
    )  # fmt: skip
    return float(pathprof.loss_diffraction(path)[0].value)


@pytest.mark.parametrize("mhz", [433.0, 868.0, 2400.0, 5800.0])
@pytest.mark.parametrize("kind", ["ridge", "two ridges", "plain", "valley", "slope", "hills"])
def test_diffraction_of_a_table_is_pycrafs(kind: str, mhz: float, tmp_path: Path) -> None:
    x, height = ground(kind)
    profile = table(tmp_path, x, height)
    answer = ray(profile, from_height_m=FROM_M, to_height_m=TO_M, frequency_mhz=mhz)
    assert answer.diffraction_db == pytest.approx(pycraf_db(x, height, mhz, 8500.0, False), abs=0.1)


@pytest.mark.parametrize("radius_km", [6371.0, 8500.0, 12_000.0])
@pytest.mark.parametrize("polarisation", [Polarisation.HORIZONTAL, Polarisation.VERTICAL])
def test_radius_and_polarisation_reach_the_formula(
    radius_km: float, polarisation: Polarisation, tmp_path: Path
) -> None:
    x, height = ground("plain")  # where both matter most
    answer = ray(
        table(tmp_path, x, height), from_height_m=FROM_M, to_height_m=TO_M, frequency_mhz=433.0,
        earth_radius_km=radius_km, polarisation=polarisation,
    )  # fmt: skip
    peer = pycraf_db(x, height, 433.0, radius_km, polarisation is Polarisation.HORIZONTAL)
    assert answer.diffraction_db == pytest.approx(peer, abs=0.1)


@pytest.mark.parametrize("kind", ["ridge", "two ridges", "plain", "valley", "slope", "hills"])
def test_sight_clearance_and_obstacle_are_plain_geometry(kind: str, tmp_path: Path) -> None:
    x, height = ground(kind)
    answer = ray(table(tmp_path, x, height), from_height_m=FROM_M, to_height_m=TO_M, frequency_mhz=2400.0)
    path_m = 1000.0 * x[-1]
    near, far = 1000.0 * x[1:-1], path_m - 1000.0 * x[1:-1]
    line = ((height[0] + FROM_M) * far + (height[-1] + TO_M) * near) / path_m
    bulge = near * far / (2.0 * 8500e3)
    wavelength_m = constants.c / 2400e6
    ratio = (line - height[1:-1] - bulge) / np.sqrt(wavelength_m * near * far / path_m)
    least = int(ratio.argmin())
    assert answer.line_of_sight == bool((ratio > 0.0).all())
    assert answer.clearance_ratio == pytest.approx(float(ratio[least]), rel=1e-6)
    assert answer.obstacle_km == pytest.approx(float(x[least + 1]))
    # one edge alone, ITU-R P.526 section 4.1, at the same sample: nu = -sqrt(2) times the clearance ratio
    nu = -math.sqrt(2.0) * float(ratio[least])
    edge = 6.9 + 20.0 * math.log10(math.hypot(nu - 0.1, 1.0) + nu - 0.1) if nu > -0.78 else 0.0
    assert answer.knife_edge_db == pytest.approx(edge, abs=1e-6)
    slant_km = math.hypot(path_m, height[-1] + TO_M - height[0] - FROM_M) / 1000.0
    free = 20.0 * math.log10(4.0 * math.pi * slant_km * 1000.0 / wavelength_m)
    assert answer.free_space_db == pytest.approx(free, abs=0.001)
