"""Read profiles from small comma-separated tables: heights along a path, current or power over time."""

from __future__ import annotations

import csv
import math
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError, bad_input
from turnback.readers.toml_files import read_small
from turnback.records.profiles import Asked, HeightProfile, LoadProfile

MOST_BYTES: Final = 32 * 1024 * 1024
MOST_ROWS: Final = 200_000
MOST_COLUMNS: Final = 64
MOST_FAULTS: Final = 20

Array = NDArray[np.float64]

RANGES: Final = {
    "distance_km": (0.0, 400.0, "km", "enter km, not metres"),
    "height_m": (-11_000.0, 50_000.0, "m", "enter metres above sea level"),
    "time_s": (-1e9, 1e10, "s", "enter seconds"),
    "current_a": (0.0, 2000.0, "A", "discharge is positive; charging is not modelled"),
    "power_w": (0.0, 100_000.0, "W", "discharge is positive; charging is not modelled"),
}


def read_height_profile(path: str | Path) -> HeightProfile:
    """Return ground heights along a path from a CSV file with the columns ``distance_km`` and ``height_m``.

    Raises
    ------
    InputError
        With every fault, each with its line: a missing column, no number, out of range, not ascending, not from 0.
    """
    name, columns = _read(path, ("distance_km", "height_m"))
    distance, height = columns["distance_km"], columns["height_m"]
    if distance.size < 3:
        raise bad_input(name, f"it has {distance.size} rows of numbers", "give at least 3: both ends and one between")
    if distance[0] != 0.0:
        raise bad_input(
            name, f"it starts at {distance[0]:g} km", "let the first row stand at 0 km, the start of the path"
        )
    _verify_ascending(distance, "distance_km", name)
    return HeightProfile(distance, height)


def read_load_profile(path: str | Path) -> LoadProfile:
    """Return what is asked of a pack from a CSV file with ``time_s`` and either ``current_a`` or ``power_w``.

    Each row's amount holds from its time to the next row's; the last row only says when the run ends.

    Raises
    ------
    InputError
        With every fault, each with its line.
    """
    name, columns = _read(path, ("time_s",), ("current_a", "power_w"))
    asked = Asked.CURRENT if "current_a" in columns else Asked.POWER
    time, amount = columns["time_s"], columns["current_a" if asked is Asked.CURRENT else "power_w"]
    if time.size < 2:
        raise bad_input(name, f"it has {time.size} rows of numbers", "give at least 2: the last says when the run ends")
    _verify_ascending(time, "time_s", name)
    duration = np.diff(time)
    if duration.max() > 1e6:
        raise bad_input(name, "a row lasts more than 1,000,000 s", "enter time_s in seconds")
    return LoadProfile(asked, float(time[0]), amount[:-1].copy(), duration)


def _read(path: str | Path, needed: tuple[str, ...], one_of: tuple[str, ...] = ()) -> tuple[str, dict[str, Array]]:
    """Return the file's name and the columns asked for; others are refused, for nobody knows what they mean."""
    file = Path(path)
    data = read_small(file, MOST_BYTES, file.name)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise bad_input(file.name, f"line {line} is not UTF-8 text", "save the file as UTF-8") from error
    rows = csv.reader(text.splitlines())
    try:
        header = next(rows, None)
        names = _header(header, needed, one_of, file.name)
        return file.name, _columns(rows, names, file.name)
    except csv.Error as error:
        raise bad_input(file.name, f"line {rows.line_num} is not CSV ({error})", "separate values by commas") from error


def _header(header: list[str] | None, needed: tuple[str, ...], one_of: tuple[str, ...], name: str) -> list[str]:
    if not header or not any(cell.strip() for cell in header):
        raise bad_input(name, "it is empty", f"let its first line name the columns: {_named(needed, one_of)}")
    names = [cell.strip().lower() for cell in header]
    expected = f"let the first line name the columns: {_named(needed, one_of)}"
    if len(names) > MOST_COLUMNS:
        raise bad_input(name, f"it has {len(names)} columns", expected)
    if len(set(names)) < len(names):
        raise bad_input(name, "two columns have the same name", expected)
    chosen = [each for each in one_of if each in names]
    if any(each not in names for each in needed) or (one_of and len(chosen) != 1):
        seen = ", ".join(repr(each[:30]) for each in names[:6])
        raise bad_input(f"{name}: line 1", f"the columns are {seen}", f"{expected}, separated by commas")
    unknown = [each for each in names if each not in (*needed, *one_of)]
    if unknown:
        raise bad_input(f"{name}: line 1", f"the column {unknown[0][:30]!r} is not known", "take it out")
    return names


def _named(needed: tuple[str, ...], one_of: tuple[str, ...]) -> str:
    return " and ".join([*needed, *([" or ".join(one_of)] if one_of else [])])


def _columns(rows: object, names: list[str], name: str) -> dict[str, Array]:
    values: list[list[float]] = []
    faults: list[Fault] = []
    for row in rows:  # type: ignore[attr-defined]
        line = rows.line_num  # type: ignore[attr-defined]
        if not any(cell.strip() for cell in row):
            continue
        if len(values) >= MOST_ROWS:
            raise bad_input(name, f"it has more than {MOST_ROWS:,} rows", "thin it out")
        read, found = _row(row, names, f"{name}: line {line}")
        faults += found
        if len(faults) >= MOST_FAULTS:
            break
        values.append(read)
    if faults:
        raise InputError(*faults)
    table = np.array(values, dtype=np.float64).reshape(-1, len(names))
    return {column: table[:, place].copy() for place, column in enumerate(names)}


def _row(row: list[str], names: list[str], where: str) -> tuple[list[float], list[Fault]]:
    if len(row) != len(names):
        what = f"it has {len(row)} values for {len(names)} columns"
        return [], [Fault(where, what, "give one value for each column; write decimals with a point")]
    values, faults = [], []
    for column, cell in zip(names, row, strict=True):
        low, high, unit, slip = RANGES[column]
        try:
            value = float(cell) if "_" not in cell else math.nan
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            faults.append(
                Fault(f"{where}, {column}", f"{cell.strip()[:30]!r} is no number", "write a number with a point")
            )
        elif not low <= value <= high:
            faults.append(Fault(f"{where}, {column}", f"{value:g} {unit} is outside {low:g} to {high:g} {unit}", slip))
        values.append(value)
    return values, faults


def _verify_ascending(values: Array, column: str, name: str) -> None:
    falls = np.flatnonzero(np.diff(values) <= 0.0)
    if falls.size:
        row = int(falls[0]) + 2
        raise bad_input(
            name, f"{column} does not grow at row {row} ({values[row - 1]:g})", "sort the rows and keep one for each"
        )
