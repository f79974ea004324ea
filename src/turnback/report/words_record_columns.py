"""How columns, directions, corners and the clock of a record were understood, in words."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from turnback.readers.record_units import unit_of
from turnback.records.channel import Quantity
from turnback.records.flight_record import CornerFound, FlightRecord, SenseBy, SenseFound
from turnback.records.record_read import Clock, ColumnMatch, Gap, MatchedBy, Reading
from turnback.report.language import mark, mark_plural, plural, text
from turnback.report.record_values import lasting, moment, number
from turnback.report.words_bench_slips import any_of, corner, together_all
from turnback.report.words_record_channels import channel_words, quantity_words
from turnback.report.words_record_units import unit_words

BY: Final[dict[MatchedBy, str]] = {
    MatchedBy.MEANING: mark("by its name, its unit and its values"),
    MatchedBy.TOLD: mark("told by you"),
    MatchedBy.FORMAT: mark("said by the file"),
    MatchedBy.PHYSICS: mark("told by how the aircraft answers"),
    MatchedBy.NOT_MATCHED: mark("not understood"),
}
SENSES: Final[dict[SenseBy, str]] = {
    SenseBy.TOLD: mark("Direction told by you: {channels}."),
    SenseBy.FORMAT: mark("Direction said by the file: {channels}."),
    SenseBy.GRAVITY: mark("Direction told by gravity at rest: {channels}."),
    SenseBy.MOTION: mark("Direction told by how channels move together: {channels}."),
    SenseBy.ASSUMED: mark(
        "Direction not known, taken as the record has it: {channels}. Nothing is judged that hangs on it."
    ),
}
GAPS: Final[dict[Gap, tuple[str, str]]] = {
    Gap.MISSING: mark_plural(
        "Rows are missing once, at {time}, for {lasting}.",
        "Rows are missing {count} times, {lasting} in all, first at {time}.",
    ),
    Gap.CLOCK_BACK: mark_plural(
        "The clock went back once, at {time}; it was mended.",
        "The clock went back {count} times, first at {time}; it was mended.",
    ),
    Gap.CLOCK_AGAIN: mark_plural(
        "The clock began again once, at {time}.", "The clock began again {count} times, first at {time}."
    ),
    Gap.CLOCK_WRAPPED: mark_plural(
        "The clock ran over its largest number once, at {time}; it was carried on.",
        "The clock ran over its largest number {count} times, first at {time}; it was carried on.",
    ),
    Gap.CLOCK_JUMP: mark_plural(
        "The clock jumped ahead once, at {time}, by {lasting}.",
        "The clock jumped ahead {count} times, by {lasting} in all, first at {time}.",
    ),
}
BY_PHYSICS: Final = mark("Of {name}, {corners}: told by how the aircraft turns when they change, {sure}.")
BY_NAME: Final = mark("Of {name}, these are named in the record or told by you: {corners}.")
CORNER_UNKNOWN: Final = mark(
    "Of {name}, it is not known at which corners these of the record are: {numbers}. Say it with --column."
)
SURE: Final = ((0.995, mark("sure")), (0.95, mark("very likely")), (0.8, mark("likely")), (0.5, mark("may be")))
UNSURE: Final = mark("hardly")
MOST_OPEN: Final = 3
"""Readings that are named where a column asks."""
LEAST_OPEN: Final = 0.01
PLAIN_UNITS: Final = frozenset({"1", "0/1"})
"""Units that go without saying."""


@dataclass(frozen=True, slots=True)
class Ask:
    """What must be asked of one column, and the flag that says its likeliest reading."""

    words: str
    flag: str


def reading_words(reading: Reading) -> str:
    """Return what a column is, and in which unit: "roll rate, in degrees a second"."""
    name, unit = channel_words(reading.channel), unit_words(reading.unit)
    return text("{channel}, in {unit}", channel=name, unit=unit) if unit else name


def match_words(match: ColumnMatch) -> str:
    """Return what a column was taken for."""
    if match.taken is None:
        return text("left out until you say what it is") if match.asks else text("left out")
    said = reading_words(match.taken)
    return text("{channel}; counted the other way round", channel=said) if turned(match.taken) else said


def turned(reading: Reading) -> bool:
    """Tell whether a column counts the other way round than its unit says."""
    unit = unit_of(reading.channel.quantity, reading.unit)
    return reading.scale * (1.0 if unit is None else unit.scale) < 0.0


def sure_words(chance: float) -> str:
    """Return a chance in a plain word and as a number: "very likely (97 of 100)"."""
    word = next((said for least, said in SURE if chance >= least), UNSURE)
    if chance >= SURE[0][0]:
        return text(word)
    return text("{word} ({number} of 100)", word=text(word), number=round(100.0 * chance))


def match_sure(match: ColumnMatch) -> str:
    """Return how sure a match is and whence it is known."""
    if match.asks:
        return text("not sure")
    if match.taken is None or match.by in (MatchedBy.TOLD, MatchedBy.FORMAT):
        return text(BY[MatchedBy.NOT_MATCHED if match.taken is None else match.by])
    if match.by is MatchedBy.MEANING:  # said once, above them all
        return sure_words(match.taken.chance)
    return text("{sure}, {by}", sure=sure_words(match.taken.chance), by=text(BY[match.by]))


def columns_note() -> str:
    """Return how columns are told, and what to do where one is wrong."""
    return text(
        "Where nothing else is said, a column is told by its name, its unit and its values together, and is sure. "
        "Where one is wrong, say what it is with --column."
    )


def column_name(match: ColumnMatch) -> str:
    """Return a column's name, or its place in the file where it has none."""
    return match.name or text("column {number}", number=match.place + 1)


