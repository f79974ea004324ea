"""Properties of many rays: each is its own profile's, places do not touch each other, the sky overhead is clear."""

from __future__ import annotations

import math

import numba
import numpy as np
import pytest

from turnback.base.errors import InputError
from turnback.physics import rays as rays_module
from turnback.physics.clutter import canopy_path_m
from turnback.physics.diffraction import ray_loss
from turnback.physics.polarisation import Polarisation
from turnback.physics.rays import profile_to, ray_losses
from turnback.physics.terrain_grid import TerrainGrid, ground_height_m, terrain_grid
from turnback.physics.way_home import highest_ground_between, level_clearance_m

FREQUENCIES_MHZ = (868.0, 2400.0, 5800.0)


@pytest.fixture(scope="module")
def hills() -> TerrainGrid:
    """Return 6 by 6 km of rolling ground, every 30 m."""
    axis = np.arange(-3000.0, 3001.0, 30.0)
    east, north = np.meshgrid(axis, -axis)
    ground = 400.0 + 60.0 * np.sin(east / 420.0) * np.cos(north / 530.0) + 25.0 * np.sin(north / 130.0)
    return terrain_grid(ground, -3000.0, 3000.0, 30.0)


@pytest.fixture(scope="module")
def places(hills: TerrainGrid) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return east, north and altitude of 120 places."""
    rng = np.random.default_rng(11)
    x, y = rng.uniform(-2900.0, 2900.0, 120), rng.uniform(-2900.0, 2900.0, 120)
    return x, y, ground_height_m(hills, x, y) + rng.uniform(2.0, 120.0, 120)


def test_each_ray_is_that_of_its_profile(hills: TerrainGrid, places: tuple[np.ndarray, ...]) -> None:
    x, y, altitude = places
    rays = ray_losses(hills, 1.5, x, y, altitude, FREQUENCIES_MHZ, canopy_height_m=[0.0, 8.0, 20.0])
    for i in range(x.size):
        drawn = profile_to(hills, x[i], y[i])
        above_m = altitude[i] - drawn.height_m[-1]
        assert rays.above_ground_m[i] == pytest.approx(above_m, abs=1e-9)
        for f, frequency_mhz in enumerate(FREQUENCIES_MHZ):
            one = ray_loss(drawn.distance_km, drawn.height_m, 1.5, above_m, frequency_mhz)
            assert rays.diffraction_db[i, f] == pytest.approx(one.diffraction_db, abs=1e-9)
            assert rays.knife_edge_db[i, f] == pytest.approx(one.knife_edge_db, abs=1e-9)
            assert rays.free_space_db[i, f] == pytest.approx(one.free_space_db, abs=1e-9)
            assert rays.clearance_ratio[i, f] == pytest.approx(one.clearance_ratio, abs=1e-9)
            assert rays.line_of_sight[i] == one.line_of_sight
            assert (rays.obstacle_km[i], rays.obstacle_height_m[i]) == (one.obstacle_km, one.obstacle_height_m)
        for c, canopy_m in enumerate([0.0, 8.0, 20.0]):
            under_m = canopy_path_m(drawn.distance_km, drawn.height_m, 1.5, above_m, canopy_m)
            assert rays.canopy_path_m[i, c] == pytest.approx(under_m, abs=1e-6)


def test_threads_move_no_byte(hills: TerrainGrid, places: tuple[np.ndarray, ...]) -> None:
    x, y, altitude = places
    many = ray_losses(hills, 1.5, x, y, altitude, FREQUENCIES_MHZ)
    before = numba.get_num_threads()
    numba.set_num_threads(1)
    try:
        alone = ray_losses(hills, 1.5, x, y, altitude, FREQUENCIES_MHZ)
    finally:
        numba.set_num_threads(before)
    assert alone.diffraction_db.tobytes() == many.diffraction_db.tobytes()
    assert alone.obstacle_km.tobytes() == many.obstacle_km.tobytes()


def test_places_do_not_touch_each_other(hills: TerrainGrid, places: tuple[np.ndarray, ...]) -> None:
    x, y, altitude = places
    whole = ray_losses(hills, 1.5, x, y, altitude, 2400.0)
    part = ray_losses(hills, 1.5, x[40:41], y[40:41], altitude[40:41], 2400.0)
    assert part.diffraction_db[0].tobytes() == whole.diffraction_db[40].tobytes()


def test_profile_is_exact_at_both_ends_and_no_wider_than_a_cell(hills: TerrainGrid) -> None:
    drawn = profile_to(hills, 1234.5, -678.9)
    assert drawn.distance_km[0] == 0.0
    assert drawn.distance_km[-1] == pytest.approx(math.hypot(1.2345, 0.6789), rel=1e-15)
    assert np.diff(drawn.distance_km).max() <= 0.030 + 1e-12
    assert drawn.height_m[0] == float(ground_height_m(hills, 0.0, 0.0))
    assert drawn.height_m[-1] == float(ground_height_m(hills, 1234.5, -678.9))
    assert profile_to(hills, 5.0, 0.0).distance_km.size == 3
    assert profile_to(hills, 2900.0, 0.0, most_samples=10).distance_km.size == 10


def test_overhead_nothing_stands_between(hills: TerrainGrid) -> None:
    top = float(ground_height_m(hills, 0.0, 0.0))
    rays = ray_losses(hills, 1.5, [0.0], [0.0], [top + 101.5], FREQUENCIES_MHZ, canopy_height_m=[10.0])
    assert (rays.diffraction_db == 0.0).all()
    assert rays.line_of_sight.all()
    assert np.isinf(rays.clearance_ratio).all()
    assert np.isnan(rays.obstacle_km).all()
    assert rays.slant_m[0] == pytest.approx(100.0)
    assert rays.elevation_rad[0] == pytest.approx(math.pi / 2)
    assert rays.canopy_path_m[0, 0] == pytest.approx(8.5)


def test_an_aircraft_inside_the_hill_is_said_so(hills: TerrainGrid) -> None:
    ground = float(ground_height_m(hills, 1000.0, 0.0))
    rays = ray_losses(hills, 1.5, [1000.0], [0.0], [ground - 7.0], 2400.0)
    assert rays.above_ground_m[0] == pytest.approx(-7.0)
    assert np.isfinite(rays.diffraction_db).all()


def test_a_taller_canopy_never_shortens_the_path_below_it(hills: TerrainGrid, places: tuple[np.ndarray, ...]) -> None:
    x, y, altitude = places
    under = ray_losses(hills, 1.5, x, y, altitude, 2400.0, canopy_height_m=[0.0, 2.0, 10.0, 30.0]).canopy_path_m
    assert (np.diff(under, axis=1) >= -1e-9).all()
    assert (under[:, -1] <= np.hypot(x, y) * 1.2 + 200.0).all()


def test_float32_ground_gives_nearly_the_same(hills: TerrainGrid, places: tuple[np.ndarray, ...]) -> None:
    x, y, altitude = places
    coarse = terrain_grid(hills.height_m.astype(np.float32), -3000.0, 3000.0, 30.0)
    fine = ray_losses(hills, 1.5, x, y, altitude, 2400.0).diffraction_db
    assert ray_losses(coarse, 1.5, x, y, altitude, 2400.0).diffraction_db == pytest.approx(fine, abs=0.01)


def test_circular_is_taken_as_vertical(hills: TerrainGrid, places: tuple[np.ndarray, ...]) -> None:
    x, y, altitude = places
    upright = ray_losses(hills, 1.5, x, y, altitude, 2400.0, polarisation=Polarisation.VERTICAL)
    round_ = ray_losses(hills, 1.5, x, y, altitude, 2400.0, polarisation=Polarisation.CIRCULAR_LEFT)
    assert np.array_equal(upright.diffraction_db, round_.diffraction_db)


def test_way_home_knows_the_summit() -> None:
    ground = np.zeros((41, 41))
    ground[20, 30] = 80.0
    grid = terrain_grid(ground, -2000.0, 2000.0, 100.0)
    found = highest_ground_between(grid, [1800.0, -1800.0, 0.0], [0.0, 0.0, 0.0])
    assert found.height_m.tolist() == [80.0, 0.0, 0.0]
    assert found.from_launch_m[0] == pytest.approx(1000.0, abs=1e-9)
    assert level_clearance_m(grid, [1800.0, -1800.0], [0.0, 0.0], [50.0, 50.0]).tolist() == [-30.0, 50.0]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"x_m": [9000.0]}, "1 of 1 points lie outside"),
        ({"frequency_mhz": 2.4}, "2.4 GHz is 2400"),
        ({"frequency_mhz": []}, "no frequency"),
        ({"antenna_height_m": 0.0}, "antenna_height_m"),
        ({"aircraft_height_m": [float("nan")]}, "aircraft_height_m"),
        ({"effective_earth_radius_km": 1.33}, "not the factor k"),
        ({"canopy_height_m": [400.0]}, "canopy_height_m"),
        ({"x_m": [[10.0]]}, "2 dimensions"),
    ],
)
def test_bad_inputs_are_told(hills: TerrainGrid, change: dict[str, object], says: str) -> None:
    call: dict[str, object] = {
        "antenna_height_m": 1.5,
        "x_m": [100.0],
        "y_m": [0.0],
        "aircraft_height_m": [500.0],
        "frequency_mhz": 2400.0,
    }
    with pytest.raises(InputError, match=says.replace(".", r"\.")):
        ray_losses(hills, **{**call, **change})  # type: ignore[arg-type]


def test_no_profile_to_the_launch_point(hills: TerrainGrid) -> None:
    with pytest.raises(InputError, match="at least 1 m away"):
        profile_to(hills, 0.0, 0.0)


def test_read_only_arrays_are_not_compiled_for_anew(hills: TerrainGrid, places: tuple[np.ndarray, ...]) -> None:
    x, y, altitude = (part.copy() for part in places)
    ray_losses(hills, 1.5, x, y, altitude, np.array(FREQUENCIES_MHZ))
    known = len(rays_module._rays_kernel.signatures)  # type: ignore[attr-defined]
    for part in (x, y, altitude):
        part.setflags(write=False)
    locked = hills.height_m.copy()
    locked.setflags(write=False)
    grid = terrain_grid(locked, -3000.0, 3000.0, 30.0)
    ray_losses(grid, 1.5, x, y, altitude, 2400.0)
    ray_losses(grid, 1.5, x, y, 500.0, 2400.0)
    assert len(rays_module._rays_kernel.signatures) == known  # type: ignore[attr-defined]
