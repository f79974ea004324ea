"""Signs of sticks, modes and arming on small made-up records, and on flights of the study."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.record_makers import flat, make_record

from turnback.assess.link_events import find_link
from turnback.assess.signs_sticks import stick_signs
from turnback.assess.stick_events import find_sticks
from turnback.knowledge.book import Channel as BookChannel
from turnback.knowledge.reading import read_book
from turnback.records.channel import STICKS, Channel, Quantity
from turnback.records.debrief import Looked, RecordSign
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, RecordAnswer, WhyNot

BOOK = {sign.key for sign in read_book().signs if sign.channel is BookChannel.STICKS}
END_S, HZ = 60.0, 100.0
FLIES = (flat(PhaseKind.GROUND, 0.0, 5.0), flat(PhaseKind.CRUISE, 5.0, 55.0), flat(PhaseKind.GROUND, 55.0, END_S))
MODES = ("rate", "self level", "return")
Made = dict[Channel | Quantity, tuple[Any, Any]]


def flight(seed: int = 1, *, rate_mode: bool = False) -> tuple[np.ndarray, Made]:
    """A pilot who steers a little for fifty seconds; sticks set tilt, or turning in rate mode."""
    rng = np.random.default_rng(seed)
    t_s = np.arange(0.0, END_S, 1.0 / HZ)
    flies = (t_s > 5.0) & (t_s < 55.0)
    knots_s = np.arange(0.0, END_S + 1.0, 0.7)
    made: Made = {}
    for quantity in STICKS:
        moved = np.interp(t_s, knots_s, rng.normal(0.0, 0.12, knots_s.size)) + rng.normal(0.0, 0.004, t_s.size)
        made[quantity] = (t_s, np.where(flies, 0.4 + 0.3 * moved if quantity is Quantity.THROTTLE else moved, 0.0))
    for stick, tilt, rate in ((Quantity.ROLL_STICK, Quantity.ROLL, Quantity.ROLL_RATE),
                              (Quantity.PITCH_STICK, Quantity.PITCH, Quantity.PITCH_RATE)):  # fmt: skip
        if rate_mode:
            turning = 3.0 * made[stick][1]
            leans = np.cumsum(turning) / HZ
            leans -= np.convolve(leans, np.ones(301) / 301, mode="same")
        else:
            leans = 0.8 * made[stick][1]
            turning = np.gradient(leans, t_s)
        made[tilt], made[rate] = (t_s, leans), (t_s, turning + rng.normal(0.0, 0.02, t_s.size))
    made[Quantity.OUTPUT] = (t_s, np.where(flies, made[Quantity.THROTTLE][1], 0.0))
    made[Quantity.ARMED] = (t_s, ((t_s > 3.0) & (t_s < 56.0)).astype(float))
    made[Quantity.MODE] = (t_s, np.full(t_s.size, 0.0 if rate_mode else 1.0))
    made[Quantity.HEIGHT_LAUNCH] = (t_s, np.where(flies, 20.0, 0.0))
    made[Quantity.DISTANCE_LAUNCH] = (t_s, np.where(flies, 60.0, 0.0))
    made[Quantity.LINK_QUALITY] = (t_s, np.full(t_s.size, 0.99))
    made[Quantity.FIX_UNCERTAINTY] = (t_s, np.full(t_s.size, 1.5))
    return t_s, made


def change(made: Made, quantity: Quantity, start_s: float, end_s: float, how: Any) -> None:
    """Change a channel from one moment up to another."""
    t_s, values = made[quantity]
    rows = (t_s >= start_s - 1e-9) & (t_s < end_s - 1e-9)
    out = np.array(values, dtype=float)
    out[rows] = how(t_s[rows] - start_s) if callable(how) else how
    made[quantity] = (t_s, out)


def told(made: Made, *, ended_s: float = 55.0, events: tuple[Event, ...] = (),
         labels: tuple[str, ...] = MODES) -> dict[str, RecordSign]:  # fmt: skip
    """The signs of a made record, by key; every sign of the channel once."""
    flown = Flown(make_record(made, labels={Quantity.MODE: labels}), FLIES)
    found = (*find_link(flown).events, *find_sticks(flown).events, *events)
    result = stick_signs(Looked(RecordAnswer(flown, found, (), ()), ended_s))
    keys = [each.sign for each in result.signs] + [each.sign for each in result.not_looked_for]
    assert sorted(keys) == sorted(BOOK)
    return {each.sign: each for each in result.signs}


def seen(signs: dict[str, RecordSign]) -> set[str]:
    """Keys that are seen."""
    return {key for key, each in signs.items() if each.seen}


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_calm_flight_shows_nothing(seed: int) -> None:
    signs = told(flight(seed)[1])
    assert seen(signs) == set()
    assert len(signs) >= 18


@pytest.mark.parametrize("labels", [MODES, ("Drehrate", "Ausgleich", "Heimflug"), ()])
def test_rate_mode_by_name_and_by_what_goes_along(labels: tuple[str, ...]) -> None:
    assert "rate-mode-flown" in seen(told(flight(rate_mode=True)[1], labels=labels))
    assert "rate-mode-flown" not in seen(told(flight()[1], labels=labels))


def test_a_record_without_sticks_says_what_it_needs() -> None:
    t_s = np.arange(0.0, END_S, 0.1)
    flown = Flown(make_record({Quantity.PACK_VOLTS: (t_s, 15.0)}), FLIES)
    result = stick_signs(Looked(RecordAnswer(flown, (), (), ()), 55.0))
    need = {each.sign: each for each in result.not_looked_for}
    assert need["sticks-go-to-and-fro"].needs == tuple(map(Channel, STICKS))
    assert need["mode-differs-from-said"].needs == ()
    assert need["mode-differs-from-said"].why is WhyNot.NO_CHANNEL


def test_throttle_cut_for_long_and_then_full() -> None:
    made = flight()[1]
    change(made, Quantity.THROTTLE, 40.0, 41.4, 0.0)
    change(made, Quantity.THROTTLE, 41.6, 43.0, 1.0)
    signs = told(made, ended_s=41.0)  # the fall counts as the end a second after it began
    assert "throttle-cut-then-full" in seen(signs)
    assert signs["throttle-cut-then-full"].values["cut_s"] == pytest.approx(1.4, abs=0.25)
    short = flight()[1]
    change(short, Quantity.THROTTLE, 40.0, 40.4, 0.0)
    change(short, Quantity.THROTTLE, 40.5, 42.0, 1.0)
    assert "throttle-cut-then-full" not in seen(told(short))


def test_to_and_fro_counts_until_something_breaks() -> None:
    made = flight()[1]
    change(made, Quantity.ROLL_STICK, 48.0, 52.0, lambda since: 0.7 * np.sin(2.0 * np.pi * 2.5 * since))
    assert "sticks-go-to-and-fro" in seen(told(made, ended_s=52.0))
    broke = Event(EventKind.SPEED_COLLAPSE, 47.5, 52.0, (), "record.output.made")
    assert "sticks-go-to-and-fro" not in seen(told(made, ended_s=52.0, events=(broke,)))


def test_held_at_a_stop() -> None:
    made = flight()[1]
    change(made, Quantity.PITCH_STICK, 50.0, 53.0, 1.0)
    assert "sticks-held-at-their-stops" in seen(told(made, ended_s=54.0))


def test_sticks_freeze_while_the_link_is_there() -> None:
    made = flight()[1]
    for start_s in (20.0, 27.0, 33.0):
        for quantity in STICKS:
            values = made[quantity][1]
            change(made, quantity, start_s, start_s + 0.9, float(values[int(start_s * HZ)]) + 0.05)
    assert "sticks-freeze-for-moments" in seen(told(made))
    lost = dict(made)
    change(lost, Quantity.LINK_QUALITY, 19.0, 35.0, 0.0)
    assert "sticks-freeze-for-moments" not in seen(told(lost))


def test_sticks_kept_after_the_loss_of_the_link() -> None:
    made = flight()[1]
    change(made, Quantity.LINK_QUALITY, 40.0, 46.0, 0.0)
    for quantity in STICKS:
        change(made, quantity, 40.0, 46.0, float(made[quantity][1][4000]))
    assert "sticks-constant-after-link-loss" in seen(told(made))
    change(made, Quantity.MODE, 41.0, 60.0, 2.0)  # it returns: that the receiver holds is nothing then
    signs = told(made)
    assert "sticks-constant-after-link-loss" not in seen(signs)
    assert "return-mode-active" in seen(signs)


def test_arm_switch_in_flight_but_not_by_the_radio_loss_action() -> None:
    made = flight()[1]
    for quantity in (Quantity.ARMED, Quantity.OUTPUT):
        change(made, quantity, 40.0, 60.0, 0.0)
    made[Quantity.HEIGHT_LAUNCH] = (
        made[Quantity.ARMED][0], np.clip(20.0 - 4.9 * np.maximum(made[Quantity.ARMED][0] - 40.0, 0.0) ** 2, 0.0, 20.0)
    )  # fmt: skip
    assert "arm-switch-crosses-in-flight" in seen(told(made, ended_s=41.2))
    gave_up = dict(made)
    change(gave_up, Quantity.THROTTLE, 39.3, 60.0, 0.0)  # who gives up closes the throttle first
    assert "arm-switch-crosses-in-flight" not in seen(told(gave_up, ended_s=41.2))
    change(made, Quantity.LINK_QUALITY, 39.0, 60.0, 0.0)
    assert "arm-switch-crosses-in-flight" not in seen(told(made, ended_s=41.2))


def test_arm_switch_where_no_outputs_are_recorded_and_after_a_dive() -> None:
    made = flight()[1]
    del made[Quantity.OUTPUT]
    change(made, Quantity.ARMED, 40.0, 60.0, 0.0)
    drops = Event(EventKind.FREE_FALL, 40.2, 42.0, (), "record.motion.free_fall_mps2")
    dives = Event(EventKind.FREE_FALL, 36.6, 37.5, (), "record.motion.free_fall_mps2")
    assert "arm-switch-crosses-in-flight" in seen(told(made, ended_s=41.2, events=(dives, drops)))
    # its receiver falls silent half a second later: the board restarted
    change(made, Quantity.LINK_QUALITY, 40.4, 42.0, 0.0)
    assert "arm-switch-crosses-in-flight" not in seen(told(made, ended_s=41.2, events=(dives, drops)))


@pytest.mark.parametrize("off", [0.06, 0.1, -0.1])
def test_a_stick_that_rests_off_its_middle(off: float) -> None:
    made = flight()[1]
    t_s, values = made[Quantity.YAW_STICK]
    made[Quantity.YAW_STICK] = (t_s, values + off)
    assert "stick-off-centre-hands-off" in seen(told(made))


def test_arming() -> None:
    made = flight()[1]
    change(made, Quantity.THROTTLE, 0.0, 5.0, 0.15)
    change(made, Quantity.FIX_UNCERTAINTY, 0.0, 8.0, 12.0)
    signs = told(made)
    assert {"throttle-up-at-arm-switch", "armed-before-fix"} <= seen(signs)
    assert "arming-refused-in-record" not in seen(signs)
    t_s = made[Quantity.ARMED][0]
    never: Made = {Quantity.ARMED: (t_s, np.zeros(t_s.size)), Quantity.OUTPUT: (t_s, np.zeros(t_s.size)),
                   Quantity.THROTTLE: (t_s, 0.1 + 0.3 * (np.sin(t_s) > 0.9))}  # fmt: skip
    flown = Flown(make_record(never), (flat(PhaseKind.GROUND, 0.0, END_S),))
    result = {each.sign for each in stick_signs(Looked(RecordAnswer(flown, (), (), ()), END_S)).signs if each.seen}
    assert {"arming-refused-in-record", "throttle-up-at-arm-switch"} <= result


def test_a_mode_that_changes_just_before_the_trouble() -> None:
    made = flight()[1]
    change(made, Quantity.MODE, 38.0, 60.0, 0.0)
    blow = Event(EventKind.IMPACT, 40.0, 40.1, (), "record.place.made")
    assert "mode-changes-just-before" in seen(told(made, ended_s=40.0, events=(blow,)))
    assert "mode-changes-just-before" not in seen(told(made))  # it flew on, and landed


def test_a_bank_that_stays_when_the_stick_is_let_go() -> None:
    made = flight(rate_mode=True)[1]
    for quantity in (Quantity.ROLL_STICK, Quantity.PITCH_STICK):
        change(made, quantity, 45.0, 47.0, 0.0)
    change(made, Quantity.ROLL_STICK, 44.3, 45.0, 0.6)
    change(made, Quantity.ROLL, 44.3, 45.0, lambda since: np.radians(50.0) * since / 0.7)
    change(made, Quantity.ROLL, 45.0, 47.0, np.radians(50.0))
    assert "bank-stays-with-sticks-let-go" in seen(told(made, ended_s=47.0))


def test_who_comes_to_rest_lying_over_has_not_landed() -> None:
    made = flight(rate_mode=True)[1]
    for quantity in (Quantity.ROLL_STICK, Quantity.PITCH_STICK):
        change(made, quantity, 53.0, 60.0, 0.0)
    assert "bank-stays-with-sticks-let-go" not in seen(told(made))
    change(made, Quantity.ROLL_STICK, 52.3, 53.0, 0.6)
    change(made, Quantity.ROLL, 52.3, 53.0, lambda since: np.radians(80.0) * since / 0.7)
    change(made, Quantity.ROLL, 53.0, 60.0, np.radians(80.0))
    assert "bank-stays-with-sticks-let-go" in seen(told(made))  # no blow was found, and it is on the ground then


def test_throttle_that_acts_on_tilt() -> None:
    made = flight()[1]
    t_s, throttle = made[Quantity.THROTTLE]
    made[Quantity.PITCH_DEMAND] = (t_s, 1.5 * (throttle - 0.4))
    made[Quantity.OUTPUT] = (t_s, np.where((t_s > 5.0) & (t_s < 55.0), 0.4 + 0.3 * made[Quantity.YAW_STICK][1], 0.0))
    assert "throttle-acts-on-tilt" in seen(told(made))


@pytest.mark.slow
def test_on_flights_of_the_study() -> None:
    from studies.debrief_flown.own import fly_cause
    from studies.debrief_flown.read import looked_at

    for cause, sign in (("stick-centre-off", "stick-off-centre-hands-off"),
                        ("throttle-not-down-at-arming", "throttle-up-at-arm-switch"),
                        ("arm-switch-knocked", "arm-switch-crosses-in-flight"),
                        ("radio-loss-keeps-last-sticks", "sticks-constant-after-link-loss")):  # fmt: skip
        signs = {each.sign: each for each in stick_signs(looked_at(fly_cause(77_011, cause, "full"))).signs}
        assert signs[sign].seen, cause


def _drives_itself(made: Made, from_s: float) -> None:
    """Let pitch stick and pitch grow together from a moment on, as an exponential does (doubling in half a second)."""
    for quantity, most, part in ((Quantity.PITCH_STICK, 0.9, 0.02), (Quantity.PITCH, 0.6, 0.0133)):
        change(made, quantity, from_s, 55.0, lambda t, most=most, part=part: np.minimum(part * 2.0 ** (t / 0.5), most))


def test_stick_and_tilt_that_drive_each_other_from_lift_off_are_seen() -> None:
    _, made = flight()
    for quantity in (Quantity.ROLL_STICK, Quantity.ROLL, Quantity.PITCH_STICK, Quantity.PITCH):
        change(made, quantity, 5.0, 8.0, 0.001)
    _drives_itself(made, 5.5)
    signs = told(made)
    assert signs["each-answer-makes-it-worse"].seen
    # what hands do afterwards is its consequence
    assert not signs["sticks-go-to-and-fro"].seen


def test_the_same_late_in_a_flight_is_a_hand_that_lost_it() -> None:
    _, made = flight()
    _drives_itself(made, 49.0)
    signs = told(made)
    assert not signs["each-answer-makes-it-worse"].seen
    assert signs["sticks-go-to-and-fro"].seen


def test_steering_makes_nothing_worse() -> None:
    assert not seen(told(flight()[1])) & {"each-answer-makes-it-worse", "sticks-go-to-and-fro"}
