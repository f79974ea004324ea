"""A debrief: what was told, what the record shows of it, what is believed, and what is to be done. Data only."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import Enum

from turnback.records.belief import Belief
from turnback.records.debrief_seen import (
    AgainstPlan,
    Array,
    AtLoss,
    Compare,
    Compared,
    GroundSeen,
    Looked,
    RecordSign,
    SignNotLookedFor,
    SignsTold,
)
from turnback.records.debrief_told import Hurt, PackState, Reading, SearchArea, ToldInWords, TypedReading, Whereabouts
from turnback.records.finding import Spread
from turnback.records.happened import RecordAnswer
from turnback.records.learned import LearnedAbout

__all__ = [
    "AgainstPlan",
    "Answered",
    "Array",
    "AtLoss",
    "Compare",
    "Compared",
    "DebriefAnswer",
    "GroundSeen",
    "Hurt",
    "LearnedNumber",
    "Lessons",
    "Looked",
    "NotLearned",
    "PackState",
    "Reading",
    "RecordSign",
    "SearchArea",
    "SignNotLookedFor",
    "SignsTold",
    "Step",
    "ToldInWords",
    "TypedReading",
    "Whereabouts",
]

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
    ground : GroundSeen or None
        Under and around what is drawn.
    kind : str
        Of the record: "fast", "slow" or "track"; empty without one.
    left_open : tuple of str
        Causes that the answer does not rule out: those named, the likeliest, and what looks like any of them in such a
        record; empty without a record.
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
    kind: str = ""
    ground: GroundSeen | None = None
    left_open: tuple[str, ...] = ()
