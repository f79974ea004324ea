"""A record as its file has it, and how its columns were understood."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.channel import Channel, Quantity


class RecordFormat(Enum):
    """What kind of file it was."""

    CSV = "CSV"
    PARQUET = "Parquet"
    GPX = "GPX 1.1"
    KML = "KML 2.2"
    GEOJSON = "GeoJSON"


class CellKind(Enum):
    """What the cells of a column are."""

    NUMBER = "number"
    WORD = "word"
    MOMENT = "moment"  # a date and time, or a time of day


@dataclass(frozen=True, slots=True, eq=False)
class RawColumn:
    """One column.

    Parameters
    ----------
    place : int
        Counted from 0 in the file.
    name : str
        As written, without the unit text; empty where the file names none.
    unit_text : str
        As written: from brackets, a suffix after the name, a units row, or metadata; empty where there is none.
    kind : CellKind
    values : ndarray, shape (n,)
        float32 where that loses nothing that counts, else float64; NaN where a cell is empty or no number. Of words the
        place in `labels`; of moments the seconds since the epoch (or since midnight).
    labels : tuple of str
        The words, at most 64.
    said : Channel or None
        Where the format itself says what it is (GPX, KML, GeoJSON).
    said_unit : str
        Unit that goes with `said`: a key of the readers' units.
    bad_cells : int
        Cells that are neither empty nor a number, in a column of numbers.
    """

    place: int
    name: str
    unit_text: str
    kind: CellKind
    values: NDArray[np.floating]
    labels: tuple[str, ...] = ()
    said: Channel | None = None
    said_unit: str = ""
    bad_cells: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class RawTable:
    """A whole file.

    Parameters
    ----------
    name : str
        Of the file, without its folder.
    format : RecordFormat
    columns : tuple of RawColumn
        All of one length.
    rows : int
    first_line : int
        Line of the first row of values in a text file, from 1; 0 elsewhere.
    separator : str
        Of a text file.
    decimal_comma : bool
    comments : tuple of str
        Lines of remarks before the values, at most 50, each at most 200 characters.
    dropped_rows : int
        Rows that could not be used: cut short, too long, repeated headings.
    zipped : bool
    """

    name: str
    format: RecordFormat
    columns: tuple[RawColumn, ...]
    rows: int
    first_line: int = 0
    separator: str = ""
    decimal_comma: bool = False
    comments: tuple[str, ...] = ()
    dropped_rows: int = 0
    zipped: bool = False


class MatchedBy(Enum):
    """Why a column counts as a channel."""

    MEANING = "name, unit and values together"
    TOLD = "told by the user"
    FORMAT = "said by the file's format"
    PHYSICS = "how the aircraft answers"
    NOT_MATCHED = "not matched"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read a column.

    Parameters
    ----------
    channel : Channel
    unit : str
        Key of the readers' units, such as ``"deg/s"``, ``"mV"``, ``"V/cell"``, ``"1000-2000"``.
    scale, offset : float
        Canonical value = scale * written value + offset.
    chance : float
        0 to 1; over all readings of one column, "other" among them, they add up to one.
    """

    channel: Channel
    unit: str
    scale: float
    offset: float
    chance: float


@dataclass(frozen=True, slots=True)
class ColumnMatch:
    """How one column was understood.

    Parameters
    ----------
    place, name, unit_text
        As in `RawColumn`.
    taken : Reading or None
        The reading that counts; None where the column is left out.
    by : MatchedBy
    readings : tuple of Reading
        The likeliest ones, at most 4, best first.
    asks : bool
        It may well be a channel and nobody can be sure which or in which unit: left out until the user says.
    negative_told : bool or None
        What the user says of its direction; None: nothing.
    """

    place: int
    name: str
    unit_text: str
    taken: Reading | None
    by: MatchedBy
    readings: tuple[Reading, ...] = ()
    asks: bool = False
    negative_told: bool | None = None


@dataclass(frozen=True, slots=True)
class ColumnTold:
    """What the user says of one column.

    Parameters
    ----------
    name : str
        The column's name as written, or ``"#3"`` for the third column.
    channel : Channel or None
        None: leave it out.
    unit : str
        Key of the readers' units; empty: find out.
    negative : bool or None
        The record counts it the other way round, or does not; None: find out.
    """

    name: str
    channel: Channel | None
    unit: str = ""
    negative: bool | None = None


class Gap(Enum):
    """Why a stretch of time is missing, or a clock was mended."""

    MISSING = "no rows"
    CLOCK_BACK = "the clock went back"
    CLOCK_AGAIN = "the clock began again"
    CLOCK_WRAPPED = "the clock ran over its largest number"
    CLOCK_JUMP = "the clock jumped ahead"


@dataclass(frozen=True, slots=True)
class ClockGap:
    """One such place, in seconds of the record."""

    kind: Gap
    start_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Clock:
    """The time of a record.

    Parameters
    ----------
    column : str
        Name of the column; empty where a rate was given instead.
    unit : str
        Key of the readers' units.
    rate_hz : float
        Rows a second: one over the median step.
    length_s : float
    epoch_s : float or None
        Seconds since 1970 at its start, where it says so.
    gaps : tuple of ClockGap
        In time order, at most 1000.
    dropped_rows : int
        Rows whose time could not be mended.
    """

    column: str
    unit: str
    rate_hz: float
    length_s: float
    epoch_s: float | None = None
    gaps: tuple[ClockGap, ...] = ()
    dropped_rows: int = 0


@dataclass(frozen=True, slots=True)
class ColumnsRead:
    """All columns of a record.

    Parameters
    ----------
    matches : tuple of ColumnMatch
        In the order of the file.
    time : int or None
        Place of the column that is the clock.
    """

    matches: tuple[ColumnMatch, ...]
    time: int | None

    def taken(self, quantity: Quantity) -> tuple[ColumnMatch, ...]:
        """Return the columns taken for one quantity."""
        return tuple(each for each in self.matches if each.taken and each.taken.channel.quantity is quantity)


@dataclass(frozen=True, slots=True)
class FlightFacts:
    """What the user says beside the record; everything may stay open."""

    cells: int | None = None
    chemistry: str | None = None  # a name of `records.pack.ChemistryName`
    blades: int | None = None
    rate_hz: float | None = None  # of a record without a clock
    told: tuple[ColumnTold, ...] = field(default=())
