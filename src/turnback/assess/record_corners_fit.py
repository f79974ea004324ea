"""How outputs answer what the board measures and wants, window by window, so that scatter between windows is known."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.rules.record_sense import CORNER_MOST_T, CORNER_WINDOWS

Floats = NDArray[np.float64]
SMALL: Final = 1e-9
STILL: Final = 1e-6
LIVELY: Final = 0.75
"""Three windows in four are less lively."""
BY_CHANCE_NATS: Final = 3.5
"""Channels that have nothing to do with each other must not settle a direction one time in ten."""


def window_slopes(outputs: Floats, causes: Floats, window: int, shrink: float = 0.0) -> Floats | None:
    """Return how surely each output rises with each cause, as a normal score.

    Each window is fitted on its own (least squares, means taken off), and the mean of its slopes is held against their
    scatter from window to window: so neither the memory of a loop nor coloured noise makes it look surer than it is.

    Parameters
    ----------
    outputs : ndarray, shape (k, n)
    causes : ndarray, shape (m, n)
        Fitted together.
    window : int
        Rows.
    shrink : float
        Draws the slopes of windows toward nought in which a cause moves little beside how it moves in a lively window;
        1 halves the slope of a window that is as lively as that (ridge regression, Hoerl and Kennard 1970).

    Returns
    -------
    ndarray, shape (k, m), or None
        None where too few windows hold movement.
    """
    count = outputs.shape[1] // window
    if count < CORNER_WINDOWS.value or window < 2 * causes.shape[0]:
        return None
    one = outputs[:, : count * window].reshape(outputs.shape[0], count, window)
    other = causes[:, : count * window].reshape(causes.shape[0], count, window)
    whole = np.isfinite(one).all(axis=(0, 2)) & np.isfinite(other).all(axis=(0, 2))
    one, other = one[:, whole], other[:, whole]
    one = one - one.mean(axis=2, keepdims=True)
    other = other - other.mean(axis=2, keepdims=True)
    moves = (one.std(axis=2) > STILL).all(axis=0) & (other.std(axis=2) > STILL).all(axis=0)
    one, other = one[:, moves], other[:, moves]
    if one.shape[1] < CORNER_WINDOWS.value:
        return None
    scale = np.sqrt(np.quantile(np.mean(other**2, axis=2), LIVELY, axis=1))
    other = other / scale[:, None, None]
    inner = np.einsum("awt,bwt->wab", other, other)
    inner += (SMALL * np.trace(inner, axis1=1, axis2=2)[:, None, None] + shrink * window) * np.eye(inner.shape[1])
    slopes = np.linalg.solve(inner, np.einsum("awt,kwt->wak", other, one))  # (w, m, k)
    low, high = np.quantile(slopes, [0.05, 0.95], axis=0)
    slopes = np.clip(slopes, low, high)  # a window of a crash does not outweigh the others
    return _score(slopes.mean(axis=0), slopes.std(axis=0, ddof=1), slopes.shape[0]).T


def _score(mean: Floats, spread: Floats, count: int) -> Floats:
    """Return a mean in standard errors, as a normal score of the same chance as its Student's t (Wallace 1959)."""
    freedom = count - 1
    t = mean / np.maximum(spread / math.sqrt(count), SMALL * SMALL)
    return np.asarray(np.sign(t) * np.sqrt(freedom * np.log1p(np.clip(t, -1e6, 1e6) ** 2 / freedom)))


def mean_score(values: Floats) -> float:
    """Return how surely the mean of windows is above nought, as a normal score; shape ``(w,)``."""
    if values.size < 2:
        return 0.0
    return float(_score(values.mean(), values.std(ddof=1), values.size))


def log_chance_positive(t: Floats) -> Floats:
    """Return the log chance that a slope is above nought, from its standard errors; never sure beyond a limit."""
    bound = np.clip(t, -CORNER_MOST_T.value, CORNER_MOST_T.value)
    return np.asarray([math.log(0.5 * math.erfc(-each / math.sqrt(2.0))) for each in bound.ravel()]).reshape(t.shape)


def nats_of_t(t: float) -> float:
    """Return the log odds that a slope is above nought, less what a slope of nought shows by chance (3 in 1000)."""
    both = log_chance_positive(np.array([t, -t]))
    nats = float(both[0] - both[1])
    return math.copysign(max(0.0, abs(nats) - BY_CHANCE_NATS), nats)


def spread_of(values: Floats) -> float:
    """Return the standard deviation of the values that are there; 0 where there are fewer than two."""
    there = values[np.isfinite(values)]
    return float(there.std()) if there.size > 1 else 0.0
