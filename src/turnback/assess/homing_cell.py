"""One cell of the turn-back map, compiled: chances in every draw, their middle and ends, and what rules."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.homing_chance import ONE, normal_kernel, quantile_kernel
from turnback.assess.homing_links import LinkTables
from turnback.base.kernels import kernel
from turnback.records.home_map import LAYERS, NO_DATA, Reason

Array = NDArray[np.float64]
Single = NDArray[np.float32]

HOME, CONTROL, VIDEO = int(Reason.HOME), int(Reason.CONTROL), int(Reason.VIDEO)
ENERGY, WIND, GROUND = int(Reason.ENERGY), int(Reason.WIND), int(Reason.GROUND)
MOST = 32767
NONE = int(NO_DATA)
CHANCE_SCALE, LOSS_SCALE, ENERGY_SCALE, CLEARANCE_SCALE = (
    LAYERS[key][0] for key in ("home", "control_margin", "energy", "return_clearance")
)
HALF_WORLDS = 0.5


class EnergyRows(NamedTuple):
    """What the pack allows, for the kernel, as in `EnergyTable`; draws in the order of the links'."""

    bearing_deg: Array
    distance_m: Array
    chance: Single
    """``(b, k, j)``."""
    needed_mid_wh: Array
    needed_high_wh: Array
    beaten_share: Array
    """``(b, k)``: of draws that beat the wind."""


class Slots(NamedTuple):
    """Which layer of the stack holds what; -1 where it is not asked for."""

    home: int
    home_low: int
    home_high: int
    reason: int
    sight: int
    energy: int
    energy_high: int
    energy_chance: int
    return_clearance: int
    margin: NDArray[np.int64]
    """``(F,)``, as are the next two."""
    chance: NDArray[np.int64]
    diffraction: NDArray[np.int64]
    way: NDArray[np.int64]
    """``(W,)``."""


class EnergyWay(NamedTuple):
    """What the pack allows on one bearing, ``(k, ...)``."""

    distance_m: Array
    chance: Single
    mid_wh: Array
    high_wh: Array
    beaten_share: Array


@kernel
def energy_row_kernel(energy: EnergyRows, x_m: float, y_m: float) -> EnergyWay:  # pragma: no cover - compiled
    """Return what the pack allows on the bearing of a place: a straight line between two bearings of the table."""
    count = energy.bearing_deg.size
    at = math.degrees(math.atan2(x_m, y_m)) % 360.0
    b = count - 1
    for i in range(count):
        if energy.bearing_deg[i] <= at:
            b = i
    after = (b + 1) % count
    step = (energy.bearing_deg[after] - energy.bearing_deg[b]) % 360.0
    share = ((at - energy.bearing_deg[b]) % 360.0) / step if step > 0.0 else 0.0
    part = np.float32(share)
    chance = np.empty((energy.distance_m.size, energy.chance.shape[2]), np.float32)
    mid = np.empty(energy.distance_m.size)
    high = np.empty(energy.distance_m.size)
    beaten = np.empty(energy.distance_m.size)
    for k in range(energy.distance_m.size):
        for j in range(chance.shape[1]):
            chance[k, j] = energy.chance[b, k, j] + part * (energy.chance[after, k, j] - energy.chance[b, k, j])
        mid[k] = between_kernel(energy.needed_mid_wh[b, k], energy.needed_mid_wh[after, k], share)
        high[k] = between_kernel(energy.needed_high_wh[b, k], energy.needed_high_wh[after, k], share)
        beaten[k] = between_kernel(energy.beaten_share[b, k], energy.beaten_share[after, k], share)
    return EnergyWay(energy.distance_m, chance, mid, high, beaten)


@kernel
def between_kernel(start: float, end: float, share: float) -> float:  # pragma: no cover - compiled
    """Return a number on the straight line between two; of an infinite one no more than is there."""
    if share <= 0.0:
        return start
    if share >= 1.0:
        return end
    return start + share * (end - start) if math.isfinite(start) and math.isfinite(end) else math.inf


@kernel
def put_kernel(
    layers: NDArray[np.int16], slot: int, row: int, column: int, value: float, scale: float
) -> None:  # pragma: no cover - compiled
    """Write a number into a layer: held at the ends of what 16 bits can say, no data where it is none."""
    if slot < 0:
        return
    if math.isnan(value):
        layers[slot, row, column] = np.int16(NONE)
        return
    layers[slot, row, column] = np.int16(min(max(math.floor(value / scale + 0.5), -MOST), MOST))


