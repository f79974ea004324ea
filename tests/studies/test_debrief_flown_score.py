"""How debriefs of flown cases are scored and fitted: cases whose score is known by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from studies.debrief_flown.fit import WEIGHT, Count, chance_from, fit, leak_from, written
from studies.debrief_flown.held import BELIEVED, EACH, curve_of, half_and_half
from studies.debrief_flown.score import (
    Share,
    always,
    calibration,
    headline,
    how_many,
    listed,
    observations,
    prior_weights,
)
from studies.debrief_flown.told import Scored, ToldCase, ToldSign

from turnback.assess.belief import believe
from turnback.knowledge.book import Basis
from turnback.knowledge.from_study import Study, held_chance, put_in, read_study, strength_of
from turnback.knowledge.reading import read_book
from turnback.records.belief import Observation, Told

WORN, COLD, NULL = "pack-worn", "pack-cold", "antenna-null"


def case(cause: str | None, *group: str, signs: tuple[ToldSign, ...] = (), seed: int = 0) -> ToldCase:
    return ToldCase("own", seed, cause, "full", group, "", signs)


def scored(cause: str | None, group: tuple[str, ...], *ranked: tuple[str, float], judged: str = "CANNOT_SAY",
           survivors: tuple[str, ...] = (), left: tuple[str, ...] = ()) -> Scored:  # fmt: skip
    return Scored(case(cause, *group), ranked, 0.1, judged, survivors, left or tuple(cause for cause, _ in ranked))


@pytest.mark.published
@pytest.mark.parametrize(
    ("of", "n", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_intervals_are_those_of_wilson(of: int, n: int, low: float, high: float) -> None:
    """Newcombe, Two-sided confidence intervals for the single proportion (1998), table I, method 3."""
    assert Share(of, n).wilson() == pytest.approx((low, high), abs=6e-5)


def test_calibration_error_is_the_mean_distance_by_hand() -> None:
    right = [scored(WORN, (WORN,), (WORN, 0.9), (COLD, 0.05))] * 3
    wrong = scored(COLD, (COLD,), (WORN, 0.9), (COLD, 0.05))
    unsure = scored(COLD, (COLD,), (COLD, 0.35), (WORN, 0.3))
    error, bins = calibration([*right, wrong, unsure])
    assert error == pytest.approx(0.8 * 0.15 + 0.2 * 0.65)  # |0.9 - 3/4| over four, |0.35 - 1| over one
    assert [one.n for one in bins] == [1, 4]


def test_a_cause_weighs_by_the_book_however_often_it_was_flown() -> None:
    book = read_book()
    priors = {one.key: one.prior for one in book.causes}
    cases = [scored(WORN, (WORN,), (WORN, 0.9))] * 3 + [scored(COLD, (COLD,), (WORN, 0.9))]
    weights = prior_weights(book, cases)
    assert sum(weights[:3]) == pytest.approx(priors[WORN])
    assert weights[3] == pytest.approx(priors[COLD])


def test_headline_of_five_cases_by_hand() -> None:
    cases = [
        scored(WORN, (WORN,), (WORN, 0.9), (COLD, 0.05), judged="CAUSE", survivors=(WORN,)),
        scored(COLD, (COLD,), (WORN, 0.4), (NULL, 0.3), (COLD, 0.2)),
        scored(NULL, (NULL, "blocked-by-body"), ("blocked-by-body", 0.5), (NULL, 0.4), judged="SEVERAL"),
        scored(NULL, (NULL, "blocked-by-body"), (WORN, 0.9), (COLD, 0.02), judged="CAUSE", survivors=(WORN,)),
        scored(None, (), (WORN, 0.3), judged="SEVERAL", survivors=(WORN, COLD)),
    ]
    found = headline(read_book(), cases)
    assert (found.first.of, found.first.n) == (1, 2)
    assert (found.in_three.of, found.in_three.n) == (2, 2)
    assert (found.listed.of, found.listed.n) == (1, 2)
    assert (found.not_one.of, found.not_one.n) == (1, 2)
    assert (found.of_group.of, found.of_group.n) == (1, 2)
    assert (found.healthy.of, found.healthy.n) == (1, 1)
    assert found.commonest[0] == WORN  # the book has 4 % of worn packs and 2.5 % of cold ones
    assert (found.baseline.of, found.baseline_three.of) == (1, 2)


def test_a_cause_that_the_answer_does_not_leave_open_is_not_listed() -> None:
    ranked = ((COLD, 0.4), (WORN, 0.05))
    assert not listed(scored(WORN, (WORN, COLD), *ranked, left=(COLD,)))
    assert listed(scored(WORN, (WORN, COLD), *ranked, left=(COLD, WORN)))


def test_how_many_causes_are_left_open_and_what_as_many_of_the_commonest_would_give() -> None:
    cases = [scored(WORN, (WORN, COLD), (COLD, 0.4), left=(COLD,) * k) for k in range(1, 11)]
    assert how_many(cases) == (5.5, 9)
    both = [*cases, scored(COLD, (WORN, COLD), (COLD, 0.4))]
    assert (always(read_book(), both, 1).of, always(read_book(), both, 2).of) == (10, 11)  # worn packs are commoner


def test_the_books_number_counts_as_some_flights() -> None:
    assert Count(seen=10.0, looked=10.0).mean(0.4) == pytest.approx((10.0 + 0.4 * WEIGHT) / (10.0 + WEIGHT))
    # nothing flown: the guess stays
    assert chance_from(Count(), 0.05, 0.905) == pytest.approx(0.905)
    # a row that the book does not have needs more than the leak
    assert chance_from(Count(seen=0.0, looked=20.0), 0.05, None) is None
    made = chance_from(Count(seen=20.0, looked=20.0), 0.05, None)
    assert made == pytest.approx((20.0 + 0.05 * WEIGHT) / (20.0 + WEIGHT))


def test_a_cause_may_keep_away_what_is_usually_seen() -> None:
    kept_away = chance_from(Count(seen=0.0, looked=20.0), 0.9, None)
    assert kept_away == pytest.approx(0.9 * WEIGHT / (20.0 + WEIGHT))  # some flights of the leak, twenty without
    assert kept_away is not None
    strength = strength_of(kept_away, 0.9)
    assert strength < 0.0
    assert 1.0 - (1.0 - 0.9) * (1.0 - strength) == pytest.approx(kept_away)
    book = read_book()
    key = "link-healthy-throughout"
    moved = put_in(book, Study(shows={NULL: {key: (0.1, 20)}, WORN: {}}, leak={key: (0.9, 40)}))
    unseen = Observation(key, False, 0.98, "link", Told.RECORD)
    before, after = (believe(one, [unseen], checks=0) for one in (book, moved))
    chances = [{each.cause: each.chance for each in belief.causes}[NULL] for belief in (before, after)]
    assert chances[1] > 3.0 * chances[0]


def test_a_leak_is_that_of_healthy_flights_and_not_of_the_causes_of_a_sign() -> None:
    leak, _ = leak_from({None: Count(2.0, 100.0), WORN: Count(50.0, 50.0)}, 0.02, {WORN})
    assert leak == pytest.approx(0.02)
    leak, _ = leak_from({None: Count(60.0, 100.0), WORN: Count(30.0, 50.0)}, 0.02, set())
    assert leak == pytest.approx((4.0 * 60.0 + 30.0 + 0.02 * WEIGHT) / (4.0 * 100.0 + 50.0 + WEIGHT))
    # a cause without a row of its own that shows it far oftener does not raise the leak of all others
    leak, flights = leak_from({None: Count(2.0, 100.0), WORN: Count(48.0, 50.0), COLD: Count(1.0, 50.0)}, 0.02, set())
    assert leak < 0.03
    assert flights == 150


def test_fitted_numbers_move_a_book_and_survive_their_file() -> None:
    book = read_book()
    seen = ToldSign("sag-large", True, 0.9, "volts")
    not_seen = ToldSign("sag-large", False, 0.9, "volts")
    cases = [case(WORN, WORN, signs=(seen,), seed=k) for k in range(40)]
    cases += [case(None, signs=(not_seen,), seed=k) for k in range(40)]
    study = fit(book, cases)
    again = read_study(written(study, "a remark"))
    assert again == study
    moved = put_in(book, again)
    row = next(one for one in moved.likelihoods if (one.cause, one.sign) == (WORN, "sag-large"))
    assert row.basis is Basis.STUDY
    assert row.chance > 0.85
    column = [one.key for one in moved.signs].index("sag-large")
    place = [one.key for one in moved.causes].index(WORN)
    assert moved.strength[place, column] == row.chance
    assert not moved.strength.flags.writeable
    own = next(one for one in moved.likelihoods if (one.cause, one.sign) == (COLD, "sag-large"))
    assert own.basis is not Basis.STUDY


def test_a_cause_that_was_not_flown_keeps_its_chance_where_a_leak_fell() -> None:
    book = read_book()
    key = "link-healthy-throughout"
    before = next(one.leak for one in book.signs if one.key == key)
    moved = put_in(book, Study(shows={WORN: {key: (0.9, 20)}}, leak={key: (0.1, 20)}))
    column = [one.key for one in book.signs].index(key)
    place = [one.key for one in book.causes].index(NULL)
    shown = 1.0 - (1.0 - 0.1) * (1.0 - moved.strength[place, column])
    assert shown == pytest.approx(1.0 - (1.0 - before) * (1.0 - book.strength[place, column]))


def test_tempering_counts_in_log_odds_and_stops_at_its_most() -> None:
    study = Study(power=0.5, sure_most=0.8, unseen_power=0.25, unseen_most=0.7)
    assert study.sure(0.9, seen=True) == pytest.approx(0.75)  # odds 9 to 1 become 3 to 1
    assert study.sure(0.99, seen=True) == 0.8
    assert study.sure(0.5, seen=True) == study.sure(0.5, seen=False) == 0.5
    assert study.sure(0.9, seen=False) == pytest.approx(math.sqrt(3.0) / (1.0 + math.sqrt(3.0)))
    assert study.sure(0.99, seen=False) == 0.7
    made = read_study(written(study, "made for a test"))
    assert (made.power, made.sure_most, made.unseen_power, made.unseen_most) == (0.5, 0.8, 0.25, 0.7)
    told = case(WORN, WORN, signs=(ToldSign("sag-large", True, 0.51, "volts"), ToldSign("cold-day", True, 0.9, "site")))
    assert [one.sign for one in observations(told, study)] == ["cold-day"]  # 0.51 says nothing


def test_compiled_equations_are_those_of_rotorpy() -> None:
    """Held against rotorpy's own function, with a rotor that does not do what its speed says."""
    from studies.debrief_flown.rotorpy_board import Vehicle, quad_of
    from studies.debrief_flown.rotorpy_kernel import derivative, matrix
    from studies.debrief_flown.rotorpy_world import Wrong, draw_build

    rng = np.random.default_rng(3)
    one = Vehicle(quad_of(draw_build(rng), Wrong()), control_abstraction="cmd_motor_speeds", aero=True)
    body = np.array([one.mass, one.Ixx, one.Iyy, one.Izz, one.c_Dx, one.c_Dy, one.c_Dz, one.k_eta, one.k_m, one.k_d,
                     one.k_z, one.tau_m, one.g])  # fmt: skip
    for _ in range(5):
        state = rng.normal(0.0, 1.0, 20)
        state[6:10] /= np.linalg.norm(state[6:10])
        state[16:] = rng.uniform(300.0, 2000.0, 4)
        cmd, one.lifts, one.twists = rng.uniform(0.0, 2000.0, 4), rng.uniform(-1.0, 1.0, 4), rng.uniform(-1.0, 1.0, 4)
        theirs = one._s_dot_fn(0.0, state, cmd)
        ours = derivative(state, cmd, matrix(state[6:10]), one.rotor_geometry, one.rotor_dir.astype(float), body,
                          one.lifts, one.twists)  # fmt: skip
        np.testing.assert_allclose(ours, theirs, rtol=1e-9, atol=1e-9)


