"""All sets of up to three of some atoms, in one flat order, with products and sums over them.

The order: the empty set, then singles, pairs and triples, each sorted by its first member, then the second, then the
third. In this order the triples that begin with one atom are that atom times a tail of the pairs; products and sums
over 57,000 sets then need no index.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Sets:
    """All sets of up to three of `atoms` atoms.

    Attributes
    ----------
    atoms, count : int
    pair_at : tuple of int
        Where the pairs of each first member begin; one more for the end.
    triple_at : tuple of int
        The same for triples.
    members : ndarray
        Shape ``(count, 3)``; `atoms` where a set has fewer members.
    """

    atoms: int
    count: int
    pair_at: tuple[int, ...]
    triple_at: tuple[int, ...]
    members: Ints = field(repr=False)

    def products(self, factors: Floats) -> Floats:
        """Return the product over each set's members.

        Parameters
        ----------
        factors : ndarray
            Shape ``(rows, atoms)``.

        Returns
        -------
        ndarray
            Shape ``(rows, count)``; 1 for the empty set.
        """
        out = np.empty((factors.shape[0], self.count))
        out[:, 0] = 1.0
        out[:, 1 : 1 + self.atoms] = factors
        for atom in range(self.atoms):
            own = factors[:, atom : atom + 1]
            begin, end = self.pair_at[atom], self.pair_at[atom + 1]
            np.multiply(own, factors[:, atom + 1 :], out=out[:, begin:end])
        last = self.pair_at[-1]
        for atom in range(self.atoms):
            begin, end = self.triple_at[atom], self.triple_at[atom + 1]
            pairs = out[:, self.pair_at[atom + 1] : last] if atom + 1 < self.atoms else out[:, :0]
            np.multiply(factors[:, atom : atom + 1], pairs, out=out[:, begin:end])
        return out

    def holding(self, weights: Floats) -> Floats:
        """Return, for each atom, the weight of all sets that hold it.

        Parameters
        ----------
        weights : ndarray
            Shape ``(rows, count)``.

        Returns
        -------
        ndarray
            Shape ``(rows, atoms)``.
        """
        first, last = 1 + self.atoms, self.pair_at[-1]
        pairs = weights[:, first:last].copy()
        found = weights[:, 1:first].copy()
        for atom in range(self.atoms - 1):
            block = weights[:, self.triple_at[atom] : self.triple_at[atom + 1]]
            found[:, atom] += block.sum(axis=1)
            pairs[:, self.pair_at[atom + 1] - first :] += block
        for atom in range(self.atoms):
            block = pairs[:, self.pair_at[atom] - first : self.pair_at[atom + 1] - first]
            found[:, atom] += block.sum(axis=1)
            found[:, atom + 1 :] += block
        return found


@lru_cache(maxsize=64)
def sets_of(atoms: int) -> Sets:
    """Return all sets of up to three of `atoms` atoms (0 or more)."""
    numbers = np.arange(atoms)
    left, right = np.triu_indices(atoms, 1)
    first, second, third = (np.empty(0, dtype=np.int64),) * 3
    if atoms >= 3:
        starts = [np.searchsorted(left, atom + 1) for atom in range(atoms)]
        first = np.repeat(numbers, [left.size - start for start in starts])
        second = np.concatenate([left[start:] for start in starts])
        third = np.concatenate([right[start:] for start in starts])
    none = np.full
    members = np.concatenate(
        [
            none((1, 3), atoms),
            np.column_stack([numbers, none(atoms, atoms), none(atoms, atoms)]),
            np.column_stack([left, right, none(left.size, atoms)]),
            np.column_stack([first, second, third]),
        ]
    )
    of_pairs = np.bincount(left, minlength=atoms) if atoms else np.zeros(0, dtype=np.int64)
    of_triples = np.bincount(first, minlength=atoms) if atoms else np.zeros(0, dtype=np.int64)
    pair_at = 1 + atoms + np.concatenate([[0], np.cumsum(of_pairs)])
    triple_at = int(pair_at[-1]) + np.concatenate([[0], np.cumsum(of_triples)])
    return Sets(
        atoms, len(members), tuple(int(at) for at in pair_at), tuple(int(at) for at in triple_at), members,
    )  # fmt: skip


@lru_cache(maxsize=128)
def without_levels(causes: int, atoms: int) -> tuple[Ints, Ints]:
    """Return how to see all atoms from a number of `causes` on as one, the levels of something else.

    Returns
    -------
    order, starts : ndarray
        An order of all sets that puts those together that are then one, and where each such run begins.
    """
    members = sets_of(atoms).members
    plain = np.where(members < atoms, np.minimum(members, causes), atoms)
    codes = (plain[:, 0] * (atoms + 1) + plain[:, 1]) * (atoms + 1) + plain[:, 2]
    order = np.argsort(codes, kind="stable")
    return order, np.flatnonzero(np.diff(codes[order], prepend=-1))
