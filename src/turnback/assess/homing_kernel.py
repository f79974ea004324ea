"""The turn-back map, compiled: one walk out along every ray, and at each cell the chance of coming home from there."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.assess.homing_answer import ANSWERS, RULED, SCORES, answer_kernel
from turnback.assess.homing_cell import Slots, Stack, margins_kernel, write_kernel
from turnback.assess.homing_energy import EnergyRows, energy_way_kernel, needed_kernel
from turnback.assess.homing_fold import common_kernel, fold_kernel
from turnback.assess.homing_links import LinkTables
from turnback.assess.homing_near import NEAR_HEIGHTS, NEAR_STEP_M, near_kernel
from turnback.base.kernels import kernel, parallel_kernel
from turnback.physics.sweep import sweep_wanted
from turnback.physics.sweep_rays import most_owned, owned_cells, ray_end, ray_profile, ray_samples
from turnback.physics.terrain_grid import bilinear_kernel

Array = NDArray[np.float64]

LEAST_OVER_M = 0.5
"""Above the ground no aircraft is lower, as in `reception.cast_rays`."""
UNUSED = 1e-6
"""A height of less weight need not be known, as in `Terrain.covers`."""
MOST_DENSITY = 0.4
"""Greatest density of the standard normal distribution: a chance falls by no more than this for each of a score."""
STILL = 0.001
"""While no chance can have changed by more, the answer of the cell before stands."""
FARTHER = 200.0
"""On fine ground all draws are asked at places as far apart as this part of the distance: a brief's stations stand a
part of 80 apart (`track`)."""
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
    every: int
    """Least samples from one at which all draws are asked to the next; see `turnback.assess.homing.stride`."""


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


class Swept(NamedTuple):
    """One ray over the ground, ``n`` samples; heights above sea level."""

    x_m: float
    y_m: float
    """Where it ends."""
    distance_m: Array
    ground_m: Array
    flown_m: Array
    table: Array
    """``(n, F, 3)`` of `sweep_ray`, as is the next."""
    under_m: Array
    asked: NDArray[np.int64]
    """For each sample the last one, up to itself, at which all draws are asked."""


@kernel
def asked_samples(count: int, every: int) -> NDArray[np.int64]:  # pragma: no cover - compiled
    """Return for each sample of a ray the last one, up to itself, at which all draws are asked."""
    asked = np.empty(count, np.int64)
    last = 0
    for i in range(count):
        if i - last >= max(every, int(last / FARTHER)) or every == 1:
            last = i
        asked[i] = last
    return asked


@kernel
def covers_kernel(ground: GroundTables, swept: Swept, i: int) -> bool:  # pragma: no cover - compiled
    """Return whether every height that counts at a sample is known, as `Terrain.covers` has it."""
    if ground.whole:
        return True
    share = i / max(swept.ground_m.size - 1, 1)
    row = min(max((ground.y_north_m - swept.y_m * share) / ground.cell_m, 0.0), ground.known.shape[0] - 1.0)
    column = min(max((swept.x_m * share - ground.x_west_m) / ground.cell_m, 0.0), ground.known.shape[1] - 1.0)
    top = min(int(row), ground.known.shape[0] - 2)
    left = min(int(column), ground.known.shape[1] - 2)
    down = row - top
    right = column - left
    for a in range(2):
        for b in range(2):
            weight_down = down if a else 1.0 - down
            weight_right = right if b else 1.0 - right
            if weight_down >= UNUSED and weight_right >= UNUSED and not ground.known[top + a, left + b]:
                return False
    return True


@kernel
def highest_kernel(ground: GroundTables, swept: Swept, i: int) -> float:  # pragma: no cover - compiled
    """Return the highest ground from the sample before to a sample, both included."""
    top = swept.ground_m[i]
    if i == 0:
        return float(top)
    last = swept.ground_m.size - 1
    finer = FINER if ground.every == 1 else 1  # fine ground holds its tops at its own samples
    for step in range(finer):
        share = (i - 1 + step / finer) / last
        x_m, y_m = swept.x_m * share, swept.y_m * share
        here = bilinear_kernel(ground.height_m, ground.x_west_m, ground.y_north_m, ground.cell_m, x_m, y_m)
        top = max(top, here)
    return float(top)


@kernel
def sweep_kernel(
    ray: int, count: int, owned: NDArray[np.int64], ground: GroundTables, links: LinkTables, asked: Asked
) -> Swept:  # pragma: no cover - compiled
    """Return the losses along one ray: everywhere, or on fine ground at the samples of its cells and of all draws."""
    rows, columns = ground.height_m.shape
    place = (ground.x_west_m, ground.y_north_m, ground.cell_m)
    distance_km, ground_m, flown_m, top_m = np.empty(count), np.empty(count), np.empty(count), np.empty(count)
    ray_profile(ray, ground.height_m, *place, distance_km, ground_m)
    for i in range(count):
        flown_m[i] = max(asked.height_m + (ground_m[i] if asked.over_ground else 0.0), ground_m[i] + LEAST_OVER_M)
    table = np.empty((count, links.frequency_mhz.size, 3))
    under_m = np.empty((count, links.canopies_m.size))
    wanted = np.empty(0, np.bool_)  # every sample
    canopies_m, under = links.canopies_m, under_m
    of = asked_samples(count, ground.every)
    if ground.every > 1:
        wanted = of == np.arange(count)
        if canopies_m.size > 0:  # leaves are asked about only where all draws are
            sweep_wanted(
                distance_km, ground_m, flown_m, asked.antenna_m, links.frequency_mhz, asked.radius_km, asked.vertical,
                asked.permittivity, asked.conductivity, canopies_m, wanted, table, under_m, top_m,
            )  # fmt: skip
            canopies_m, under = canopies_m[:0], under_m[:, :0]
        wanted[owned] = True
    sweep_wanted(
        distance_km, ground_m, flown_m, asked.antenna_m, links.frequency_mhz, asked.radius_km, asked.vertical,
        asked.permittivity, asked.conductivity, canopies_m, wanted, table, under, top_m,
    )  # fmt: skip
    x_m, y_m = ray_end(ray, rows, columns, *place)
    for i in range(count):
        distance_km[i] *= 1000.0
    return Swept(x_m, y_m, distance_km, ground_m, flown_m, table, under_m, of)


@kernel
def walk_kernel(
    ray: int,
    ground: GroundTables,
    links: LinkTables,
    energy: EnergyRows,
    asked: Asked,
    slots: Slots,
    returns: bool,
    layers: Stack,
) -> None:  # pragma: no cover - compiled
    """Walk one ray outward and write the cells that it owns."""
    rows, columns = ground.height_m.shape
    place = (ground.x_west_m, ground.y_north_m, ground.cell_m)
    count = ray_samples(ray, rows, columns, *place, ground.spacing_m, ground.most)
    owned = np.empty((3, most_owned(rows, columns)), np.int64)
    cells = owned_cells(ray, count, rows, columns, *place, owned[0], owned[1], owned[2])
    if cells == 0:
        return
    swept = sweep_kernel(ray, count, owned[0, :cells], ground, links, asked)
    way = energy_way_kernel(energy, swept.x_m, swept.y_m)
    links_draws = links.level_db.shape
    work = np.empty(links_draws[1], np.float32)
    keys = np.empty(links_draws[1], np.int32)
    loss, least = np.zeros(links_draws, np.float32), np.full(links_draws, np.float32(np.inf))
    common, guess = np.zeros((links_draws[0], 3)), np.zeros(links_draws[0] + links.way_of.size)
    scores, answer = np.zeros(SCORES), np.zeros(ANSWERS)
    met, top, drift, part, cell, k = False, swept.ground_m[0], math.inf, 0.0, 0, 0
    told_met, told_rescue, told_m, fresh_told, weighed = False, 0.0, 0.0, -1, -1  # as answer and margins have it
    for i in range(count):
        if cell == cells or not covers_kernel(ground, swept, i):
            return
        distance_m = swept.distance_m[i]
        over_m = asked.height_m - (0.0 if asked.over_ground else swept.ground_m[i])
        met = met or over_m < (asked.trees_m if distance_m > asked.trees_from_m else 0.0)
        if not math.isnan(asked.return_m):
            top = max(top, highest_kernel(ground, swept, i))
        above_m = swept.flown_m[i] - asked.antenna_m
        turn, fresh = swept.asked[i], swept.asked[i] == i
        if not fresh and owned[0, cell] <= i:
            common_kernel(links, swept.table[i], distance_m, above_m, common)
        elif fresh and (answer[RULED] == 0.0 or swept.asked[owned[0, cell]] == i):
            losses, under_m = swept.table[i], swept.under_m[i]
            if i > 0 and swept.distance_m[i - 1] < NEAR_HEIGHTS * abs(above_m) + NEAR_STEP_M:
                pair = slice(i - 1, i + 1)
                drift += near_kernel(
                    links, swept.table[pair], swept.under_m[pair], swept.distance_m[pair],
                    swept.flown_m[pair] - asked.antenna_m, work, loss, least, common,
                )  # fmt: skip
            drift += fold_kernel(links, losses, under_m, distance_m, above_m, work, loss, least, common)
        rescue = asked.rescue if returns and asked.return_m - top >= asked.return_clearance_m else 0.0
        if owned[0, cell] <= i:
            while k < way.distance_m.size - 2 and way.distance_m[k + 1] < distance_m:
                k += 1
            part = (distance_m - way.distance_m[k]) / (way.distance_m[k + 1] - way.distance_m[k])
            part = min(max(part, 0.0), 1.0)
            moved = way.steep[k] * (distance_m - told_m) + (drift * MOST_DENSITY if answer[RULED] == 0.0 else 0.0)
            if met != told_met or rescue != told_rescue or (moved > STILL and fresh_told < turn):
                answer_kernel(way, k, part, least, rescue, met, asked.chance, work, keys, scores, answer)
                drift, told_m, told_met, told_rescue, fresh_told = 0.0, distance_m, met, rescue, turn
        while cell < cells and owned[0, cell] <= i:
            row, column = owned[1, cell], owned[2, cell]
            write_kernel(
                slots, swept.table[i], answer, needed_kernel(way, k, part), asked.return_m - top, row, column, layers
            )
            anew = fresh or weighed < turn  # the first cell since all draws were asked
            margins_kernel(links, slots, common, loss, guess, work, keys, anew, row, column, layers)
            weighed = turn
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
    layers: Stack,
) -> None:  # pragma: no cover - compiled
    """Write the cells of the rays `first` to `last`; rays own disjoint cells, so threads move no byte.

    ``layers`` is filled with no data before; ``returns[ray]`` tells whether an automatic return beats the wind there.
    """
    for ray in prange(first, last):
        walk_kernel(ray, ground, links, energy, asked, slots, returns[ray], layers)
