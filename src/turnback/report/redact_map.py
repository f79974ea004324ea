"""Take out of a turn-back map what tells where it lies, before any file is made of it.

What is taken out, and what cannot be: ``docs/redacting.md``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.homing_ring import thinned
from turnback.records.home_map import HeightStep, HomeMap, Layer
from turnback.report.language import text
from turnback.report.redact import FILE_FACTS, Heights, above_launch_m, between, nodes, told_note, told_source

CELLS_M: Final = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
LEAST_CELLS: Final = 3
MOST_THUMB_CELLS: Final = 200
"""Cells a side of the small picture of one height, as `HeightStep` has it."""
Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class _Grid:
    """A round grid whose nodes hold the launch point, and where each node lies in the map's own grid, in cells."""

    x_m: Heights
    y_m: Heights
    cell_m: float
    right: Heights
    down: Heights


def redacted_map(found: HomeMap) -> HomeMap:
    """Return a map without position, title and names, on a round grid; once is as good as twice.

    The cells of many rasters are so many seconds of arc wide, which tells the latitude: the map is laid on a grid of a
    round cell, each layer by its nearest pixel, the ground by straight lines, in whole millimetres above the launch
    point. Distances by bearing, chances and shares stay as they were worked out.
    """
    grid = _round_grid(found)
    nearest = _nearest(grid.down, found.heights_m.shape[0]), _nearest(grid.right, found.heights_m.shape[1])
    return replace(
        found,
        layers=_layers(found.layers, np.ix_(*nearest)),
        heights_m=_heights(found, grid),
        x_west_m=float(grid.x_m[0]),
        y_north_m=float(grid.y_m[0]),
        cell_m=grid.cell_m,
        heights=tuple(_step(step, grid) for step in found.heights),
        launch_lat_deg=None,
        launch_lon_deg=None,
        areas=tuple((text("area {number}", number=place), ring) for place, (_, ring) in enumerate(found.areas, 1)),
        terrain_source=told_source(assumed=found.terrain_assumed),
        terrain_notes=tuple(told_note(note) for note in found.terrain_notes if note.kind not in FILE_FACTS),
        title=text("A flight"),
    )


def launch_ground_m(found: HomeMap) -> float:
    """Return the height of the map's ground at the launch point, on straight lines between its neighbours."""
    at_x, at_y = np.array([-found.x_west_m / found.cell_m]), np.array([found.y_north_m / found.cell_m])
    return float(between(between(found.heights_m.astype(np.float64), at_x).T, at_y)[0, 0])


def _heights(found: HomeMap, grid: _Grid) -> NDArray[np.float32]:
    across = between(found.heights_m.astype(np.float64), grid.right)
    told: Any = above_launch_m(between(across.T, grid.down).T, launch_ground_m(found))
    return np.asarray(told, dtype=np.float32)


def _round_grid(found: HomeMap) -> _Grid:
    rows, columns = found.heights_m.shape
    west_m, north_m = found.x_west_m, found.y_north_m
    east_m, south_m = west_m + (columns - 1) * found.cell_m, north_m - (rows - 1) * found.cell_m
    cell_m = _round_cell_m(found.cell_m, min(east_m - west_m, north_m - south_m))
    x_m, y_m = nodes(west_m, east_m, cell_m), nodes(south_m, north_m, cell_m)[::-1]
    return _Grid(x_m, y_m, cell_m, (x_m - west_m) / found.cell_m, (north_m - y_m) / found.cell_m)


def _round_cell_m(cell_m: float, side_m: float) -> float:
    """Return the next round size of a cell, smaller where the map would have too few."""
    fitting = [size for size in CELLS_M if side_m / size >= LEAST_CELLS]
    larger = [size for size in fitting if size >= cell_m * (1.0 - 1e-9)]
    return larger[0] if larger else fitting[-1] if fitting else side_m / LEAST_CELLS


def _nearest(at: Heights, size: int) -> Places:
    return np.clip(np.rint(at), 0, size - 1).astype(np.intp)


def _layers(layers: Mapping[str, Layer], nearest: tuple[Places, ...]) -> dict[str, Layer]:
    return {key: replace(layer, values=np.ascontiguousarray(layer.values[nearest])) for key, layer in layers.items()}


def _step(step: HeightStep, grid: _Grid) -> HeightStep:
    """Thin one height's small picture anew, on the round grid: again the least of each block."""
    if step.home_low is None:
        return step
    down, right = (
        _block(at, step.thinned, size) for at, size in zip((grid.down, grid.right), step.home_low.shape, strict=True)
    )
    small, blocks = thinned(step.home_low[np.ix_(down, right)], MOST_THUMB_CELLS)
    return replace(step, home_low=small, thinned=blocks)


def _block(at: Heights, cells: int, size: int) -> Places:
    """Return in which block of cells each place lies."""
    return np.clip(np.floor((at + 0.5) / cells), 0, size - 1).astype(np.intp)
