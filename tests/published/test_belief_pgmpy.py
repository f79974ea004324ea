"""Belief against another library's exact inference: pgmpy's variable elimination over the same tables.

The network: a root for each cause and for "something else", its level, a latent "this group is right" for each group, a
noisy-OR node for each sign, and under it what was told of it. That at most three causes are there, and how likely
"nothing wrong" is, enters as one observed node over all causes.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from itertools import product

import numpy as np
import pytest
from tests.assess.belief_books import levels, made_book, made_observations, wrong_of

from turnback.assess.belief import believe
from turnback.knowledge.book import SOMETHING_ELSE, Book
from turnback.records.belief import Observation
from turnback.rules import belief as rules

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination
    from pgmpy.models import DiscreteBayesianNetwork

pytestmark = pytest.mark.published

LEVEL = "level"


def cause_nodes(book: Book) -> dict[str, float]:
    """Return the roots that are causes, with their priors."""
    return {cause.key: cause.prior for cause in book.causes} | {SOMETHING_ELSE: rules.SOMETHING_ELSE.value}


def allowed(book: Book) -> TabularCPD:
    """Return the node that keeps sets to three causes and gives "nothing wrong" its prior."""
    priors = list(cause_nodes(book).values())
    rows = list(product((0, 1), repeat=len(priors)))
    chance = [np.prod([p if there else 1.0 - p for p, there in zip(priors, row, strict=True)]) for row in rows]
    some = sum(one for row, one in zip(rows, chance, strict=True) if 1 <= sum(row) <= 3)
    empty = rules.NOTHING_WRONG.value / (1.0 - rules.NOTHING_WRONG.value) * some / chance[0]
    factor = np.array([empty if not any(row) else float(sum(row) <= 3) for row in rows]) / max(1.0, empty)
    return TabularCPD(
        "allowed", 2, [1.0 - factor, factor], evidence=list(cause_nodes(book)), evidence_card=[2] * len(priors)
    )


def sign_node(book: Book, key: str) -> TabularCPD:
    """Return a sign's noisy-OR over the causes that show it, something else and its level."""
    row = next(number for number, one in enumerate(book.signs) if one.key == key)
    parents = [number for number in range(len(book.causes)) if book.strength[number, row] > 0.0]
    hidden = []
    for states in product((0, 1), repeat=len(parents) + 1):
        for level, _ in levels():
            chance = 1.0 - book.signs[row].leak
            for parent, there in zip(parents, states[:-1], strict=True):
                chance *= 1.0 - book.strength[parent, row] * there
            hidden.append(chance * (1.0 - level * states[-1]))
    names = [*(book.causes[parent].key for parent in parents), SOMETHING_ELSE, LEVEL]
    cards = [*(2 for _ in parents), 2, len(levels())]
    return TabularCPD(key, 2, [hidden, 1.0 - np.array(hidden)], evidence=names, evidence_card=cards)


def network(book: Book, observations: Sequence[Observation]) -> tuple[DiscreteBayesianNetwork, dict[str, int]]:
    """Return the network of a book with what was told, and the evidence."""
    tables = [TabularCPD(key, 2, [[1.0 - prior], [prior]]) for key, prior in cause_nodes(book).items()]
    tables += [TabularCPD(LEVEL, len(levels()), [[weight] for _, weight in levels()]), allowed(book)]
    evidence = {"allowed": 1}
    for told, group in sorted({(one.told, one.group) for one in observations}, key=str):
        wrong = wrong_of(told)
        tables.append(TabularCPD(f"right {told.value} {group}", 2, [[wrong], [1.0 - wrong]]))
    for one in observations:
        tables.append(sign_node(book, one.sign))
        # parents: the sign, then whether its group is right; what is told: not seen, seen
        right = np.array([[one.sure, 1.0 - one.sure], [1.0 - one.sure, one.sure]])
        table = np.empty((2, 4))
        table[:, 0::2], table[:, 1::2] = 0.5, right
        name = f"told {one.sign}"
        parents = [one.sign, f"right {one.told.value} {one.group}"]
        tables.append(TabularCPD(name, 2, table, evidence=parents, evidence_card=[2, 2]))
        evidence[name] = int(one.seen)
    model = DiscreteBayesianNetwork()
    for table in tables:
        model.add_node(table.variable)
        model.add_edges_from([(parent, table.variable) for parent in table.variables[1:]])
    model.add_cpds(*tables)
    assert model.check_model()
    return model, evidence


@pytest.mark.parametrize(("seed", "causes", "count"), [(0, 4, 4), (1, 5, 10), (2, 6, 8), (3, 8, 10), (4, 8, 6)])
def test_chances_are_those_of_variable_elimination(seed: int, causes: int, count: int) -> None:
    book = made_book(seed, causes=causes, signs=10)
    observations = made_observations(seed, book, count=count)
    model, evidence = network(book, observations)
    engine = VariableElimination(model)
    found = {one.cause: one.chance for one in believe(book, observations, checks=0).causes}
    assert len(found) == causes + 1
    for key, chance in found.items():
        peer = engine.query([key], evidence=evidence, show_progress=False).values[1]
        assert chance == pytest.approx(float(peer), abs=1e-9)
