"""What one cell of a text table can be: a number, a moment, nothing, or words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from enum import Enum
from typing import Final

NUMBER: Final = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
NUMBER_COMMA: Final = re.compile(r"[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?", re.ASCII)
HEX: Final = re.compile(r"0[xX][0-9a-fA-F]{1,13}", re.ASCII)  # 52 bits: a float64 holds them all
WITH_UNIT: Final = re.compile(
    r"([+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([^\d\s.,+-][^\d\s.,+-]{0,7})", re.ASCII
)
THOUSANDS: Final = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}", re.ASCII)

NOTHING: Final = ("-", "--", "---", "n/a", "N/A", "#N/A", "NA", "na", "null", "NULL", "Null", "none", "None", "NONE")
"""Cells of a column of numbers that say nothing, besides empty ones and NaN."""
NOT_A_NUMBER: Final = frozenset({"nan", "+nan", "-nan", "inf", "+inf", "-inf", "infinity", "+infinity", "-infinity"})

_TIME: Final = r"\d{1,2}:\d{2}:\d{2}(?:[.,]\d{1,9})?"
_ZONE: Final = r"(?:Z|z|UTC| UTC|[+-]\d{2}:?\d{2})?"


class Moment(Enum):
    """How a moment is written; where day and month cannot be told apart, only the time of day counts."""

    ISO = re.compile(rf"\d{{4}}[-/]\d{{1,2}}[-/]\d{{1,2}}[T ]{_TIME}{_ZONE}", re.ASCII)
    DOTTED = re.compile(rf"\d{{1,2}}\.\d{{1,2}}\.\d{{4}}[T ]{_TIME}{_ZONE}", re.ASCII)
    NO_YEAR_FIRST = re.compile(rf"\d{{1,2}}[-/]\d{{1,2}}[-/]\d{{2,4}}[T ]{_TIME}(?: ?[AaPp][Mm])?", re.ASCII)
    CLOCK = re.compile(_TIME, re.ASCII)
    MINUTES = re.compile(r"\d{1,3}:\d{2}[.,]\d{1,9}", re.ASCII)
    DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def says_nothing(cell: str) -> bool:
    """Tell whether a cell is empty or a word for nothing."""
    return not cell or cell in NOTHING or cell.lower() in NOT_A_NUMBER


def is_number(cell: str, *, decimal_comma: bool = False) -> bool:
    """Tell whether a cell is a plain number."""
    return (NUMBER_COMMA if decimal_comma else NUMBER).fullmatch(cell) is not None


def number_part(cell: str) -> str:
    """Return a cell without the unit behind its number, where it has one."""
    if not cell[-1:].isdigit() and (match := WITH_UNIT.fullmatch(cell)):
        return match[1]
    return cell


def moment_of(cells: Iterable[str]) -> Moment | None:
    """Return the one way in which nearly all cells are moments, or None."""
    told = [cell for cell in cells if not says_nothing(cell)]
    for way in Moment:
        found = sum(way.value.fullmatch(cell) is not None for cell in told)
        if told and found >= 0.9 * len(told):
            return way
    return None


def unit_of_cells(cells: Sequence[str], *, decimal_comma: bool) -> str:
    """Return the unit text that every cell carries after its number (``14.8V``), or an empty text."""
    told = [cell for cell in cells if not says_nothing(cell)]
    matches = [WITH_UNIT.fullmatch(cell) for cell in told]
    units = {match[2] if match else "" for match in matches}
    if len(units) != 1 or "" in units:
        return ""
    numbers = [match[1] for match in matches if match]
    return units.pop() if all(is_number(number, decimal_comma=decimal_comma) for number in numbers) else ""


def cells_of(line: str, separator: str) -> list[str]:
    """Split one line at its separators, quoted cells held together; blanks around cells are taken off.

    A quote that is never closed is an ordinary character.
    """
    if separator == " ":
        line = line.strip(" \t")
    if '"' not in line:
        parts = line.split() if separator == " " else line.split(separator)
        return [part.strip() for part in parts]
    parts, at, length = [], 0, len(line)
    while at <= length:
        while at < length and line[at] == " ":
            at += 1
        close = _closing(line, at) if at < length and line[at] == '"' else -1
        if close > 0:
            end = line.find(separator, close)
            text = line[at + 1 : close].replace('""', '"')
        else:
            end = line.find(separator, at)
            text = line[at : end if end >= 0 else length]
        parts.append(text.strip())
        if end < 0:
            break
        at = end + 1
    return parts


def _closing(line: str, at: int) -> int:
    """Return the place of the quote that closes the one at `at`, or -1; doubled quotes stand for one."""
    place = at + 1
    while (place := line.find('"', place)) >= 0:
        if line[place : place + 2] != '""':
            return place
        place += 2
    return -1
