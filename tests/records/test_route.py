"""A route keeps its points unchanged and refuses what no reader should make."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from turnback.records.route import HeightReference, Route


def route(east: Any, north: Any, height: Any) -> Route:
    return Route(east, north, height, HeightReference.LAUNCH, None, 0.0, straight=False, closes_at_launch=False)


def test_the_farthest_point_is_measured_from_the_launch_point() -> None:
    assert route([0, 300, 0], [0, 400, 100], [10, 20, 30]).farthest_m == 500.0  # 3-4-5


def test_points_cannot_be_changed_by_anyone() -> None:
    east = np.array([0.0, 300.0])
    flown = route(east, [0.0, 400.0], [10.0, 20.0])
    east[1] = -1.0
    assert flown.east_m[1] == 300.0
    with pytest.raises(ValueError, match="read-only"):
        flown.east_m[0] = 1.0
    with pytest.raises(AttributeError):
        flown.hover_s = 3.0  # type: ignore[misc]


@pytest.mark.parametrize(
    ("east", "north", "height"),
    [([], [], []), ([1], [1, 2], [1]), ([[1]], [[1]], [[1]]), ([np.nan], [0], [0]), ([0], [np.inf], [0])],
)
def test_what_is_no_polyline_is_a_slip_in_code(east: Any, north: Any, height: Any) -> None:
    with pytest.raises(ValueError, match="a route needs"):
        route(east, north, height)
