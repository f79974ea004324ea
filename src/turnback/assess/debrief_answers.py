"""Answers that were given: what they say of signs of the book, and of people, pack and aircraft."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from turnback.assess.told_safety import hurt_told, pack_told, whereabouts_told
from turnback.base.errors import Fault, InputError, bad_input
from turnback.knowledge.book import Book
from turnback.records.belief import Observation, Told
from turnback.records.debrief import Answered, Hurt, PackState, ToldInWords, Whereabouts

HURT, PACK, WHEREABOUTS = "hurt", "pack", "whereabouts"
SAFETY: Final = {
    HURT: (Hurt.YES.value, Hurt.NO.value),
    PACK: (PackState.DAMAGED.value, PackState.FINE.value),
    WHEREABOUTS: (Whereabouts.LOST.value, Whereabouts.FOUND.value),
}
YES, NO, NONE, ALL = "yes", "no", "none", "all"
LONGEST: Final = 60


def answer_from(text: str) -> Answered:
    """Return an answer as it is typed.

    Parameters
    ----------
    text : str
        ``CHECK=RESULT``.

    Raises
    ------
    InputError
        Where nothing stands before or after an equals sign.
    """
    check, equals, result = text.partition("=")
    if not (check.strip() and equals and result.strip()):
        raise bad_input(f"the answer {text[:LONGEST]!r}", "is not CHECK=RESULT", "write it like hurt=no")
    return Answered(check.strip().lower(), result.strip().lower())


def answers_settled(
    answers: Sequence[Answered], taken_back: Sequence[Answered], book: Book
) -> tuple[tuple[Answered, ...], tuple[Answered, ...]]:
    """Return the answers that stand, of one check only the last, and those that do not; all are verified.

    Raises
    ------
    InputError
        With one sentence for each answer that is not understood.
    """
    faults = [fault for each in answers for fault in _faults(each, book)]
    if faults:
        raise InputError(*faults)
    last = {each.check: place for place, each in enumerate(answers)}
    stand = tuple(each for place, each in enumerate(answers) if last[each.check] == place)
    again = tuple(each for place, each in enumerate(answers) if last[each.check] != place)
    return stand, (*taken_back, *again)


def observations_of_answers(answers: Sequence[Answered], book: Book) -> tuple[Observation, ...]:
    """Return what answers say of signs; that an answer may be wrong is in `rules.belief`."""
    found: list[Observation] = []
    for each in answers:
        if each.check not in SAFETY:
            seen = _seen(each, book)
            found += [Observation(sign, was, 1.0, each.check, Told.CHECK) for sign, was in seen.items()]
    return tuple(found)


def safety_of(told: ToldInWords, answers: Sequence[Answered]) -> ToldInWords:
    """Return what was told, with what was answered on people, pack and aircraft in its place."""
    given = {each.check: each.result for each in answers}
    return replace(
        told,
        hurt=Hurt(given.get(HURT, told.hurt.value)),
        pack=PackState(given.get(PACK, told.pack.value)),
        whereabouts=Whereabouts(given.get(WHEREABOUTS, told.whereabouts.value)),
    )


def answers_outlived(answers: Sequence[Answered], words: Sequence[str]) -> tuple[Answered, ...]:
    """Return the answers on people, pack and aircraft that words told later contradict: they no longer count.

    A harm told later outlives "nobody" and "fine"; words never take a harm back, only an answer does.

    Parameters
    ----------
    answers : sequence of Answered
        Given before the words.
    words : sequence of str
    """
    whole = "\n".join(words)
    where = whereabouts_told(whole)
    later = {
        HURT: Hurt.YES.value if hurt_told(whole) is Hurt.YES else None,
        PACK: PackState.DAMAGED.value if pack_told(whole, where) is PackState.DAMAGED else None,
        WHEREABOUTS: None if where is Whereabouts.NOT_TOLD else where.value,
    }
    return tuple(each for each in answers if later.get(each.check) not in {None, each.result})


def _signs(each: Answered, book: Book) -> tuple[str, ...]:
    """Return the signs that a check tells; a sign of the book is a check of itself."""
    for check in book.checks:
        if check.key == each.check:
            return check.signs
    return tuple(sign.key for sign in book.signs if sign.key == each.check)


def _seen(each: Answered, book: Book) -> dict[str, bool]:
    signs = _signs(each, book)
    if each.result in {NO, NONE}:
        return dict.fromkeys(signs, False)
    if each.result == ALL or (each.result == YES and len(signs) == 1):
        return dict.fromkeys(signs, True)
    named = {part.strip() for part in each.result.split(",")}
    return {sign: sign in named for sign in signs}


def _faults(each: Answered, book: Book) -> list[Fault]:
    where = f"the answer {each.check[:LONGEST]}={each.result[:LONGEST]}"
    if each.check in SAFETY:
        known: Sequence[str] = SAFETY[each.check]
        return [] if each.result in known else [Fault(where, "is not understood", f"write {' or '.join(known)}")]
    signs = _signs(each, book)
    if not signs:
        every = [*SAFETY, *(check.key for check in book.checks), *(sign.key for sign in book.signs)]
        near = difflib.get_close_matches(each.check[:LONGEST], every, n=3, cutoff=0.5)
        do = f"write {' or '.join(near)} if that was meant" if near else "turnback bench --list shows all checks"
        return [Fault(where, "names no check and no sign of the book", do)]
    if each.result in {NO, NONE, ALL} or (each.result == YES and len(signs) == 1):
        return []
    wrong = [part.strip() for part in each.result.split(",") if part.strip() not in signs]
    if not wrong:
        return []
    one = len(signs) == 1
    do = "write yes or no" if one else f"write none, all, or those that were seen, of {', '.join(signs)}"
    return [Fault(where, f"{wrong[0][:LONGEST]!r} is nothing that it tells", do)]
