"""The plan's radio along made flights: free space by the recommendation, and a ridge by plain geometry."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from tests.assess.against_made import LAUNCH, Made, answer_of, event, t_of
from tests.assess.cases import case_of, plain, ridge

from turnback.assess.against_link import at_loss, compared_levels, radio_seen
from turnback.assess.against_track import Stations, stations_of
from turnback.assess.draw_set import draw_set
from turnback.assess.world import fill
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.case import Case
from turnback.records.debrief import Compare, Compared
from turnback.records.happened import EventKind, RecordAnswer
from turnback.records.terrain import Terrain

HERE: dict[str, Any] = {"site__latitude_deg": LAUNCH[0], "site__longitude_deg": LAUNCH[1]}
AWAY_M = 13.0 * 30.0  # at 100 s of the made flight


def parts(terrain: Terrain, answer: RecordAnswer) -> tuple[Case, Any, Any, Stations]:
    """Return case, grid, draws and stations."""
    case = case_of(terrain, **HERE)
    grid = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    at = stations_of(answer.flown, LAUNCH)
    assert at is not None
    return case, grid, draw_set(fill(case), 100, 1), at


def levels(made: Made, **more: Any) -> list[Compared]:
    """Return the levels held against the model, over flat ground."""
    answer = answer_of(made, **more)
    case, grid, draws, at = parts(plain(), answer)
    radio = radio_seen(case, grid, draws, at)
    assert radio is not None
    return compared_levels(answer.flown.record, answer.events, radio, draws, at)


def test_levels_fall_as_free_space_does_and_both_ends_are_told_apart() -> None:
    """Outside value: ITU-R P.525, 20 log10 of the slants; the plan sends 250 mW up and 100 mW down: 3.98 dB apart."""
    t_s = t_of(Made())
    made = {"link_level": (t_s, np.full(t_s.size, -70.0)), "link_level_back": (t_s, np.full(t_s.size, -70.0))}
    up, down = levels(Made(), **made)
    assert (up.what, down.what) == (Compare.LEVEL, Compare.LEVEL_BACK)
    near, far = (float(np.interp(70.0 + away / 13.0, up.t_s, up.predicted)) for away in (180.0, 360.0))
    assert near - far == pytest.approx(
        20.0 * math.log10(362.0 / 184.0), abs=1.0
    )  # the near one stands steeper: its nulls
    assert np.nanmedian(up.predicted - down.predicted) == pytest.approx(3.98, abs=1.2)
    assert (up.low[up.low == up.low] < up.predicted[up.low == up.low]).all()


def test_an_offset_is_told_apart_from_shape() -> None:
    """A level ten decibels below the model's is a residual of ten, whatever the way flown."""
    first = levels(Made(), link_level=(t_of(Made()), np.full(t_of(Made()).size, -70.0)))[0]
    known = np.isfinite(first.predicted)
    t_s = t_of(Made())
    low = np.interp(t_s, first.t_s[known], first.predicted[known]) - 10.0
    again = levels(Made(), link_level=(t_s, low))[0]
    assert again.residual.mid == pytest.approx(-10.0, abs=0.7)
    assert again.residual.low < again.residual.mid < again.residual.high


def test_levels_after_the_link_went_are_not_looked_at() -> None:
    """A receiver shows its last level, or nothing that means anything."""
    t_s = t_of(Made())
    level = np.where(t_s < 100.0, -60.0, -130.0)
    lost = [event(EventKind.LINK_LOST, 100.0)]
    with_it, without = (levels(Made(events=each), link_level=(t_s, level))[0] for each in (lost, []))
    assert with_it.residual.mid > without.residual.mid + 20.0


@pytest.mark.parametrize("height_m", [60.0, 30.0])
def test_at_the_loss_the_ray_runs_below_the_ridge_by_plain_geometry(height_m: float) -> None:
    """Outside value: the straight line between antennas at 1.7 m and 40 m; the earth bulges by 1 mm here."""
    case, grid, draws, at = parts(ridge(200.0, height_m), answer_of(Made()))
    found = at_loss(case, grid, draws, at, 100.0)
    assert found is not None
    assert found.distance_m == pytest.approx(AWAY_M, abs=10.0)
    assert found.bearing_deg == pytest.approx(285.0, abs=1.0)
    assert found.height_m == pytest.approx(40.0, abs=1.0)
    assert found.obstacle_from_launch_m == pytest.approx(200.0, abs=30.0)
    at_ridge_m = 1.7 + (40.0 - 1.7) * found.obstacle_from_launch_m / found.distance_m
    assert found.clearance_m == pytest.approx(at_ridge_m - found.obstacle_height_m, abs=0.1)
    assert found.obstacle_height_m == pytest.approx(height_m, abs=0.2 * height_m)  # 30 m cells cut the crest
    assert not found.line_of_sight
    open_air = at_loss(*parts(plain(), answer_of(Made())), 100.0)
    assert open_air is not None
    assert open_air.line_of_sight
    assert open_air.margin_db.mid > found.margin_db.mid + 6.0  # J(0) = 6.03 dB on the edge itself (ITU-R P.526)


def test_a_record_from_elsewhere_is_not_laid_over_the_plans_ground() -> None:
    """A hundred kilometres off: distances from its own start, and no ray."""
    far = (LAUNCH[0] + 1.0, LAUNCH[1])
    case, grid, draws, at = parts(plain(), answer_of(Made(launch=far)))
    assert not at.on_site
    assert np.nanmax(np.hypot(at.x_m, at.y_m)) == pytest.approx(AWAY_M, rel=0.03)
    assert radio_seen(case, grid, draws, at) is None
    assert at_loss(case, grid, draws, at, 100.0) is None
    assert math.isfinite(float(np.nanmax(at.height_m)))
