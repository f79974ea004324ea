"""A fitted range walk against walks of known truth: bands that hold, causes told apart, and what it must not claim.

Each figure stands beside its number of runs, its 95 % interval (Wilson) and what trivial answers reach: the uncorrected
model, which says nought for both, and a plain regression, which takes every reading for a test of its own.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Final

import numpy as np
import pytest
from tests.assess.walk_truth import (
    NORMAL_90,
    PRIOR,
    Recovery,
    Truth,
    dropping,
    fitted,
    make,
    recover,
    rms,
    share_of,
    shuffled,
    walk_of,
)

from turnback.assess.walk_fit import fit_walk, walk_prior
from turnback.assess.walk_fit_carry import carried_over
from turnback.base.errors import InputError
from turnback.records.finding import Spread
from turnback.records.walk import WalkFit, WalkMode
from turnback.rules.walk import FALLS_FAST, POWER_LOW, SAID

QUICK: Final = 60
WIDEST: Final = NORMAL_90 * 2.0


def width(band: Spread) -> float:
    """Return how wide a band is."""
    return band.high - band.low


@pytest.fixture(scope="module")
def alone() -> Recovery:
    """Sixty readings, errors independent, spread as the model says."""
    return recover(Truth(sigma_db=5.5), 36, 11)


@pytest.fixture(scope="module")
def repeated() -> Recovery:
    """Sixty readings, errors that repeat themselves over 25 m."""
    return recover(Truth(correlation_m=25.0), QUICK, 12)


def test_with_independent_errors_the_offset_is_found_within_a_decibel_and_a_half(alone: Recovery) -> None:
    within, low, _ = share_of(np.abs(alone.error[:, 0]) <= 1.5)
    assert within >= 0.9, f"36 runs; at least {low:.2f} of them, at 95 %"
    assert rms(alone.error[:, 0]) < 1.1  # theory of the mean of sixty: 5.5 / sqrt 60 = 0.71, and a little for the slope
    bare, *_ = share_of(np.abs(alone.bare_error[:, 0]) <= 1.5)
    assert bare < 0.35  # the uncorrected model; a normal law of 6 dB has 0.20 within 1.5
    # heavy tails and the chance of correlation cost little where there is none of either
    assert rms(alone.error[:, 0]) < 1.25 * rms(alone.peer_error[:, 0])


@pytest.mark.slow
def test_bands_hold_where_errors_repeat_themselves_and_those_of_a_plain_regression_do_not(repeated: Recovery) -> None:
    for which in (0, 1):
        held, low, high = share_of(repeated.held[:, which])
        assert low <= 0.9 <= high, f"{held:.3f} of {QUICK} runs"
        plain, _, most = share_of(repeated.peer_held[:, which])
        assert most < 0.8, f"a plain regression held {plain:.2f}"
    assert rms(repeated.error[:, 0]) < 0.5 * rms(repeated.bare_error[:, 0])
    effective = np.array([fit.effective for fit in repeated.fits])
    # Markov's correlation over a line of length D: about D / (2 L) + 1 independent ones, 580 / 50 + 1 = 12.6
    assert 6.0 < np.median(effective) < 20.0
    assert 10.0 < np.median([fit.correlation_m for fit in repeated.fits]) < 50.0


@pytest.mark.slow
def test_over_five_hundred_walks_nine_bands_of_ten_hold() -> None:
    runs = 500
    found = recover(Truth(correlation_m=25.0), runs, 21)
    for which in (0, 1):
        held, low, high = share_of(found.held[:, which])
        assert 0.85 <= held <= 0.95, f"{held:.3f} ({low:.3f} to {high:.3f}, n = {runs})"
        assert share_of(found.peer_held[:, which])[2] < 0.75
        assert rms(found.error[:, which]) < 0.75 * rms(found.bare_error[:, which])


@pytest.mark.slow
def test_where_readings_repeat_themselves_over_far_more_than_expected_bands_fall_short_but_not_by_much() -> None:
    """A known weakness, told in the docs: 70 m against 25 m expected, and a walk of 580 m shows eight such lengths."""
    found = recover(Truth(correlation_m=70.0), 150, 22)
    for which in (0, 1):
        held, low, high = share_of(found.held[:, which])
        assert held >= 2.0 / 3.0, f"{held:.3f} ({low:.3f} to {high:.3f}, n = 150)"
        assert held > share_of(found.peer_held[:, which])[2] + 0.2


@pytest.mark.slow
def test_sixty_readings_that_repeat_themselves_are_worth_fewer(alone: Recovery, repeated: Recovery) -> None:
    worth = [np.median([fit.effective for fit in found.fits]) for found in (alone, repeated)]
    assert worth[0] > 2.5 * worth[1]
    wide = [np.median([width(fit.offset_db) for fit in found.fits]) for found in (alone, repeated)]
    assert wide[1] > 1.5 * wide[0]
    assert all(fit.effective <= fit.readings for fit in (*alone.fits, *repeated.fits))


def test_sigma_is_found(alone: Recovery) -> None:
    held, low, high = share_of(np.array([fit.sigma_db.low <= 5.5 <= fit.sigma_db.high for fit in alone.fits]))
    assert low <= 0.9 <= high, held
    ratios = [fit.sigma_ratio.mid for fit in alone.fits]
    assert np.median(ratios) == pytest.approx(1.0, abs=0.12)
    assert all(fit.sigma_db.mid == pytest.approx(5.5 * fit.sigma_ratio.mid) for fit in alone.fits)


def test_wrong_readings_pull_less_than_they_pull_a_plain_regression() -> None:
    found = recover(Truth(sigma_db=4.0, wrong_share=0.12), 24, 13)
    assert rms(found.error[:, 0]) < 0.6 * rms(found.peer_error[:, 0])
    assert np.mean(found.error[:, 0]) < 0.5 * np.mean(found.peer_error[:, 0])  # 0.12 x 25 dB = 3 dB for the plain one
    assert 0.04 < np.mean([fit.outliers for fit in found.fits]) < 0.2
    clean = recover(Truth(sigma_db=4.0), 8, 14)
    assert np.mean([fit.outliers for fit in clean.fits]) < 0.02


def test_readings_at_the_floor_take_away_the_bias_of_leaving_them_out() -> None:
    """Three in ten stood at the floor. Leaving them out keeps the lucky ones: less loss than there is."""
    found = recover(Truth(censored_share=0.3), 24, 15, dropping)
    bias, plain = (float(np.mean(error[:, 0])) for error in (found.error, found.peer_error))
    assert plain < -1.0
    assert abs(bias) < 0.35 * abs(plain)
    held, low, high = share_of(found.held[:, 0])
    assert low <= 0.9 <= high, held
    assert all(fit.censored == 18 and fit.readings == 60 for fit in found.fits)


# --- what it points to --------------------------------------------------------------------------------------------


def chances(truth: Truth, runs: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """Return the chances of both causes over many walks."""
    fits = recover(truth, runs, seed).fits
    return np.array([f.power_or_antenna for f in fits]), np.array([f.falls_too_fast for f in fits])


def test_weak_everywhere_is_told_from_falling_too_fast() -> None:
    """Ten decibels at every distance, or none nearby and ever more farther out; both over 25 m correlated."""
    runs, line = 12, SAID.value
    weak = Truth(correlation_m=25.0, sigma_db=4.0, offset_db=10.0, exponent=0.0)
    power, falls = chances(weak, runs, 16)
    assert (power > line).mean() >= 0.7
    assert (falls > line).mean() <= 0.1
    steep = Truth(correlation_m=25.0, sigma_db=4.0, offset_db=4.0, exponent=1.2)
    power, falls = chances(steep, runs, 17)
    assert (falls > line).mean() >= 0.5  # twelve effective readings and a prior that expects less: no more than that
    assert (falls > power).mean() >= 0.9
    assert (power > line).mean() <= 0.1
    power, falls = chances(replace(weak, offset_db=0.0), runs, 18)
    assert (power > line).mean() == 0.0
    assert (falls > line).mean() <= 0.1


def test_one_distance_tells_the_offset_and_leaves_the_exponent_as_it_was() -> None:
    found = recover(Truth(near_m=200.0, far_m=260.0, correlation_m=10.0), 12, 19)
    for fit in found.fits:
        assert width(fit.excess_exponent) > 0.9 * WIDEST * PRIOR.exponent_sd
        assert width(fit.offset_db) < 0.8 * WIDEST * PRIOR.offset_sd_db
        assert fit.falls_too_fast < 0.5


# --- little to go by ----------------------------------------------------------------------------------------------


def spots(excess_db: list[float], away_m: list[float], hidden: list[bool] | None = None) -> WalkFit:
    """Return the fit of a few spots, the model saying -70 dBm at each."""
    away = np.array(away_m)
    walk = walk_of(away, -70.0 - np.array(excess_db), censored=None if hidden is None else np.array(hidden))
    return fit_walk(walk, np.full(away.size, -70.0), np.full(away.size, 5.5), PRIOR)


def test_a_single_reading_hardly_moves_what_was_thought() -> None:
    fit = spots([6.0], [100.0])
    # Conjugate by hand: prior 6 dB, one reading of about 5.5 dB: mean 6 x 36 / (36 + 30) = 3.3, deviation 4.05
    assert fit.offset_db.mid == pytest.approx(3.3, abs=1.0)
    assert width(fit.offset_db) == pytest.approx(WIDEST * 4.05, rel=0.2)
    assert width(fit.excess_exponent) == pytest.approx(WIDEST * PRIOR.exponent_sd, rel=0.02)
    ends = np.exp(WIDEST / 2.0 * PRIOR.ratio_sd)
    assert width(fit.sigma_ratio) == pytest.approx(ends - 1.0 / ends, rel=0.2)


def test_many_readings_at_one_place_are_little_more_than_one() -> None:
    generator = np.random.default_rng(2)
    still = spots(list(6.0 + generator.standard_normal(200)), [100.0] * 200)
    assert still.effective < 40.0
    spread = spots(list(6.0 + generator.standard_normal(200)), list(np.linspace(20.0, 1000.0, 200)))
    assert width(still.offset_db) > 2.0 * width(spread.offset_db)
    assert width(still.excess_exponent) == pytest.approx(WIDEST * PRIOR.exponent_sd, rel=0.05)


def test_walking_back_the_same_way_is_not_a_second_walk() -> None:
    made = make(Truth(readings=40, correlation_m=25.0, offset_db=3.0, exponent=0.0), np.random.default_rng(5))
    there = fitted(made)
    both = np.concatenate([np.arange(40), np.arange(40)[::-1]])
    back = fitted(shuffled(made, both))
    assert width(back.offset_db) > 0.75 * width(there.offset_db)


def test_nothing_but_the_floor_still_says_how_much_is_lost_at_least() -> None:
    away = list(np.linspace(50.0, 500.0, 30))
    fit = spots([12.0] * 30, away, [True] * 30)
    assert fit.censored == fit.readings == 30
    assert fit.offset_db.low > 2.0  # before the walk: -9.9; one large shadow over all of it is possible
    assert fit.offset_db.high > 15.0
    nothing = spots([-40.0] * 30, away, [True] * 30)  # the floor lies far above what was expected: it says nothing
    assert nothing.offset_db.mid == pytest.approx(0.0, abs=0.1)
    assert width(nothing.offset_db) == pytest.approx(WIDEST * PRIOR.offset_sd_db, rel=0.02)
    assert nothing.effective < 0.5


def test_no_reading_or_a_missing_number_is_told_with_where_and_what_to_do() -> None:
    empty = np.zeros(0)
    with pytest.raises(InputError, match="no reading of this link") as told:
        fit_walk(walk_of(empty, empty), empty, empty, PRIOR)
    assert told.value.faults[0].where == "made here: control"
    with pytest.raises(InputError, match="not a number"):
        spots([np.nan, 3.0], [10.0, 20.0])
    with pytest.raises(InputError, match="not a number"):
        fit_walk(walk_of(np.ones(2), np.ones(2)), np.ones(2), np.zeros(2), PRIOR)


# --- the same answer for the same walk ----------------------------------------------------------------------------


def test_the_same_walk_gives_the_same_numbers_and_order_does_not_matter() -> None:
    made = make(Truth(correlation_m=25.0), np.random.default_rng(6))
    first, again = fitted(made), fitted(made)
    for field in fields(WalkFit):
        assert np.array_equal(getattr(first, field.name), getattr(again, field.name)), field.name
    other = fitted(shuffled(made, np.random.default_rng(1).permutation(60)))
    assert other.offset_db.mid == pytest.approx(first.offset_db.mid, abs=1e-3)
    assert width(other.excess_exponent) == pytest.approx(width(first.excess_exponent), rel=1e-3)


def test_a_hundred_thousand_readings_say_what_every_fiftieth_of_them_says() -> None:
    made = make(Truth(readings=100_000, correlation_m=25.0, offset_db=3.0, exponent=0.2), np.random.default_rng(7))
    long, short = fitted(made), fitted(shuffled(made, np.arange(0, 100_000, 250)))
    assert long.readings == 100_000
    assert long.effective < 40.0
    assert long.offset_db.mid == pytest.approx(short.offset_db.mid, abs=0.35 * width(short.offset_db))
    assert width(long.offset_db) == pytest.approx(width(short.offset_db), rel=0.4)


@pytest.mark.parametrize("low_db", [6.0, 12.0, 20.0])
def test_a_torn_antenna_is_found_though_the_plan_thinks_that_it_knows_everything(low_db: float) -> None:
    found = fitted(
        make(Truth(sigma_db=5.0, offset_db=low_db, exponent=0.0), np.random.default_rng(11)), walk_prior(2.5)
    )
    assert found.offset_db.low <= low_db <= found.offset_db.high
    assert found.offset_db.mid == pytest.approx(low_db, abs=2.0)
    assert found.power_or_antenna >= SAID.value


def test_a_prior_of_the_plan_takes_the_place_of_the_typical_one_only_where_it_is_wider() -> None:
    assert walk_prior().offset_sd_db == 6.0
    assert walk_prior(3.5).offset_sd_db == 6.0
    assert walk_prior(8.5).offset_sd_db == 8.5
    tight = replace(PRIOR, offset_sd_db=0.5)
    made = make(Truth(readings=10, offset_db=10.0, exponent=0.0), np.random.default_rng(9))
    assert fitted(made, tight).offset_db.mid < 0.4 * fitted(made).offset_db.mid


# --- what carries over --------------------------------------------------------------------------------------------


def test_from_the_ground_only_what_is_worse_carries_over_and_from_the_air_all_of_it() -> None:
    better = make(Truth(sigma_db=2.0, offset_db=-8.0, exponent=-0.8), np.random.default_rng(10))
    worse = make(Truth(sigma_db=9.0, offset_db=8.0, exponent=0.8), np.random.default_rng(10))
    fit, bad = fitted(better), fitted(worse)
    assert fit.mode is WalkMode.ON_FOOT
    kept, lost = carried_over(fit), carried_over(bad)
    assert kept.offset_db == kept.excess_exponent == Spread(0.0, 0.0, 0.0)
    assert kept.sigma_ratio == Spread(1.0, 1.0, 1.0)
    assert (lost.offset_db, lost.excess_exponent) == (bad.offset_db, bad.excess_exponent)
    assert (kept.reference_m, kept.walked_m) == (fit.reference_m, 600.0)
    flown = carried_over(replace(fit, mode=WalkMode.IN_FLIGHT))
    assert (flown.offset_db, flown.excess_exponent) == (fit.offset_db, fit.excess_exponent)
    assert flown.sigma_ratio.low == 0.7  # ours: a calm flight shows few attitudes
    half = carried_over(replace(fit, offset_db=Spread(-1.0, -4.0, 2.0)))
    assert half.offset_db == Spread(0.0, 0.0, 2.0)


def test_the_lines_that_chances_are_held_against_are_those_that_are_told() -> None:
    assert (POWER_LOW.value, FALLS_FAST.value) == (3.0, 0.5)  # half the power; five decibels a tenfold
