"""Stretches in which channels repeat their values, by compiled loops over rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel


@kernel
def mark_gaps(t_s: NDArray[np.float64], longest_s: float, changed: NDArray[np.bool_]) -> None:
    """Mark the first row, and each row that comes after more than a longest step: what is in a gap nobody knows.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
    longest_s : float
    changed : ndarray of bool, shape (n,)
        Marked in place.
    """
    if changed.size:
        changed[0] = True
    for row in range(1, t_s.size):
        if t_s[row] - t_s[row - 1] > longest_s:
            changed[row] = True


@kernel
def mark_changes(values: NDArray[np.floating], changed: NDArray[np.bool_]) -> None:
    """Mark each row whose value is not that of the row before.

    Parameters
    ----------
    values : ndarray, shape (n,)
    changed : ndarray of bool, shape (n,)
        Marked in place.
    """
    for row in range(1, values.size):
        if values[row] != values[row - 1]:
            changed[row] = True


@kernel
def held_lengths_s(t_s: NDArray[np.float64], rows: NDArray[np.intp], step_s: float) -> NDArray[np.float64]:
    """Return how long each value was held: one step beyond its last row, or up to the next change.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
    rows : ndarray of int, shape (k,)
        Increasing: where values changed.
    step_s : float
        Usual step between rows.

    Returns
    -------
    ndarray, shape (k,)
        The last one lasts until the last row.
    """
    held_s = np.empty(rows.size)
    for at in range(rows.size - 1):
        last_s, next_s = t_s[rows[at + 1] - 1], t_s[rows[at + 1]]
        held_s[at] = min(last_s + step_s, next_s) - t_s[rows[at]]
    if rows.size:
        held_s[-1] = t_s[-1] - t_s[rows[-1]]
    return held_s
