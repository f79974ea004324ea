"""Made-up links with known onsets: dips, packets lost at a good level, losses, frozen sticks, failsafe, restarts."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.ndimage import median_filter
from tests.assess.record_makers import flat, make_flown, make_record

from turnback.assess.link_events import KINDS, find_link
from turnback.assess.link_events_median import running_median
from turnback.assess.stick_events import find_sticks
from turnback.records.channel import STICKS, Channel, Quantity
from turnback.records.flight_record import FlightRecord
from turnback.records.happened import Event, EventKind, Flown, PhaseKind, WhyNot
from turnback.records.record_read import Clock, ClockGap, Gap

Array = Any
Made = dict[Channel | Quantity, tuple[Any, Any]]
FLIES = (flat(PhaseKind.GROUND, 0.0, 10.0), flat(PhaseKind.CRUISE, 10.0, 290.0), flat(PhaseKind.GROUND, 290.0, 300.0))
LENGTH_S = 300.0


def held(t_s: Array, every_s: float, values: Array) -> Array:
    """Repeat values that come every so often on a faster clock."""
    return values[np.minimum((t_s / every_s + 1e-6).astype(int), values.size - 1)]


def test_the_running_median_is_that_of_scipy() -> None:
    rng = np.random.default_rng(2)
    values: Array = np.round(np.cumsum(rng.normal(size=500)), 1)  # with equal values among them
    for width in (3, 4, 5, 31, 101):
        np.testing.assert_array_equal(running_median(values, width), median_filter(values, width | 1, mode="mirror"))
    np.testing.assert_array_equal(running_median(values[:4], 51), median_filter(values[:4], 7, mode="mirror"))


def healthy(
    rate_hz: float, seed: int, *, radio_hz: float = 10.0, fading_db: float = 3.0, dead_band: bool = False
) -> Made:
    """A flight of five minutes out to 400 m and back whose level fades as levels do."""
    rng = np.random.default_rng(seed)
    t_s = np.arange(0.0, LENGTH_S, 1.0 / rate_hz)
    radio_hz = min(radio_hz, rate_hz)
    slow_s = np.arange(0.0, LENGTH_S, 1.0 / radio_hz)
    distance_m = 5.0 + 200.0 * (1.0 - np.cos(2.0 * np.pi * np.clip(slow_s - 10.0, 0.0, 280.0) / 280.0))
    # Rice fading with a steady part of 6 dB over the scattered one, then rounded to whole decibels
    scattered = rng.normal(size=(2, slow_s.size)) * np.sqrt(0.5 * 10.0 ** (-fading_db / 5.0))
    level = -40.0 - 20.0 * np.log10(distance_m / 5.0) + 20.0 * np.log10(np.hypot(1.0 + scattered[0], scattered[1]))
    level += 3.0 * np.sin(2.0 * np.pi * slow_s / 20.0 + rng.uniform(0.0, 6.0))
    quality = np.clip(rng.normal(0.98, 0.02, slow_s.size), 0.0, 1.0)
    made: Made = {
        Quantity.LINK_LEVEL: (t_s, held(t_s, 1.0 / radio_hz, np.round(level))),
        Quantity.LINK_QUALITY: (t_s, held(t_s, 1.0 / radio_hz, quality)),
        Quantity.DISTANCE_LAUNCH: (t_s, held(t_s, 1.0 / radio_hz, distance_m)),
    }
    stick_hz = min(50.0, rate_hz)
    stick_s = np.arange(0.0, LENGTH_S, 1.0 / stick_hz)
    for at, quantity in enumerate(STICKS):
        move = np.sin(2.0 * np.pi * stick_s / (7.0 + at) + rng.uniform(0.0, 6.0)) * 0.4 + rng.normal(
            0.0, 0.004, stick_s.size
        )
        if quantity is Quantity.THROTTLE:
            move = 0.4 + 0.2 * move
        elif dead_band:
            move = np.sign(move) * np.maximum(np.abs(move) - 0.25, 0.0)
        made[quantity] = (t_s, held(t_s, 1.0 / stick_hz, np.round(move * 1000.0) / 1000.0))
    made[Quantity.OUTPUT] = (t_s, 0.45 + rng.normal(0.0, 0.01, t_s.size))
    return made


def change(made: Made, quantity: Quantity, start_s: float, end_s: float, how: Any) -> None:
    """Change a channel from one moment up to another."""
    t_s, values = made[quantity]
    rows = (t_s >= start_s) & (t_s < end_s)
    out = np.array(values, dtype=float)
    out[rows] = how(out[rows]) if callable(how) else how
    made[quantity] = (t_s, out)


def freeze(made: Made, start_s: float, end_s: float) -> None:
    """Hold all sticks from a moment on."""
    for quantity in STICKS:
        t_s, values = made[quantity]
        change(made, quantity, start_s, end_s, values[np.searchsorted(t_s, start_s)])


def of(flown: Flown, kind: EventKind) -> list[Event]:
    """The events of one kind."""
    return [event for event in find_link(flown).events if event.kind is kind]


def near(seen_s: float, truth_s: float, rate_hz: float) -> bool:
    """Within 50 ms or two samples."""
    return abs(seen_s - truth_s) <= max(0.05, 2.0 / rate_hz) + 1e-6


@pytest.mark.parametrize(("rate_hz", "radio_hz"), [(1.0, 1.0), (5.0, 5.0), (10.0, 10.0), (200.0, 20.0), (1000.0, 50.0)])
def test_a_dip_is_found_with_its_onset_and_its_end(rate_hz: float, radio_hz: float) -> None:
    for seed in range(3):
        made = healthy(rate_hz, seed, radio_hz=radio_hz)
        end_s = 146.0 if rate_hz > 2.0 else 152.0
        change(made, Quantity.LINK_LEVEL, 140.0, end_s, lambda level: level - 22.0)
        (dip,) = of(make_flown(made, *FLIES), EventKind.LEVEL_DIP)
        assert near(dip.start_s, 140.0, radio_hz)
        assert near(dip.end_s, end_s, radio_hz)
        assert dip.values["depth_db"] == pytest.approx(22.0, abs=6.0)
        assert dip.values["back"] == 1.0
        assert dip.values["distance_m"] == pytest.approx(400.0, abs=10.0)


def test_a_level_that_never_comes_back_is_told_so() -> None:
    made = healthy(200.0, 4, radio_hz=20.0)
    change(made, Quantity.LINK_LEVEL, 150.0, 290.0, lambda level: level - 25.0)
    (dip,) = of(make_flown(made, *FLIES), EventKind.LEVEL_DIP)
    assert near(dip.start_s, 150.0, 20.0)
    assert dip.values["back"] == 0.0


def test_both_ends_of_the_link_tell_one_dip() -> None:
    made = healthy(10.0, 5)
    change(made, Quantity.LINK_LEVEL, 100.0, 104.0, lambda level: level - 25.0)
    made[Quantity.LINK_LEVEL_BACK] = (made[Quantity.LINK_LEVEL][0], made[Quantity.LINK_LEVEL][1] - 6.0)
    (dip,) = of(make_flown(made, *FLIES), EventKind.LEVEL_DIP)
    assert {channel.quantity for channel in dip.channels} == {Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK}


@pytest.mark.parametrize("rate_hz", [5.0, 10.0, 200.0])
def test_packets_lost_at_a_good_level_are_told(rate_hz: float) -> None:
    made = healthy(rate_hz, 6)
    change(made, Quantity.LINK_QUALITY, 60.0, 64.0, lambda share: share * 0.4)
    (low,) = of(make_flown(made, *FLIES), EventKind.QUALITY_LOW_LEVEL_HIGH)
    assert near(low.start_s, 60.0, min(rate_hz, 10.0))
    assert low.rule == "record.link.level_high"
    assert low.values["quality"] == pytest.approx(0.39, abs=0.12)


def test_packets_lost_where_the_same_level_was_enough_before_are_told_and_at_the_edge_of_range_not() -> None:
    far = healthy(10.0, 7)
    change(far, Quantity.LINK_LEVEL, 0.0, 300.0, lambda level: level - 30.0)  # -70 near, -108 far
    change(far, Quantity.LINK_QUALITY, 60.0, 64.0, lambda share: share * 0.4)
    (low,) = of(make_flown(far, *FLIES), EventKind.QUALITY_LOW_LEVEL_HIGH)
    assert low.rule == "record.link.level_margin"
    edge = healthy(10.0, 7)
    change(edge, Quantity.LINK_LEVEL, 0.0, 300.0, lambda level: level - 30.0)
    change(edge, Quantity.LINK_QUALITY, 148.0, 153.0, lambda share: share * 0.4)
    assert not of(make_flown(edge, *FLIES), EventKind.QUALITY_LOW_LEVEL_HIGH)


@pytest.mark.parametrize("rate_hz", [5.0, 10.0, 1000.0])
@pytest.mark.parametrize("sign", ["quality", "flag", "level", "missing"])
def test_a_lost_link_is_told_by_each_sign_alone(rate_hz: float, sign: str) -> None:
    made = healthy(rate_hz, 8)
    t_s = made[Quantity.LINK_LEVEL][0]
    radio_hz = min(rate_hz, 10.0)
    if sign == "flag":
        made[Quantity.LINK_LOSS] = (t_s, ((t_s >= 120.0) & (t_s < 126.0)).astype(float))
        radio_hz = rate_hz
    elif sign == "quality":
        change(made, Quantity.LINK_QUALITY, 120.0, 126.0, 0.0)
    elif sign == "level":
        change(made, Quantity.LINK_LEVEL, 120.0, 126.0, -130.0)
    else:
        for quantity in (Quantity.LINK_LEVEL, Quantity.LINK_QUALITY):
            stays = (t_s < 120.0) | (t_s >= 126.0)
            made[quantity] = (t_s[stays], made[quantity][1][stays])
    (lost,) = of(make_flown(made, *FLIES), EventKind.LINK_LOST)
    assert near(lost.start_s, 120.0, radio_hz)
    assert near(lost.end_s, 126.0, radio_hz)
    assert sign in lost.words["seen_by"].split(",")
    assert lost.values["back"] == 1.0
    if sign != "missing":
        assert lost.values["level_before_dbm"] == pytest.approx(-76.5, abs=5.0)


def test_a_link_switched_off_after_landing_is_no_loss() -> None:
    made = healthy(10.0, 9)
    change(made, Quantity.LINK_QUALITY, 294.0, 300.0, 0.0)
    assert not of(make_flown(made, *FLIES), EventKind.LINK_LOST)


@pytest.mark.parametrize("rate_hz", [10.0, 100.0, 1000.0])
def test_sticks_that_stand_still_off_their_middle_are_frozen(rate_hz: float) -> None:
    made = healthy(rate_hz, 10)
    freeze(made, 100.0, 103.0)
    (still,) = of(make_flown(made, *FLIES), EventKind.CHANNELS_FROZEN)
    assert near(still.start_s, 100.0, rate_hz)
    assert near(still.end_s, 103.0, min(rate_hz, 50.0))
    assert still.words["what"] == "sticks"


def test_hands_off_with_a_dead_band_is_not_frozen_unless_the_link_is_lost() -> None:
    made = healthy(100.0, 11, dead_band=True)
    for quantity in STICKS:
        change(made, quantity, 100.0, 109.0, 0.4 if quantity is Quantity.THROTTLE else 0.0)
    assert not of(make_flown(made, *FLIES), EventKind.CHANNELS_FROZEN)
    change(made, Quantity.LINK_QUALITY, 100.0, 109.0, 0.0)
    (still,) = of(make_flown(made, *FLIES), EventKind.CHANNELS_FROZEN)
    assert still.values["with_loss"] == 1.0


def test_a_stick_held_at_its_stop_is_not_frozen() -> None:
    made = healthy(100.0, 12)
    for quantity in STICKS:
        change(made, quantity, 100.0, 101.5, 1.0 if quantity is Quantity.YAW_STICK else 0.0)
    seen = of(make_flown(made, *FLIES), EventKind.CHANNELS_FROZEN)
    assert all(event.values["held_s"] < 1.6 for event in seen)
    assert not [event for event in seen if event.rule != "record.link.frozen_s"]


def lost_flight(seed: int = 13, rate_hz: float = 100.0) -> Made:
    """A flight whose link is lost from 120 to 130 s."""
    made = healthy(rate_hz, seed)
    change(made, Quantity.LINK_QUALITY, 120.0, 130.0, 0.0)
    return made


def test_failsafe_that_stops_the_motors() -> None:
    made = lost_flight()
    change(made, Quantity.OUTPUT, 121.0, 300.0, 0.0)
    (action,) = of(make_flown(made, *FLIES), EventKind.RADIO_LOSS_ACTION)
    assert action.words["action"] == "motors-stop"
    assert action.values["delay_s"] == pytest.approx(1.0, abs=0.05)


def test_failsafe_that_keeps_the_last_sticks() -> None:
    made = lost_flight()
    freeze(made, 120.0, 130.0)
    (action,) = of(make_flown(made, *FLIES), EventKind.RADIO_LOSS_ACTION)
    assert action.words["action"] == "keeps-last-sticks"


def test_failsafe_that_returns() -> None:
    made = lost_flight()
    freeze(made, 120.0, 130.0)
    t_s = made[Quantity.OUTPUT][0]
    made[Quantity.RETURN_ACTIVE] = (t_s, ((t_s >= 122.0) & (t_s < 135.0)).astype(float))
    (action,) = of(make_flown(made, *FLIES), EventKind.RADIO_LOSS_ACTION)
    assert action.words["action"] == "automatic-return"
    assert action.values["delay_s"] == pytest.approx(2.0, abs=0.05)


def test_failsafe_that_descends_in_place() -> None:
    made = lost_flight()
    t_s = made[Quantity.OUTPUT][0]
    sinks = (t_s >= 121.5) & (t_s < 140.0)
    rng = np.random.default_rng(1)
    made[Quantity.CLIMB_RATE] = (t_s, np.where(sinks, -1.0, 0.0) + rng.normal(0.0, 0.1, t_s.size))
    made[Quantity.GROUND_SPEED] = (t_s, np.where(t_s > 120.5, 0.5, 8.0))
    (action,) = of(make_flown(made, *FLIES), EventKind.RADIO_LOSS_ACTION)
    assert action.words["action"] == "descends-in-place"
    assert action.values["delay_s"] == pytest.approx(1.5, abs=0.3)


def test_a_loss_after_which_nothing_is_seen() -> None:
    (action,) = of(make_flown(lost_flight(), *FLIES), EventKind.RADIO_LOSS_ACTION)
    assert action.words["action"] == "none-seen"
    assert "delay_s" not in action.values


def restarted(made: Made, *gaps: ClockGap) -> Flown:
    """A flight with places where the clock was mended."""
    record = make_record(made)
    clock = Clock("time", "s", record.clock.rate_hz, record.clock.length_s, None, gaps)
    return Flown(FlightRecord(record.name, record.format, clock, record.series), FLIES)


def test_a_clock_that_begins_again_aloft_is_a_restart_and_on_the_ground_none() -> None:
    made = healthy(100.0, 14)
    t_s = made[Quantity.OUTPUT][0]
    volts = np.full(t_s.size, 5.0)
    volts[(t_s > 149.9) & (t_s < 150.0)] = 3.1
    made[Quantity.SUPPLY_VOLTS] = (t_s, volts)
    charge = np.where(t_s < 151.0, t_s / 300.0, (t_s - 151.0) / 300.0)
    made[Quantity.CHARGE_USED] = (t_s, charge)
    (event,) = of(restarted(made, ClockGap(Gap.CLOCK_AGAIN, 150.0, 151.0)), EventKind.RESTART)
    assert event.start_s == pytest.approx(150.0, abs=0.02)
    assert event.values["supply_before_v"] == pytest.approx(3.1)
    assert set(event.words["how"].split(",")) == {"clock-began-again", "charge-used-began-again"}
    made[Quantity.CHARGE_USED] = (t_s, t_s / 300.0)
    assert not of(restarted(made, ClockGap(Gap.CLOCK_AGAIN, 5.0, 6.0)), EventKind.RESTART)


def test_a_gap_counts_as_a_restart_only_after_the_volts_gave_way() -> None:
    made = healthy(100.0, 15)
    t_s = made[Quantity.OUTPUT][0]
    made[Quantity.PACK_VOLTS] = (t_s, np.where((t_s > 149.8) & (t_s < 150.0), 9.0, 15.6))
    (event,) = of(restarted(made, ClockGap(Gap.MISSING, 150.0, 150.8)), EventKind.RESTART)
    assert event.words["how"] == "gap-after-volts-fell"
    assert event.values["gap_s"] == pytest.approx(0.8)
    assert not of(restarted(made, ClockGap(Gap.MISSING, 200.0, 200.8)), EventKind.RESTART)


@pytest.mark.parametrize("gap_s", [0.5, 1.0])
def test_a_gap_after_which_nothing_runs_is_a_restart(gap_s: float) -> None:
    made = healthy(100.0, 21)
    flown = restarted(stopped_after_gap(made, gap_s), ClockGap(Gap.MISSING, 149.99, 150.0 + gap_s))
    (event,) = of(flown, EventKind.RESTART)
    assert event.start_s == pytest.approx(149.99)
    assert event.end_s == pytest.approx(150.0 + gap_s)
    assert event.words["how"] == "gap-then-nothing-runs"
    assert Quantity.ARMED in {each.quantity for each in event.channels}
    # the switch did not do it
    assert not [each for each in find_sticks(flown).events if each.kind is EventKind.ARM_SWITCH_OFF_ALOFT]


@pytest.mark.parametrize("missing", ["arming stays", "outputs stay", "it rests"])
def test_a_gap_after_which_something_runs_or_it_rests_is_no_restart(missing: str) -> None:
    before = healthy(100.0, 22)
    made = stopped_after_gap(before, 1.0)
    t_s = made[Quantity.ARMED][0]
    if missing == "arming stays":
        made[Quantity.ARMED] = (t_s, np.ones(t_s.size))
    elif missing == "outputs stay":
        made[Quantity.OUTPUT] = (t_s, np.full(t_s.size, 0.4))
    else:
        made |= dict.fromkeys((Quantity.ACCELERATION_X, Quantity.ACCELERATION_Y), (t_s, np.zeros(t_s.size)))
        made[Quantity.ACCELERATION_Z] = (t_s, np.full(t_s.size, -9.80665))
    assert not of(restarted(made, ClockGap(Gap.MISSING, 149.99, 151.0)), EventKind.RESTART)


def stopped_after_gap(made: Made, gap_s: float) -> Made:
    """A flight without rows from 150 s on, after which nothing is armed and nothing turns."""
    t_s = made[Quantity.OUTPUT][0]
    armed = (t_s < 150.0).astype(float)
    made = {**made, Quantity.ARMED: (t_s, armed), Quantity.OUTPUT: (t_s, np.where(t_s < 150.0, 0.4, 0.0))}
    keep = (t_s < 150.0) | (t_s >= 150.0 + gap_s)
    shared_s = t_s[keep]
    return {
        key: (shared_s, np.asarray(values)[keep]) for key, (own_s, values) in made.items()
        if np.size(values) == t_s.size and np.array_equal(own_s, t_s)
    }  # fmt: skip


def test_arming_lost_and_back_with_the_throttle_up_is_a_restart() -> None:
    made = healthy(100.0, 16)
    t_s = made[Quantity.OUTPUT][0]
    off = (t_s >= 150.0) & (t_s < 151.2)
    made[Quantity.ARMED] = (t_s, (~off).astype(float))
    change(made, Quantity.OUTPUT, 150.0, 151.2, 0.0)
    (event,) = of(make_flown(made, *FLIES), EventKind.RESTART)
    assert near(event.start_s, 150.0, 100.0)
    assert event.words["how"] == "arming-lost-and-back"


def test_what_cannot_be_looked_for_is_told() -> None:
    t_s = np.arange(0.0, 60.0, 0.1)
    found = find_link(make_flown({Quantity.PACK_VOLTS: (t_s, 15.0)}))
    told = {each.kind: each.why for each in found.not_told}
    assert not found.events
    assert (
        told[EventKind.LINK_LOST] is told[EventKind.LEVEL_DIP] is told[EventKind.CHANNELS_FROZEN] is WhyNot.NO_CHANNEL
    )
    grounded = find_link(make_flown({Quantity.LINK_LEVEL: (t_s, -60.0)}, flat(PhaseKind.GROUND, 0.0, 60.0)))
    assert {each.kind for each in grounded.not_told} == set(KINDS)
    slow_s = np.arange(0.0, 600.0, 1.0)
    slow = find_link(make_flown({Channel(quantity): (slow_s, np.sin(slow_s)) for quantity in STICKS}))
    assert [each.why for each in slow.not_told if each.kind is EventKind.CHANNELS_FROZEN] == [WhyNot.TOO_SLOW]


@pytest.mark.parametrize(("rate_hz", "seeds"), [(1.0, 100), (5.0, 100), (50.0, 60)])
def test_healthy_flights_raise_nothing(rate_hz: float, seeds: int) -> None:
    raised = []
    for seed in range(1000, 1000 + seeds):
        made = healthy(rate_hz, seed, radio_hz=10.0, dead_band=bool(seed % 2))
        if seed % 3 == 0:
            del made[Quantity.DISTANCE_LAUNCH]
        raised += [(seed, event.kind) for event in find_link(make_flown(made, *FLIES)).events]
    assert raised == []
