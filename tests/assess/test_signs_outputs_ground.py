"""A board that believes it leans pushes one side as it stands armed; hands that ask for it, and idling, are no sign."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.assess.test_signs_outputs_motion import LIFT_S, Made, seen_in, sign

from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_outputs_flight import seen_of
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked

SIGN = "halves-differ-before-lift"


def standing(left: float, right: float) -> Looked:
    """Return a sound flight whose left and right outputs are these from a second on until it lifts."""
    made = Made()
    ground = made.rows(1.0, LIFT_S)
    made.out[0, ground] = made.out[2, ground] = left
    made.out[1, ground] = made.out[3, ground] = right
    return made.looked()


@pytest.mark.parametrize("left, right, seen", [(0.05, 0.18, True), (0.55, 0.1, True), (0.05, 0.08, False)])
def test_one_side_that_gives_more_as_it_stands_is_told(left: float, right: float, seen: bool) -> None:
    told = output_signs(standing(left, right))
    assert sign(told, SIGN).seen is seen
    assert sign(told, SIGN).sure > 0.8


def test_it_lifts_when_all_corners_run_up_and_not_when_one_side_does() -> None:
    lift = seen_of(standing(0.05, 0.25)).lift
    assert lift is not None and lift.up_s == pytest.approx(LIFT_S, abs=0.1)


def test_a_stick_that_asks_for_it_is_no_fault_of_the_board() -> None:
    looked = standing(0.05, 0.15)
    record = looked.answer.flown.record
    stick = record.get(Quantity.ROLL_STICK)
    assert stick is not None
    held = record.series | {stick.channel: replace(stick, values=stick.values + 0.3)}
    flown = replace(looked.answer.flown, record=replace(record, series=held))
    assert SIGN not in seen_in(output_signs(replace(looked, answer=replace(looked.answer, flown=flown))))
