"""The rows of a range walk's record, from a table or typed in spot by spot."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from turnback.base.errors import Fault, InputError, bad_input
from turnback.readers.toml_files import read_small
from turnback.readers.walk_columns import RANGES, WORDS, Column, read_columns

MOST_BYTES: Final = 32 * 1024 * 1024
MOST_ROWS: Final = 100_000
MOST_COLUMNS: Final = 200
MOST_FAULTS: Final = 20
LONGEST_CELL: Final = 200
NOTHING_CAME: Final = frozenset({"lost", "nothing", "no signal", "none"})
"""In place of a level: nothing came there."""
SEPARATORS: Final = ("\t", ";", ",")
"""In this order of trust: a decimal comma stands in files that are separated by something else."""


@dataclass(slots=True)
class RawReading:
    """One reading as it was written, in SI; not a number where it says nothing."""

    where: str
    numbers: dict[str, float] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    nothing_came: bool = False

    def number(self, quantity: str) -> float:
        """Return one quantity of it, or not a number."""
        return self.numbers.get(quantity, math.nan)


@dataclass(frozen=True, slots=True)
class RawWalk:
    """All readings of one record, and how its columns were understood."""

    readings: list[RawReading]
    columns: tuple[Column, ...] = ()
    unused: tuple[str, ...] = ()


def read_rows(path: Path) -> RawWalk:
    """Return the rows of a table: CSV with commas, semicolons or tabs, ``#`` before a comment.

    Raises
    ------
    InputError
        With every fault, each with its line and column, up to twenty.
    """
    text = _text(path)
    lines = _lines(text, path.name)
    first = next(lines, None)
    if first is None:
        raise bad_input(path.name, "it is empty", "let its first line name the columns, such as distance_m, level_dbm")
    number, header = first
    separator = next((each for each in SEPARATORS if each in header), ",")
    where = f"{path.name}: line {number}"
    names = _cells(header, separator, where)
    if len(names) > MOST_COLUMNS:
        raise bad_input(where, f"it has {len(names)} columns", f"keep at most {MOST_COLUMNS}")
    columns, unused, faults = read_columns(names, where)
    if faults:
        raise InputError(*faults[:MOST_FAULTS])
    readings: list[RawReading] = []
    for number, line in lines:
        if len(readings) >= MOST_ROWS:
            raise bad_input(
                path.name, f"it has more than {MOST_ROWS:,} readings", "thin it out: one a second is plenty"
            )
        reading, found = _reading(
            _cells(line, separator, f"{path.name}: line {number}"), columns, f"{path.name}: line {number}",
            separator, len(names),
        )  # fmt: skip
        faults += found
        if len(faults) >= MOST_FAULTS:
            break
        readings.append(reading)
    if faults:
        raise InputError(*faults[:MOST_FAULTS])
    return RawWalk(readings, tuple(columns), tuple(unused))


def _text(path: Path) -> str:
    data = read_small(path, MOST_BYTES, path.name)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise bad_input(path.name, f"line {line} is not UTF-8 text", "save the file as UTF-8") from error


def _lines(text: str, name: str) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), 1):
        said = line.strip()
        if "\0" in said:
            raise bad_input(f"{name}: line {number}", "it is not text", "give a table of text, not a binary file")
        if said.strip(",;\t ") and not said.startswith("#"):
            yield number, line.strip("\r\n")


def _cells(line: str, separator: str, where: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], delimiter=separator), [])]
    except csv.Error as error:
        raise bad_input(where, f"it is not CSV ({error})", "separate values by commas, semicolons or tabs") from error


def _reading(
    cells: list[str], columns: list[Column], where: str, separator: str, wanted: int
) -> tuple[RawReading, list[Fault]]:
    """Return one row; a cell that is empty says nothing."""
    reading = RawReading(where)
    if len(cells) > wanted or any(column.place >= len(cells) for column in columns):
        do = "give one value for each column; write decimals with a point, or separate columns by semicolons"
        return reading, [Fault(where, f"it has {len(cells)} values for {wanted} columns", do)]
    faults: list[Fault] = []
    for column in columns:
        fault = _take(reading, column, cells[column.place], f"{where}, {column.named[:30]}", separator)
        faults += [fault] if fault else []
    return reading, faults


def _take(reading: RawReading, column: Column, cell: str, where: str, separator: str) -> Fault | None:
    """Put one cell into a reading, or say what is wrong with it."""
    said, quantity = cell.lower(), column.quantity
    if not said or quantity == "time":
        return None
    if quantity in WORDS:
        if said not in WORDS[quantity]:
            return Fault(where, f"{cell[:30]!r} is not one of {', '.join(WORDS[quantity])}", "write one of these")
        reading.words[quantity] = said
        return None
    if quantity == "level" and said in NOTHING_CAME:
        reading.nothing_came = True
        return None
    value = number_of(said.replace(",", ".") if separator != "," else said)
    if value is None:
        return Fault(where, f"{cell[:30]!r} is no number", _number_asked(quantity, said, separator))
    value = column.convert(value)
    fault = out_of_range(quantity, value, where)
    if fault is None:
        reading.numbers[quantity] = value
    return fault


def _number_asked(quantity: str, said: str, separator: str) -> str:
    """Say what to write in place of what is no number."""
    if separator == "," and number_of(said.replace(",", ".", 1)) is not None:
        return "write a number with a decimal point, or separate columns by semicolons"
    return 'write a number, or "lost" where nothing came' if quantity == "level" else "write a number"


def number_of(said: str) -> float | None:
    """Return a plain decimal number, or None."""
    if len(said) > LONGEST_CELL or not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", said, re.ASCII):
        return None
    return float(said)


def out_of_range(quantity: str, value: float, where: str) -> Fault | None:
    """Return what is wrong with a number, or None."""
    low, high, unit, do = RANGES[quantity]
    if math.isfinite(value) and low <= value <= high:
        return None
    said = f"{value:.6g} {unit}".strip() if math.isfinite(value) else "it"
    return Fault(where, f"{said} is outside {low:g} to {high:g} {unit}".rstrip(), do)
