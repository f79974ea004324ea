"""Of a flight in which it spins like a top only what comes before tells of vibration and of its loop."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.assess.test_signs_outputs_motion import END_S, LIFT_S, Made, sign

from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_motion_spun import before_spin, spins_s
from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_outputs_flight import seen_of
from turnback.records.debrief import Looked
from turnback.records.happened import Event, EventKind

STRONG, SWINGS = "vibration-strong-from-all-rotors", "outputs-swing-fast"


def _spun(start_s: float, yaw_rad_s: float) -> Looked:
    """From some time on it turns about its upright axis, swings across it, and its outputs fight that."""
    made = Made()
    rows = made.rows(start_s)
    t_s = made.t_s[rows]
    made.rate[2, rows] += yaw_rad_s
    for k, frequency_hz in enumerate((71.0, 73.1, 76.3)):
        made.rate[0, rows] += np.sin(2.0 * np.pi * frequency_hz * t_s + k)
        made.rate[1, rows] += np.cos(2.0 * np.pi * frequency_hz * t_s + k)
    made.out[:, rows] += 0.2 * np.sin(2.0 * np.pi * 12.0 * t_s)
    looked = made.looked(speeds=False)
    away = Event(EventKind.RATE_RUN_AWAY, start_s, END_S, (), "", words={"axis": "yaw"})
    others = tuple(each for each in looked.answer.events if each.kind is not EventKind.RATE_RUN_AWAY)
    return replace(looked, answer=replace(looked.answer, events=(*others, away)))


def test_what_it_does_while_it_spins_is_no_sign_of_its_own() -> None:
    spins, shakes = _spun(14.0, 12.0), _spun(14.0, 0.0)
    assert spins_s(seen_of(spins)) == pytest.approx(14.0)
    assert before_spin(seen_of(spins)).failed_s == pytest.approx(14.0)
    for told, key in ((motion_signs, STRONG), (output_signs, SWINGS)):
        assert sign(told(shakes), key).seen
        assert not sign(told(spins), key).seen


def test_a_sensor_that_is_shaken_does_not_spin() -> None:
    """A finder calls it a run-away all the same; its mean is nothing."""
    seen = seen_of(_spun(14.0, 0.0))
    assert spins_s(seen) == float("inf")
    assert before_spin(seen) is seen


def test_what_spins_from_lift_on_leaves_nothing_to_read() -> None:
    told = motion_signs(_spun(LIFT_S + 0.3, 12.0))
    assert STRONG in {each.sign for each in told.not_looked_for}
