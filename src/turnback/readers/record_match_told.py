"""What the user, or the file's own format, says a column is: it counts more than any guess."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError
from turnback.readers.near_words import nearest
from turnback.readers.record_match_values import hypotheses
from turnback.readers.record_units import UNITS, unit_of
from turnback.readers.said import on_one_line, said
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import ColumnTold, MatchedBy, RawColumn, RawTable, Reading

Floats = NDArray[np.float64]
NEVER: Final = -1e9


@dataclass(frozen=True, slots=True)
class Settled:
    """One column whose meaning is told.

    Parameters
    ----------
    by : MatchedBy
    channel : Channel or None
        None: it is left out.
    unit : str
        Empty: find out.
    negative : bool or None
        None: its direction is not told.
    scale, offset : float
        Of the unit, before `negative`.
    """

    by: MatchedBy
    channel: Channel | None
    unit: str = ""
    negative: bool | None = None
    scale: float = 1.0
    offset: float = 0.0

    @property
    def final(self) -> bool:
        """True where nothing is left to find out."""
        return self.channel is None or bool(self.unit)

    def reading(self) -> Reading | None:
        """Return the reading that is told, whole."""
        if self.channel is None:
            return None
        return self.turned(Reading(self.channel, self.unit, self.scale, self.offset, 1.0))

    def turned(self, reading: Reading) -> Reading:
        """Return a reading, the other way round where that is told."""
        sign = -1.0 if self.negative else 1.0
        return Reading(reading.channel, reading.unit, sign * reading.scale, sign * reading.offset, reading.chance)

    def only(self, scores: Floats) -> Floats:
        """Return the scores of hypotheses, "other" last, with all but what is told ruled out."""
        if self.channel is None:
            return np.asarray(np.where(np.arange(scores.size) == scores.size - 1, 0.0, NEVER))
        fits = [each.quantity is self.channel.quantity and self.unit in ("", each.unit.key) for each in hypotheses()]
        if not any(fits):
            return np.asarray(np.where(np.arange(scores.size) == scores.size - 1, 0.0, NEVER))
        return np.asarray(np.where([*fits, False], scores, NEVER))


def settled_columns(table: RawTable, told: tuple[ColumnTold, ...]) -> dict[int, Settled]:
    """Return what is told of columns, by place in the table.

    Raises
    ------
    InputError
        All faults at once: names that are not there or stand twice, units that do not fit, one channel twice.
    """
    settled: dict[int, Settled] = {}
    for row, column in enumerate(table.columns):
        if column.said is not None:
            unit = unit_of(column.said.quantity, column.said_unit)
            settled[row] = Settled(
                MatchedBy.FORMAT, column.said, column.said_unit,
                scale=unit.scale if unit else 1.0, offset=unit.offset if unit else 0.0,
            )  # fmt: skip
    faults: list[Fault] = []
    by_user: dict[int, ColumnTold] = {}
    for each in told:
        row_or_fault = _place(table, each)
        if isinstance(row_or_fault, Fault):
            faults.append(row_or_fault)
            continue
        if row_or_fault in by_user:
            what = "it is told twice"
            faults.append(Fault(_where(table, each.name), what, "say it once"))
            continue
        by_user[row_or_fault] = each
        one = _one(table, each)
        if isinstance(one, Fault):
            faults.append(one)
        else:
            settled[row_or_fault] = one
    faults += _twice(table, settled, by_user)
    if faults:
        raise InputError(*faults)
    return settled


def _where(table: RawTable, name: str) -> str:
    return f"{on_one_line(table.name)}: column {said(name)}"


def _one(table: RawTable, told: ColumnTold) -> Settled | Fault:
    if told.channel is None:
        return Settled(MatchedBy.TOLD, None)
    quantity = told.channel.quantity
    if quantity is Quantity.OTHER:
        return Settled(MatchedBy.TOLD, None)
    if not told.unit:
        only = UNITS[quantity]
        if len(only) == 1 or quantity is Quantity.MODE:
            return Settled(MatchedBy.TOLD, told.channel, only[0].key, told.negative, only[0].scale, only[0].offset)
        return Settled(MatchedBy.TOLD, told.channel, negative=told.negative)
    unit = unit_of(quantity, told.unit)
    if unit is None:
        known = ", ".join(each.key for each in UNITS[quantity])
        what = f"{quantity.value} has no unit {said(told.unit)}"
        return Fault(_where(table, told.name), what, f"write one of these: {known}")
    return Settled(MatchedBy.TOLD, told.channel, unit.key, told.negative, unit.scale, unit.offset)


def _place(table: RawTable, told: ColumnTold) -> int | Fault:
    """Return which column is meant."""
    names = [column.name for column in table.columns]
    if told.name.startswith("#") and told.name[1:].isdecimal() and told.name not in names:
        number = int(told.name[1:][:9])
        if 1 <= number <= len(names):
            return number - 1
        return Fault(_where(table, told.name), "there is no such column", f"it has {len(names)} columns")
    wanted = told.name.strip()
    exact = [row for row, name in enumerate(names) if name == told.name]
    folded_rows = [row for row, name in enumerate(names) if name.strip().lower() == wanted.lower()]
    headings = [
        row for row, column in enumerate(table.columns) if column.unit_text and _heading(column) == _bare(wanted)
    ]
    for rows in (exact, folded_rows, headings):
        if len(rows) == 1:
            return rows[0]
        if rows:
            numbers = ", ".join(f"#{row + 1}" for row in rows[:8])
            what = f"{len(rows)} columns have this name"
            return Fault(_where(table, told.name), what, f"say which by its number: {numbers}")
    folded = {name.lower().replace("-", "_").replace(" ", "_"): name for name in reversed(names) if name}
    near = nearest(wanted, list(folded))
    do = f"write {said(folded[near])} if that was meant" if near else f"it has {_some(names)}"
    return Fault(_where(table, told.name), "there is no such column", do)


def _heading(column: RawColumn) -> str:
    """Return a column's name with its unit, as the file has it, but for what stands between them."""
    return _bare(column.name + column.unit_text)


def _bare(text: str) -> str:
    return "".join(letter for letter in text.lower() if letter.isalnum() or letter in "%°/²-")


def _some(names: list[str]) -> str:
    shown = ", ".join(said(name) for name in names[:12])
    return shown if len(names) <= 12 else f"{shown} and {len(names) - 12} more"


def _twice(table: RawTable, settled: dict[int, Settled], by_user: dict[int, ColumnTold]) -> list[Fault]:
    """Return a fault for each channel told of two columns; what the format says gives way to the user."""
    faults = []
    first: dict[Channel, int] = {}
    for row in sorted(by_user):
        channel = settled[row].channel if row in settled else None
        if channel is None:
            continue
        if channel in first:
            what = f"it is told to be {channel.key}, and so is {said(table.columns[first[channel]].name)}"
            faults.append(Fault(_where(table, by_user[row].name), what, "say it of one of them"))
        first.setdefault(channel, row)
    for row in [row for row in settled if row not in by_user]:
        if settled[row].channel in first:
            settled[row] = Settled(MatchedBy.FORMAT, None)
    return faults
