"""What the values of columns look like, as numbers that can be held against what is usual."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.record_read import CellKind, RawColumn, RawTable

MOST_SAMPLED: Final = 4096  # our choice: a quantile of 1 % then rests on forty rows
QUANTILES: Final = (0.005, 0.05, 0.25, 0.5, 0.75, 0.95, 0.995)
Floats = NDArray[np.float64]

AT_ONCE: Final = 2  # numpy lets go of the interpreter where it counts


@dataclass(frozen=True, slots=True)
class Features:
    """Of every column, as written; NaN where a column has no numbers.

    Parameters
    ----------
    quantiles : ndarray, shape (columns, 7)
        At `QUANTILES`.
    low, high : ndarray, shape (columns,)
        Least and greatest of all rows.
    first : ndarray
        Median of the first of the sampled rows (one in fifty).
    whole : ndarray
        Share of sampled values that are whole numbers.
    distinct : ndarray
        Number of distinct sampled values.
    rising : ndarray
        Share of steps that go up, among all of them; `falling` likewise.
    step : ndarray
        Median step between rows that follow each other, of those that are not zero.
    rough : ndarray
        Median absolute step between neighbouring rows over the spread.
    count : ndarray
        Finite values sampled.
    """

    quantiles: Floats
    low: Floats
    high: Floats
    first: Floats
    whole: Floats
    distinct: Floats
    rising: Floats
    falling: Floats
    step: Floats
    rough: Floats
    count: Floats

    @property
    def spread(self) -> Floats:
        """Half of what lies between the fifth and the ninety-fifth of a hundred values."""
        return np.asarray((self.quantiles[:, 5] - self.quantiles[:, 1]) / 2)

    @property
    def constant(self) -> NDArray[np.bool_]:
        """True of columns that never change."""
        return np.asarray(self.high == self.low)


def features_of(table: RawTable) -> Features:
    """Return the features of every column of a table."""
    with ThreadPoolExecutor(AT_ONCE) as pool:
        rows = list(pool.map(_features, table.columns))
    data = np.array(rows, float).reshape(len(rows), 17)
    return Features(data[:, :7], *(data[:, place] for place in range(7, 17)))


def sampled(values: NDArray[np.floating]) -> Floats:
    """Return at most `MOST_SAMPLED` finite values, evenly spread over the rows, in order."""
    every = max(1, values.size // MOST_SAMPLED)
    some = values[::every].astype(float)
    some = some[np.isfinite(some)]
    if some.size * 8 < min(values.size, MOST_SAMPLED):  # mostly empty cells: look at those that are filled
        filled = values[np.isfinite(values)]
        some = filled[:: max(1, filled.size // MOST_SAMPLED)].astype(float)
    return np.asarray(some[np.abs(some) < 1e18])


def _features(column: RawColumn) -> list[float]:
    values = column.values
    some = sampled(values)
    if some.size == 0:
        return [np.nan] * 16 + [0.0]
    no_fix = some == 0.0
    share = float(no_fix.mean())
    if 0.0 < share < 0.95 and column.kind is CellKind.NUMBER:
        filled = some[~no_fix]
        low, high = np.quantile(filled, (0.005, 0.995))
        if low * high > 0.0 and min(abs(low), abs(high)) > 4 * (high - low):
            some = filled  # zeros before the first good value, of positions, volts, heights above the sea
    every = some if some.size > 512 else values[np.isfinite(values)].astype(float)[: 2 * MOST_SAMPLED]
    steps = np.diff(every)
    neighbours = _neighbour_steps(values)
    quantiles = np.quantile(some, QUANTILES)
    with np.errstate(invalid="ignore"):
        low, high = float(np.fmin.reduce(values)), float(np.fmax.reduce(values))
    spread = (quantiles[5] - quantiles[1]) / 2
    moving = np.abs(neighbours[neighbours != 0.0])
    return [
        *quantiles, low, high, float(np.median(some[: max(1, some.size // 50)])),
        float(np.mean(some == np.round(some))), float(np.unique(some).size),
        float(np.mean(steps > 0)) if steps.size else 0.0, float(np.mean(steps < 0)) if steps.size else 0.0,
        float(np.median(moving)) if moving.size else 0.0,
        float(np.median(np.abs(neighbours)) / spread) if neighbours.size and spread > 0 else 0.0,
        float(some.size),
    ]  # fmt: skip


def _neighbour_steps(values: NDArray[np.floating]) -> Floats:
    """Return steps between neighbouring filled cells, from a few thousand places of the table."""
    rows = values.size
    if rows < 2:
        return np.zeros(0)
    starts = np.arange(0, rows - 1, max(1, rows // MOST_SAMPLED))
    with np.errstate(over="ignore"):  # 1e308 less -1e308
        steps = values[starts + 1].astype(float) - values[starts]
    steps = steps[np.isfinite(steps)]
    if steps.size < 8:
        filled = values[np.isfinite(values)]
        steps = np.diff(filled[: 2 * MOST_SAMPLED].astype(float))
    return np.asarray(steps)
