"""A whirl is told by headings of five a second; a sensor that jumps, and a turn that was asked for, are none."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_motion_whirl import whirls_s
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

LIFT_S, END_S = 4.0, 12.0
T_S = np.arange(0.0, END_S, 0.05)
HELD_S = np.floor(T_S / 0.2) * 0.2
TURNS = 4.0 * np.maximum(HELD_S - LIFT_S, 0.0) ** 2


def begins_s(heading_rad: NDArray[np.float64], stick: NDArray[np.float64]) -> float:
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
        Quantity.HEADING: (T_S, np.mod(heading_rad, 2.0 * np.pi)),
        Quantity.YAW_STICK: (T_S, stick),
    }
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, LIFT_S), flat(PhaseKind.HOVER, LIFT_S, END_S))
    return whirls_s(Looked(RecordAnswer(Flown(make_record(made), phases), (), (), ()), END_S))


def test_it_whirls_while_the_stick_pushes_against_it_to_and_fro() -> None:
    stick = np.where(T_S > LIFT_S + 0.3, -0.6 * np.sign(np.cos(1.5 * (T_S - LIFT_S))), 0.0)
    assert begins_s(TURNS, stick) == pytest.approx(LIFT_S + 0.4, abs=0.5)


@pytest.mark.parametrize(
    "heading_rad, stick",
    [
        (np.where(HELD_S >= LIFT_S, 2.4, 0.0), np.zeros(T_S.size)),  # current in the leads
        (TURNS, np.where(T_S >= LIFT_S, 0.8, 0.0)),  # asked for
        (0.5 * np.maximum(HELD_S - LIFT_S, 0.0), np.zeros(T_S.size)),  # slow
    ],
)
def test_a_jump_and_what_is_asked_for_are_no_whirl(
    heading_rad: NDArray[np.float64], stick: NDArray[np.float64]
) -> None:
    assert begins_s(heading_rad, stick) == float("inf")
