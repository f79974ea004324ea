"""A record of any length, brought to a few hundred readings at a few dozen places.

Readings are kept as they are up to a few hundred. A longer record is brought down to medians over small cells of ground
and height; a median also holds where part of its readings stood at the receiver's floor. Readings are then put together
into places, few enough to solve for the shadowing of each.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.walk import Walk

Array = NDArray[np.float64]

MOST_READINGS: Final = 480
MOST_PLACES: Final = 56
FIRST_CELL_M: Final = 1.0
"""Shadowing is the same within a metre; echoes are not, and a median over it does them good."""
GROWTH: Final = 1.25


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """Readings sorted by place.

    Attributes
    ----------
    excess_db : ndarray, shape (n,)
        Predicted less measured; of a censored reading its least.
    slope : ndarray, shape (n,)
        Ten times the decimal logarithm of distance over the reference distance.
    sigma_db : ndarray, shape (n,)
        The model's own spread there.
    censored : ndarray of bool, shape (n,)
    first : ndarray of int, shape (m,)
        Index of each place's first reading.
    apart_m : ndarray, shape (n, n)
        Between readings, straight.
    within_db : float
        Spread of single readings within the cells that medians were taken over; 0 where none were.
    least_db : float
        What a reading is off at least: receivers show whole decibels, so that equal readings are no proof of a level.
    """

    excess_db: Array
    slope: Array
    sigma_db: Array
    censored: NDArray[np.bool_]
    first: NDArray[np.intp]
    apart_m: Array
    within_db: float
    least_db: float

    @property
    def counts(self) -> NDArray[np.intp]:
        """Readings of each place, shape ``(m,)``."""
        return np.diff(np.append(self.first, self.excess_db.size))


def place(
    walk: Walk, excess_db: Array, sigma_db: Array, distance_m: Array, reference_m: float, least_db: float
) -> Placed:
    """Return the readings of a walk at few enough places.

    Parameters
    ----------
    walk : Walk
        Positions and which readings are censored.
    excess_db, sigma_db, distance_m : ndarray, shape (n,)
        Of each reading: predicted less measured, the model's spread, distance from launch.
    reference_m : float
        Where the slope is nought.
    least_db : float
        What a single reading is off at least.
    """
    at_m = np.column_stack([walk.x_m, walk.y_m, walk.above_ground_m])
    columns = np.column_stack([at_m, np.log10(distance_m), sigma_db])
    censored, within_db = walk.censored, 0.0
    if excess_db.size > MOST_READINGS:
        excess_db, censored, columns, within_db = _medians(at_m, columns, excess_db, censored)
    order, first = _together(_cells(columns[:, :3], MOST_PLACES))
    columns = columns[order]
    return Placed(
        excess_db=excess_db[order],
        slope=10.0 * (columns[:, 3] - np.log10(reference_m)),
        sigma_db=columns[:, 4],
        censored=censored[order],
        first=first,
        apart_m=np.sqrt(sum(np.square(column[:, None] - column) for column in columns[:, :3].T)),
        within_db=within_db,
        least_db=least_db,
    )


def _cells(at_m: Array, most: int) -> NDArray[np.intp]:
    """Number the cells of the finest grid, from a metre on, that has no more than so many of them occupied."""
    edge_m, low_m = FIRST_CELL_M, at_m.min(axis=0)
    while True:
        steps = np.floor((at_m - low_m) / edge_m).astype(np.int64)
        spans = steps.max(axis=0) + 1
        single = (steps[:, 0] * spans[1] + steps[:, 1]) * spans[2] + steps[:, 2]
        names, cell = np.unique(single, return_inverse=True)
        if names.size <= most:
            return cell
        edge_m *= GROWTH


def _together(cell: NDArray[np.intp]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return an order that brings the readings of a cell together, and where each cell begins in it."""
    order = np.argsort(cell, kind="stable")
    return order, np.flatnonzero(np.diff(cell[order], prepend=-1))


def _medians(
    at_m: Array, columns: Array, excess_db: Array, censored: NDArray[np.bool_]
) -> tuple[Array, NDArray[np.bool_], Array, float]:
    """Take medians over cells: excess, whether the median itself is censored, mean columns, and the spread within.

    A censored reading's excess is at least what it shows; where it shows less than an uncensored one, it may lie on
    either side, and is counted above it, as the floor is one and the same.
    """
    cell = _cells(at_m, MOST_READINGS)
    order = np.lexsort((excess_db, censored, cell))  # in each cell: seen ones by size, then censored ones by size
    first = np.flatnonzero(np.diff(cell[order], prepend=-1))
    counts = np.diff(np.append(first, order.size))
    middle = order[first + (counts - 1) // 2]
    after = order[first + counts // 2]
    seen = ~censored[after]
    median = np.where(seen, 0.5 * (excess_db[middle] + excess_db[after]), excess_db[after])
    # Only what lies below a median: above it, some stand at the floor.
    off = (median[cell] - excess_db)[~censored & seen[cell] & (counts[cell] > 2)]
    off = off[off > 0.0]
    within = 1.4826 * float(np.median(off)) if off.size else 0.0  # a normal distribution's median deviation
    return median, ~seen, np.add.reduceat(columns[order], first) / counts[:, None], within
