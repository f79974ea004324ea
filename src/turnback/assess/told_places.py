"""Sentences, clauses, and the times that readings were told with: "1:40, 14.2 V, picture went"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from turnback.rules.told import LONGEST_FLIGHT

SENTENCE_END: Final = re.compile(r"[!?;\n]+|\.(?!\d)")
CLAUSE_END: Final = re.compile(r",(?!\d)|(?<!\d),| - |\band\b|\bbut\b|\bthen\b")
WORD_NUMBERS: Final = {
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "fifteen": 15,
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "forty-five": 45,
    "fifty": 50,
    "ninety": 90,
}
N: Final = r"(?:\d{1,3}(?:[.,]\d(?!\d))?|" + "|".join(sorted(WORD_NUMBERS, reverse=True)) + ")"
WHOLE: Final = r"(?:\d{1,2}|" + "|".join(sorted(WORD_NUMBERS, reverse=True)) + ")"
CLOCKED: Final = re.compile(
    r"(?<![\d:.])(\d{1,2}):([0-5]\d)(?![\d:])(?!\s?(?:am|pm|h\b|uhr|o'?clock|ratio))", re.IGNORECASE
)
SPELT: Final = re.compile(
    rf"(?<![\w.,])(?:({N})\s?(?:min|mins|minutes?)\b(?:\s?(?:and\s)?({WHOLE})(?![.,]?\d)\s?(?:s|secs?|seconds?)?\b(?!\s?(?:m|v|%|km|a)\b))?"
    rf"|({N})(?:\s?(?:secs?|seconds?)|\ss)\b)",
    re.IGNORECASE,
)
SHORT_TIME: Final = re.compile(r"(?<![\w.,:])(\d{1,2})(?:m([0-5]\d)s?|\s?m\s?([0-5]?\d)\s?s)(?![\w:])", re.IGNORECASE)
LONG_TIME: Final = re.compile(
    r"\b(?:(half a min(?:ute)?)|((?:a|one) min(?:ute)? and a half|one and a half min(?:ute)?s?))\b", re.I
)
NO_TIME_BEFORE: Final = re.compile(
    r"(?:only|flight time|flight times|used to be|usually|normally|search\w*|look\w*|wait\w*|every|last(?:s|ed)?|within"
    r"|for|about \d+ or)(?:\s(?:is|are|now|about|maybe|just|only|the|around|of|was|like|nearly|almost))*\s*$",
    re.IGNORECASE,
)
FLEW_FOR: Final = re.compile(
    r"(?:fl[ey]w|flown|flying|fine|ok|good|hover\w*|air|normal)\W(?:\w+\W){0,3}$", re.IGNORECASE
)
NO_TIME_AFTER: Final = re.compile(
    r"^\s*(?:ago|old|flights?\b|long\b|later i\b|each|per\b|of (?:work|search))", re.IGNORECASE
)
ONLY_TIME: Final = re.compile(r"^\W*(?:at|after|about|around|maybe)?\W*$", re.IGNORECASE)
START: Final = re.compile(
    r"\bat (?:take ?-?off|the start|start|launch|lift ?-?off|arming)\b"
    r"|(?<!warning )(?<!warnings )(?<!alarm )(?<!beeping )(?<!beeps )\bstart(?:ed)?(?: (?:with|at|was))?\W*$"
)


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of the text, the end not included."""

    start: int
    end: int

    def has(self, place: int) -> bool:
        """Return whether a place is in it."""
        return self.start <= place < self.end


@dataclass(frozen=True, slots=True)
class Moment:
    """A time since take-off and where it stands."""

    at_s: float
    start: int
    end: int


def sentences(text: str) -> tuple[Span, ...]:
    """Return the sentences of a text; a full stop before a digit ends none."""
    return _split(text, Span(0, len(text)), SENTENCE_END)


def clauses(text: str, sentence: Span) -> tuple[Span, ...]:
    """Return the clauses of a sentence."""
    return _split(text, sentence, CLAUSE_END)


def within(spans: tuple[Span, ...], place: int) -> Span:
    """Return the span that a place is in, else the last before it."""
    found = spans[0]
    for each in spans:
        if each.start <= place:
            found = each
    return found


def moments(text: str) -> tuple[Moment, ...]:
    """Return the times since take-off that a text tells, in its order."""
    found = []
    for match in CLOCKED.finditer(text):
        found.append(Moment(60.0 * int(match[1]) + int(match[2]), match.start(), match.end()))
    for match in SHORT_TIME.finditer(text):
        found.append(Moment(60.0 * int(match[1]) + int(match[2] or match[3]), match.start(), match.end()))
    for match in LONG_TIME.finditer(text):
        if not NO_TIME_BEFORE.search(text[max(0, match.start() - 40) : match.start()]):
            found.append(Moment(30.0 if match[1] else 90.0, match.start(), match.end()))
    for match in SPELT.finditer(text):
        if any(match.start() < each.end and each.start < match.end() for each in found):
            continue
        before, after = text[max(0, match.start() - 40) : match.start()], text[match.end() : match.end() + 12]
        told_for = NO_TIME_BEFORE.search(before)
        if told_for and not (told_for[0].startswith("for") and FLEW_FOR.search(before[: told_for.start()])):
            continue
        if not NO_TIME_AFTER.search(after):
            seconds = _number(match[3]) if match[3] else 60.0 * _number(match[1]) + _number(match[2] or "0")
            found.append(Moment(seconds, match.start(), match.end()))
    return tuple(sorted((each for each in found if each.at_s <= LONGEST_FLIGHT.value), key=lambda each: each.start))


def told_with(text: str, place: int, times: tuple[Moment, ...]) -> float | None:
    """Return the time that a reading was told with; None without one.

    That of its clause, else the last before it in its sentence, else one that alone makes up the next clause.
    """
    sentence = within(sentences(text), place)
    parts = clauses(text, sentence)
    clause = within(parts, place)
    around = text[max(clause.start, place - 30) : min(clause.end, place + 40)].lower()
    here = [each for each in times if clause.has(each.start)]
    before = [each for each in times if sentence.has(each.start) and each.start < place]
    if len(here) == 1 or (here and not before):
        return here[0].at_s
    if START.search(text[max(sentence.start, place - 30) : place].lower()) or re.search(r"\bat take ?-?off\b", around):
        return 0.0
    if before:
        return before[-1].at_s
    following = [each for each in parts if each.start >= clause.end]
    if following:
        alone = [each for each in times if following[0].has(each.start)]
        if alone and ONLY_TIME.match(text[following[0].start : alone[0].start] + text[alone[0].end : following[0].end]):
            return alone[0].at_s
    return None


def _number(text: str) -> float:
    known = WORD_NUMBERS.get(text.lower())
    return float(text.replace(",", ".")) if known is None else float(known)


def _split(text: str, span: Span, ends: re.Pattern[str]) -> tuple[Span, ...]:
    found, start = [], span.start
    for match in ends.finditer(text, span.start, span.end):
        if match.start() > start:
            found.append(Span(start, match.start()))
        start = match.end()
    if start < span.end or not found:
        found.append(Span(start, span.end))
    return tuple(found)
