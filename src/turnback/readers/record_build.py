"""From a table and what its columns mean to a flight record: canonical units, one clock, no empty values."""

from __future__ import annotations

import re
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.readers.record_clock import RowsTimed, kept_gaps, missing, rows_timed
from turnback.readers.record_match_asks import flags_asked
from turnback.records.channel import OF_CORNERS, SWITCHES, Channel, Quantity
from turnback.records.flight_record import CornerFound, FlightRecord, Series, Values
from turnback.records.record_read import (
    CellKind,
    Clock,
    ColumnMatch,
    ColumnsRead,
    FlightFacts,
    MatchedBy,
    RawColumn,
    RawTable,
    Reading,
)
from turnback.rules.record_clock import FRESH_LEAST

Times = NDArray[np.float64]
Filled = NDArray[np.bool_]
PRECISE: Final = frozenset({
    Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE, Quantity.PRESSURE,
})  # fmt: skip
"""Single precision (7 digits) would lose what counts: a metre of position, a decimetre of height."""
MOSTLY: Final = 0.6
"""A value that changes in this share of its rows is renewed with every row."""
LOW_SHARE: Final = 0.1
"""A renewed value may happen to stay the same, so the usual wait is read off the shorter waits."""
ON: Final = frozenset(["on", "true", "yes", "y", "t", "1", "armed", "active", "enabled", "high", "lost", "set"])
OFF: Final = frozenset(
    ["off", "false", "no", "n", "f", "0", "disarmed", "inactive", "disabled", "low", "ok", "none", "unset", ""]
)
RETURNS: Final = frozenset(["return", "returning", "returns", "homing", "homecoming"])
TO_HOME: Final = frozenset(["go", "goes", "going", "fly", "flying", "to", "back", "come", "coming"])
NOT_NOW: Final = frozenset(["no", "not", "off", "set", "reset", "without", "disabled", "cancelled", "point", "stick"])


def flight_record(table: RawTable, columns: ColumnsRead, facts: FlightFacts, *, use_up: bool = False) -> FlightRecord:
    """Return the record that a table holds.

    Parameters
    ----------
    table : RawTable
    columns : ColumnsRead
        Which column is which channel in which unit.
    facts : FlightFacts
        What the user says beside it.
    use_up : bool
        The table is not needed any more: its memory is taken for the record, and it no longer holds what was read.

    Raises
    ------
    InputError
        Without a clock (and no rate told), with fewer than two rows that have a time, or with no channel.
    """
    timed = rows_timed(table, columns, facts)
    places = {each.place: each for each in table.columns}
    taken = [each for each in columns.matches if each.taken is not None and each.place != columns.time]
    best = _best(taken)
    series: dict[Channel, Series] = {}
    shared: list[tuple[Filled, Times]] = []
    for match in taken:
        reading = match.taken
        if reading is None or best[reading.channel] is not match or match.place not in places:
            continue
        made = _series(places[match.place], reading, timed, shared, use_up=use_up)
        if made is not None:
            series[reading.channel] = made
    if not series:
        what = "none of its columns is understood as something that a flight record holds"
        likely = ", ".join(flags_asked(columns))
        do = "say what a column is with --column NAME=QUANTITY UNIT"
        raise bad_input(table.name, what, f"{do}; the likeliest, if they are right: {likely}" if likely else do)
    returning = _returning(series)
    if returning is not None:
        series[returning.channel] = returning
    clock = _clock_of(timed, series)
    return FlightRecord(
        table.name, table.format, clock, series, columns.matches, corners=_corners_told(taken, series), facts=facts
    )


def _best(taken: list[ColumnMatch]) -> dict[Channel, ColumnMatch]:
    """Return the one column for each channel: told before found, then the likeliest, then the first."""
    best: dict[Channel, tuple[tuple[bool, float], ColumnMatch]] = {}
    for match in taken:
        if match.taken is None:
            continue
        rank = (match.by is MatchedBy.TOLD, match.taken.chance)
        if match.taken.channel not in best or rank > best[match.taken.channel][0]:
            best[match.taken.channel] = (rank, match)
    return {channel: match for channel, (_, match) in best.items()}


def _series(
    column: RawColumn, reading: Reading, timed: RowsTimed, shared: list[tuple[Filled, Times]], *, use_up: bool
) -> Series | None:
    """Return one channel; None where it holds nothing that can be used."""
    quantity = reading.channel.quantity
    values = column.values if timed.rows is None else column.values[timed.rows]
    labels = column.labels
    if column.kind is CellKind.WORD:
        if quantity in SWITCHES:
            values, labels = _switched(values, labels), ()
        elif quantity is not Quantity.MODE:
            return None
    elif column.kind is CellKind.MOMENT:
        return None
    else:
        values = _converted(values, reading, own=use_up or timed.rows is not None)
        if quantity in SWITCHES:
            values = np.where(np.isfinite(values), values >= 0.5, np.nan).astype(np.float32)
    t_s = timed.t_s
    if not np.isfinite(values.sum()):  # one pass, where nearly all columns are full
        filled = np.isfinite(values)
        if not filled.all():
            values, t_s = values[filled], _times_of(filled, timed.t_s, shared)
    if values.size == 0:
        return None
    if use_up:
        values = _moved_into(column.values, values)
    rate_hz = timed.clock.rate_hz if t_s is timed.t_s else _rate_hz(t_s)
    return Series(reading.channel, t_s, values, rate_hz, fresh_hz(values, rate_hz), labels)


