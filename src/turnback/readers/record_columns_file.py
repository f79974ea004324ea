"""What the user says of a record's columns, as a file and as words of the command line."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any, Final

from turnback.base.errors import Fault, InputError
from turnback.readers.near_words import nearest
from turnback.readers.record_units import HAS_NUMBER, UNITS, unit_of
from turnback.readers.said import LONGEST_NAME, on_one_line, said
from turnback.readers.toml_files import read_toml
from turnback.records.bench import At
from turnback.records.channel import OF_CORNERS, Channel, Quantity
from turnback.records.record_read import ColumnMatch, ColumnsRead, ColumnTold, MatchedBy, Reading

NOTHING: Final = "nothing"
MOST_COLUMNS: Final = 2000  # our choice: more columns than any record of ours will have
MOST_FAULTS: Final = 50
LONGEST_COLUMN: Final = 500
TURNABLE: Final = frozenset({Quantity.HEADING, Quantity.COURSE})  # of what a file's own format says
_KEYS: Final = ("name", "means", "at", "number", "unit", "negative")
_MEANINGS: Final = tuple(each.value for each in Quantity if each is not Quantity.OTHER)


def read_columns_file(path: Path) -> tuple[ColumnTold, ...]:
    """Return what a file says of columns.

    Raises
    ------
    InputError
        All that is wrong with it, at once.
    """
    where = on_one_line(path.name, LONGEST_NAME)
    table = read_toml(path, where, whose="this file")
    faults = [
        Fault(f"{where}: {on_one_line(key)}", "the key is not known", "write [[column]] tables")
        for key in table
        if key != "column"
    ]
    rows = table.get("column", [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise InputError(*faults, Fault(f"{where}: column", "it is not a list of tables", "write [[column]] tables"))
    if len(rows) > MOST_COLUMNS:
        raise InputError(Fault(where, f"it has more than {MOST_COLUMNS} columns", "leave some out"))
    told = []
    for number, row in enumerate(rows, 1):
        one, wrong = _row(row, f"{where}: column entry {number}")
        faults += wrong
        told += [one] if one else []
    if faults:
        raise InputError(*faults[:MOST_FAULTS])
    return tuple(told)


def _row(row: dict[str, Any], where: str) -> tuple[ColumnTold | None, list[Fault]]:
    faults = []
    for key in row:
        if key not in _KEYS:
            near = nearest(key, list(_KEYS))
            do = f"write {near} if that was meant" if near else f"known here: {', '.join(_KEYS)}"
            faults.append(Fault(f"{where} {on_one_line(key)}", "the key is not known", do))
    for key in ("name", "means", "at", "unit"):
        if key in row and not isinstance(row[key], str):
            faults.append(Fault(f"{where} {key}", f"{said(row[key])} is not text", "write it in double quotes"))
    for key in ("name", "means"):
        if key not in row:
            do = 'add the column\'s name in quotes, or its number as "#3"' if key == "name" else 'add it: means = "..."'
            faults.append(Fault(f"{where} {key}", "it is missing", do))
    if isinstance(row.get("name"), str) and not 0 < len(row["name"]) <= LONGEST_COLUMN:
        faults.append(Fault(f"{where} name", "it is empty or very long", 'write the name, or its number as "#3"'))
    if not isinstance(row.get("negative", False), bool):
        what = f"{said(row['negative'])} is not true or false"
        faults.append(Fault(f"{where} negative", what, "write true or false without quotes"))
    number = row.get("number")
    if number is not None and (isinstance(number, bool) or not isinstance(number, int) or not 0 <= number <= 999):
        faults.append(Fault(f"{where} number", f"{said(number)} is not a whole number", "write 0 to 999"))
    if faults:
        return None, faults
    return _told(row["name"], row["means"], row.get("at", ""), number, row.get("unit", ""), row.get("negative"), where)


def _told(
    name: str, means: str, at: str, number: int | None, unit: str, negative: bool | None, where: str
) -> tuple[ColumnTold | None, list[Fault]]:
    """Return one column told, or what is wrong with it."""
    if means == NOTHING:
        if at or unit or number is not None or negative is not None:
            return None, [Fault(where, "it is left out, so nothing else counts", 'write only means = "nothing"')]
        return ColumnTold(name, None), []
    if means not in _MEANINGS:
        near = nearest(means, [*_MEANINGS, NOTHING])
        do = f"write {near} if that was meant" if near else f"known: {', '.join([*_MEANINGS, NOTHING])}"
        return None, [Fault(f"{where} means", f"{said(means)} is no channel", do)]
    quantity = Quantity(means)
    faults = []
    corners = [each.value for each in At]
    if at and quantity not in OF_CORNERS:
        faults.append(Fault(f"{where} at", f"{means} has no corner", "leave it out"))
    elif at and at not in corners:
        faults.append(Fault(f"{where} at", f"{said(at)} is no corner", f"write one of {', '.join(corners)}"))
    if number is not None and quantity not in HAS_NUMBER:
        faults.append(Fault(f"{where} number", f"{means} has no number", "leave it out"))
    elif number is not None and at:
        faults.append(Fault(f"{where} number", "a known corner needs no number", "leave it out"))
    found = unit_of(quantity, unit) if unit else None
    if unit and found is None:
        known = ", ".join(each.key for each in UNITS[quantity])
        faults.append(Fault(f"{where} unit", f"{means} has no unit {said(unit)}", f"write one of these: {known}"))
    if faults:
        return None, faults
    channel = Channel(quantity, At(at) if at else None, number)
    return ColumnTold(name, channel, found.key if found else "", negative), []


def column_told(text: str) -> ColumnTold:
    """Return what ``NAME=MEANING`` says: ``Volt A=pack_volts mV``, ``gx=-roll_rate deg/s``.

    A corner or number stands after the meaning: ``m1=output at front-left``, ``cell3=cell_volts 3 mV``. A minus before
    the meaning says that the record counts it the other way round, a plus that it does not; without, it is found out.

    Raises
    ------
    InputError
        If it cannot be understood.
    """
    where = f"--column {said(text)}"
    name, equals, meaning = text.rpartition("=")
    if not equals or not name.strip() or not meaning.strip() or len(text) > 2 * LONGEST_COLUMN:
        do = 'write it like "Volt A=pack_volts mV", or "Volt A=nothing" to leave the column out'
        raise InputError(Fault(where, "it does not say NAME=MEANING", do))
    written = meaning.strip()
    negative = {"-": True, "+": False}.get(written[0])
    means, _, rest = written.lstrip("-+").strip().partition(" ")
    at, number, unit = "", None, rest.strip()
    corner = re.match(r"at\s+(\S+)\s*(.*)$", unit)
    if corner:
        at, unit = corner[1].lower(), corner[2].strip()
    elif means in {each.value for each in HAS_NUMBER}:
        counted = re.match(r"(\d{1,3})(?:\s+(.*))?$", unit)
        if counted:
            number, unit = int(counted[1]), (counted[2] or "").strip()
    told, faults = _told(name.strip(), means.lower().replace("-", "_"), at, number, unit, negative, where)
    if told is None:
        raise InputError(*faults)
    return told


def columns_file_text(columns: ColumnsRead) -> str:
    """Return the file that says what was taken, with what is asked as remarks to be opened.

    Reading it back gives the same columns with the same meaning.
    """
    names = [each.name for each in columns.matches]
    lines = ["# What each column of the record means. A line with # before it is not read.", ""]
    for each in columns.matches:
        name = each.name
        if names.count(name) > 1 or not name or len(name) > LONGEST_COLUMN or name.startswith("#"):
            name = f"#{each.place + 1}"
        if each.taken is not None:
            lines += [*_lines(name, each.taken, _direction(each)), ""]
        elif each.asks:
            lines += [f"# {line}" for line in _asked(name, each)] + [""]
    return "\n".join(lines)


def _direction(match: ColumnMatch) -> bool | None:
    """Return whether a column counts the other way round, where that was told; None leaves it to be found out again."""
    if match.negative_told is not None or match.taken is None:
        return match.negative_told
    channel = match.taken.channel
    unit = unit_of(channel.quantity, match.taken.unit)
    if unit is not None and unit.scale * match.taken.scale < 0.0:
        return True
    return False if match.by is MatchedBy.FORMAT and channel.quantity in TURNABLE else None


def _lines(name: str, reading: Reading, negative: bool | None = None) -> list[str]:
    channel = reading.channel
    lines = ["[[column]]", f"name = {_quoted(name)}", f'means = "{channel.quantity.value}"']
    if channel.at is not None:
        lines.append(f'at = "{channel.at.value}"')
    if channel.number is not None:
        lines.append(f"number = {channel.number}")
    if reading.unit:
        lines.append(f"unit = {_quoted(reading.unit)}")
    if negative is not None:
        lines.append(f"negative = {'true' if negative else 'false'}")
    return lines


def _asked(name: str, match: ColumnMatch) -> list[str]:
    first, *others = [each for each in match.readings if each.channel.quantity is not Quantity.OTHER]
    lines = _lines(name, first, match.negative_told)
    for each in others:
        at = f', at = "{each.channel.at.value}"' if each.channel.at else ""
        number = f", number = {each.channel.number}" if each.channel.number is not None else ""
        lines.append(f'or: means = "{each.channel.quantity.value}"{at}{number}, unit = {_quoted(each.unit)}')
    return [*lines, f'or: means = "{NOTHING}"']


def _quoted(text: str) -> str:
    """Return a TOML basic string (TOML 1.0: control characters, quotes and backslashes are escaped)."""
    safe = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(letter if letter.isprintable() else _escaped(letter) for letter in safe) + '"'


def _escaped(letter: str) -> str:
    code = ord(letter)
    if 0xD800 <= code <= 0xDFFF:
        return "\\uFFFD"  # half a letter: no file can hold it
    return f"\\u{code:04X}" if code < 0x10000 else f"\\U{code:08X}"
