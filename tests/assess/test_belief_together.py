"""What signs of a record say together: odds move, their sum stays, and each sign's own weight adds up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.assess.belief_books import made_book

from turnback.assess.belief import believe
from turnback.assess.belief_tables import tables_of
from turnback.assess.belief_together import added, surely, with_together
from turnback.knowledge.book import Book
from turnback.knowledge.together import NOTHING_WRONG, Together
from turnback.records.belief import Observation, Told


def told(sign: str, seen: bool = True, sure: float = 0.9, by: Told = Told.RECORD) -> Observation:
    return Observation(sign, seen, sure, f"of {sign}", by, sure if by is Told.RECORD else None)


def with_weights(book: Book, rows: dict[str, tuple[float, ...]]) -> Book:
    causes = tuple(cause.key for cause in book.causes)
    return replace(book, together=Together(tuple(rows), causes, np.array(list(rows.values()))))


def test_chances_are_those_of_a_book_in_which_the_causes_are_so_much_commoner() -> None:
    book = made_book(3, causes=4)
    sign = book.signs[0].key
    weights = (6.0, -4.0, 1.0, 0.0)
    lifted = believe(with_weights(book, {sign: weights}), [told(sign)], checks=0)
    tables = tables_of(book)
    grown = tables.odds[:4] * 10.0 ** (0.08 * np.array(weights))  # nine in ten sure: eight tenths of each weight
    grown *= tables.odds.sum() / (grown.sum() + tables.odds[4:].sum())
    priors = grown / (1.0 + grown)
    commoner = replace(
        book, causes=tuple(replace(one, prior=float(own)) for one, own in zip(book.causes, priors, strict=True))
    )
    other = believe(commoner, [told(sign)], checks=0)
    lift = {one.cause: one.chance for one in lifted.causes}
    plain = {one.cause: one.chance for one in other.causes}
    known = [key for key in lift if key in {cause.key for cause in book.causes}]
    ratios = [lift[key] / plain[key] for key in known]
    assert ratios == pytest.approx([ratios[0]] * len(known), rel=0.03)  # something else keeps its odds in one of them


def test_the_sum_of_odds_stays_and_a_sign_that_nobody_told_changes_nothing() -> None:
    book = made_book(5, causes=5)
    signs = [sign.key for sign in book.signs[:2]]
    moved, _ = with_together(tables_of(with_weights(book, {signs[0]: (9.0, -9.0, 3.0, 0.0, 1.0)})), [told(signs[0])])
    assert moved.odds.sum() == pytest.approx(tables_of(book).odds.sum())
    assert moved.odds[0] / moved.odds[1] == pytest.approx(
        tables_of(book).odds[0] / tables_of(book).odds[1] * 10.0 ** (0.8 * 1.8)
    )
    seen = [told(signs[0]), told(signs[1], seen=False)]
    before = believe(book, seen, checks=0)
    after = believe(with_weights(book, {"a-sign-not-told": (5.0,) * 5}), seen, checks=0)
    assert [(one.cause, one.chance) for one in after.causes] == [(one.cause, one.chance) for one in before.causes]


def test_what_speaks_for_nothing_wrong_raises_its_chance_alone() -> None:
    book = made_book(5, causes=3)
    sign = book.signs[0].key
    causes = (*(cause.key for cause in book.causes), NOTHING_WRONG)
    sound = replace(book, together=Together((sign,), causes, np.array([[0.0, 0.0, 0.0, 10.0]])))
    before, after = believe(book, [told(sign)], checks=0), believe(sound, [told(sign)], checks=0)
    odds = [one.nothing_wrong / (1.0 - one.nothing_wrong) for one in (before, after)]
    assert odds[1] / odds[0] == pytest.approx(10.0**0.8)
    assert [one.cause for one in after.causes] == [one.cause for one in before.causes]


def test_words_count_nothing_here_and_a_check_takes_a_record_s_word_away() -> None:
    assert surely([told("a", sure=0.8), told("b", by=Told.WORDS), told("c", seen=False, sure=0.7)]) == {
        "a": pytest.approx(0.6),
        "c": pytest.approx(-0.4),
    }
    assert surely([told("a"), told("a", seen=False, sure=0.6)]) == {"a": pytest.approx(0.8)}
    assert surely([told("a"), told("a", seen=False, by=Told.CHECK)]) == {}


def test_of_two_rivals_a_sign_s_weight_is_the_difference_of_its_two() -> None:
    chances = np.array([[0.3, 0.7, 0.0]])
    own = {"a": np.array([5.0, -2.0, 0.0])}
    assert added(own, ["a"], chances)[0, :2] == pytest.approx([7.0, -7.0])
    assert not added(own, ["b"], chances).any()


def test_taking_a_sign_away_takes_its_weight_away() -> None:
    book = made_book(7, causes=4)
    first, second = (sign.key for sign in book.signs[:2])
    weighed = with_weights(book, {first: (8.0, -8.0, 0.0, 0.0), second: (0.0, 2.0, -2.0, 0.0)})
    both = believe(weighed, [told(first), told(second)], checks=0)
    one = believe(weighed, [told(second)], checks=0)
    leader = book.causes[0].key
    odds = {
        name: next(each.chance for each in belief.causes if each.cause == leader)
        for name, belief in (("both", both), ("one", one))
    }
    moved = 10.0 * np.log10(odds["both"] / (1 - odds["both"]) / (odds["one"] / (1 - odds["one"])))
    weight = next(
        each.decibans for cause in both.causes if cause.cause == leader for each in cause.weights if each.sign == first
    )
    assert weight == pytest.approx(moved, abs=1.0)
