"""Spans of time in which something holds, and values of one channel at another's times."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Times = NDArray[np.float64]
Spans = NDArray[np.intp]
NEARLY = 0.999
"""A record of just the least rate has enough: its steps are off by what a clock rounds."""


def spans_where(holds: NDArray[np.bool_], t_s: Times, *, least_s: float = 0.0, bridge_s: float = 0.0) -> Spans:
    """Return where a condition holds, as spans of rows.

    Parameters
    ----------
    holds : ndarray of bool, shape (n,)
    t_s : ndarray, shape (n,)
        Increasing.
    least_s : float
        Shorter spans are left out, after bridging.
    bridge_s : float
        Breaks up to this long between two spans do not part them.

    Returns
    -------
    ndarray, shape (k, 2)
        First row, and the row after the last. A span's length counts from its first row to the row after its last.
    """
    edges = np.flatnonzero(np.diff(holds.view(np.int8), prepend=np.int8(0), append=np.int8(0)))
    spans = edges.reshape(-1, 2)
    if not spans.size:
        return spans
    last = t_s.size - 1
    if bridge_s > 0.0:
        breaks_s = t_s[spans[1:, 0]] - t_s[np.minimum(spans[:-1, 1], last)]
        parts = np.flatnonzero(breaks_s > bridge_s)
        spans = np.column_stack([spans[np.r_[0, parts + 1], 0], spans[np.r_[parts, len(spans) - 1], 1]])
    if least_s > 0.0:
        spans = spans[t_s[np.minimum(spans[:, 1], last)] - t_s[spans[:, 0]] >= least_s]
    return spans


def held_at(t_s: Times, values: NDArray[Any], at_s: Times) -> NDArray[Any]:
    """Return the last value of a channel at or before each time; before its first value, the first.

    Parameters
    ----------
    t_s, values : ndarray, shape (n,)
        The channel; `t_s` increasing, n at least 1.
    at_s : ndarray, shape (m,)
    """
    if t_s is at_s:
        return values
    return values[np.maximum(np.searchsorted(t_s, at_s, side="right") - 1, 0)]


def rows_between(t_s: Times, start_s: float, end_s: float) -> slice:
    """Return the rows from `start_s` up to, not with, `end_s`."""
    first, after = np.searchsorted(t_s, [start_s, end_s], side="left")
    return slice(int(first), int(after))
