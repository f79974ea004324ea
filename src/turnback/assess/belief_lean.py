"""Odds of causes moved by what is no sign: the likeness of a pilot's words to how others tell of each cause."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np

from turnback.assess.belief_tables import Tables, elementary, tables_of
from turnback.knowledge.book import Book
from turnback.records.belief import Lean


@lru_cache(maxsize=8)
def leaning(book: Book, lean: Lean) -> Tables:
    """Return the tables of a book with the odds of causes moved.

    The odds keep their sum, as where signs say a thing together: sets of two and three, and that nothing is wrong, are
    as common as before.

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
    odds = tables.odds.copy()
    odds[: tables.causes] *= np.exp(nats)
    odds *= tables.odds.sum() / odds.sum()
    one_else = np.append(odds[: tables.causes], odds[tables.causes :].sum())
    return replace(tables, odds=odds, share=sum(elementary(one_else)))
