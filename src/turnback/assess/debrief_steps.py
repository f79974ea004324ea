"""In which order an answer is given, and the one question that decides most."""

from __future__ import annotations

from collections.abc import Sequence

from turnback.records.belief import Belief, Judged
from turnback.records.debrief import Answered, Hurt, PackState, Step, ToldInWords


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


def first_question(belief: Belief, answers: Sequence[Answered]) -> str | None:
    """Return the check that decides most and was not answered; None where one cause is named, or none helps."""
    if belief.judged is Judged.CAUSE:
        return None
    given = {each.check for each in answers}
    return next((each.check for each in belief.next_checks if each.check not in given), None)
