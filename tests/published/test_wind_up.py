"""Why motors run up on the bench: the formula against a loop that is stepped in time, which shares nothing with it."""

from __future__ import annotations

import numpy as np
import pytest

from turnback.assess.assembly_wind_up import wind_up
from turnback.records.bench import Gains

pytestmark = pytest.mark.published


def stepped_s(gains: Gains, seed: int, step_s: float = 0.001) -> float:
    """Return when the integral stands at its limit: an armed aircraft on a bench, tilted, that nothing turns.

    The rate gyroscope is noisy (0.02 rad/s) and the accelerometer shakes by a tenth of a degree, as on a real bench.
    """
    lot = np.random.default_rng(seed)
    most = 200_000
    rate = 0.02 * lot.standard_normal(most)
    tilt = np.radians(gains.tilt_deg + 0.1 * lot.standard_normal(most))
    total = 0.0
    for step in range(most):
        error = gains.attitude_gain * tilt[step] - rate[step]
        total += gains.integral_gain * error * step_s
        if total >= gains.limit:
            return (step + 1) * step_s
    return float("nan")


@pytest.mark.parametrize(
    ("gains", "known_s"),
    [
        (Gains(0.1, 6.0, 0.4, 2.0), 19.1),  # common practice: about 19 s with middling gains at 2 degrees
        (Gains(0.2, 6.0, 0.4, 2.0), 9.55),
        (Gains(0.1, 6.0, 0.4, 4.0), 9.55),
        (Gains(0.3, 4.0, 0.2, 1.0), 9.55),
    ],
)
def test_motors_run_up_as_long_as_a_stepped_loop_takes(gains: Gains, known_s: float) -> None:
    said = wind_up(gains)
    assert said.seconds == pytest.approx(known_s, rel=0.03)
    assert said.seconds == pytest.approx(stepped_s(gains, seed=4), rel=0.03)


def test_typical_gains_are_those_of_the_known_figure() -> None:
    assert wind_up(None).seconds == pytest.approx(19.1, rel=0.03)


@pytest.mark.parametrize("gains", [Gains(0.0, 6.0, 0.4, 2.0), Gains(0.1, 0.0, 0.4, 2.0), Gains(0.1, 6.0, 0.4, 0.0)])
def test_where_a_gain_or_the_tilt_is_nothing_it_never_winds_up(gains: Gains) -> None:
    assert wind_up(gains).seconds is None
    assert np.isnan(stepped_s(gains, seed=4))
