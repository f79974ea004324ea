"""Yaw swung to and fro beside a stick that is nearly still; a hand that fights a dead motor does it otherwise."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.record_makers import make_record

from turnback.assess.signs_sticks_yaw import yaw_swings
from turnback.records.channel import STICKS, Channel, Quantity

HZ, START_S, LIFT_S, END_S = 50.0, 12.0, 3.0, 17.0


def beyond(*, still: float = 0.12, out: float = 0.8, obeys: float = 1.0, swings: int = 6, by: str = "rate",
           upset_s: float = float("inf"), yaw_out: float = 0.8) -> float:  # fmt: skip
    """How far beyond: yaw from side to side from `START_S` on, roll out for long, pitch nearly still."""
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    rng = np.random.default_rng(3)
    since = t_s - START_S
    swung = np.where((since >= 0.0) & (since < 0.5 * (swings + 1)), np.sin(np.pi * since / 0.5), 0.0)
    turns = rng.normal(0.0, 1.0, t_s.size // 20 + 1).repeat(20)[: t_s.size]
    rate = 3.0 * (obeys * swung + (1.0 - obeys) * turns)
    made: dict[Channel | Quantity, tuple[Any, Any]] = {
        STICKS[0]: (t_s, np.where(since >= 0.0, out, 0.05)), STICKS[1]: (t_s, still + rng.normal(0.0, 0.01, t_s.size)),
        Quantity.YAW_STICK: (t_s, yaw_out * swung), Quantity.THROTTLE: (t_s, np.full(t_s.size, 0.4)),
    }  # fmt: skip
    if by == "rate":
        made[Quantity.YAW_RATE] = (t_s, rate)
    elif by == "heading":
        made[Quantity.HEADING] = (t_s, np.angle(np.exp(1j * np.cumsum(rate) / HZ)))
    return yaw_swings(make_record(made), (LIFT_S, END_S), upset_s).beyond


@pytest.mark.parametrize("by", ["rate", "heading"])
def test_a_tilt_that_is_answered_with_yaw(by: str) -> None:
    assert beyond(by=by) > 0.9


@pytest.mark.parametrize("other", [
    {"obeys": 0.05}, {"still": 0.6}, {"out": 0.2}, {"swings": 1}, {"yaw_out": 0.3}, {"upset_s": 11.0}, {"by": "none"},
])  # fmt: skip
def test_each_part_of_it_is_needed(other: dict[str, Any]) -> None:
    assert beyond(**other) < 0.0