def told_with(raw: float, right: bool, seed: int) -> Scored:
    return replace(scored(WORN, (WORN,), (WORN if right else COLD, raw)), case=case(WORN, WORN, seed=seed), raw=raw)


def test_the_curve_gives_what_was_true_and_rises() -> None:
    rng = np.random.default_rng(5)
    raw = rng.uniform(0.0, 1.0, 4000)
    right = rng.random(4000) < np.sqrt(raw) * 0.9
    cases = [told_with(float(p), bool(true), k) for k, (p, true) in enumerate(zip(raw, right, strict=True))]
    curve = curve_of(cases, [1.0] * len(cases))
    assert all(a <= b for (_, a), (_, b) in pairwise(curve))
    for said in (0.1, 0.3, 0.6, 0.95):
        assert held_chance(curve, said) == pytest.approx(0.9 * said**0.5, abs=0.06)


def test_the_curve_pools_what_falls_and_weighs_flights() -> None:
    """Two halves, the surer one less often true: one level (Barlow and others 1972: pooled neighbours)."""
    cases = [told_with(0.3, k % 10 < 8, k) for k in range(EACH)] + [
        told_with(0.7, k % 10 < 4, 100 + k) for k in range(EACH)
    ]
    level = curve_of(cases, [1.0] * len(cases))
    assert level[1][1] == pytest.approx(level[2][1])
    assert level[1][1] == pytest.approx((0.6 * EACH + BELIEVED / 2) / (EACH + BELIEVED), abs=1e-3)
    assert curve_of(cases[:EACH], [1.0] * EACH) == ()


def test_weights_of_the_curve_lie_between_flights_alike_and_the_book() -> None:
    book = read_book()
    cases = [scored(WORN, (WORN,), (WORN, 0.9))] * 3 + [scored(COLD, (COLD,), (WORN, 0.9))]
    by_book = prior_weights(book, cases)
    assert half_and_half(book, cases)[3] == pytest.approx(0.125 + 0.5 * by_book[3] / sum(by_book))


def test_a_study_keeps_its_curve_when_it_is_written() -> None:
    curve = ((0.0, 0.0), (0.3, 0.52), (1.0, 0.9))
    assert read_study(written(Study(curve=curve), "made for a test")).curve == curve
