"""One relation between two columns, and how much a measured factor says for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
BROAD: Final = 20.0  # natural logarithms that the factor of two columns without a relation spreads over
FAILS: Final = 0.02  # how often a relation does not hold though both columns are what they seem


@dataclass(frozen=True, slots=True)
class Link:
    """One relation between two columns.

    Parameters
    ----------
    first, second : int
        Rows; `second` is -1 where the other side is known.
    of_first, of_second : ndarray of int
        Hypotheses that it speaks of.
    log_ratio : ndarray, shape (len(of_first), len(of_second) or 1)
        Logarithm of the measured factor over the one that these readings give, with seconds as the unit of time.
    exact : float
        Spread of that logarithm where the relation holds.
    clocked : bool
        The unit of time counts in it.
    """

    first: int
    second: int
    of_first: NDArray[np.intp]
    of_second: NDArray[np.intp]
    log_ratio: Floats
    exact: float
    clocked: bool = False


def factor_ratio(log_ratio: Floats, exact: float) -> Floats:
    """Return the likelihood ratio of a measured factor."""
    score = log_ratio / exact
    holds = BROAD * 0.3989 / exact * np.exp(-0.5 * np.minimum(score * score, 100.0))
    return np.asarray((1.0 - FAILS) * holds + FAILS)
