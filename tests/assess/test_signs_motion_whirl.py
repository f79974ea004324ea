"""A whirl is told by headings of five a second; a sensor that jumps, and a turn that was asked for, are none."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_link_parts import first_upset_s
from turnback.assess.signs_motion_whirl import whirls_on_s, whirls_s
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

LIFT_S, END_S = 4.0, 12.0
T_S = np.arange(0.0, END_S, 0.05)
HELD_S = np.floor(T_S / 0.2) * 0.2
TURNS = 4.0 * np.maximum(HELD_S - LIFT_S, 0.0) ** 2


def looked_of(heading_rad: NDArray[np.float64], stick: NDArray[np.float64]) -> Looked:
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {
        Quantity.HEADING: (T_S, np.mod(heading_rad, 2.0 * np.pi)),
        Quantity.YAW_STICK: (T_S, stick),
    }
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, LIFT_S), flat(PhaseKind.HOVER, LIFT_S, END_S))
    return Looked(RecordAnswer(Flown(make_record(made), phases), (), (), ()), END_S)


def begins_s(heading_rad: NDArray[np.float64], stick: NDArray[np.float64]) -> float:
    return whirls_s(looked_of(heading_rad, stick))


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


def test_which_way_it_whirls_is_told_as_it_begins() -> None:
    """Five headings a second: from two and a half rounds a second on the turns between them seem to go back."""
    fast = 12.0 * np.maximum(HELD_S - LIFT_S, 0.0) ** 2 + 3.0 * np.maximum(HELD_S - LIFT_S, 0.0)
    against = np.where(T_S > LIFT_S + 0.2, -0.6, 0.0)
    assert begins_s(fast, against) == pytest.approx(LIFT_S + 0.4, abs=0.5)
    assert begins_s(fast, -against) == float("inf")


def test_an_upset_that_was_mastered_is_none_to_its_end() -> None:
    stick = np.where(T_S > LIFT_S + 0.3, -0.6 * np.sign(np.cos(1.5 * (T_S - LIFT_S))), 0.0)
    looked = looked_of(TURNS, stick)
    assert whirls_on_s(looked) == first_upset_s(looked) == whirls_s(looked) < LIFT_S + 1.0
    stops = looked_of(np.where(HELD_S > LIFT_S + 3.0, 4.0 * 9.0 + 0.01 * HELD_S, TURNS), stick)
    assert np.isfinite(whirls_s(stops))
    assert whirls_on_s(stops) == first_upset_s(stops) == float("inf")
