"""Falls into people areas over the plane: as many as the brief's own falls, marched from each place."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from turnback.assess.falling import STEP_SHARE
from turnback.assess.falling_worlds import Headings, fall_worlds, velocity_mps
from turnback.assess.flight_energy import Craft
from turnback.assess.map_falls import drop_shares
from turnback.flows.flight import Flight
from turnback.physics.fall import fall_to_ground
from turnback.physics.terrain_grid import terrain_grid
from turnback.readers.case import read_case
from turnback.records.areas import PeopleArea, PeopleAreas
from turnback.records.case import Case
from turnback.records.route import HeightReference

DEMO = Path(__file__).parents[2] / "examples" / "demo.toml"
CELL_M, SHAPE, WEST_M, NORTH_M = 20.0, (100, 150), -2000.0, 1000.0


@cache
def demo() -> tuple[Case, Craft]:
    case = read_case(DEMO)
    return case, Flight(case).craft


@cache
def shares(height_m: float, reference: HeightReference) -> NDArray[np.float32]:
    case, craft = demo()
    found = drop_shares(craft, case, WEST_M, NORTH_M, CELL_M, SHAPE, height_m, reference)
    assert found is not None
    return found


def marched(x_m: float, y_m: float, above_m: float) -> float:
    """Return the share of all of the brief's falls from a place that end in an area, over the real ground."""
    case, craft = demo()
    worlds, terrain, away_m = fall_worlds(craft), case.terrain, np.hypot(x_m, y_m)
    ground = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    one, no = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.bool_)
    found = []
    for sign in (1.0, -1.0):
        way = Headings(one, np.array([sign * x_m / away_m]), np.array([sign * y_m / away_m]), np.zeros(1), no, no)
        east, north, up = velocity_mps(worlds, way, one, np.array([above_m]))
        fall = fall_to_ground(
            worlds.mass_kg, worlds.drag_area_m2, worlds.density_kg_m3, above_m,
            east, north, up,
            worlds.wind_east_mps + worlds.gust_east_mps, worlds.wind_north_mps + worlds.gust_north_mps,
            worlds.roughness_m, x_m, y_m, ground, STEP_SHARE,
        )  # fmt: skip
        assert case.people_areas is not None
        found.append(float(case.people_areas.holding(fall.x_m[0], fall.y_m[0]).mean()))
    return max(found)


@pytest.mark.parametrize(("height_m", "reference"), [(45.0, HeightReference.GROUND), (110.0, HeightReference.LAUNCH)])
def test_shares_are_those_of_the_briefs_own_falls(height_m: float, reference: HeightReference) -> None:
    case, _ = demo()
    found = shares(height_m, reference)
    rows, columns = np.nonzero((found > 0.02) & (found < 0.98))
    assert rows.size >= 20
    missed = []
    for i in np.random.default_rng(5).choice(rows.size, 20, replace=False):
        x_m, y_m = WEST_M + CELL_M * columns[i], NORTH_M - CELL_M * rows[i]
        ground_m = float(case.terrain.ground_m(x_m, y_m))
        above_m = height_m if reference is HeightReference.GROUND else height_m + case.launch_height_m - ground_m
        missed.append(marched(x_m, y_m, max(above_m, 0.0)) - float(found[rows[i], columns[i]]))
    # 250 of 750 falls: a standard error of at most 0.03 of an even share; slopes add to it.
    print(f"{reference.value}: standard deviation {np.std(missed):.4f}, worst {np.abs(missed).max():.4f}")
    assert float(np.std(missed)) < 0.035
    assert float(np.abs(missed).max()) < 0.08


def test_far_from_every_area_no_fall_ends_in_one() -> None:
    case, _ = demo()
    assert case.people_areas is not None
    found = shares(45.0, HeightReference.GROUND)
    x_m, y_m = WEST_M + CELL_M * np.arange(SHAPE[1]), NORTH_M - CELL_M * np.arange(SHAPE[0])
    near = np.zeros(SHAPE, dtype=np.bool_)
    for area in case.people_areas.areas:
        west, south, east, north = area.box_m()
        near |= ((y_m > south - 200.0) & (y_m < north + 200.0))[:, None] & (x_m > west - 200.0) & (x_m < east + 200.0)
    assert (found[~near] == 0.0).all()
    assert found.max() > 0.9  # over the middle of an area most falls end in it


def test_areas_change_what_is_asked() -> None:
    case, craft = demo()
    asked = (WEST_M, NORTH_M, CELL_M, SHAPE, 45.0, HeightReference.GROUND)
    assert drop_shares(craft, replace(case, people_areas=None), *asked) is None
    nothing = drop_shares(craft, replace(case, people_areas=PeopleAreas(())), *asked)
    assert nothing is not None
    assert not nothing.any()
    ring = np.array([[-9e3, -9e3], [9e3, -9e3], [9e3, 9e3], [-9e3, 9e3], [-9e3, -9e3]])
    hole = ring / 9e3 * 500.0
    around = PeopleAreas((PeopleArea("everywhere but here", (ring, hole)),))
    holed = drop_shares(craft, replace(case, people_areas=around), *asked)
    assert holed is not None
    assert holed[0, 0] == 1.0  # a kilometre and more outside the hole
    assert holed[50, 100] == 0.0  # over the launch point


def test_on_the_ground_it_falls_where_it_is() -> None:
    case, craft = demo()
    found = drop_shares(craft, case, WEST_M, NORTH_M, CELL_M, SHAPE, 0.0, HeightReference.GROUND)
    assert found is not None
    assert case.people_areas is not None
    x_m, y_m = np.meshgrid(WEST_M + CELL_M * np.arange(SHAPE[1]), NORTH_M - CELL_M * np.arange(SHAPE[0]))
    held = case.people_areas.holding(x_m.ravel(), y_m.ravel()).reshape(SHAPE)
    assert ((found > 0.5) == held).all()