def _converted(values: Values, reading: Reading, *, own: bool) -> Values:
    """Return values in the canonical unit; single precision stays single where nothing that counts is lost."""
    if reading.channel.quantity in PRECISE and values.dtype != np.float64:
        values, own = values.astype(np.float64), True
    kind = values.dtype.type
    own = own and values.flags.writeable
    if reading.scale != 1.0:
        values = np.multiply(values, kind(reading.scale), out=values if own else None)
        own = True
    return values if reading.offset == 0.0 else np.add(values, kind(reading.offset), out=values if own else None)


def _moved_into(memory: Values, values: Values) -> Values:
    """Return values in memory that is not needed any more, unless most of it would stay empty."""
    fits = memory.size // 2 < values.size <= memory.size and memory.dtype == values.dtype and memory.flags.writeable
    if values is memory or not fits:
        return values
    memory[: values.size] = values
    return memory[: values.size]


def _switched(values: Values, labels: tuple[str, ...]) -> Values:
    """Return 1 for words that say on, 0 for those that say off, nothing for others."""
    said = [label.strip().lower() for label in labels]
    table = np.array([1.0 if word in ON else 0.0 if word in OFF else np.nan for word in said] + [np.nan], np.float32)
    filled = np.isfinite(values)
    return table[np.where(filled, values, len(labels)).astype(np.intp)]


def _times_of(filled: Filled, t_s: Times, shared: list[tuple[Filled, Times]]) -> Times:
    """Return the times of the filled rows; columns that are filled alike share one array."""
    for other, times in shared:
        if np.array_equal(other, filled):
            return times
    times = t_s[filled]
    shared.append((filled, times))
    return times


def _rate_hz(t_s: Times) -> float:
    return 1.0 / float(np.median(np.diff(t_s))) if t_s.size > 1 else 0.0


def fresh_hz(values: Values, rate_hz: float) -> float:
    """Return how often a value is renewed while it changes; the rate where too few changes tell.

    Parameters
    ----------
    values : ndarray, shape (n,)
    rate_hz : float
        Of its rows.
    """
    changes = values[1:] != values[:-1]
    count = int(np.count_nonzero(changes))
    if count < FRESH_LEAST.value or count >= MOSTLY * changes.size:
        return rate_hz
    waits = np.diff(np.flatnonzero(changes))
    place = int(LOW_SHARE * (waits.size - 1))
    at_most = np.cumsum(np.bincount(waits))  # whole rows: counted, not sorted
    return rate_hz / float(np.searchsorted(at_most, place, side="right"))


def says_return(label: str) -> bool:
    """Whether the words of a mode plainly mean automatic return."""
    words = set(re.findall(r"[a-z]+", label.lower()))
    if words & NOT_NOW:
        return False
    return bool(words & RETURNS) or words == {"home"} or ("home" in words and bool(words & TO_HOME))


def _returning(series: dict[Channel, Series]) -> Series | None:
    """Return whether automatic return is on, off the words of the mode; None where it has its own channel."""
    mode = series.get(Channel(Quantity.MODE))
    if mode is None or not mode.labels or any(each.quantity is Quantity.RETURN_ACTIVE for each in series):
        return None
    says = np.array([says_return(label) for label in mode.labels], dtype=np.float32)
    if not says.any():
        return None
    values = says[mode.values.astype(np.intp)]
    return Series(Channel(Quantity.RETURN_ACTIVE), mode.t_s, values, mode.rate_hz, fresh_hz(values, mode.rate_hz))


def _clock_of(timed: RowsTimed, series: dict[Channel, Series]) -> Clock:
    """Return the clock; rows that hold nothing at all are missing rows."""
    clock = timed.clock
    if any(each.t_s is timed.t_s for each in series.values()):
        return clock
    holds = np.zeros(timed.t_s.size, dtype=bool)
    seen: set[int] = set()
    for each in series.values():
        if id(each.t_s) not in seen:
            seen.add(id(each.t_s))
            holds[np.searchsorted(timed.t_s, each.t_s)] = True
    if holds.all():
        return clock
    t_s = timed.t_s[holds]
    known = {(gap.kind, gap.start_s) for gap in clock.gaps}
    new = [gap for gap in missing(t_s, 1.0 / clock.rate_hz) if (gap.kind, gap.start_s) not in known]
    return Clock(
        clock.column, clock.unit, clock.rate_hz, clock.length_s, clock.epoch_s, kept_gaps([*clock.gaps, *new]),
        clock.dropped_rows + int(holds.size - np.count_nonzero(holds)),
    )  # fmt: skip


def _corners_told(taken: list[ColumnMatch], series: dict[Channel, Series]) -> tuple[CornerFound, ...]:
    """Return the numbered columns whose corner is told or open; a column that names its corner counts nothing."""
    found = []
    for match in taken:
        channel = None if match.taken is None else match.taken.channel
        if channel is None or channel.number is None or channel.quantity not in OF_CORNERS or channel not in series:
            continue
        chance = 0.0 if channel.at is None or match.taken is None else match.taken.chance
        found.append(CornerFound(channel.quantity, channel.number, channel.at, False, chance))
    return tuple(found)
