"""What each column of a text table holds, from rows all over the file: numbers, moments, words; how wide a float."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_text_cells import HEX, Moment, is_number, moment_of, says_nothing, unit_of_cells
from turnback.readers.record_text_form import TextForm

Floats = NDArray[np.float64]

FINE: Final = 16.0  # our choice: a float32 step of a sixteenth of the smallest step keeps every written digit
SMOOTH: Final = 256.0  # our choice: of the usual step, where values have more digits than they need
SPREAD: Final = 65_536.0  # our choice: and of the whole spread
EXACT: Final = 2.0**24  # whole numbers up to here are exact in a float32


class Holds(Enum):
    """What the cells of a column are, as they must be parsed."""

    NUMBERS = "numbers"
    HEX = "whole numbers to base sixteen"
    WITH_UNIT = "numbers with a unit behind each"
    MOMENTS = "moments"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class ColumnForm:
    """How a column is to be parsed.

    Parameters
    ----------
    holds : Holds
    unit : str
        Behind each number, of `Holds.WITH_UNIT`.
    moment : Moment or None
    most_float32 : float
        Largest magnitude up to which a float32 loses nothing that counts; 0 where it must be a float64 for now.
    open_float : bool
        A few of its values could not tell; all of them may.
    """

    holds: Holds
    unit: str = ""
    moment: Moment | None = None
    most_float32: float = 0.0
    open_float: bool = False

    def wider(self) -> ColumnForm:
        """Return the same column parsed as float64."""
        return replace(self, most_float32=0.0)


def column_forms(form: TextForm, *, large: bool) -> list[ColumnForm]:
    """Return how to parse each column.

    Parameters
    ----------
    form : TextForm
    large : bool
        Whether the table is so large that float32 is worth its while.
    """
    return [_column(form, place, large=large) for place in range(form.columns)]


def _column(form: TextForm, place: int, *, large: bool) -> ColumnForm:
    cells = [row[place] for row in form.sample]
    told, numbers = _told(cells, comma=form.decimal_comma)
    if not told or numbers.size >= 0.5 * len(told):
        most = most_float32(numbers) if large else 0.0
        if most > 0.0 and np.abs(numbers).max() > most:
            most = -1.0  # already beyond it in the sample: not parsed twice to find that out
        return ColumnForm(Holds.NUMBERS, most_float32=max(0.0, most), open_float=large and most == 0.0)
    way = moment_of(told)
    if way is not None:
        return ColumnForm(Holds.MOMENTS, moment=way)
    if all(HEX.fullmatch(cell) for cell in told):
        return ColumnForm(Holds.HEX)
    unit = unit_of_cells(told, decimal_comma=form.decimal_comma)
    if unit:
        return ColumnForm(Holds.WITH_UNIT, unit=unit)
    return ColumnForm(Holds.WORDS)


def _told(cells: list[str], *, comma: bool) -> tuple[list[str], Floats]:
    """Return those cells that say something, and the numbers among them."""
    if not comma:
        try:  # nearly always all of them are numbers
            numbers = np.array([float(cell) for cell in cells], dtype=np.float64)
        except ValueError:
            pass
        else:
            if np.isfinite(numbers).all():
                return cells, numbers
    told = [cell for cell in cells if not says_nothing(cell)]
    return told, _numbers(told, comma=comma)


def _numbers(cells: list[str], *, comma: bool) -> Floats:
    """Return those cells that are numbers."""
    if not comma:
        try:  # nearly always all of them
            return np.array([float(cell) for cell in cells], dtype=np.float64)
        except ValueError:
            pass
    numbers = [cell for cell in cells if is_number(cell, decimal_comma=comma)]
    return np.array([float(number.replace(",", ".")) for number in numbers], dtype=np.float64)


def most_float32(values: Floats) -> float:
    """Return the largest magnitude that a column may reach as float32, judged by consecutive values of it.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Finite, in the order of the record.

    Returns
    -------
    float
        Below 0 where it must stay float64: clocks and counters; 0 where nothing changes, so that nothing can be told.
        A float32 has 24 bits: its step at a magnitude is the magnitude times 2**-24, or up to twice that (IEEE 754).
    """
    if values.size < 2:
        return 0.0
    step = np.abs(np.diff(values))
    moved = step[step > 0.0]
    if not moved.size:
        return 0.0
    if moved.size > 0.5 * step.size and (np.diff(values) >= 0.0).all():
        return -1.0
    most = moved.min() / FINE
    most = max(most, min(np.median(moved) / SMOOTH, np.ptp(values) / SPREAD))
    if (values == np.rint(values)).all():
        most = max(most, 1.0)
    return float(most * 2.0**23)


def narrowed(values: NDArray[np.floating]) -> NDArray[np.floating]:
    """Return a long column as float32 where that loses nothing that counts, judged by all of it."""
    finite = values[np.isfinite(values)].astype(np.float64)
    if not finite.size:
        return values.astype(np.float32)
    magnitude = float(np.abs(finite).max())
    if magnitude <= most_float32(finite) or bool((finite == finite.astype(np.float32)).all() and np.ptp(finite) == 0.0):
        return values.astype(np.float32)
    return values
