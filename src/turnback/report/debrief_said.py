"""All that a debrief says, put together once: terminal, page and JSON show the same in the same order."""

from __future__ import annotations

from dataclasses import dataclass

from turnback.knowledge.book import Book
from turnback.records.debrief import Answered, DebriefAnswer, Step
from turnback.report.debrief_letter import letter_of
from turnback.report.five import Line
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.words_debrief import debrief_five, debrief_story, debrief_title
from turnback.report.words_debrief_ask import AskSaid, ask_said
from turnback.report.words_debrief_causes import CausesSaid, causes_said
from turnback.report.words_debrief_learned import learned_lines, not_learned_lines
from turnback.report.words_debrief_model import model_lines
from turnback.report.words_debrief_safe import Typed, debrief_cautions, kept_back, safe_asks, safe_lines, safe_title
from turnback.report.words_debrief_search import search_lines
from turnback.report.words_debrief_signs import not_looked_lines, not_looked_short, seen_lines
from turnback.report.words_debrief_told import ANSWERED, answered_line

OF_CAUSES = frozenset({Step.ASK_ONE, Step.CAUSES})
"""Steps that are not taken after an injury."""


@dataclass(frozen=True, slots=True)
class Part:
    """One step of the answer."""

    step: Step
    title: str
    lines: tuple[str, ...] = ()
    asks: tuple[Typed, ...] = ()
    """How its question is answered."""
    ask: AskSaid | None = None
    causes: CausesSaid | None = None


@dataclass(frozen=True, slots=True)
class DebriefSaid:
    """A debrief in words."""

    title: str
    on: str
    five: tuple[Line, ...]
    parts: tuple[Part, ...]
    """In the order of the steps."""
    letter: str | None
    story: tuple[str, ...]
    answered: tuple[str, ...]
    taken_back: tuple[str, ...]
    learned: tuple[str, ...]
    not_learned: tuple[str, ...]
    model: tuple[str, ...]
    seen: tuple[str, ...]
    """Signs of the record, with numbers and times."""
    not_looked_for: tuple[str, ...]
    not_looked_short: tuple[str, ...]
    cautions: tuple[str, ...]

    def before_story(self) -> tuple[Part, ...]:
        """Return the steps that come before the story: people, pack, search."""
        return tuple(part for part in self.parts if part.step not in OF_CAUSES)

    def after_story(self) -> tuple[Part, ...]:
        """Return the steps that come after the story: the question, and the causes."""
        return tuple(part for part in self.parts if part.step in OF_CAUSES)


def debrief_said(answer: DebriefAnswer, book: Book, units: Units, *, places: bool = True) -> DebriefSaid:
    """Return all that a debrief says; after an injury nothing of causes, of the model and of what was learned.

    Parameters
    ----------
    answer : DebriefAnswer
    book : Book
        Where the names of causes, signs and checks stand.
    units : Units
    places : bool
        It holds positions, names and dates still.
    """
    back = kept_back(answer)
    steps = answer.steps
    if back:  # whichever mark of the answer says that somebody is hurt
        steps = (Step.HURT, *(step for step in steps if step not in OF_CAUSES | {Step.HURT, Step.ASK_HURT}))
    parts = (_part(step, answer, book, units) for step in steps)
    return DebriefSaid(
        title=debrief_title(answer),
        on=answer.on.isoformat() if places else "",
        five=debrief_five(answer, book, units),
        parts=tuple(part for part in parts if part is not None),
        letter=letter_of(answer, units, book),
        story=debrief_story(answer, book, units),
        answered=_answered(answer.answers, book, back=back),
        taken_back=_answered(answer.taken_back, book, back=back),
        learned=() if back else learned_lines(answer.lessons, units),
        not_learned=() if back else not_learned_lines(answer.lessons),
        model=() if back else model_lines(answer.against, units),
        seen=() if back else seen_lines(answer, book, units),
        not_looked_for=() if back else not_looked_lines(answer, book),
        not_looked_short=() if back else not_looked_short(answer),
        cautions=debrief_cautions(answer, places=places),
    )


def _answered(answers: tuple[Answered, ...], book: Book, *, back: bool) -> tuple[str, ...]:
    return tuple(answered_line(each, book) for each in answers if not back or each.check in ANSWERED)


def _part(step: Step, answer: DebriefAnswer, book: Book, units: Units) -> Part | None:
    title = safe_title(step)
    if step is Step.SEARCH:
        return (
            None
            if answer.search is None
            else Part(step, title, search_lines(answer.search, units, back=kept_back(answer)), safe_asks(step))
        )
    if step is Step.ASK_ONE:
        asked = ask_said(answer, book)
        return None if asked is None else Part(step, title, asks=asked.answers, ask=asked)
    if step is Step.CAUSES:
        return Part(step, title, _no_causes(answer), causes=causes_said(answer, book, units))
    return Part(step, title, safe_lines(step, back=kept_back(answer)), safe_asks(step))


def _no_causes(answer: DebriefAnswer) -> tuple[str, ...]:
    if answer.belief is not None:
        return ()
    return (text("Nothing was told yet that speaks for a cause. Say what you saw, in your own words, with --said."),)
