"""Properties of the rays of a map: every cell of a grid is owned by one sample of one ray, and that one lies near."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnback.physics.rays import profile_to
from turnback.physics.sweep_rays import (
    longest_samples,
    most_owned,
    owned_cells,
    ray_count,
    ray_end,
    ray_profile,
    ray_samples,
)
from turnback.physics.terrain_grid import terrain_grid

SHAPES = [(2, 2), (2, 9), (7, 2), (3, 3), (21, 34), (34, 21), (61, 60)]
EDGES = [0.0, 1e-310, 1e-13, 1e-6, 0.5, 1.0 - 1e-13, 1.0]


def all_owned(rows: int, columns: int, row0: float, column0: float, cell_m: float = 30.0) -> np.ndarray:
    """Return how often each cell is owned; verify on the way that the owning sample lies near it."""
    west, north = -column0 * cell_m, row0 * cell_m
    times = np.zeros((rows, columns), dtype=int)
    size = most_owned(rows, columns)
    sample, row, column = (np.zeros(size, dtype=np.int64) for _ in range(3))
    for ray in range(ray_count(rows, columns)):
        count = ray_samples(ray, rows, columns, west, north, cell_m, cell_m, 4096)
        found = owned_cells(ray, count, rows, columns, west, north, cell_m, sample, row, column)
        x, y = ray_end(ray, rows, columns, west, north, cell_m)
        assert (np.diff(sample[:found]) >= 0).all()
        share = sample[:found] / max(count - 1, 1)
        times[row[:found], column[:found]] += 1
        east = west + column[:found] * cell_m - x * share
        up = north - row[:found] * cell_m - y * share
        length = math.hypot(x, y)
        if count > 1 and found:
            across = np.abs(east * y - up * x) / length
            along = np.abs(east * x + up * y) / length
            assert across.max() <= cell_m * (0.5 + 1e-6)
            assert along.max() <= cell_m * (0.5 + 1e-6)
        elif found:
            assert np.hypot(east, up).max() < 1.0
    return times


@pytest.mark.parametrize(("rows", "columns"), SHAPES)
def test_every_cell_is_owned_once_wherever_the_launch_point_lies(rows: int, columns: int) -> None:
    for down in EDGES:
        for right in EDGES:
            times = all_owned(rows, columns, down * (rows - 1), right * (columns - 1))
            assert (times == 1).all(), (down, right)


@settings(max_examples=150)
@given(
    rows=st.integers(2, 40),
    columns=st.integers(2, 40),
    down=st.floats(0.0, 1.0),
    right=st.floats(0.0, 1.0),
    whole=st.booleans(),
    cell_m=st.sampled_from([0.1, 0.7, 30.0, 92.6]),
)
def test_every_cell_is_owned_once(
    rows: int, columns: int, down: float, right: float, whole: bool, cell_m: float
) -> None:
    row0, column0 = down * (rows - 1), right * (columns - 1)
    if whole:
        row0, column0 = float(round(row0)), float(round(column0))
    assert (all_owned(rows, columns, row0, column0, cell_m) == 1).all()


def test_the_cells_of_the_rim_are_the_ends_of_rays() -> None:
    rows, columns, cell_m = 12, 17, 10.0
    west, north = -63.0, 48.0
    sample, row, column = (np.zeros(most_owned(rows, columns), dtype=np.int64) for _ in range(3))
    at_end = np.zeros((rows, columns), dtype=bool)
    for ray in range(ray_count(rows, columns)):
        count = ray_samples(ray, rows, columns, west, north, cell_m, cell_m, 4096)
        found = owned_cells(ray, count, rows, columns, west, north, cell_m, sample, row, column)
        for k in range(found):
            if sample[k] == count - 1:
                at_end[row[k], column[k]] = True
    rim = np.ones((rows, columns), dtype=bool)
    rim[1:-1, 1:-1] = False
    assert at_end[rim].all()


def test_the_samples_of_a_ray_are_those_of_its_profile() -> None:
    rng = np.random.default_rng(3)
    grid = terrain_grid(rng.uniform(0.0, 50.0, (20, 30)), -207.0, 91.0, 10.0)
    longest = longest_samples(20, 30, -207.0, 91.0, 10.0, 10.0, 4096)
    seen = 0
    for ray in range(ray_count(20, 30)):
        count = ray_samples(ray, 20, 30, -207.0, 91.0, 10.0, 10.0, 4096)
        distance, ground = np.empty(count), np.empty(count)
        ray_profile(ray, grid.height_m, -207.0, 91.0, 10.0, distance, ground)
        drawn = profile_to(grid, *ray_end(ray, 20, 30, -207.0, 91.0, 10.0))
        assert distance.tobytes() == drawn.distance_km.tobytes()
        assert ground.tobytes() == drawn.height_m.tobytes()
        seen = max(seen, count)
    assert seen == longest


def test_a_launch_point_on_a_corner_has_a_ray_of_one_sample() -> None:
    grid = terrain_grid(np.full((5, 5), 7.0), 0.0, 0.0, 10.0)
    assert ray_samples(0, 5, 5, 0.0, 0.0, 10.0, 10.0, 4096) == 1
    distance, ground = np.empty(1), np.empty(1)
    ray_profile(0, grid.height_m, 0.0, 0.0, 10.0, distance, ground)
    assert (distance[0], ground[0]) == (0.0, 7.0)
