"""Whether it tips over as it lifts, from attitude alone; a heading tells of turning only while it stands upright."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record
from tests.assess.test_signs_outputs_motion import sign

from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_motion_tips import from_first
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked, SignsTold
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

AWAY, UPRIGHT = "rates-run-away-toward-corner", "turns-about-upright-axis"
LIFT_S = 4.0


def _told(roll_rad: NDArray[np.float64], heading_rad: NDArray[np.float64], stick: float = 0.0) -> SignsTold:
    t_s = np.arange(0.0, 20.0, 0.1)
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
        Quantity.ROLL: (t_s, roll_rad), Quantity.PITCH: (t_s, 0.0 * t_s), Quantity.HEADING: (t_s, heading_rad),
        Quantity.THROTTLE: (t_s, np.where(t_s >= LIFT_S - 0.3, 0.4, 0.0)),
        Quantity.ROLL_STICK: (t_s, np.full(t_s.size, stick)), Quantity.PITCH_STICK: (t_s, 0.0 * t_s),
    }  # fmt: skip
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, LIFT_S), flat(PhaseKind.HOVER, LIFT_S, 19.9))
    return motion_signs(Looked(RecordAnswer(Flown(make_record(made), phases), (), (), ()), 19.9))


def test_it_tips_over_or_stays_level() -> None:
    t_s = np.arange(0.0, 20.0, 0.1)
    falls = np.clip(3.0 * (t_s - LIFT_S), 0.0, np.pi)
    assert sign(_told(falls, 0.0 * t_s), AWAY).seen
    assert sign(_told(np.pi - falls, 0.0 * t_s), AWAY).seen  # a board on its head
    assert not sign(_told(0.0 * t_s, 0.0 * t_s), AWAY).seen
    assert not sign(_told(falls, 0.0 * t_s, stick=0.9), AWAY).seen


def test_heading_tells_of_turning_only_upright() -> None:
    t_s = np.arange(0.0, 20.0, 0.1)
    spins = np.where(t_s > LIFT_S, 6.0 * (t_s - LIFT_S), 0.0)
    assert sign(_told(0.0 * t_s, spins), UPRIGHT).seen
    assert UPRIGHT not in {each.sign for each in _told(np.full(t_s.size, np.pi), spins).signs}


def test_the_upright_axis_turns_by_the_roll_alone_and_by_both() -> None:
    """Roll by 0.5 turns the upright axis by 0.5; roll and pitch of a quarter turn each, by a quarter turn."""
    assert from_first(np.array([0.0, 0.5]), np.zeros(2))[1] == pytest.approx(0.5)
    assert from_first(np.array([0.0, np.pi / 2]), np.array([0.0, np.pi / 2]))[1] == pytest.approx(np.pi / 2)
