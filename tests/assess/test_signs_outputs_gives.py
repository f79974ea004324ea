"""A corner that gives way in flight, and one that answers again; a move that the pilot asks for is none."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_outputs import output_signs
from turnback.records.bench import At
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer

HZ, END_S = 250.0, 30.0
WAYS = {"corner-gives-way", "corner-answers-again"}


def told(
    gives_s: float,
    until_s: float,
    asked: bool = False,
    ended_s: float = END_S,
    before_s: float = 0.0,
    events: tuple[Event, ...] = (),
    gives: float = 1.0,
    others: float = 0.3,
    turns_rad_s: float = 4.0,
    yaw_rad_s: float = 0.0,
    opposite: float | None = None,
) -> dict[str, bool]:
    """Turn toward the front left at 4 rad/s (0.4 s of it are 1.6 rad) with that corner at its end."""
    t_s = np.arange(round(END_S * HZ)) / HZ
    shakes = np.random.default_rng(1).normal(0.0, 0.02, t_s.size)
    gone = (t_s >= gives_s) & (t_s < until_s)
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
    for place, at in enumerate(At):
        besides = others if opposite is None or place != 3 else opposite
        out = np.where(gone, gives if place == 0 else besides, 0.4) * (t_s >= 4.0)
        made[Channel(Quantity.OUTPUT, at=at)] = (t_s, out)
    for rate, demand in zip(RATES, RATE_DEMANDS, strict=True):
        turns = np.where(gone & (rate is not RATES[2]), -turns_rad_s / np.sqrt(2.0), 0.0)
        turns += np.where((t_s >= 14.5) & (rate is RATES[2]), yaw_rad_s, 0.0)
        made[rate], made[demand] = (
            (t_s, turns + shakes),
            (t_s, np.roll(turns if asked else 0.0 * turns, -round(before_s * HZ))),
        )
    phases = (flat(PhaseKind.ARMED_ON_GROUND, 0.0, 4.0), flat(PhaseKind.HOVER, 4.0, END_S))
    looked = Looked(RecordAnswer(Flown(make_record(made), phases), events, (), ()), ended_s)
    return {each.sign: each.seen for each in output_signs(looked).signs if each.sign in WAYS}


def test_a_corner_gives_way_for_a_moment_and_answers_again() -> None:
    assert told(15.0, 15.4) == {"corner-gives-way": True, "corner-answers-again": True}


def test_a_corner_that_gives_way_to_the_end_does_not_answer_again() -> None:
    assert told(15.0, END_S, ended_s=15.6) == {"corner-gives-way": True, "corner-answers-again": False}


def test_what_is_asked_for_or_comes_as_it_lifts_or_after_the_end_is_none() -> None:
    assert told(15.0, 15.4, asked=True) == {"corner-gives-way": False}
    assert told(5.0, 5.4) == {"corner-gives-way": False}
    assert told(25.0, 25.4, ended_s=20.0) == {"corner-gives-way": False}


def test_a_turn_that_was_asked_for_a_moment_ago_is_none() -> None:
    """A reversal: it still turns as it was asked a tenth of a second before, and the other corner works against it."""
    assert told(15.0, 15.1, asked=True, before_s=0.1) == {"corner-gives-way": False}


def test_after_a_blow_that_throws_it_off_a_corner_gives_all_it_has() -> None:
    runs = Event(EventKind.RATE_RUN_AWAY, 15.0, 15.4, (), "record.motion.run_away_rad_s", {}, (), {"axis": "roll"})
    blow = Event(EventKind.IMPACT, 14.98, 15.0, (), "record.motion.impact_mps2", {"peak_mps2": 200.0})
    assert told(15.0, 15.4, ended_s=18.0, events=(runs,)) == {"corner-gives-way": True, "corner-answers-again": True}
    assert told(15.0, 15.4, ended_s=18.0, events=(runs, blow)) == {"corner-gives-way": False}


def test_a_corner_need_not_come_to_its_end_before_it_answers_again() -> None:
    assert told(15.0, 15.4, gives=0.7) == {"corner-gives-way": True, "corner-answers-again": True}
    assert told(15.0, 15.4, gives=0.2, others=0.04) == {"corner-gives-way": True, "corner-answers-again": True}
    assert told(15.0, 15.4, gives=0.1, others=0.02) == {"corner-gives-way": False}  # next to no thrust
    assert told(15.0, 15.4, gives=0.45) == {"corner-gives-way": False}  # a gust asks for so much
    assert told(15.0, 15.4, gives=0.7, asked=True) == {"corner-gives-way": False}


def test_what_is_held_against_slowly_is_a_load_and_no_corner_that_gives_way() -> None:
    assert told(15.0, 16.0, gives=0.7, turns_rad_s=0.8) == {"corner-gives-way": False}
    assert told(15.0, 16.0, gives=0.7, turns_rad_s=1.6) == {"corner-gives-way": True, "corner-answers-again": True}


def test_what_spins_like_a_top_swings_across_its_axis_and_the_loop_fights_that() -> None:
    spins = Event(EventKind.RATE_RUN_AWAY, 14.5, 17.0, (), "record.motion.run_away_rad_s", {}, (), {"axis": "yaw"})
    assert told(15.0, 15.4, gives=0.7, yaw_rad_s=20.0, ended_s=17.0, events=(spins,)) == {"corner-gives-way": False}


def test_at_full_throttle_a_corner_that_gives_way_shows_by_the_one_opposite() -> None:
    given = {"corner-gives-way": True, "corner-answers-again": True}
    assert told(15.0, 15.4, others=0.9, opposite=0.2) == given
    assert told(15.0, 15.4, others=0.9, opposite=0.8) == {"corner-gives-way": False}
    assert told(15.0, 15.4, gives=0.8, others=0.75, opposite=0.2) == {"corner-gives-way": False}  # it has more to give
