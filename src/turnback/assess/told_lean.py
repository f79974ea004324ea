"""Which causes a pilot's words are like: by the words that they have in common with how others tell of each cause.

Naive Bayes (Maron, Journal of the ACM 8, 1961, of which words tell what a text is about): each word moves the log odds
of a cause by how much oftener it stands in what is told of that cause than in what is told of any. Told of a cause are
the examples of ``ways.toml``, its name, and the phrases of its signs, these by the share of the sign's strength that is
the cause's. Words hang together, so that all of them count by a part only, and no cause is moved by more than a rule
says: it makes no sign heard, and names nothing by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.hearing import ready
from turnback.assess.hearing_denied import deny, not_told
from turnback.assess.hearing_phrases import Phrases
from turnback.assess.hearing_words import Meanings
from turnback.knowledge.book import Book
from turnback.knowledge.ways import read_ways
from turnback.records.belief import Lean, Leaning
from turnback.rules.told import LEAN_LEAST, LEAN_MOST, LEAN_PART

Floats = NDArray[np.float64]

SMOOTH: Final = 2.0
"""Examples without a word of their own that each cause is given: few examples say little of rare words."""
RARE: Final = 3.0
"""Added to how often a word is used at all: one that was used once says less than one that was used often."""
LEAST_NATS: Final = -1.0
"""No word speaks more against a cause: that nobody used it yet in what is told of a cause says little."""
PHRASE: Final = 0.5
"""A phrase of a sign counts as half an example: it is short, and causes share it."""
SHOWS: Final = 0.15
"""Causes that show a sign less readily than this are not told of by its phrases."""


@dataclass(frozen=True, slots=True, eq=False)
class Likeness:
    """What each word says for each cause.

    Parameters
    ----------
    meanings : Meanings
        That know the words of the examples too.
    places : dict
        Of each word in `nats`.
    nats : ndarray
        Shape ``(words, causes)``.
    """

    meanings: Meanings
    places: dict[str, int]
    nats: Floats


def lean_of(text: str, book: Book) -> Lean:
    """Return how much the words of a text move the log odds of causes, the likest first.

    Parameters
    ----------
    text : str
        Of bounded length.
    book : Book

    Returns
    -------
    Lean
        Natural log odds by cause, those of at least `LEAN_LEAST`; empty where the words are like no cause's.
    """
    likeness = likeness_of(book)
    words = {word for row in _told(text, likeness.meanings) for word in row}
    places = sorted(likeness.places[word] for word in words if word in likeness.places)
    if not places:
        return ()
    said = likeness.nats[places].sum(axis=0)
    nats = LEAN_PART.value * (said - np.median(said))  # half of all causes are like none of it
    nats *= min(1.0, LEAN_MOST.value / max(nats.max(), 1e-9))
    order = sorted(np.flatnonzero(nats >= LEAN_LEAST.value), key=lambda at: (-nats[at], at))
    return tuple(Leaning(book.causes[at].key, float(nats[at])) for at in order)


@lru_cache(maxsize=4)
def likeness_of(book: Book) -> Likeness:
    """Return what each word says for each cause of a book; made once for each."""
    phrases = ready(book)
    meanings = Meanings(phrases.meanings.said)
    ways = read_ways()
    known = {word for row in phrases.rows for word in row.words}
    examples = [(cause.key, text) for cause in book.causes for text in (*ways.get(cause.key, ()), cause.name)]
    meanings.learn(known | {word.text for _, text in examples for word in meanings.plain_words(text)})
    index = {cause.key: at for at, cause in enumerate(book.causes)}
    places: dict[str, int] = {}
    rows: list[tuple[list[int], Floats]] = []
    for cause, text in examples:
        share = np.zeros(len(book.causes))
        share[index[cause]] = 1.0
        rows.append((_counted(text, meanings, places), share))
    rows += _of_phrases(book, phrases, places)
    told, whole = np.zeros((len(places), len(book.causes))), np.zeros(len(book.causes))
    for words, share in rows:
        told[words] += share
        whole += share
    usual = (told.sum(axis=1) + RARE) / (whole.sum() + 1.0)
    nats = np.log((told + SMOOTH * usual[:, None]) / (whole + SMOOTH) / usual[:, None])
    return Likeness(meanings, places, np.maximum(nats, LEAST_NATS))


def _of_phrases(book: Book, phrases: Phrases, places: dict[str, int]) -> Iterator[tuple[list[int], Floats]]:
    column = {sign.key: at for at, sign in enumerate(book.signs)}
    for row in phrases.rows:
        shows = book.strength[:, column[row.sign]]
        if row.there and shows.max() > SHOWS:
            share = np.where(shows > SHOWS, shows, 0.0) / shows.sum()
            words = [word for word in row.meanings if not word[0].isdigit()]
            yield [places.setdefault(word, len(places)) for word in words], PHRASE * share


def _counted(text: str, meanings: Meanings, places: dict[str, int]) -> list[int]:
    words = {word for row in _told(text, meanings) for word in row}
    return [places.setdefault(word, len(places)) for word in sorted(words)]


def _told(text: str, meanings: Meanings) -> Iterator[Sequence[str]]:
    """Return the words of each sentence that tells something; everyday ones and numbers are left out."""
    for row in meanings.sentences(text):
        asked = text[row[-1].end :].lstrip()[:1] == "?"
        if not_told(row, meanings, asked):
            continue
        deny(row, meanings)
        words = meanings.give(row)
        yield [word.meaning for word in words if word.meaning and not word.denies and not word.meaning[0].isdigit()]