def asks(matches: Sequence[ColumnMatch]) -> tuple[Ask, ...]:
    """Return what the record must ask: each column that may be more than one thing, with the flag that settles it."""
    return tuple(Ask(_ask(match), column_flag(match, matches)) for match in matches if match.asks)


def asks_lines(matches: Sequence[ColumnMatch]) -> tuple[str, ...]:
    """Return the same as lines."""
    return tuple(text("{words} {flag}", words=each.words, flag=each.flag) for each in asks(matches))


def column_flag(match: ColumnMatch, matches: Sequence[ColumnMatch]) -> str:
    """Return the flag that says what a column is, with its likeliest reading, ready for a shell.

    Where it is more likely nothing that is known here, the flag says so: who gives it back unread loses one channel,
    and takes none for another.
    """
    alone = match.name and sum(each.name == match.name for each in matches) == 1
    name = match.name if alone else f"#{match.place + 1}"
    best = match.readings[0] if match.readings else None
    means = "nothing"
    if best is not None and best.channel.quantity is not Quantity.OTHER:
        means = f"{'-' if turned(best) else ''}{best.channel.key} {best.unit}".rstrip()
    value = f"{name}={means}"
    return f'--column "{value}"' if not set(value) & set('"$`\\!') else f"--column {shlex.quote(value)}"


def _ask(match: ColumnMatch) -> str:
    if not match.readings:
        return text(
            "“{name}” may be a channel, and nothing tells which. It is left out until you say it:",
            name=column_name(match),
        )
    open_ = [
        text("{channel} ({number} of 100)", channel=reading_words(each), number=round(100.0 * each.chance))
        for each in match.readings[:MOST_OPEN]
        if each.chance >= LEAST_OPEN or each is match.readings[0]
    ]
    if match.readings[0].channel.quantity is Quantity.OTHER:
        return text(
            "“{name}” is most likely {readings}. It is left out; say what it is where you know it, or:",
            name=column_name(match),
            readings=any_of(open_),
        )
    return text(
        "“{name}” may be {readings}. It is left out until you say which:",
        name=column_name(match),
        readings=any_of(open_),
    )


