"""One channel from one column: what that makes of each column's chances."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_assign import best_assignment

Floats = NDArray[np.float64]
ROUNDS: Final = 12  # messages settle within a handful where two or three columns compete
LEAST: Final = 1e-7


def competing(weights: Floats) -> Floats:
    """Return chances when no two columns may be one channel.

    Parameters
    ----------
    weights : ndarray, shape (columns, channels + 1)
        Chances of each column by itself; the last one, "other", may be shared. Each row adds up to one.

    Returns
    -------
    ndarray, shape (columns, channels + 1)

    Notes
    -----
    Sum-product messages on the graph of columns and channels (M. Bayati, D. Shah, M. Sharma, "Max-product for maximum
    weight matching", IEEE Transactions on Information Theory 54, 2008, in its sum form); exact where the graph has no
    loops, as where several columns compete for one channel.
    """
    ours, other = weights[:, :-1], weights[:, -1:]
    admitted = np.ones_like(ours)
    for _ in range(ROUNDS):
        allowed = ours * admitted
        rest = np.maximum(other + allowed.sum(axis=1, keepdims=True) - allowed, LEAST)
        claims = ours / rest
        admitted = 1.0 / (1.0 + np.maximum(claims.sum(axis=0, keepdims=True) - claims, 0.0))
    result = np.hstack([ours * admitted, np.maximum(other, LEAST)])
    return np.asarray(result / result.sum(axis=1, keepdims=True))


def assigned(chances: Floats) -> NDArray[np.intp]:
    """Return the channel of each column, all different; -1 for none.

    Parameters
    ----------
    chances : ndarray, shape (columns, channels + 1)
    """
    columns, channels = chances.shape[0], chances.shape[1] - 1
    log = -np.log(np.maximum(chances, 1e-12))
    wanted = np.flatnonzero(chances[:, :-1].max(axis=1, initial=0.0) > 0.01)
    found = np.full(columns, -1, np.intp)
    if wanted.size == 0:
        return found
    none = np.full((wanted.size, wanted.size), 1e6)
    np.fill_diagonal(none, log[wanted, -1])
    places = best_assignment(np.hstack([log[wanted, :-1], none]))
    found[wanted] = np.where(places < channels, places, -1)
    return found
