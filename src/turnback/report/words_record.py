"""A flight record in words: five plain lines and cautions."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from turnback.records.happened import Event, EventKind, PhaseKind, RecordAnswer
from turnback.report import numbers
from turnback.report.five import Line
from turnback.report.language import mark, plural, text
from turnback.report.numbers import Units
from turnback.report.record_facts import FlightFigures, figures
from turnback.report.record_values import lasting, moment, number
from turnback.report.words_record_events import event_sentence, weight
from turnback.report.words_record_gaps import next_time

STANDS_OUT: Final = 50
"""What may be said to stand out."""
ABOUT_AS_GRAVE: Final = 12
"""Events of nearly the same weight: the first of them stands out."""
KNOCK_NEAR_S: Final = 3.0
"""A knock so near to the end of flight is how it came down."""

ONE_FLIGHT_S: Final = 5.0
"""A shorter time on the ground is a bounce, and no second flight."""
THEN_S: Final = 10.0
"""So soon after the loss of the control link, what the aircraft did about it is said with it."""

NO_LEAVE: Final = mark(
    "A record is no look at the aircraft: that nothing stands out does not say that it is fit to fly. Look it over, "
    "with the propellers off, before its next flight."
)
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
CRASHED: Final = mark(
    "It fell, or hit something hard. If somebody is hurt, see to them first. Keep away until the rotors stand still, "
    "then unplug the pack."
)
KNOCKED_PACK: Final = mark(
    "Look at the pack: a dented, swollen or hot one goes outdoors, away from what burns; watch it from a distance, and "
    "never charge it again."
)
LOOK_OVER: Final = mark(
    "Do not fly it again before you have looked it over with the propellers off: put new propellers in the place of "
    "any that are bent, nicked or cracked."
)
FLEW: Final = (
    mark("It was in the air for {aloft}, from {start} on, up to {top} above launch and {far} away."),
    mark("It was in the air for {aloft}, from {start} on, up to {top} above launch."),
    mark("It was in the air for {aloft}, from {start} on, up to {far} away."),
    mark("It was in the air for {aloft}, from {start} on."),
)


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
    flights = 1 + sum(later[0] - one[1] >= ONE_FLIGHT_S for one, later in pairwise(found.aloft))
    return first if flights == 1 else text("{sentence} It flew {count} times.", sentence=first, count=flights)


def out_words(answer: RecordAnswer, units: Units) -> str:
    """Say what came first of what matters most, but for how it ended: that is said next."""
    told = _end_told(answer, figures(answer.flown))
    events = [event for event in answer.events if event is not told]
    most = max(map(weight, events), default=0)
    if most < STANDS_OUT:
        if told is not None:
            return text("Nothing but how it ended, among what could be looked for.")
        return text("Nothing, among what could be looked for. That is no all-clear.")
    grave = [event for event in events if weight(event) >= max(STANDS_OUT, most - ABOUT_AS_GRAVE)]
    first = min(grave, key=lambda event: event.start_s)
    said = event_sentence(first, units)
    then = next((event for event in events if event.kind is EventKind.RADIO_LOSS_ACTION), None)
    if first.kind is not EventKind.LINK_LOST or then is None or not 0.0 <= then.start_s - first.start_s <= THEN_S:
        return said
    return text("{first} {then}", first=said, then=event_sentence(then, units))


def _end_told(answer: RecordAnswer, found: FlightFigures) -> Event | None:
    """Return the event that is said to be how it ended, if there is one."""
    last = next((event for event in reversed(answer.events) if event.kind is EventKind.ENDS_ALOFT), None)
    if last is not None or not found.aloft:
        return last
    knocks = [event for event in answer.events if event.kind is EventKind.IMPACT]
    return next((event for event in knocks if abs(event.start_s - found.aloft[-1][1]) <= KNOCK_NEAR_S), None)


def end_words(answer: RecordAnswer, found: FlightFigures, units: Units) -> str:
    """Say how the record, and the flight, ended."""
    told = _end_told(answer, found)
    if told is not None and told.kind is EventKind.ENDS_ALOFT:
        return event_sentence(told, units)
    if not found.aloft:
        return text("The record ends at {time}.", time=moment(answer.flown.record.clock.length_s))
    end_s = found.aloft[-1][1]
    last = next(phase for phase in reversed(answer.flown.phases) if phase.end_s <= end_s)
    after = answer.flown.phases[-1]
    if after.end_s <= end_s or after.kind is PhaseKind.UNKNOWN:
        return text("From {time} on the record does not tell what became of it.", time=moment(end_s))
    return _down_words(last.kind, end_s, told)


def _down_words(last: PhaseKind, end_s: float, knock: Event | None) -> str:
    """Say how it came to the ground."""
    if last is PhaseKind.FALL:
        return text("It fell, and lay on the ground from {time} on.", time=moment(end_s))
    if knock is not None:
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
        said.append(text("Next time record or export this above all: {channel}.", channel=lacking))
    said.append(text("It tells what happened, and not why."))
    return " ".join(said)


def record_cautions(answer: RecordAnswer) -> tuple[str, ...]:
    """Return what to be careful of with this record, and with what flew."""
    kinds = {event.kind for event in answer.events}
    first = []
    if kinds & {EventKind.IMPACT, EventKind.FREE_FALL} or any(
        phase.kind is PhaseKind.FALL for phase in answer.flown.phases
    ):
        first += [text(CRASHED), text(KNOCKED_PACK), text(LOOK_OVER)]
    else:
        first.append(text(NO_LEAVE))
    if EventKind.BELOW_DAMAGE in kinds:
        first.append(text(DAMAGED_PACK))
    return (*first, *(text(each) for each in CAUTIONS))
