"""The causes of a debrief: what each is called, how likely, what speaks for and against it, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.assess.belief_judge import followed
from turnback.knowledge.book import SOMETHING_ELSE, Book, Cause
from turnback.records.belief import Belief, Believed, Judged
from turnback.records.debrief import DebriefAnswer
from turnback.report.language import plural, text
from turnback.report.numbers import Units
from turnback.report.words_belief import ELSE_NAME, NOT_IN_BOOK
from turnback.report.words_belief_chance import odds, speaks, sureness
from turnback.report.words_debrief_signs import sign_names, weight_words

MOST_CAUSES: Final = 5
MOST_SPEAK: Final = 6
"""Signs told for one cause, strongest first."""
LEAST_CAUSE: Final = 0.02
"""Chance from which on a cause is listed; look-alikes are listed whatever their chance."""


@dataclass(frozen=True, slots=True)
class CauseSaid:
    """One cause as people read it; fix, prevention and caution are empty for what the book does not know."""

    key: str
    name: str
    odds: str
    chance: float
    alike: bool
    """One of several that the signs do not separate."""
    speaks: tuple[str, ...]
    fix: str
    prevention: str
    caution: str


@dataclass(frozen=True, slots=True)
class CausesSaid:
    """What is said of the causes."""

    heading: str
    sure: str
    alike: tuple[str, ...]
    """Look-alikes with their chances, together."""
    alike_left: str
    """How many more look alike; empty where all are listed."""
    causes: tuple[CauseSaid, ...]
    left_open: str = ""
    """What is not ruled out beside them; empty where that is nothing, or no record was given."""


def listed(belief: Belief, book: Book) -> tuple[Believed, ...]:
    """Return the causes that are listed, at most five: those that may be named first, then the likeliest.

    What nothing speaks for is as likely as before anything was told: it is no finding. A mistake of the pilot is named
    nowhere before it is shown that the aircraft followed its pilot to the end.
    """
    unproven = () if followed(belief.observations) else {cause.key for cause in book.causes if cause.pilot_error}
    may = [each for each in belief.causes if each.cause in belief.survivors]
    left = [each for each in belief.causes if each.cause not in belief.survivors and each.cause not in unproven]
    others = [each for each in left if each.chance >= LEAST_CAUSE]
    found = may + [each for each in others if _spoken_for(each)]
    return tuple((found or others)[:MOST_CAUSES])


def _spoken_for(each: Believed) -> bool:
    return any(weight.decibans > 0.0 and speaks(weight.decibans) for weight in each.weights)


def cause_name(key: str, book: Book) -> str:
    """Return what a cause is called."""
    if key == SOMETHING_ELSE:
        return text(ELSE_NAME)
    return next((text(cause.name) for cause in book.causes if cause.key == key), text(NOT_IN_BOOK))


def causes_said(answer: DebriefAnswer, book: Book, units: Units) -> CausesSaid | None:
    """Return what is said of the causes; None where nothing is believed."""
    belief = answer.belief
    if belief is None:
        return None
    found, names = listed(belief, book), sign_names(book)
    known = {cause.key: cause for cause in book.causes}
    several = belief.judged is Judged.SEVERAL
    causes = tuple(_cause(each, answer, known.get(each.cause), book, names, units) for each in found)
    alike = tuple(
        text("{cause}: {odds}.", cause=each.name, odds=each.odds)
        for each in causes
        if several and each.key in belief.survivors
    )
    left = len(belief.survivors) - len(alike) if several else 0
    more = plural("{count} more looks like them.", "{count} more look like them.", left) if left > 0 else ""
    sure = causes_sure(belief, asked=answer.question is not None)
    return CausesSaid(causes_heading(belief, book), sure, alike, more, causes, _left_open(answer, causes, book))


def _left_open(answer: DebriefAnswer, told: tuple[CauseSaid, ...], book: Book) -> str:
    """Return what is not ruled out beside what is told; "something else" never is, and needs no saying.

    What the pilot may have done wrong stands apart while the record does not show that the aircraft followed.
    """
    left = [key for key in answer.left_open if key not in {each.key for each in told}]
    unproven: set[str] = set()
    if answer.belief is not None and not followed(answer.belief.observations):
        unproven = {cause.key for cause in book.causes if cause.pilot_error}
    build = [cause_name(key, book) for key in left if key not in unproven]
    pilot = [cause_name(key, book) for key in left if key in unproven]
    said = [text("Not ruled out either: {causes}.", causes="; ".join(build))] if build else []
    if pilot:
        said.append(
            text(
                "Nothing shows that the aircraft followed its pilot to the end, so no mistake of the pilot's is named; "
                "nor is one ruled out: {causes}.",
                causes="; ".join(pilot),
            )
        )
    return " ".join(said)


def _cause(
    each: Believed, answer: DebriefAnswer, cause: Cause | None, book: Book, names: dict[str, str], units: Units
) -> CauseSaid:
    belief = answer.belief
    several = belief is not None and belief.judged is Judged.SEVERAL and each.cause in belief.survivors
    said = [weight_words(answer, weight, names, units) for weight in each.weights]
    return CauseSaid(
        key=each.cause,
        name=cause_name(each.cause, book),
        odds=odds(each.chance),
        chance=each.chance,
        alike=several,
        speaks=tuple(dict.fromkeys(filter(None, said)))[:MOST_SPEAK],
        fix=text(cause.fix) if cause else "",
        prevention=text(cause.prevention) if cause else "",
        caution=text(cause.caution) if cause else "",
    )


def causes_heading(belief: Belief, book: Book) -> str:
    """Return what is said first of the causes, in one sentence."""
    if belief.judged is Judged.CAUSE and belief.survivors:
        return text("Most likely: {cause}.", cause=cause_name(belief.survivors[0], book))
    if belief.judged is Judged.SEVERAL:
        return plural(
            "{count} cause fits what was told and recorded.",
            "{count} causes fit what was told and recorded, and nothing so far tells them apart.",
            len(belief.survivors),
        )
    if belief.judged is Judged.SOMETHING_ELSE:
        return text("Most likely it is something that this book does not know. Do not mend on a guess.")
    if belief.judged is Judged.NOTHING_WRONG:
        return text("Nothing points to a fault. That is no all-clear: look it over before it flies again.")
    return text("This cannot say why: what was told and recorded is too little.")


def causes_sure(belief: Belief, *, asked: bool = True) -> str:
    """Return how sure that is; where nothing is asked, no question is named."""
    chances = {each.cause: each.chance for each in belief.causes}
    if belief.judged is Judged.CAUSE and belief.survivors:
        chance = chances.get(belief.survivors[0], 0.0)
    elif belief.judged is Judged.NOTHING_WRONG:
        chance = belief.nothing_wrong
    elif belief.judged is Judged.SOMETHING_ELSE:
        chance = chances.get(SOMETHING_ELSE, 0.0)
    elif belief.judged is Judged.SEVERAL:
        if not asked:
            return text("Each of them has its own chance below.")
        return text("Each of them has its own chance below. The question above tells them apart best.")
    else:
        return text("Not sure enough to name one. What stands below are the likeliest, and no more than that.")
    return text("{sureness}: {odds}.", sureness=sureness(chance), odds=odds(chance))
