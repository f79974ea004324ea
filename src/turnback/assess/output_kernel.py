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


@kernel
def against_siblings(
    t_s: NDArray[Any], outputs: NDArray[Any], speeds: NDArray[Any], lag_s: float, table: NDArray[Any]
) -> NDArray[Any]:
    """Return each rotor's speed over what its output asks for, over the median of that of the others.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
    outputs, speeds : ndarray, shape (rotors, n)
        At least 3 rotors.
    lag_s : float
    table : ndarray, shape (m,)
        Speed at outputs from 0 to 1 in even steps; nowhere 0.

    Returns
    -------
    ndarray of float32, shape (rotors, n)
    """
    rotors, rows = outputs.shape
    steps = table.size - 1
    found = np.empty((rotors, rows), np.float32)
    state = outputs[:, 0].astype(np.float64)
    ratios = np.empty(rotors)
    others = np.empty(rotors - 1)
    for row in range(rows):
        share = 1.0
        if row > 0:
            step_s = t_s[row] - t_s[row - 1]
            share = step_s / (step_s + lag_s)
        for rotor in range(rotors):
            state[rotor] += (outputs[rotor, row] - state[rotor]) * share
            at = min(max(state[rotor], 0.0), 1.0) * steps
            below = min(int(at), steps - 1)
            asked = table[below] + (table[below + 1] - table[below]) * (at - below)
            ratios[rotor] = speeds[rotor, row] / asked
        for rotor in range(rotors):
            count = 0
            for other in range(rotors):
                if other != rotor:
                    place = count
                    while place > 0 and others[place - 1] > ratios[other]:
                        others[place] = others[place - 1]
                        place -= 1
                    others[place] = ratios[other]
                    count += 1
            middle = 0.5 * (others[(count - 1) // 2] + others[count // 2])
            found[rotor, row] = ratios[rotor] / max(middle, 0.05)
    return found
