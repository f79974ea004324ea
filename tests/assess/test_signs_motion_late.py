"""How late it answers where it swings: a first-order lag as scipy filters it, a tumble, and little asked."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.signal import lfilter
from tests.assess.record_makers import make_record

from turnback.assess.motion_axes import axes_of
from turnback.assess.signs_motion_late import swings_late
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity

HZ, END_S = 200.0, 14.0


def lag_s(behind_s: float, most_rad_s: float = 4.0, *, tumbles: bool = False) -> float | None:
    """Demands that swing about once in 1.3 s, and rates a pure delay later, or of their own."""
    rng = np.random.default_rng(7)
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    made: dict[Channel | Quantity, tuple[Any, Any]] = {}
    for demand, rate, hz in zip(RATE_DEMANDS[:2], RATES[:2], (0.75, 0.83), strict=True):
        asked = most_rad_s * np.sin(2.0 * np.pi * hz * t_s) + rng.normal(0.0, 0.1, t_s.size)
        behind = round(behind_s * HZ)
        turned = lfilter([0.0] * behind + [1.0], [1.0], asked)
        if tumbles:
            turned = 8.0 * np.sin(2.0 * np.pi * 0.31 * t_s) + rng.normal(0.0, 1.0, t_s.size)
        made[demand], made[rate] = (t_s, asked), (t_s, turned)
    return swings_late(list(axes_of(make_record(made))), 1.0, END_S - 1.0)


@pytest.mark.parametrize("behind_s", [0.04, 0.2, 0.36])
def test_the_delay_of_a_swing_is_found_to_a_frame(behind_s: float) -> None:
    assert lag_s(behind_s) == pytest.approx(behind_s, abs=0.021)


def test_a_tumble_and_quiet_demands_tell_nothing() -> None:
    assert lag_s(0.0, tumbles=True) is None
    assert lag_s(0.3, most_rad_s=0.4) is None
