"""The normal distribution against scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from turnback.physics.normal import normal_cdf, normal_quantile

pytestmark = pytest.mark.published


def test_distribution_is_scipys() -> None:
    score = np.linspace(-37.0, 9.0, 4601)
    expected = stats.norm.cdf(score)
    assert np.abs(normal_cdf(score) - expected).max() < 1e-12
    # Deep in the tail the relative error counts: the chance of a loss is read there.
    assert np.abs(normal_cdf(score[:2000]) / expected[:2000] - 1.0).max() < 1e-9


def test_quantile_is_scipys() -> None:
    share = np.concatenate(
        [np.logspace(-300.0, -1.0, 600), np.linspace(0.001, 0.999, 999), 1.0 - np.logspace(-15, -1, 60)]
    )
    assert np.abs(normal_quantile(share) - stats.norm.ppf(share)).max() < 1e-9
    assert normal_quantile([0.0, 1.0]).tolist() == [-np.inf, np.inf]


def test_shape_is_kept() -> None:
    score = np.linspace(-3.0, 3.0, 12).reshape(3, 4)
    assert normal_cdf(score).shape == (3, 4)
    assert normal_quantile(normal_cdf(score)) == pytest.approx(score, abs=1e-9)
