"""Saying a thing twice moves nothing: repeats, near copies, contradictions, and two kinds of source."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.assess.belief_books import made_book, made_observations

from turnback.assess.belief import believe
from turnback.assess.belief_evidence import likeness, pooled, shares
from turnback.assess.belief_tables import tables_of
from turnback.knowledge.book import Book
from turnback.knowledge.reading import read_book
from turnback.records.belief import Belief, Observation, Told
from turnback.rules import belief as rules

SEEDS = st.integers(0, 10_000)
MOST_MOVED = 0.02
BOOK = made_book(8)


def moved(first: Belief, second: Belief) -> float:
    """Return the largest move of any cause's chance, or of nothing wrong."""
    before = {one.cause: one.chance for one in first.causes}
    moves = [abs(before[one.cause] - one.chance) for one in second.causes]
    return max(*moves, abs(first.nothing_wrong - second.nothing_wrong))


def same(first: Belief, second: Belief) -> bool:
    """True where two beliefs agree to the last bit, whatever was observed."""
    return replace(first, observations=()) == replace(second, observations=())


def with_twin(book: Book, sign: str, seed: int) -> Book:
    """Return the book with a sign `twin` beside one of its signs, its strengths and leak a hundredth off at most."""
    row = next(number for number, one in enumerate(book.signs) if one.key == sign)
    nudge = np.random.default_rng(seed).uniform(0.99, 1.01, len(book.causes))
    own = 1.0 - book.strength[:, row]
    column = np.where(own < 1.0, np.clip(1.0 - own * nudge, 0.0, 1.0), 0.0)
    # Near the top a hundredth of what is hidden keeps seen and not seen alike; near the bottom of what is shown.
    column = np.where(book.strength[:, row] < 0.5, book.strength[:, row] * nudge, column)
    signs = (*book.signs, replace(book.signs[row], key="twin", leak=book.signs[row].leak * float(nudge[0])))
    return replace(book, signs=signs, strength=np.column_stack([book.strength, column]))


@settings(max_examples=30, deadline=None)
@given(SEEDS, SEEDS)
def test_repeating_any_sign_in_its_group_moves_nothing(seed: int, other: int) -> None:
    book = made_book(seed)
    observations = made_observations(other, book)
    for one in observations:
        more = (*observations, one, replace(one, sure=0.5 + (one.sure - 0.5) / 2.0))
        assert same(believe(book, observations), believe(book, more))


@settings(max_examples=40, deadline=None)
@given(SEEDS, SEEDS, SEEDS)
def test_a_near_copy_of_any_sign_moves_no_chance_by_more_than_two_hundredths(seed: int, other: int, third: int) -> None:
    book = made_book(seed)
    observations = made_observations(other, book)
    one = observations[third % len(observations)]
    twinned = with_twin(book, one.sign, third)
    more = (*observations, replace(one, sign="twin"))
    first, second = believe(twinned, observations, checks=0), believe(twinned, more, checks=0)
    assert moved(first, second) <= MOST_MOVED


@settings(max_examples=12, deadline=None)
@given(SEEDS, SEEDS)
def test_no_copy_moves_the_bundled_book_either(seed: int, third: int) -> None:
    book = read_book()
    observations = made_observations(seed, book, count=5)
    one = observations[third % len(observations)]
    repeated = believe(book, (*observations, one), checks=0)
    assert same(believe(book, observations, checks=0), repeated)
    twinned = with_twin(book, one.sign, third)
    more = (*observations, replace(one, sign="twin"))
    assert moved(believe(twinned, observations, checks=0), believe(twinned, more, checks=0)) <= MOST_MOVED


@pytest.mark.parametrize("told", list(Told))
@pytest.mark.parametrize("unsure", [0.95, 0.8, 0.65, 0.55])
def test_an_unsure_copy_does_not_water_down_a_sure_sign(told: Told, unsure: float) -> None:
    # These pairs of the bundled book are one sign under two names; a sentence tells them with a sureness each.
    book = read_book()
    for sign, copy in (
        ("said-spins", "motors-all-turn-against-scheme"),
        ("outputs-run-on-after-link-loss", "sticks-constant-after-link-loss"),
        ("said-radio-went-off", "radio-battery-flat"),
    ):
        for seen in (True, False):
            one = Observation(sign, seen, 0.99, "g", told)
            both = (one, replace(one, sign=copy, sure=unsure))
            assert moved(believe(book, (one,), checks=0), believe(book, both, checks=0)) <= MOST_MOVED


