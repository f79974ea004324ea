"""Seconds in which rotors turn against one another decide whether an even shaking is one rotor's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.assess.record_makers import flat
from tests.assess.test_signs_outputs_motion import LIFT_S, Made, sign

from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_motion_beats import beats_of
from turnback.assess.signs_outputs_flight import seen_of
from turnback.records.happened import PhaseKind

EVEN, STRONG = "vibration-even", "vibration-strong-from-all-rotors"
TURNS_HZ = 93.0


def _flown(sizes: tuple[float, ...], parts_hz: tuple[float, ...], parted_s: tuple[float, float]) -> Made:
    """Return a flight whose rotors turn alike, but for some seconds."""
    made = Made()
    made.out[:, made.aloft] = 0.4
    inside = (made.t_s >= parted_s[0]) & (made.t_s < parted_s[1])
    for k, size in enumerate(sizes):
        hz = np.where(made.aloft, TURNS_HZ + parts_hz[k] * inside, 15.0)
        made.speed[k] = hz
        made.out[k, made.aloft] = 0.4 * (hz[made.aloft] / TURNS_HZ) ** 2
        angle = 2.0 * np.pi * np.cumsum(hz) / 250.0 + k
        made.rate[0, made.aloft] += size * np.sin(angle[made.aloft])
        made.rate[1, made.aloft] += size * np.cos(angle[made.aloft])
    return made


FOUR, PARTS = (0.3, 0.3, 0.3, 0.3), (0.0, 1.7, 2.9, 4.3)


@pytest.mark.parametrize("speeds", [True, False])
def test_rotors_that_turn_together_are_told_where_they_part(speeds: bool) -> None:
    told = motion_signs(_flown(FOUR, PARTS, (LIFT_S + 2.0, LIFT_S + 9.0)).looked(speeds=speeds))
    assert not sign(told, EVEN).seen
    assert sign(told, EVEN).values["beats_share"] > 0.4
    one = motion_signs(_flown((1.0, 0.0, 0.0, 0.0), PARTS, (LIFT_S + 2.0, LIFT_S + 9.0)).looked(speeds=speeds))
    assert sign(one, EVEN).seen
    assert sign(one, EVEN).sure > 0.9


def test_rotors_that_never_part_let_nobody_be_sure() -> None:
    told = motion_signs(_flown((0.5, 0.4, 0.1, 0.1), PARTS, (0.0, 0.0)).looked())
    assert sign(told, EVEN).seen
    assert sign(told, EVEN).sure < 0.7


def test_what_the_thrust_explains_is_no_beat() -> None:
    """One rotor whose shaking grows with the square of its speed, while that swings by a seventh to both sides."""
    made = _flown((0.0, 0.0, 0.0, 0.0), (0.0, 2.0, 3.0, 4.0), (LIFT_S, 30.0))
    swing = 1.0 + 0.15 * np.sin(2.0 * np.pi * 0.7 * made.t_s)
    made.speed *= swing
    angle = 2.0 * np.pi * np.cumsum(made.speed[0]) / 250.0
    size = np.where(made.aloft, swing**2, 0.0)
    made.rate[0] += size * np.sin(angle)
    made.rate[1] += size * np.cos(angle)
    seen = seen_of(made.looked())
    axes = [seen.axes[name].rate for name in ("roll", "pitch")]
    spans = [(LIFT_S + 1.0, 30.0)]
    beats = beats_of(seen, axes, spans)
    explained, known = beats.wander(3)
    assert known
    assert explained < 0.03
    assert beats.level == pytest.approx(1.0, rel=0.1)
    made.speed /= swing  # now nothing explains it
    left, _ = beats_of(seen_of(made.looked()), axes, spans).wander(3)
    assert left > 2.0 * explained


def test_what_tumbles_from_the_start_is_read_with_the_limits_of_full_throttle() -> None:
    for size, shows in ((0.45, False), (1.3, True)):
        made = _flown((size, 0.0, 0.0, 0.0), PARTS, (LIFT_S, 30.0))
        looked = made.looked()
        flown = looked.answer.flown
        phases = (flown.phases[0], flat(PhaseKind.TAKE_OFF, LIFT_S, LIFT_S + 7.0))
        told = motion_signs(
            replace(looked, answer=replace(looked.answer, flown=replace(flown, phases=phases)), ended_s=LIFT_S + 7.0)
        )
        assert sign(told, EVEN).seen is shows
        assert sign(told, EVEN).sure <= 0.9
        assert not sign(told, STRONG).seen
