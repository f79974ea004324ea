"""Rate mode steered as self-level: a bank that is caught again, one flown on purpose, and a stick held until over."""

from __future__ import annotations

from typing import Any

import numpy as np
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_sticks_bank import SIGN, tell_bank
from turnback.records.channel import STICKS, Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

HZ, END_S = 50.0, 40.0


def seen(sticks: tuple[float, float, float], *, banks: tuple[tuple[float, float], ...] = (), ended_s: float = 38.0,
         turns_dps: float = 0.0, mode: float = 0.0) -> bool:  # fmt: skip
    """Tell it of a flight along which the roll stick has a value from one moment to another.

    `banks`: from when to when it lies 75 degrees over with the sticks let go, after a push of the stick; `turns_dps`:
    how fast it rolls while the stick is out.
    """
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    noise = np.random.default_rng(2).normal(0.0, 0.004, (4, t_s.size))
    stick, roll = noise[0].copy(), np.radians(3.0) * np.sin(t_s)
    out, start_s, end_s = sticks
    held = (t_s >= start_s) & (t_s < end_s)
    stick[held] += out
    roll += np.radians(turns_dps) * np.clip(t_s - start_s, 0.0, end_s - start_s)
    for from_s, to_s in banks:
        stick[(t_s >= from_s - 0.3) & (t_s < from_s)] += 0.8
        roll += np.radians(75.0) * np.interp(t_s, [from_s - 0.3, from_s, to_s, to_s + 0.3], [0.0, 1.0, 1.0, 0.0])
        stick[(t_s >= to_s) & (t_s < to_s + 0.3)] -= 0.8
    made: dict[Channel | Quantity, tuple[Any, Any]] = {
        STICKS[0]: (t_s, stick), STICKS[1]: (t_s, noise[1]), Quantity.ROLL: (t_s, np.angle(np.exp(1j * roll))),
        Quantity.PITCH: (t_s, noise[2]), Quantity.MODE: (t_s, np.full(t_s.size, mode)),
    }  # fmt: skip
    record = make_record(made, labels={Quantity.MODE: ("rate", "self level")})
    phases = (flat(PhaseKind.GROUND, 0.0, 4.0), flat(PhaseKind.CRUISE, 4.0, ended_s),
              flat(PhaseKind.GROUND, ended_s, END_S))  # fmt: skip
    teller = Teller()
    tell_bank(Looked(RecordAnswer(Flown(record, phases), (), (), ()), ended_s), teller)
    return teller.signs[SIGN].seen


NOTHING = (0.0, 30.0, 30.0)


def test_a_bank_far_over_counts_though_it_was_caught_and_flown_home() -> None:
    assert seen(NOTHING, banks=((20.0, 21.6),))
    assert not seen(NOTHING)
    assert not seen(NOTHING, banks=((20.0, 20.4),))  # a moment of it is how one turns
    assert not seen(NOTHING, banks=((20.0, 21.6),), mode=1.0)


def test_who_flies_far_over_again_and_again_means_it() -> None:
    assert not seen(NOTHING, banks=((8.0, 9.5), (16.0, 17.5), (24.0, 25.5), (30.0, 31.5)))


def test_a_stick_held_part_way_until_it_lies_over_just_before_the_end() -> None:
    assert seen((0.55, 30.0, 30.9), turns_dps=150.0, ended_s=31.0)
    assert not seen((0.55, 30.0, 30.9), turns_dps=150.0, ended_s=31.0, mode=1.0)
    assert not seen((0.55, 20.0, 20.9), turns_dps=400.0)  # a roll on purpose: it flies on
    assert not seen((1.0, 30.0, 30.9), turns_dps=150.0, ended_s=31.0)
    assert not seen((0.55, 30.0, 30.9), turns_dps=-150.0, ended_s=31.0)  # it turns against the stick
    assert not seen((0.55, 30.0, 30.35), turns_dps=290.0, ended_s=31.0)
