"""Ground that is typed in: flat, or with ridges where they were said to be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.terrain_shapes import RidgeLine, flat_terrain, ridge_terrain
from turnback.records.terrain import Terrain, TerrainKind


def test_flat_ground_is_flat_covered_and_says_it_is_assumed() -> None:
    terrain = flat_terrain(1000.0, 25.0, 320.0)
    assert terrain.kind is TerrainKind.FLAT
    assert terrain.assumed
    assert (terrain.heights_m == np.float32(320.0)).all()
    assert terrain.covers([0.0, 999.0, 0.0], [0.0, 0.0, -1000.0]).all()
    assert not terrain.covers(1100.0, 0.0)
    assert terrain.launch_lat_deg is None


@given(st.floats(0, 360), st.floats(300, 1500), st.floats(5, 300), st.floats(80, 500))
@settings(max_examples=40, deadline=None)
def test_a_ridge_stands_at_its_distance_on_its_bearing(
    bearing: float, away_m: float, tall_m: float, wide_m: float
) -> None:
    terrain = ridge_terrain(2000.0, 10.0, [(away_m, tall_m, bearing, wide_m)], 400.0)
    assert terrain.kind is TerrainKind.RIDGE
    assert terrain.launch_ground_m == 400.0
    along = np.arange(0.0, 1900.0, 1.0)
    toward = np.radians(bearing)
    ground = terrain.ground_m(along * np.sin(toward), along * np.cos(toward)) - 400.0
    loss = np.sin(np.pi * 10.0 * 1.5 / (2.0 * wide_m)) ** 2  # a top between cells, on a slanting line
    assert tall_m * (1.0 - loss) - 1e-3 <= ground.max() <= tall_m + 1e-3
    assert along[ground.argmax()] == pytest.approx(away_m, abs=10.0)
    assert np.abs(ground[np.abs(along - away_m) > wide_m / 2.0 + 15.0]).max(initial=0.0) < 1e-3
    # square to the bearing the top line runs on
    x_m = away_m * np.sin(toward) + 400.0 * np.cos(toward)
    y_m = away_m * np.cos(toward) - 400.0 * np.sin(toward)
    assert float(terrain.ground_m(x_m, y_m)) - 400.0 >= tall_m * (1.0 - loss) - 1e-3
    # behind the launch point there is none
    assert (terrain.ground_m(-along * np.sin(toward), -along * np.cos(toward)) == 400.0).all()


def test_a_ridge_all_round_is_a_ring_and_the_higher_of_two_counts() -> None:
    terrain = ridge_terrain(1500.0, 10.0, [RidgeLine(800.0, 60.0, None, 300.0), RidgeLine(800.0, 90.0, 90.0, 300.0)])
    turn = np.radians(np.arange(0, 360, 7))
    ring = terrain.ground_m(800.0 * np.sin(turn), 800.0 * np.cos(turn))
    assert ring.min() > 59.0
    assert float(terrain.ground_m(800.0, 0.0)) == pytest.approx(90.0, abs=0.2)
    assert float(terrain.ground_m(-800.0, 0.0)) == pytest.approx(60.0, abs=0.2)
    assert "all round" in terrain.source
    assert "90 m at 800 m on bearing 90" in terrain.source


def test_a_ridge_narrower_than_the_cells_does_not_fall_through() -> None:
    terrain = ridge_terrain(1000.0, 10.0, [(505.0, 50.0, 0.0, 2.0)])
    assert float(terrain.heights_m.max()) > 40.0


def test_all_faults_of_all_ridges_are_told_together() -> None:
    with pytest.raises(InputError) as told:
        ridge_terrain(1000.0, 10.0, [(0.5, 40.0, 10.0, 50.0), (500.0, -3.0, 400.0, 50.0)], where="site.ridges")
    assert [fault.where for fault in told.value.faults] == [
        "site.ridges[0].distance_m",
        "site.ridges[1].height_m",
        "site.ridges[1].bearing_deg",
    ]


@pytest.mark.parametrize(
    ("ridges", "sentence"),
    [
        ([], "ridges: no ridge is given; give at least one ridge or leave the ground flat."),
        ([(1500.0, 40.0, 0.0, 50.0)], "ridges[0]: the ridge at 1500 m lies beyond the ground's radius of 1000 m; "
         "make the radius larger or leave the ridge out."),
        ([(100.0, 40.0, 0.0, 300.0)], "ridges[0]: a ridge 300 m wide at 100 m has the launch point on its slope; "
         "enter a narrower ridge, smaller cells or the distance to its top."),
    ],
)  # fmt: skip
def test_a_ridge_that_cannot_be_gets_its_sentence(
    ridges: list[tuple[float, float, float, float]], sentence: str
) -> None:
    with pytest.raises(InputError) as told:
        ridge_terrain(1000.0, 10.0, ridges)
    assert str(told.value) == sentence


def test_too_many_cells_are_refused() -> None:
    with pytest.raises(InputError, match="choose larger cells or a shorter radius"):
        flat_terrain(100_000.0, 1.0)


def test_ground_and_cover_of_a_grid_by_hand() -> None:
    heights = np.array([[10.0, 20.0, 30.0], [40.0, 50.0, 60.0], [70.0, 80.0, 90.0]])
    known = np.ones((3, 3), dtype=np.bool_)
    known[0, 2] = False  # the north-east
    terrain = Terrain(heights, known, -100.0, 100.0, 100.0, TerrainKind.MEASURED, "by hand", 100.0)
    assert terrain.ground_m([0.0, 50.0, -100.0, 900.0], [0.0, 50.0, 100.0, 0.0]).tolist() == [50.0, 40.0, 10.0, 60.0]
    assert terrain.covers([0.0, 50.0, -50.0, 100.0, 100.1], [0.0, 50.0, 50.0, 0.0, 0.0]).tolist() == [
        True, False, True, True, False,
    ]  # fmt: skip
    assert terrain.ground_m(np.zeros((2, 1)), np.zeros(3)).shape == (2, 3)
    heights[1, 1] = 0.0  # the record keeps its own copy
    assert terrain.launch_ground_m == 50.0
    with pytest.raises(ValueError, match="read-only"):
        terrain.heights_m[0, 0] = 1.0
    with pytest.raises(ValueError, match="finite heights"):
        Terrain(heights * np.nan, known, 0.0, 0.0, 1.0, TerrainKind.MEASURED, "", 1.0)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="no terrain"):
        Terrain(heights, known[:2], 0.0, 0.0, 1.0, TerrainKind.MEASURED, "", 1.0)
