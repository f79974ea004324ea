"""Inside, and across: people areas against a plotting library's own point-in-path test and geometry by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.path import Path as Outline
from numpy.typing import NDArray

from turnback.records.areas import PeopleArea, PeopleAreas

SQUARE = np.array([[0, 0], [100, 0], [100, 100], [0, 100], [0, 0]], dtype=float)
HOLE = np.array([[40, 40], [60, 40], [60, 60], [40, 60], [40, 40]], dtype=float)
YARD = PeopleArea("yard", (SQUARE, HOLE))


def star(seed: int, corners: int) -> NDArray[np.float64]:
    """Return a closed ring that does not cross itself: corners at rising bearings, at any distance."""
    random = np.random.default_rng(seed)
    turn = np.sort(random.uniform(0.0, 2.0 * np.pi, corners))
    away = random.uniform(10.0, 100.0, corners)
    ring = np.column_stack([away * np.cos(turn), away * np.sin(turn)])
    return np.vstack([ring, ring[:1]])


@pytest.mark.published
@given(st.integers(0, 10_000), st.integers(3, 30))
def test_inside_agrees_with_another_library(seed: int, corners: int) -> None:
    ring = star(seed, corners)
    points = np.random.default_rng(seed + 1).uniform(-110.0, 110.0, (200, 2))
    # a ring at rising bearings never crosses itself, where even-odd (ours) and winding (matplotlib) are the same
    assert (PeopleArea("", (ring,)).holds(*points.T) == Outline(ring).contains_points(points)).all()


def test_a_hole_is_outside() -> None:
    assert YARD.holds([10, 50, 120, 50], [10, 50, 50, 30]).tolist() == [True, False, False, True]


@pytest.mark.parametrize(
    ("x", "y", "crossed"),
    [
        ([-10, 110], [50, 50], True),  # across, no point of it inside
        ([-10, -5], [50, 50], False),  # stops short
        ([-10, 0], [50, 50], True),  # touches the edge
        ([-10, 50, -10], [-5, -5, 200], True),  # cuts a corner
        ([45, 55], [50, 50], False),  # inside the hole altogether
        ([50, 50], [50, 200], True),  # out of the hole
        ([-50, 150], [100, 100], True),  # along the upper edge
        ([-50, -10], [100, 100], False),  # in line with the upper edge, short of it
        ([10], [10], True),  # a hover inside
        ([200], [200], False),
        ([-1, -1, 101, 101], [-1, 101, 101, -1], False),  # around it
    ],
)
def test_a_way_across_is_found(x: list[float], y: list[float], crossed: bool) -> None:
    assert YARD.crossed(x, y) is crossed


@given(st.integers(0, 10_000), st.integers(3, 12), st.floats(-150, 150), st.floats(-150, 150), st.floats(-150, 150),
       st.floats(-150, 150))  # fmt: skip
def test_a_way_whose_finely_cut_points_fall_inside_is_crossed(
    seed: int, corners: int, x_from: float, y_from: float, x_to: float, y_to: float
) -> None:
    area = PeopleArea("", (star(seed, corners),))
    share = np.linspace(0.0, 1.0, 400)
    inside = area.holds(x_from + (x_to - x_from) * share, y_from + (y_to - y_from) * share).any()
    if inside:
        assert area.crossed([x_from, x_to], [y_from, y_to])
    assert area.crossed([x_from, x_to], [y_from, y_to]) == area.crossed([x_to, x_from], [y_to, y_from])


def test_names_come_in_the_order_of_the_file_each_once() -> None:
    far = PeopleArea("far", (SQUARE + 1000.0,))
    areas = PeopleAreas((PeopleArea("b", (SQUARE,)), far, PeopleArea("a", (SQUARE,)), PeopleArea("b", (SQUARE,))))
    assert areas.crossed_by([50, 50], [-50, 150]) == ["b", "a"]
    assert areas.crossed_by([500, 600], [500, 600]) == []


def test_rings_cannot_be_changed_by_anyone() -> None:
    ring = SQUARE.copy()
    area = PeopleArea("", (ring,))
    ring[0] = 7.0
    assert area.rings[0][0].tolist() == [0.0, 0.0]
    with pytest.raises(ValueError, match="read-only"):
        area.rings[0][0, 0] = 1.0


@pytest.mark.parametrize(
    ("x", "y", "half", "met"),
    [
        (50, 5, 2, True),  # a ring inside the area
        (50, 50, 300, True),  # the area inside a ring
        (0, 50, 10, True),  # across an edge
        (50, 50, 3, False),  # inside the hole altogether
        (150, 50, 10, False),  # beside it
        (110, 50, 10, True),  # touches
    ],
)
def test_a_filled_ring_meets_an_area(x: float, y: float, half: float, met: bool) -> None:
    ring = (SQUARE / 50.0 - 1.0) * half + [x, y]
    assert YARD.met(*ring.T) is met
    assert PeopleAreas((YARD,)).met_by(*ring.T) == (["yard"] if met else [])


@given(st.integers(0, 10_000), st.integers(3, 12), st.floats(-150, 150), st.floats(-150, 150), st.floats(5, 80))
def test_a_ring_with_a_point_of_the_area_in_it_meets_it(seed: int, corners: int, x: float, y: float, r: float) -> None:
    area = PeopleArea("", (star(seed, corners),))
    turn = np.linspace(0.0, 2.0 * np.pi, 41)
    ring = np.column_stack([x + r * np.cos(turn), y + r * np.sin(turn)])
    grid = np.stack(np.meshgrid(np.linspace(x - r, x + r, 40), np.linspace(y - r, y + r, 40)), axis=-1).reshape(-1, 2)
    shared = grid[Outline(ring).contains_points(grid)]
    if area.holds(*shared.T).any():
        assert area.met(*ring.T)
    if not area.met(*ring.T):
        assert not area.holds(*ring.T).any()


def test_points_inside_any_area_are_told_once() -> None:
    areas = PeopleAreas((PeopleArea("a", (SQUARE,)), PeopleArea("b", (SQUARE + 50.0,))))
    assert areas.holding([10, 75, 140, 160], [10, 75, 140, 10]).tolist() == [True, True, True, False]
    assert PeopleAreas(()).holding([1.0], [1.0]).tolist() == [False]
