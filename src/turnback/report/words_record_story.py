"""The story of a flight record: the most important of what happened, in time order, as sentences that read aloud."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.happened import Event, EventKind, PhaseKind, RecordAnswer
from turnback.report.language import mark, text
from turnback.report.numbers import Units
from turnback.report.record_values import moment
from turnback.report.words_bench_slips import corners
from turnback.report.words_record_events import WORDS, event_sentence, parts_of, size, weight
from turnback.report.words_record_phases import phase_sentence

MOST_TOLD: Final = 12
"""Sentences of the story."""
LEAST_WEIGHT: Final = 40
"""Lighter events stand in the list alone."""
PHASES_TOLD: Final[dict[PhaseKind, int]] = {
    PhaseKind.BENCH: 52,
    PhaseKind.TAKE_OFF: 79,
    PhaseKind.RETURN: 78,
    PhaseKind.FALL: 94,
    PhaseKind.CARRIED: 41,
}
"""Phases that are a step of the story, with how much each matters; the others stand in the list."""
SAID_BY: Final[dict[PhaseKind, frozenset[EventKind]]] = {
    PhaseKind.RETURN: frozenset({EventKind.RADIO_LOSS_ACTION}),
    PhaseKind.FALL: frozenset({EventKind.FREE_FALL}),
}
"""A phase that begins with one of these events is not told twice."""
SAME_S: Final = 2.0
AGAIN: Final = mark("{sentence} It was the worst of {count} times, first at {first}.")
AGAIN_FIRST: Final = mark("{sentence} It was the first and the worst of {count} times.")
ELSEWHERE: Final = mark("{sentence} The same was seen at {corners}.")
ELSEWHERE_AGAIN: Final = mark(
    "{sentence} It was the worst of {count} times, first at {first}; the same was seen at {corners}."
)


@dataclass(frozen=True, slots=True)
class Told:
    """One sentence of the story."""

    at_s: float
    weight: int
    words: str
    events: tuple[Event, ...] = ()
    """What it tells."""


def story(answer: RecordAnswer, units: Units) -> tuple[str, ...]:
    """Return the most important of what happened, in time order, as sentences that read aloud."""
    return tuple(each.words for each in _kept([*_phases(answer), *_groups(answer.events, units)]))


def beside_the_story(answer: RecordAnswer, units: Units) -> tuple[str, ...]:
    """Return what else happened, in time order: events that no sentence of the story tells, those alike as one."""
    told = _kept([*_phases(answer), *_groups(answer.events, units)])
    said = {id(event) for each in told for event in each.events}
    left = tuple(event for event in answer.events if id(event) not in said)
    return tuple(each.words for each in sorted(_groups(left, units, 0), key=lambda each: each.at_s))


def _kept(told: list[Told]) -> list[Told]:
    """Return the weightiest, in time order."""
    kept = sorted(told, key=lambda each: (-each.weight, each.at_s))[:MOST_TOLD]
    return sorted(kept, key=lambda each: (each.at_s, -each.weight))


def _phases(answer: RecordAnswer) -> list[Told]:
    """Return the phases that are a step of the story, but for those that an event tells already."""
    starts = [(event.kind, event.start_s) for event in answer.events]
    phases = [
        phase
        for phase in answer.flown.phases
        if not any(
            kind in SAID_BY.get(phase.kind, ()) and abs(start_s - phase.start_s) <= SAME_S for kind, start_s in starts
        )
    ]
    return [Told(phase.start_s, PHASES_TOLD[phase.kind], phase_sentence(phase))
            for phase in phases if phase.kind in PHASES_TOLD]  # fmt: skip


def _groups(events: tuple[Event, ...], units: Units, least: int = LEAST_WEIGHT) -> list[Told]:
    """Return one sentence for all events of one kind: the worst of them, how often, and at which other corners."""
    groups: dict[object, list[Event]] = {}
    for event in events:
        if weight(event) >= least:
            alike = frozenset(parts_of(event) & set(WORDS[event.kind.name].apart))
            groups.setdefault((event.kind, bool(event.at), bool(event.at) or alike), []).append(event)
    return [_group(found, units) for found in groups.values()]


def _group(found: list[Event], units: Units) -> Told:
    worst = max(found, key=lambda event: (size(event), -event.start_s))
    said = event_sentence(worst, units)
    places = {place for event in found for place in event.at} - set(worst.at)
    first = moment(min(event.start_s for event in found))
    others = corners(sorted(places, key=lambda place: place.value))
    if others:
        alone = len(found) <= len(places) + 1
        said = text(
            ELSEWHERE if alone else ELSEWHERE_AGAIN, sentence=said, corners=others, count=len(found), first=first
        )
    elif len(found) > 1:
        said = text(
            AGAIN_FIRST if first == moment(worst.start_s) else AGAIN, sentence=said, count=len(found), first=first
        )
    # what holds to the end is told where the end is
    at_s = worst.end_s if worst.kind is EventKind.FOLLOWS_DEMAND else worst.start_s
    return Told(at_s, weight(worst), said, tuple(found))
