"""Where a signal turns: its extremes, with smaller wiggles left out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel


def turning_rows(values: NDArray[np.float64], swing: float) -> NDArray[np.intp]:
    """Return the rows of extremes that lie at least a swing apart from the one before and the one after.

    Parameters
    ----------
    values : ndarray, shape (n,)
    swing : float
        In the unit of the values; smaller ways to and fro do not count.

    Returns
    -------
    ndarray, shape (k,)
        Increasing; highs and lows in turn. Where values stay at an extreme, its first row.
    """
    rows = np.empty(values.size, np.intp)
    count = _turns(np.ascontiguousarray(values, np.float64), float(swing), rows)
    return rows[:count].copy()


@kernel
def _turns(values: NDArray[np.float64], swing: float, rows: NDArray[np.intp]) -> int:
    count = 0
    if values.size == 0:
        return count
    high, low = 0, 0
    way = 0  # 0 not known yet, 1 up: looking for a high, -1 down: looking for a low
    for row in range(1, values.size):
        if values[row] > values[high]:
            high = row
        if values[row] < values[low]:
            low = row
        if way >= 0 and values[high] - values[row] >= swing and high < row:
            rows[count] = high
            count += 1
            way, low, high = -1, row, row
        elif way <= 0 and values[row] - values[low] >= swing and low < row:
            rows[count] = low
            count += 1
            way, low, high = 1, row, row
    return count
