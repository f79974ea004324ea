"""Which rays a map over a terrain grid needs, and which cells each of them owns, compiled.

A ray runs from the launch point (the origin) to the centre of each cell of the grid's rim: along the north side, the
south side, the west side and the east side. The four corners end two rays each. Who owns a cell is a pure function of
the cell, so rays in parallel write disjoint cells and every cell is written once.

Positions in cells: ``row0 = y_north_m / cell_m`` and ``column0 = -x_west_m / cell_m`` is the launch point.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel
from turnback.physics.rays import OVERHEAD_M
from turnback.physics.terrain_grid import bilinear_kernel, profile_kernel, sample_count_kernel

Array = NDArray[np.float64]
Indices = NDArray[np.int64]


@kernel
def ray_count(rows: int, columns: int) -> int:  # pragma: no cover - compiled
    """Return how many rays a grid needs: one for each cell of each of its four sides."""
    return 2 * (rows + columns)


@kernel
def rim_cell(ray: int, rows: int, columns: int) -> tuple[int, int]:  # pragma: no cover - compiled
    """Return row and column of the cell at which a ray ends: north side, south side, west side, east side."""
    if ray < columns:
        return 0, ray
    if ray < 2 * columns:
        return rows - 1, ray - columns
    if ray < 2 * columns + rows:
        return ray - 2 * columns, 0
    return ray - 2 * columns - rows, columns - 1


@kernel
def ray_end(
    ray: int, rows: int, columns: int, x_west_m: float, y_north_m: float, cell_m: float
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return where a ray ends, metres east and north of the launch point."""
    row, column = rim_cell(ray, rows, columns)
    return x_west_m + column * cell_m, y_north_m - row * cell_m


@kernel
def ray_samples(
    ray: int, rows: int, columns: int, x_west_m: float, y_north_m: float, cell_m: float, spacing_m: float, most: int
) -> int:  # pragma: no cover - compiled
    """Return how many samples a ray has, both ends included: 1 where it is shorter than a metre."""
    x_m, y_m = ray_end(ray, rows, columns, x_west_m, y_north_m, cell_m)
    path_m = math.hypot(x_m, y_m)
    return 1 if path_m < OVERHEAD_M else sample_count_kernel(path_m, spacing_m, most)


@kernel
def longest_samples(
    rows: int, columns: int, x_west_m: float, y_north_m: float, cell_m: float, spacing_m: float, most: int
) -> int:  # pragma: no cover - compiled
    """Return how many samples the longest ray has: that to the farthest corner."""
    count = 1
    for corner in (0, columns - 1, columns, 2 * columns - 1):
        count = max(count, ray_samples(corner, rows, columns, x_west_m, y_north_m, cell_m, spacing_m, most))
    return count


@kernel
def ray_profile(
    ray: int,
    height_m: Array,
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    distance_km: Array,
    ground_m: Array,
) -> None:  # pragma: no cover - compiled
    """Fill the profile of a ray; both arrays have the size that `ray_samples` gave."""
    if distance_km.size == 1:
        distance_km[0] = 0.0
        ground_m[0] = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, 0.0, 0.0)
        return
    x_m, y_m = ray_end(ray, height_m.shape[0], height_m.shape[1], x_west_m, y_north_m, cell_m)
    profile_kernel(height_m, x_west_m, y_north_m, cell_m, x_m, y_m, distance_km, ground_m)


@kernel
def owner(row: int, column: int, rows: int, columns: int, row0: float, column0: float) -> int:  # pragma: no cover
    """Return the ray that owns a cell.

    The line from the launch point through the cell's centre hits a side of the grid; the rim's cell nearest to that
    hit ends the ray. A tie of two sides goes to north or south; the cell whose centre is the launch point to ray 0.
    """
    down = row - row0
    right = column - column0
    if down == 0.0 and right == 0.0:
        return 0
    across = rows - 1 - row0 if down > 0.0 else -row0
    along = columns - 1 - column0 if right > 0.0 else -column0
    stretch_rows = across / down if down != 0.0 else math.inf
    stretch_columns = along / right if right != 0.0 else math.inf
    if stretch_rows <= stretch_columns:
        hit = math.floor(column0 + stretch_rows * right + 0.5)
        return (columns if down > 0.0 else 0) + min(max(int(hit), 0), columns - 1)
    hit = math.floor(row0 + stretch_columns * down + 0.5)
    return 2 * columns + (rows if right > 0.0 else 0) + min(max(int(hit), 0), rows - 1)


@kernel
def most_owned(rows: int, columns: int) -> int:  # pragma: no cover - compiled
    """Return a size that holds all cells of any one ray."""
    return 2 * max(rows, columns) + 1


@kernel
def owned_cells(
    ray: int,
    samples: int,
    rows: int,
    columns: int,
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    sample: Indices,
    row: Indices,
    column: Indices,
) -> int:  # pragma: no cover - compiled
    """Fill which sample of the ray stands for which cells; return how many cells the ray owns.

    `samples` is what `ray_samples` gave; the arrays have the size `most_owned`. The sample is that nearest to the
    cell's centre, so it lies within half a cell across the ray and half a step along it. Samples never descend.
    """
    row0 = y_north_m / cell_m
    column0 = -x_west_m / cell_m
    end_row, end_column = rim_cell(ray, rows, columns)
    down = end_row - row0
    right = end_column - column0
    on_rows = ray < 2 * columns  # the ray ends on the north or the south side: one cell of it in each row
    extent = down if on_rows else right
    origin = row0 if on_rows else column0
    share = (samples - 1) / (down * down + right * right) if samples > 1 else 0.0
    found = 0
    if ray == 0 and row0 == math.floor(row0) and column0 == math.floor(column0):
        sample[0] = 0
        row[0] = int(row0)
        column[0] = int(column0)
        found = 1
    outward = 1 if ray >= columns and not 2 * columns <= ray < 2 * columns + rows else -1
    start = math.floor(origin) + 1 if outward > 0 else math.ceil(origin) - 1
    steps = (end_row if on_rows else end_column) - int(start)
    for step in range(outward * steps + 1):
        at = int(start) + outward * step
        beside = (column0 if on_rows else row0) + (at - origin) / extent * (right if on_rows else down)
        middle = math.floor(beside + 0.5)
        near_tie = abs(beside - middle) > 0.4999  # of a cell: then its neighbours may belong here as well
        for shift in range(-1 if near_tie else 0, 2 if near_tie else 1):
            other = int(middle) + shift
            if other < 0 or other >= (columns if on_rows else rows):
                continue
            i = at if on_rows else other
            j = other if on_rows else at
            if owner(i, j, rows, columns, row0, column0) != ray or (i == row0 and j == column0):
                continue
            nearest = math.floor(((i - row0) * down + (j - column0) * right) * share + 0.5)
            at_sample = min(max(int(nearest), 0), samples - 1)
            k = found
            while k > 0 and sample[k - 1] > at_sample:  # two cells at a tie may come in the other order
                sample[k], row[k], column[k] = sample[k - 1], row[k - 1], column[k - 1]
                k -= 1
            sample[k], row[k], column[k] = at_sample, i, j
            found += 1
    return found
