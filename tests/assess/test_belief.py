"""Belief is exact: held against counting every set, level and error one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.assess.belief_books import counted, made_book, made_observations

from turnback.assess.belief import believe
from turnback.assess.belief_local import local_of
from turnback.assess.belief_sets import sets_of
from turnback.assess.belief_tables import tables_of
from turnback.base.errors import InputError
from turnback.knowledge.book import SOMETHING_ELSE
from turnback.records.belief import Observation, Told
from turnback.rules import belief as rules

SEEDS = st.integers(0, 10_000)


@pytest.mark.parametrize("seed", range(6))
def test_belief_is_that_of_counting_every_set(seed: int) -> None:
    book = made_book(seed, causes=3 + seed)
    observations = made_observations(seed + 100, book)
    expected = counted(book, observations)
    belief = believe(book, observations, checks=0)
    assert belief.nothing_wrong == pytest.approx(expected[()], abs=1e-12)
    for one in belief.causes:
        assert one.chance == pytest.approx(sum(p for causes, p in expected.items() if one.cause in causes), abs=1e-12)
    for found in belief.sets:
        assert found.chance == pytest.approx(expected[found.causes], abs=1e-12)
    assert [one.chance for one in belief.sets] == pytest.approx(sorted(expected.values(), reverse=True)[:10], abs=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_weights_are_the_odds_with_a_sign_over_those_without_it(seed: int) -> None:
    book = made_book(seed, causes=4)
    observations = made_observations(seed, book, count=4)

    def odds(cause: str, told: tuple[Observation, ...]) -> float:
        chance = sum(p for causes, p in counted(book, told).items() if cause in causes)
        return chance / (1.0 - chance)

    for one in believe(book, observations, checks=0).causes:
        assert {weight.sign for weight in one.weights} == {told.sign for told in observations}
        for weight in one.weights:
            without = tuple(told for told in observations if told.sign != weight.sign)
            expected = 10.0 * np.log10(odds(one.cause, observations) / odds(one.cause, without))
            assert weight.decibans == pytest.approx(expected, abs=1e-8)


def test_without_observations_belief_is_the_prior() -> None:
    book = made_book(3)
    belief = believe(book, ())
    assert belief.nothing_wrong == pytest.approx(rules.NOTHING_WRONG.value)
    expected = counted(book, ())
    assert {one.cause: one.chance for one in belief.causes}["c0"] == pytest.approx(
        sum(p for causes, p in expected.items() if "c0" in causes)
    )


@settings(max_examples=20, deadline=None)
@given(SEEDS, SEEDS)
def test_order_does_not_matter_and_chances_are_chances(seed: int, other: int) -> None:
    book = made_book(seed)
    observations = made_observations(other, book)
    mixed = [observations[place] for place in np.random.default_rng(other).permutation(len(observations))]
    first, second = believe(book, observations), believe(book, mixed)
    assert replace(first, observations=()) == replace(second, observations=())
    assert all(0.0 <= one.chance <= 1.0 for one in first.causes)
    assert sum(one.chance for one in first.sets) <= 1.0 + 1e-12


@settings(max_examples=20, deadline=None)
@given(SEEDS, SEEDS, st.floats(0.5, 0.99), st.floats(0.0, 1.0))
def test_a_surer_sign_moves_belief_further_the_same_way(seed: int, other: int, sure: float, more: float) -> None:
    book = made_book(seed)
    surer = sure + (1.0 - sure) * more

    def chance(value: float) -> float:
        found = believe(book, (Observation("s0", True, value, "g", Told.WORDS),), checks=0)
        return next(one.chance for one in found.causes if one.cause == f"c{other % 6}")

    # Between the prior and hard evidence the chance of a cause goes one way.
    moved, moved_more = chance(sure) - chance(0.5), chance(surer) - chance(0.5)
    assert abs(moved) <= abs(moved_more) + 1e-12
    assert moved * moved_more >= -1e-15


def test_a_sign_that_says_nothing_changes_nothing_to_the_last_bit() -> None:
    book = made_book(5)
    observations = made_observations(9, book, count=4)
    told = {one.sign for one in observations}
    silent = next(sign.key for sign in book.signs if sign.key not in told)
    more = (*observations, Observation(silent, True, 0.5, "g0", Told.WORDS))
    first, second = believe(book, observations), believe(book, more)
    assert replace(first, observations=()) == replace(second, observations=())


def test_the_unknown_cause_leads_where_signs_of_unlike_causes_come_together() -> None:
    book = made_book(1, causes=8, signs=8)
    book = replace(book, strength=np.where(np.eye(8) > 0, 0.9, 0.0))
    observations = [Observation(f"s{number}", True, 1.0, f"g{number}", Told.RECORD) for number in range(6)]
    assert believe(book, observations).causes[0].cause == SOMETHING_ELSE


def test_hundreds_of_signs_do_not_underflow() -> None:
    book = made_book(2, causes=5, signs=400)
    observations = [Observation(sign.key, True, 1.0, sign.key, Told.RECORD) for sign in book.signs]
    belief = believe(book, observations, checks=0)
    assert sum(one.chance for one in belief.sets) == pytest.approx(1.0, abs=0.05)


def test_signs_that_the_book_does_not_have_are_told_all_at_once() -> None:
    wrong = [Observation("s0", True, 0.4, "g", Told.WORDS), Observation("no-such", True, 0.9, "g", Told.WORDS)]
    with pytest.raises(InputError) as error:
        believe(made_book(0), wrong)
    assert len(error.value.faults) == 2


def test_causes_that_show_nothing_observed_are_summed_not_left_out() -> None:
    # Thirty causes, of which three show what was observed: most sets are summed in closed form.
    book = made_book(6, causes=30)
    quiet = np.arange(30) >= 3
    book = replace(book, strength=np.where(quiet[:, None] & (np.arange(8) < 2), 0.0, book.strength))
    observations = [Observation("s0", True, 0.9, "g", Told.WORDS), Observation("s1", False, 0.8, "h", Told.WORDS)]
    found, expected = believe(book, observations, checks=0), counted(book, observations)
    assert len(local_of(tables_of(book), np.array([0, 1])).others) > 10
    for one in found.causes:
        assert one.chance == pytest.approx(sum(p for causes, p in expected.items() if one.cause in causes), abs=1e-12)
    for likely, (causes, chance) in zip(found.sets, sorted(expected.items(), key=lambda row: -row[1]), strict=False):
        assert likely.chance == pytest.approx(chance, abs=1e-12)
        assert expected[likely.causes] == pytest.approx(expected[causes], abs=1e-12)
    assert found.nothing_wrong == pytest.approx(expected[()], abs=1e-12)


@pytest.mark.parametrize("atoms", [0, 1, 2, 3, 7])
def test_products_and_sums_go_over_every_set_once(atoms: int) -> None:
    sets = sets_of(atoms)
    factors = np.random.default_rng(atoms).uniform(0.1, 2.0, (2, atoms))
    own = [[member for member in row if member < atoms] for row in sets.members.tolist()]
    assert len({tuple(row) for row in own}) == sets.count
    expected = np.array([[np.prod([row[member] for member in one]) for one in own] for row in factors])
    assert sets.products(factors) == pytest.approx(expected)
    holding = [[sum(row[place] for place, one in enumerate(own) if atom in one) for atom in range(atoms)]
               for row in expected]  # fmt: skip
    assert sets.holding(expected) == pytest.approx(np.array(holding).reshape(2, atoms))
