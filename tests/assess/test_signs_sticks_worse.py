"""Sticks whose answer makes it worse: an unstable loop as it grows, a pilot who gives up, one who only cruises."""

from __future__ import annotations

from typing import Any

import numpy as np
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_sticks_worse import SIGN, tell_worse
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

HZ, LIFT_S, END_S = 20.0, 2.0, 9.5


def seen(back_s: float, ended_s: float, ends_s: float = END_S) -> bool:
    """Tilt and stick grow as exp(1.3 t) from lift-off to the stop; from `back_s` on all is let back."""
    t_s = np.arange(0.0, ends_s, 1.0 / HZ)
    grown = 0.006 * np.exp(1.3 * np.clip(t_s - LIFT_S, 0.0, None)) * (t_s > LIFT_S)
    stick = np.where(t_s < back_s, np.minimum(grown, 1.0), 0.4)
    noise = np.random.default_rng(1).normal(0.0, 0.005, t_s.size)
    made: dict[Channel | Quantity, tuple[Any, Any]] = {
        Quantity.ROLL_STICK: (t_s, stick + noise), Quantity.ROLL: (t_s, 0.75 * stick),
        Quantity.PITCH_STICK: (t_s, 0.0 * t_s + noise), Quantity.PITCH: (t_s, 0.0 * t_s),
        Quantity.THROTTLE: (t_s, np.where(t_s < LIFT_S, 0.0, np.where(t_s < back_s, 0.4, 0.15))),
    }  # fmt: skip
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, LIFT_S), flat(PhaseKind.CRUISE, LIFT_S, ends_s))
    teller = Teller()
    tell_worse(Looked(RecordAnswer(Flown(make_record(made), phases), (), (), ()), ended_s), teller)
    return teller.signs[SIGN].seen


def test_an_unstable_loop_is_seen_also_where_its_pilot_gives_up() -> None:
    assert seen(back_s=20.0, ended_s=8.0)
    assert seen(back_s=6.0, ended_s=8.2)


def test_who_leans_into_a_cruise_and_flies_on_is_not() -> None:
    assert not seen(back_s=6.0, ended_s=30.0, ends_s=30.0)