def clock_lines(clock: Clock) -> tuple[str, ...]:
    """Return what the clock is and what had to be mended."""
    rate = number(clock.rate_hz)
    if clock.column:
        first = text(
            "The clock is “{name}”, in {unit}: {rate} rows a second.",
            name=clock.column, unit=unit_words(clock.unit) or text("its own unit"), rate=rate,
        )  # fmt: skip
    elif clock.unit:
        first = text("The clock counts in {unit}: {rate} rows a second.", unit=unit_words(clock.unit), rate=rate)
    else:
        first = text("The record has no clock; it is read at {rate} rows a second, as told.", rate=rate)
    said = [first]
    for kind in Gap:
        found = [gap for gap in clock.gaps if gap.kind is kind]
        if found:
            spent = lasting(sum(gap.end_s - gap.start_s for gap in found)) or text("an instant")
            said.append(plural(*GAPS[kind], len(found), time=moment(found[0].start_s), lasting=spent))
    if clock.dropped_rows:
        said.append(
            plural("{count} row had a time that could not be mended, and was left out.",
                   "{count} rows had a time that could not be mended, and were left out.", clock.dropped_rows)
        )  # fmt: skip
    return tuple(said)


def sense_lines(senses: Sequence[SenseFound]) -> tuple[str, ...]:
    """Return how the direction of each channel is known, and which the record counts the other way round."""
    said = []
    for by in SenseBy:
        found = [each for each in senses if each.by is by]
        if found:
            said.append(text(SENSES[by], channels=_names(found)))
    turned = [each for each in senses if each.negative]
    if turned:
        said.append(text("The record counts these the other way round; they were turned: {channels}.",
                         channels=_names(turned)))  # fmt: skip
    return tuple(said)


def corner_lines(corners: Sequence[CornerFound]) -> tuple[str, ...]:
    """Return which corner each column of outputs and rotor speeds belongs to, and how that is known."""
    said = []
    for quantity in dict.fromkeys(each.quantity for each in corners):
        found = [each for each in corners if each.quantity is quantity]
        physics = [each for each in found if each.at is not None and each.by_physics]
        told = [each for each in found if each.at is not None and not each.by_physics]
        unknown = [each for each in found if each.at is None]
        if physics:
            said.append(
                text(BY_PHYSICS, name=quantity_words(quantity), corners=_placed(physics), sure=_least_sure(physics))
            )
        if told:
            places = together_all([corner(each.at) for each in told if each.at is not None])
            said.append(text(BY_NAME, name=quantity_words(quantity), corners=places))
        if unknown:
            numbers = together_all([str(each.number) for each in unknown])
            said.append(text(CORNER_UNKNOWN, name=quantity_words(quantity), numbers=numbers))
    return tuple(said)


def _placed(found: Sequence[CornerFound]) -> str:
    return together_all([
        text("number {number} is {corner}", number=each.number, corner=corner(each.at))
        for each in found if each.at is not None
    ])  # fmt: skip


def _least_sure(found: Sequence[CornerFound]) -> str:
    return sure_words(min(each.chance for each in found))


def record_lines(record: FlightRecord) -> tuple[str, ...]:
    """Return all that is to be said of clock, corners and directions."""
    clock = [*clock_lines(record.clock), *_rate_not_used(record)]
    return (*clock, *corner_lines(record.corners), *sense_lines(record.senses))


def _rate_not_used(record: FlightRecord) -> list[str]:
    """Say where a told rate does not count, for the record has a clock of its own."""
    told_hz = record.facts.rate_hz
    if told_hz is None or not (record.clock.column or record.clock.unit):
        return []
    return [text("You told {rate} rows a second with --rate: the record has a clock, and that counts.",
                 rate=number(told_hz))]  # fmt: skip


def _names(senses: Sequence[SenseFound]) -> str:
    return together_all(list(dict.fromkeys(channel_words(each.channel) for each in senses)))
