"""The time of a record: one clock in strictly increasing seconds from 0, whatever the file's clock does.

A clock may be coarse, run over its largest number, begin again, step back or jump ahead; rows may stand out of order
or miss. What was mended is kept (`Clock.gaps`), so that nobody takes a mended time for a measured one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.readers.record_clock_mend import in_order, unwrapped, usual_step_s, without_spikes
from turnback.readers.record_match_asks import flags_asked
from turnback.records.channel import Quantity
from turnback.records.record_read import (
    CellKind,
    Clock,
    ClockGap,
    ColumnMatch,
    ColumnsRead,
    FlightFacts,
    Gap,
    MatchedBy,
    RawColumn,
    RawTable,
)
from turnback.rules.record_clock import GAP_STEPS, JUMP_S, MOST_GAPS, STUCK_RUNS

Times = NDArray[np.float64]
Rows = NDArray[np.intp]
LEAST_EPOCH_S: Final = 9e8
"""Seconds since 1970 of mid-1998: no counter of a flight board gets there."""
NEWEST_FIRST: Final = 9.0
"""Where this many steps go back for one that goes on, the rows stand newest first."""
MOST_TOLD_BACK: Final = 0.05
"""Share of steps; what steps back more often is told by mistake."""
DO_CLOCK: Final = "name the clock with --column NAME=time UNIT, or give the rows a second with --rate HZ"


@dataclass(frozen=True, slots=True, eq=False)
class RowsTimed:
    """Which rows count, when.

    Parameters
    ----------
    t_s : ndarray, shape (m,)
    rows : ndarray of int, shape (m,), or None
        None: all rows, as they stand.
    clock : Clock
    """

    t_s: Times
    rows: Rows | None
    clock: Clock


def rows_timed(table: RawTable, columns: ColumnsRead, facts: FlightFacts) -> RowsTimed:
    """Return the time of each row that has one.

    Raises
    ------
    InputError
        Without a clock and a rate, or with fewer than two rows that have a time.
    """
    match = next((each for each in columns.matches if each.place == columns.time), None)
    if columns.time is None or match is None or match.taken is None:
        return _by_rate(table, columns, facts)
    column = next(each for each in table.columns if each.place == columns.time)
    raw = np.asarray(column.values, dtype=np.float64)
    timed = np.isfinite(raw)
    rows = None if timed.all() else np.flatnonzero(timed)
    raw = raw if rows is None else raw[rows]
    if raw.size < 2:
        what = f"the clock {_quoted(column)} holds {'one time' if raw.size else 'no time'}"
        raise bad_input(table.name, what, "give a record of two rows or more")
    return _by_clock(table, column, match, raw, rows)


def _quoted(column: RawColumn) -> str:
    return f'"{column.name}"' if column.name else f"in column {column.place + 1}"


def _by_rate(table: RawTable, columns: ColumnsRead, facts: FlightFacts) -> RowsTimed:
    if facts.rate_hz is None:
        likely = "".join(f"; the likeliest, if it is right: {flag}" for flag in flags_asked(columns, Quantity.TIME))
        raise bad_input(table.name, "no column of it is plainly a clock", DO_CLOCK + likely)
    if table.rows < 2:
        raise bad_input(table.name, f"it holds {table.rows} rows of values", "give a record of two rows or more")
    t_s = np.arange(table.rows) / facts.rate_hz
    return RowsTimed(t_s, None, Clock("", "", facts.rate_hz, float(t_s[-1])))


def _by_clock(table: RawTable, column: RawColumn, match: ColumnMatch, raw: Times, rows: Rows | None) -> RowsTimed:
    """Mend step by step: damaged cells, counters that ran over, order, jumps, repeated times."""
    scale = match.taken.scale if match.taken else 1.0
    t_s = raw * scale
    if float(t_s[0]) == float(t_s.max()) == float(t_s.min()):
        raise bad_input(table.name, f"the clock {_quoted(column)} stands still", DO_CLOCK)
    steps = np.diff(t_s)
    backward, forward = int(np.count_nonzero(steps < 0.0)), int(np.count_nonzero(steps > 0.0))
    back = backward
    if backward > NEWEST_FIRST * forward:
        back = forward
        t_s, rows = t_s[::-1], (np.arange(t_s.size) if rows is None else rows)[::-1]
    if match.by is MatchedBy.TOLD and back > MOST_TOLD_BACK * steps.size:
        what = f"the clock {_quoted(column)} steps back at {back} of {raw.size} rows, so it is none"
        raise bad_input(table.name, what, DO_CLOCK)
    step_s = usual_step_s(t_s)
    marks: list[tuple[Gap, int]] = []
    dropped = table.rows - raw.size
    if backward:
        t_s = without_spikes(t_s, step_s)
        t_s, marks = unwrapped(t_s, scale, step_s)
        likeness = Likeness(table, column.place, rows)
        mended = in_order(t_s, step_s, likeness.alike, likeness.apart)
        t_s, marks, dropped = mended.t_s, marks + mended.marks, dropped + mended.dropped
        if mended.rows is not None:
            rows = mended.rows if rows is None else rows[mended.rows]
    epoch_s = float(t_s[0]) if float(t_s[0]) > LEAST_EPOCH_S else None
    t_s, jumps = without_jumps(t_s - t_s[0], step_s)
    once_s, t_s = t_s, spread(t_s)
    rate_hz = 1.0 / _step_s(t_s, coarse=once_s is not t_s)
    gaps = _gaps(t_s, marks + jumps)
    unit = match.taken.unit if match.taken else ""
    if column.kind is CellKind.MOMENT and epoch_s is None:
        unit = unit or "time of day"
    return RowsTimed(t_s, rows, Clock(column.name, unit, rate_hz, float(t_s[-1]), epoch_s, gaps, dropped))


def _step_s(t_s: Times, *, coarse: bool) -> float:
    """Return the median step; of a clock that repeats its times the mean one, gaps aside: its steps are uneven."""
    steps = np.diff(t_s)
    median_s = float(np.median(steps))
    return float(np.mean(steps[steps <= GAP_STEPS.value * median_s])) if coarse else median_s


class Likeness:
    """Compares rows of a table, the clock aside."""

    def __init__(self, table: RawTable, clock: int, rows: Rows | None) -> None:
        self._columns = [each.values for each in table.columns if each.place != clock]
        self._rows = rows

    def _row(self, place: int) -> Times:
        row = place if self._rows is None else int(self._rows[place])
        return np.array([float(values[row]) for values in self._columns])

    def alike(self, one: int, other: int) -> bool:
        """Whether two rows hold the same values."""
        return bool(self._columns) and bool(np.array_equal(self._row(one), self._row(other), equal_nan=True))

    def apart(self, one: int, other: int) -> bool:
        """Whether two rows fill quite different columns, as rows of different sources do."""
        here, there = np.isfinite(self._row(one)), np.isfinite(self._row(other))
        return bool(here.any() and there.any() and not np.any(here & there))


def without_jumps(t_s: Times, step_s: float) -> tuple[Times, list[tuple[Gap, int]]]:
    """Return times without jumps ahead that are longer than an hour and than all of the rest of the record."""
    steps = np.diff(t_s)
    long = steps > JUMP_S.value
    if not long.any():
        return t_s, []
    rest_s = float(steps[~long].sum())
    jumps = np.flatnonzero(long & (steps > rest_s))
    if not jumps.size:
        return t_s, []
    steps[jumps] = step_s
    return np.concatenate([[0.0], np.cumsum(steps)]), [(Gap.CLOCK_JUMP, int(row) + 1) for row in jumps]


def spread(t_s: Times) -> Times:
    """Return strictly increasing times: rows of one time are spread evenly up to the next.

    A time that is repeated far more often than others while the next is no later is a clock that stood still: its rows
    get the usual step and all later ones are moved.
    """
    steps = np.diff(t_s)
    if float(steps.min()) > 0.0:
        return t_s
    starts = np.flatnonzero(np.r_[True, steps > 0.0])
    counts = np.diff(np.r_[starts, t_s.size])
    if starts.size < 2:  # all at one time after mending; nothing to spread between
        return np.arange(t_s.size, dtype=np.float64)
    ahead = np.diff(t_s[starts])
    usual_s, usual = float(np.median(ahead)), float(np.median(counts[1:-1] if counts.size > 2 else counts))
    room = np.minimum(np.r_[ahead, np.inf], usual_s * np.maximum(1.0, counts / usual))  # no row stands in a gap
    per_row = usual_s / usual
    stuck = (counts > STUCK_RUNS.value * usual + 1.0) & (counts * per_row > 2.0 * np.r_[ahead, np.inf])
    room[stuck] = counts[stuck] * per_row
    late = np.r_[0.0, np.cumsum(np.where(stuck[:-1], np.maximum(room[:-1] - ahead, 0.0), 0.0))]
    part = room / np.maximum(counts, np.where(np.arange(counts.size) == counts.size - 1, usual, 1.0))
    first_s = t_s[starts] + late
    if counts[0] < usual:  # a record begins anywhere within its first whole second
        first_s[0] += room[0] * (1.0 - counts[0] / usual)
        part[0] = room[0] / usual
    spread_s = np.repeat(first_s, counts) + np.repeat(part, counts) * _places(starts, counts)
    return np.asarray(spread_s - spread_s[0])


def _places(starts: Rows, counts: NDArray[np.intp]) -> Times:
    """Return the place of each row within its run."""
    return np.arange(int(counts.sum()), dtype=np.float64) - np.repeat(starts, counts)


def _gaps(t_s: Times, marks: list[tuple[Gap, int]]) -> tuple[ClockGap, ...]:
    """Return what was mended and where rows are missing, in time order."""
    steps = np.diff(t_s)
    mended = [ClockGap(kind, float(t_s[row - 1]), float(t_s[row])) for kind, row in marks if 0 < row < t_s.size]
    return kept_gaps(mended + missing(t_s, float(np.median(steps))))


def missing(t_s: Times, step_s: float) -> list[ClockGap]:
    """Return where more than three steps hold no row; the longest ones."""
    steps = np.diff(t_s)
    rows = np.flatnonzero(steps > GAP_STEPS.value * step_s * (1.0 + 1e-9))
    most = int(MOST_GAPS.value)
    if rows.size > most:
        rows = rows[np.argsort(steps[rows], kind="stable")[-most:]]
    return [ClockGap(Gap.MISSING, float(t_s[row]), float(t_s[row + 1])) for row in rows]


def kept_gaps(gaps: list[ClockGap]) -> tuple[ClockGap, ...]:
    """Return at most a thousand gaps in time order: mended places first, then the longest."""
    first = sorted(gaps, key=lambda gap: (gap.kind is Gap.MISSING, gap.start_s - gap.end_s))
    return tuple(sorted(first[: int(MOST_GAPS.value)], key=lambda gap: gap.start_s))
