"""What is believed for what was observed: exact over all sets of up to three causes, something else and nothing wrong.

A set of causes shows a sign as a noisy-OR with a leak (Pearl, Probabilistic Reasoning in Intelligent Systems, 1988,
section 4.3.2); a sign that nobody observed drops out. Words of any kind are made of this in `report`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_evidence import Grouped, grouped
from turnback.assess.belief_judge import judged
from turnback.assess.belief_lean import leaning
from turnback.assess.belief_local import Local, local_of
from turnback.assess.belief_next import next_best
from turnback.assess.belief_sets import without_levels
from turnback.assess.belief_tables import Tables
from turnback.assess.belief_together import added, with_together
from turnback.assess.belief_told import told_by_sets
from turnback.knowledge.book import Book
from turnback.records.belief import Belief, Believed, CauseSet, Lean, Observation, Weight

Floats = NDArray[np.float64]

MOST_SETS = 10


def believe(
    book: Book, observations: Sequence[Observation], *, checks: int = 5, weights: bool = True, lean: Lean = ()
) -> Belief:
    """Return what is believed after all observations, and what would decide.

    Parameters
    ----------
    book : Book
    observations : sequence of Observation
        In any order.
    checks : int
        How many next ones to offer at most; 0 saves their time.
    weights : bool
        Whether to tell what each sign says for or against each cause; without, two thirds of the time are saved.
    lean : Lean
        What moves the odds of causes beside the observations.

    Returns
    -------
    Belief

    Raises
    ------
    InputError
        For a sign that the book does not have, and for `sure` outside 0.5 to 1.
    """
    tables, weighed = with_together(leaning(book, lean), observations)
    told = grouped(tables, observations)
    local = local_of(tables, told.columns)
    likelihood, holding, bare = told_by_sets(
        local.sets.members, local.prior, local.own, _hides(tables, local, told), tables.leak[told.columns],
        np.array([one.chance for one in told.signs]), told.weights, told.begin, told.wrong, weights,
    )  # fmt: skip
    likelihood /= likelihood @ local.prior
    chance = local.by_cause(tables, *_sums(local, likelihood))[0]
    decibans = np.zeros((0, chance.size))
    if weights:
        without = local.by_cause(tables, holding[:-1].T, bare.T)
        decibans = 10.0 * (_log10_odds(chance)[None, :] - _log10_odds(without))
        decibans += added(weighed, [one.sign for one in told.signs], without)
    causes = _believed(tables, chance, told, decibans)
    nothing_wrong = float(likelihood[0] * local.own[0])
    sort, survivors = judged(book, causes, nothing_wrong, observations)
    return Belief(
        judged=sort,
        survivors=survivors,
        causes=causes,
        nothing_wrong=nothing_wrong,
        sets=_top_sets(tables, local, likelihood),
        observations=tuple(observations),
        next_checks=next_best(tables, local, told.signs, likelihood, chance, checks) if checks > 0 else (),
        lean=lean,
    )


def _hides(tables: Tables, local: Local, told: Grouped) -> Floats:
    """Return the chances that each atom hides each sign, and a last row for no atom."""
    own = tables.hides[np.ix_(told.columns, local.atoms)]
    return np.concatenate([own.T, np.ones((1, told.columns.size))])


def _sums(local: Local, likelihood: Floats) -> tuple[Floats, Floats]:
    """Return what `Local.by_cause` needs for one row of likelihoods."""
    singles, pairs = 1 + local.sets.atoms, local.sets.pair_at[-1]
    exact = likelihood * local.own
    sums = [1.0, likelihood[0], exact[1:singles].sum(), exact[singles:pairs].sum()]
    return local.sets.holding((likelihood * local.prior)[None, :]), np.array([sums])


def _log10_odds(chance: Floats) -> Floats:
    held = np.clip(chance, 1e-300, 1.0)
    result: Floats = np.log10(held) - np.log10(np.clip(1.0 - chance, 1e-16, 1.0))
    return result


def _believed(tables: Tables, chance: Floats, told: Grouped, decibans: Floats) -> tuple[Believed, ...]:
    def weights(place: int) -> tuple[Weight, ...]:
        own = [Weight(one.sign, one.seen, float(row[place])) for one, row in zip(told.signs, decibans, strict=False)]
        return tuple(sorted(own, key=lambda weight: (-abs(weight.decibans), weight.sign)))

    order = sorted(range(len(tables.keys)), key=lambda place: (-chance[place], tables.keys[place]))
    return tuple(Believed(tables.keys[place], min(float(chance[place]), 1.0), weights(place)) for place in order)


def _top_sets(tables: Tables, local: Local, likelihood: Floats) -> tuple[CauseSet, ...]:
    """Return the likeliest sets; the levels of something else are told as one."""
    causes = int(np.sum(local.atoms < tables.causes))
    order, starts = without_levels(causes, local.sets.atoms)
    chance = np.add.reduceat((likelihood * local.own)[order], starts)
    some = min(chance.size, 2 * MOST_SETS)
    found = []
    for place in np.argpartition(chance, chance.size - some)[-some:]:
        members = [int(one) for one in local.sets.members[order[starts[place]]] if one < local.sets.atoms]
        names = tuple(tables.keys[min(int(local.atoms[one]), tables.causes)] for one in members)
        if len(set(names)) == len(names):
            found.append(CauseSet(names, min(float(chance[place]), 1.0)))
    return tuple(sorted(found, key=lambda one: (-one.chance, one.causes))[:MOST_SETS])
