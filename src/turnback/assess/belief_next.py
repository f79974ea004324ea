"""What to do next: the greatest expected information per minute of work, and looking before powering.

Information is the mutual information, in bits, between the joint outcome of up to four signs and which of the causes
that these signs speak about are there (Lindley, Annals of Mathematical Statistics 27, 1956). An answer may be wrong as
a whole, by the same rule as any answer. A sign that is certain already is left out; one that was told less surely
counts as that sure beforehand.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_evidence import WRONG, Group
from turnback.assess.belief_sets import sets_of, without_levels
from turnback.assess.belief_tables import Tables
from turnback.knowledge.book import Check, CheckKind
from turnback.records.belief import NextCheck, Outcome, Told
from turnback.rules import belief as rules

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RISK = {CheckKind.POWERED: 1, CheckKind.FLIGHT: 2}
"""Kinds in the order in which they may be offered; all others, 0, neither power up nor fly."""


@dataclass(frozen=True, slots=True, eq=False)
class Masses:
    """Chances by members, so that any few causes can be looked at without the other sets.

    Attributes
    ----------
    one, two, three : ndarray
        Shapes ``(atoms,)``, ``(atoms, atoms)``, ``(atoms, atoms, atoms)``: chance that the first is there, that first
        and second are, that exactly these three are; members in rising order, else 0.
    """

    one: Floats
    two: Floats
    three: Floats


def next_best(tables: Tables, groups: Sequence[Group], posterior: Floats, most: int) -> tuple[NextCheck, ...]:
    """Return what is worth doing next, best first.

    Parameters
    ----------
    tables : Tables
    groups : sequence of Group
        What was observed.
    posterior : ndarray
        Shape ``(sets,)``.
    most : int

    Returns
    -------
    tuple of NextCheck
        The safer ones first: powering up is offered where nothing safer tells more than a rule, flying after that.
    """
    masses = masses_of(tables, posterior)
    sure = {sign.sign: sign.chance for group in groups for sign in group.signs}
    offered: dict[int, list[Worth]] = {0: [], 1: [], 2: []}
    for one in tables.book.checks:
        found = worth(tables, masses, one, sure)
        if found is not None:
            offered[RISK.get(one.kind, 0)].append(found)
    chosen: list[Worth] = []
    for risk in sorted(offered):
        if any(found.bits > rules.SAFER_TELLS.value for found in chosen):
            break
        chosen += sorted(offered[risk], key=lambda found: (-found.bits / found.one.minutes, found.one.key))
    return tuple(_told(found, sure) for found in chosen[:most])


def masses_of(tables: Tables, posterior: Floats) -> Masses:
    """Return the posterior by members."""
    sets = tables.sets
    atoms, pairs_end = sets.atoms, sets.pair_at[-1]
    three = np.zeros((atoms, atoms, atoms))
    three.reshape(-1)[_flat_triples(atoms)] = posterior[pairs_end:]
    two = three.sum(axis=0) + three.sum(axis=1) + three.sum(axis=2)
    two[sets.members[1 + atoms : pairs_end, 0], sets.members[1 + atoms : pairs_end, 1]] += posterior[
        1 + atoms : pairs_end
    ]
    return Masses(sets.holding(posterior[None, :])[0], two, three)


@lru_cache(maxsize=8)
def _flat_triples(atoms: int) -> Ints:
    sets = sets_of(atoms)
    first, second, third = sets.members[sets.pair_at[-1] :].T
    return (first * atoms + second) * atoms + third


@dataclass(frozen=True, slots=True, eq=False)
class Worth:
    """What one of the book's checks tells.

    Attributes
    ----------
    one : Check
    signs : tuple of str
        Those that are not certain already.
    outcome : ndarray
        Shape ``(2 ** signs,)``: chances, from all seen to none seen, the last sign changing first.
    bits : float
    """

    one: Check
    signs: tuple[str, ...]
    outcome: Floats
    bits: float


def worth(tables: Tables, masses: Masses, one: Check, sure: dict[str, float]) -> Worth | None:
    """Return what one check tells, or none where it tells too little to be worth anything.

    Parameters
    ----------
    tables : Tables
    masses : Masses
    one : Check
    sure : dict
        Chance that a sign was seen, of the signs that were told of.
    """
    signs = tuple(sign for sign in one.signs if sure.get(sign, 0.5) not in {0.0, 1.0})
    if not signs:
        return None
    joint = joint_outcomes(tables, masses, signs, [sure.get(sign, 0.5) for sign in signs])
    bits = information_bits(joint)
    return Worth(one, signs, joint.sum(axis=1), bits) if bits >= rules.TELLS_LEAST.value else None


def _told(found: Worth, sure: dict[str, float]) -> NextCheck:
    outcomes = []
    for seen, chance in zip(product((True, False), repeat=len(found.signs)), found.outcome, strict=True):
        told = dict(zip(found.signs, seen, strict=True))
        whole = tuple(told.get(sign, sure.get(sign, 0.0) == 1.0) for sign in found.one.signs)
        outcomes.append(Outcome(whole, float(chance)))
    best_first = tuple(sorted(outcomes, key=lambda row: (-row.chance, row.seen)))
    return NextCheck(found.one.key, found.bits, found.one.minutes, best_first)


def joint_outcomes(tables: Tables, masses: Masses, signs: Sequence[str], sure: Sequence[float]) -> Floats:
    """Return the chance of each outcome with each set of the causes that show any of the signs.

    Returns
    -------
    ndarray
        Shape ``(2 ** signs, sets)``; outcomes from all seen to none seen, the last sign changing first.
    """
    columns = [tables.sign_index[sign] for sign in signs]
    own = np.flatnonzero((tables.hides[columns, : tables.causes] < 1.0).any(axis=0))
    atoms = np.concatenate([own, np.arange(tables.causes, tables.sets.atoms)])
    mass = _exactly(masses, atoms)
    local = sets_of(len(atoms))
    seen = 1.0 - (1.0 - tables.leak[columns, None]) * local.products(tables.hides[np.ix_(columns, atoms)])
    for row, chance in enumerate(sure):
        if chance != 0.5:
            seen[row] = seen[row] * chance / (seen[row] * chance + (1.0 - seen[row]) * (1.0 - chance))
    told = np.ones((1, local.count))
    for row in seen:
        told = np.stack([told * row, told * (1.0 - row)], axis=1).reshape(-1, local.count)
    wrong = WRONG[Told.CHECK].value
    joint = ((1.0 - wrong) * told + wrong * 0.5 ** len(signs)) * mass
    order, starts = without_levels(len(own), len(atoms))
    merged: Floats = np.add.reduceat(joint[:, order], starts, axis=1)
    return merged


def information_bits(joint: Floats) -> float:
    """Return the mutual information of a joint distribution's rows and columns, bits."""
    expected = joint.sum(axis=1, keepdims=True) * joint.sum(axis=0, keepdims=True)
    some = (joint > 0.0) & (expected > 0.0)
    return max(float(np.sum(joint[some] * np.log2(joint[some] / expected[some]))), 0.0)


def _exactly(masses: Masses, atoms: Ints) -> Floats:
    """Return the chance that of some atoms exactly these are there; in the order of their sets."""
    local = sets_of(len(atoms))
    three = masses.three[np.ix_(atoms, atoms, atoms)]
    two = masses.two[np.ix_(atoms, atoms)] - three.sum(axis=0) - three.sum(axis=1) - three.sum(axis=2)
    holding_three = three.sum(axis=(1, 2)) + three.sum(axis=(0, 2)) + three.sum(axis=(0, 1))
    one = masses.one[atoms] - two.sum(axis=1) - two.sum(axis=0) - holding_three
    none = 1.0 - one.sum() - two.sum() - three.sum()
    first, second, third = local.members.T
    singles, pairs = 1 + len(atoms), local.pair_at[-1]
    found = np.concatenate(
        [
            [none],
            one,
            two[first[singles:pairs], second[singles:pairs]],
            three[first[pairs:], second[pairs:], third[pairs:]],
        ]
    )
    return np.maximum(found, 0.0)
