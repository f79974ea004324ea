"""Path geometry against handbook figures and plain geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import constants, optimize

from turnback.base.errors import InputError
from turnback.physics.profile import (
    fresnel_radius_m,
    horizon_slopes,
    path_geometry,
    ruling_edge,
    valid_ends,
    valid_frequency_mhz,
    valid_profile,
    valid_radius_km,
    wavelength_m,
)

pytestmark = pytest.mark.published


def test_wavelength_is_that_of_the_si() -> None:
    assert wavelength_m([868.0, 2400.0]) == pytest.approx([constants.c / 868e6, constants.c / 2.4e9], rel=1e-15)


@pytest.mark.parametrize(("frequency_mhz", "radius_m"), [(868, 9.29), (915, 9.05), (2400, 5.59), (5800, 3.59)])
def test_first_fresnel_zone_mid_path_of_one_kilometre(frequency_mhz: float, radius_m: float) -> None:
    # ITU-R P.526 equation (2); the figures are common in handbooks of short links.
    assert float(fresnel_radius_m(0.5, 0.5, frequency_mhz)) == pytest.approx(radius_m, abs=0.005)


def test_first_fresnel_zone_by_the_practical_formula() -> None:
    # ITU-R P.530: F1 = 17.3 √(d1 d2 / (f d)), km and GHz.
    assert float(fresnel_radius_m(3.0, 7.0, 6000.0)) == pytest.approx(17.3 * math.sqrt(21.0 / 60.0), rel=1e-3)


def test_radio_horizon_is_four_point_one_two_roots() -> None:
    # Handbook: d = 4.12 (√h1 + √h2) km at k = 4/3.
    def clearance(path_km: float) -> float:
        distance = np.linspace(0.0, path_km, 2001)
        return path_geometry(distance, np.zeros(2001), 10.0, 100.0, 2400.0).clearance_ratio

    horizon_km = optimize.brentq(clearance, 10.0, 100.0)
    assert horizon_km == pytest.approx(4.12 * (math.sqrt(10.0) + 10.0), rel=2e-3)


def test_bulge_of_the_earth_mid_path() -> None:
    # Handbook: bulge = d1 d2 / (12.74 k) m; 50 km at k = 4/3: 36.8 m. Antennas at that height just graze.
    distance = np.linspace(0.0, 50.0, 1001)
    bulge_m = 25.0 * 25.0 / (12.74 * 4.0 / 3.0)
    radius_km = 6371.0 * 4.0 / 3.0
    below = path_geometry(distance, np.zeros(1001), bulge_m - 0.05, bulge_m - 0.05, 2400.0, radius_km)
    above = path_geometry(distance, np.zeros(1001), bulge_m + 0.05, bulge_m + 0.05, 2400.0, radius_km)
    assert not below.line_of_sight
    assert above.line_of_sight


def test_one_ridge_is_named_with_its_place() -> None:
    distance = np.linspace(0.0, 5.0, 501)
    height = np.where(distance == 2.0, 120.0, 0.0)
    geometry = path_geometry(distance, height, 10.0, 10.0, 2400.0)
    bulge_m = 500.0 * 2.0 * 3.0 / 8500.0
    assert (geometry.obstacle_km, geometry.obstacle_height_m) == (2.0, 120.0)
    # Plain geometry: the ridge stands 110 m and the bulge above the ray.
    ratio = -(110.0 + bulge_m) / float(fresnel_radius_m(2.0, 3.0, 2400.0))
    assert geometry.clearance_ratio == pytest.approx(ratio, rel=1e-12)


def test_kernels_agree_with_plain_array_arithmetic() -> None:
    rng = np.random.default_rng(5)
    distance = np.concatenate([[0.0], np.sort(rng.uniform(0.05, 7.9, 60)), [8.0]])
    height = rng.uniform(0.0, 90.0, 62)
    start_m, end_m, radius_km = 60.0, 80.0, 8500.0
    inner = slice(1, -1)
    near, far = distance[inner], 8.0 - distance[inner]
    lifted = height[inner] + near * far * 1e6 / (2.0 * radius_km * 1e3)
    ray = start_m + (end_m - start_m) * near / 8.0
    # ITU-R P.526 equation (26), with λ = 1 m.
    nu = (lifted - ray) * np.sqrt(2.0 * (1.0 / (near * 1e3) + 1.0 / (far * 1e3)))
    best, ruling = ruling_edge(distance, height, start_m, end_m, radius_km)
    assert best == pytest.approx(nu.max(), rel=1e-12)
    assert ruling == 1 + int(np.argmax(nu))
    slopes = horizon_slopes(distance, height, start_m, end_m, radius_km)
    assert slopes == pytest.approx((((lifted - start_m) / near).max(), ((lifted - end_m) / far).max()), rel=1e-12)


@pytest.mark.parametrize(
    ("distance_km", "height_m", "says"),
    [
        ([0.0, 1.0], [0.0, 0.0], "only 2 samples"),
        ([0.0, 1.0, 2.0], [0.0, 0.0], "3 distances and 2 heights"),
        ([0.1, 1.0, 2.0], [0.0, 0.0, 0.0], "starts at 0.1 km"),
        ([0.0, 2.0, 1.0], [0.0, 0.0, 0.0], "does not grow at sample 3"),
        ([0.0, 1000.0, 2000.0], [0.0, 0.0, 0.0], "not metres"),
        ([0.0, 1.0, 2.0], [0.0, float("nan"), 0.0], "height_m"),
    ],
)
def test_a_broken_profile_is_told(distance_km: list[float], height_m: list[float], says: str) -> None:
    with pytest.raises(InputError, match=says):
        valid_profile(distance_km, height_m)


def test_other_bad_inputs_are_told() -> None:
    with pytest.raises(InputError, match=r"2\.4 GHz is 2400"):
        valid_frequency_mhz(2.4)
    with pytest.raises(InputError, match="not the factor k"):
        valid_radius_km(1.333)
    with pytest.raises(InputError, match="to_height_m"):
        valid_ends(np.zeros(3), 1.5, -2.0)
