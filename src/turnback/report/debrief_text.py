"""A debrief as text for a terminal: five plain lines, then step by step, the reply, and what it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from turnback.knowledge.book import Book
from turnback.knowledge.reading import read_book
from turnback.records.debrief import DebriefAnswer
from turnback.report.debrief_redact import redacted_debrief
from turnback.report.debrief_said import DebriefSaid, Part, debrief_said
from turnback.report.language import plural, text
from turnback.report.numbers import Units
from turnback.report.terminal import BOLD, NARROWEST, PLAIN, WIDEST, Face, printable
from turnback.report.words_debrief_ask import AskSaid
from turnback.report.words_debrief_causes import CauseSaid, CausesSaid
from turnback.report.words_debrief_safe import Typed

MOST_LINES = 20
"""Of one list; the page and the JSON hold them all."""


def debrief_text(
    answer: DebriefAnswer,
    units: Units = Units.METRIC,
    width: int = 80,
    colour: bool = False,
    *,
    book: Book | None = None,
    places: bool = True,
) -> str:
    """Return the answer to a debrief as plain text, ending in a line feed.

    Parameters
    ----------
    answer : DebriefAnswer
    units : Units
    width : int
        Columns of the terminal; lines are wrapped to it, 40 to 100.
    colour : bool
        Bold headings by terminal escapes.
    book : Book, optional
        Where the names of causes, signs and checks stand; the book of this package if left out.
    places : bool
        With names and dates.
    """
    answer = answer if places else redacted_debrief(answer)
    said = debrief_said(answer, book or read_book(), units, places=places)
    face = Face(max(NARROWEST, min(width, WIDEST)), colour=colour)
    head = text("Debrief").upper()
    lines = face.wrapped(said.title) if said.title else []
    lines += [f"{BOLD}{head}{PLAIN}" if colour else head, ""]
    lines += face.pairs([(line.label, line.text) for line in said.five])
    for part in said.before_story():
        lines += _part(face, part)
    if said.story:
        lines += [*face.section(text("The story")), *face.items(said.story)]
    for part in said.after_story():
        lines += _part(face, part)
    lines += _letter(face, said)
    lines += _rest(face, said)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _part(face: Face, part: Part) -> list[str]:
    lines = [*face.section(part.title), *face.items(part.lines)]
    if part.ask is not None:
        return lines + _ask(face, part.ask)
    lines += _answers(face, part.asks)
    if part.causes is not None:
        lines += _causes(face, part.causes)
    return lines


def _ask(face: Face, ask: AskSaid) -> list[str]:
    lines = face.wrapped(ask.name)
    how = " ".join(filter(None, (ask.how, ask.minutes)))
    lines += face.wrapped(how, first="  ", rest="  ")
    if ask.caution:
        lines += face.wrapped(text("Careful: {caution}", caution=ask.caution), first="  ", rest="  ")
    lines += _answers(face, ask.answers)
    return lines + (face.wrapped(ask.several, first="  ", rest="  ") if ask.several else [])


def _answers(face: Face, answers: tuple[Typed, ...]) -> list[str]:
    lines: list[str] = []
    for each in answers:  # a flag stays on one line, so that it can be taken as it stands
        lines += [*face.wrapped(each.words, first="  - ", rest="    "), f"    {printable(each.flag)}"]
    return lines


def _causes(face: Face, causes: CausesSaid) -> list[str]:
    lines = [*face.wrapped(causes.heading), *face.wrapped(causes.sure)]
    if causes.alike:
        lines += face.wrapped(text("Look-alikes:"))
        lines += face.items(causes.alike)
        lines += face.wrapped(causes.alike_left, first="    ", rest="    ") if causes.alike_left else []
    for place, cause in enumerate(causes.causes, 1):
        lines += ["", *_cause(face, place, cause)]
    return [*lines, "", *face.wrapped(causes.left_open)] if causes.left_open else lines


def _cause(face: Face, place: int, cause: CauseSaid) -> list[str]:
    head = text("{name}: {odds}", name=cause.name, odds=cause.odds)
    lines = face.wrapped(f"{place:2}. {head}", rest="    ")
    for said in cause.speaks:
        lines += face.wrapped(said, first="    - ", rest="      ")
    if cause.fix:
        for said in (
            text("To mend it: {fix}", fix=cause.fix),
            text("So that it does not come back: {prevention}", prevention=cause.prevention),
            text("Careful: {caution}", caution=cause.caution),
        ):
            lines += face.wrapped(said, first="    ", rest="    ")
    return lines


def _letter(face: Face, said: DebriefSaid) -> list[str]:
    if said.letter is None:
        return []
    lines = face.section(text("The reply to send"))
    for paragraph in said.letter.strip().split("\n\n"):
        lines += face.wrapped(paragraph, first="  ", rest="  ")
    return lines


def _rest(face: Face, said: DebriefSaid) -> list[str]:
    lines: list[str] = []
    for title, found in _lists(said):
        if found:
            lines += [*face.section(title), *face.items(found[:MOST_LINES])]
            if len(found) > MOST_LINES:
                more = plural("{count} more stands in the page (--out) and in --json.",
                              "{count} more stand in the page (--out) and in --json.",
                              len(found) - MOST_LINES)  # fmt: skip
                lines += face.wrapped(more, first="  - ", rest="    ")
    return lines


def _lists(said: DebriefSaid) -> Iterator[tuple[str, tuple[str, ...]]]:
    yield text("What you answered"), said.answered
    yield text("Taken back"), said.taken_back
    yield text("What it taught for the next brief"), said.learned
    yield text("What it did not teach, and why"), said.not_learned
    yield text("Beside what the plan predicted"), said.model
    yield text("What was not looked for"), said.not_looked_short
    yield text("Cautions"), said.cautions
