"""In which order an answer is given, and the one question that decides most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from turnback.assess.belief import believe
from turnback.knowledge.book import SOMETHING_ELSE, Book, Check, CheckKind
from turnback.records.belief import Belief, Judged, NextCheck, Observation, Told
from turnback.records.debrief import Answered, Hurt, PackState, Step, ToldInWords, Whereabouts
from turnback.rules.belief import SHOWS_READILY

POWERED: Final = (CheckKind.POWERED, CheckKind.FLIGHT)
CHEAP: Final = (CheckKind.ASK, CheckKind.LOOK)
"""What the pilot can do at once, unplugged and without tools."""
NEEDS_CHARGING: Final = frozenset({"count-what-the-charger-puts-back", "meter-full-pack"})
TOUCHES_PACK: Final = frozenset(
    {"meter-cells", "meter-other-lead", "tug-pack-and-plug", "look-at-plug", "read-pack-label"}
)
"""Checks that handle the pack or its contacts: not one that is harmed."""
WITHOUT_AIRCRAFT: Final = frozenset({
    "look-at-charger", "look-at-goggles-and-radio-batteries", "look-at-radio-antenna", "look-where-goggles-face",
    "look-at-memory", "look-up-wind", "walk-the-line", "read-the-return-settings", "read-the-radio-loss-action",
    "read-the-tuning",
})  # fmt: skip
"""Looks for which nobody needs the aircraft."""
LOOKED_AT, LIKELIEST = 14, 6
"""Checks, and causes, that are thought through."""


def steps_of(told: ToldInWords, question: str | None, search: bool, *, held_back: bool) -> tuple[Step, ...]:
    """Return what is to be said, in order: people, pack, the aircraft, one question, causes.

    Parameters
    ----------
    told : ToldInWords
    question : str or None
        The check that decides most.
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
    if question is not None:
        steps.append(Step.ASK_ONE)
    steps.append(Step.CAUSES)
    return tuple(steps)


def first_question(
    belief: Belief,
    answers: Sequence[Answered],
    book: Book | None = None,
    told: ToldInWords | None = None,
    *,
    has_record: bool = True,
) -> str | None:
    """Return the check that decides most and was not answered; None where one cause is named, or none helps.

    Parameters
    ----------
    belief : Belief
    answers : sequence of Answered
    book : Book, optional
        With it, and without a record, the check is preferred that most likely decides for or against what is true.
    told : ToldInWords, optional
        Nothing is asked that a harmed pack or a lost aircraft forbids; needs the book.
    has_record : bool
        Without a record nothing is asked of one: a question or a look comes first.
    """
    if belief.judged is Judged.CAUSE:
        return None
    given = {each.check for each in answers}
    if book is None:
        return next((each.check for each in belief.next_checks if each.check not in given), None)
    kinds = {each.key: each.kind for each in book.checks}
    may = {each.key for each in book.checks if each.key not in given and (told is None or _may_be_done(each, told))}
    first = next((each.check for each in belief.next_checks if each.check in may), None)
    if has_record and first is not None:
        return first
    more = believe(book, belief.observations, checks=LOOKED_AT, weights=False, lean=belief.lean).next_checks
    offered = [each for each in more if each.check in may]
    cheap = [] if has_record else [each for each in offered if kinds[each.check] in CHEAP]
    if not cheap:
        return next((each.check for each in offered), None)
    decides = [_decides(each, belief, book) for each in cheap]
    return cheap[max(range(len(cheap)), key=lambda at: (decides[at], -at))].check


def _may_be_done(check: Check, told: ToldInWords) -> bool:
    """Return whether the state of pack and aircraft allows a check: what is not known to be fine is not charged."""
    if told.whereabouts is Whereabouts.LOST:
        return check.kind in (CheckKind.ASK, CheckKind.RECORD) or check.key in WITHOUT_AIRCRAFT
    if told.pack is not PackState.FINE and (check.key in NEEDS_CHARGING or check.kind in POWERED):
        return False
    return told.pack is not PackState.DAMAGED or check.key not in TOUCHES_PACK


def _decides(one: NextCheck, belief: Belief, book: Book) -> float:
    """Return the chance that an answer decides for or against what is true: that by it another cause leads.

    Each of the likeliest causes is taken as true in turn: then the signs of the check are seen that it shows readily.
    """
    signs = next(each.signs for each in book.checks if each.key == one.check)
    columns = [at for at, sign in enumerate(book.signs) if sign.key in signs]
    rows = {cause.key: at for at, cause in enumerate(book.causes)}
    kept = tuple(each for each in belief.observations if each.sign not in signs)

    def leads(seen: frozenset[str]) -> str:
        told = (Observation(sign, sign in seen, 1.0, one.check, Told.CHECK) for sign in signs)
        return _leader(believe(book, (*kept, *told), checks=0, weights=False, lean=belief.lean))

    chance: dict[frozenset[str], float] = {}
    for each in [each for each in belief.causes if each.cause != SOMETHING_ELSE][:LIKELIEST]:
        shown = frozenset(
            book.signs[at].key for at in columns if book.strength[rows[each.cause], at] >= SHOWS_READILY.value
        )
        chance[shown] = chance.get(shown, 0.0) + each.chance
    chance.pop(frozenset(), None)
    if not chance:
        return 0.0
    without = leads(frozenset())
    return sum(held for seen, held in chance.items() if leads(seen) != without)


def _leader(belief: Belief) -> str:
    return next((each.cause for each in belief.causes if each.cause != SOMETHING_ELSE), SOMETHING_ELSE)
