"""Made-up sticks and switches with known onsets."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.signal import find_peaks
from tests.assess.record_makers import flat, make_flown, make_record

from turnback.assess.stick_events import KINDS, find_sticks
from turnback.assess.stick_turns import turning_rows
from turnback.records.channel import ACCELERATIONS, STICKS, Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Phase, PhaseKind, WhyNot

Array = Any
Made = dict[Channel | Quantity, tuple[Any, Any]]
FLIES = (flat(PhaseKind.GROUND, 0.0, 10.0), flat(PhaseKind.CRUISE, 10.0, 170.0), flat(PhaseKind.GROUND, 170.0, 180.0))


def hands(rate_hz: float, seed: int, *, wild: float = 0.0) -> Made:
    """Sticks of a pilot who flies about for three minutes; `wild` adds full rolls that last a second."""
    rng = np.random.default_rng(seed)
    t_s = np.arange(0.0, 180.0, 1.0 / rate_hz)
    knots_s = np.arange(0.0, 181.0, 0.6)
    made: Made = {}
    for quantity in STICKS:
        steered = np.interp(t_s, knots_s, rng.normal(0.0, 0.2, knots_s.size)) + rng.normal(0.0, 0.003, t_s.size)
        made[quantity] = (t_s, np.clip(0.4 + 0.3 * steered if quantity is Quantity.THROTTLE else steered, -0.95, 0.95))
    for start_s in rng.uniform(15.0, 160.0, round(wild)):
        change(made, Quantity.ROLL_STICK, start_s, start_s + 1.0, 1.0)
    flies = (t_s > 10.0) & (t_s < 170.0)
    t_s, throttle = made[Quantity.THROTTLE]
    made[Quantity.THROTTLE] = (t_s, np.where(flies, np.maximum(throttle, 0.1), 0.0))
    made[Quantity.OUTPUT] = (t_s, np.where(flies, 0.4, 0.0))
    made[Quantity.ARMED] = (t_s, ((t_s > 8.0) & (t_s < 171.0)).astype(float))
    made[Quantity.HEIGHT_LAUNCH] = (t_s, np.where(flies, 20.0, 0.0))
    made[Quantity.MODE] = (t_s, np.zeros(t_s.size))
    return made


def change(made: Made, quantity: Quantity, start_s: float, end_s: float, how: Any) -> None:
    """Change a channel from one moment up to another."""
    t_s, values = made[quantity]
    rows = (t_s >= start_s - 1e-9) & (t_s < end_s - 1e-9)
    out = np.array(values, dtype=float)
    out[rows] = how(t_s[rows] - start_s) if callable(how) else how
    made[quantity] = (t_s, out)


def of(made: Made, kind: EventKind) -> list[Event]:
    """The events of one kind."""
    return [event for event in find_sticks(make_flown(made, *FLIES)).events if event.kind is kind]


def near(seen_s: float, truth_s: float, rate_hz: float) -> bool:
    """Within 50 ms or two samples."""
    return abs(seen_s - truth_s) <= max(0.05, 2.0 / rate_hz) + 1e-6


def test_turns_are_those_that_scipy_finds_by_prominence() -> None:
    rng = np.random.default_rng(3)
    values = np.cumsum(rng.normal(size=4000))
    values += np.linspace(0.0, 1e-6, values.size)
    rows = turning_rows(values, 8.0)
    heights = np.diff(values[rows])
    assert (np.abs(heights) >= 8.0).all()
    assert (np.sign(heights[1:]) == -np.sign(heights[:-1])).all()
    highs = rows[1:-1][heights[:-1] > 0.0]
    assert set(highs) <= set(find_peaks(values, prominence=8.0 - 1e-9)[0])


def test_turns_of_a_sine_are_its_extremes() -> None:
    t_s = np.arange(0.0, 4.0, 0.01)
    rows = turning_rows(np.sin(2.0 * np.pi * t_s), 0.5)
    np.testing.assert_allclose(t_s[rows], [0.0, *np.arange(0.25, 4.0, 0.5)], atol=0.011)  # and where it began


@pytest.mark.parametrize("rate_hz", [10.0, 50.0, 250.0, 1000.0])
@pytest.mark.parametrize("quantity", STICKS)
def test_to_and_fro_is_told_with_its_rate_and_size(rate_hz: float, quantity: Quantity) -> None:
    made = hands(rate_hz, 1)
    middle = 0.5 if quantity is Quantity.THROTTLE else 0.0
    change(made, quantity, 59.0, 66.0, middle)
    change(made, quantity, 60.0, 65.0, lambda since_s: middle + 0.4 * np.sin(2.0 * np.pi * 2.6 * since_s))
    (event,) = of(made, EventKind.STICK_REVERSALS)
    assert [channel.quantity for channel in event.channels] == [quantity]
    assert near(event.start_s, 60.0, rate_hz)
    assert event.end_s == pytest.approx(65.0, abs=0.3)
    assert event.values["rate_hz"] == pytest.approx(2.6, rel=0.05)
    assert event.values["amplitude"] == pytest.approx(0.4, rel=0.2 if rate_hz < 20.0 else 0.05)


@pytest.mark.parametrize("slow_hz", [1.1, 1.2, 1.35])
def test_slow_or_small_swings_are_steering(slow_hz: float) -> None:
    made = hands(50.0, 2)
    change(made, Quantity.ROLL_STICK, 60.0, 70.0, lambda since_s: 0.8 * np.sin(2.0 * np.pi * slow_hz * since_s))
    change(made, Quantity.PITCH_STICK, 60.0, 70.0, lambda since_s: 0.1 * np.sin(2.0 * np.pi * 4.0 * since_s))
    assert not of(made, EventKind.STICK_REVERSALS)


@pytest.mark.parametrize("rate_hz", [5.0, 1000.0])
def test_a_stick_held_at_its_stop(rate_hz: float) -> None:
    made = hands(rate_hz, 3)
    change(made, Quantity.YAW_STICK, 80.0, 83.0, -1.0)
    change(made, Quantity.THROTTLE, 100.0, 107.0, 1.0)
    yaw, throttle = of(made, EventKind.STICK_AT_STOP)
    assert near(yaw.start_s, 80.0, rate_hz)
    assert near(yaw.end_s, 83.0, rate_hz)
    assert yaw.values["side"] == -1.0
    assert throttle.rule == "record.sticks.full_throttle_s"


@pytest.mark.parametrize("rate_hz", [10.0, 500.0])
def test_throttle_cut_then_full(rate_hz: float) -> None:
    made = hands(rate_hz, 4)
    change(made, Quantity.THROTTLE, 90.0, 91.0, 0.0)
    change(made, Quantity.THROTTLE, 91.0, 91.3, lambda since_s: since_s / 0.3)
    change(made, Quantity.THROTTLE, 91.3, 92.0, 1.0)
    change(made, Quantity.THROTTLE, 120.0, 121.0, 0.0)  # let go, then as before
    (event,) = of(made, EventKind.THROTTLE_CUT)
    assert near(event.start_s, 90.0, rate_hz)
    assert event.values["cut_s"] == pytest.approx(1.0, abs=0.15)
    assert event.values["rise_s"] == pytest.approx(0.3, abs=0.15)


@pytest.mark.parametrize("rate_hz", [5.0, 100.0, 1000.0])
def test_disarmed_aloft_is_told_and_disarmed_after_landing_not(rate_hz: float) -> None:
    made = hands(rate_hz, 5)
    assert not of(made, EventKind.ARM_SWITCH_OFF_ALOFT)
    change(made, Quantity.ARMED, 100.0, 200.0, 0.0)
    change(made, Quantity.HEIGHT_LAUNCH, 100.0, 200.0, lambda since_s: np.maximum(20.0 - 4.9 * since_s**2, 0.0))
    (event,) = of(made, EventKind.ARM_SWITCH_OFF_ALOFT)
    assert near(event.start_s, 100.0, rate_hz)
    assert event.values["back"] == 0.0
    assert event.values["height_m"] == pytest.approx(20.0)
    landed = hands(rate_hz, 6)
    change(landed, Quantity.THROTTLE, 164.0, 180.0, 0.0)
    change(landed, Quantity.HEIGHT_LAUNCH, 164.0, 180.0, 0.3)
    change(landed, Quantity.OUTPUT, 164.0, 180.0, 0.05)
    change(landed, Quantity.ARMED, 166.0, 180.0, 0.0)  # the phases do not know that it landed
    assert not of(landed, EventKind.ARM_SWITCH_OFF_ALOFT)


def test_a_board_that_disarms_itself_with_throttle_up_after_landing_did_not_do_so_aloft() -> None:
    made = hands(100.0, 8)
    change(made, Quantity.HEIGHT_LAUNCH, 150.0, 180.0, 0.2)  # it landed; outputs and throttle stay up
    change(made, Quantity.ARMED, 152.0, 180.0, 0.0)
    assert not of(made, EventKind.ARM_SWITCH_OFF_ALOFT)


def disarmed_at_100_s(seed: int) -> Made:
    """A flight that is disarmed in the air at 100 s and falls."""
    made = hands(100.0, seed)
    change(made, Quantity.ARMED, 100.0, 200.0, 0.0)
    del made[Quantity.HEIGHT_LAUNCH]
    return made


def off_aloft(made: Made, *phases: Phase) -> int:
    """How often it is said to have been disarmed in the air."""
    found = find_sticks(make_flown(made, *(phases or FLIES))).events
    return sum(each.kind is EventKind.ARM_SWITCH_OFF_ALOFT for each in found)


def test_disarmed_after_a_blow_or_in_a_fall_that_had_begun_is_not_the_cause() -> None:
    assert off_aloft(disarmed_at_100_s(10)) == 1
    struck = disarmed_at_100_s(10)
    t_s = struck[Quantity.ARMED][0]
    force = np.random.default_rng(10).normal(0.0, 0.5, (3, t_s.size))
    force[2] -= 9.80665
    force[2, (t_s > 98.0) & (t_s < 98.03)] = -150.0
    force[2, t_s >= 100.0] = -3.0  # it tumbles: what is felt then does not tell
    for quantity, values in zip(ACCELERATIONS, force, strict=True):
        struck[quantity] = (t_s, values)
    assert off_aloft(struck) == 0
    falling = (
        flat(PhaseKind.CRUISE, 10.0, 97.0),
        flat(PhaseKind.FALL, 97.0, 101.0),
        flat(PhaseKind.GROUND, 101.0, 180.0),
    )
    assert off_aloft(disarmed_at_100_s(10), *falling) == 0
    with_it = (
        flat(PhaseKind.CRUISE, 10.0, 99.9),
        flat(PhaseKind.FALL, 99.9, 102.0),
        flat(PhaseKind.GROUND, 102.0, 180.0),
    )
    assert off_aloft(disarmed_at_100_s(10), *with_it) == 1


def test_disarmed_within_the_height_of_a_landing_is_not_aloft() -> None:
    made = disarmed_at_100_s(11)
    t_s = made[Quantity.ARMED][0]
    made[Quantity.HEIGHT_LAUNCH] = (t_s, np.full(t_s.size, 0.1))
    assert off_aloft(made) == 0


@pytest.mark.parametrize("swing_hz", [1.5, 3.0])
def test_swings_of_one_and_a_half_to_three_a_second_are_told(swing_hz: float) -> None:
    made = hands(50.0, 9)
    change(made, Quantity.PITCH_STICK, 59.0, 66.0, 0.0)
    change(made, Quantity.PITCH_STICK, 60.0, 65.0, lambda since_s: 0.4 * np.sin(2.0 * np.pi * swing_hz * since_s))
    (event,) = of(made, EventKind.STICK_REVERSALS)
    assert near(event.start_s, 60.0, 50.0)
    assert event.values["rate_hz"] == pytest.approx(swing_hz, rel=0.05)


def test_modes_are_told_by_the_names_or_numbers_of_the_record() -> None:
    made = hands(50.0, 7)
    change(made, Quantity.MODE, 70.0, 200.0, 1.0)
    (plain,) = of(made, EventKind.MODE_CHANGE)
    assert plain.words == {"from": "0", "to": "1"}
    assert near(plain.start_s, 70.0, 50.0)
    named = make_record(made, labels={Quantity.MODE: ("level", "rate")})
    (event,) = [each for each in find_sticks(Flown(named, FLIES)).events if each.kind is EventKind.MODE_CHANGE]
    assert event.words == {"from": "level", "to": "rate"}


def test_what_cannot_be_looked_for_is_told() -> None:
    t_s = np.arange(0.0, 60.0, 0.2)
    told = {each.kind: each.why for each in find_sticks(make_flown({Quantity.PACK_VOLTS: (t_s, 15.0)})).not_told}
    assert told == dict.fromkeys(KINDS, WhyNot.NO_CHANNEL)
    slow = find_sticks(make_flown({quantity: (t_s, 0.1 * np.sin(t_s)) for quantity in STICKS}))
    reversals = [each for each in slow.not_told if each.kind is EventKind.STICK_REVERSALS]
    assert {each.why for each in reversals} == {WhyNot.TOO_SLOW}
    assert reversals[0].values["needed_hz"] == 10.0
    grounded = find_sticks(make_flown({Quantity.THROTTLE: (t_s, 0.0)}, flat(PhaseKind.GROUND, 0.0, 60.0)))
    assert {each.why for each in grounded.not_told} == {WhyNot.NOT_ALOFT}


def test_healthy_hands_raise_nothing() -> None:
    raised = []
    for seed in range(120):
        made = hands((10.0, 50.0, 200.0)[seed % 3], 100 + seed, wild=seed % 4)
        raised += [(seed, event.kind) for event in find_sticks(make_flown(made, *FLIES)).events]
    assert raised == []
