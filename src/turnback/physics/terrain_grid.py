"""A raster of ground heights in local metres around the launch point, and how a profile is drawn from it, compiled."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.base.kernels import kernel
from turnback.base.ranges import within
from turnback.physics.profile import HIGHEST_M, LOWEST_M

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class TerrainGrid:
    """Ground heights; make one with `terrain_grid`.

    Attributes
    ----------
    height_m : ndarray
        Shape ``(ny, nx)``, float32 or float64, above sea level; row 0 is the north edge.
    x_west_m, y_north_m : float
        Centre of pixel [0, 0], x east and y north of the launch point.
    cell_m : float
        Spacing of the pixels.
    """

    height_m: NDArray[Any]
    x_west_m: float
    y_north_m: float
    cell_m: float


def terrain_grid(height_m: Any, x_west_m: float, y_north_m: float, cell_m: float) -> TerrainGrid:
    """Return a verified grid.

    Parameters
    ----------
    height_m : array_like
        Shape ``(ny, nx)``, at least 2 by 2, -500 to 50,000 m, no voids; float32 is kept as it is.
    x_west_m, y_north_m : float
        Centre of pixel [0, 0] from the launch point, metres, -1e6 to 1e6.
    cell_m : float
        0.1 to 5000 m.

    Raises
    ------
    InputError
        If a height is missing or out of range, or the launch point lies outside the pixels' centres.

    Notes
    -----
    Bilinear between the centres of pixels, so the outer half pixel is not part of the ground.
    """
    heights = np.ascontiguousarray(height_m)
    if heights.dtype != np.float32:
        heights = heights.astype(np.float64)
    elif not heights.flags.writeable:
        heights = heights.copy()  # a read-only array is another type to the compiler
    if heights.ndim != 2 or min(heights.shape) < 2:
        raise bad_input("height_m", f"shape {heights.shape} is no grid", "give at least 2 by 2 heights")
    if not np.isfinite(heights).all():
        raise bad_input(
            "height_m", f"{int((~np.isfinite(heights)).sum())} heights are missing", "fill or crop voids before"
        )
    within("height_m", [heights.min(), heights.max()], LOWEST_M, HIGHEST_M, "m", "mark voids as missing")
    grid = TerrainGrid(
        heights,
        float(within("x_west_m", x_west_m, -1e6, 1e6, "m")),
        float(within("y_north_m", y_north_m, -1e6, 1e6, "m")),
        float(within("cell_m", cell_m, 0.1, 5000.0, "m", "enter the pixel's size in metres, not degrees")),
    )
    if not inside(grid, 0.0, 0.0).all():
        raise bad_input("terrain", "the launch point lies outside the terrain", "choose a raster that holds it")
    return grid


def inside(grid: TerrainGrid, x_m: Any, y_m: Any) -> NDArray[np.bool_]:
    """Return which points lie between the centres of the outer pixels.

    Parameters
    ----------
    grid : TerrainGrid
    x_m, y_m : array_like
        East and north of the launch point; shapes broadcast.

    Notes
    -----
    A millionth of a cell is forgiven at the rim.
    """
    rows, columns = grid.height_m.shape
    column = (np.asarray(x_m, dtype=np.float64) - grid.x_west_m) / grid.cell_m
    row = (grid.y_north_m - np.asarray(y_m, dtype=np.float64)) / grid.cell_m
    rim = 1e-6
    return np.asarray((column >= -rim) & (column <= columns - 1 + rim) & (row >= -rim) & (row <= rows - 1 + rim))


@kernel
def bilinear_kernel(
    height_m: Array, x_west_m: float, y_north_m: float, cell_m: float, x_m: float, y_m: float
) -> float:  # pragma: no cover - compiled
    """Return the ground height at a point, bilinear between the centres of pixels, held at the rim."""
    column = min(max((x_m - x_west_m) / cell_m, 0.0), height_m.shape[1] - 1.0)
    row = min(max((y_north_m - y_m) / cell_m, 0.0), height_m.shape[0] - 1.0)
    i = min(int(row), height_m.shape[0] - 2)
    j = min(int(column), height_m.shape[1] - 2)
    down = row - i
    right = column - j
    top = float(height_m[i, j]) * (1.0 - right) + float(height_m[i, j + 1]) * right
    bottom = float(height_m[i + 1, j]) * (1.0 - right) + float(height_m[i + 1, j + 1]) * right
    ground: float = top * (1.0 - down) + bottom * down
    return ground


@kernel
def sample_count_kernel(path_m: float, spacing_m: float, most: int) -> int:  # pragma: no cover - compiled
    """Return how many samples keep the spacing, at least 3 and at most `most`."""
    return min(max(math.ceil(path_m / spacing_m - 1e-9) + 1, 3), most)


@kernel
def profile_kernel(
    height_m: Array,
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    x_m: float,
    y_m: float,
    distance_km: Array,
    ground_m: Array,
) -> None:  # pragma: no cover - compiled
    """Fill a profile from the launch point to a target, both ends exact."""
    last = distance_km.size - 1
    path_km = 0.001 * math.hypot(x_m, y_m)
    for i in range(last + 1):
        share = i / last
        distance_km[i] = path_km * share
        ground_m[i] = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, x_m * share, y_m * share)


def ground_height_m(grid: TerrainGrid, x_m: Any, y_m: Any) -> Array:
    """Return the ground height at some points.

    Parameters
    ----------
    grid : TerrainGrid
    x_m, y_m : array_like
        East and north of the launch point, inside the grid; shapes broadcast.

    Returns
    -------
    ndarray
        Height above sea level, broadcast shape.

    Raises
    ------
    InputError
        If a point lies outside the grid.

    Notes
    -----
    Bilinear between the centres of pixels.
    """
    x, y = np.broadcast_arrays(np.asarray(x_m, dtype=np.float64), np.asarray(y_m, dtype=np.float64))
    require_inside(grid, x, y)
    out = np.empty(x.size)
    _ground_kernel(grid.height_m, grid.x_west_m, grid.y_north_m, grid.cell_m, x.flatten(), y.flatten(), out)
    return out.reshape(x.shape)


@kernel
def _ground_kernel(
    height_m: Array, x_west_m: float, y_north_m: float, cell_m: float, x_m: Array, y_m: Array, out: Array
) -> None:  # pragma: no cover - compiled
    for i in range(out.size):
        out[i] = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, x_m[i], y_m[i])


def require_inside(grid: TerrainGrid, x_m: Array, y_m: Array) -> None:
    """Raise unless every point lies on the grid.

    Raises
    ------
    InputError
        Saying how many do not and where the first stands.
    """
    held = inside(grid, x_m, y_m)
    if held.all():
        return
    first = int(np.argmin(held.ravel()))
    raise bad_input(
        "terrain",
        f"{int((~held).sum())} of {held.size} points lie outside it, the first {np.ravel(x_m)[first]:.0f} m east and "
        f"{np.ravel(y_m)[first]:.0f} m north of the launch point",
        "choose a raster that covers the route, or shorten the route",
    )
