"""Loops of the phases: the likeliest course of two states, and means over a window."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel


@kernel
def likeliest_states(evidence: NDArray[np.float64], price: float, start: float) -> NDArray[np.bool_]:
    """Return in which steps the second state holds.

    Parameters
    ----------
    evidence : ndarray of float64, shape (n,)
        For the second state over the first, of each step.
    price : float
        What a change of state costs.
    start : float
        Evidence for the second state before the first step.

    Returns
    -------
    ndarray of bool, shape (n,)

    Notes
    -----
    Viterbi's algorithm for two states (Viterbi, IEEE Trans. Information Theory 13(2), 1967) on the difference of the
    two scores, which a change of state keeps within plus and minus its price.
    """
    n = evidence.size
    came_up = np.zeros(n, np.bool_)  # best way into the second state at i came from the first
    came_down = np.zeros(n, np.bool_)
    lead = start
    for i in range(n):
        if i > 0:
            came_up[i] = lead < -price
            came_down[i] = lead > price
            lead = min(max(lead, -price), price)
        lead += evidence[i]
    made = np.zeros(n, np.bool_)
    second = lead > 0.0
    for i in range(n - 1, -1, -1):
        made[i] = second
        if second and came_up[i]:
            second = False
        elif (not second) and came_down[i]:
            second = True
    return made


@kernel
def windowed_mean(values: NDArray[np.float64], half: int) -> NDArray[np.float64]:
    """Return the mean of what is there within `half` steps of each step; NaN where nothing is.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
    half : int
        Steps to either side.
    """
    n = values.size
    made = np.empty(n)
    total, count = 0.0, 0
    for i in range(min(half, n)):
        if not np.isnan(values[i]):
            total += values[i]
            count += 1
    for i in range(n):
        if i + half < n and not np.isnan(values[i + half]):
            total += values[i + half]
            count += 1
        if i - half - 1 >= 0 and not np.isnan(values[i - half - 1]):
            total -= values[i - half - 1]
            count -= 1
        made[i] = total / count if count > 0 else np.nan
    return made
