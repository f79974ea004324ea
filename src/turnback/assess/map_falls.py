"""Which falls, motors stopped, end among people: a share for every cell of a map."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.falling_worlds import MOST_MPS, FallWorlds, Headings, fall_worlds, velocity_mps
from turnback.assess.flight_energy import Craft
from turnback.physics.fall import HIGHEST_FALL_M, fall_to_ground
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.case import Case
from turnback.records.route import HeightReference

Array = NDArray[np.float64]

STEP_SHARE: Final = 0.15
REACH_M: Final = 400.0


def drop_shares(
    craft: Craft,
    case: Case,
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    shape: tuple[int, int],
    height_m: float,
    reference: HeightReference,
) -> NDArray[np.float32] | None:
    """Return, for every cell, the share of falls from there that end in a people area; None where no areas are named.

    The worse of the way out and the way home: both pass there.

    Parameters
    ----------
    craft : Craft
    case : Case
    x_west_m, y_north_m, cell_m : float
        Centre of cell [0, 0], and the side of a cell.
    shape : tuple of int
        Rows, row 0 north, and columns.
    height_m : float
        Flown, above `reference`.
    reference : HeightReference

    Returns
    -------
    ndarray, shape (ny, nx), float32
        0 to 1.
    """
    areas = case.people_areas
    if areas is None:
        return None
    shares = np.zeros(shape, dtype=np.float32)
    terrain = case.terrain
    worlds = fall_worlds(craft)
    grid = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    x_m, y_m = x_west_m + cell_m * np.arange(shape[1]), y_north_m - cell_m * np.arange(shape[0])
    near = np.zeros(shape, dtype=np.bool_)
    for area in areas.areas:
        west, south, east, north = area.box_m()
        near |= ((y_m > south - REACH_M) & (y_m < north + REACH_M))[:, None] & (
            (x_m > west - REACH_M) & (x_m < east + REACH_M)
        )
    for row, column in zip(*np.nonzero(near), strict=True):
        x, y = float(x_m[column]), float(y_m[row])
        above = above_ground_m(case, x, y, height_m, reference)
        for sign in (1.0, -1.0):
            ends = _ends(worlds, x, y, above, sign, grid)
            shares[row, column] = max(shares[row, column], float(areas.holding(*ends).mean()))
    return shares


def above_ground_m(case: Case, x_m: float, y_m: float, height_m: float, reference: HeightReference) -> float:
    """Return the height above the ground at a place, none below it."""
    if reference is HeightReference.GROUND:
        return height_m
    base = case.launch_height_m if reference is HeightReference.LAUNCH else 0.0
    above = height_m + base - float(case.terrain.ground_m(x_m, y_m))
    return float(np.clip(above, 0.0, HIGHEST_FALL_M))


def _ends(worlds: FallWorlds, x: float, y: float, above: float, sign: float, grid: object) -> tuple[Array, Array]:
    away = max(float(np.hypot(x, y)), 1e-9)
    one = np.zeros(1, dtype=np.int64)
    flags = np.zeros(1, dtype=np.bool_)
    way = Headings(one, np.array([sign * x / away]), np.array([sign * y / away]), np.zeros(1), flags, flags)
    east, north, up = velocity_mps(worlds, way, one, np.array([above]))
    fall = fall_to_ground(
        worlds.mass_kg, worlds.drag_area_m2, worlds.density_kg_m3, above, east, north, up,
        np.clip(worlds.wind_east_mps + worlds.gust_east_mps, -MOST_MPS, MOST_MPS),
        np.clip(worlds.wind_north_mps + worlds.gust_north_mps, -MOST_MPS, MOST_MPS),
        worlds.roughness_m, x, y, grid, STEP_SHARE,  # type: ignore[arg-type]
    )  # fmt: skip
    return fall.x_m[0], fall.y_m[0]
