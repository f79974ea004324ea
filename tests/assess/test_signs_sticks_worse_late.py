"""Answers that make it worse: a loop that begins late, one that goes over at once, and yaw in step with a tilt."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_sticks_worse import SIGN, tell_worse
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer

HZ, LIFT_S = 20.0, 2.0
Line = NDArray[np.float64]


def seen(stick: Line, tilt: Line, yaw: Line, aloft_s: tuple[float, float], ended_s: float,
         events: tuple[Event, ...] = ()) -> bool:  # fmt: skip
    """A pitch stick and pitch (rad), and a yaw stick, at 20 Hz; all else is quiet."""
    t_s = np.arange(stick.size) / HZ
    noise = np.random.default_rng(1).normal(0.0, 0.005, t_s.size)
    made: dict[Channel | Quantity, tuple[Any, Any]] = {
        Quantity.PITCH_STICK: (t_s, stick + noise), Quantity.PITCH: (t_s, tilt),
        Quantity.ROLL_STICK: (t_s, noise), Quantity.ROLL: (t_s, 0.0 * t_s), Quantity.YAW_STICK: (t_s, yaw + noise),
        Quantity.THROTTLE: (t_s, np.where(t_s < LIFT_S, 0.0, 0.4)),
    }  # fmt: skip
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, aloft_s[0]), flat(PhaseKind.CRUISE, *aloft_s))
    teller = Teller()
    tell_worse(Looked(RecordAnswer(Flown(make_record(made), phases), events, (), ()), ended_s), teller)
    return teller.signs[SIGN].seen


def grown(far_s: float, ends_s: float, *, own_size: bool = True) -> Line:
    """A stick that is at 0.8 at `far_s` and stays there: by its own size from early on, or straight within 2 s."""
    t_s = np.arange(0.0, ends_s, 1.0 / HZ)
    straight = np.clip(1.0 - (far_s - t_s) / 2.0, 0.0, 1.0)
    return 0.8 * (np.minimum(np.exp(1.0 * (t_s - far_s)), 1.0) if own_size else straight)


def test_a_loop_that_grows_by_its_own_size_may_begin_late_and_a_cruise_may_not() -> None:
    for own_size in (True, False):
        stick = grown(LIFT_S + 7.8, 14.0, own_size=own_size)
        assert seen(stick, 0.75 * stick, 0.0 * stick, (LIFT_S, 14.0), 14.0) is own_size
    stick = grown(LIFT_S + 12.0, 18.0)
    assert not seen(stick, 0.75 * stick, 0.0 * stick, (LIFT_S, 18.0), 18.0)


def goes_over(lets_back_s: float) -> bool:
    """Stick far out 1.5 s after lift-off, and over a fifth of a second later; let back so long before it is over."""
    t_s = np.arange(0.0, 5.0, 1.0 / HZ)
    over_s = LIFT_S + 1.6
    stick = 0.9 * np.exp(2.5 * np.minimum(t_s - over_s, 0.0))
    stick = np.where(t_s > over_s - lets_back_s, -0.6, stick)
    tilt = np.where(t_s > over_s, 1.4, 0.5 * np.exp(2.5 * np.minimum(t_s - over_s, 0.0)))
    return seen(stick, tilt, 0.0 * t_s, (LIFT_S + 1.0, 4.5), 4.2)


def test_far_out_and_over_at_once_is_seen_though_it_is_let_back_then() -> None:
    assert goes_over(lets_back_s=0.0)
    assert not goes_over(lets_back_s=0.5)


def test_a_hop_that_was_taken_for_the_ground_too_early_is_looked_at_a_little_longer() -> None:
    t_s = np.arange(0.0, 5.0, 1.0 / HZ)
    stick = 0.6 * np.exp(3.0 * np.minimum(t_s - LIFT_S - 1.3, 0.0))
    tilt = 1.5 * np.exp(3.0 * np.minimum(t_s - LIFT_S - 1.3, 0.0))
    assert seen(stick, tilt, 0.0 * t_s, (LIFT_S, LIFT_S + 0.3), LIFT_S + 0.3)
    assert not seen(np.where(t_s < LIFT_S + 0.9, stick, 0.0), tilt, 0.0 * t_s, (LIFT_S, LIFT_S + 0.3), LIFT_S + 0.3)


def swings(yaw_hz: float, ends_s: float, pitch_hz: float = 0.7) -> bool:
    """Pitch swings by 40 degrees from a second after lift-off, taken for an upset; yaw goes against it, or not."""
    t_s = np.arange(0.0, ends_s, 1.0 / HZ)
    begun = np.clip((t_s - LIFT_S - 1.0) / 0.5, 0.0, 1.0)
    pitch, yaw = (size * begun * np.sin(2.0 * np.pi * hz * t_s) for size, hz in ((0.7, pitch_hz), (-0.35, yaw_hz)))
    upset = Event(EventKind.RATE_RUN_AWAY, LIFT_S + 1.2, ends_s - 0.1, (), "record.motion.made")
    return seen(0.1 * np.sign(pitch) * begun, pitch, yaw, (LIFT_S, ends_s), ends_s, (upset,))


def test_yaw_in_step_against_a_tilt_is_seen_and_out_of_step_or_too_short_is_not() -> None:
    assert swings(yaw_hz=0.7, ends_s=9.0)
    assert not swings(yaw_hz=0.45, ends_s=9.0)
    assert not swings(yaw_hz=0.7, ends_s=LIFT_S + 3.0)
    assert not swings(yaw_hz=0.12, pitch_hz=0.12, ends_s=9.0)
