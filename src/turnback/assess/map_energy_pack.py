"""Packs emptied once, for every flight of a map: charge and volts by the energy that was taken and how hard.

A pack does not know where it flies. What is left in it at the end is, but for hundredths of a percent, a matter of the
energy taken and of the power at which it was taken; the order of the legs is the same in every flight there and back.
So each draw's pack is marched down at some powers, and at each of many stops on the way down it lands: the legs after
the way, straight down and a go-around. Every flight of a map is then a look-up between these.
"""

from __future__ import annotations

import math
from typing import Any, Final, NamedTuple

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.base.kernels import kernel, parallel_kernel
from turnback.physics.cell_kernel import FINE
from turnback.physics.cell_kernel import _segment as segment_kernel  # the march's own step: nothing else is the brief's

Array = NDArray[np.float64]

COARSE, FINE_FROM, FINE_STEP = 0.05, 0.5, 0.0125
"""Stops, as shares of the pack's energy at the label's volts: far apart while it is full, close where it may end."""
FINE_STOPS: Final = 56
BEYOND: Final = (1.25, 1.35, 1.5, 1.75, 2.0, 2.5, 3.0)  # no pack holds as much: charge is counted on below zero
STOPS: Final = np.concatenate([
    np.arange(0.0, FINE_FROM, COARSE), FINE_FROM + FINE_STEP * np.arange(FINE_STOPS), BEYOND,
])  # fmt: skip
LEGS_THERE_AND_BACK: Final = 38  # of a flight of the brief: the leg that fails is counted whole
STEP_S: Final = 10.0


class Packs(NamedTuple):
    """Each draw's pack, as the march takes it; rows are draws."""

    cells: float
    worlds: Array
    """``(j, 7)``: resistance, capacity, charge at the start, temperature, of the air, heat capacity, heat loss."""
    nodes: Array
    table: Array
    numbers: Array
    label_j: Array
    """``(j,)``: energy at the label's volts."""
    floor_soc: float
    """Charge at the land-by volts."""
    damage_v: float
    least_v: float
    """No margin of volts is counted below this."""


class Emptied(NamedTuple):
    """Margins by draw, power and energy, ``(j, p, e)``; see `turnback.assess.flight_energy` for both margins."""

    power_ratio: Array
    """``(p,)``, ascending: of the draw's own power."""
    stop_share: Array
    """``(e,)``: energy of the way, of the pack's at the label's volts."""
    landing: Array
    """Charge left at landing above that of the land-by volts."""
    flying_v: Array
    """Least loaded volts so far above the damage volts, on the way."""
    closing_v: Array
    """The same, of the legs after the way."""


@kernel
def _failing(at: int, stops: Array, failed_share: float, soc: Array) -> float:  # pragma: no cover - compiled
    """Return charge at the start of the leg that failed less what it and the rest of the way would take."""
    leg = stops[at] / LEGS_THERE_AND_BACK
    begun = math.floor(failed_share / leg) * leg if leg > 0.0 else 0.0
    k = 0
    while k < at - 1 and stops[k + 1] < begun and not math.isnan(soc[k + 1]):
        k += 1
    held = soc[k]
    if k < at and not math.isnan(soc[k + 1]) and begun > stops[k]:
        held += (begun - stops[k]) / (stops[k + 1] - stops[k]) * (soc[k + 1] - soc[k])
    elif begun > stops[k]:
        held -= begun - stops[k]  # within the stop that failed
    return max(held, 0.0) - (stops[at] - begun)


@parallel_kernel
def empty_kernel(packs: Packs, way_w: Array, around: Array, emptied: Emptied) -> None:  # pragma: no cover - compiled
    """Fill the margins of `emptied`.

    `way_w` is each draw's power on the way ``(j,)``; `around` the legs up, down and around, ``(j, 3, 2)`` power and
    time.
    """
    powers, stops = emptied.power_ratio.size, emptied.stop_share.size
    for row in prange(way_w.size * powers):
        j, p = row // powers, row % powers
        _empty_one(packs, j, emptied.power_ratio[p], way_w[j], around[j], emptied.stop_share, stops,
                   emptied.landing[j, p], emptied.flying_v[j, p], emptied.closing_v[j, p])  # fmt: skip


