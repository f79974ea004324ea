"""The book's phrases, made ready to be found in a text."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from math import log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.hearing_denied import deny
from turnback.assess.hearing_words import Meanings, Word
from turnback.knowledge.book import Book
from turnback.knowledge.said import Said

UNSAID: Final = 0.55
"""A phrase of few or common words tells less: this much is missing where it is not a whole clause.

Of the weight of a word that one sign alone has.
"""
SOFT: Final = 0.25
"""Words such as "off" and "only" have this part of their weight."""
PLAIN: Final = 0.6
"""Everyday words that belong to no group have this part of their weight."""


@dataclass(frozen=True, slots=True)
class Phrase:
    """One way to say that a sign is there, or that it is not.

    Parameters
    ----------
    sign : str
    there : bool
    meanings : tuple of str
        Each once, in the order of the phrase.
    weights : tuple of float
        Of each meaning: the rarer among signs, the heavier.
    total : float
    denied : bool
        The phrase itself denies something: "no warning at all".
    text : str
    words : frozenset of str
        Its words as they stand, to settle ties.
    """

    sign: str
    there: bool
    meanings: tuple[str, ...]
    weights: tuple[float, ...]
    total: float
    denied: bool
    text: str
    words: frozenset[str]


@dataclass(frozen=True, slots=True)
class Phrases:
    """All phrases, and where each meaning stands in them."""

    meanings: Meanings
    rows: tuple[Phrase, ...]
    postings: dict[str, NDArray[np.int64]]
    share: dict[str, NDArray[np.float64]]
    """Of the weight of each posting's phrase that the meaning is."""
    weight: dict[str, float]
    """Of each meaning."""
    users: dict[str, tuple[str, ...]]
    """Signs that a meaning is used for, where their phrases do not deny it."""
    rarest: float
    """Weight of a word that one sign alone has."""


def told_words(text: str, meanings: Meanings) -> list[Word]:
    """Return all words of a phrase with their meanings and denials."""
    words: list[Word] = []
    for row in meanings.sentences(text):
        deny(row, meanings)
        words += meanings.give(row)
    return words


def phrases_of(book: Book, said: Said) -> Phrases:
    """Make a book's phrases ready; only signs that have a phrase can be heard."""
    texts: list[tuple[str, bool, str]] = []
    for sign in book.signs:
        here = (*sign.phrases, *said.phrases.get(sign.key, ()))
        texts += [(sign.key, True, text) for text in ((*here, sign.name) if here else ())]
        texts += [(sign.key, False, text) for text in said.denials.get(sign.key, ())]
    meanings = Meanings(said)
    meanings.learn({word.text for _, _, text in texts for word in meanings.plain_words(text)})
    told = [[word for word in told_words(text, meanings) if word.meaning and not word.denies] for _, _, text in texts]
    signs_of: dict[str, set[str]] = defaultdict(set)
    for (key, _, _), words in zip(texts, told, strict=True):
        for word in words:
            signs_of[word.meaning].add(key)
    part = _parts(meanings)
    rarest = log((len(book.signs) + 1) / 1.5)
    weight = {
        meaning: part.get(meaning, 1.0) * max(log((len(book.signs) + 1) / (len(signs) + 0.5)), 0.1)
        for meaning, signs in signs_of.items()
    }
    rows: list[Phrase] = []
    for (key, there, text), words in zip(texts, told, strict=True):
        order = tuple(dict.fromkeys(word.meaning for word in words))
        weights = tuple(weight[meaning] for meaning in order)
        if order:
            denied = any(word.denied for word in words)
            rows.append(Phrase(key, there, order, weights, sum(weights), denied, text, _words(text, meanings)))
    return Phrases(meanings, tuple(rows), *_indexed(rows), weight, _users(rows), rarest)


def _users(rows: list[Phrase]) -> dict[str, tuple[str, ...]]:
    users: dict[str, dict[str, None]] = defaultdict(dict)
    for row in rows:
        if row.there and not row.denied:
            for meaning in row.meanings:
                users[meaning][row.sign] = None
    return {meaning: tuple(signs) for meaning, signs in users.items()}


def _words(text: str, meanings: Meanings) -> frozenset[str]:
    return frozenset(word.text for word in meanings.plain_words(text))


def _parts(meanings: Meanings) -> dict[str, float]:
    """Return by how much soft and everyday words weigh less."""
    said = meanings.said
    return {meanings.base(word): PLAIN for word in said.plain} | {meanings.base(word): SOFT for word in said.soft}


def _indexed(rows: list[Phrase]) -> tuple[dict[str, NDArray[np.int64]], dict[str, NDArray[np.float64]]]:
    places: dict[str, list[int]] = defaultdict(list)
    shares: dict[str, list[float]] = defaultdict(list)
    for at, row in enumerate(rows):
        for meaning, weight in zip(row.meanings, row.weights, strict=True):
            places[meaning].append(at)
            shares[meaning].append(weight / row.total)
    return {key: np.array(row) for key, row in places.items()}, {key: np.array(row) for key, row in shares.items()}
