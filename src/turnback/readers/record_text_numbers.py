"""A block of a text table that holds nothing but plain numbers, parsed in one pass; anything else is left to others.

Most large records are such tables, and a parser that knows it is several times as fast as one for any table. It takes a
block only where each cell is empty or digits with at most one point and a minus sign; it gives up at the first other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.physics.decimals import POWERS, columns_filled

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
    if not columns_filled(cells, ord(separator), single, places, narrow, wide, most, POWERS):
        return None
    values = [(narrow if each else wide)[place] for each, place in zip(single, places, strict=True)]
    return PlainBlock(values, most)
