"""Odds of causes moved by what is no sign: the likeness of a pilot's words to how others tell of each cause."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from turnback.assess.belief_tables import Tables, tables_of, with_odds_moved
from turnback.knowledge.book import Book
from turnback.records.belief import Lean


@lru_cache(maxsize=8)
def leaning(book: Book, lean: Lean) -> Tables:
    """Return the tables of a book with the odds of causes moved.

    That nothing is wrong stays as likely as before: words that are like a cause's are no sign of it.

    Parameters
    ----------
    book : Book
    lean : Lean
        Natural log odds by cause; causes that the book does not have move nothing.
    """
    tables = tables_of(book)
    if not lean:
        return tables
    moved = {one.cause: one.nats for one in lean}
    nats = np.array([moved.get(key, 0.0) for key in tables.keys[:-1]])
    return with_odds_moved(tables, np.exp(nats))[0]
