"""The hypotheses that a few signs tell apart.

Causes that show none of the observed signs cannot be told from one another by them: a set's likelihood depends only on
its members that do. So sets are gone through over those members alone, and all ways to fill a set up with the others
are summed in closed form (elementary symmetric sums of their prior odds). Nothing is left out: 119 causes need 281,000
sets, of which a dozen signs tell some ten thousand apart.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_sets import Sets, sets_of
from turnback.assess.belief_tables import Tables, elementary

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LIKELIEST: Final = 12
"""So many other causes are gone through as well: the ten likeliest sets are then among those gone through."""
STEP: Final = 8
"""Numbers of atoms are rounded up to a multiple of this, so that few kinds of sets are kept."""


@dataclass(frozen=True, slots=True, eq=False)
class Local:
    """Sets over the atoms that matter.

    Attributes
    ----------
    atoms, others : ndarray
        Of the book: those gone through, in rising order, levels of something else last; and the causes left.
    sets : Sets
        Of the places in `atoms`.
    own : ndarray
        Shape ``(sets,)``: prior of exactly this set.
    bare : float
        Prior per product of odds.
    prior : ndarray
        Shape ``(sets,)``: with all ways to fill it up with others; sums to one.
    """

    atoms: Ints
    others: Ints
    sets: Sets
    own: Floats = field(repr=False)
    bare: float
    prior: Floats = field(repr=False)

    def by_cause(self, tables: Tables, holding: Floats, bare: Floats) -> Floats:
        """Return each cause's chance, something else last.

        Parameters
        ----------
        tables : Tables
        holding : ndarray
            Shape ``(rows, atoms)``: joint chance that one of `atoms` is there.
        bare : ndarray
            Shape ``(rows, 4)``: of all sets together; then of sets of exactly none (its likelihood alone), one and two
            of `atoms`.

        Returns
        -------
        ndarray
            Shape ``(rows, causes + 1)``.
        """
        causes = int(np.sum(self.atoms < tables.causes))
        found = np.zeros((holding.shape[0], tables.causes + 1))
        found[:, self.atoms[:causes]] = holding[:, :causes]
        found[:, -1] = holding[:, causes:].sum(axis=1)
        if self.others.size:
            none, one, two = self.bare * bare[:, 1:2], bare[:, 2:3], bare[:, 3:4]
            odds = tables.odds[self.others]
            rest = odds.sum() - odds
            rest_two = elementary(odds)[1] - odds * rest
            found[:, self.others] = odds * (none * (1.0 + rest + rest_two) + one * (1.0 + rest) + two)
        result: Floats = found / bare[:, :1]
        return result


def local_of(tables: Tables, columns: Ints) -> Local:
    """Return the sets that some signs tell apart.

    Parameters
    ----------
    tables : Tables
    columns : ndarray
        Of the signs that were observed.
    """
    causes = tables.causes
    shown = (tables.hides[columns, :causes] != 1.0).any(axis=0)
    order = np.lexsort((np.arange(causes), -tables.odds[:causes], ~shown))  # those shown, then by odds
    count = int(shown.sum()) + LIKELIEST
    kept = np.sort(order[: count + -count % STEP])
    others = np.setdiff1d(np.arange(causes), kept)
    atoms = np.concatenate([kept, np.arange(causes, tables.odds.size)])
    sets = sets_of(len(atoms))
    product = sets.products(tables.odds[None, atoms])[0]
    product[levels_held(kept.size, len(atoms)) > 1] = 0.0
    bare = (1.0 - tables.nothing_wrong) / tables.share
    own = bare * product
    own[0] = tables.nothing_wrong
    one, two, three = elementary(tables.odds[others])
    singles, pairs = 1 + sets.atoms, sets.pair_at[-1]
    prior = own.copy()
    prior[0] += bare * (one + two + three)
    prior[1:singles] *= 1.0 + one + two
    prior[singles:pairs] *= 1.0 + one
    return Local(atoms, others, sets, own, bare, prior)


@lru_cache(maxsize=32)
def levels_held(causes: int, atoms: int) -> Ints:
    """Return how many levels of something else each set holds; shape ``(sets,)``."""
    members = sets_of(atoms).members
    held: Ints = np.sum((members >= causes) & (members < atoms), axis=1)
    return held
