"""A flight over falling ground whose far end lies below the launch point: down and up take their time either way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.assess.cases import case_of

from turnback.assess.legs import planned_legs
from turnback.flows.flight import Flight
from turnback.flows.home_map import home_map
from turnback.readers.terrain_shapes import flat_terrain
from turnback.records.case import Case
from turnback.records.route import HeightReference, Route
from turnback.records.terrain import Terrain
from turnback.rules.typical import typical


def hilltop() -> Terrain:
    """Ground that falls by 100 m in every 300 m."""
    ground = flat_terrain(900.0, 30.0)
    rows, columns = ground.heights_m.shape
    x = ground.x_west_m + np.arange(columns) * ground.cell_m
    y = ground.y_north_m - np.arange(rows) * ground.cell_m
    heights = (500.0 - np.hypot(x[None, :], y[:, None]) / 3.0).astype(np.float32)
    return replace(ground, heights_m=heights, known=np.ones(heights.shape, dtype=np.bool_))


def over_the_slope() -> Case:
    way = Route(
        np.array([0.0, 300.0]), np.zeros(2), np.array([20.0, 20.0]), HeightReference.GROUND, None, 0.0,
        straight=True, closes_at_launch=False,
    )  # fmt: skip
    return case_of(hilltop(), route=way)


def test_no_leg_takes_less_than_no_time() -> None:
    flight = Flight(over_the_slope())
    assert flight.track.height_m.min() < -60.0
    legs = planned_legs(flight.track)
    assert (legs.still_s >= 0.0).all()
    landing_s = typical("style")["landing_hover_s"].value
    assert legs.still_s[-2] == pytest.approx(20.0 / typical("style")["climb_mps"].value)  # home over the launch point
    assert legs.still_s[-1] == landing_s


def test_the_brief_and_the_map_answer() -> None:
    flight = Flight(over_the_slope())
    assert 0.0 < flight.home.low <= flight.home.mid <= flight.home.high <= 1.0
    assert flight.back.turn_back_m.low > 0.0
    found = home_map(over_the_slope())
    energy = found.layers["energy"].numbers()
    assert np.nanmin(energy) > 0.0
