"""What to do next: against going through every set and outcome, and never power before looking."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from math import log2

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.assess.belief_books import counted, hypotheses, levels, made_book, made_observations, shown

from turnback.assess.belief import believe
from turnback.knowledge.book import SOMETHING_ELSE, Book, Channel, Check, CheckKind
from turnback.knowledge.reading import read_book
from turnback.records.belief import Observation, Told
from turnback.rules import belief as rules

SEEDS = st.integers(0, 10_000)


def by_level(book: Book, observations: Sequence[Observation]) -> dict[tuple[tuple[str, ...], float], float]:
    """Return the chance of each set and level, by putting one level at a time in place of the mixture."""
    found = {}
    whole = counted(book, observations)
    alone = {level: 0.0 for level, _ in levels()}
    for causes, _ in hypotheses(book):
        if SOMETHING_ELSE not in causes:
            found[causes, 0.0] = whole[causes]
            continue
        # One group per observation and hard evidence below: the likelihood of a level is a plain product.
        parts = {}
        for level, weight in levels():
            chance = weight
            for one in observations:
                true = shown(book, causes, one.sign, level)
                wrong = {Told.WORDS: rules.WRONG_WORDS, Told.RECORD: rules.WRONG_RECORD,
                         Told.CHECK: rules.WRONG_ANSWER}[one.told].value  # fmt: skip
                chance *= (1.0 - wrong) * (true if one.seen else 1.0 - true) + wrong * 0.5
            parts[level] = chance
        for level, chance in parts.items():
            found[causes, level] = whole[causes] * chance / sum(parts.values())
            alone[level] += found[causes, level]
    return found


def searched(
    book: Book, observations: Sequence[Observation], one: Check
) -> tuple[float, dict[tuple[bool, ...], float]]:
    """Return bits and outcomes of one check, by going through every set, level and outcome."""
    speak = {
        cause.key
        for number, cause in enumerate(book.causes)
        for row, sign in enumerate(book.signs)
        if sign.key in one.signs and book.strength[number, row] > 0.0
    } | {SOMETHING_ELSE}
    joint: dict[tuple[tuple[bool, ...], frozenset[str]], float] = {}
    for (causes, level), chance in by_level(book, observations).items():
        for seen in product((True, False), repeat=len(one.signs)):
            true = 1.0
            for sign, was in zip(one.signs, seen, strict=True):
                sign_chance = shown(book, causes, sign, level)
                true *= sign_chance if was else 1.0 - sign_chance
            wrong = rules.WRONG_ANSWER.value
            key = seen, frozenset(causes) & speak
            told = (1.0 - wrong) * true + wrong * 0.5 ** len(one.signs)
            joint[key] = joint.get(key, 0.0) + chance * told
    outcome: dict[tuple[bool, ...], float] = {}
    there: dict[frozenset[str], float] = {}
    for (seen, causes_there), chance in joint.items():
        outcome[seen] = outcome.get(seen, 0.0) + chance
        there[causes_there] = there.get(causes_there, 0.0) + chance
    bits = sum(chance * log2(chance / outcome[seen] / there[causes_there])
               for (seen, causes_there), chance in joint.items() if chance > 0.0)  # fmt: skip
    return bits, outcome


def certain(seed: int, book: Book, count: int) -> tuple[Observation, ...]:
    """Return hard observations, each a group of its own."""
    return tuple(replace(one, sure=1.0, group=one.sign) for one in made_observations(seed, book, count=count))


@pytest.mark.parametrize("seed", range(4))
def test_the_best_is_that_of_an_exhaustive_search(seed: int) -> None:
    book = made_book(seed, causes=3 + seed, signs=7, checks=6)
    observations = certain(seed, book, 3)
    told = {one.sign for one in observations}
    book = replace(book, checks=tuple(one for one in book.checks if not told & set(one.signs)))
    expected = {one.key: searched(book, observations, one) for one in book.checks}
    found = believe(book, observations, checks=9).next_checks
    assert {one.check for one in found} == {k for k, row in expected.items() if row[0] >= rules.TELLS_LEAST.value}
    for one in found:
        bits, outcome = expected[one.check]
        assert one.bits == pytest.approx(bits, abs=1e-9)
        assert {row.seen: row.chance for row in one.outcomes} == pytest.approx(outcome, abs=1e-9)
    rates = [one.bits / one.minutes for one in found]
    assert rates == sorted(rates, reverse=True)


@settings(max_examples=15, deadline=None)
@given(SEEDS, SEEDS)
def test_outcomes_are_chances_and_bits_are_no_more_than_they_can_carry(seed: int, other: int) -> None:
    book = made_book(seed)
    for one in believe(book, made_observations(other, book, count=4)).next_checks:
        assert sum(row.chance for row in one.outcomes) == pytest.approx(1.0)
        spread = -sum(row.chance * log2(row.chance) for row in one.outcomes if row.chance > 0.0)
        assert rules.TELLS_LEAST.value <= one.bits <= spread + 1e-9


def test_signs_that_are_certain_tell_nothing_more() -> None:
    book = made_book(3)
    one = Check("again", "", CheckKind.LOOK, 1.0, ("s0", "s1"))
    book = replace(book, checks=(one,))
    assert believe(book, ()).next_checks
    hard = [Observation(sign, True, 1.0, "g", Told.CHECK) for sign in one.signs]
    assert believe(book, hard).next_checks == ()
    half = believe(book, hard[:1]).next_checks
    assert all(row.seen[0] for found in half for row in found.outcomes)


def test_signs_that_were_told_less_surely_tell_less() -> None:
    book = made_book(3)
    book = replace(book, checks=(Check("again", "", CheckKind.LOOK, 1.0, ("s0",)),))
    told = [believe(book, [Observation("s0", True, sure, "g", Told.WORDS)]).next_checks for sure in (0.9, 0.99, 0.999)]
    bits = [found[0].bits if found else 0.0 for found in told]
    assert bits == sorted(bits, reverse=True)
    assert bits[0] > bits[-1]


def test_an_answer_is_expected_to_be_what_was_told_before() -> None:
    book = made_book(3)
    book = replace(book, checks=(Check("again", "", CheckKind.LOOK, 1.0, ("s0",)),))

    def expected(*told: Observation) -> float:
        (found,) = believe(book, told).next_checks
        return next(row.chance for row in found.outcomes if row.seen == (True,))

    said = Observation("s0", True, 0.8, "g", Told.WORDS)
    assert expected(replace(said, seen=False)) < expected() < expected(said)


def with_kinds(kinds: Sequence[CheckKind], minutes: Sequence[float]) -> Book:
    """Return a book with the same check in several kinds."""
    own = [Check(kind.name, "", kind, minute, ("s0", "s1")) for kind, minute in zip(kinds, minutes, strict=True)]
    return replace(made_book(3), checks=tuple(own))


def test_nothing_is_powered_or_flown_while_looking_tells_enough() -> None:
    kinds = (CheckKind.FLIGHT, CheckKind.POWERED, CheckKind.LOOK, CheckKind.ASK)
    found = believe(with_kinds(kinds, (0.2, 0.2, 60.0, 30.0)), ()).next_checks
    assert [one.check for one in found] == ["ASK", "LOOK"]
    found = believe(with_kinds(kinds[:2], (0.2, 60.0)), ()).next_checks
    assert [one.check for one in found] == ["POWERED"]
    assert [one.check for one in believe(with_kinds(kinds[:1], (0.2,)), ()).next_checks] == ["FLIGHT"]


@settings(max_examples=15, deadline=None)
@given(SEEDS, SEEDS)
def test_what_is_risky_comes_only_after_all_that_is_safer_tells_little(seed: int, other: int) -> None:
    book = made_book(seed, checks=8)
    kinds = list(CheckKind)
    chance = np.random.default_rng(other)
    book = replace(book, checks=tuple(replace(one, kind=kinds[int(chance.integers(6))]) for one in book.checks))
    kind = {one.key: one.kind for one in book.checks}
    found = believe(book, made_observations(other, book, count=2), checks=99).next_checks
    for place, one in enumerate(found):
        if kind[one.check] in {CheckKind.POWERED, CheckKind.FLIGHT}:
            risk = list(CheckKind).index(kind[one.check])
            before = [row for row in found[:place] if kind[row.check] not in {CheckKind.POWERED, CheckKind.FLIGHT}
                      or list(CheckKind).index(kind[row.check]) < risk]  # fmt: skip
            assert all(row.bits <= rules.SAFER_TELLS.value for row in before)


def test_no_more_are_offered_than_asked_for() -> None:
    book = made_book(7, checks=9)
    assert len(believe(book, (), checks=2).next_checks) == 2
    assert believe(book, (), checks=0).next_checks == ()


def test_what_is_asked_first_is_about_what_was_told() -> None:
    book = read_book()
    keys = [sign.key for sign in book.signs]
    told = [sign for sign in book.signs if sign.channel is Channel.SAID][::6]
    assert len(told) > 10
    prior = np.array([cause.prior for cause in book.causes])
    places = {cause.key: place for place, cause in enumerate(book.causes)}
    checks = {check.key: check for check in book.checks}
    about = 0
    for sign in told:
        found = believe(book, [Observation(sign.key, True, 1.0, "one", Told.CHECK)])
        lifted = [places[one.cause] for one in found.causes if one.cause in places
                  and one.chance >= 2.0 * prior[places[one.cause]]]  # fmt: skip
        if not lifted or not found.next_checks:
            continue
        own = [keys.index(each) for each in checks[found.next_checks[0].check].signs]
        about += 1
        assert book.strength[np.ix_(lifted, own)].max() >= 0.3, sign.key
    assert about > 8
