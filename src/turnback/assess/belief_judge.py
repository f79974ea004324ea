"""What may be said of the causes: one, several, something else, nothing wrong, or nothing at all."""

from __future__ import annotations

from collections.abc import Container, Sequence

from turnback.knowledge.book import SOMETHING_ELSE, Book
from turnback.records.belief import Believed, Judged, Observation, Told
from turnback.rules import belief as rules


def judged(
    book: Book, causes: Sequence[Believed], nothing_wrong: float, observations: Sequence[Observation]
) -> tuple[Judged, tuple[str, ...]]:
    """Return what may be said, and of which causes.

    Parameters
    ----------
    book : Book
    causes : sequence of Believed
        Most likely first, something else among them.
    nothing_wrong : float
        Its chance.
    observations : sequence of Observation

    Returns
    -------
    tuple of Judged and tuple of str
        Survivors: one for `Judged.CAUSE`, two or more for `Judged.SEVERAL`, else none.
    """
    leader = causes[0]
    if not observations or max(leader.chance, nothing_wrong) < rules.LEADS.value:
        return Judged.CANNOT_SAY, ()
    if nothing_wrong > leader.chance:
        sure = nothing_wrong >= rules.NAME_CHANCE.value
        return (Judged.NOTHING_WRONG if sure else Judged.CANNOT_SAY), ()
    if leader.cause == SOMETHING_ELSE and leader.chance >= rules.ELSE_LEADS.value:
        return Judged.SOMETHING_ELSE, ()
    unproven = () if followed(observations) else {cause.key for cause in book.causes if cause.pilot_error}
    return _named(causes, unproven)


def _named(causes: Sequence[Believed], unproven: Container[str]) -> tuple[Judged, tuple[str, ...]]:
    """Return which causes may be named; those unproven never, and nothing alone beside them."""
    leader, second = causes[0].chance, causes[1].chance
    known = [one for one in causes if one.cause != SOMETHING_ELSE]
    standing = [one for one in known if one.chance >= rules.SURVIVES.value * known[0].chance]
    named = [one for one in standing if one.cause not in unproven]
    alone = leader >= rules.NAME_CHANCE.value and leader >= rules.NAME_LEAD.value * second
    if alone and named == [causes[0]] == standing:
        return Judged.CAUSE, (causes[0].cause,)
    held = sum(one.chance for one in named)
    if 1 < len(named) <= rules.MOST_NAMED.value and held >= rules.HOLDS.value:
        return Judged.SEVERAL, tuple(one.cause for one in named)
    return Judged.CANNOT_SAY, ()


def followed(observations: Sequence[Observation]) -> bool:
    """True where a record or an answer shows, surely enough, that the aircraft did what its pilot asked.

    A pilot's own "it was my fault" is no showing: pilots blame themselves for what they do not understand. Nor is a
    record in which it flew by itself: what it followed there was its own demand, so only an answer can show it.
    """
    by_itself = any(
        one.sign == rules.BY_ITSELF_SIGN and one.seen and one.told is Told.RECORD and one.sure >= rules.FOLLOWED.value
        for one in observations
    )
    may = (Told.CHECK,) if by_itself else (Told.CHECK, Told.RECORD)
    about = [one for one in observations if one.sign == rules.FOLLOWED_SIGN and one.told in may]
    shown = max((one.sure for one in about if one.seen), default=0.0)
    against = max((one.sure for one in about if not one.seen), default=0.0)
    return shown >= rules.FOLLOWED.value and shown > against
