"""Near the launch point the antennas' nulls are met between two samples of a coarse grid: the map must see them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from turnback.flows.flight import Flight
from turnback.flows.home_map import home_map
from turnback.readers.case import read_case
from turnback.records.route import HeightReference, Route

EXAMPLES = Path(__file__).parents[2] / "examples"


def test_a_null_close_to_the_launch_point_counts_for_every_place_beyond() -> None:
    """Cells of 75 m, flown at 60 m: both antennas' nulls are left behind 35 to 45 m out, before the second sample."""
    case = read_case(EXAMPLES / "ten-lines.toml")
    found = home_map(case)
    terrain = case.terrain
    for row, column in ((19, 17), (17, 16), (18, 20)):
        x_m, y_m = terrain.x_west_m + column * terrain.cell_m, terrain.y_north_m - row * terrain.cell_m
        assert 100.0 < np.hypot(x_m, y_m) < 200.0
        route = Route(
            np.array([0.0, x_m]), np.array([0.0, y_m]), np.full(2, found.height_m),
            HeightReference(found.height_above), case.route.speed_mps, 0.0, straight=True, closes_at_launch=False,
        )  # fmt: skip
        told = Flight(replace(case, route=route)).home
        for key, exact in (("home", told.mid), ("home_low", told.low), ("home_high", told.high)):
            assert found.layers[key].numbers()[row, column] == pytest.approx(exact, abs=0.02)
