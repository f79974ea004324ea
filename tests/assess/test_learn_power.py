"""What made flights of known power teach of their aircraft."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.against_made import Made, answer_of, event
from tests.assess.cases import case_of, plain

from turnback.assess.learn_flight import Lesson
from turnback.assess.learn_lessons import lessons
from turnback.assess.learn_power import hover_rows
from turnback.records.case import Case
from turnback.records.channel import Quantity
from turnback.records.debrief import AgainstPlan, LearnedNumber, NotLearned
from turnback.records.happened import EventKind, RecordAnswer
from turnback.rules.record_learn import LEVEL_MPS

CALM: dict[str, Any] = {
    "pack__id": "p", "aircraft__id": "a", "site__id": "s",
    "weather__wind_mps": {"value": 0.5, "low": 0.1, "high": 1.0}, "aircraft__mass_g": 465,
    "aircraft__cruise_mps": {"value": 13, "low": 12.5, "high": 13.5},
}  # fmt: skip
LABEL_V = 6 * 3.7


def taught(answer: RecordAnswer, case: Case | None = None) -> dict[str, LearnedNumber | NotLearned]:
    """Return all lessons by quantity."""
    found = lessons(answer, AgainstPlan(), case or case_of(plain(), **CALM))
    return {each.quantity: each for each in found.numbers} | dict(found.not_learned)


def number(found: LearnedNumber | NotLearned) -> LearnedNumber:
    """Return a number that was learned."""
    assert isinstance(found, LearnedNumber)
    return found


def test_hover_and_cruise_are_power_over_the_labels_volts() -> None:
    """Outside value: the watts the flight was made with, in a calm, over 6 x 3.7 V; within a hand's eight per cent."""
    found = taught(answer_of(Made(steady=True, hover_w=125.0, cruise_w=160.0)))
    for quantity, watts in (("hover_current_a", 125.0), ("cruise_current_a", 160.0)):
        one = number(found[quantity])
        assert one.value == pytest.approx(watts / LABEL_V, rel=0.1)
        assert one.low < watts / LABEL_V < one.high
        assert one.before is not None
        assert one.high - one.low < one.before.high - one.before.low


def test_more_power_at_speed_is_more_drag() -> None:
    """It rises with what fast flight takes beyond hover, and a slippery one is less than a plan's middle."""
    drag = [
        number(taught(answer_of(Made(steady=True, hover_w=130.0, cruise_w=watts)))["drag_area_cm2"]).value
        for watts in (105.0, 130.0, 170.0)
    ]
    assert drag == sorted(drag)
    assert drag[2] > 1.2 * drag[0]


def test_a_fault_takes_what_came_after_it() -> None:
    """A blow during the way out: hover was measured before, cruise was not."""
    found = taught(answer_of(Made(steady=True, events=[event(EventKind.IMPACT, 72.0)])))
    assert isinstance(found["hover_current_a"], LearnedNumber)
    assert found["cruise_current_a"] is NotLearned.FAULTY_FLIGHT


def test_a_record_without_current_or_speed_is_quiet() -> None:
    """Each says which channel it lacks."""
    found = taught(answer_of(Made(), without=(Quantity.CURRENT,)))
    assert found["hover_current_a"] is NotLearned.NO_CHANNEL
    gone = (Quantity.VELOCITY_EAST, Quantity.VELOCITY_NORTH, Quantity.LATITUDE, Quantity.LONGITUDE)
    found = taught(answer_of(Made(steady=True), without=gone))
    assert isinstance(found["hover_current_a"], LearnedNumber)
    assert found["cruise_current_a"] is NotLearned.NO_CHANNEL


def test_a_station_beside_a_climb_is_not_steady() -> None:
    """By hand: whatever counts as hover has neighbours that neither climb nor sink, and that fly."""
    lesson = Lesson(answer_of(Made(steady=True)), case_of(plain(), **CALM))
    rows, at = hover_rows(lesson), lesson.at
    assert rows is not None
    assert at is not None
    found = np.flatnonzero(rows)
    assert found.size * at.step_s > 30.0  # of 46 s of hover
    for beside in (found - 1, found + 1):
        assert np.abs(at.climb_mps[beside]).max() <= LEVEL_MPS.value
        assert at.flying[beside].all()
