"""The ground under a straight line home: what an automatic return must clear."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.base.kernels import parallel_kernel
from turnback.base.ranges import within
from turnback.physics.profile import HIGHEST_M, LOWEST_M
from turnback.physics.terrain_grid import TerrainGrid, bilinear_kernel, require_inside, sample_count_kernel

Array = NDArray[np.float64]

MOST_SAMPLES = 65_536
SHARE_OF_CELL = 0.125
"""Spacing over the cell (our choice: a summit is then missed by less than half a metre on 80 m cells)."""


@dataclass(frozen=True, slots=True, eq=False)
class HighestGround:
    """The highest ground between the launch point and each place, both ends included; arrays of shape ``(N,)``.

    Attributes
    ----------
    height_m : ndarray
        Above sea level.
    from_launch_m : ndarray
        Where it stands: distance from the launch point along the line.
    """

    height_m: Array
    from_launch_m: Array


@parallel_kernel
def _highest_kernel(
    height_m: Array,
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    x_m: Array,
    y_m: Array,
    most: int,
    out: Array,
) -> None:  # pragma: no cover - compiled
    for p in prange(x_m.size):
        path_m = math.hypot(x_m[p], y_m[p])
        last = sample_count_kernel(path_m, SHARE_OF_CELL * cell_m, most) - 1
        best = -math.inf
        where = 0.0
        for i in range(last + 1):
            share = i / last
            ground = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, x_m[p] * share, y_m[p] * share)
            if ground > best:
                best = ground
                where = path_m * share
        out[p, 0] = best
        out[p, 1] = where


def highest_ground_between(grid: TerrainGrid, x_m: Any, y_m: Any) -> HighestGround:
    """Return the highest ground on the straight lines between the launch point and some places.

    Parameters
    ----------
    grid : TerrainGrid
    x_m, y_m : array_like
        East and north of the launch point, shape ``(N,)``, on the grid.

    Returns
    -------
    HighestGround

    Raises
    ------
    InputError
        If a place lies outside the grid.

    Notes
    -----
    Bilinear between the centres of pixels, sampled every eighth of a cell: a ridge narrower than a cell is not seen,
    and neither are trees, wires or masts.
    """
    x = np.atleast_1d(within("x_m", x_m, -1e6, 1e6, "m"))
    y = np.atleast_1d(within("y_m", y_m, -1e6, 1e6, "m"))
    x, y = (part.flatten() for part in np.broadcast_arrays(x, y))
    require_inside(grid, x, y)
    out = np.empty((x.size, 2))
    _highest_kernel(grid.height_m, grid.x_west_m, grid.y_north_m, grid.cell_m, x, y, MOST_SAMPLES, out)
    return HighestGround(out[:, 0].copy(), out[:, 1].copy())


def level_clearance_m(grid: TerrainGrid, x_m: Any, y_m: Any, altitude_m: Any) -> Array:
    """Return by how much a level straight line home clears the highest ground below it.

    Parameters
    ----------
    grid : TerrainGrid
    x_m, y_m : array_like
        Where the line starts, shape ``(N,)``, on the grid.
    altitude_m : array_like
        Altitude of the line above sea level, a scalar or shape ``(N,)``, -500 to 50,000 m.

    Returns
    -------
    ndarray
        Metres, shape ``(N,)``; negative where the line runs into the ground.

    Raises
    ------
    InputError
        Where an input is outside its range or a place outside the grid.

    Notes
    -----
    Altitude less `highest_ground_between`.
    """
    altitude = within("altitude_m", altitude_m, LOWEST_M, HIGHEST_M, "m", "enter metres above sea level")
    return np.asarray(altitude - highest_ground_between(grid, x_m, y_m).height_m)
