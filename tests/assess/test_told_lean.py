"""Which causes words are like: by the examples, the names and the phrases of their signs."""

from __future__ import annotations

from functools import cache
from time import perf_counter

import pytest

from turnback.assess.belief import believe
from turnback.assess.told_lean import lean_of
from turnback.assess.told_words import told_in_words
from turnback.flows.debrief import belief_of
from turnback.knowledge.book import SOMETHING_ELSE, Book
from turnback.knowledge.reading import read_book
from turnback.knowledge.ways import read_ways, ways_from
from turnback.records.belief import Judged, Leaning
from turnback.records.debrief import RecordSign, SignsTold, ToldInWords
from turnback.rules.told import LEAN_LEAST, LEAN_MOST


@cache
def book() -> Book:
    """Return the book."""
    return read_book()


def test_each_cause_has_examples_and_no_other_name_has() -> None:
    ways = read_ways()
    assert set(ways) == {cause.key for cause in book().causes}
    assert min(len(rows) for rows in ways.values()) >= 6
    assert ways_from('[ways]\na = ["b", "c"]') == {"a": ("b", "c")}


@pytest.mark.parametrize(
    ("said", "cause"),
    [
        ("then a gull went for it and pecked at a prop", "bird-strike"),
        ("the propeler nut was gone when we found it", "propeller-loose"),
        ("a kite line was all around one motor", "wire-or-line-struck"),
        ("in the middle of it my goggles ran out of battery", "goggles-battery-ran-flat"),
    ],
)
def test_unforeseen_words_lean_on_the_cause_they_are_about(said: str, cause: str) -> None:
    assert cause in [one.cause for one in lean_of(said, book())[:3]]


@pytest.mark.parametrize("said", ["", "...", "12 34 56", "is it safe to fly in rain?", "\u202e\x00"])
def test_what_tells_nothing_leans_on_nothing(said: str) -> None:
    assert lean_of(said, book()) == ()


def test_no_words_move_more_than_the_rule_says_and_more_of_the_same_add_nothing() -> None:
    said = "a crow hit it. birds, feathers, claw marks, an eagle, a hawk, gulls dived at the drone and it tumbled"
    lean = lean_of(said, book())
    assert lean[0].cause == "bird-strike"
    assert lean[0].nats == pytest.approx(LEAN_MOST.value)
    assert all(LEAN_LEAST.value <= one.nats <= LEAN_MOST.value + 1e-9 for one in lean)
    assert lean_of(f"{said}. {said}. {said}", book()) == lean


def test_a_lean_moves_the_odds_of_a_cause_by_what_it_says() -> None:
    before = {each.cause: each.chance for each in believe(book(), ()).causes}
    after = {each.cause: each.chance for each in believe(book(), (), lean=(Leaning("bird-strike", 1.0),)).causes}
    odds = [
        chances["bird-strike"] / chances["sun-in-the-goggles"] for chances in (before, after)
    ]  # two rare causes: sets of two and three hardly count
    assert odds[1] / odds[0] == pytest.approx(2.71828, rel=0.03)  # e, one nat
    assert after[SOMETHING_ELSE] == pytest.approx(before[SOMETHING_ELSE], rel=0.03)


def test_no_lean_alone_names_even_the_commonest_cause() -> None:
    common = max(book().causes, key=lambda cause: cause.prior).key
    assert believe(book(), (), lean=(Leaning(common, LEAN_MOST.value),)).judged is not Judged.CAUSE


def test_beside_a_record_words_lean_on_nothing() -> None:
    signs = SignsTold((RecordSign("volts-below-damage", True, 0.9, "volts"),))
    leans = ToldInWords(lean=(Leaning("bird-strike", 3.0),))
    with_lean, without = belief_of(book(), signs, leans, ()), belief_of(book(), signs, ToldInWords(), ())
    assert with_lean is not None and without is not None
    assert with_lean.causes == without.causes
    assert told_in_words(("a gull hit it",), book()).lean
    assert told_in_words(("a gull hit it",), book(), beside_record=True).lean == ()
    alone = belief_of(book(), SignsTold(), leans, ())
    assert alone is not None and alone.lean == leans.lean


def test_it_is_fast() -> None:
    said = "two minutes in it dropped behind the trees and I had no picture any more " * 5
    lean_of(said, book())
    began = perf_counter()
    for _ in range(20):
        lean_of(said, book())
    assert perf_counter() - began < 1.0  # 50 ms each, on a busy machine; it takes 1
