"""What is believed for what was observed: exact over all sets of up to three causes, something else and nothing wrong.

A set of causes shows a sign as a noisy-OR with a leak (Pearl, Probabilistic Reasoning in Intelligent Systems, 1988,
section 4.3.2); a sign that nobody observed drops out. Words of any kind are made of this in `report`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_evidence import Group, groups_of
from turnback.assess.belief_judge import judged
from turnback.assess.belief_next import next_best
from turnback.assess.belief_sets import without_levels
from turnback.assess.belief_tables import Tables, tables_of
from turnback.knowledge.book import Book
from turnback.records.belief import Belief, Believed, CauseSet, Observation, Weight

Floats = NDArray[np.float64]

MOST_SETS = 10


def believe(book: Book, observations: Sequence[Observation], *, checks: int = 5) -> Belief:
    """Return what is believed after all observations, and what would decide.

    Parameters
    ----------
    book : Book
    observations : sequence of Observation
        In any order.
    checks : int
        How many next ones to offer at most; 0 saves their time.

    Returns
    -------
    Belief

    Raises
    ------
    InputError
        For a sign that the book does not have, and for `sure` outside 0.5 to 1.
    """
    tables = tables_of(book)
    groups = groups_of(tables, observations)
    told = np.stack([tables.prior, *(group.told_by(range(len(group.signs))) for group in groups)])
    posterior = _posterior(told)
    chance = _by_cause(tables, posterior[None, :])[0]
    causes = _believed(tables, chance, _weights(tables, groups, told, posterior, chance))
    nothing_wrong = float(posterior[0])
    sort, survivors = judged(book, causes, nothing_wrong, observations)
    return Belief(
        judged=sort,
        survivors=survivors,
        causes=causes,
        nothing_wrong=nothing_wrong,
        sets=_top_sets(tables, posterior),
        observations=tuple(observations),
        next_checks=next_best(tables, groups, posterior, checks) if checks > 0 else (),
    )


def set_chances(book: Book, observations: Sequence[Observation]) -> Floats:
    """Return the chance of every set, in the order of ``tables_of(book).sets``; shape ``(sets,)``."""
    tables = tables_of(book)
    groups = groups_of(tables, observations)
    return _posterior(np.stack([tables.prior, *(group.told_by(range(len(group.signs))) for group in groups)]))


def _posterior(told: Floats) -> Floats:
    joint = told[0].copy()
    for row in told[1:]:
        joint *= row
        joint /= joint.max()  # hundreds of signs would underflow
    result: Floats = joint / joint.sum()
    return result


def _by_cause(tables: Tables, posterior: Floats) -> Floats:
    """Return each cause's chance, something else last; shape ``(rows, causes + 1)``."""
    holding = tables.sets.holding(posterior)
    return np.concatenate([holding[:, : tables.causes], holding[:, tables.causes :].sum(axis=1, keepdims=True)], axis=1)


def _weights(
    tables: Tables, groups: Sequence[Group], told: Floats, posterior: Floats, chance: Floats
) -> list[tuple[str, bool, Floats]]:
    """Return (sign, seen, decibans per cause): the odds with the sign over those without it, all else kept."""
    names, without = [], []
    for row, group in enumerate(groups, start=1):
        for left_out, sign in enumerate(group.signs):
            rest = [place for place in range(len(group.signs)) if place != left_out]
            ratio = posterior / told[row]
            without.append(ratio * group.told_by(rest) if rest else ratio)
            names.append(sign)
    if not names:
        return []
    stack = np.stack(without)
    before = _by_cause(tables, stack / stack.sum(axis=1, keepdims=True))
    decibans = 10.0 * (_log10_odds(chance)[None, :] - _log10_odds(before))
    return [(sign.sign, sign.seen, row) for sign, row in zip(names, decibans, strict=True)]


def _log10_odds(chance: Floats) -> Floats:
    held = np.clip(chance, 1e-300, 1.0)
    result: Floats = np.log10(held) - np.log10(np.clip(1.0 - chance, 1e-16, 1.0))
    return result


def _believed(tables: Tables, chance: Floats, weights: list[tuple[str, bool, Floats]]) -> tuple[Believed, ...]:
    order = sorted(range(len(tables.keys)), key=lambda place: (-chance[place], tables.keys[place]))
    return tuple(
        Believed(
            tables.keys[place],
            min(float(chance[place]), 1.0),
            tuple(
                sorted(
                    (Weight(sign, seen, float(row[place])) for sign, seen, row in weights),
                    key=lambda weight: (-abs(weight.decibans), weight.sign),
                )
            ),
        )
        for place in order
    )


def _top_sets(tables: Tables, posterior: Floats) -> tuple[CauseSet, ...]:
    """Return the likeliest sets; the levels of something else are told as one."""
    order, starts = without_levels(tables.causes, tables.sets.atoms)
    chance = np.add.reduceat(posterior[order], starts)
    some = min(chance.size, 2 * MOST_SETS)
    found = []
    for place in np.argpartition(chance, chance.size - some)[-some:]:
        members = tables.sets.members[order[starts[place]]]
        names = tuple(tables.keys[min(int(one), tables.causes)] for one in members if one < tables.sets.atoms)
        if len(set(names)) == len(names):
            found.append(CauseSet(names, min(float(chance[place]), 1.0)))
    return tuple(sorted(found, key=lambda one: (-one.chance, one.causes))[:MOST_SETS])
