"""What a words-only debrief got right: the first question, the causes, and what it took from the words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Final

from studies.debrief_words.cases import Expected, WordsCase

from turnback.assess.belief import believe
from turnback.flows.debrief import DebriefGiven, belief_of, debrief
from turnback.knowledge.book import SOMETHING_ELSE, Book
from turnback.records.belief import Observation, Told
from turnback.records.debrief import DebriefAnswer, Reading, TypedReading
from turnback.records.record_read import FlightFacts

ON: Final = date(2026, 5, 9)
SHOWS: Final = 0.3
"""A cause shows a sign where the book gives it at least this chance."""
TOP: Final = 3
NEAR: Final = 0.011
"""A reading is right within this share of its value."""


@dataclass(frozen=True, slots=True)
class Marked:
    """One case with what was right.

    Parameters
    ----------
    case : WordsCase
    top : tuple of str
        The three likeliest causes of the book; "something else" is none.
    question : str or None
        The check that is asked first.
    cause_right, question_right : bool
    hurt_right, pack_right, where_right : bool
    readings_right, readings_told, readings_more : int
        Found of those that are to be taken, how many these are, and how many were taken that are none.
    """

    case: WordsCase
    top: tuple[str, ...]
    question: str | None
    cause_right: bool
    question_right: bool
    hurt_right: bool
    pack_right: bool
    where_right: bool
    readings_right: int
    readings_told: int
    readings_more: int

    @property
    def right(self) -> bool:
        """The first question decides, or a cause that is right is among the three."""
        return self.cause_right or self.question_right


def answer_of(case: WordsCase, book: Book) -> DebriefAnswer:
    """Return the debrief of a case's words, and nothing else."""
    return debrief(DebriefGiven(ON, (case.said,), facts=FlightFacts(cells=case.cells)), book)


def mark(case: WordsCase, book: Book) -> Marked:
    """Return one case with what was right.

    After an injury causes are held back: what would be believed of the words is looked at, so that such a case can be
    marked at all.
    """
    answer = answer_of(case, book)
    told = answer.told
    belief = answer.belief if answer.belief or not answer.held_back else belief_of(book, answer.signs, told, ())
    known = () if belief is None else tuple(each.cause for each in belief.causes if each.cause != SOMETHING_ELSE)
    top = known[:TOP]
    taken = list(told.readings)
    found = [_found(each, taken) for each in case.readings]
    return Marked(
        case=case,
        top=top,
        question=answer.question,
        cause_right=not case.accepted.isdisjoint(top),
        question_right=answer.question is not None and decides(answer, answer.question, case, book),
        hurt_right=told.hurt.value == case.hurt,
        pack_right=told.pack.value == case.pack,
        where_right=told.whereabouts.value == case.where,
        readings_right=sum(found),
        readings_told=len(found),
        readings_more=len(taken) - sum(found),
    )


def decides(answer: DebriefAnswer, question: str, case: WordsCase, book: Book) -> bool:
    """Return whether a question decides for or against what was true.

    A sign of the check must be one that the true cause or a look-alike shows with `SHOWS` or more, and another cause
    of the book must lead where such signs are seen than where none of them is.
    """
    shown = shown_of(question, case, book)
    if not shown or answer.belief is None:
        return False
    signs = _signs(question, book)
    leads = []
    for seen in (shown, frozenset[str]()):
        results = [Observation(each, each in seen, 1.0, question, Told.CHECK) for each in signs]
        kept = [each for each in answer.belief.observations if each.sign not in signs]
        after = believe(book, [*kept, *results], checks=0, weights=False, lean=answer.belief.lean).causes
        leads.append(next(each.cause for each in after if each.cause != SOMETHING_ELSE))
    return leads[0] != leads[1]


def shown_of(question: str, case: WordsCase, book: Book) -> frozenset[str]:
    """Return the signs of a check that the true cause or a look-alike shows."""
    strength = _strength(book)
    signs = _signs(question, book)
    return frozenset(sign for sign in signs if any(strength.get((each, sign), 0.0) >= SHOWS for each in case.accepted))


def share(marked: Sequence[Marked], name: str) -> tuple[int, int]:
    """Return how many have an attribute true, and how many there are."""
    return sum(bool(getattr(each, name)) for each in marked), len(marked)


def trivial(tuned: Sequence[WordsCase], cases: Sequence[WordsCase], book: Book) -> tuple[int, int, int]:
    """Return how many cases one fixed answer gets right: by causes, by question, by either.

    The answer is the three causes that are accepted, and the question that asks after something shown, in most of the
    tuning cases. That the question must change what leads is not asked of it.
    """
    common = Counter(cause for case in tuned for cause in case.accepted)
    top = {cause for cause, _ in common.most_common(TOP)}
    asked = max(book.checks, key=lambda one: sum(bool(shown_of(one.key, case, book)) for case in tuned)).key
    by_cause = [not case.accepted.isdisjoint(top) for case in cases]
    by_question = [bool(shown_of(asked, case, book)) for case in cases]
    either = sum(a or b for a, b in zip(by_cause, by_question, strict=True))
    return sum(by_cause), sum(by_question), either


def _found(wanted: Expected, taken: Sequence[TypedReading]) -> bool:
    of = Reading(LONG.get(wanted.of, wanted.of))
    return any(
        each.of is of
        and abs(each.value - wanted.value) <= NEAR * abs(wanted.value) + 1e-9
        and (of is Reading.TIME or each.at_s == wanted.at_s)
        for each in taken
    )


LONG: Final = {
    "time": Reading.TIME.value,
    "cell volts": Reading.CELL_VOLTS.value,
    "distance": Reading.DISTANCE.value,
    "height": Reading.HEIGHT.value,
    "bearing": Reading.BEARING.value,
    "temperature": Reading.TEMPERATURE.value,
}
"""Short names in the tables."""


@lru_cache(maxsize=4)
def _strength(book: Book) -> dict[tuple[str, str], float]:
    return {(one.cause, one.sign): one.chance for one in book.likelihoods}


def _signs(question: str, book: Book) -> tuple[str, ...]:
    return next(one.signs for one in book.checks if one.key == question)
