"""One name is never said alone where the record's channels cannot tell it from others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from turnback.assess.belief_judge import followed
from turnback.knowledge.book import Book
from turnback.knowledge.look_alikes import Kit, look_alikes
from turnback.records.belief import Belief, Believed, Judged, Told
from turnback.rules.belief import (
    ALIKE_SHARE,
    LEFT_OPEN,
    LEFT_OPEN_HOLDS,
    LEFT_OPEN_MOST,
    MOST_NAMED,
    NAME_CHANCE,
    SURVIVES,
)
from turnback.rules.record_debrief import ALIKE_MOST, TOLD_APART

NAMING = (Judged.CAUSE, Judged.SEVERAL)


def beside_look_alikes(book: Book, belief: Belief, kit: Kit, *, has_plan: bool) -> Belief:
    """Return what is believed, with the look-alikes of the leading cause named beside it.

    Numbers alone may put one cause well ahead of another that leaves the same trace: they were counted in made-up
    flights. What the channels cannot tell apart stays undecided until words or a check decide it.

    Parameters
    ----------
    book : Book
        A mistake of the pilot is not named beside others either, unless the aircraft followed its pilot.
    belief : Belief
    kit : Kit
        Of the record.
    has_plan : bool
        Whether a plan comes with it.
    """
    belief = _shared(book, belief, kit, has_plan=has_plan)
    if belief.judged not in NAMING:
        return belief
    of_key = {each.cause: each for each in belief.causes}
    leader = of_key[belief.survivors[0]]
    alike = _alike(book, belief, leader, kit, has_plan=has_plan)
    rivals = [key for key in belief.survivors[1:] if _instead(of_key[key], leader)]
    named = sorted({leader.cause, *rivals, *alike}, key=lambda key: (key != leader.cause, -of_key[key].chance, key))
    kept = tuple(named[: max(int(MOST_NAMED.value), len(belief.survivors))])
    if len(kept) > 1:
        return replace(belief, judged=Judged.SEVERAL, survivors=kept)
    alone = leader.chance >= NAME_CHANCE.value
    return replace(belief, judged=Judged.CAUSE, survivors=kept) if alone else belief


def _alike(book: Book, belief: Belief, leader: Believed, kit: Kit, *, has_plan: bool) -> list[str]:
    """Return what may be named beside a cause, for it looks like it; itself among them where it has any."""
    unproven = () if followed(belief.observations) else {cause.key for cause in book.causes if cause.pilot_error}
    of_key = {each.cause: each for each in belief.causes}
    outside = frozenset(each.sign for each in belief.observations if each.told is not Told.RECORD)
    return [
        key
        for key in look_alikes(leader.cause, kit, has_plan=has_plan)
        if key in of_key and key not in unproven and not _told_apart(leader, of_key[key], outside)
    ]


def _shared(book: Book, belief: Belief, kit: Kit, *, has_plan: bool) -> Belief:
    """Return what is believed, with no more for the likeliest cause than one that others look like can have.

    What it had beyond that goes to its look-alikes, by their chances, as far as the order of all causes allows.
    """
    if not belief.causes:
        return belief
    leader = belief.causes[0]
    alike = {key for key in _alike(book, belief, leader, kit, has_plan=has_plan) if key != leader.cause}
    share = min(ALIKE_SHARE.value * leader.chance, ALIKE_MOST.value)
    most = max([share, *(each.chance for each in belief.causes[1:2])])
    if not alike or leader.chance <= most:
        return belief
    held = sum(each.chance for each in belief.causes if each.cause in alike)
    grows = 1.0 + (leader.chance - most) / held if held > 0.0 else 1.0

    causes = [replace(leader, chance=most)]
    for each in belief.causes[1:]:
        grown = min(each.chance * grows, causes[-1].chance) if each.cause in alike else each.chance
        causes.append(replace(each, chance=grown))
    return replace(belief, causes=tuple(causes))


def left_open(book: Book, belief: Belief, kit: Kit, *, has_plan: bool) -> tuple[str, ...]:
    """Return every cause that the answer leaves open: those named, the likeliest, and what looks like any of them.

    How many are likeliest goes by what the record says: few where it points somewhere, more where it says little. A
    mistake of the pilot is left open like any other, though it is never named before the aircraft is shown to have
    followed its pilot: what is not shown is not ruled out either (decision 0021).

    Parameters
    ----------
    book : Book
    belief : Belief
    kit : Kit
        Of the record.
    has_plan : bool
        Whether a plan comes with it.

    Returns
    -------
    tuple of str
        Those named first, then by chance, then the look-alikes; never something else.
    """
    known = {cause.key for cause in book.causes}
    of_key = {each.cause: each for each in belief.causes if each.cause in known}
    told = list(dict.fromkeys([*belief.survivors, *_likeliest(tuple(of_key.values()), belief)]))
    outside = frozenset(each.sign for each in belief.observations if each.told is not Told.RECORD)
    for key in tuple(told):
        for other in look_alikes(key, kit, has_plan=has_plan):
            if other in of_key and other not in told and not _told_apart(of_key[key], of_key[other], outside):
                told.append(other)
    return tuple(told)


def _likeliest(causes: Sequence[Believed], belief: Belief) -> tuple[str, ...]:
    """Return the likeliest causes: of a dozen as many as hold nearly all of what the dozen hold, and some at least.

    A check that was answered decides: from then on what is below `LEFT_OPEN` is ruled out.
    """
    dozen = causes[: int(LEFT_OPEN_MOST.value)]
    held = np.cumsum([each.chance for each in dozen])
    enough = int(np.searchsorted(held, LEFT_OPEN_HOLDS.value * held[-1])) + 1 if dozen else 0
    checked = any(each.told is Told.CHECK for each in belief.observations)
    least = LEFT_OPEN.value if checked else 0.0
    return tuple(each.cause for each in dozen[: max(enough, int(MOST_NAMED.value))] if each.chance >= least)


def _instead(other: Believed, leader: Believed) -> bool:
    """Tell whether a cause may be there in the leader's place, not merely beside it.

    Chances are of being there, alone or with others: in no more cases than the leader is missing can another one be the
    only cause.
    """
    return min(other.chance, 1.0 - leader.chance) >= SURVIVES.value * leader.chance


def _told_apart(leader: Believed, other: Believed, outside: frozenset[str]) -> bool:
    """Tell whether words or checks, not the record, speak for the leader against the other."""
    against = {each.sign: each.decibans for each in other.weights}
    gain = sum(each.decibans - against.get(each.sign, 0.0) for each in leader.weights if each.sign in outside)
    return gain >= TOLD_APART.value
