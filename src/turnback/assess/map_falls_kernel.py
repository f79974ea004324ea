"""Where falls from each cell end, compiled: a table of how far they are carried, over the real ground, into areas."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.base.kernels import kernel, parallel_kernel
from turnback.physics.terrain_grid import bilinear_kernel

Array = NDArray[np.float64]

LOOKS = 3  # the drop is counted to the ground where it ends: looked at anew each time
HALF_TURN = math.pi


@kernel
def _inside(
    x_m: float, y_m: float, corners: Array, first: NDArray[np.int64], area: int
) -> bool:  # pragma: no cover - compiled
    """Return whether a point lies in an area, holes taken out (even-odd rule), as `PeopleArea.holds`."""
    found = False
    for i in range(first[area], first[area + 1]):
        x0, y0, x1, y1 = corners[i, 0], corners[i, 1], corners[i, 2], corners[i, 3]
        if (y0 > y_m) != (y1 > y_m) and x_m < x0 + (y_m - y0) * (x1 - x0) / (y1 - y0):
            found = not found
    return found


@kernel
def _near_areas(
    x_m: float, y_m: float, boxes: Array, reaches_m: Array, i: int, near: NDArray[np.int64]
) -> int:  # pragma: no cover - compiled
    """Fill in which areas a fall from a place can reach at all, and return how many."""
    count = 0
    for area in range(boxes.shape[0]):
        east = max(boxes[area, 0] - x_m, x_m - boxes[area, 2], 0.0)
        north = max(boxes[area, 1] - y_m, y_m - boxes[area, 3], 0.0)
        if math.hypot(east, north) <= reaches_m[i, area]:
            near[count] = area
            count += 1
    return count


@kernel
def _carried_m(
    table: Array, drops_m: Array, slot: int, turn: float, drop_m: float, fall: int
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return how far a fall is carried, east and north, between two headings and two drops of the table."""
    last = drops_m.size - 1  # the drops are as the squares of even steps
    d = min(int(last * math.sqrt(min(drop_m / drops_m[last], 1.0))), last - 1)
    part = min(max((drop_m - drops_m[d]) / (drops_m[d + 1] - drops_m[d]), 0.0), 1.0)
    after = (slot + 1) % table.shape[0]
    here, there = (1.0 - turn) * (1.0 - part), turn * (1.0 - part)
    here_on, there_on = (1.0 - turn) * part, turn * part
    east = here * table[slot, d, fall, 0] + here_on * table[slot, d + 1, fall, 0]
    east += there * table[after, d, fall, 0] + there_on * table[after, d + 1, fall, 0]
    north = here * table[slot, d, fall, 1] + here_on * table[slot, d + 1, fall, 1]
    north += there * table[after, d, fall, 1] + there_on * table[after, d + 1, fall, 1]
    return east, north


@parallel_kernel
def shares_kernel(
    x_m: Array, y_m: Array, flown_m: Array, height_m: Any, place: Array, table: Array, drops_m: Array,
    boxes: Array, corners: Array, first: NDArray[np.int64], reaches_m: Array, shares: NDArray[np.float32],
) -> None:  # fmt: skip  # pragma: no cover - compiled
    """Fill ``(n,)``, the greater share of the way out and the way home, for places ``(n,)`` flown over at `flown_m`.

    Heights are above sea level. `place` is west, north and side of the terrain's cells; `table` ``(headings, drops,
    falls, 2)`` how far each fall is carried; `corners` the edges of all areas, those of one from `first` on;
    `reaches_m` ``(n, areas)`` how far a fall from each place into each area may be carried.
    """
    x_west_m, y_north_m, cell_m = place[0], place[1], place[2]
    headings, falls = table.shape[0], table.shape[2]
    for i in prange(x_m.size):
        near = np.empty(boxes.shape[0], dtype=np.int64)
        count = _near_areas(x_m[i], y_m[i], boxes, reaches_m, i, near)
        most = 0
        for back in range(2):
            at = (math.atan2(x_m[i], y_m[i]) + back * HALF_TURN) / (2.0 * HALF_TURN) % 1.0 * headings
            slot = int(at) % headings
            hits = 0
            for fall in range(falls if count else 0):
                x, y = x_m[i], y_m[i]
                for _ in range(LOOKS):
                    drop = flown_m[i] - bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, x, y)
                    east, north = _carried_m(table, drops_m, slot, at - int(at), max(drop, 0.0), fall)
                    x, y = x_m[i] + east, y_m[i] + north
                for n in range(count):
                    a = near[n]
                    held = boxes[a, 0] <= x <= boxes[a, 2] and boxes[a, 1] <= y <= boxes[a, 3]
                    if held and _inside(x, y, corners, first, a):
                        hits += 1
                        break
            most = max(most, hits)
        shares[i] = most / falls
