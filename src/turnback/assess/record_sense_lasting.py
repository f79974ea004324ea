"""How surely one slow channel rises with another, when each value is much like the one before it."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.record_sense_grid import SMALL, Floats

LIVELIEST: Final = 0.9
"""A window livelier than nine in ten, such as a crash, counts no more than these."""
LEAST_WINDOWS: Final = 3


def lasting_score(effect: Floats, causes: Floats, window: int) -> float:
    """Return how surely an effect rises with the first of its causes, as a normal score; 0 where too little moves.

    One least-squares fit over all windows (means taken off). The values that count as independent are fewer by the sum
    of the products of both autocorrelations, that of what is left over and that of the cause (Bartlett 1946).

    Parameters
    ----------
    effect : ndarray, shape (n,)
    causes : ndarray, shape (m, n)
        Fitted together.
    window : int
        Steps.
    """
    count = effect.size // window
    one = effect[: count * window].reshape(count, window)
    other = causes[:, : count * window].reshape(len(causes), count, window)
    whole = np.isfinite(one).all(axis=1) & np.isfinite(other).all(axis=(0, 2))
    one, other = one[whole], other[:, whole]
    if one.shape[0] < LEAST_WINDOWS:
        return 0.0
    one, other = one - one.mean(axis=1, keepdims=True), other - other.mean(axis=2, keepdims=True)
    weight = _tamed(np.mean(other[0] ** 2, axis=1)) * _tamed(np.mean(one**2, axis=1))
    one, other = one * weight[:, None], other * weight[:, None]
    flat = other.reshape(len(causes), -1)
    inner = flat @ flat.T + SMALL * np.trace(flat @ flat.T) * np.eye(len(causes))
    if not inner.any():
        return 0.0
    slopes = np.linalg.solve(inner, flat @ one.ravel())
    left = (one.ravel() - slopes @ flat).reshape(one.shape)
    alone = other[0]
    if len(causes) > 1:
        alone = (flat[0] - np.linalg.solve(inner[1:, 1:], inner[1:, 0]) @ flat[1:]).reshape(one.shape)
    fewer = _fewer(left, alone, window)
    freedom = left.size / fewer - one.shape[0] - len(causes)
    if freedom < 2.0 or not (left**2).sum() or not (alone**2).sum():
        return 0.0
    variance = fewer * float((left**2).sum()) / (left.size - one.shape[0] - len(causes)) / float((alone**2).sum())
    return float(np.sign(slopes[0]) * np.sqrt(freedom * np.log1p(slopes[0] ** 2 / variance / freedom)))


def _tamed(energy: Floats) -> Floats:
    """Return the factor that takes each window's size down to that of a lively one."""
    return np.asarray(np.sqrt(np.minimum(1.0, np.quantile(energy, LIVELIEST) / np.maximum(energy, SMALL))))


def _fewer(left: Floats, cause: Floats, window: int) -> float:
    """Return by which factor fewer values are independent."""
    fewer = 1.0
    both = float((left**2).sum()) * float((cause**2).sum())
    for step in range(1, window // 2):
        here = float((left[:, step:] * left[:, :-step]).sum()) * float((cause[:, step:] * cause[:, :-step]).sum())
        fewer += 2.0 * max(here / max(both, SMALL * SMALL), 0.0) / (1.0 - step / window)
    return fewer
