"""The parts of a fitted range walk against outside values: scipy's distributions, and laws that have a closed form."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import stats
from scipy.spatial.distance import cdist
from scipy.special import logsumexp
from tests.assess.walk_truth import MODEL_SIGMA_DB, Made, Truth, make, walk_of

from turnback.assess.walk_fit_laplace import Climbed, Hypotheses, climb, priors_of
from turnback.assess.walk_fit_places import MOST_PLACES, MOST_READINGS, Placed, place
from turnback.assess.walk_fit_tails import INFORMATION, MATCH, STUDENT, Tail, Terms, student_above, student_seen

Array = NDArray[np.float64]

Z: Final = np.concatenate([np.linspace(-40.0, 40.0, 401), [-1e4, -300.0, 300.0, 1e4]])
LENGTHS_M: Final = np.array([10.0, 25.0, 60.0])
DEVIATIONS: Final = np.array([6.0, 0.5])


def placed_of(made: Made) -> Placed:
    """Return a made walk at its places."""
    away = made.walk.from_launch_m
    return place(made.walk, made.excess_db, made.model_sigma_db, away, float(np.median(away)), 1.0)


def one(ratio: float, alone: float, length: int) -> Hypotheses:
    """Return a single hypothesis."""
    return Hypotheses(np.array([ratio]), np.array([alone]), np.array([length]))


def climbed(placed: Placed, trial: Hypotheses, tail: Tail) -> Climbed:
    """Return what hypotheses say, begun at nought."""
    start = np.zeros((trial.ratio.size, 2 + placed.first.size))
    return climb(placed, priors_of(placed, DEVIATIONS, LENGTHS_M), trial, tail, start, 4.0)


def test_the_law_of_one_reading_is_students() -> None:
    law = stats.t(4)
    np.testing.assert_allclose(student_seen(Z).log, law.logpdf(Z), atol=1e-12)
    # scipy's own tail loses digits beyond some 1e4 scales; up to 300 it does not
    near = np.abs(Z) <= 300.0
    np.testing.assert_allclose(student_above(Z).log[near], law.logsf(Z[near]), rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("terms", [student_seen, student_above])
def test_slope_and_bend_are_derivatives_and_the_safe_bend_bounds(terms: Callable[[Array], Terms]) -> None:
    z, small = np.linspace(-12.0, 12.0, 241), 1e-4
    here, before, after = terms(z), terms(z - small), terms(z + small)
    # a level that rises brings the reading nearer: slopes in the level are those in -z
    np.testing.assert_allclose(here.slope, -(after.log - before.log) / (2.0 * small), atol=1e-6)
    np.testing.assert_allclose(here.bend, (before.slope - after.slope) / (2.0 * small) * -1.0, atol=1e-6)
    for away in (-9.0, -2.0, -0.3, 0.3, 2.0, 9.0):  # the parabola lies below the function, wherever one steps
        parabola = here.log - away * here.slope - 0.5 * here.safe * away**2
        assert (terms(z + away).log >= parabola - 1e-12).all()


def test_sigma_is_said_so_that_nine_readings_of_ten_lie_as_under_a_normal_law() -> None:
    assert stats.t(4).cdf(1.6448536269514722 * MATCH) == pytest.approx(0.95, abs=1e-9)
    # Fisher information of Student's location, (dof + 1) / (dof + 3) over the scale squared: from memory, so summed
    z = np.linspace(-400.0, 400.0, 800_001)
    slope = 5.0 * z / (4.0 + z * z)
    fisher = np.trapezoid(slope**2 * stats.t(4).pdf(z), z)
    assert pytest.approx(fisher * MATCH**2, rel=1e-6) == INFORMATION


def normal_seen(z: Array) -> Terms:
    """Return the terms of a normal law, of scipy's making."""
    return Terms(stats.norm.logpdf(z), z, np.ones_like(z), np.ones_like(z))


def normal_above(z: Array) -> Terms:
    """Return the terms of what a normal law has above, of scipy's making."""
    hazard = np.exp(stats.norm.logpdf(z) - stats.norm.logsf(z))
    return Terms(stats.norm.logsf(z), hazard, hazard * (hazard - z), np.ones_like(z))


NORMAL: Final = Tail(normal_seen, normal_above, 1.0)


