"""What is believed of the causes, in words: what is most likely, what speaks for and against it, what decides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from turnback.knowledge.book import SOMETHING_ELSE, Book, Cause, Check, CheckKind
from turnback.records.belief import Belief, Believed, Judged, NextCheck, Observation, Told, Weight
from turnback.records.heard import Heard
from turnback.report.language import mark, plural, text
from turnback.report.words_belief_chance import capital, odds, speaks, sureness
from turnback.report.words_bench_checks import minutes_words

MOST_WEIGHTS: Final = 6
"""Signs told for one cause; the strongest come first."""
MOST_CAUSES: Final = 8
LEAST_CAUSE: Final = 0.02
"""Chance from which on a cause is listed; survivors are listed whatever their chance."""
MOST_CHECKS: Final = 4
CLEARLY: Final = 5.0
"""Decibans from which on a sign "speaks clearly" (`words_belief_chance.FOR`)."""
ELSE_NAME: Final = mark("Something that this book does not know")
NOT_IN_BOOK: Final = mark("something that this book does not name")
CHECK_KINDS: Final[dict[CheckKind, str]] = {
    CheckKind.ASK: mark("A question."),
    CheckKind.LOOK: mark("Looking, unplugged."),
    CheckKind.METER: mark("Measuring, unplugged."),
    CheckKind.RECORD: mark("Looking into a record; nothing is powered."),
    CheckKind.POWERED: mark("Powered: propellers off, strapped down, short, no throttle."),
    CheckKind.FLIGHT: mark("A short flight, low and near, everybody well away, after everything else was looked at."),
}
TOLD: Final[dict[tuple[Told, bool], str]] = {
    (Told.WORDS, True): mark("As told: {sign}."),
    (Told.WORDS, False): mark("As told, not so: {sign}."),
    (Told.RECORD, True): mark("In the record: {sign}."),
    (Told.RECORD, False): mark("In the record, not so: {sign}."),
    (Told.CHECK, True): mark("Confirmed: {sign}."),
    (Told.CHECK, False): mark("Confirmed, not so: {sign}."),
}


@dataclass(frozen=True, slots=True)
class CauseSaid:
    """One cause as people read it."""

    name: str
    odds: str
    survives: bool
    spoken_for: bool
    """A sign that was told speaks clearly for it: it is no guess from how often things happen alone."""
    speaks: tuple[str, ...]
    """What speaks for it and against it, strongest first."""
    fix: str
    prevention: str
    caution: str
    """The three are empty for what the book does not know."""


@dataclass(frozen=True, slots=True)
class StepSaid:
    """One check as people read it."""

    name: str
    how: str
    minutes: str
    caution: str
    tell: tuple[str, ...]
    """How each of its signs is told."""


@dataclass(frozen=True, slots=True)
class BeliefSaid:
    """All that is said of a belief."""

    heading: str
    sure: str
    survivors: tuple[str, ...]
    """Named where the signs leave several."""
    causes: tuple[CauseSaid, ...]
    checks: tuple[StepSaid, ...]
    chain: tuple[str, ...]


def belief_said(belief: Belief, book: Book) -> BeliefSaid:
    """Return a belief in words.

    Parameters
    ----------
    belief : Belief
    book : Book
        The one it was reasoned with: names, mends and cautions are its own.
    """
    causes = {cause.key: cause for cause in book.causes}
    named = [each for each in belief.causes if each.cause in belief.survivors or each.chance >= LEAST_CAUSE]
    kept = [each for at, each in enumerate(named) if at < MOST_CAUSES or each.cause in belief.survivors]
    checks = {check.key: check for check in book.checks}
    found = belief.next_checks[:MOST_CHECKS]
    return BeliefSaid(
        heading=_heading(belief, causes),
        sure=_sure(belief),
        survivors=tuple(_name(key, causes) for key in belief.survivors) if len(belief.survivors) > 1 else (),
        causes=tuple(_cause(each, belief, causes, _signs(book)) for each in kept),
        checks=tuple(_step(each, checks[each.check], _signs(book)) for each in found if each.check in checks),
        chain=tuple(_told(each, _signs(book)) for each in belief.observations),
    )


def _heading(belief: Belief, causes: dict[str, Cause]) -> str:
    if belief.judged is Judged.CAUSE and belief.survivors:
        return text("Most likely: {cause}.", cause=_name(belief.survivors[0], causes))
    if belief.judged is Judged.SEVERAL:
        return plural(
            "{count} cause fits what was seen.",
            "{count} causes fit what was seen, and the signs do not tell them apart.",
            len(belief.survivors),
        )
    if belief.judged is Judged.SOMETHING_ELSE:
        return text("Most likely it is something that this book does not know. Do not mend on a guess.")
    if belief.judged is Judged.NOTHING_WRONG:
        return text("Most likely nothing is wrong with it.")
    return text("This cannot say: what was seen is too little.")


def _sure(belief: Belief) -> str:
    chances = {each.cause: each.chance for each in belief.causes}
    nothing = text("That nothing is wrong: {odds}.", odds=odds(belief.nothing_wrong))
    if belief.judged is Judged.CAUSE and belief.survivors:
        chance = chances.get(belief.survivors[0], 0.0)
        said = text("{sureness}: {odds}.", sureness=sureness(chance), odds=odds(chance))
        return text("{said} {nothing}", said=said, nothing=nothing)
    if belief.judged is Judged.NOTHING_WRONG:
        return text("{sureness}: {odds}.", sureness=sureness(belief.nothing_wrong), odds=odds(belief.nothing_wrong))
    if belief.judged is Judged.SOMETHING_ELSE:
        chance = chances.get(SOMETHING_ELSE, 0.0)
        said = text("{sureness}: {odds}.", sureness=sureness(chance), odds=odds(chance))
        return text("{said} {nothing}", said=said, nothing=nothing)
    if belief.judged is Judged.CANNOT_SAY:
        return text("Not sure enough to name one. {nothing}", nothing=nothing)
    return text("Each of them has its own chance below. {nothing}", nothing=nothing)


def _name(key: str, causes: dict[str, Cause]) -> str:
    if key == SOMETHING_ELSE:
        return text(ELSE_NAME)
    return text(causes[key].name) if key in causes else text(NOT_IN_BOOK)


def _signs(book: Book) -> dict[str, str]:
    return {sign.key: text(sign.name) for sign in book.signs}


def _cause(each: Believed, belief: Belief, causes: dict[str, Cause], signs: dict[str, str]) -> CauseSaid:
    cause = causes.get(each.cause)
    weights = (_weighs(weight, signs) for weight in each.weights[:MOST_WEIGHTS])
    return CauseSaid(
        name=_name(each.cause, causes),
        odds=odds(each.chance),
        survives=each.cause in belief.survivors,
        spoken_for=any(weight.decibans >= CLEARLY for weight in each.weights),
        speaks=tuple(said for said in weights if said),
        fix=text(cause.fix) if cause else "",
        prevention=text(cause.prevention) if cause else "",
        caution=text(cause.caution) if cause else "",
    )


def _weighs(weight: Weight, signs: dict[str, str]) -> str:
    strength = speaks(weight.decibans)
    sign = signs.get(weight.sign)
    if not strength or sign is None:
        return ""
    if weight.seen:
        return text("{sign}: {strength}.", sign=capital(sign), strength=strength)
    return text("Not so that {sign}: {strength}.", sign=sign, strength=strength)


def _step(following: NextCheck, check: Check, signs: dict[str, str]) -> StepSaid:
    return StepSaid(
        name=text(check.name),
        how=text(CHECK_KINDS[check.kind]),
        minutes=minutes_words(following.minutes),
        caution=text(check.caution) if check.caution else "",
        tell=tuple(
            text("If {sign}: --sign {key}. If not: --no-sign {key}.", sign=signs.get(key, text(NOT_IN_BOOK)), key=key)
            for key in check.signs
        ),
    )


def _told(seen: Observation, signs: dict[str, str]) -> str:
    return text(TOLD[seen.told, seen.seen], sign=signs.get(seen.sign, text(NOT_IN_BOOK)))


def heard_lines(heard: Sequence[Heard], book: Book | None) -> tuple[str, ...]:
    """Return how a pilot's words were understood, one line each, with how to confirm it.

    Parameters
    ----------
    heard : sequence of Heard
    book : Book or None
        Without it a sign is named by the phrase that the words were likened to.
    """
    signs = {} if book is None else _signs(book)
    said = []
    for each in heard:
        sign = signs.get(each.sign, each.phrase)
        if each.seen:
            said.append(text("{sign}. If that is so, say --sign {key}.", sign=capital(sign), key=each.sign))
        else:
            said.append(text("Not so: {sign}. If that is right, say --no-sign {key}.", sign=sign, key=each.sign))
    return tuple(said)
