"""Which falls, motors stopped, end among people: a share for every cell of a map.

Falls are marched once, over level ground, for some headings and drops; every cell then looks up how far each is
carried, down to the real ground where it ends. Physics and worlds are those of `turnback.assess.falling`.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.falling_worlds import MOST_MPS, FallWorlds, Headings, fall_worlds, velocity_mps
from turnback.assess.flight_energy import Craft
from turnback.assess.map_energy_ways import above_launch_m
from turnback.assess.map_falls_kernel import shares_kernel
from turnback.physics.fall import HIGHEST_FALL_M, fall_to_ground
from turnback.records.areas import PeopleAreas
from turnback.records.case import Case
from turnback.records.route import HeightReference

Array = NDArray[np.float64]

FALLS: Final = 250
"""Of the brief's: one of each draw. A share of one half is then good to 0.03."""
HEADINGS: Final = 16
DROPS: Final = 14
AROUND_M, AROUND_RATIO = 300.0, 6.0  # of the height: the ground that a fall can come from, as in `falling`
STEP_SHARE: Final = 0.25  # of the fall's shortest time scale: a few centimetres of where it ends


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

    The worse of the way out and the way home: both pass there. The motors stop, whatever the radio-loss action is.

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
    areas, terrain = case.people_areas, case.terrain
    if areas is None:
        return None
    shares = np.zeros(shape, dtype=np.float32)
    if not areas.areas:
        return shares
    x_m: Array = x_west_m + cell_m * np.arange(shape[1], dtype=np.float64)
    y_m: Array = y_north_m - cell_m * np.arange(shape[0], dtype=np.float64)
    boxes = np.array([area.box_m() for area in areas.areas])
    around = _ground_around(case, boxes, AROUND_M + AROUND_RATIO * height_m)
    highest_m = _highest_drop_m(case, around, height_m, reference)
    table, drops_m = fall_table(craft, highest_m, height_m if reference is HeightReference.GROUND else None)
    reach_m = np.maximum.accumulate(np.hypot(table[..., 0], table[..., 1]).max(axis=(0, 2)))
    rows, columns = np.nonzero(_near(x_m, y_m, boxes, float(reach_m[-1])))
    if not rows.size:
        return shares
    x, y = np.ascontiguousarray(x_m[columns]), np.ascontiguousarray(y_m[rows])
    flown_m = above_launch_m(case, x, y, height_m, reference) + case.launch_height_m
    found = np.empty(rows.size, dtype=np.float32)
    corners, first = _edges(areas)
    place = np.array([terrain.x_west_m, terrain.y_north_m, terrain.cell_m])
    heights = terrain.heights_m if terrain.heights_m.flags.writeable else terrain.heights_m.copy()
    reaches = np.interp(np.maximum(flown_m[:, None] - around[:, 0], 0.0), drops_m, reach_m)
    shares_kernel(x, y, flown_m, heights, place, table, drops_m, boxes, corners, first, reaches, found)
    shares[rows, columns] = found
    return shares


def fall_table(craft: Craft, highest_m: float, above_m: float | None) -> tuple[Array, Array]:
    """Return how far falls are carried, ``(headings, drops, falls, 2)`` east and north, and the drops.

    Parameters
    ----------
    craft : Craft
    highest_m : float
        The greatest drop, metres.
    above_m : float or None
        Height above ground at which it flies, for its wind; the drop itself where left out.
    """
    worlds = _some(fall_worlds(craft))
    drops = max(highest_m, 1.0) * np.linspace(0.0, 1.0, DROPS) ** 2
    turn = np.arange(HEADINGS) * (2.0 * np.pi / HEADINGS)
    still = np.zeros(HEADINGS, dtype=np.bool_)
    at = np.arange(HEADINGS)
    way = Headings(at, np.sin(turn), np.cos(turn), np.zeros(HEADINGS), still, still)
    table = np.zeros((HEADINGS, DROPS, worlds.mass_kg.size, 2))
    place, drop = np.repeat(at, DROPS - 1), np.tile(drops[1:], HEADINGS)
    east, north, up = velocity_mps(worlds, way, place, drop if above_m is None else np.full(drop.size, above_m))
    fall = fall_to_ground(
        worlds.mass_kg, worlds.drag_area_m2, worlds.density_kg_m3, drop[:, None], east, north, up,
        np.clip(worlds.wind_east_mps + worlds.gust_east_mps, -MOST_MPS, MOST_MPS),
        np.clip(worlds.wind_north_mps + worlds.gust_north_mps, -MOST_MPS, MOST_MPS),
        worlds.roughness_m, step_share=STEP_SHARE,
    )  # fmt: skip
    table[:, 1:] = np.stack([fall.x_m, fall.y_m], axis=-1).reshape(HEADINGS, DROPS - 1, -1, 2)
    return table, drops


