"""Each channel comes from one column at most: the best way to give channels to columns."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def best_assignment(cost: Floats) -> NDArray[np.intp]:
    """Return the column of each row, all different, whose costs together are least.

    Parameters
    ----------
    cost : ndarray, shape (n, m)
        Finite, n at most m.

    Returns
    -------
    ndarray, shape (n,)

    Notes
    -----
    Shortest augmenting paths with dual prices (R. Jonker, A. Volgenant, "A shortest augmenting path algorithm for dense
    and sparse linear assignment problems", Computing 38, 1987).
    """
    rows, columns = cost.shape
    row_price, column_price = np.zeros(rows), np.zeros(columns)
    row_of = np.full(columns, -1, np.intp)
    for row in range(rows):
        reach = np.full(columns, np.inf)
        before = np.full(columns, -1, np.intp)
        done = np.zeros(columns, bool)
        here, way, at = row, 0.0, -1
        visited = []
        while True:
            new = way + cost[here] - row_price[here] - column_price
            better = ~done & (new < reach)
            reach[better], before[better] = new[better], at
            at = int(np.argmin(np.where(done, np.inf, reach)))
            way = float(reach[at])
            done[at] = True
            visited.append(at)
            if row_of[at] < 0:
                break
            here = int(row_of[at])
        row_price[row] += way
        for column in visited[:-1]:
            row_price[row_of[column]] += way - reach[column]
            column_price[column] -= way - reach[column]
        while True:
            previous = int(before[at])
            row_of[at] = row if previous < 0 else row_of[previous]
            if previous < 0:
                break
            at = previous
    found = np.full(rows, -1, np.intp)
    taken = np.flatnonzero(row_of >= 0)
    found[row_of[taken]] = taken
    return found
