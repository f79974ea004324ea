"""Whether it followed hard demands: a slow first-order answer explains its turning, a tumble does not."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.signal import lfilter
from tests.assess.record_makers import flat, make_record

from turnback.assess.motion_axes import axes_of
from turnback.assess.signs_motion_hard import follows_hard
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.happened import Flown, PhaseKind

HZ, END_S = 200.0, 30.0


def flown(most_rad_s: float, lag_s: float, *, tumbles: bool = False, seed: int = 4) -> Flown:
    """Demands to and fro, answered after a first-order lag; or, in the last two seconds, rates of their own."""
    rng = np.random.default_rng(seed)
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    part = np.exp(-1.0 / (HZ * lag_s))
    made: dict[Channel | Quantity, tuple[Any, Any]] = {}
    for demand, rate in zip(RATE_DEMANDS, RATES, strict=True):
        knots_s = np.arange(0.0, END_S + 1.0, 0.35)
        asked = np.interp(t_s, knots_s, rng.normal(0.0, most_rad_s / 2.0, knots_s.size))
        turned = lfilter([1.0 - part], [1.0, -part], asked) + rng.normal(0.0, 0.05, t_s.size)
        if tumbles:
            turned = np.where(t_s > END_S - 2.0, 6.0 * np.sin(2.0 * np.pi * rng.uniform(0.4, 1.4) * t_s), turned)
        made[demand], made[rate] = (t_s, asked), (t_s, turned)
    return Flown(make_record(made), (flat(PhaseKind.CRUISE, 1.0, END_S),))


@pytest.mark.parametrize("seed", range(3))
def test_what_is_asked_hard_and_answered_with_a_lag_follows(seed: int) -> None:
    found = flown(6.0, 0.06, seed=seed)
    share = follows_hard(axes_of(found.record), found, END_S - 0.1)
    assert share is not None
    assert share > 0.8


@pytest.mark.parametrize("seed", range(3))
def test_a_tumble_does_not_follow(seed: int) -> None:
    found = flown(6.0, 0.06, tumbles=True, seed=seed)
    assert follows_hard(axes_of(found.record), found, END_S - 0.1) is None


def test_quiet_demands_are_not_hard_and_too_little_time_tells_nothing() -> None:
    quiet = flown(0.3, 0.06)
    assert follows_hard(axes_of(quiet.record), quiet, END_S - 0.1) is None
    hard = flown(6.0, 0.06)
    assert follows_hard(axes_of(hard.record), hard, 0.5) is None
