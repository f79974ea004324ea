"""A block of a text table that holds nothing but plain numbers, parsed in one pass; anything else is left to others.

Most large records are such tables, and a parser that knows it is several times as fast as one for any table. It takes a
block only where each cell is empty or digits with at most one point and a minus sign; it gives up at the first other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

MOST_DIGITS: Final = 18  # of a whole number of 64 bits
EXACT: Final = 2**53  # whole numbers up to here are exact in a float64
POWERS: Final = 10.0 ** np.arange(MOST_DIGITS + 1)  # exact up to 10**22

Values = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class PlainBlock:
    """The columns of a block, NaN where a cell is empty.

    Parameters
    ----------
    values : list of ndarray, shape (rows,)
    most : ndarray, shape (columns,)
        Largest magnitudes; 0 of a column without numbers.
    """

    values: list[Values]
    most: NDArray[np.float64]


def plain_block(data: bytes, separator: str, single: NDArray[np.bool_]) -> PlainBlock | None:
    """Return the columns of a block of plain numbers; None where any cell or line is anything else.

    Parameters
    ----------
    data : bytes
        Whole lines.
    separator : str
    single : ndarray of bool, shape (columns,)
        Which columns are float32; 2 columns at least.
    """
    if not data:
        return None
    cells = np.frombuffer(data if data.endswith(b"\n") else data + b"\n", np.uint8)
    lines = int(np.count_nonzero(cells == ord("\n")))
    if lines * single.size > cells.size:  # most of them blank: a row has a separator or an end for each cell
        return None
    places = np.where(single, np.cumsum(single), np.cumsum(~single)) - 1
    narrow = np.empty((int(single.sum()), lines), np.float32)
    wide = np.empty((int((~single).sum()), lines), np.float64)
    most = np.zeros(single.size)
    if not _parsed(cells, ord(separator), single, places, narrow, wide, most, POWERS):
        return None
    values = [(narrow if each else wide)[place] for each, place in zip(single, places, strict=True)]
    return PlainBlock(values, most)


@kernel
def _parsed(  # noqa: PLR0912 - one pass over the bytes
    cells: NDArray[Any], separator: int, single: NDArray[Any], places: NDArray[Any], narrow: NDArray[Any],
    wide: NDArray[Any], most: NDArray[Any], powers: NDArray[Any],
) -> bool:  # fmt: skip
    """Fill in the columns; False at the first cell that is no plain number, or line that is no row.

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
