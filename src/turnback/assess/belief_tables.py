"""What belief needs of one book, made once: hypotheses, their prior, and how each shows each sign.

"Something else" is one cause to people and several atoms here: levels of how readily an unknown cause shows signs, of
which one holds. Sets with two levels have no prior.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_sets import Sets, sets_of
from turnback.knowledge.book import SOMETHING_ELSE, Book
from turnback.rules import belief as rules

Floats = NDArray[np.float64]

LEVELS: Final = 5


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """One book, ready for belief.

    Attributes
    ----------
    book : Book
    keys : tuple of str
        Of the causes, `SOMETHING_ELSE` last.
    sign_index : dict
        Sign key to its column.
    leak : ndarray
        Shape ``(signs,)``.
    hides : ndarray
        Shape ``(signs, atoms)``: chance that an atom alone does not show a sign: 1 - strength.
    sets : Sets
        Of all atoms: the causes, then the levels of something else.
    prior : ndarray
        Shape ``(sets,)``, sums to one.
    """

    book: Book
    keys: tuple[str, ...]
    sign_index: dict[str, int]
    leak: Floats
    hides: Floats
    sets: Sets
    prior: Floats = field(repr=False)

    @property
    def causes(self) -> int:
        """Causes of the book, without something else."""
        return len(self.keys) - 1


def else_levels() -> tuple[Floats, Floats]:
    """Return the strengths of something else and their weights: a beta distribution on `LEVELS` midpoints."""
    strength = (np.arange(LEVELS) + 0.5) / LEVELS
    mean, spread = rules.ELSE_SHOWS.value, rules.ELSE_SPREAD.value
    weight = strength ** (mean * spread - 1.0) * (1.0 - strength) ** ((1.0 - mean) * spread - 1.0)
    return strength, weight / weight.sum()


@lru_cache(maxsize=8)
def tables_of(book: Book) -> Tables:
    """Return the tables of a book; a book is one object, so they are made once."""
    return _tables(book)


def _tables(book: Book) -> Tables:
    causes, signs = len(book.causes), len(book.signs)
    strength, weight = else_levels()
    shows = np.concatenate([book.strength, np.repeat(strength[:, None], signs, axis=1)])
    sets = sets_of(causes + LEVELS)
    chance = np.array([cause.prior for cause in book.causes])
    odds = np.concatenate(
        [chance / (1.0 - chance), rules.SOMETHING_ELSE.value / (1.0 - rules.SOMETHING_ELSE.value) * weight]
    )
    prior = sets.products(odds[None, :])[0]
    prior[(np.sum((sets.members >= causes) & (sets.members < sets.atoms), axis=1)) > 1] = 0.0
    prior[0] = 0.0
    prior *= (1.0 - rules.NOTHING_WRONG.value) / prior.sum()
    prior[0] = rules.NOTHING_WRONG.value
    return Tables(
        book=book,
        keys=(*(cause.key for cause in book.causes), SOMETHING_ELSE),
        sign_index={sign.key: column for column, sign in enumerate(book.signs)},
        leak=np.array([sign.leak for sign in book.signs]),
        hides=np.ascontiguousarray(1.0 - shows.T),
        sets=sets,
        prior=prior,
    )  # fmt: skip
