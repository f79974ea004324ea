"""How far out it can turn back on every bearing of a map, and what ends the way there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.home_map import NO_DATA, Layer, Reason, TurnBackRing
from turnback.records.terrain import Terrain

Array = NDArray[np.float64]

BEARINGS: Final = 360
STEP_CELLS: Final = 0.5  # along a bearing
NOWHERE: Final = NO_DATA


def ring_of(
    layers: Mapping[str, Layer],
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    radius_m: float,
    chance: float,
    limit_m: float | None,
) -> TurnBackRing:
    """Return the ring of a map.

    A place of a bearing counts as home where all four cells around it do. The distance is that of the last place
    before the first that does not.

    Parameters
    ----------
    layers : mapping of str to Layer
        With ``"reason"`` and ``"home_low"``.
    x_west_m, y_north_m, cell_m : float
        Centre of pixel [0, 0], and the spacing.
    radius_m : float
        Of the map.
    chance : float
        That counts as coming home, at the unfavourable end; the layer ``"reason"`` is `Reason.HOME` there.
    limit_m : float or None
        The entered limit of distance.
    """
    reasons, low = layers["reason"].values, layers["home_low"].values
    rows, columns = reasons.shape
    bearing = np.arange(BEARINGS, dtype=np.float64)
    at_m = np.arange(0.0, radius_m + 1e-6, STEP_CELLS * cell_m)
    turn_back, names = np.empty(BEARINGS), []
    for i, degrees in enumerate(bearing):
        column = (at_m * np.sin(np.deg2rad(degrees)) - x_west_m) / cell_m
        row = (y_north_m - at_m * np.cos(np.deg2rad(degrees))) / cell_m
        inside = (row > -1e-6) & (row < rows - 1 + 1e-6) & (column > -1e-6) & (column < columns - 1 + 1e-6)
        inside_m = at_m[inside]
        around_row = _around(row[inside], rows)
        around_column = _around(column[inside], columns)
        here = reasons[around_row[:, :, None], around_column[:, None, :]].reshape(inside_m.size, -1)
        lows = low[around_row[:, :, None], around_column[:, None, :]].reshape(inside_m.size, -1)
        turn_back[i], name = _end(inside_m, here, lows)
        if limit_m is not None and turn_back[i] > limit_m:
            turn_back[i], name = limit_m, "limit"
        names.append(name)
    return TurnBackRing(
        bearing, turn_back, tuple(names), chance, share_home(reasons, x_west_m, y_north_m, cell_m, radius_m)
    )


def share_home(reasons: NDArray[np.int16], x_west_m: float, y_north_m: float, cell_m: float, radius_m: float) -> float:
    """Return the part of a map's known ground within its radius that it comes home from; 0 where none is known."""
    rows, columns = reasons.shape
    east = x_west_m + np.arange(columns) * cell_m
    home, known = 0, 0
    for row in range(rows):  # a line at a time: memory stays small on the widest grids
        north = y_north_m - row * cell_m
        line = reasons[row, np.hypot(east, north) <= radius_m]
        home += int((line == Reason.HOME).sum())
        known += int((line != NOWHERE).sum())
    return home / known if known else 0.0


def lowest_m(terrain: Terrain) -> float:
    """Return the lowest known ground within a terrain's radius, above sea level; the launch point's where none is."""
    rows, columns = terrain.heights_m.shape
    east = terrain.x_west_m + np.arange(columns) * terrain.cell_m
    lowest = terrain.launch_ground_m
    for row in range(rows):
        north = terrain.y_north_m - row * terrain.cell_m
        line = terrain.heights_m[row, (np.hypot(east, north) <= terrain.radius_m) & terrain.known[row]]
        lowest = min(lowest, float(line.min(initial=np.inf)))
    return lowest


def thinned(values: NDArray[np.int16], most: int) -> tuple[NDArray[np.int16], int]:
    """Return a layer with the least of each block of cells, at most so many a side, and how many cells a block has."""
    rows, columns = values.shape
    step = -(-max(rows, columns) // most)
    if step == 1:
        return values.copy(), 1
    small = np.full((-(-rows // step), -(-columns // step)), np.iinfo(np.int16).max, dtype=np.int16)
    for down in range(step):
        for right in range(step):
            part = values[down::step, right::step]
            here = small[: part.shape[0], : part.shape[1]]
            np.minimum(here, np.where(part == NO_DATA, here, part), out=here)
    small[small == np.iinfo(np.int16).max] = NO_DATA
    return small, step


def _around(place: Array, size: int) -> NDArray[np.intp]:
    """Return the two cells around each place along one side of the grid, ``(n, 2)``; one twice on its centre."""
    near = np.clip(np.stack([np.floor(place + 1e-6), np.ceil(place - 1e-6)], axis=1), 0, size - 1)
    return np.asarray(near, dtype=np.intp)


def _end(at_m: Array, reasons: NDArray[np.int16], low: NDArray[np.int16]) -> tuple[float, str]:
    """Return the last distance from which it comes home, and what rules just beyond."""
    fails = (reasons != Reason.HOME).any(axis=1)
    if not fails.any():
        return float(at_m[-1]), "map"
    first = int(np.argmax(fails))
    last_m = float(at_m[max(first - 1, 0)])
    if (reasons[first] == NOWHERE).any():
        return last_m, "terrain"
    there = np.flatnonzero(reasons[first] != Reason.HOME)
    return last_m, Reason(int(reasons[first][there[np.argmin(low[first][there])]])).name.lower()
