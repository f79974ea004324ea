"""What a debrief leaves with the pack, the aircraft and the site of its plan."""

from __future__ import annotations

from typing import Final

from turnback.records.case import Case
from turnback.records.debrief import DebriefAnswer
from turnback.records.learned import LearnedAbout, LearnedEntry

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
    ids = {
        LearnedAbout.PACK: case.plan.pack.id,
        LearnedAbout.AIRCRAFT: case.plan.aircraft.id,
        LearnedAbout.SITE: case.plan.site.id,
    }
    name = answer.record.flown.record.name if answer.record is not None else "a flight"
    found = []
    for each in answer.lessons.numbers:
        own = ids[each.about]
        if own is None:
            continue
        low, value, high = (_figures(number) for number in (each.low, each.value, each.high))
        found.append(
            LearnedEntry(
                of=each.about,
                id=own,
                on=answer.on,
                quantity=each.quantity,
                value=value,
                low=low,
                high=high,
                from_record=name[:LONGEST_SOURCE],
            )
        )
    return tuple(found)


def _figures(number: float) -> float:
    return float(f"{number:.{FIGURES}g}")
