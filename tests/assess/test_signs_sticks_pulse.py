"""One stick alone that leaves its way before the trouble, and the push of hands that fight at full throttle."""

from __future__ import annotations

from typing import Any

import numpy as np
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_sticks_hands import tell_hands
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

HZ, LIFT_S, PUSH_S, ENDS_S = 50.0, 2.0, 28.0, 30.0


def seen(*, full_from_s: float = 99.0, pitch_too: bool = False) -> bool:
    """Roll goes to four fifths for half a second, two seconds before the end; full throttle from then on."""
    t_s = np.arange(0.0, ENDS_S, 1.0 / HZ)
    push = 0.8 * ((t_s > PUSH_S) & (t_s < PUSH_S + 0.5))
    noise = np.random.default_rng(2).normal(0.0, 0.01, (4, t_s.size))
    throttle = np.where(t_s < LIFT_S, 0.0, np.where(t_s < full_from_s, 0.4 + noise[3], 1.0))
    made: dict[Channel | Quantity, tuple[Any, Any]] = {
        Quantity.ROLL_STICK: (t_s, push + noise[0]), Quantity.PITCH_STICK: (t_s, pitch_too * push + noise[1]),
        Quantity.YAW_STICK: (t_s, noise[2]), Quantity.THROTTLE: (t_s, throttle),
        Quantity.ROLL: (t_s, 0.4 * push), Quantity.PITCH: (t_s, 0.0 * t_s),
    }  # fmt: skip
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, LIFT_S), flat(PhaseKind.CRUISE, LIFT_S, ENDS_S))
    teller = Teller()
    tell_hands(Looked(RecordAnswer(Flown(make_record(made), phases), (), (), ()), ENDS_S), teller)
    return teller.signs["demand-against-intention"].seen


def test_one_stick_alone_is_seen_and_two_are_not() -> None:
    assert seen()
    assert not seen(pitch_too=True)


def test_hands_at_full_throttle_fight_already() -> None:
    assert not seen(full_from_s=PUSH_S - 2.0)
    assert seen(full_from_s=PUSH_S + 0.4)
