"""What was asked before a corner gave way, a corner that lies apart for good, and a rotor that runs up meanwhile."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import ArrayLike
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_outputs import output_signs
from turnback.assess.signs_outputs_flight import seen_of, turns_quietly
from turnback.records.bench import At
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.debrief import Looked, RecordSign
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer

HZ, END_S, GIVES_S, UNTIL_S = 250.0, 30.0, 15.0, 15.4
OPENS, HARD = "corner-gives-way-as-throttle-opens", "corner-gives-way-under-hard-throttle"
JUMP, HIGH, GIVES, AGAIN = "speed-jumps-up", "speed-high-for-output", "corner-gives-way", "corner-answers-again"


class Before(NamedTuple):
    """What all outputs are at from 14.3 s to a sixth of a second before the corner gives way, and just before."""

    level: float = 0.4
    at_last: float = 0.4


STEADY = Before()


def looked(
    before: Before = STEADY, *, gives: bool = True, ups: float = 1.0, events: tuple[Event, ...] = (),
    demand: float = 0.0, beside: float = 0.3,
) -> Looked:  # fmt: skip
    """Turn toward the front left at 4 rad/s for 0.4 s with that corner at its end, its rotor `ups` times as fast."""
    t_s = np.arange(round(END_S * HZ)) / HZ
    shakes = np.random.default_rng(1).normal(0.0, 0.02, t_s.size)
    gone = (t_s >= GIVES_S) & (t_s < UNTIL_S) & gives
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
    level = np.where((t_s >= 14.3) & (t_s < GIVES_S - 0.16), before.level, 0.4)
    level = np.where((t_s >= GIVES_S - 0.16) & (t_s < GIVES_S), before.at_last, level)
    for place, at in enumerate(At):
        out = np.where(gone, (1.0, 0.3, beside, 0.3)[place], level) * (t_s >= 4.0) + 0.05 * ((t_s >= 3.0) & (t_s < 4.0))
        made[Channel(Quantity.OUTPUT, at=at)] = (t_s, out)
        speed = 300.0 * out**0.7 * np.where(gone & (place == 0), ups, 1.0)
        made[Channel(Quantity.ROTOR_SPEED, at=at)] = (t_s, speed)
    for rate, asked in zip(RATES, RATE_DEMANDS, strict=True):
        turns = np.where(gone & (rate is not RATES[2]), -4.0 / np.sqrt(2.0), 0.0)
        made[rate], made[asked] = (t_s, turns + shakes), (t_s, np.where(gone, demand, 0.0))
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, 4.0), flat(PhaseKind.HOVER, 4.0, END_S))
    return Looked(RecordAnswer(Flown(make_record(made), phases), events, (), ()), END_S)


def told(each: Looked) -> dict[str, RecordSign]:
    return {sign.sign: sign for sign in output_signs(each).signs}


@pytest.mark.parametrize(
    ("before", "opens", "hard"),
    [
        (Before(0.06, 0.45), True, False),  # closed, and opened
        (Before(0.06, 0.06), True, False),  # closed still
        (Before(0.35, 0.35), False, False),
        (Before(0.35, 0.8), False, True),  # a burst from near the hover
        (Before(0.4, 0.42), False, False),
    ],
)
def test_what_was_asked_just_before(before: Before, opens: bool, hard: bool) -> None:
    signs = told(looked(before))
    assert signs[GIVES].seen
    assert (signs[OPENS].seen, signs[HARD].seen) == (opens, hard)


def test_where_no_corner_gives_way_nothing_was_asked_before() -> None:
    signs = output_signs(looked(Before(0.06, 0.45), gives=False))
    assert not {OPENS, HARD} & {each.sign for each in signs.signs}
    assert {OPENS, HARD, AGAIN} <= {each.sign for each in signs.not_looked_for}


def test_a_rotor_that_nothing_holds_runs_up_while_its_corner_gives_way() -> None:
    free = told(looked(ups=1.35))
    assert free[JUMP].seen
    assert free[HIGH].seen
    assert free[JUMP].values["siblings_ratio"] == pytest.approx(1.35, abs=0.05)
    for ups in (1.0, 0.1):  # as its output makes it, or standing
        held = told(looked(ups=ups))
        assert not held[JUMP].seen


@pytest.mark.parametrize(
    ("pattern", "most", "seen"), [("one-corner", 0.45, True), ("one-corner", 0.17, False), ("mixed", 0.45, False)]
)
def test_a_corner_that_lies_apart_for_good_gave_way_and_does_not_answer_again(
    pattern: str, most: float, seen: bool
) -> None:
    step = Event(
        EventKind.IMBALANCE_STEP, 16.0, END_S, (), "record.outputs.imbalance_step_share", {"most_share": most}, (),
        {"pattern": pattern, "works": "less"},
    )  # fmt: skip
    signs = told(looked(gives=False, events=(step,)))
    assert signs[GIVES].seen is seen
    if seen:
        assert signs[GIVES].start_s == pytest.approx(16.0)
        assert not signs[AGAIN].seen
        assert not signs[HARD].seen


def test_two_corners_at_their_ends_hold_a_side_up() -> None:
    assert told(looked(beside=0.6))[GIVES].seen
    assert not told(looked(beside=0.92))[GIVES].seen


def test_fast_leaning_is_quiet_only_as_it_is_asked() -> None:
    for demand, quiet in ((-2.5, True), (0.0, False), (2.5, False)):
        seen = seen_of(looked(demand=demand))
        assert turns_quietly(seen, UNTIL_S, or_as_asked=True) is quiet
        assert not turns_quietly(seen, UNTIL_S)
    assert turns_quietly(seen_of(looked()), 12.0)