@pytest.mark.parametrize(("alone", "length"), [(1.0, 0), (0.4, 1), (0.05, 2)])
def test_with_normal_errors_and_known_scatter_it_is_the_conjugate_regression(alone: float, length: int) -> None:
    """Closed form: Bayesian linear regression with a full covariance; evidence by scipy's multivariate normal."""
    made = make(Truth(readings=40, correlation_m=25.0), np.random.default_rng(4))
    found = climbed(placed_of(made), one(1.2, alone, length), NORMAL)
    sigma = 1.2 * MODEL_SIGMA_DB
    x = made.walk.x_m[:, None]
    shared = np.exp(-cdist(x, x) / LENGTHS_M[length])
    noise = sigma**2 * ((1.0 - alone) * shared + alone * np.eye(40))
    columns = np.column_stack([np.ones(40), made.slope])
    weighed = columns.T @ np.linalg.inv(noise)
    covariance = np.linalg.inv(np.diag(DEVIATIONS**-2.0) + weighed @ columns)
    np.testing.assert_allclose(found.covariance[0], covariance, rtol=1e-6)
    np.testing.assert_allclose(found.mean[0], covariance @ weighed @ made.excess_db, rtol=1e-6)
    whole = noise + columns @ np.diag(DEVIATIONS**2) @ columns.T
    evidence = stats.multivariate_normal(np.zeros(40), whole).logpdf(made.excess_db)
    assert found.log_evidence[0] == pytest.approx(evidence, abs=1e-5)


@pytest.mark.parametrize("censored_share", [0.0, 0.4])
def test_heavy_tails_and_the_floor_against_a_sum_over_a_grid(censored_share: float) -> None:
    """The whole law of offset and exponent, summed over a fine grid with scipy's Student density and tail."""
    made = make(Truth(readings=25, censored_share=censored_share, wrong_share=0.1), np.random.default_rng(8))
    found = climbed(placed_of(made), one(1.0, 1.0, 0), STUDENT)
    offset, exponent = np.meshgrid(np.linspace(-24.0, 24.0, 481), np.linspace(-2.5, 2.5, 251), indexing="ij")
    law = stats.t(4, scale=MODEL_SIGMA_DB / MATCH)
    total = stats.norm(0.0, 6.0).logpdf(offset) + stats.norm(0.0, 0.5).logpdf(exponent)
    for excess, slope, hidden in zip(made.excess_db, made.slope, made.walk.censored, strict=True):
        off = excess - offset - exponent * slope
        total += law.logsf(off) if hidden else law.logpdf(off)
    share = np.exp(total - logsumexp(total))
    evidence = logsumexp(total) + np.log(0.1 * 0.02)
    assert found.log_evidence[0] == pytest.approx(evidence, abs=0.05)
    for which, grid in enumerate((offset, exponent)):
        mean = float((share * grid).sum())
        spread = float(np.sqrt((share * (grid - mean) ** 2).sum()))
        assert found.mean[0, which] == pytest.approx(mean, abs=0.15 * spread)
        assert np.sqrt(found.covariance[0, which, which]) == pytest.approx(spread, rel=0.06)


def test_the_shadow_of_a_place_is_the_mean_over_its_readings() -> None:
    made = make(Truth(readings=300, correlation_m=25.0), np.random.default_rng(1))
    placed = placed_of(made)
    assert placed.first.size <= MOST_PLACES
    of = np.repeat(np.arange(placed.first.size), placed.counts)
    mean = (of[None] == np.arange(placed.first.size)[:, None]) / placed.counts[:, None]
    x = made.walk.x_m[:, None]  # sorted outward already, and so are the places
    priors = priors_of(placed, DEVIATIONS, LENGTHS_M)
    for k, length_m in enumerate(LENGTHS_M):
        shared = mean @ np.exp(-cdist(x, x) / length_m) @ mean.T
        np.testing.assert_allclose(np.linalg.inv(priors.inverse[k]), shared, rtol=1e-5)
        np.testing.assert_allclose(priors.left[k], np.repeat(1.0 - np.diag(shared), placed.counts), atol=1e-9)
        assert priors.log_inverse[k] == pytest.approx(-np.linalg.slogdet(shared)[1], abs=1e-4)


def test_a_long_record_is_brought_down_to_medians_that_know_the_floor() -> None:
    generator = np.random.default_rng(3)
    x = np.repeat(np.linspace(20.0, 600.0, 400), 25)
    excess = 4.0 + 3.0 * generator.standard_normal(x.size)
    hidden = excess > 12.0 - x / 60.0  # ever more of it, farther out
    excess = np.where(hidden, 12.0 - x / 60.0, excess)
    walk = walk_of(x, -excess, censored=hidden)
    placed = place(walk, excess, np.full(x.size, 5.5), x, 310.0, 1.0)
    assert 200 < placed.excess_db.size <= MOST_READINGS
    assert 0.0 < placed.censored.mean() < 1.0
    open_ = ~placed.censored
    # A median is not moved by what lies above it, seen or not: 4 dB, each of 25 readings or more 3 x 1.253 / 5 off.
    near_by = 10.0 ** (placed.slope / 10.0) * 310.0 < 400.0
    assert np.mean(placed.excess_db[open_ & near_by]) == pytest.approx(4.0, abs=0.15)
    assert placed.censored[~near_by].mean() > placed.censored[near_by].mean()
    assert placed.within_db == pytest.approx(3.0, rel=0.07)  # as made; a median of 25 takes 2 % of it
