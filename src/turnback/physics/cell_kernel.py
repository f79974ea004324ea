"""Compiled arithmetic of `turnback.physics.cell` and `turnback.physics.cell_march`: one cell, one step, one world.

Inputs are trusted. A cell's traits travel as three arrays: `nodes` (states of charge), `table` (two rows: rest volts
and resistance ratio at each node) and `numbers` (see `NUMBERS`).

One step at constant load. Current is i = (E - sqrt(E² - 4 R P)) / (2 R) at both ends of the step, the later one from a
first guess of the later state. Between the ends current is taken as a straight line, for which charge and both RC pairs
have exact solutions; rest volts and resistance are those of the state reached. At constant current, with constant
resistance, the step is therefore exact whatever its length.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.base.constants import GAS_CONSTANT_J_PER_MOL_K, ZERO_CELSIUS_K
from turnback.base.kernels import kernel, parallel_kernel

NUMBERS: Final = ("r1_ratio", "tau1_s", "r2_ratio", "tau2_s", "arrhenius_j_per_mol", "reference_c")
"""What `numbers` holds, in this order."""
FINE, CANNOT_DELIVER, EMPTY = 0, 1, 2
SECONDS_PER_HOUR: Final = 3600.0


@kernel
def _place(soc: float, nodes: Any, start: int) -> int:
    """Return k with nodes[k] <= soc <= nodes[k + 1], walking from where the last look-up ended."""
    k = start
    while k > 0 and soc < nodes[k]:
        k -= 1
    while k < nodes.size - 2 and soc > nodes[k + 1]:
        k += 1
    return k


@kernel
def _cold(celsius: float, numbers: Any) -> float:
    """Return resistance over that at the reference temperature (Arrhenius)."""
    if numbers[4] == 0.0:
        return 1.0
    gap = numbers[5] - celsius
    here, there = celsius + ZERO_CELSIUS_K, numbers[5] + ZERO_CELSIUS_K
    return math.exp(numbers[4] / GAS_CONSTANT_J_PER_MOL_K * gap / (here * there))


@kernel
def _current(volts: float, ohm: float, load: float, by_power: bool) -> float:
    """Return the current of a load, NaN if it cannot be delivered. Written so that small loads lose no digits."""
    if not by_power:
        return load
    if load == 0.0:
        return 0.0
    root = volts * volts - 4.0 * ohm * load
    if volts <= 0.0 or root < 0.0:
        return math.nan
    return 2.0 * load / (volts + math.sqrt(root))


@kernel
def _at(soc: float, nodes: Any, table: Any, start: int) -> tuple[float, float, int]:
    """Return rest volts and resistance ratio of a state of charge, and where in the table it lies."""
    k = _place(soc, nodes, start)
    share = min(max((soc - nodes[k]) / (nodes[k + 1] - nodes[k]), 0.0), 1.0)
    rest = table[0, k] + share * (table[0, k + 1] - table[0, k])
    return rest, table[1, k] + share * (table[1, k + 1] - table[1, k]), k


@kernel
def _segment(
    load: float, by_power: bool, seconds: float, step_s: float, r0: float, capacity_ah: float, capacity_j_per_k: float,
    loss_w_per_k: float, ambient_c: float, nodes: Any, table: Any, numbers: Any, state: Any, out: Any,
) -> int:  # fmt: skip
    """March one cell through one load.

    `state` is soc, volts of both RC pairs, temperature, and place in the table; it is moved on. `out` is filled with
    rest volts, loaded volts and current at the end, least loaded volts, greatest current, energy given. Returns what
    failed.
    """
    soc, v1, v2, celsius, k = state[0], state[1], state[2], state[3], int(state[4])
    steps = max(math.ceil(seconds / step_s), 1)
    h = seconds / steps
    keep1, keep2 = math.exp(-h / numbers[1]), math.exp(-h / numbers[3])
    late1 = 1.0 + math.expm1(-h / numbers[1]) * numbers[1] / h if h > 0.0 else 0.0
    late2 = 1.0 + math.expm1(-h / numbers[3]) * numbers[3] / h if h > 0.0 else 0.0
    early1, early2 = 1.0 - keep1 - late1, 1.0 - keep2 - late2
    per_charge = h / (SECONDS_PER_HOUR * capacity_ah)
    warm = h / capacity_j_per_k
    leak = 0.5 * warm * loss_w_per_k

    rest, ratio, k = _at(soc, nodes, table, k)
    ohm = r0 * ratio * _cold(celsius, numbers)
    amps = _current(rest - v1 - v2, ohm, load, by_power)
    if math.isnan(amps):
        return CANNOT_DELIVER
    loaded = rest - v1 - v2 - amps * ohm
    least, most, given = loaded, amps, 0.0
    for _ in range(steps if h > 0.0 else 0):
        heat = amps * (rest - loaded)
        drive1, drive2 = numbers[0] * amps * ohm, numbers[2] * amps * ohm
        held1, held2 = keep1 * v1 + early1 * drive1, keep2 * v2 + early2 * drive2
        # first guess of the later state: current stays
        guess_c = (celsius * (1.0 - leak) + warm * heat + 2.0 * leak * ambient_c) / (1.0 + leak)
        later_rest, ratio, k = _at(soc - amps * per_charge, nodes, table, k)
        later_ohm = r0 * ratio * _cold(guess_c, numbers)
        lag = held1 + late1 * numbers[0] * amps * later_ohm + held2 + late2 * numbers[2] * amps * later_ohm
        later_amps = _current(later_rest - lag, later_ohm, load, by_power)
        if math.isnan(later_amps):
            return CANNOT_DELIVER
        # the later state, with current a straight line between both ends
        soc -= 0.5 * (amps + later_amps) * per_charge
        if soc <= 0.0:
            return EMPTY
        v1 = held1 + late1 * numbers[0] * later_amps * later_ohm
        v2 = held2 + late2 * numbers[2] * later_amps * later_ohm
        given += 0.5 * h * amps * loaded
        rest, ratio, k = _at(soc, nodes, table, k)
        later_heat = later_amps * (v1 + v2 + later_amps * later_ohm)
        celsius = (celsius * (1.0 - leak) + 0.5 * warm * (heat + later_heat) + 2.0 * leak * ambient_c) / (1.0 + leak)
        ohm = r0 * ratio * _cold(celsius, numbers)
        amps = _current(rest - v1 - v2, ohm, load, by_power)
        if math.isnan(amps):
            return CANNOT_DELIVER
        loaded = rest - v1 - v2 - amps * ohm
        given += 0.5 * h * amps * loaded
        least, most = min(least, loaded), max(most, amps)
    state[0], state[1], state[2], state[3], state[4] = soc, v1, v2, celsius, k
    out[0], out[1], out[2], out[3], out[4], out[5] = rest, loaded, amps, least, most, given
    return FINE


@kernel
def profile_kernel(
    load: Any, by_power: bool, duration: Any, step_s: float, r0: float, capacity_ah: float, heat: Any, start: Any,
    nodes: Any, table: Any, numbers: Any, out: NDArray[Any],
) -> tuple[int, int]:  # fmt: skip
    """March one cell through a profile; fill ``out`` (9 rows); return the first row not carried and what failed.

    `heat` is heat capacity, heat loss and ambient temperature; `start` is soc and temperature.
    """
    state, end = np.empty(5), np.empty(6)
    state[0], state[1], state[2], state[3], state[4] = start[0], 0.0, 0.0, start[1], nodes.size - 2
    out[:, :] = math.nan
    for j in range(load.size):
        failed = _segment(
            load[j], by_power, duration[j], step_s, r0, capacity_ah, heat[0], heat[1], heat[2],
            nodes, table, numbers, state, end,
        )  # fmt: skip
        if failed != FINE:
            return j, failed
        out[:6, j] = end
        out[6, j], out[7, j], out[8, j] = state[0], state[3], state[1] + state[2]
    return load.size, FINE


@parallel_kernel
def worlds_kernel(
    power: Any, duration: Any, cells: float, step_s: float, worlds: Any, nodes: Any, table: Any, numbers: Any,
    out: NDArray[Any], deliverable: NDArray[Any],
) -> None:  # fmt: skip
    """March every world through its own segments, worlds in parallel.

    `worlds` has one row per world: r0, capacity, soc, temperature, ambient, heat capacity, heat loss. ``out`` is five
    arrays (worlds, segments): rest volts, least loaded volts, soc, greatest current, temperature; NaN once failed.
    """
    for w in prange(power.shape[0]):
        state, end = np.empty(5), np.empty(6)
        state[0], state[1], state[2], state[3], state[4] = worlds[w, 2], 0.0, 0.0, worlds[w, 3], nodes.size - 2
        good = True
        for j in range(power.shape[1]):
            load, seconds = power[w, j] / cells, duration[w, j]
            if good and math.isfinite(load) and math.isfinite(seconds):
                failed = _segment(
                    load, True, seconds, step_s, worlds[w, 0], worlds[w, 1], worlds[w, 5], worlds[w, 6],
                    worlds[w, 4], nodes, table, numbers, state, end,
                )  # fmt: skip
                good = failed == FINE
            else:
                good = False
            if good:
                out[0, w, j], out[1, w, j], out[2, w, j], out[3, w, j], out[4, w, j] = (
                    end[0], end[3], state[0], end[4], state[3],
                )  # fmt: skip
            else:
                for row in range(5):
                    out[row, w, j] = math.nan
        deliverable[w] = good
