"""A stick thrown to its stop after a small upset: soon the end, or one throw after another; not about a blow."""

from __future__ import annotations

from typing import Any

import numpy as np
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_sticks_hands import tell_hands
from turnback.records.channel import RATES, STICKS, Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer

SIGN = "large-reaction-to-small-upset"
HZ, END_S, UPSET_S = 100.0, 50.0, 20.0


def seen(*throws_s: float, ended_s: float = 44.0, blow_s: float | None = None, upset_radps: float = 3.0) -> bool:
    """Tell it of a calm flight with a turn of a tenth of a second that nobody asked for, and throws of the stick."""
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    rng = np.random.default_rng(4)
    stick = rng.normal(0.0, 0.01, t_s.size)
    for at_s in throws_s:
        stick[(t_s >= at_s) & (t_s < at_s + 0.3)] = -1.0
    rate = rng.normal(0.0, 0.2, t_s.size)
    rate[(t_s >= UPSET_S) & (t_s < UPSET_S + 0.1)] += upset_radps
    made: dict[Channel | Quantity, tuple[Any, Any]] = {
        STICKS[0]: (t_s, stick), STICKS[1]: (t_s, rng.normal(0.0, 0.01, t_s.size)), STICKS[3]: (t_s, 0.4),
        RATES[0]: (t_s, rate), RATES[1]: (t_s, rng.normal(0.0, 0.2, t_s.size)),
        Quantity.ROLL: (t_s, 0.0), Quantity.PITCH: (t_s, 0.0),
    }  # fmt: skip
    phases = (flat(PhaseKind.GROUND, 0.0, 4.0), flat(PhaseKind.CRUISE, 4.0, ended_s),
              flat(PhaseKind.GROUND, ended_s, END_S))  # fmt: skip
    blows = () if blow_s is None else (Event(EventKind.IMPACT, blow_s, blow_s + 0.05, (), "record.motion.made"),)
    teller = Teller()
    tell_hands(Looked(RecordAnswer(Flown(make_record(made), phases), blows, (), ()), ended_s), teller)
    return teller.signs[SIGN].seen


def test_one_throw_that_soon_brings_it_down() -> None:
    assert seen(UPSET_S + 0.4, ended_s=23.0, blow_s=22.95)
    assert not seen(UPSET_S + 0.4, ended_s=23.0, blow_s=22.95, upset_radps=0.2)
    assert not seen(UPSET_S + 3.0, ended_s=24.0, blow_s=23.95)


def test_one_throw_and_flown_home_is_steering_and_one_after_another_is_not() -> None:
    assert not seen(UPSET_S + 0.4)
    assert seen(UPSET_S + 0.4, UPSET_S + 1.4)
    assert not seen(UPSET_S + 0.4, UPSET_S + 6.0)


def test_what_hands_do_after_a_blow_is_about_the_blow() -> None:
    assert not seen(UPSET_S + 0.1, ended_s=20.05, blow_s=20.05)
