"""A debrief: what was told, what the record shows of it, what is believed, and what is to be done. Data only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.belief import Belief
from turnback.records.channel import Channel
from turnback.records.finding import Spread
from turnback.records.happened import RecordAnswer, WhyNot
from turnback.records.heard import Heard
from turnback.records.learned import LearnedAbout

Array = NDArray[np.float64]

# --- what the record says of the book's signs ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RecordSign:
    """One sign of the book that a record could show, and whether it does.

    Parameters
    ----------
    sign : str
        Key in the book.
    seen : bool
        False where the record would have shown it, and does not.
    sure : float
        0.5 to 1.
    group : str
        Signs of one group share their error: one channel and span, such as ``"outputs"`` or ``"link 41 s"``.
    start_s, end_s : float or None
        Where in the record; None for what holds all along, or is not there.
    values : mapping
        Numbers in SI that it rests on, keyed by name and unit (``{"limit_v": 3.5, "least_v": 3.31}``).
    channels : tuple of Channel
    """

    sign: str
    seen: bool
    sure: float
    group: str
    start_s: float | None = None
    end_s: float | None = None
    values: Mapping[str, float] = field(default_factory=dict)
    channels: tuple[Channel, ...] = ()


@dataclass(frozen=True, slots=True)
class SignNotLookedFor:
    """A sign of a record that this one cannot tell of, and why."""

    sign: str
    why: WhyNot
    needs: tuple[Channel, ...] = ()


@dataclass(frozen=True, slots=True)
class SignsTold:
    """What one teller of signs says; each of its signs is in one of both."""

    signs: tuple[RecordSign, ...] = ()
    not_looked_for: tuple[SignNotLookedFor, ...] = ()


# --- the record against the plan -------------------------------------------------------------------------------------


class Compare(Enum):
    """What is held against the model."""

    VOLTS = "rest volts of one cell"
    LOADED_VOLTS = "loaded volts of one cell"
    POWER = "electrical power"
    LEVEL = "link level"  # as the aircraft receives it
    LEVEL_BACK = "link level at the pilot's end"
    RETURN_LINE = "height of the way home"


@dataclass(frozen=True, slots=True, eq=False)
class Compared:
    """One channel beside what the plan's model says of the flight as it was flown.

    Parameters
    ----------
    what : Compare
    unit : str
        ``"V"``, ``"W"``, ``"dBm"`` or ``"m"``.
    t_s : ndarray, shape (n,)
        Seconds of the record.
    recorded, predicted, low, high : ndarray, shape (n,)
        `low` and `high` hold 90 % of what the model can mean. NaN where there is none.
    residual : Spread
        Recorded less predicted, typical of the flight.
    """

    what: Compare
    unit: str
    t_s: Array
    recorded: Array
    predicted: Array
    low: Array
    high: Array
    residual: Spread


@dataclass(frozen=True, slots=True)
class AtLoss:
    """The control link where it was lost, as the plan's ground and radio have it.

    Parameters
    ----------
    t_s : float
    distance_m, bearing_deg, height_m : float
        From and above the launch point.
    clearance_m : float
        Of the ray over the ruling obstacle; below zero it runs through the ground.
    obstacle_from_launch_m, obstacle_height_m : float
        NaN without an obstacle.
    margin_db : Spread
        Predicted there.
    line_of_sight : bool
    """

    t_s: float
    distance_m: float
    bearing_deg: float
    height_m: float
    clearance_m: float
    obstacle_from_launch_m: float
    obstacle_height_m: float
    margin_db: Spread
    line_of_sight: bool


@dataclass(frozen=True, slots=True, eq=False)
class AgainstPlan:
    """The plan's model beside the record.

    Parameters
    ----------
    compared : tuple of Compared
    at_loss : AtLoss or None
    expected : mapping of str to Spread
        What the plan says of this flight, whatever of it is known: ``hover_output_fraction``, ``hover_current_a``,
        ``cruise_current_a``, ``resistance_mohm_per_cell``, ``capacity_ah``, ``rated_current_a``, ``margin_db`` (least
        on the way flown), ``level_offset_db``, ``wind_mps`` (at flying height), ``temperature_c``, ``density_kg_m3``,
        ``land_by_rest_v``, ``home_height_m`` (least height of the straight way home over ground and trees, above
        launch).
    cells : int or None
    chemistry : str or None
    """

    compared: tuple[Compared, ...] = ()
    at_loss: AtLoss | None = None
    expected: Mapping[str, Spread] = field(default_factory=dict)
    cells: int | None = None
    chemistry: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """What every teller of signs gets.

    Parameters
    ----------
    answer : RecordAnswer
        Events, phases, spectra; the record itself is ``answer.flown.record``.
    ended_s : float
        Until when what is seen can be a cause: the first hard impact, the fall's onset plus one second, a landing, or
        the record's end.
    against : AgainstPlan or None
        None without a plan.
    earlier : tuple of RecordAnswer
        Healthy flights of the same aircraft, oldest first.
    """

    answer: RecordAnswer
    ended_s: float
    against: AgainstPlan | None = None
    earlier: tuple[RecordAnswer, ...] = ()


# --- what was told ---------------------------------------------------------------------------------------------------


class Reading(Enum):
    """What a typed number is of."""

    PACK_VOLTS = "pack volts"
    CELL_VOLTS = "volts of one cell"
    CURRENT = "current"
    CHARGE = "charge used"
    DISTANCE = "distance from the launch point"
    HEIGHT = "height above the launch point"
    SPEED = "speed over ground"
    WIND = "wind"
    BEARING = "direction from the launch point"
    LEVEL = "link level"  # as the aircraft receives it
    LEVEL_BACK = "link level at the pilot's end"
    QUALITY = "link quality"
    TIME = "time since take-off"
    TEMPERATURE = "temperature of the air"
    PUT_BACK = "charge that the charger put back"


@dataclass(frozen=True, slots=True)
class TypedReading:
    """One number out of the pilot's words, in SI but volts, amperes, ampere-hours, dBm and degrees.

    Parameters
    ----------
    of : Reading
    value : float
    at_s : float or None
        Time since take-off that it was told with ("1:40, 14.2 V").
    start, end : int
        Where in the words.
    """

    of: Reading
    value: float
    at_s: float | None = None
    start: int = 0
    end: int = 0


class Hurt(Enum):
    """Whether somebody was hurt."""

    YES = "yes"
    NO = "no"
    NOT_TOLD = "not told"


class PackState(Enum):
    """What the pack is like after it."""

    DAMAGED = "damaged"  # dented, swollen, hot, smoking, wet, cut, or lost with the aircraft
    FINE = "fine"
    NOT_TOLD = "not told"


class Whereabouts(Enum):
    """Where the aircraft is."""

    LOST = "lost"
    FOUND = "found"
    NOT_TOLD = "not told"


@dataclass(frozen=True, slots=True)
class ToldInWords:
    """All that the pilot's own words tell.

    Parameters
    ----------
    heard : tuple of Heard
        Signs of the book; they count as words do until they are confirmed or denied.
    readings : tuple of TypedReading
    hurt, pack, whereabouts
        The most careful reading of the words; `Hurt.NO` only where it is said in so many words.
    signs : tuple of RecordSign
        What the typed readings say of signs of the book (14.2 V of four cells after 100 s).
    """

    heard: tuple[Heard, ...] = ()
    readings: tuple[TypedReading, ...] = ()
    hurt: Hurt = Hurt.NOT_TOLD
    pack: PackState = PackState.NOT_TOLD
    whereabouts: Whereabouts = Whereabouts.NOT_TOLD
    signs: tuple[RecordSign, ...] = ()


# --- where to look for it --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class SearchArea:
    """Where a lost aircraft came down.

    Metres, x east and y north of the launch point; rings are closed outlines, shape ``(n,)``.

    Parameters
    ----------
    last_x_m, last_y_m, last_height_m, last_speed_mps, last_course_deg : float
        The last that is known, at `last_s`; height above the launch point.
    last_s : float
        Seconds of the record, or since take-off.
    centre_x_m, centre_y_m : float
        Where it most likely lies.
    distance_m, bearing_deg : Spread
        Of that from the launch point; the bearing clockwise from north.
    half_x_m, half_y_m, most_x_m, most_y_m : ndarray
        Outlines that hold half and nine tenths of what can be.
    area_m2 : float
        Of the outer one.
    flies_on : bool
        It may have flown on after the last that is known.
    launch_latitude_deg, launch_longitude_deg : float or None
        None where no place on the globe is known; directions from the launch point still hold.
    impact_speed_mps : Spread
    """

    last_x_m: float
    last_y_m: float
    last_height_m: float
    last_speed_mps: float
    last_course_deg: float
    last_s: float
    centre_x_m: float
    centre_y_m: float
    distance_m: Spread
    bearing_deg: Spread
    half_x_m: Array
    half_y_m: Array
    most_x_m: Array
    most_y_m: Array
    area_m2: float
    flies_on: bool
    launch_latitude_deg: float | None
    launch_longitude_deg: float | None
    impact_speed_mps: Spread


# --- what was learned ------------------------------------------------------------------------------------------------


class NotLearned(Enum):
    """Why a number was not learned."""

    NO_CHANNEL = "no-channel"
    NO_CELLS = "cells-unknown"
    TOO_STEADY = "too-steady"
    TOO_SHORT = "too-short"
    NO_SUCH_SEGMENT = "no-such-segment"  # no hover, no cruise
    NOT_FULL_AT_START = "not-full-at-start"
    NO_REST_AT_END = "no-rest-at-end"
    NO_PLAN = "no-plan"
    NO_ID = "no-id"  # the plan gives the pack, aircraft or site no id
    OUT_OF_BOUNDS = "out-of-bounds"  # what comes out cannot be
    FAULTY_FLIGHT = "faulty-flight"  # something that bends it went wrong in this flight


@dataclass(frozen=True, slots=True)
class LearnedNumber:
    """One number that this record taught.

    Parameters
    ----------
    about : LearnedAbout
    quantity : str
        As the plan names it, in the plan's unit.
    value, low, high : float
        The band holds 90 %.
    before : Spread or None
        What the plan said.
    method : str
        Short key, worded in `report`.
    """

    about: LearnedAbout
    quantity: str
    value: float
    low: float
    high: float
    before: Spread | None
    method: str


@dataclass(frozen=True, slots=True)
class Lessons:
    """What the record taught, and what it did not and why (by quantity)."""

    numbers: tuple[LearnedNumber, ...] = ()
    not_learned: tuple[tuple[str, NotLearned], ...] = ()


# --- the answer ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Answered:
    """The result of one check.

    Parameters
    ----------
    check : str
        Key in the book, or ``hurt``, ``pack``, ``whereabouts``.
    result : str
        As told: signs of the book that were seen, joined by commas; ``none``; ``yes`` or ``no`` of a check of one sign.
    """

    check: str
    result: str


class Step(Enum):
    """What comes first in the answer, in this order."""

    HURT = "help first"  # somebody is hurt: no causes, keep what there is, a person takes over
    ASK_HURT = "ask whether anybody is hurt"
    PACK = "make the pack safe"
    ASK_PACK = "ask for the pack"
    SEARCH = "search"
    ASK_ONE = "ask what decides most"
    CAUSES = "causes"


@dataclass(frozen=True, slots=True, eq=False)
class DebriefAnswer:
    """The answer to ``turnback debrief``; words are made in ``report``.

    Parameters
    ----------
    steps : tuple of Step
        What is to be said, in order.
    held_back : bool
        After an injury: no causes and no letter anywhere.
    words : tuple of str
        The pilot's, as told.
    told : ToldInWords
    answers : tuple of Answered
        Oldest first, of one check only the last.
    taken_back : tuple of Answered
    record : RecordAnswer or None
    signs : SignsTold
        Of the record.
    belief : Belief or None
        None where nothing was told, and where it is held back.
    question : str or None
        The check that decides most; None where none helps.
    against : AgainstPlan or None
    search : SearchArea or None
    lessons : Lessons
    on : date
        Of the flight.
    plan_title : str
    earlier : tuple of str
        Names of the records of healthy flights.
    """

    steps: tuple[Step, ...]
    held_back: bool
    words: tuple[str, ...]
    told: ToldInWords
    answers: tuple[Answered, ...]
    taken_back: tuple[Answered, ...]
    record: RecordAnswer | None
    signs: SignsTold
    belief: Belief | None
    question: str | None
    against: AgainstPlan | None
    search: SearchArea | None
    lessons: Lessons
    on: date
    plan_title: str = ""
    earlier: tuple[str, ...] = ()
