"""The turn-back map, compiled: one walk out along every ray, and at each cell the chance of coming home from there."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.assess.homing_cell import EnergyRows, Slots, energy_row_kernel, write_kernel
from turnback.assess.homing_fold import fold_kernel
from turnback.assess.homing_links import LinkTables
from turnback.base.kernels import kernel, parallel_kernel
from turnback.physics.sweep import sweep_ray
from turnback.physics.sweep_rays import most_owned, owned_cells, ray_end, ray_profile, ray_samples
from turnback.physics.terrain_grid import bilinear_kernel

Array = NDArray[np.float64]

LEAST_OVER_M = 0.5
"""Above the ground no aircraft is lower, as in `reception.cast_rays`."""
FINER = 8
"""Places between two samples at which the ground under the way home is looked at, as in `way_home`."""


class GroundTables(NamedTuple):
    """The terrain for the kernel; positions in metres from the launch point."""

    height_m: NDArray[Any]
    known: NDArray[np.bool_]
    whole: bool
    """Every height is known."""
    x_west_m: float
    y_north_m: float
    cell_m: float
    spacing_m: float
    """Of the samples along a ray, no more than this."""
    most: int
    """Samples of one ray."""


class Asked(NamedTuple):
    """What is flown, and what counts as coming home; heights above sea level unless said."""

    height_m: float
    """Flown: above the ground below where `over_ground`, else above sea level."""
    over_ground: bool
    antenna_m: float
    trees_m: float
    """Trees that the way out has to clear, above ground."""
    trees_from_m: float
    """Distance from launch at which they begin."""
    return_m: float
    """Of the straight line home less the trees below it; not a number where none is set."""
    return_clearance_m: float
    rescue: float
    """Chance that an automatic return brings it home where it works."""
    chance: float
    radius_km: float
    vertical: bool
    permittivity: float
    conductivity: float


@kernel
def covers_kernel(ground: GroundTables, x_m: float, y_m: float) -> bool:  # pragma: no cover - compiled
    """Return whether every height that counts at a place is known, as `Terrain.covers` has it."""
    if ground.whole:
        return True
    row = min(max((ground.y_north_m - y_m) / ground.cell_m, 0.0), ground.known.shape[0] - 1.0)
    column = min(max((x_m - ground.x_west_m) / ground.cell_m, 0.0), ground.known.shape[1] - 1.0)
    i = min(int(row), ground.known.shape[0] - 2)
    j = min(int(column), ground.known.shape[1] - 2)
    down = row - i
    right = column - j
    for a in range(2):
        for b in range(2):
            weight = (down if a else 1.0 - down) * (right if b else 1.0 - right)
            if weight >= 1e-6 and not ground.known[i + a, j + b]:
                return False
    return True


@kernel
def highest_kernel(
    ground: GroundTables, x_m: float, y_m: float, before: float, here: float
) -> float:  # pragma: no cover - compiled
    """Return the highest ground between two shares of the way to a place, both included."""
    top = -math.inf
    for step in range(FINER + 1):
        share = before + (here - before) * step / FINER
        top = max(
            top,
            bilinear_kernel(
                ground.height_m, ground.x_west_m, ground.y_north_m, ground.cell_m, x_m * share, y_m * share
            ),
        )
    return top


@kernel
def walk_kernel(
    ray: int,
    ground: GroundTables,
    links: LinkTables,
    energy: EnergyRows,
    asked: Asked,
    slots: Slots,
    returns: bool,
    layers: NDArray[np.int16],
) -> None:  # pragma: no cover - compiled
    """Walk one ray outward and write the cells that it owns."""
    rows, columns = ground.height_m.shape
    place = (ground.x_west_m, ground.y_north_m, ground.cell_m)
    count = ray_samples(ray, rows, columns, *place, ground.spacing_m, ground.most)
    sample = np.empty(most_owned(rows, columns), np.int64)
    row = np.empty(sample.size, np.int64)
    column = np.empty(sample.size, np.int64)
    cells = owned_cells(ray, count, rows, columns, *place, sample, row, column)
    if cells == 0:
        return
    distance_km = np.empty(count)
    ground_m = np.empty(count)
    ray_profile(ray, ground.height_m, *place, distance_km, ground_m)
    flown_m = np.empty(count)
    for i in range(count):
        flown_m[i] = max(asked.height_m + (ground_m[i] if asked.over_ground else 0.0), ground_m[i] + LEAST_OVER_M)
    table = np.empty((count, links.frequency_mhz.size, 3))
    under_m = np.empty((count, links.canopies_m.size))
    top_m = np.empty(count)
    sweep_ray(
        distance_km, ground_m, flown_m, asked.antenna_m, links.frequency_mhz, asked.radius_km, asked.vertical,
        asked.permittivity, asked.conductivity, links.canopies_m, table, under_m, top_m,
    )  # fmt: skip
    x_m, y_m = ray_end(ray, rows, columns, *place)
    least = np.full(links.level_db.shape, np.float32(np.inf))
    loss = np.empty(links.level_db.shape, np.float32)
    lasts = energy_row_kernel(energy, x_m, y_m)
    work = np.empty((3, links.level_db.shape[1]), np.float32)
    found = np.empty(8)
    met = False
    top = ground_m[0]
    cell = 0
    for i in range(sample[cells - 1] + 1):
        share = i / max(count - 1, 1)
        distance_m = 1000.0 * distance_km[i]
        if not covers_kernel(ground, x_m * share, y_m * share):
            return
        if i > 0 and not math.isnan(asked.return_m):
            top = max(top, highest_kernel(ground, x_m, y_m, (i - 1) / (count - 1), share))
        trees_m = asked.trees_m if distance_m > asked.trees_from_m else 0.0
        over_m = asked.height_m - trees_m - (0.0 if asked.over_ground else ground_m[i])
        met = met or over_m < 0.0
        fold_kernel(links, table[i], under_m[i], distance_m, flown_m[i] - asked.antenna_m, loss, least)
        clear_m = asked.return_m - top
        works = returns and clear_m >= asked.return_clearance_m
        found[0] = distance_m
        found[1] = 1.0 if met else 0.0
        found[2] = asked.rescue if works else 0.0
        found[3] = clear_m
        found[4] = asked.chance
        while cell < cells and sample[cell] <= i:
            write_kernel(links, lasts, slots, table[i], loss, least, found, work, row[cell], column[cell], layers)
            cell += 1


@parallel_kernel
def homing_kernel(
    first: int,
    last: int,
    ground: GroundTables,
    links: LinkTables,
    energy: EnergyRows,
    asked: Asked,
    slots: Slots,
    returns: NDArray[np.bool_],
    layers: NDArray[np.int16],
) -> None:  # pragma: no cover - compiled
    """Write the cells of the rays `first` to `last`; rays own disjoint cells, so threads move no byte.

    ``layers`` is filled with no data before; ``returns[ray]`` tells whether an automatic return beats the wind there.
    """
    for ray in prange(first, last):
        walk_kernel(ray, ground, links, energy, asked, slots, returns[ray], layers)