def test_copies_told_the_other_way_are_no_copies() -> None:
    alike = np.array([[1.0, 1.0, 0.4], [1.0, 1.0, 0.4], [0.4, 0.4, 1.0]])
    assert shares(alike, np.array([1.0, 2.0, 0.5])) == pytest.approx([0.0, 1.0, 0.6])
    assert shares(alike, np.array([-1.0, 2.0, 0.5])) == pytest.approx([1.0, 1.0, 0.6])


def test_the_same_copy_counted_as_a_sign_of_its_own_would_move_more() -> None:
    # The test above can fail: as a group of its own the copy counts in full.
    book = with_twin(made_book(4), "s1", 7)
    one = Observation("s1", True, 1.0, "g", Told.RECORD)
    alone = believe(book, (one,), checks=0)
    assert moved(alone, believe(book, (one, replace(one, sign="twin")), checks=0)) <= MOST_MOVED
    assert moved(alone, believe(book, (one, replace(one, sign="twin", group="h")), checks=0)) > MOST_MOVED


def test_a_sentence_said_again_counts_once() -> None:
    book = made_book(8)
    first = tuple(Observation(f"s{number}", True, 0.9, "one", Told.WORDS) for number in range(3))
    again = (*first, *(replace(one, group="two") for one in first))
    assert same(believe(book, first), believe(book, again))


def test_contradictions_of_one_source_cancel() -> None:
    book = made_book(8)
    yes = Observation("s0", True, 0.9, "g", Told.WORDS)
    rest = (Observation("s1", True, 0.8, "g", Told.WORDS),)
    for sure in (0.9, 1.0):
        both = (*rest, replace(yes, sure=sure), replace(yes, sure=sure, seen=False))
        assert same(believe(book, rest), believe(book, both))
    weaker = pooled(BOOK, (yes, replace(yes, seen=False, sure=0.6)))[0]
    assert weaker.log_odds == pytest.approx(np.log(9.0) - np.log(1.5))


def test_a_second_kind_of_source_counts_more_than_nothing_and_less_than_in_full() -> None:
    words = Observation("s0", True, 0.8, "sentence", Told.WORDS)
    record = Observation("s0", True, 0.9, "span", Told.RECORD)
    both = pooled(BOOK, (words, record))[0]
    assert both.log_odds == pytest.approx(np.log(9.0) + rules.SECOND_SOURCE.value * np.log(4.0))
    assert both.group == (Told.RECORD, "span")
    certain = pooled(BOOK, (words, replace(record, sure=1.0, seen=False)))[0]
    assert certain.log_odds == -np.inf


@settings(max_examples=30, deadline=None)
@given(SEEDS, SEEDS)
def test_one_group_never_outweighs_its_own_chance_of_error(seed: int, other: int) -> None:
    # However unlikely a set makes what one sentence says, the sentence may be wrong.
    book = made_book(seed)
    observations = tuple(replace(one, group="g", told=Told.WORDS) for one in made_observations(other, book, count=8))
    least = rules.WRONG_WORDS.value * 0.5 ** len(observations)
    most = 1.0 - rules.WRONG_WORDS.value + least
    before = {one.causes: one.chance for one in believe(book, (), checks=0).sets}
    after = {one.causes: one.chance for one in believe(book, observations, checks=0).sets}
    ratios = [after[causes] / before[causes] for causes in before if causes in after]
    assert all(one / another >= least / most for one in ratios for another in ratios)


def test_likeness_is_one_for_copies_and_none_for_others() -> None:
    book = with_twin(made_book(11), "s2", 3)
    tables = tables_of(book)
    columns = np.array([tables.sign_index[key] for key in ("s2", "twin", "s5")])
    found = likeness(tables, columns)
    assert found[0, 1] == 1.0
    assert found[0, 2] == 0.0
    assert np.array_equal(found, found.T)
