"""Speed of each rotor against what its output asks for, and against its siblings: one pass over the rows."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel


@kernel
def lagged(t_s: NDArray[Any], output: NDArray[Any], lag_s: float) -> NDArray[Any]:
    """Return an output as a motor of first order follows it.

    Parameters
    ----------
    t_s, output : ndarray, shape (n,)
    lag_s : float
        Time constant.
    """
    followed = np.empty(t_s.size, np.float32)
    state = float(output[0])
    followed[0] = state
    for row in range(1, t_s.size):
        step_s = t_s[row] - t_s[row - 1]
        state += (output[row] - state) * step_s / (step_s + lag_s)
        followed[row] = state
    return followed


BLOCK_ROWS = 1 << 16


def against_siblings(
    t_s: NDArray[Any], outputs: tuple[NDArray[Any], ...], speeds: tuple[NDArray[Any], ...], lag_s: float,
    table: NDArray[Any],
) -> NDArray[np.float32]:  # fmt: skip
    """Return each rotor's speed over what its output asks for, over the median of that of the others.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
    outputs, speeds : tuple of ndarray, shape (n,)
        At least 3 rotors.
    lag_s : float
    table : ndarray, shape (m,)
        Speed at outputs from 0 to 1 in even steps; nowhere 0.

    Returns
    -------
    ndarray of float32, shape (rotors, n)
    """
    found = np.empty((len(outputs), t_s.size), np.float32)
    state = np.array([float(values[0]) for values in outputs])
    for first in range(0, t_s.size, BLOCK_ROWS):  # a copy of all rows side by side would be the largest of all arrays
        rows = slice(first, first + BLOCK_ROWS)
        asked, seen = (np.stack([values[rows] for values in every]) for every in (outputs, speeds))
        _against(t_s, first, asked, seen, state, lag_s, table, found)
    return found


@kernel
def _against(
    t_s: NDArray[Any], start: int, outputs: NDArray[Any], speeds: NDArray[Any], state: NDArray[Any], lag_s: float,
    table: NDArray[Any], found: NDArray[Any],
) -> None:  # fmt: skip
    """Fill in a block of rows from `start`; `state`, the outputs as the motors follow them, goes on from the last."""
    rotors, rows = outputs.shape
    steps = table.size - 1
    ratios = np.empty(rotors)
    ranks = np.empty(rotors, np.int64)
    rising = np.empty(rotors)
    low, high = (rotors - 2) // 2, (rotors - 1) // 2
    for place in range(rows):
        row = start + place
        share = 1.0
        if row > 0:
            step_s = t_s[row] - t_s[row - 1]
            share = step_s / (step_s + lag_s)
        for rotor in range(rotors):
            state[rotor] += (outputs[rotor, place] - state[rotor]) * share
            at = min(max(state[rotor], 0.0), 1.0) * steps
            below = min(int(at), steps - 1)
            asked = table[below] + (table[below + 1] - table[below]) * (at - below)
            ratio = speeds[rotor, place] / asked
            rank = rotor
            while rank > 0 and rising[rank - 1] > ratio:
                rising[rank] = rising[rank - 1]
                rank -= 1
            rising[rank] = ratio
            ratios[rotor] = ratio
            ranks[rotor] = rank
            for other in range(rotor):
                if ranks[other] >= rank:
                    ranks[other] += 1
        for rotor in range(rotors):
            rank = ranks[rotor]
            middle = 0.5 * (rising[low + (rank <= low)] + rising[high + (rank <= high)])
            found[rotor, row] = ratios[rotor] / max(middle, 0.05)
