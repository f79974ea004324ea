"""What a row of successes proves: against Clopper and Pearson's bound as scipy has it, and against handbook figures."""

from __future__ import annotations

from itertools import pairwise

import pytest
from scipy.stats import beta, binomtest

from turnback.base.errors import InputError
from turnback.physics.trials import lower_bound_probability

pytestmark = pytest.mark.published


@pytest.mark.parametrize(("successes", "trials"), [(5, 5), (20, 20), (4, 5), (19, 20), (1, 40), (37, 50), (998, 1000)])
@pytest.mark.parametrize("confidence", [0.9, 0.95, 0.99])
def test_it_is_the_quantile_of_a_beta_distribution(successes: int, trials: int, confidence: float) -> None:
    # Clopper and Pearson 1934: the lower bound is the (1 - confidence) quantile of Beta(k, n - k + 1); by scipy.
    found = lower_bound_probability(successes, trials, confidence)
    assert found == pytest.approx(beta.ppf(1.0 - confidence, successes, trials - successes + 1), rel=1e-10)


@pytest.mark.parametrize(("successes", "trials"), [(5, 5), (13, 20), (299, 300)])
def test_it_is_where_the_exact_test_turns(successes: int, trials: int) -> None:
    # scipy's exact binomial test, one-sided, at the bound itself: 1 in 20.
    bound = lower_bound_probability(successes, trials)
    assert binomtest(successes, trials, bound, alternative="greater").pvalue == pytest.approx(0.05, rel=1e-9)
    interval = binomtest(successes, trials, alternative="greater").proportion_ci(0.95, method="exact")
    assert bound == pytest.approx(interval.low, rel=1e-9)


def test_five_of_five_and_twenty_of_twenty() -> None:
    # 0.05^(1/5) and 0.05^(1/20), by hand: 55 % and 86 %.
    assert lower_bound_probability(5, 5) == pytest.approx(0.5493, abs=5e-5)
    assert lower_bound_probability(20, 20) == pytest.approx(0.8609, abs=5e-5)
    # Rule of three (common practice): n of n leaves about 3 in n (-ln 0.05 = 2.996).
    assert 1.0 - lower_bound_probability(1000, 1000) == pytest.approx(3.0 / 1000.0, rel=0.004)


def test_no_success_proves_nothing_and_more_of_them_prove_more() -> None:
    assert lower_bound_probability(0, 8) == 0.0
    bounds = [lower_bound_probability(k, 30) for k in range(31)]
    assert all(before < after for before, after in pairwise(bounds))
    assert lower_bound_probability(40, 80) > lower_bound_probability(4, 8), "the same share, counted more often"


@pytest.mark.parametrize(
    ("successes", "trials", "confidence", "field"),
    [
        (1, 0, 0.95, "trials"),
        (1, 100_001, 0.95, "trials"),
        (-1, 5, 0.95, "successes"),
        (6, 5, 0.95, "successes"),
        (5, 5, 95.0, "confidence_probability"),
        (5, 5, 1.0, "confidence_probability"),
        (5, 5, 0.4, "confidence_probability"),
    ],
)
def test_counts_that_cannot_be_are_told(successes: int, trials: int, confidence: float, field: str) -> None:
    with pytest.raises(InputError) as told:
        lower_bound_probability(successes, trials, confidence)
    assert told.value.faults[0].where == field
