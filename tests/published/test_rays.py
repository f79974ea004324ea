"""Many rays over a grid against pycraf on profiles that scipy draws, and the way home against a search with scipy.

pycraf is under the GPL: it is a peer in these tests only and never imported by the product.
"""

from __future__ import annotations

import math
from importlib import resources

import numpy as np
import pytest
from astropy import units
from numpy.typing import NDArray
from pycraf import pathprof
from scipy import interpolate

from turnback.base.errors import InputError
from turnback.physics.rays import profile_to, ray_losses
from turnback.physics.terrain_grid import (
    TerrainGrid,
    bilinear_kernel,
    ground_height_m,
    inside,
    profile_kernel,
    require_inside,
    sample_count_kernel,
    terrain_grid,
)
from turnback.physics.way_home import highest_ground_between, level_clearance_m

pytestmark = pytest.mark.published

Array = NDArray[np.float64]
CELL_M = 80.0


@pytest.fixture(scope="module")
def ridges() -> TerrainGrid:
    """Real ridges: a faulted ridge in Tennessee, 3 arc-second SRTM of public origin, a sample shipped by matplotlib.

    The spacing is taken as 80 m both ways; the launch point is at its middle.
    """
    with resources.files("matplotlib").joinpath("mpl-data/sample_data/jacksboro_fault_dem.npz").open("rb") as file:
        ground = np.load(file)["elevation"].astype(np.float32)
    rows, columns = ground.shape
    return terrain_grid(ground, -CELL_M * (columns // 2), CELL_M * (rows // 2), CELL_M)


def by_scipy(grid: TerrainGrid) -> interpolate.RegularGridInterpolator:
    """Return scipy's bilinear ground over (y, x)."""
    rows, columns = grid.height_m.shape
    y = grid.y_north_m - CELL_M * np.arange(rows)
    x = grid.x_west_m + CELL_M * np.arange(columns)
    return interpolate.RegularGridInterpolator((y[::-1], x), grid.height_m[::-1].astype(float))


def peer_db(distance_km: Array, height_m: Array, from_m: float, to_m: float, frequency_mhz: float) -> float:
    """Return pycraf's delta-Bullington (ITU-R P.452-16), vertical polarisation."""
    path = pathprof.PathProp(
        frequency_mhz / 1000.0 * units.GHz,
        290.0 * units.K,
        1013.0 * units.hPa,
        0.0 * units.deg,
        50.0 * units.deg,
        0.1 * units.deg,
        50.0 * units.deg,
        from_m * units.m,
        to_m * units.m,
        30.0 * units.m,
        50.0 * units.percent,
        polarization=1,
        version=16,
        delta_N=157.0 * (1.0 - 6371.0 / 8500.0) / units.km,
        N0=325.0 * units.dimensionless_unscaled,
        hprof_dists=distance_km * units.km,
        hprof_heights=height_m * units.m,
        hprof_bearing=0.0 * units.deg,
        hprof_backbearing=180.0 * units.deg,
    )
    return float(pathprof.loss_diffraction(path)[0].value)


def test_rays_are_pycrafs_on_profiles_drawn_by_scipy(ridges: TerrainGrid) -> None:
    # Measured: 2e-12 dB at most over these rays.
    rng = np.random.default_rng(8)
    ground = by_scipy(ridges)
    x, y = rng.uniform(-6000.0, 6000.0, 40), rng.uniform(-6000.0, 6000.0, 40)
    above = rng.uniform(5.0, 120.0, 40)
    altitude = ground(np.column_stack([y, x])) + above
    frequencies = [868.0, 2400.0, 5800.0]
    rays = ray_losses(ridges, 1.5, x, y, altitude, frequencies)
    worst = 0.0
    for i in range(40):
        count = max(3, math.ceil(math.hypot(x[i], y[i]) / CELL_M) + 1)
        share = np.linspace(0.0, 1.0, count)
        height = ground(np.column_stack([y[i] * share, x[i] * share]))
        distance = math.hypot(x[i], y[i]) / 1000.0 * share
        for f, frequency_mhz in enumerate(frequencies):
            peer = peer_db(distance, height, 1.5, float(above[i]), frequency_mhz)
            worst = max(worst, abs(peer - rays.diffraction_db[i, f]))
    assert worst < 1e-6
    assert 0.1 < rays.line_of_sight.mean() < 0.9


def test_ground_is_scipys_bilinear(ridges: TerrainGrid) -> None:
    rng = np.random.default_rng(2)
    x, y = rng.uniform(-9000.0, 9000.0, 500), rng.uniform(-9000.0, 9000.0, 500)
    expected = by_scipy(ridges)(np.column_stack([y, x]))
    assert ground_height_m(ridges, x, y) == pytest.approx(expected, abs=1e-9)
    one = bilinear_kernel(ridges.height_m, ridges.x_west_m, ridges.y_north_m, CELL_M, x[0], y[0])
    assert one == pytest.approx(expected[0], abs=1e-9)


def test_profile_is_drawn_on_the_straight_line(ridges: TerrainGrid) -> None:
    share = np.linspace(0.0, 1.0, 51)  # 4 km at 80 m
    expected = by_scipy(ridges)(np.column_stack([-3200.0 * share, 2400.0 * share]))
    drawn = profile_to(ridges, 2400.0, -3200.0)
    assert drawn.distance_km == pytest.approx(4.0 * share, abs=1e-12)
    assert drawn.height_m == pytest.approx(expected, abs=1e-9)
    assert sample_count_kernel(4000.0, 80.0, 4096) == 51
    distance, ground = np.empty(51), np.empty(51)
    profile_kernel(ridges.height_m, ridges.x_west_m, ridges.y_north_m, CELL_M, 2400.0, -3200.0, distance, ground)
    assert np.array_equal(ground, drawn.height_m)


def test_highest_ground_is_found_by_a_finer_search(ridges: TerrainGrid) -> None:
    rng = np.random.default_rng(6)
    x, y = rng.uniform(-8000.0, 8000.0, 60), rng.uniform(-8000.0, 8000.0, 60)
    ground = by_scipy(ridges)
    share = np.linspace(0.0, 1.0, 4001)
    line = np.array([ground(np.column_stack([y[i] * share, x[i] * share])) for i in range(60)])
    found = highest_ground_between(ridges, x, y)
    # Spacing of the search: 2 to 3 m, ours 10 m.
    assert np.abs(found.height_m - line.max(axis=1)).max() < 0.5
    assert (found.from_launch_m <= np.hypot(x, y) + 1e-6).all()
    assert level_clearance_m(ridges, x, y, 900.0) == pytest.approx(900.0 - line.max(axis=1), abs=0.5)


def test_north_is_up_and_east_is_right() -> None:
    # By hand: a grid whose north-east pixel alone is high.
    grid = terrain_grid(np.array([[0.0, 0.0, 90.0], [0.0] * 3, [0.0] * 3]), -100.0, 100.0, 100.0)
    assert ground_height_m(grid, [100.0, -100.0, 100.0, 50.0], [100.0, 100.0, -100.0, 100.0]).tolist() == [90, 0, 0, 45]
    assert inside(grid, [100.0, 101.0], [-100.0, 0.0]).tolist() == [True, False]
    with pytest.raises(InputError, match="1 of 2 points lie outside"):
        require_inside(grid, np.array([0.0, 200.0]), np.array([0.0, 0.0]))


def test_bad_grids_are_told() -> None:
    with pytest.raises(InputError, match="1 heights are missing"):
        terrain_grid([[0.0, float("nan")], [0.0, 0.0]], 0.0, 0.0, 30.0)
    with pytest.raises(InputError, match="launch point lies outside"):
        terrain_grid(np.zeros((3, 3)), 100.0, 100.0, 30.0)
    with pytest.raises(InputError, match="not degrees"):
        terrain_grid(np.zeros((3, 3)), -0.0003, 0.0003, 0.0003)
    with pytest.raises(InputError, match="no grid"):
        terrain_grid(np.zeros(5), 0.0, 0.0, 30.0)