@kernel
def _march(packs: Packs, j: int, load: float, seconds: float, state: Any, end: Any) -> bool:
    """March one draw's cell through one load; true where it carries it."""
    return bool(segment_kernel(
        load / packs.cells, True, seconds, STEP_S, packs.worlds[j, 0], packs.worlds[j, 1], packs.worlds[j, 5],
        packs.worlds[j, 6], packs.worlds[j, 4], packs.nodes, packs.table, packs.numbers, state, end,
    ) == FINE)  # fmt: skip


@kernel
def _empty_one(
    packs: Packs, j: int, ratio: float, way_w: float, around: Array, stops: Array, count: int,
    landing: Array, flying_v: Array, closing_v: Array,
) -> None:  # fmt: skip
    """Empty one draw's pack at one power, and land from every stop."""
    state, down, end = np.empty(5), np.empty(5), np.empty(6)
    soc = np.full(count, math.nan)
    state[0], state[1], state[2], state[3], state[4] = packs.worlds[j, 2], 0.0, 0.0, packs.worlds[j, 3], 0.0
    label_j, power = packs.label_j[j], ratio * way_w
    after_share = ratio * (around[1, 0] * around[1, 1] + around[2, 0] * around[2, 1]) / label_j
    around_share = ratio * around[2, 0] * around[2, 1] / label_j
    good = _march(packs, j, ratio * around[0, 0], around[0, 1], state, end)
    low_v = end[3] if good else 0.0
    failed_share = 0.0
    for e in range(count):
        if good and e > 0:
            before = state[0]
            good = _march(packs, j, power, (stops[e] - stops[e - 1]) * label_j / power, state, end)
            if good:
                low_v = min(low_v, end[3])
            else:  # the charge that was left says how far it came
                failed_share = stops[e - 1] + min(before, 0.999 * (stops[e] - stops[e - 1]))
        if not good:
            held = soc[0] if e > 0 else packs.worlds[j, 2]
            short = _failing(e, stops, failed_share, soc) if e > 0 and not math.isnan(soc[0]) else held - stops[e]
            landing[e] = min(short - after_share, 0.0) - packs.floor_soc
            flying_v[e] = closing_v[e] = packs.least_v
            continue
        soc[e] = state[0]
        flying_v[e] = max(low_v - packs.damage_v, packs.least_v)
        down[:] = state
        least_v, left = flying_v[e], 0.0
        closing_v[e] = packs.least_v
        if not _march(packs, j, ratio * around[1, 0], around[1, 1], down, end):
            landing[e] = min(soc[e] - after_share, 0.0) - packs.floor_soc
            continue
        least_v, left = end[3], down[0]
        if not _march(packs, j, ratio * around[2, 0], around[2, 1], down, end):
            landing[e] = min(left - around_share, 0.0) - packs.floor_soc
            continue
        landing[e] = down[0] - packs.floor_soc
        closing_v[e] = max(min(least_v, end[3]) - packs.damage_v, packs.least_v)


@kernel
def stop_kernel(share: float, stops: Array) -> tuple[int, float]:  # pragma: no cover - compiled
    """Return the stop below an energy and the part of the way to the next; held at both ends."""
    coarse = 10  # stops below `FINE_FROM`
    if share < FINE_FROM:
        at = max(share, 0.0) / COARSE
        k = min(int(at), coarse - 1)
        return k, at - k
    at = (share - FINE_FROM) / FINE_STEP
    if at < FINE_STOPS - 1:
        k = int(at)
        return coarse + k, at - k
    k = coarse + FINE_STOPS - 1
    while k < stops.size - 2 and share > stops[k + 1]:
        k += 1
    return k, (share - stops[k]) / (stops[k + 1] - stops[k])


@kernel
def read_kernel(table: Array, ratio: Array, power: float, stop: int, part: float) -> float:  # pragma: no cover
    """Return a margin of one draw ``(p, e)`` at a power and between two stops; straight lines, held at the powers."""
    at = min(max(power, ratio[0]), ratio[-1])
    p = 0
    while p < ratio.size - 2 and at > ratio[p + 1]:
        p += 1
    high = (at - ratio[p]) / (ratio[p + 1] - ratio[p])
    low_row = table[p, stop] + part * (table[p, stop + 1] - table[p, stop])
    high_row = table[p + 1, stop] + part * (table[p + 1, stop + 1] - table[p + 1, stop])
    return float(low_row + high * (high_row - low_row))
