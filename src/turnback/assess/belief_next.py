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
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_evidence import WRONG, Pooled
from turnback.assess.belief_kernel import outcomes_and_bits
from turnback.assess.belief_local import Local
from turnback.assess.belief_tables import Tables, elementary
from turnback.knowledge.book import Check, CheckKind
from turnback.records.belief import NextCheck, Outcome, Told
from turnback.rules import belief as rules

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RISK: Final = {CheckKind.POWERED: 1, CheckKind.FLIGHT: 2}
"""Kinds in the order in which they may be offered; all others, 0, neither power up nor fly."""
MOST_SIGNS: Final = 4


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """What a book's checks ask about.

    Attributes
    ----------
    columns : ndarray
        Shape ``(checks, MOST_SIGNS)``: of their signs; -1 where they have fewer.
    atoms : ndarray
        Of the causes that show any of these signs, one check after the other.
    begin : ndarray
        Shape ``(checks + 1,)``: where each begins in `atoms`.
    """

    columns: Ints
    atoms: Ints
    begin: Ints


@lru_cache(maxsize=8)
def asked(tables: Tables) -> Asked:
    """Return what the book's checks ask about; made once for each book."""
    columns = np.full((len(tables.book.checks), MOST_SIGNS), -1, dtype=np.int64)
    atoms = []
    for row, one in enumerate(tables.book.checks):
        own = [tables.sign_index[sign] for sign in one.signs]
        columns[row, : len(own)] = own
        atoms.append(np.flatnonzero((tables.hides[own, : tables.causes] != 1.0).any(axis=0)))
    begin = np.concatenate([[0], np.cumsum([own.size for own in atoms])]).astype(np.int64)
    return Asked(columns, np.concatenate([*atoms, np.empty(0, dtype=np.int64)]).astype(np.int64), begin)


def next_best(
    tables: Tables, local: Local, signs: Sequence[Pooled], likelihood: Floats, chance: Floats, most: int
) -> tuple[NextCheck, ...]:
    """Return what is worth doing next, best first.

    Parameters
    ----------
    tables : Tables
    local : Local
        The sets that the observed signs tell apart.
    signs : sequence of Pooled
        What was observed.
    likelihood : ndarray
        Shape ``(sets,)``, scaled so that with the prior it sums to one.
    chance : ndarray
        Shape ``(causes + 1,)``: of each cause, something else last.
    most : int

    Returns
    -------
    tuple of NextCheck
        The safer ones first: powering up is offered where nothing safer tells more than a rule, flying after that.
        Among the safe ones those first that ask about what the signs speak for.
    """
    if not tables.book.checks:
        return ()
    sure = np.full(tables.leak.size, 0.5)
    for told in signs:
        sure[tables.sign_index[told.sign]] = told.chance
    plan = asked(tables)
    outcome, bits = outcomes_and_bits(
        plan.columns, plan.atoms, plan.begin, sure, tables.leak, tables.hides, tables.causes,
        *_masses(tables, local, likelihood, chance), WRONG[Told.CHECK].value,
    )  # fmt: skip
    aside = ~on_the_point(tables, plan, chance)
    offered: dict[int, list[int]] = {0: [], 1: [], 2: []}
    for row, one in enumerate(tables.book.checks):
        if bits[row] >= rules.TELLS_LEAST.value:
            offered[RISK.get(one.kind, 0)].append(row)
    chosen: list[int] = []
    for risk in sorted(offered):
        if any(bits[row] > rules.SAFER_TELLS.value for row in chosen):
            break
        chosen += sorted(offered[risk], key=lambda row: (aside[row], -bits[row] / tables.book.checks[row].minutes, row))
    return tuple(
        _told(tables.book.checks[row], sure[plan.columns[row]], outcome[row], float(bits[row])) for row in chosen[:most]
    )


def on_the_point(tables: Tables, plan: Asked, chance: Floats) -> NDArray[np.bool_]:
    """Return which checks ask about a cause that what was told has lifted, shape ``(checks,)``; all where none is.

    Without this, common causes that nobody spoke of would be asked after first: much is unknown about them.
    """
    prior = np.array([cause.prior for cause in tables.book.causes])
    lifted = chance[:-1] >= rules.LIFTED.value * prior
    found = np.ones(len(tables.book.checks), dtype=np.bool_)
    if not lifted.any():
        return found
    for row in range(found.size):
        own = plan.columns[row][plan.columns[row] >= 0]
        shows = 1.0 - tables.hides[own, : tables.causes][:, lifted]
        found[row] = bool((shows >= rules.SHOWS_READILY.value).any())
    return found if found.any() else np.ones_like(found)


def _told(one: Check, sure: Floats, outcome: Floats, bits: float) -> NextCheck:
    """Return the record of a check; the first sign that is not certain is the lowest bit of an outcome's number."""
    certain = [chance in {0.0, 1.0} for chance in sure[: len(one.signs)]]
    rows = []
    for number in range(1 << certain.count(False)):
        left, seen = number, []
        for chance, fixed in zip(sure, certain, strict=False):
            seen.append(bool(chance) if fixed else bool(left & 1))
            left >>= not fixed
        rows.append(Outcome(tuple(seen), float(outcome[number])))
    return NextCheck(one.key, bits, one.minutes, tuple(sorted(rows, key=lambda row: (-row.chance, row.seen))))


def _masses(
    tables: Tables, local: Local, likelihood: Floats, chance: Floats
) -> tuple[Floats, Floats, Floats, Ints, Floats]:
    """Return what the kernel needs to know about any three atoms.

    Returns
    -------
    one, two : ndarray
        Shapes ``(atoms,)``, ``(atoms, atoms)``: chance that it is there, that both are there.
    exact : ndarray
        Shape ``(places + 1,) * 3``: chance, per product of the other atoms' odds, of sets with these members in rising
        order, the last place standing for no member.
    place : ndarray
        Shape ``(atoms,)``: of an atom in `exact`; -1 for the others.
    odds : ndarray
        Shape ``(atoms,)``.
    """
    count, total, others = local.sets.atoms, tables.odds.size, local.others
    weight = likelihood * local.own
    weight[0] = local.bare * likelihood[0]
    exact = np.zeros((count + 1, count + 1, count + 1))
    first, second, third = local.sets.members.T
    exact[first, second, third] = weight
    place = np.full(total, -1, dtype=np.int64)
    place[local.atoms] = np.arange(count)
    filled = elementary(tables.odds[others])[0]
    odds = tables.odds[others]
    three = exact[:count, :count, :count]
    pairs = exact[:count, :count, count]
    singles = exact[:count, count, count]
    both = pairs * (1.0 + filled) + three.sum(axis=0) + three.sum(axis=1) + three.sum(axis=2)
    two = np.zeros((total, total))
    two[np.ix_(local.atoms, local.atoms)] = both + both.T
    beside = (pairs + pairs.T).sum(axis=1)
    mixed = (singles[:, None] * (1.0 + filled - odds) + beside[:, None]) * odds
    two[np.ix_(local.atoms, others)] = mixed
    two[np.ix_(others, local.atoms)] = mixed.T
    rest = exact[count, count, count] * (1.0 + filled - odds[:, None] - odds[None, :]) + singles.sum()
    apart = rest * np.outer(odds, odds)
    np.fill_diagonal(apart, 0.0)
    two[np.ix_(others, others)] = apart
    one = np.empty(total)
    one[: tables.causes] = chance[:-1]
    one[tables.causes :] = local.sets.holding((likelihood * local.prior)[None, :])[0, -(total - tables.causes) :]
    return one, two, exact, place, tables.odds
