"""Made-up cases: one or two causes of the book, and what somebody who looks into some channels would tell of them.

Half of what is looked at are signs that the true causes can show, the other half any sign of the channels at hand. What
was seen is drawn from the book's own chances, with the errors that belief allows for: so these cases show what belief
does where the book's numbers are right, not whether they are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from turnback.knowledge.book import Book, Channel
from turnback.records.belief import Observation, Told
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
FEWEST, MOST: Final = 5, 12


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
    prior = np.array([cause.prior for cause in book.causes])
    count = 1 if chance.random() < 0.7 else 2
    there = chance.choice(len(prior), count, replace=False, p=prior / prior.sum())
    shows = 1.0 - (1.0 - np.array([sign.leak for sign in book.signs])) * np.prod(1.0 - book.strength[there], axis=0)
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


def without(book: Book, causes: tuple[str, ...]) -> Book:
    """Return a book that does not know some causes; the signs that they show stay in it."""
    kept = [row for row, cause in enumerate(book.causes) if cause.key not in causes]
    return replace(
        book,
        causes=tuple(book.causes[row] for row in kept),
        likelihoods=tuple(one for one in book.likelihoods if one.cause not in causes),
        strength=book.strength[kept],
    )
