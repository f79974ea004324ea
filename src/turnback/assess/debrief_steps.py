"""In which order an answer is given, and the one question that decides most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from turnback.assess.belief import believe
from turnback.knowledge.book import SOMETHING_ELSE, Book, CheckKind
from turnback.records.belief import Belief, Judged, NextCheck, Observation, Told
from turnback.records.debrief import Answered, Hurt, PackState, Step, ToldInWords

CHEAP: Final = (CheckKind.ASK, CheckKind.LOOK)
"""What the pilot can do at once, unplugged and without tools."""
LOOKED_AT, MOST_OUTCOMES = 8, 6
"""Checks, and answers of each, that are thought through."""


def steps_of(told: ToldInWords, belief: Belief | None, search: bool, *, held_back: bool) -> tuple[Step, ...]:
    """Return what is to be said, in order: people, pack, the aircraft, one question, causes.

    Parameters
    ----------
    told : ToldInWords
    belief : Belief or None
    search : bool
        There is an area to search.
    held_back : bool
        Somebody was hurt.
    """
    steps: list[Step] = []
    if told.hurt is Hurt.YES:
        steps.append(Step.HURT)
    elif told.hurt is Hurt.NOT_TOLD:
        steps.append(Step.ASK_HURT)
    if told.pack is PackState.DAMAGED:
        steps.append(Step.PACK)
    elif told.pack is PackState.NOT_TOLD:
        steps.append(Step.ASK_PACK)
    if search:
        steps.append(Step.SEARCH)
    if held_back:
        return tuple(steps)
    if belief is not None and belief.next_checks and belief.judged is not Judged.CAUSE:
        steps.append(Step.ASK_ONE)
    steps.append(Step.CAUSES)
    return tuple(steps)


def first_question(
    belief: Belief, answers: Sequence[Answered], book: Book | None = None, *, has_record: bool = True
) -> str | None:
    """Return the check that decides most and was not answered; None where one cause is named, or none helps.

    Parameters
    ----------
    belief : Belief
    answers : sequence of Answered
    book : Book, optional
        With it, and without a record, the check is preferred whose answer most likely changes which cause leads.
    has_record : bool
        Without a record nothing is asked of one: a question or a look comes first.
    """
    if belief.judged is Judged.CAUSE:
        return None
    given = {each.check for each in answers}
    if book is None or has_record:
        return next((each.check for each in belief.next_checks if each.check not in given), None)
    kinds = {each.key: each.kind for each in book.checks}
    offered = believe(book, belief.observations, checks=LOOKED_AT).next_checks
    cheap = [each for each in offered if kinds[each.check] in CHEAP and each.check not in given]
    if not cheap:
        return next((each.check for each in offered if each.check not in given), None)
    turns = [_turns(each, belief, book) for each in cheap]
    return cheap[max(range(len(cheap)), key=lambda at: (turns[at], -at))].check


def _turns(one: NextCheck, belief: Belief, book: Book) -> float:
    """Return the chance that an answer changes which known cause leads."""
    signs = next(each.signs for each in book.checks if each.key == one.check)
    now = _leader(belief)
    chance = 0.0
    for outcome in one.outcomes[:MOST_OUTCOMES]:
        told = (
            Observation(sign, seen, 1.0, one.check, Told.CHECK) for sign, seen in zip(signs, outcome.seen, strict=True)
        )
        kept = (each for each in belief.observations if each.sign not in signs)
        if _leader(believe(book, (*kept, *told), checks=0)) != now:
            chance += outcome.chance
    return chance


def _leader(belief: Belief) -> str:
    return next((each.cause for each in belief.causes if each.cause != SOMETHING_ELSE), SOMETHING_ELSE)
