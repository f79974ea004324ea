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
COARSE_STOPS, FINE_STOPS = 10, 56
BEYOND: Final = (1.25, 1.35, 1.5, 1.75, 2.0, 2.5, 3.0)  # no pack holds as much: charge is counted on below zero
STOPS: Final = np.concatenate([
    COARSE * np.arange(COARSE_STOPS), FINE_FROM + FINE_STEP * np.arange(FINE_STOPS), BEYOND,
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
    """Margins by draw, power and energy; see `turnback.assess.flight_energy` for both margins."""

    power_ratio: Array
    """``(p,)``, ascending in even steps: of the draw's own power."""
    stop_share: Array
    """``(e,)``: energy of the way, of the pack's at the label's volts."""
    margin: Array
    """``(j, 3, p, e)``: charge left at landing above that of the land-by volts; least loaded volts so far above the
    damage volts, on the way; the same of the legs after the way."""


@kernel
def _failing(at: int, stops: Array, failed_share: float, soc: Array) -> float:  # pragma: no cover - compiled
    """Return charge at the start of the leg that failed less what it and the rest of the way would take."""
    leg = stops[at] / LEGS_THERE_AND_BACK
    begun = math.floor(failed_share / leg) * leg if leg > 0.0 else 0.0
    k = 0
    while k < at - 1 and stops[k + 1] < begun and not math.isnan(soc[k + 1]):
        k += 1
    held = float(soc[k])
    if k < at and not math.isnan(soc[k + 1]) and begun > stops[k]:
        held += (begun - stops[k]) / (stops[k + 1] - stops[k]) * (soc[k + 1] - soc[k])
    elif begun > stops[k]:
        held -= begun - stops[k]  # within the stop that failed
    left: float = max(held, 0.0) - (stops[at] - begun)
    return left


@parallel_kernel
def empty_kernel(packs: Packs, way_w: Array, around: Array, emptied: Emptied) -> None:  # pragma: no cover - compiled
    """Fill the margins of `emptied`.

    `way_w` is each draw's power on the way ``(j,)``; `around` the legs up, down and around, ``(j, 3, 2)`` power and
    time.
    """
    worlds, nodes, table, numbers, label_j = packs.worlds, packs.nodes, packs.table, packs.numbers, packs.label_j
    limits = np.array([packs.floor_soc, packs.damage_v, packs.least_v])
    ratio, stops, margin = emptied.power_ratio, emptied.stop_share, emptied.margin
    powers, cells = ratio.size, packs.cells
    for row in prange(way_w.size * powers):
        j, p = row // powers, row % powers
        load = np.empty((4, 2))
        load[:3] = around[j]
        load[3, 0], load[3, 1] = way_w[j], label_j[j]
        for leg in range(4):
            load[leg, 0] *= ratio[p]
        _empty_one(worlds[j], cells, nodes, table, numbers, load, stops, limits, margin[j, :, p])


@kernel
def _march(
    world: Array, cells: float, nodes: Array, table: Array, numbers: Array, load: float, seconds: float, state: Any,
    end: Any,
) -> bool:  # fmt: skip  # pragma: no cover - compiled
    """March one draw's cell through one load of the pack; true where it carries it."""
    return bool(segment_kernel(
        load / cells, True, seconds, STEP_S, world[0], world[1], world[5], world[6], world[4], nodes, table, numbers,
        state, end,
    ) == FINE)  # fmt: skip


@kernel
def _empty_one(
    world: Array, cells: float, nodes: Array, table: Array, numbers: Array, load: Array, stops: Array, limits: Array,
    margin: Array,
) -> None:  # fmt: skip  # pragma: no cover - compiled
    """Empty one draw's pack at one power, and land from every stop.

    `load` is power and time of up, down and around, and the way's power with the pack's energy; `limits` are charge and
    volts that margins count from, and the least margin of volts; `margin` is ``(3, e)``.
    """
    state, down, end = np.empty(5), np.empty(5), np.empty(6)
    soc = np.full(stops.size, math.nan)
    state[0], state[1], state[2], state[3], state[4] = world[2], 0.0, 0.0, world[3], 0.0
    power, label_j = load[3]
    around_share = load[2, 0] * load[2, 1] / label_j
    after_share = around_share + load[1, 0] * load[1, 1] / label_j
    good = _march(world, cells, nodes, table, numbers, load[0, 0], load[0, 1], state, end)
    low_v, failed_share = end[3], 0.0
    for e in range(stops.size):
        if good and e > 0:
            before, seconds = state[0], (stops[e] - stops[e - 1]) * label_j / power
            good = _march(world, cells, nodes, table, numbers, power, seconds, state, end)
            low_v = min(low_v, end[3])
            if not good:  # the charge that was left says how far it came
                failed_share = stops[e - 1] + min(before, 0.999 * (stops[e] - stops[e - 1]))
        margin[1, e] = margin[2, e] = limits[2]
        if not good:
            held = world[2] - stops[e]
            short = held if math.isnan(soc[0]) else _failing(e, stops, failed_share, soc)
            margin[0, e] = min(short - after_share, 0.0) - limits[0]
            continue
        soc[e] = state[0]
        margin[1, e] = max(low_v - limits[1], limits[2])
        down[:] = state
        margin[0, e] = min(soc[e] - after_share, 0.0) - limits[0]
        if _march(world, cells, nodes, table, numbers, load[1, 0], load[1, 1], down, end):
            least_v = end[3]
            margin[0, e] = min(down[0] - around_share, 0.0) - limits[0]
            if _march(world, cells, nodes, table, numbers, load[2, 0], load[2, 1], down, end):
                margin[0, e] = down[0] - limits[0]
                margin[2, e] = max(min(least_v, end[3]) - limits[1], limits[2])


@kernel
def _stop(share: float, stops: Array) -> tuple[int, float]:  # pragma: no cover - compiled
    """Return the stop below an energy and the part of the way to the next; a straight line beyond the last."""
    if share < FINE_FROM:
        at = max(share, 0.0) / COARSE
        k = min(int(at), COARSE_STOPS - 1)
        return k, at - k
    at = (share - FINE_FROM) / FINE_STEP
    if at < FINE_STOPS - 1:
        k = int(at)
        return COARSE_STOPS + k, at - k
    k = COARSE_STOPS + FINE_STOPS - 1
    while k < stops.size - 2 and share > stops[k + 1]:
        k += 1
    return k, (share - stops[k]) / (stops[k + 1] - stops[k])


@kernel
def read_kernel(
    margin: Array, j: int, kind: int, stops: Array, powers: Array, share: float, power_ratio: float
) -> float:  # pragma: no cover - compiled
    """Return one draw's margin of a kind (see `Emptied.margin`) after an energy at a power.

    Held beyond the first and the last power. Arrays travel whole: a part of one would count references each time.
    """
    at = (power_ratio - powers[0]) / (powers[1] - powers[0])
    at = min(max(at, 0.0), powers.size - 1.0)
    p = min(int(at), powers.size - 2)
    at -= p
    k, part = _stop(share, stops)
    low = margin[j, kind, p, k] + part * (margin[j, kind, p, k + 1] - margin[j, kind, p, k])
    high = margin[j, kind, p + 1, k] + part * (margin[j, kind, p + 1, k + 1] - margin[j, kind, p + 1, k])
    return float(low + at * (high - low))
