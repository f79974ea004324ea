"""Whether it followed its sticks, from a few rows a second: rotations as scipy has them, flights by their truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_motion import motion_signs
from turnback.assess.signs_motion_slow import FOLLOWS, TURN_S, turning
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked, RecordSign
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer, WhyNot

HZ, END_S = 10.0, 40.0
FLIES = (flat(PhaseKind.GROUND, 0.0, 3.0), flat(PhaseKind.CRUISE, 3.0, END_S))
FULL_RAD, FULL_RAD_S = 0.8, 5.0


def flown(
    *, rate_mode: bool = False, loses_it_s: float = np.inf, seed: int = 2
) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Ten rows a second of sticks and attitude; from a moment on it turns by itself."""
    rng = np.random.default_rng(seed)
    fine_s = np.arange(0.0, END_S, 0.005)
    knots_s = np.arange(0.0, END_S + 1.0, 0.8)
    stick = [np.interp(fine_s, knots_s, rng.normal(0.0, 0.25, knots_s.size)) for _ in range(2)]
    away = np.clip(fine_s - loses_it_s, 0.0, None)
    if rate_mode:
        turn, angles = Rotation.identity(), []
        for k in range(fine_s.size):
            rates = np.array([FULL_RAD_S * stick[0][k] + 9.0 * (away[k] > 0.0), FULL_RAD_S * stick[1][k], 0.2])
            turn = turn * Rotation.from_rotvec(rates * 0.005)
            angles.append(turn)
        heading, pitch, roll = Rotation.concatenate(angles).as_euler("ZYX").T
    else:
        roll, pitch = FULL_RAD * stick[0] + 3.0 * away, FULL_RAD * stick[1] - 1.0 * away
        heading = 0.2 * fine_s
    kept = slice(None, None, round(0.1 / 0.005))
    named = {"roll": roll, "pitch": pitch, "heading": heading, "stick0": stick[0], "stick1": stick[1]}
    return fine_s[kept], {key: values[kept] for key, values in named.items()}


def follows(
    t_s: np.ndarray, made: dict[str, np.ndarray], ended_s: float = END_S, events: tuple[Event, ...] = ()
) -> RecordSign | WhyNot:
    channels = {Quantity.ROLL: "roll", Quantity.PITCH: "pitch", Quantity.HEADING: "heading",
                Quantity.ROLL_STICK: "stick0", Quantity.PITCH_STICK: "stick1",
                Quantity.THROTTLE: "throttle"}  # fmt: skip
    record = make_record({quantity: (t_s, made[key]) for quantity, key in channels.items() if key in made})
    told = motion_signs(Looked(RecordAnswer(Flown(record, FLIES), events, (), ()), ended_s))
    found = [each for each in told.signs if each.sign == FOLLOWS]
    return found[0] if found else next(each.why for each in told.not_looked_for if each.sign == FOLLOWS)


@pytest.mark.parametrize("rate_mode", [False, True])
def test_a_flight_that_does_as_its_sticks_ask_follows(rate_mode: bool) -> None:
    told = follows(*flown(rate_mode=rate_mode))
    assert isinstance(told, RecordSign)
    assert told.seen
    assert told.sure >= 0.8


@pytest.mark.parametrize("rate_mode", [False, True])
def test_one_that_turns_by_itself_at_the_end_does_not(rate_mode: bool) -> None:
    told = follows(*flown(rate_mode=rate_mode, loses_it_s=END_S - 2.0))
    assert isinstance(told, RecordSign)
    assert not told.seen


def test_thumbs_that_hardly_move_tell_nothing() -> None:
    t_s, made = flown()
    made |= {key: 0.001 * made[key] for key in ("stick0", "stick1")}
    made |= {key: np.random.default_rng(1).normal(0.0, 0.05, t_s.size) for key in ("roll", "pitch")}
    assert follows(t_s, made) is WhyNot.LOAD_TOO_STEADY


def test_without_sticks_or_time_it_is_not_looked_for() -> None:
    t_s, made = flown()
    assert follows(t_s, {key: made[key] for key in ("roll", "pitch")}) is WhyNot.NO_CHANNEL
    assert follows(t_s, made, ended_s=6.0) is WhyNot.TOO_SHORT


def test_turning_between_rows_is_that_of_scipy() -> None:
    """scipy.spatial.transform.Rotation: the rotation vector between two attitudes, over the time between them."""
    t_s, made = flown(rate_mode=True)
    record = make_record({
        Quantity.ROLL: (t_s, made["roll"]), Quantity.PITCH: (t_s, made["pitch"]),
        Quantity.HEADING: (t_s, made["heading"]),
    })  # fmt: skip
    series = [record.get(each) for each in (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING)]
    _, rates = turning(t_s, *[each for each in series if each is not None])
    few = round(TURN_S * HZ)
    attitude = Rotation.from_euler("ZYX", np.stack([made["heading"], made["pitch"], made["roll"]], axis=1))
    expected = (attitude[:-few].inv() * attitude[few:]).as_rotvec() / TURN_S
    assert rates == pytest.approx(expected[:, :2], abs=1e-9)


def test_what_flew_on_unheard_does_not_follow_to_the_end() -> None:
    t_s, made = flown()
    lost = Event(EventKind.LINK_LOST, END_S - 4.0, END_S, (), "record.link.lost_s", {})
    assert follows(t_s, made, events=(lost,)) is WhyNot.TOO_SHORT
    caught = replace(lost, start_s=20.0, end_s=22.0)
    assert isinstance(follows(t_s, made, events=(caught,)), RecordSign)


@pytest.mark.parametrize("rate_mode", [False, True])
def test_what_it_does_after_its_pilot_closed_the_throttle_is_the_ground(rate_mode: bool) -> None:
    for lost_s, closed_s, does in ((1.0, None, False), (1.0, 1.0, True), (3.5, 1.0, False), (2.0, 2.0, False)):
        t_s, made = flown(rate_mode=rate_mode, loses_it_s=END_S - lost_s)
        if closed_s is not None:
            made["throttle"] = np.where(t_s < END_S - closed_s, 0.4, 0.0)
        told = follows(t_s, made)
        assert isinstance(told, RecordSign)
        assert told.seen is does, (lost_s, closed_s)


def test_who_asks_for_nothing_until_the_end_is_judged_by_the_end() -> None:
    t_s, made = flown(rate_mode=True)
    quiet = {key: np.where(t_s < END_S - 3.0, 0.0, values) for key, values in made.items()}
    turn = Rotation.identity()
    angles = []
    for row in range(t_s.size):
        rates = FULL_RAD_S * np.array([quiet["stick0"][row], quiet["stick1"][row], 0.0])
        turn = turn * Rotation.from_rotvec(rates * 0.1)
        angles.append(turn)
    quiet["heading"], quiet["pitch"], quiet["roll"] = Rotation.concatenate(angles).as_euler("ZYX").T
    told = follows(t_s, quiet)
    assert isinstance(told, RecordSign)
    assert told.seen
    rng = np.random.default_rng(5)  # and not where it turns by itself while its sticks do something else
    quiet["stick0"], quiet["stick1"] = (np.where(t_s < END_S - 3.0, 0.0, rng.normal(0.0, 0.3, t_s.size)) for _ in "ab")
    told = follows(t_s, quiet)
    assert not isinstance(told, RecordSign) or not told.seen
