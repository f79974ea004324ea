"""What signs a pilot's own words tell. Everything stays on this machine, and everything heard is shown to be confirmed.

A phrase of the book is looked for in each sentence by its meanings: forms of a word and words of one meaning count as
the same. The score is the weight of its meanings that the sentence has, rare ones weighing more, less for what stands
far away or in another clause. "Not" and its like turn what they reach, unless the phrase itself denies.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from turnback.assess.hearing_bag import Bag, bags
from turnback.assess.hearing_denied import deny, doubtful, not_told
from turnback.assess.hearing_fits import fits, is_outcome, of_another, without_outcomes, words_of
from turnback.assess.hearing_phrases import UNSAID, Phrase, Phrases, phrases_of
from turnback.assess.hearing_words import Word
from turnback.base.errors import bad_input
from turnback.knowledge.book import Book
from turnback.knowledge.said import Said, read_said
from turnback.records.belief import Observation, Told
from turnback.records.heard import Heard
from turnback.rules.hearing import (
    DOUBT,
    FULL_SCORE,
    LEAST_BAG,
    LEAST_SCORE,
    MOST_LETTERS,
    SURE_LEAST,
    SURE_MOST,
    TOLD_BEFORE,
)

NEAR: Final = 4
"""So many words further apart than in the phrase itself cost nothing."""
PER_WORD: Final = 0.1
UNKNOWN: Final = 0.27
"""Weight of a word that is in no phrase, of that of a word that one sign alone has."""
OTHER_CLAUSE: Final = 0.8
OTHER_ORDER: Final = 0.98
OF_ANOTHER: Final = 0.75
"""What something else than the aircraft did is told of the aircraft by this part only."""
HEAVY: Final = 0.02
"""Between matches of like score the one that explains more of the sentence goes first, by this much per nat."""
LITERAL: Final = 0.05
"""And the one that has the very words."""
OUTWEIGHED: Final = 0.6
MOST_FOUND: Final = 40
"""Phrases looked at closely in one sentence."""


@dataclass(frozen=True, slots=True)
class _Match:
    phrase: Phrase
    score: float
    words: tuple[int, ...]
    seen: bool
    rank: float


def hear(text: str, book: Book) -> tuple[Heard, ...]:
    """Return the signs that a text tells, in the order of the text.

    Parameters
    ----------
    text : str
        What a pilot wrote.
    book : Book

    Raises
    ------
    InputError
        If the text is longer than ten pages.
    """
    if len(text) > MOST_LETTERS.value:
        raise bad_input(
            "the text",
            f"it has {len(text)} letters, at most {MOST_LETTERS.value:.0f} are read",
            "tell in a few sentences what happened",
        )
    return listen(text, ready(book))


def listen(text: str, phrases: Phrases) -> tuple[Heard, ...]:
    """Return the signs that a text of bounded length tells, by phrases made ready."""
    found: list[tuple[Heard, bool]] = []
    before: frozenset[str] = frozenset()
    for number, row in enumerate(phrases.meanings.sentences(text)):
        asked = text[row[-1].end :].lstrip()[:1] == "?"
        here = words_of(row)
        if not not_told(row, phrases.meanings, asked):
            found += _in_sentence(row, number, phrases, before)
        before = here
    ends = {at for at, (_, outcome) in enumerate(found) if outcome}
    heard = without_outcomes([one for one, _ in found], ends, phrases.meanings.said)
    return tuple(sorted(heard, key=lambda one: (one.sentence, one.start, one.sign)))


def observations_of(heard: tuple[Heard, ...]) -> tuple[Observation, ...]:
    """Return what was heard as observations.

    Those that stand in the same words are one group: they share their error. Other words of the same sentence tell
    another thing: one that was misheard takes nothing from it. What is said twice is one observation, the surest.
    An observation's `sure` is that of one for whom the sign was as likely there as not; a heard sign's is the share of
    such matches that are right, among signs of which few are told at all: Bayes' rule makes the one of the other.
    """
    surest: dict[tuple[str, bool], Heard] = {}
    for one in heard:
        before = surest.get((one.sign, one.seen))
        if before is None or one.sure > before.sure:
            surest[one.sign, one.seen] = one
    groups = _same_words(list(surest.values()))
    return tuple(
        Observation(one.sign, one.seen, _evidence(one), f"words-{group + 1}", Told.WORDS)
        for one, group in zip(surest.values(), groups, strict=True)
    )


def _same_words(heard: list[Heard]) -> list[int]:
    """Return the number of the stretch of text that each stands in; those that overlap are of one stretch."""
    numbers = [0] * len(heard)
    end, number = 0, -1
    for place in sorted(range(len(heard)), key=lambda place: (heard[place].start, place)):
        if number < 0 or heard[place].start >= end:
            number += 1
        numbers[place] = number
        end = max(end, heard[place].end)
    return numbers


def _evidence(one: Heard) -> float:
    """Return how sure an even chance would become; what is denied is seldom there anyway, and gains nothing."""
    if not one.seen:
        return one.sure
    before = TOLD_BEFORE.value
    odds = one.sure / max(1.0 - one.sure, 1e-9) * (1.0 - before) / before
    return odds / (1.0 + odds)


@lru_cache(maxsize=4)
def ready(book: Book) -> Phrases:
    """Return the phrases of a book, ready to be found in a text; made once for each book."""
    return phrases_of(book, read_said())


def _in_sentence(row: list[Word], number: int, phrases: Phrases, before: frozenset[str]) -> list[tuple[Heard, bool]]:
    """Return what a sentence tells, each with whether it is only how things ended."""
    ways, here = phrases.meanings.said, words_of(row)
    deny(row, phrases.meanings)
    doubt = DOUBT.value if doubtful(row, phrases.meanings) else 1.0
    said = [word for word in phrases.meanings.give(row) if word.meaning and not word.denies]
    places: dict[str, list[int]] = {}
    for at, word in enumerate(said):
        places.setdefault(word.meaning, []).append(at)
    affirmed = {word.clause for word in row if word.text in phrases.meanings.said.affirm}
    unknown = [phrases.weight.get(word.meaning, UNKNOWN * phrases.rarest) for word in said]
    found = [
        _match(phrases.rows[at], said, unknown, places, affirmed, phrases.rarest, ways)
        for at in _likely(places, phrases)
    ]
    good = [match for match in found if match is not None and fits(match.phrase.sign, here, before, ways)]
    told = [
        bag
        for bag in bags(said, unknown, phrases)
        if bag.score >= LEAST_BAG.value
        and (bag.seen or bag.sign not in ways.undeniable)
        and fits(bag.sign, here, before, ways)
    ]
    kept = [match for match in _apart(good, said) if not any(_outweighed(match, bag, unknown) for bag in told)]
    used = {at for match in kept for at in match.words}
    known = {match.phrase.sign for match in kept}
    told = [bag for bag in told if used.isdisjoint(bag.words) and bag.sign not in known]
    return [
        *(
            (_heard(match, said, number, doubt), is_outcome(match.phrase.sign, match.phrase.meanings, ways))
            for match in kept
        ),
        *((_heard_bag(bag, said, number, doubt), False) for bag in told),
    ]


def _outweighed(match: _Match, bag: Bag, weights: list[float]) -> bool:
    """Return whether a weak match explains little of what a bag of another sign explains."""
    if match.phrase.sign == bag.sign or match.score >= FULL_SCORE.value or set(bag.words).isdisjoint(match.words):
        return False
    return sum(weights[at] for at in set(match.words)) < OUTWEIGHED * sum(weights[at] for at in bag.words)


def _likely(places: dict[str, list[int]], phrases: Phrases) -> list[int]:
    """Return the phrases of which a sentence has enough weight at all, heaviest first."""
    here = [meaning for meaning in places if meaning in phrases.postings]
    if not here:
        return []
    which = np.concatenate([phrases.postings[meaning] for meaning in here])
    share = np.concatenate([phrases.share[meaning] for meaning in here])
    covered = np.bincount(which, share, len(phrases.rows))
    best = np.argsort(-covered, kind="stable")[:MOST_FOUND]
    return [int(at) for at in best if covered[at] >= LEAST_SCORE.value]


def _match(
    phrase: Phrase,
    said: list[Word],
    weights: list[float],
    places: dict[str, list[int]],
    affirmed: set[int],
    rarest: float,
    ways: Said,
) -> _Match | None:
    has = [
        (meaning, weight) for meaning, weight in zip(phrase.meanings, phrase.weights, strict=True) if meaning in places
    ]
    anchor = max(has, key=lambda row: row[1])[0]
    best: tuple[float, tuple[int, ...]] = (0.0, ())
    for center in places[anchor][:8]:
        sum_weight = 0.0
        at: list[int] = []
        for meaning, weight in has:
            near = min(places[meaning], key=lambda place: abs(place - center))
            apart = abs(near - center) - len(phrase.meanings) - NEAR
            closeness = max(0.0, 1.0 - PER_WORD * max(apart, 0))
            if said[near].clause != said[center].clause:
                closeness *= OTHER_CLAUSE
            sum_weight += weight * closeness
            at.append(near)
        score = sum_weight / phrase.total * (1.0 if at == sorted(at) else OTHER_ORDER)
        if score > best[0]:
            best = score, tuple(at)
    score, words = best
    clauses = {said[at].clause for at in words}
    around = sum(weight for weight, word in zip(weights, said, strict=True) if word.clause in clauses)
    whole = min(1.0, sum(weights[at] for at in set(words)) / max(around, 1e-9))
    score *= phrase.total / (phrase.total + UNSAID * rarest * (1.0 - whole))
    denied = any(said[at].denied for at in words)
    if denied and len(clauses) > 1 and not phrase.denied and any(not said[at].denied for at in words):
        return None  # one clause denies, the other tells: they are two things
    seen = (denied == phrase.denied) == phrase.there
    turned = denied != phrase.denied
    if turned and (not phrase.there or phrase.sign in ways.undeniable or (phrase.denied and not clauses <= affirmed)):
        return None  # "when I lift it" does not tell that it lifts
    weight = sum(weight for _, weight in has)
    if phrase.sign in ways.of_aircraft and of_another(words, said, phrase.meanings):
        score *= OF_ANOTHER
    if score < LEAST_SCORE.value:
        return None
    there = {word.text for word in said}
    alike = len(there & phrase.words) / len(there | phrase.words)
    return _Match(phrase, score, words, seen, score + HEAVY * weight + LITERAL * alike)


def _apart(found: list[_Match], said: list[Word]) -> list[_Match]:
    """Return the best matches of a sentence that do not share most of their words."""
    kept: list[_Match] = []
    used: set[int] = set()
    for match in sorted(found, key=lambda one: -one.rank):
        weights = dict(zip(match.phrase.meanings, match.phrase.weights, strict=True))
        fresh = sum(weights[said[at].meaning] for at in match.words if at not in used)
        if fresh > 0.5 * sum(weights[said[at].meaning] for at in match.words) and all(
            match.phrase.sign != one.phrase.sign for one in kept
        ):
            kept.append(match)
            used |= set(match.words)
    return kept


def _heard(match: _Match, said: list[Word], number: int, doubt: float) -> Heard:
    way = (match.score - LEAST_SCORE.value) / (FULL_SCORE.value - LEAST_SCORE.value)
    sure = SURE_LEAST.value + (SURE_MOST.value - SURE_LEAST.value) * min(1.0, way)
    words = [said[at] for at in match.words]
    return Heard(
        match.phrase.sign,
        match.seen,
        match.score,
        0.5 + (sure - 0.5) * doubt,
        min(word.start for word in words),
        max(word.end for word in words),
        number,
        match.phrase.text,
    )


def _heard_bag(bag: Bag, said: list[Word], number: int, doubt: float) -> Heard:
    words = [said[at] for at in bag.words]
    sure = 0.5 + (SURE_LEAST.value - 0.5) * doubt
    start, end = min(word.start for word in words), max(word.end for word in words)
    return Heard(bag.sign, bag.seen, bag.score, sure, start, end, number, "")
