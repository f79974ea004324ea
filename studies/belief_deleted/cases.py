"""Made-up cases: one or two causes of the book, and what somebody would tell of them.

Two designs. In the first, half of what is looked at are signs that the true causes can show, the other half any sign of
the channels at hand. In the second the pilot tells up to three things that happened, and then does what belief offers
next. What was seen is drawn from the book's own chances, with the errors that belief allows for: so these cases show
what belief does where the book's numbers are right, not whether they are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from studies.belief_deleted.chain import Chain

from turnback.assess.belief import believe
from turnback.knowledge.book import Book, Channel
from turnback.records.belief import Belief, Observation, Told
from turnback.rules import belief as rules

TOLD: Final = {Channel.SAID: Told.WORDS, Channel.SEEN: Told.CHECK, Channel.BENCH: Told.CHECK}
"""All other channels are told by a record."""
SURE: Final = {Told.WORDS: 0.85, Told.RECORD: 0.95, Told.CHECK: 1.0}
WRONG: Final = {
    Told.WORDS: rules.WRONG_WORDS.value,
    Told.RECORD: rules.WRONG_RECORD.value,
    Told.CHECK: rules.WRONG_ANSWER.value,
}
AT_HAND: Final = 0.6
"""Chance that a channel is at hand; the pilot's words always are."""
STEPS: Final = 6
"""How many of the offered checks are done in the second design."""
FEWEST: Final = 5
MOST: Final = 12


@dataclass(frozen=True)
class Case:
    """One made-up case.

    Parameters
    ----------
    causes : tuple of str
        Which are there.
    observations : tuple of Observation
    """

    causes: tuple[str, ...]
    observations: tuple[Observation, ...]


def case(book: Book, seed: int, number: int) -> Case:
    """Return a case; the same seed and number give the same one."""
    chance = np.random.default_rng([seed, number])
    there, shows = _drawn(book, chance)
    at_hand = {one: one is Channel.SAID or chance.random() < AT_HAND for one in Channel}
    here = np.array([at_hand[sign.channel] for sign in book.signs])
    own = np.flatnonzero(here & (book.strength[there] > 0.0).any(axis=0))
    every = np.flatnonzero(here)
    looked = int(chance.integers(FEWEST, MOST + 1))
    signs = set(chance.permutation(own)[: (looked + 1) // 2].tolist())
    for sign in chance.permutation(every):
        if len(signs) < looked:
            signs.add(int(sign))
    misled = {one: chance.random() < WRONG[TOLD.get(one, Told.RECORD)] for one in Channel}
    observations = []
    for sign in sorted(signs):
        channel = book.signs[sign].channel
        told = TOLD.get(channel, Told.RECORD)
        seen = bool(chance.random() < shows[sign])
        if misled[channel]:
            seen = bool(chance.random() < 0.5)
        elif chance.random() > SURE[told]:
            seen = not seen
        observations.append(Observation(book.signs[sign].key, seen, SURE[told], channel.name, told))
    return Case(tuple(book.causes[row].key for row in sorted(there)), tuple(observations))


def _drawn(book: Book, chance: np.random.Generator) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    prior = np.array([cause.prior for cause in book.causes])
    count = 1 if chance.random() < 0.7 else 2
    there = chance.choice(len(prior), count, replace=False, p=prior / prior.sum())
    leak = np.array([sign.leak for sign in book.signs])
    return there, 1.0 - (1.0 - leak) * np.prod(1.0 - book.strength[there], axis=0)


def answered(book: Book, seed: int, number: int, *, deleted: bool) -> tuple[Case, Belief]:
    """Return a case of the second design with its belief; the true causes may be deleted from the book before."""
    chance = np.random.default_rng([seed, number, 2])
    there, shows = _drawn(book, chance)
    happened = chance.random(shows.size) < shows
    causes = tuple(book.causes[row].key for row in sorted(there))
    known = without(book, causes) if deleted else book
    column = {sign.key: row for row, sign in enumerate(book.signs)}
    words = [sign.key for sign in book.signs if sign.channel is Channel.SAID and happened[column[sign.key]]]
    told = [words[place] for place in chance.permutation(len(words))[:3]]
    chain = Chain().observed(*(Observation(sign, True, SURE[Told.WORDS], "words", Told.WORDS) for sign in told))
    for _ in range(STEPS):
        offered = believe(known, chain.observations, checks=1).next_checks
        if not offered:
            break
        check = next(one for one in known.checks if one.key == offered[0].check)
        seen = [bool(happened[column[sign]]) for sign in check.signs]
        if chance.random() < WRONG[Told.CHECK]:
            seen = [bool(chance.random() < 0.5) for _ in check.signs]
        chain = chain.answered(check, seen)
    return Case(causes, chain.observations), believe(known, chain.observations, checks=0)


def without(book: Book, causes: tuple[str, ...]) -> Book:
    """Return a book that does not know some causes; the signs that they show stay in it."""
    kept = [row for row, cause in enumerate(book.causes) if cause.key not in causes]
    return replace(
        book,
        causes=tuple(book.causes[row] for row in kept),
        likelihoods=tuple(one for one in book.likelihoods if one.cause not in causes),
        strength=book.strength[kept],
    )
