"""Properties of the losses over a grid: at the rim they are a ray's own, and threads move no byte."""

from __future__ import annotations

import numba
import numpy as np
import pytest

from turnback.base.errors import InputError
from turnback.physics.rays import ray_losses
from turnback.physics.sweep_grid import SweepLosses, sweep_losses
from turnback.physics.terrain_grid import TerrainGrid, terrain_grid
from turnback.physics.way_home import highest_ground_between

LINKS_MHZ = (868.0, 2400.0, 5800.0)
CANOPIES_M = (5.0, 20.0)


@pytest.fixture(scope="module")
def hills() -> TerrainGrid:
    """Return 3.0 by 2.4 km of rolling ground, every 30 m, the launch point off the centre of its cell."""
    east, north = np.meshgrid(np.arange(101) * 30.0, np.arange(81) * -30.0)
    ground = 400.0 + 60.0 * np.sin(east / 420.0) * np.cos(north / 530.0) + 25.0 * np.sin(north / 130.0)
    return terrain_grid(ground.astype(np.float32), -1213.0, 1507.0, 30.0)


@pytest.fixture(scope="module")
def swept(hills: TerrainGrid) -> SweepLosses:
    return sweep_losses(hills, 1.5, 40.0, True, LINKS_MHZ, CANOPIES_M)


def rim(grid: TerrainGrid) -> tuple[np.ndarray, ...]:
    """Return row, column, east, north and ground of every cell of the rim."""
    rows, columns = grid.height_m.shape
    edge = np.ones((rows, columns), dtype=bool)
    edge[1:-1, 1:-1] = False
    row, column = np.nonzero(edge)
    east, north = grid.x_west_m + column * grid.cell_m, grid.y_north_m - row * grid.cell_m
    return row, column, east, north, grid.height_m[row, column].astype(np.float64)


@pytest.mark.parametrize("above_ground", [True, False])
def test_the_rim_has_the_numbers_of_single_rays(hills: TerrainGrid, above_ground: bool) -> None:
    row, column, east, north, ground = rim(hills)
    launch_m = float(highest_ground_between(hills, [0.0], [0.0]).height_m[0])
    aircraft = ground + 40.0 if above_ground else np.maximum(launch_m + 40.0, ground + 0.5)
    alone = ray_losses(hills, 1.5, east, north, aircraft, LINKS_MHZ, canopy_height_m=CANOPIES_M)
    found = sweep_losses(hills, 1.5, 40.0, above_ground, LINKS_MHZ, CANOPIES_M)
    assert pytest.approx(alone.diffraction_db, abs=1e-4) == found.diffraction_db[:, row, column].T  # float32
    assert pytest.approx(alone.knife_edge_db, abs=1e-4) == found.knife_edge_db[:, row, column].T
    assert pytest.approx(alone.canopy_path_m, abs=1e-2) == found.canopy_path_m[:, row, column].T
    assert np.array_equal(found.line_of_sight[row, column], alone.line_of_sight)
    assert np.array_equal(found.fresnel_clear[:, row, column].T, alone.clearance_ratio >= 0.6)
    assert 0.1 < alone.line_of_sight.mean() < 0.9
    top = highest_ground_between(hills, east, north).height_m
    assert found.top_m[row, column] == pytest.approx(top, abs=1.0)  # each samples the way at its own places
    assert (found.top_m[row, column] >= ground - 1e-3).all()


def test_threads_move_no_byte(hills: TerrainGrid, swept: SweepLosses) -> None:
    before = numba.get_num_threads()
    numba.set_num_threads(1)
    try:
        alone = sweep_losses(hills, 1.5, 40.0, True, LINKS_MHZ, CANOPIES_M)
    finally:
        numba.set_num_threads(before)
    assert alone.diffraction_db.tobytes() == swept.diffraction_db.tobytes()
    assert alone.canopy_path_m.tobytes() == swept.canopy_path_m.tobytes()


def test_shares_of_the_rays_add_up_to_the_whole(hills: TerrainGrid, swept: SweepLosses) -> None:
    parts = [sweep_losses(hills, 1.5, 40.0, True, LINKS_MHZ, walked_share=(k, 3)).top_m for k in range(3)]
    assert np.array_equal(np.sum(parts, axis=0), swept.top_m)
    assert all((part == 0.0).mean() > 0.4 for part in parts)


def test_overhead_and_beside_it_nothing_is_lost() -> None:
    grid = terrain_grid(np.full((9, 9), 50.0, dtype=np.float32), -40.0, 40.0, 10.0)
    found = sweep_losses(grid, 1.5, 60.0, True, LINKS_MHZ)
    assert (found.diffraction_db == 0.0).all()
    assert found.line_of_sight.all()
    assert found.fresnel_clear.all()
    assert (found.top_m == 50.0).all()


def test_an_aircraft_is_never_below_the_ground(hills: TerrainGrid) -> None:
    low = sweep_losses(hills, 1.5, -300.0, False, 2400.0)
    assert np.array_equal(low.diffraction_db, sweep_losses(hills, 1.5, 0.5, True, 2400.0).diffraction_db)


def test_a_wall_hides_what_lies_behind_it() -> None:
    ground = np.zeros((41, 41), dtype=np.float32)
    ground[:, 29:31] = 80.0
    found = sweep_losses(terrain_grid(ground, -600.0, 600.0, 30.0), 1.5, 20.0, True, 2400.0)
    assert not found.line_of_sight[:, 31:].any()
    assert found.line_of_sight[:, :29].all()
    assert (found.diffraction_db[0, :, 32:] > 20.0).all()
    assert (found.top_m[:, 31:] >= 79.0).all()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"frequency_mhz": 2.4}, "2.4 GHz is 2400"),
        ({"frequency_mhz": []}, "no frequency"),
        ({"antenna_height_m": 0.0}, "antenna_height_m"),
        ({"height_m": float("nan")}, "height_m"),
        ({"canopy_height_m": [400.0]}, "canopy_height_m"),
        ({"effective_earth_radius_km": 1.33}, "not the factor k"),
        ({"most_samples": 1}, "most_samples"),
    ],
)
def test_bad_inputs_are_told(hills: TerrainGrid, change: dict[str, object], says: str) -> None:
    call: dict[str, object] = {
        "antenna_height_m": 1.5,
        "height_m": 40.0,
        "above_ground": True,
        "frequency_mhz": 2400.0,
    }
    with pytest.raises(InputError, match=says.replace(".", r"\.")):
        sweep_losses(hills, **{**call, **change})  # type: ignore[arg-type]
