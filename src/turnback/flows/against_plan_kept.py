"""What a debrief learned, as it is kept beside the plan for the next brief."""

from __future__ import annotations

import math
from datetime import date
from typing import Final

from turnback.assess.learn_lessons import owner_id
from turnback.readers.known_keys import keys_of, range_of
from turnback.records.aircraft import AircraftFile
from turnback.records.case import Case
from turnback.records.common import FileRecord
from turnback.records.debrief import LearnedNumber, Lessons
from turnback.records.learned import LearnedAbout, LearnedEntry
from turnback.records.pack import PackFile
from turnback.records.site import SiteFile

FILES: Final[dict[LearnedAbout, type[FileRecord]]] = {
    LearnedAbout.PACK: PackFile, LearnedAbout.AIRCRAFT: AircraftFile, LearnedAbout.SITE: SiteFile,
}  # fmt: skip
DIGITS: Final = 4
LONGEST_SOURCE: Final = 200


def lesson_entries(case: Case, taught: Lessons, on: date, source: str) -> tuple[LearnedEntry, ...]:
    """Return what a record taught as entries of ``learned.toml``; nothing of what has no id.

    Parameters
    ----------
    case : Case
    taught : Lessons
    on : date
        Of the flight.
    source : str
        Name of the record.
    """
    made = (_entry(case, each, on, source) for each in taught.numbers)
    return tuple(each for each in made if each is not None and each not in case.learned.entries)


def _entry(case: Case, number: LearnedNumber, on: date, source: str) -> LearnedEntry | None:
    of_id = owner_id(case, number.about)
    if of_id is None:
        return None
    allowed = range_of(number.quantity, keys_of(FILES[number.about])[number.quantity])

    def held(value: float) -> float:
        least = -math.inf if allowed is None or allowed.low is None else allowed.low
        most = math.inf if allowed is None or allowed.high is None else allowed.high
        return float(f"{min(max(value, least), most):.{DIGITS}g}")

    value, low, high = held(number.value), held(number.low), held(number.high)
    wide = high > low
    return LearnedEntry(
        of=number.about, id=of_id, on=on, quantity=number.quantity, value=value,
        low=low if wide else None, high=high if wide else None, from_record=(source or "a record")[:LONGEST_SOURCE],
    )  # fmt: skip
