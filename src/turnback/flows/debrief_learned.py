"""What a debrief leaves with the pack, the aircraft and the site of its plan."""

from __future__ import annotations

import math
from datetime import date
from typing import Final

from turnback.assess.learn_lessons import owner_id
from turnback.readers.known_keys import keys_of, range_of
from turnback.records.aircraft import AircraftFile
from turnback.records.case import Case
from turnback.records.common import FileRecord
from turnback.records.debrief import DebriefAnswer, LearnedNumber, Lessons
from turnback.records.learned import LearnedAbout, LearnedEntry
from turnback.records.pack import PackFile
from turnback.records.site import SiteFile

FILES: Final[dict[LearnedAbout, type[FileRecord]]] = {
    LearnedAbout.PACK: PackFile, LearnedAbout.AIRCRAFT: AircraftFile, LearnedAbout.SITE: SiteFile,
}  # fmt: skip
LONGEST_SOURCE: Final = 200
FIGURES: Final = 5


def learned_entries(answer: DebriefAnswer, case: Case) -> tuple[LearnedEntry, ...]:
    """Return the numbers that a record taught, as they are kept.

    Parameters
    ----------
    answer : DebriefAnswer
    case : Case
        Its plan gives pack, aircraft and site their ids; what has none is not kept.
    """
    name = answer.record.flown.record.name if answer.record is not None else "a flight"
    return entries_of(answer.lessons, case, answer.on, name)


def entries_of(taught: Lessons, case: Case, on: date, source: str) -> tuple[LearnedEntry, ...]:
    """Return lessons as entries of ``learned.toml``, none outside what its file may hold.

    Parameters
    ----------
    taught : Lessons
    case : Case
    on : date
        Of the flight.
    source : str
        Name of the record.
    """
    made = (_entry(each, case, on, source) for each in taught.numbers)
    return tuple(each for each in made if each is not None)


def _entry(number: LearnedNumber, case: Case, on: date, source: str) -> LearnedEntry | None:
    of_id = owner_id(case, number.about)
    if of_id is None:
        return None
    allowed = range_of(number.quantity, keys_of(FILES[number.about])[number.quantity])

    def held(value: float) -> float:
        least = -math.inf if allowed is None or allowed.low is None else allowed.low
        most = math.inf if allowed is None or allowed.high is None else allowed.high
        return float(f"{min(max(value, least), most):.{FIGURES}g}")

    return LearnedEntry(
        of=number.about, id=of_id, on=on, quantity=number.quantity, value=held(number.value),
        low=held(number.low), high=held(number.high), from_record=source[:LONGEST_SOURCE],
    )  # fmt: skip