def _some(worlds: FallWorlds) -> FallWorlds:
    """Return some of the worlds, spread evenly: they stand in the draws' random order."""
    count = worlds.mass_kg.size
    rows = np.unique(np.linspace(0, count - 1, min(FALLS, count)).round().astype(np.int64))
    kept: dict[str, Any] = {
        each.name: getattr(worlds, each.name)[rows] for each in fields(worlds) if each.name != "roughness_m"
    }
    return replace(worlds, **kept)


def _ground_around(case: Case, boxes: Array, room_m: float) -> Array:
    """Return the lowest ground in each area's box, and the highest within some room of it, ``(a, 2)``."""
    terrain = case.terrain
    rows, columns = terrain.heights_m.shape

    def part(box: Array, room: float) -> NDArray[np.float32]:
        west, east = (np.array([box[0] - room, box[2] + room]) - terrain.x_west_m) / terrain.cell_m
        top, bottom = (terrain.y_north_m - np.array([box[3] + room, box[1] - room])) / terrain.cell_m
        first_row, first_column = int(np.clip(top, 0, rows - 1)), int(np.clip(west, 0, columns - 1))
        last_row, last_column = int(np.clip(np.ceil(bottom), 0, rows - 1)), int(np.clip(np.ceil(east), 0, columns - 1))
        return terrain.heights_m[first_row : last_row + 1, first_column : last_column + 1]

    return np.array([[part(box, 0.0).min(), part(box, room_m).max()] for box in boxes], dtype=np.float64)


def _highest_drop_m(case: Case, around: Array, height_m: float, reference: HeightReference) -> float:
    """Return the greatest drop into any area, from the ground around it."""
    base = {
        HeightReference.GROUND: around[:, 1],
        HeightReference.LAUNCH: np.full(around.shape[0], case.launch_height_m),
        HeightReference.SEA_LEVEL: np.zeros(around.shape[0]),
    }[reference]
    return float(np.clip(base + height_m - around[:, 0], 0.0, HIGHEST_FALL_M).max())


def _near(x_m: Array, y_m: Array, boxes: Array, reach_m: float) -> NDArray[np.bool_]:
    """Return the cells from which a fall can reach the box of an area, ``(ny, nx)``."""
    near = np.zeros((y_m.size, x_m.size), dtype=np.bool_)
    for west, south, east, north in boxes:
        rows = np.flatnonzero((y_m >= south - reach_m) & (y_m <= north + reach_m))
        columns = np.flatnonzero((x_m >= west - reach_m) & (x_m <= east + reach_m))
        if rows.size and columns.size:
            near[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1] = True
    return near


def _edges(areas: PeopleAreas) -> tuple[Array, NDArray[np.int64]]:
    """Return the edges of all areas, ``(n, 4)`` from and to, and where those of each begin, with the end."""
    edges = [[np.hstack([ring[:-1], ring[1:]]) for ring in area.rings] for area in areas.areas]
    counts = [sum(len(ring) for ring in area) for area in edges]
    return np.vstack([ring for area in edges for ring in area]), np.concatenate([[0], np.cumsum(counts)]).astype(
        np.int64
    )
