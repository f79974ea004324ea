"""Headings of a text table: names, units behind them, a row of units, remarks above."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from turnback.readers.record_table_bounds import LONGEST_UNIT, plain
from turnback.readers.record_text_cells import cells_of, is_number, says_nothing
from turnback.readers.record_units import unit_keys
from turnback.readers.said import short

MOST_COMMENTS: Final = 50
LONGEST_COMMENT: Final = 200
LONGEST_NAME: Final = 120
MARKS: Final = re.compile(r"^[\s\"]*(?:#+|//+|%+)\s*")

BRACKETS: Final = re.compile(r"^(.*?)\s*(?:\(([^()]{0,24})\)|\[([^\[\]]{0,24})\]|\{([^{}]{0,24})\})\s*$")
SUFFIXES: Final = {
    "mv": 1, "volt": 1, "volts": 0, "ma": 2, "mah": 1, "ah": 2, "amps": 1, "mw": 2, "dbm": 1, "db": 2, "deg": 1,
    "rad": 1, "dps": 1, "rads": 2, "rps": 2, "rpm": 2, "hz": 2, "ms": 2, "us": 2, "sec": 2, "mps": 2, "kmh": 2,
    "kph": 2, "km": 3, "cm": 2, "mm": 2, "ft": 3, "pct": 1, "percent": 1, "hpa": 1, "pa": 3, "degc": 1, "v": 3, "a": 5,
    "s": 3, "m": 3, "w": 5, "g": 3, "deg_s": 1, "deg_per_s": 1, "rad_s": 1, "rad_per_s": 1, "m_s": 1, "m_s2": 1,
    "m_per_s": 1, "km_h": 1,
}  # fmt: skip
"""Unit suffixes and how long the name before them must be at least, so that an axis or a part is not cut off."""
AXES: Final = frozenset({"quat", "quaternion", "motor", "output", "phase", "channel", "antenna", "sensor", "port"})

NO_UNITS: Final = frozenset({"-", "--", "n/a", "none", "raw", "string", "text", "enum", "int", "float", "bool", "flag"})
"""What stands in a row of units where there is none."""


@dataclass(frozen=True, slots=True)
class Heads:
    """What stands above the values.

    Parameters
    ----------
    rows : tuple of list of str
        Heading rows, each of as many cells as a row of values.
    units : list of str or None
        Row of units.
    comments : tuple of str
    lone : str
        A line right above the values that does not fit them; empty where there is none.
    """

    rows: tuple[list[str], ...] = ()
    units: list[str] | None = None
    comments: tuple[str, ...] = ()
    lone: str = ""


def heads_above(lines: list[str], separator: str, fields: int) -> Heads:
    """Return headings and remarks from the lines above the first row of values."""
    rest = list(lines)
    while rest and not rest[-1].strip():
        rest.pop()
    rows: list[list[str]] = []
    units: list[str] | None = None
    while rest and len(rows) < 2:
        cells = _fitting(rest[-1], separator, fields)
        if cells is None:
            break
        if units is None and not rows and _are_units(cells) and _names_above(rest[:-1], separator, fields):
            units = cells
        elif not rows or (len(cells_of(rest[-1], separator)) == fields and _is_group_row(cells, rows[0])):
            rows.insert(0, cells)
        else:
            break
        rest.pop()
        while rest and not rest[-1].strip():
            rest.pop()
    lone = "" if rows or units or not rest else MARKS.sub("", rest[-1]).strip()
    remarks = [short(_printable(MARKS.sub("", line)), LONGEST_COMMENT) for line in rest if line.strip()]
    return Heads(tuple(rows), units, tuple(remarks[:MOST_COMMENTS]), lone)


def names_and_units(heads: Heads, columns: int) -> list[tuple[str, str]]:
    """Return name and unit text of every column."""
    names = [""] * columns
    if len(heads.rows) == 2:
        group, last = "", [*heads.rows[1]]
        for place in range(columns):
            group = heads.rows[0][place] or group
            names[place] = f"{group} {last[place]}".strip()
    elif heads.rows:
        names = heads.rows[0][:columns]
    found = [name_and_unit(_printable(name)) for name in names]
    if heads.units is not None:
        told = [plain(_bare(unit), LONGEST_UNIT) for unit in heads.units[:columns]]
        found = [
            (name, unit if unit and not says_nothing(unit) else own)
            for (name, own), unit in zip(found, told, strict=True)
        ]
    return [(short(name, LONGEST_NAME), unit) for name, unit in found]


def _fitting(line: str, separator: str, fields: int) -> list[str] | None:
    """Return the cells of a heading, or None where the line is none: of another length, or with numbers in it."""
    bare = MARKS.sub("", line)
    ways = [cells_of(bare, separator)]
    if separator == " ":
        ways += [re.split(r"\s{2,}|\t", bare.strip()), [cell.strip() for cell in bare.split(",")]]
    for way in ways:  # rows may be closed by a separator where the heading is not
        cells = [*way, ""] if len(way) == fields - 1 and len(way) > 1 else way
        if len(cells) != fields:
            continue
        told = [cell for cell in cells if cell]
        if told and 2 * sum(is_number(cell) for cell in told) <= len(told):
            return cells
    return None


def _is_group_row(upper: list[str], lower: list[str]) -> bool:
    """A second heading row groups columns: it leaves some open or repeats itself, or the lower one needs it."""
    told = [cell for cell in upper if cell]
    if any(map(is_number, told)):
        return False
    named = [cell for cell in lower if cell]
    return len(upper) > 2 and (len(told) < len(named) or len(set(told)) < len(told) or len(set(named)) < len(named))


def _are_units(cells: list[str]) -> bool:
    told = [cell for cell in cells if cell]
    known = sum(bool(unit_keys(cell)) or cell.lower() in NO_UNITS or _bracketed(cell) for cell in told)
    return bool(told) and known >= 0.7 * len(told)


def _names_above(lines: list[str], separator: str, fields: int) -> bool:
    """A row of units stands below names; alone it would be the names."""
    above = next((line for line in reversed(lines) if line.strip()), "")
    return _fitting(above, separator, fields) is not None


def _bracketed(cell: str) -> bool:
    return len(cell) > 1 and cell[0] + cell[-1] in {"()", "[]", "{}"}


def _bare(cell: str) -> str:
    return cell[1:-1].strip() if _bracketed(cell) else cell


def name_and_unit(name: str) -> tuple[str, str]:
    """Return a name without its unit, and the unit text: of ``Volts [V]``, of ``volts_v``."""
    match = BRACKETS.match(name)
    if match and match[1]:
        return match[1].strip(" _,"), next(part for part in match.groups()[1:] if part is not None).strip()
    for parts in (3, 2, 1):
        pieces = name.rsplit("_", parts)
        if len(pieces) == parts + 1:
            unit = "_".join(pieces[1:])
            least = SUFFIXES.get(unit.lower())
            if least is not None and len(pieces[0]) >= least and pieces[0].lower().rsplit("_", 1)[-1] not in AXES:
                return pieces[0], unit
    return name, ""


def _printable(text: str) -> str:
    return "".join(letter for letter in " ".join(text.split()) if letter.isprintable())
