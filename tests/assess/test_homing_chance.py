"""The quick forms of the map's chances against those of general libraries and of a brief's own formulas."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from turnback.assess.homing_answer import ANSWERS, HOME_HIGH, HOME_LOW, HOME_MEAN, ends_of_home
from turnback.assess.homing_chance import hold_kernel, keys_kernel, normal_kernel, quantile_kernel
from turnback.assess.homing_fold import trees_kernel
from turnback.assess.spreads import expected
from turnback.physics.clutter import vegetation_db


def test_the_normal_distribution_is_that_of_a_statistics_library() -> None:
    scores = np.linspace(-9.0, 9.0, 3001, dtype=np.float32)
    quick = np.array([normal_kernel(score) for score in scores])
    assert np.abs(quick - stats.norm.cdf(scores)).max() < 2e-6


def test_a_link_that_breaks_costs_the_flight_but_for_the_rescue() -> None:
    scores = np.linspace(-12.0, 12.0, 250, dtype=np.float32)
    home = np.full(250, np.float32(0.8))
    hold_kernel(scores, np.float32(0.9), home)
    holds = stats.norm.cdf(scores)
    assert np.abs(home - 0.8 * (holds + (1.0 - holds) * 0.9)).max() < 2e-6


@pytest.mark.parametrize("kind", ["even", "two heaps", "one value", "wide", "few"])
@pytest.mark.parametrize("at", [0.05, 0.5, 0.95])
def test_a_quantile_is_that_of_a_sorted_list(kind: str, at: float) -> None:
    random = np.random.default_rng(7)
    for _ in range(60):
        size = 40 if kind == "few" else 250
        values = random.random(size)
        if kind == "two heaps":
            values = np.where(random.random(size) < random.random(), 0.01 * values, 1.0 - 0.01 * values)
        if kind == "one value":
            values[random.random(size) < 0.8] = 1.0
        if kind == "wide":
            values = random.normal(0.0, 60.0, size)
        single = values.astype(np.float32)
        keys = np.empty(size, np.int32)
        keys_kernel(single, keys)
        found = quantile_kernel(keys, at, float(random.normal()), 0.01)
        assert found == pytest.approx(np.quantile(single, at), abs=5e-4)


def test_scores_without_end_are_held_and_still_have_a_middle() -> None:
    scores = np.full(250, np.float32(np.inf))
    scores[:100] = -np.float32(np.inf)
    keys = np.empty(250, np.int32)
    keys_kernel(scores, keys)
    assert quantile_kernel(keys, 0.05, 0.0, 0.1) == pytest.approx(-30_000.0)
    assert quantile_kernel(keys, 0.95, 0.0, 0.1) == pytest.approx(30_000.0)


def test_trees_take_what_the_recommendation_says() -> None:
    depth_m = np.linspace(0.0, 900.0, 250, dtype=np.float32)
    one, nought = np.ones(250, np.float32), np.zeros(250, np.float32)
    loss, least = np.zeros(250, np.float32), np.full(250, np.float32(np.inf))
    specific, greatest, sigma = 0.4, 36.0, 5.5
    level = np.full(250, np.float32(50.0))
    trees_kernel(
        level, nought, one, np.float32(10.0), np.float32(0.0), np.float32(sigma**2), np.float32(specific / greatest),
        np.float32(greatest), np.float32((7.0 / 6.0) ** 2), np.float32(6.0), depth_m, loss, least,
    )  # fmt: skip
    trees_db = vegetation_db(depth_m, specific, greatest)
    assert np.abs(loss - trees_db).max() < 1e-3
    spread_db = np.hypot(sigma, 7.0 * np.clip(trees_db / 6.0, 0.0, 1.0))
    assert least == pytest.approx((40.0 - trees_db) / spread_db, abs=1e-3)


def test_the_chance_of_home_is_a_mean_and_its_ends_reach_to_it() -> None:
    # One world in thirty fails surely: 5 % quantile and median are 1, and yet one flight in thirty is lost.
    home = np.ones(250, dtype=np.float32)
    home[::30] = 0.0
    answer = np.zeros(ANSWERS)
    ends_of_home(home, np.empty(250, dtype=np.int32), answer)
    assert answer[HOME_MEAN] == pytest.approx(1.0 - 9.0 / 250.0, abs=1e-6)
    assert answer[HOME_LOW] == pytest.approx(answer[HOME_MEAN])
    assert answer[HOME_HIGH] == pytest.approx(1.0, abs=1e-3)
    told = expected(home.astype(np.float64))
    assert (told.low, told.mid, told.high) == pytest.approx((0.964, 0.964, 1.0))
