"""Rotors that are driven hard and lift nothing: without heights the felt force tells, and what leans over is none."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_outputs import output_signs
from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity
from turnback.records.debrief import Looked, RecordSign
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

SIGN = "outputs-high-no-lift"
HZ, UP_S, END_S = 250.0, 3.0, 9.0


def told(made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]]) -> RecordSign:
    """Take the run-up for a lift, as a finder does where no height tells."""
    phases = (flat(PhaseKind.GROUND, 0.0, UP_S), flat(PhaseKind.TAKE_OFF, UP_S + 0.4, END_S))
    looked = Looked(RecordAnswer(Flown(make_record(made), phases), (), (), ()), END_S)
    return next(each for each in output_signs(looked).signs if each.sign == SIGN)


@pytest.mark.parametrize(("lifts_mps2", "seen"), [(0.0, True), (3.0, False)])
def test_what_stands_feels_the_same_force_whatever_its_rotors_do(lifts_mps2: float, seen: bool) -> None:
    t_s = np.arange(round(END_S * HZ)) / HZ
    up = t_s >= UP_S
    shakes = np.random.default_rng(4).normal(0.0, 2.0, (3, t_s.size)) * up
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
    for at in At:
        made[Channel(Quantity.OUTPUT, at=at)] = (t_s, np.clip(0.05 + (t_s - UP_S), 0.05, 0.95))
    rises = lifts_mps2 * ((t_s >= UP_S + 0.4) & (t_s < UP_S + 2.4))
    for k, (rate, force) in enumerate(zip(RATES, ACCELERATIONS, strict=True)):
        made[rate] = (t_s, 0.02 * shakes[k])
        made[force] = (t_s, shakes[k] - (9.81 + rises if k == 2 else 0.0))
    assert told(made).seen is seen


@pytest.mark.parametrize(("leans_rad", "seen"), [(0.1, True), (1.2, False)])
def test_what_leans_over_at_full_throttle_does_not_lift_for_another_reason(leans_rad: float, seen: bool) -> None:
    """A radio's record: throttle, current and angles."""
    t_s = np.arange(round(END_S * 10.0)) / 10.0
    driven = (t_s >= UP_S) & (t_s < UP_S + 4.0)
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
        Quantity.THROTTLE: (t_s, 0.95 * driven), Quantity.CURRENT: (t_s, 0.5 + 40.0 * driven),
        Quantity.ROLL: (t_s, leans_rad * (t_s >= UP_S + 1.0)), Quantity.PITCH: (t_s, 0.0 * t_s),
        Quantity.HEIGHT_LAUNCH: (t_s, 0.0 * t_s),
    }  # fmt: skip
    assert told(made).seen is seen
