"""The straight way home along a made flight: a ridge, by plain geometry."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.against_made import LAUNCH, Made, answer_of
from tests.assess.cases import case_of, plain, ridge

from turnback.assess.against_home import compared_home, home_height, trees_m
from turnback.assess.against_track import Stations, stations_of
from turnback.assess.draw_set import DrawSet, draw_set
from turnback.assess.world import fill
from turnback.physics.terrain_grid import TerrainGrid, terrain_grid
from turnback.records.case import Case
from turnback.records.terrain import Terrain

HERE: dict[str, Any] = {"site__latitude_deg": LAUNCH[0], "site__longitude_deg": LAUNCH[1]}


def parts(terrain: Terrain, made: Made, **changes: Any) -> tuple[Case, TerrainGrid, DrawSet, Stations]:
    """Return case, grid, draws and stations."""
    case = case_of(terrain, **{**HERE, **changes})
    grid = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    at = stations_of(answer_of(made).flown, LAUNCH)
    assert at is not None
    return case, grid, draw_set(fill(case), 100, 1), at


def test_beyond_a_ridge_the_way_home_goes_over_it_and_before_it_does_not() -> None:
    """Outside value: a ridge of 60 m, 200 m out; at 40 m up, from behind it, it is missed by 20 m."""
    terrain = ridge(200.0, 60.0)
    found = compared_home(*parts(terrain, Made()))
    assert found is not None
    away = np.interp(found.t_s, (70.0, 100.0), (0.0, 390.0))
    before, beyond = ((away > low) & (away < high) & (found.t_s < 100.0) for low, high in ((5.0, 90.0), (300.0, 380.0)))
    crest_m = float(terrain.heights_m.max()) - parts(terrain, Made())[0].launch_height_m
    assert crest_m == pytest.approx(60.0, abs=12.0)  # 30 m cells cut the crest
    # its line may cross the ring beside the highest cell
    assert np.nanmedian(found.predicted[beyond]) == pytest.approx(crest_m, abs=6.0)
    assert np.nanmax(found.predicted[before]) < 25.0
    assert np.nanmedian(found.recorded[beyond]) == pytest.approx(40.0, abs=1.0)


def test_the_least_height_is_that_from_where_the_link_went() -> None:
    """Before the ridge little is asked; behind it the ridge; without a moment, the place that asks most."""
    case, grid, draws, at = parts(ridge(200.0, 60.0), Made())
    near, far, most = (home_height(case, grid, draws, at, when) for when in (74.0, 100.0, None))
    assert near is not None
    assert far is not None
    assert most is not None
    assert near.mid < 25.0 < 45.0 < far.mid <= most.mid


def test_trees_stand_on_the_ground_and_open_ground_has_none() -> None:
    """Ten metres of wood raise the way home by ten."""
    wood = {"site__canopy": "wood", "site__canopy_height_m": {"value": 10, "low": 9, "high": 11}}
    heights = []
    for changes in ({}, wood):
        case, grid, draws, at = parts(plain(), Made(), **changes)
        found = home_height(case, grid, draws, at, 100.0)
        assert found is not None
        heights.append((found.mid, float(np.median(trees_m(draws)))))
    (bare_m, none_m), (wooded_m, trees) = heights
    assert trees == pytest.approx(10.0, abs=0.3)
    assert none_m < 1.0
    assert wooded_m - bare_m == pytest.approx(trees - none_m, abs=0.1)


def test_off_the_plans_ground_nothing_is_said() -> None:
    """A hundred kilometres away."""
    far = Made(launch=(LAUNCH[0] + 1.0, LAUNCH[1]))
    assert compared_home(*parts(plain(), far)) is None
    assert home_height(*parts(plain(), far), 100.0) is None
