"""What belief needs of one book, made once: how each cause shows each sign, and the prior.

"Something else" is one cause to people and several atoms here: levels of how readily an unknown cause shows signs, of
which one holds at most.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.knowledge.book import SOMETHING_ELSE, Book
from turnback.rules import belief as rules

Floats = NDArray[np.float64]

LEVELS: Final = 5


@dataclass(frozen=True, slots=True, eq=False)
class Tables:
    """One book, ready for belief. Atoms are its causes, then the levels of something else.

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
        Shape ``(signs, atoms)``: chance that an atom alone does not show a sign: 1 - strength. Above 1 for a cause that
        keeps away what is usually seen.
    odds : ndarray
        Shape ``(atoms,)``: prior odds.
    share : float
        What a set's product of odds is divided by: its sum over all sets of one to three causes.
    nothing_wrong : float
        Prior chance of no cause at all.
    """

    book: Book
    keys: tuple[str, ...]
    sign_index: dict[str, int]
    leak: Floats
    hides: Floats
    odds: Floats
    share: float
    nothing_wrong: float

    @property
    def causes(self) -> int:
        """Causes of the book, without something else."""
        return len(self.keys) - 1


def else_levels() -> tuple[Floats, Floats]:
    """Return the strengths of something else and their weights: a beta distribution on `LEVELS` midpoints."""
    part = (np.arange(LEVELS) + 0.5) / LEVELS
    mean, spread = rules.ELSE_SHOWS.value, rules.ELSE_SPREAD.value
    weight = part ** (mean * spread - 1.0) * (1.0 - part) ** ((1.0 - mean) * spread - 1.0)
    return part * rules.ELSE_MOST.value, weight / weight.sum()


def elementary(odds: Floats) -> tuple[float, float, float]:
    """Return the sums of products over all singles, pairs and triples."""
    one, two, three = (float(np.sum(odds**power)) for power in (1, 2, 3))
    return one, (one**2 - two) / 2.0, (one**3 - 3.0 * one * two + 2.0 * three) / 6.0


@lru_cache(maxsize=8)
def tables_of(book: Book) -> Tables:
    """Return the tables of a book; a book is one object, so they are made once."""
    strength, weight = else_levels()
    shows = np.concatenate([book.strength, np.repeat(strength[:, None], len(book.signs), axis=1)])
    prior = np.array([*(cause.prior for cause in book.causes), rules.SOMETHING_ELSE.value])
    odds = prior / (1.0 - prior)
    return Tables(
        book=book,
        keys=(*(cause.key for cause in book.causes), SOMETHING_ELSE),
        sign_index={sign.key: column for column, sign in enumerate(book.signs)},
        leak=np.array([sign.leak for sign in book.signs]),
        hides=np.ascontiguousarray(1.0 - shows.T),
        odds=np.concatenate([odds[:-1], odds[-1] * weight]),
        share=sum(elementary(odds)),
        nothing_wrong=rules.NOTHING_WRONG.value,
    )


def with_odds_moved(tables: Tables, factors: Floats) -> tuple[Tables, float]:
    """Return tables with the prior odds of causes moved beside one another, and by what their sum would have grown.

    The odds keep their sum, so that sets of two and three are as common as before; something else is moved by none.

    Parameters
    ----------
    tables : Tables
    factors : ndarray
        Shape ``(causes,)``: what the odds of each cause are multiplied by.
    """
    odds = tables.odds.copy()
    odds[: tables.causes] *= factors
    gain = float(odds.sum() / tables.odds.sum())
    odds /= gain
    one_else = np.append(odds[: tables.causes], odds[tables.causes :].sum())
    return replace(tables, odds=odds, share=sum(elementary(one_else))), gain
