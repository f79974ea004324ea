"""Decimal numbers as text to binary ones, many at once: the kernel behind large tables of nothing but numbers."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

MOST_DIGITS: Final = 18  # of a whole number of 64 bits
EXACT: Final = 2**53  # whole numbers up to here are exact in a float64
POWERS: Final = 10.0 ** np.arange(MOST_DIGITS + 1)  # exact up to 10**22


@kernel
def columns_filled(  # noqa: PLR0912 - one pass over the bytes
    cells: NDArray[Any], separator: int, single: NDArray[Any], places: NDArray[Any], narrow: NDArray[Any],
    wide: NDArray[Any], most: NDArray[Any], powers: NDArray[Any],
) -> bool:  # fmt: skip
    """Fill in columns; False at the first cell that is no plain number, or line that is no row.

    Parameters
    ----------
    cells : ndarray of uint8, shape (n,)
        Whole lines, the last ended by a line feed.
    separator : int
        A byte.
    single : ndarray of bool, shape (columns,)
        Which columns are float32.
    places : ndarray of int, shape (columns,)
        Rows of `narrow` or `wide` that are these columns.
    narrow, wide : ndarray of float32 and of float64, shape (k, rows) each
        Filled in, NaN where a cell is empty; as many rows as lines.
    most : ndarray, shape (columns,)
        Raised to the largest magnitudes.
    powers : ndarray
        `POWERS`.

    Notes
    -----
    The last byte is a line feed, and a line feed ends every scan: no scan passes the last byte. A value is a whole
    number over a power of ten, both exact, and so rounded once, as IEEE 754 rounds a quotient (Clinger, How to read
    floating point numbers accurately, 1990). Of a float32 more digits do no harm.
    """
    size, last = cells.size, single.size - 1
    at = row = 0
    while at < size:
        for column in range(single.size):
            negative = cells[at] == 45
            if negative:
                at += 1
            first = at
            whole = np.int64(0)
            digit = np.int64(cells[at]) - 48
            while 0 <= digit <= 9:
                whole = whole * 10 + digit
                at += 1
                digit = np.int64(cells[at]) - 48
            digits, decimals = at - first, 0
            point = digit == -2
            if point:
                at += 1
                first = at
                digit = np.int64(cells[at]) - 48
                while 0 <= digit <= 9:
                    whole = whole * 10 + digit
                    at += 1
                    digit = np.int64(cells[at]) - 48
                decimals = at - first
                digits += decimals
            if digits > MOST_DIGITS:
                return False
            value = np.nan
            if digits > 0:
                value = whole / powers[decimals]
                most[column] = max(most[column], value)
                if negative:
                    value = -value
            elif negative or point:
                return False
            if column < last:
                if cells[at] != separator:
                    return False
            else:
                if cells[at] == 13:
                    at += 1
                if cells[at] != 10:
                    return False
            at += 1
            if single[column]:
                narrow[places[column], row] = value
            elif whole > EXACT:
                return False
            else:
                wide[places[column], row] = value
        row += 1
    return True
