"""What was thought and what was measured, put together: against generalised least squares, and over many flights."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import linalg

from turnback.assess.learn_fuse import Measured, Normal, Thought, band_of, fused, normal_of
from turnback.records.finding import Spread


@pytest.mark.parametrize(("a", "own", "shared", "plain"), [
    (0.04, 0.01, 0.0, 0.04), (0.04, 0.01, 0.02, 0.04), (0.01, 0.01, 0.008, 0.05), (0.006, 0.02, 0.004, 0.02),
])  # fmt: skip
def test_it_is_generalised_least_squares_of_two_correlated_values(
    a: float, own: float, shared: float, plain: float
) -> None:
    """Outside value: (1' S^-1 x) / (1' S^-1 1), 1 / (1' S^-1 1), by scipy.linalg (Aitken 1935)."""
    found = fused(Thought(Normal(1.0, a), Normal(1.1, plain)), Measured(1.1, own, shared))
    c = (1.0 - a / plain) * shared
    inverse = linalg.inv(np.array([[a, c], [c, own + shared]]))
    ones = np.ones(2)
    total = ones @ inverse @ ones
    assert found.mean == pytest.approx(ones @ inverse @ np.array([1.0, 1.1]) / total)
    assert found.variance == pytest.approx(1.0 / total)


def test_an_error_that_every_flight_shares_is_never_averaged_away() -> None:
    """Ninety per cent bands hold the truth in ninety, and never narrow below what the sensor is off."""
    rng = np.random.default_rng(1)
    plain, own, shared = Normal(0.0, 0.2**2), 0.03**2, 0.06**2
    held, loops, width = 0, 3000, 0.0
    for _ in range(loops):
        true, sensor, now = rng.normal(0.0, 0.2), rng.normal(0.0, 0.06), plain
        for _ in range(8):
            measured = Measured(true + sensor + rng.normal(0.0, 0.03), own, shared)
            now = fused(Thought(now, plain), measured)
        held += abs(now.mean - true) <= 1.645 * np.sqrt(now.variance)
        width += float(np.sqrt(now.variance)) / loops
    assert 0.88 < held / loops < 0.93  # three standard errors of a share of 0.9 in 3000 are 0.016
    assert width > 0.055


def test_what_cannot_both_be_true_is_not_averaged() -> None:
    """Three and more deviations apart the measured value stands; two to three widen the band."""
    thought = Thought(Normal(0.0, 0.01), Normal(0.0, 0.01))
    far = fused(thought, Measured(1.0, 0.01, 0.0))
    assert (far.mean, far.variance) == (1.0, 0.01)
    near, apart = (fused(thought, Measured(mean, 0.01, 0.0)) for mean in (0.1, 0.4))
    assert near.variance == pytest.approx(0.005)
    assert apart.variance > near.variance


def test_a_band_goes_through_its_logarithm_and_back() -> None:
    """A band that is even in logarithms comes back as it was."""
    band = Spread(5.0, 4.0, 6.25)
    assert [getattr(band_of(normal_of(band)), end) for end in ("mid", "low", "high")] == pytest.approx([5.0, 4.0, 6.25])