@kernel
def write_kernel(
    links: LinkTables,
    lasts: EnergyWay,
    slots: Slots,
    losses: Array,
    loss: Single,
    least: Single,
    found: Array,
    work: Single,
    row: int,
    column: int,
    layers: NDArray[np.int16],
) -> None:  # pragma: no cover - compiled
    """Write every layer of one cell.

    ``found`` is distance from launch m, whether the way met the ground, chance of a return's rescue, its clearance m,
    and the chance asked for.
    """
    home, spare = work[0], work[1]
    distance_m, rescue = found[0], np.float32(found[2])
    k = 0
    while k < lasts.distance_m.size - 2 and lasts.distance_m[k + 1] < distance_m:
        k += 1
    share = min(max((distance_m - lasts.distance_m[k]) / (lasts.distance_m[k + 1] - lasts.distance_m[k]), 0.0), 1.0)
    part = np.float32(share)
    for j in range(home.size):
        home[j] = lasts.chance[k, j] + part * (lasts.chance[k + 1, j] - lasts.chance[k, j])
    ends = np.empty(3)
    ends[2] = quantile_kernel(home, spare, 0.05)
    put_kernel(layers, slots.energy_chance, row, column, quantile_kernel(home, spare, 0.5), CHANCE_SCALE)
    mid_wh = between_kernel(lasts.mid_wh[k], lasts.mid_wh[k + 1], share)
    put_kernel(layers, slots.energy, row, column, mid_wh, ENERGY_SCALE)
    high_wh = between_kernel(lasts.high_wh[k], lasts.high_wh[k + 1], share)
    put_kernel(layers, slots.energy_high, row, column, high_wh, ENERGY_SCALE)
    put_kernel(layers, slots.return_clearance, row, column, found[3], CLEARANCE_SCALE)
    put_kernel(layers, slots.sight, row, column, 1.0 if losses[0, 2] > 0.0 else 0.0, 1.0)
    ends[1] = 1.0
    for f in range(losses.shape[0]):
        holds = normal_kernel(np.float32(quantile_kernel(least[f], spare, 0.05)))
        ends[f] = holds + (1.0 - holds) * rescue
        middle = float(normal_kernel(np.float32(quantile_kernel(least[f], spare, 0.5))))
        put_kernel(layers, slots.chance[f], row, column, middle, CHANCE_SCALE)
        put_kernel(layers, slots.diffraction[f], row, column, losses[f, 0], LOSS_SCALE)
        for j in range(home.size):
            holds = normal_kernel(least[f, j])
            home[j] *= holds + (ONE - holds) * rescue
    margins_kernel(links, slots, loss, spare, work[2], row, column, layers)
    low = 0.0
    if found[1] > 0.0:
        home[:] = 0.0
    else:
        low = quantile_kernel(home, spare, 0.05)
    put_kernel(layers, slots.home_low, row, column, low, CHANCE_SCALE)
    put_kernel(layers, slots.home, row, column, quantile_kernel(home, spare, 0.5), CHANCE_SCALE)
    put_kernel(layers, slots.home_high, row, column, quantile_kernel(home, spare, 0.95), CHANCE_SCALE)
    beaten = between_kernel(lasts.beaten_share[k], lasts.beaten_share[k + 1], share)
    reason = reason_kernel(ends, low, found[4], found[1] > 0.0, beaten)
    put_kernel(layers, slots.reason, row, column, float(reason), 1.0)


@kernel
def reason_kernel(
    ends: Array, low: float, chance: float, met: bool, beaten_share: float
) -> int:  # pragma: no cover - compiled
    """Return what rules at a place; ``ends`` are the chances of control, video and energy at the unfavourable end."""
    if met:
        return GROUND
    if low >= chance:
        return HOME
    if ends[2] <= min(ends[0], ends[1]):
        return WIND if beaten_share < HALF_WORLDS else ENERGY
    return CONTROL if ends[0] <= ends[1] else VIDEO


@kernel
def margins_kernel(
    links: LinkTables,
    slots: Slots,
    loss: Single,
    spare: Single,
    margin: Single,
    row: int,
    column: int,
    layers: NDArray[np.int16],
) -> None:  # pragma: no cover - compiled
    """Write the median margins of every link and each of its directions, at the place itself."""
    for f in range(loss.shape[0]):
        for j in range(margin.size):
            margin[j] = links.level_db[f, j] - loss[f, j]
        put_kernel(layers, slots.margin[f], row, column, quantile_kernel(margin, spare, 0.5), LOSS_SCALE)
    for w in range(links.way_of.size):
        f = links.way_of[w]
        for j in range(margin.size):
            margin[j] = links.way_db[w, j] - loss[f, j]
        put_kernel(layers, slots.way[w], row, column, quantile_kernel(margin, spare, 0.5), LOSS_SCALE)
