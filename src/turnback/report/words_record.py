"""A flight record in words: five plain lines, the story in sentences with times, all events, and cautions."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.records.happened import Event, EventKind, PhaseKind, RecordAnswer
from turnback.report import numbers
from turnback.report.five import Line
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Units
from turnback.report.record_facts import FlightFigures, figures
from turnback.report.record_values import lasting, moment, number
from turnback.report.words_record_events import event_sentence, size, weight
from turnback.report.words_record_gaps import next_time
from turnback.report.words_record_phases import phase_sentence

MOST_TOLD: Final = 12
"""Sentences of the story."""
LEAST_WEIGHT: Final = 40
"""Lighter events stand in the list alone."""
STANDS_OUT: Final = 50
"""What may be said to stand out."""
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
ABOUT_AS_GRAVE: Final = 12
"""Events of nearly the same weight: the first of them stands out."""
KNOCK_NEAR_S: Final = 3.0
"""A knock so near to the end of flight is how it came down."""

CAUTIONS: Final = (
    mark(
        "A recording holds where it flew, and often where somebody lives. Before you give one away, take the places "
        "out: --redact."
    ),
    mark("It tells what happened, and not why. Do not blame anybody for it."),
    mark("This does not know your local law. Look it up."),
)
DAMAGED_PACK: Final = mark(
    "The pack was below the volts that damage it. Do not charge it as if nothing had been. A dented or swollen pack "
    "goes outdoors, away from what burns; watch it from a distance, and never charge it again."
)
KNOCKED_PACK: Final = mark(
    "It hit something. Unplug the pack before you touch anything, and look at the pack: a dented, swollen or hot one "
    "goes outdoors, away from what burns; watch it from a distance, and never charge it again."
)
FLEW: Final = (
    mark("It was in the air for {aloft}, from {start} on, up to {top} above launch and {far} away."),
    mark("It was in the air for {aloft}, from {start} on, up to {top} above launch."),
    mark("It was in the air for {aloft}, from {start} on, up to {far} away."),
    mark("It was in the air for {aloft}, from {start} on."),
)
AGAIN: Final = mark("{sentence} It was the worst of {count} times.")


@dataclass(frozen=True, slots=True)
class Told:
    """One sentence of the story."""

    at_s: float
    weight: int
    words: str


def record_title(answer: RecordAnswer) -> str:
    """Return the heading: the file's name, or what it is."""
    return answer.flown.record.name or text("A flight record")


def record_five(answer: RecordAnswer, units: Units) -> tuple[Line, ...]:
    """Return the five plain lines of a record."""
    found = figures(answer.flown)
    return (
        Line(text("What it is"), what_words(answer)),
        Line(text("How it flew"), flew_words(answer, found, units)),
        Line(text("What stands out first"), out_words(answer, units)),
        Line(text("How it ended"), end_words(answer, found, units)),
        Line(text("What it cannot say"), cannot_words(answer)),
    )


def what_words(answer: RecordAnswer) -> str:
    """Say what kind of record it is, how long, and how much of it was understood."""
    record = answer.flown.record
    known = sum(each.taken is not None for each in record.matches)
    first = text(
        "A {format} record of {length}, with {rate} rows a second.",
        format=record.format.value,
        length=lasting(record.clock.length_s) or text("an instant"),
        rate=number(record.clock.rate_hz),
    )
    if not record.matches:
        return first
    columns = plural("Its one column was looked at; understood: {known}.",
                     "{known} of its {count} columns were understood.", len(record.matches), known=known)  # fmt: skip
    return f"{first} {columns}"


def flew_words(answer: RecordAnswer, found: FlightFigures, units: Units) -> str:
    """Say how it flew."""
    if not found.aloft:
        kinds = {phase.kind for phase in answer.flown.phases}
        if PhaseKind.UNKNOWN in kinds or not kinds:
            return text("The record does not tell whether it flew.")
        return text("As far as the record tells, it did not fly.")
    said = {"aloft": lasting(found.aloft_s) or text("an instant"), "start": moment(found.aloft[0][0])}
    if found.top_m is not None and found.top_m > 0.0:
        said["top"] = numbers.words(found.top_m, "m", units)
    if found.far_m is not None:
        said["far"] = numbers.words(found.far_m, "m", units)
    places = (("top", "far"), ("top",), ("far",), ())
    line = next(line for line, needed in zip(FLEW, places, strict=True) if set(needed) <= said.keys())
    first = text(line, **said)
    if len(found.aloft) == 1:
        return first
    return text("{sentence} It flew {count} times.", sentence=first, count=len(found.aloft))


