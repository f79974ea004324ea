"""One cell of the turn-back map, compiled: its numbers written into the layers, the margins worked out."""

from __future__ import annotations

import math
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.homing_answer import HOLDS, HOME_HIGH, HOME_LOW, HOME_MEAN, LASTS, REASON
from turnback.assess.homing_chance import Keys, keys_kernel, quantile_kernel
from turnback.assess.homing_links import MIDDLE_DB, LinkTables
from turnback.base.kernels import kernel
from turnback.records.home_map import LAYERS, NO_DATA

Array = NDArray[np.float64]
Single = NDArray[np.float32]
Stack = NDArray[np.int16]

MOST: Final = 32767
NONE: Final = int(NO_DATA)
CHANCES, LOSSES, ENERGIES, CLEARANCES = (
    1.0 / LAYERS[key][0] for key in ("home", "control_margin", "energy", "return_clearance")
)
"""Whole numbers in one of a layer's unit."""
NEAR_DB: Final = 0.1  # from cell to cell a margin changes by about this


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


@kernel
def put_kernel(
    layers: Stack, slot: int, row: int, column: int, value: float, many: float
) -> None:  # pragma: no cover - compiled
    """Write a number into a layer: held at the ends of what 16 bits can say, no data where it is none."""
    if slot < 0:
        return
    if math.isnan(value):
        layers[row, column, slot] = np.int16(NONE)
        return
    held = min(max(value * many, -MOST), MOST)  # before it is made whole: infinity has no whole number
    layers[row, column, slot] = np.int16(math.floor(held + 0.5))


@kernel
def write_kernel(
    slots: Slots,
    losses: Array,
    answer: Array,
    needed_wh: tuple[float, float],
    clear_m: float,
    row: int,
    column: int,
    layers: Stack,
) -> None:  # pragma: no cover - compiled
    """Write all but the margins of one cell; ``answer`` is that of `answer_kernel`."""
    put_kernel(layers, slots.home, row, column, answer[HOME_MEAN], CHANCES)
    put_kernel(layers, slots.home_low, row, column, answer[HOME_LOW], CHANCES)
    put_kernel(layers, slots.home_high, row, column, answer[HOME_HIGH], CHANCES)
    put_kernel(layers, slots.reason, row, column, answer[REASON], 1.0)
    put_kernel(layers, slots.energy_chance, row, column, answer[LASTS], CHANCES)
    put_kernel(layers, slots.energy, row, column, needed_wh[0], ENERGIES)
    put_kernel(layers, slots.energy_high, row, column, needed_wh[1], ENERGIES)
    put_kernel(layers, slots.return_clearance, row, column, clear_m, CLEARANCES)
    put_kernel(layers, slots.sight, row, column, 1.0 if losses[0, 2] > 0.0 else 0.0, 1.0)
    for f in range(losses.shape[0]):
        put_kernel(layers, slots.chance[f], row, column, answer[HOLDS + f], CHANCES)
        put_kernel(layers, slots.diffraction[f], row, column, losses[f, 0], LOSSES)


@kernel
def margins_kernel(
    links: LinkTables,
    slots: Slots,
    common: Array,
    loss: Single,
    guess: Array,
    work: Single,
    keys: Keys,
    anew: bool,
    row: int,
    column: int,
    layers: Stack,
) -> None:  # pragma: no cover - compiled
    """Write the median margins of every link and each of its directions, at the place itself.

    Where it is not asked for `anew`, what leaves take is that of the cell before.

    ``guess`` holds those of the cell before but for what is taken from all draws alike, ``(F + W,)``: the links' own
    first.
    """
    own = common.shape[0]
    for w in range(own + links.way_of.size):
        slot = slots.margin[w] if w < own else slots.way[w - own]
        if slot < 0:
            continue
        f = w if w < own else links.way_of[w - own]
        place = common[f, 1] / MIDDLE_DB
        if w >= own and links.weaker[w - own] and slots.margin[f] >= 0:
            guess[w] = guess[f]
        elif common[f, 2] == 0.0 and place < links.middle_db.shape[1] - 1:
            k = int(place)
            share = place - k
            guess[w] = links.middle_db[w, k] * (1.0 - share) + links.middle_db[w, k + 1] * share
        elif anew:
            level = links.level_db[f] if w < own else links.way_db[w - own]
            less_kernel(level, links.place, np.float32(common[f, 0]), np.float32(common[f, 1]), loss[f], work)
            keys_kernel(work, keys)
            guess[w] = quantile_kernel(keys, 0.5, guess[w] - common[f, 0], NEAR_DB) + common[f, 0]
        put_kernel(layers, slot, row, column, guess[w] - common[f, 0], LOSSES)


@kernel
def less_kernel(
    level: Single, place: Single, fixed: np.float32, between: np.float32, loss: Single, margin: Single
) -> None:  # pragma: no cover - compiled
    """Fill the margins of one level in every draw."""
    for j in range(margin.size):
        margin[j] = level[j] - fixed - place[j] * between - loss[j]
