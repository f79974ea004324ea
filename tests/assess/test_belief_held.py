"""Chances held against flown cases: the leader gets the curve's, others what is left, and later words still count."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from tests.assess.belief_books import made_book, made_observations

from turnback.assess.belief import believe
from turnback.assess.belief_held import held_to_flights, shifts
from turnback.knowledge.from_study import held_chance
from turnback.records.belief import Believed, Judged, Observation, Told
from turnback.rules import belief as rules

MODEST = ((0.0, 0.0), (0.25, 0.5), (0.9, 0.8), (1.0, 0.85))
"""A curve that raises small chances and lowers great ones."""


def log_odds(chance: float) -> float:
    return math.log(chance / (1.0 - chance))


def test_the_curve_is_straight_between_its_knots() -> None:
    assert held_chance(MODEST, 0.125) == pytest.approx(0.25)
    assert held_chance(MODEST, 0.95) == pytest.approx(0.825)
    assert held_chance((), 0.37) == 0.37


@pytest.mark.parametrize("seed", range(4))
def test_the_likeliest_cause_gets_what_the_curve_says_and_none_passes_it(seed: int) -> None:
    book = made_book(seed, causes=5)
    belief = believe(book, made_observations(seed, book), checks=0)
    held = held_to_flights(book, belief, MODEST)
    assert held.causes[0].cause == belief.causes[0].cause
    assert held.causes[0].chance == pytest.approx(held_chance(MODEST, belief.causes[0].chance))
    assert all(one.chance <= held.causes[0].chance + 1e-9 for one in held.causes)
    assert held.nothing_wrong <= belief.nothing_wrong + 1e-12


def test_others_share_what_the_leader_leaves() -> None:
    told = (Believed("a", 0.25, ()), Believed("b", 0.2, ()), Believed("c", 0.02, ()))
    moved = shifts(told, 0.3, MODEST)
    after = {one.cause: 1 / (1 + math.exp(-log_odds(one.chance) - moved[one.cause])) for one in told}
    assert after["a"] == pytest.approx(0.5)
    assert after["b"] == pytest.approx(0.2 * 0.5 / 0.75)  # the leader takes half where it took a quarter
    assert after["c"] == pytest.approx(0.02 * 0.5 / 0.75)


def test_a_cause_that_is_there_beside_a_sure_one_does_not_pass_it() -> None:
    told = (Believed("a", 0.96, ()), Believed("b", 0.9, ()), Believed("c", 0.03, ()))
    moved = shifts(told, 0.0, MODEST)
    after = {one.cause: 1 / (1 + math.exp(-log_odds(one.chance) - moved[one.cause])) for one in told}
    assert after["b"] <= after["a"] == pytest.approx(held_chance(MODEST, 0.96))
    assert 0.03 <= after["c"] < 0.2


def test_an_answer_weighs_as_much_as_without_the_curve() -> None:
    book = made_book(2, causes=5)
    recorded = made_observations(2, book, count=3)
    sign = next(each.key for each in book.signs if each.key not in {one.sign for one in recorded})
    answer = Observation(sign, True, 0.99, "answer", Told.CHECK)
    alone, both = believe(book, recorded, checks=0), believe(book, (*recorded, answer), checks=0)
    held, held_both = held_to_flights(book, alone, MODEST), held_to_flights(book, both, MODEST, alone)
    before, after = ({one.cause: one.chance for one in each.causes} for each in (alone, both))
    with_curve, with_both = ({one.cause: one.chance for one in each.causes} for each in (held, held_both))
    for cause in before:
        gain = log_odds(after[cause]) - log_odds(before[cause])
        assert log_odds(with_both[cause]) - log_odds(with_curve[cause]) == pytest.approx(gain, abs=1e-6)


def test_without_a_curve_nothing_changes() -> None:
    book = made_book(1, causes=4)
    belief = believe(book, made_observations(1, book), checks=0)
    assert held_to_flights(book, belief, ()) is belief


def test_without_weights_chances_are_the_same() -> None:
    book = made_book(4, causes=5)
    told = made_observations(9, book)
    whole, quick = believe(book, told, checks=0), believe(book, told, checks=0, weights=False)
    assert [(one.cause, one.chance) for one in quick.causes] == [(one.cause, one.chance) for one in whole.causes]
    assert quick.survivors == whole.survivors
    assert all(not one.weights for one in quick.causes)


def test_signs_that_point_nowhere_name_nothing_however_the_curve_rises() -> None:
    book = made_book(1, causes=6)
    belief = believe(book, made_observations(1, book, count=1), checks=0)
    low = rules.LEADS.value - 0.01
    causes = tuple(replace(one, chance=low / (1 + k)) for k, one in enumerate(belief.causes))
    few = replace(belief, nothing_wrong=0.1, causes=causes)
    steep = ((0.0, 0.0), (0.2, 0.9), (1.0, 0.95))
    held = held_to_flights(book, few, steep)
    assert held.causes[0].chance > 0.85
    assert (held.judged, held.survivors) == (Judged.CANNOT_SAY, ())
    led = replace(few, causes=(replace(few.causes[0], chance=rules.LEADS.value), *few.causes[1:]))
    assert held_to_flights(book, led, steep).judged is not Judged.CANNOT_SAY


def test_words_lift_nothing_above_what_flights_bear_out_and_a_check_does() -> None:
    book = made_book(2, causes=5)
    recorded = tuple(replace(one, told=Told.RECORD) for one in made_observations(2, book, count=3))
    alone = believe(book, recorded, checks=0)
    causes = tuple(replace(one, chance=0.9999 if k == 0 else 0.001) for k, one in enumerate(alone.causes))
    sure = replace(alone, causes=causes)
    sign = recorded[0].sign
    for told, most in ((Told.WORDS, MODEST[-1][1]), (Told.CHECK, 1.0)):
        both = replace(sure, observations=(*recorded, Observation(sign, True, 0.99, "more", told)))
        leader = held_to_flights(book, both, MODEST, alone).causes[0].chance
        assert leader <= most
        assert (leader > MODEST[-1][1]) is (told is Told.CHECK)


def test_of_two_that_words_lift_to_the_end_of_the_curve_the_likelier_stays_first() -> None:
    book = made_book(2, causes=5)
    recorded = tuple(replace(one, told=Told.RECORD) for one in made_observations(2, book, count=3))
    alone = believe(book, recorded, checks=0)
    last = max(one.cause for one in alone.causes)
    lifted = (replace(one, chance=0.999 if one.cause != last else 0.99999) for one in alone.causes)
    even = replace(alone, causes=tuple(replace(one, chance=0.5) for one in alone.causes))
    held = held_to_flights(book, replace(alone, causes=tuple(lifted)), ((0.0, 0.0), (1.0, 0.9)), even)
    assert held.causes[0].cause == last
    assert held.causes[0].chance == held.causes[1].chance == 0.9


def test_a_record_that_shows_nothing_is_no_word_that_nothing_is_wrong_until_a_check_says_so() -> None:
    book = made_book(2, causes=5)
    recorded = tuple(replace(one, told=Told.RECORD) for one in made_observations(2, book, count=3))
    causes = tuple(
        replace(one, chance=0.01 / (1 + k)) for k, one in enumerate(believe(book, recorded, checks=0).causes)
    )
    sound = replace(believe(book, recorded, checks=0), causes=causes, nothing_wrong=0.97)
    held = held_to_flights(book, sound, MODEST)
    assert (held.judged, held.survivors) == (Judged.CANNOT_SAY, ())
    assert held.nothing_wrong == rules.NOTHING_SHOWN.value
    answered = (*recorded, Observation(recorded[0].sign, False, 0.99, "more", Told.CHECK))
    checked = held_to_flights(book, replace(sound, observations=answered), MODEST)
    assert checked.judged is Judged.NOTHING_WRONG
    assert checked.nothing_wrong > 0.9


def test_what_is_seldom_there_in_the_leader_s_place_hardly_gains_by_what_the_leader_loses() -> None:
    steep = ((0.0, 0.0), (0.05, 0.5), (0.99, 0.845), (1.0, 0.85))
    told = (Believed("a", 0.99, ()), Believed("beside-it", 0.04, ()))
    moved = shifts(told, 0.0, steep)
    after = 1 / (1 + math.exp(-log_odds(0.04) - moved["beside-it"]))
    # 0.01 at most is in place of "a"; that part grows as what "a" leaves, from 0.01 to 0.155
    assert after == pytest.approx(0.03 + 0.155, abs=1e-6)


def test_nothing_is_named_from_a_record_that_may_well_be_of_a_sound_aircraft_until_a_check_is_answered() -> None:
    book = made_book(2, causes=5)
    recorded = tuple(replace(one, told=Told.RECORD) for one in made_observations(2, book, count=3))
    belief = believe(book, recorded, checks=0)
    causes = tuple(replace(one, chance=0.7 if k == 0 else 0.001) for k, one in enumerate(belief.causes))
    limit = rules.MAY_BE_SOUND.value
    straight = ((0.0, 0.0), (0.7, 0.9), (1.0, 0.95))
    for nothing_wrong, named in ((limit - 0.01, True), (limit + 0.01, False)):
        held = held_to_flights(book, replace(belief, causes=causes, nothing_wrong=nothing_wrong), straight)
        assert (held.judged is Judged.CAUSE) is named
        assert held.causes[0].chance == pytest.approx(0.9)  # what is believed stays; it is only not named
    answered = (*recorded, Observation(recorded[0].sign, True, 0.99, "more", Told.CHECK))
    checked = replace(belief, causes=causes, nothing_wrong=limit + 0.01, observations=answered)
    assert held_to_flights(book, checked, straight).judged is Judged.CAUSE