def out_words(answer: RecordAnswer, units: Units) -> str:
    """Say what came first of what matters most."""
    most = max(map(weight, answer.events), default=0)
    if most < STANDS_OUT:
        return text("Nothing, among what could be looked for.")
    grave = [event for event in answer.events if weight(event) >= max(STANDS_OUT, most - ABOUT_AS_GRAVE)]
    return event_sentence(min(grave, key=lambda event: event.start_s), units)


def end_words(answer: RecordAnswer, found: FlightFigures, units: Units) -> str:
    """Say how the record, and the flight, ended."""
    by_kind = {event.kind: event for event in answer.events}
    if EventKind.ENDS_ALOFT in by_kind:
        return event_sentence(by_kind[EventKind.ENDS_ALOFT], units)
    if not found.aloft:
        return text("The record ends at {time}.", time=moment(answer.flown.record.clock.length_s))
    end_s = found.aloft[-1][1]
    last = next(phase for phase in reversed(answer.flown.phases) if phase.end_s <= end_s)
    after = answer.flown.phases[-1]
    if after.end_s <= end_s or after.kind is PhaseKind.UNKNOWN:
        return text("From {time} on the record does not tell what became of it.", time=moment(end_s))
    return _down_words(last.kind, end_s, by_kind.get(EventKind.IMPACT))


def _down_words(last: PhaseKind, end_s: float, knock: Event | None) -> str:
    """Say how it came to the ground."""
    if last is PhaseKind.FALL:
        return text("It fell, and lay on the ground from {time} on.", time=moment(end_s))
    if knock is not None and abs(knock.start_s - end_s) <= KNOCK_NEAR_S:
        return text("It came down with a hard knock at {time}.", time=moment(knock.start_s))
    if last is PhaseKind.RETURN:
        return text("It was in automatic return until it was on the ground, at {time}.", time=moment(end_s))
    return text("It was on the ground from {time} on.", time=moment(end_s))


def cannot_words(answer: RecordAnswer) -> str:
    """Say what the record cannot tell, and what to record next time."""
    asks = sum(each.asks for each in answer.flown.record.matches)
    said = []
    if asks:
        said.append(plural("{count} column may be more than one thing: say which, below.",
                           "{count} columns may be more than one thing: say which, below.", asks))  # fmt: skip
    kinds = len({each.kind for each in answer.not_told})
    if kinds:
        said.append(plural("{count} thing could not be looked for.", "{count} things could not be looked for.", kinds))
    lacking = next_time(answer)
    if lacking:
        said.append(text("Next time record or export {channels}.", channels=lacking))
    said.append(text("It tells what happened, and not why."))
    return " ".join(said)


def story(answer: RecordAnswer, units: Units) -> tuple[str, ...]:
    """Return the most important of what happened, in time order, as sentences that read aloud."""
    told = [*_phases(answer), *_groups(answer.events, units)]
    kept = sorted(told, key=lambda each: (-each.weight, each.at_s))[:MOST_TOLD]
    return tuple(each.words for each in sorted(kept, key=lambda each: (each.at_s, -each.weight)))


def record_cautions(answer: RecordAnswer) -> tuple[str, ...]:
    """Return what to be careful of with this record, and with what flew."""
    kinds = {event.kind for event in answer.events}
    first = []
    if EventKind.BELOW_DAMAGE in kinds:
        first.append(text(DAMAGED_PACK))
    if EventKind.IMPACT in kinds:
        first.append(text(KNOCKED_PACK))
    return (*first, *(text(each) for each in CAUTIONS))


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


def _groups(events: tuple[Event, ...], units: Units) -> list[Told]:
    """Return one sentence for all events of one kind at the same corners: the worst of them, and how often."""
    groups: dict[object, list[Event]] = {}
    for event in events:
        if weight(event) >= LEAST_WEIGHT:
            groups.setdefault((event.kind, event.at), []).append(event)
    told = []
    for found in groups.values():
        worst = max(found, key=lambda event: (size(event), -event.start_s))
        said = event_sentence(worst, units)
        if len(found) > 1:
            said = text(AGAIN, sentence=said, count=len(found))
        told.append(Told(worst.start_s, weight(worst), said))
    return told
