"""A throttle cut aloft: in what was taken for a fall but was flown, and one that the ground cut short."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.signals import rows_between
from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_sticks_cut import tell_cut
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer, WhyNot

SIGN = "throttle-cut-then-full"
T_S = np.arange(0.0, 30.0, 0.05)
FALLS_S, CUT_S, FULL_S, HITS_S = 15.0, 19.0, 21.0, 22.0
PHASES = (flat(PhaseKind.GROUND, 0.0, 3.0), flat(PhaseKind.CRUISE, 3.0, FALLS_S),
          flat(PhaseKind.FALL, FALLS_S, HITS_S), flat(PhaseKind.GROUND, HITS_S, 30.0))  # fmt: skip


def throttle_of(full_s: float, closed: float = 0.0, before: float = 0.35) -> NDArray[np.float64]:
    """A throttle that lies at `before` in the fall, is closed at its cut, and opened fully."""
    values = np.where((T_S > 3.0) & (T_S < FALLS_S), 0.4, 0.0)
    values[rows_between(T_S, FALLS_S, CUT_S)] = before
    values[rows_between(T_S, CUT_S, full_s)] = closed
    values[rows_between(T_S, full_s, full_s + 1.0)] = 1.0
    return values


def told(throttle: NDArray[np.float64], roll_rad: NDArray[np.float64], *events: Event) -> Teller:
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
        Quantity.THROTTLE: (T_S, throttle), Quantity.ROLL: (T_S, roll_rad), Quantity.PITCH: (T_S, np.zeros(T_S.size)),
    }  # fmt: skip
    teller = Teller()
    tell_cut(Looked(RecordAnswer(Flown(make_record(made), PHASES), events, (), ()), FALLS_S + 1.0), teller)
    return teller


STEADY = 0.02 * np.sin(T_S)
TUMBLES = np.where(T_S > FALLS_S, np.mod(6.0 * T_S, 2.0 * np.pi) - np.pi, 0.0)


def test_a_cut_in_what_was_flown_after_all_is_seen() -> None:
    sign = told(throttle_of(FULL_S), STEADY).signs[SIGN]
    assert sign.seen
    assert sign.values["cut_s"] == pytest.approx(FULL_S - CUT_S, abs=0.1)


@pytest.mark.parametrize(("throttle", "roll"), [
    (throttle_of(FULL_S), TUMBLES),  # what falls broken tumbles
    (throttle_of(FULL_S, before=0.06), STEADY),  # hardly any throttle carried it before
    (throttle_of(CUT_S + 0.4), STEADY),  # let go for a moment
])  # fmt: skip
def test_in_a_fall_a_cut_is_none(throttle: NDArray[np.float64], roll: NDArray[np.float64]) -> None:
    assert not told(throttle, roll).signs[SIGN].seen


def test_a_cut_that_the_ground_ended_is_not_denied() -> None:
    closed = throttle_of(40.0)
    teller = told(closed, STEADY, Event(EventKind.IMPACT, HITS_S, HITS_S + 0.05, (), "", {}))
    assert SIGN not in teller.signs
    assert teller.missing[SIGN].why is WhyNot.TOO_SHORT
    assert not told(closed, STEADY).signs[SIGN].seen


def test_a_cut_in_a_tumble_is_giving_up() -> None:
    """Closed before anything says that it falls, but it tumbles already: the ground cuts nothing short."""
    closed = np.where((T_S > 3.0) & (T_S < FALLS_S - 1.0), 0.4, 0.0)
    blow = Event(EventKind.IMPACT, HITS_S, HITS_S + 0.05, (), "", {})
    assert SIGN in told(closed, STEADY, blow).missing
    tumbles = np.where(T_S > FALLS_S - 3.0, np.mod(6.0 * T_S, 2.0 * np.pi) - np.pi, 0.0)
    assert not told(closed, tumbles, blow).signs[SIGN].seen


@pytest.mark.parametrize(("lands_s", "surely"), [(60.0, True), (80.0, False)])
def test_a_cut_after_which_it_flew_on_for_long_is_a_weak_word(lands_s: float, surely: bool) -> None:
    t_s = np.arange(0.0, 90.0, 0.05)
    throttle = np.where((t_s > 3.0) & (t_s < lands_s), 0.4, 0.0)
    throttle[rows_between(t_s, 20.0, 22.0)] = 0.0
    throttle[rows_between(t_s, 22.0, 23.0)] = 1.0
    phases = (flat(PhaseKind.GROUND, 0.0, 3.0), flat(PhaseKind.CRUISE, 3.0, lands_s),
              flat(PhaseKind.GROUND, lands_s, 90.0))  # fmt: skip
    teller = Teller()
    record = make_record({Quantity.THROTTLE: (t_s, throttle)})
    tell_cut(Looked(RecordAnswer(Flown(record, phases), (), (), ()), lands_s), teller)
    sign = teller.signs[SIGN]
    assert sign.seen
    assert (sign.sure > 0.9) is surely
    assert sign.sure >= 0.55
