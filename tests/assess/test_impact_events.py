"""Blows and free falls: pulses of known size, falls of known speed."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.flights_made import USUAL, board_channels, fly, slow_channels
from tests.assess.record_makers import Made, flat, level, make_flown, make_record

from turnback.assess.impact_events import find_impacts
from turnback.assess.phases import phases_of
from turnback.records.channel import ACCELERATIONS, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, PhaseKind, WhyNot

G = 9.80665
K = PhaseKind


def of(kind: EventKind, found: Happened) -> list[Event]:
    """Return events of one kind."""
    return [event for event in found.events if event.kind is kind]


def blow_at(at_s: float, size_mps2: float, lasts_s: float, rate_hz: float = 1000.0, clip_mps2: float = 1e9) -> Made:
    """Ten seconds level with a half sine on the upright axis."""
    t_s = np.arange(0.0, 10.0, 1.0 / rate_hz)
    inside = (t_s >= at_s) & (t_s < at_s + lasts_s)
    pulse = np.where(inside, size_mps2 * np.sin(np.pi * (t_s - at_s) / lasts_s), 0.0)
    shake = 0.5 * np.random.default_rng(3).standard_normal((3, t_s.size))
    made = dict(level(t_s))
    made[ACCELERATIONS[0]] = (t_s, shake[0])
    made[ACCELERATIONS[1]] = (t_s, shake[1])
    made[ACCELERATIONS[2]] = (t_s, np.clip(-G - pulse + shake[2], -clip_mps2, clip_mps2))
    return made


LANDS = (flat(K.CRUISE, 0.0, 6.0), flat(K.GROUND, 6.0, 10.0))


def test_a_blow_is_told_with_its_size_and_moment() -> None:
    (event,) = of(EventKind.IMPACT, find_impacts(make_flown(blow_at(6.0, 120.0, 0.02), *LANDS)))
    assert event.start_s == pytest.approx(6.0, abs=0.01)
    assert event.values["peak_mps2"] == pytest.approx(120.0 + G, abs=2.0)
    assert event.values["rise_mps2"] == pytest.approx(120.0, abs=2.5)
    assert event.values["at_least"] == 0.0


@pytest.mark.parametrize("clip_g", [16.0, 8.0, 11.3])
def test_a_sensor_at_its_end_says_at_least(clip_g: float) -> None:
    (event,) = of(EventKind.IMPACT, find_impacts(make_flown(blow_at(6.0, 400.0, 0.03, clip_mps2=clip_g * G), *LANDS)))
    assert event.values["peak_mps2"] == pytest.approx(clip_g * G, rel=0.01)
    assert event.values["at_least"] == 1.0


def test_a_soft_touch_a_hard_pull_and_a_bump_by_hand_are_no_blows() -> None:
    assert of(EventKind.IMPACT, find_impacts(make_flown(blow_at(6.0, 30.0, 0.03), *LANDS))) == []
    assert of(EventKind.IMPACT, find_impacts(make_flown(blow_at(5.0, 44.0, 0.6), *LANDS))) == []  # thrust builds up
    assert of(EventKind.IMPACT, find_impacts(make_flown(blow_at(8.0, 200.0, 0.02), *LANDS))) == []  # 2 s after it


def test_shake_of_a_rough_aircraft_is_no_blow() -> None:
    made = dict(blow_at(6.0, 0.0, 0.02))
    t_s = np.asarray(made[ACCELERATIONS[2]][0])
    made[ACCELERATIONS[2]] = (t_s, -G + 15.0 * np.random.default_rng(1).standard_normal(t_s.size))
    assert of(EventKind.IMPACT, find_impacts(make_flown(made, *LANDS))) == []


def test_speeds_before_and_after_tell_a_landing_from_a_stop() -> None:
    made = dict(blow_at(6.0, 120.0, 0.02))
    t_s = np.arange(0.0, 10.0, 0.1)
    made[Quantity.GROUND_SPEED] = (t_s, np.where(t_s < 6.0, 14.0, 0.2))
    (event,) = of(EventKind.IMPACT, find_impacts(make_flown(made, *LANDS)))
    assert event.values["before_mps"] == pytest.approx(14.0)
    assert event.values["after_mps"] == pytest.approx(0.2)


def test_without_acceleration_or_with_too_little_of_it_that_is_said() -> None:
    t_s = np.arange(0.0, 10.0, 0.1)
    told = {each.kind: each for each in find_impacts(make_flown({Quantity.CURRENT: (t_s, 5.0)}, *LANDS)).not_told}
    assert told[EventKind.IMPACT].why is WhyNot.NO_CHANNEL
    assert told[EventKind.FREE_FALL].why is WhyNot.NO_CHANNEL
    slow = find_impacts(make_flown(blow_at(6.0, 120.0, 0.2, rate_hz=20.0), *LANDS))
    (reason,) = [each for each in slow.not_told if each.kind is EventKind.IMPACT]
    assert reason.why is WhyNot.TOO_SLOW
    assert reason.values["rate_hz"] == pytest.approx(20.0)
    ground = find_impacts(make_flown(blow_at(6.0, 120.0, 0.02), flat(K.GROUND, 0.0, 10.0)))
    assert {each.why for each in ground.not_told} == {WhyNot.NOT_ALOFT}


# --- a track alone -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("hz", [1.0, 5.0, 10.0])
def test_a_track_that_stops_dead_is_an_impact(hz: float) -> None:
    t_s = np.arange(0.0, 30.0, 1.0 / hz)
    made: Made = {Quantity.GROUND_SPEED: (t_s, np.where(t_s < 20.0, 13.0, 0.1))}
    phases = (flat(K.CRUISE, 0.0, 20.0), flat(K.GROUND, 20.0, 30.0))
    (event,) = of(EventKind.IMPACT, find_impacts(make_flown(made, *phases)))
    assert event.start_s == pytest.approx(20.0, abs=2.0 / hz)
    assert event.values["before_mps"] == 13.0
    assert event.values["deceleration_mps2"] == pytest.approx(12.9 * hz, rel=0.02)  # 12.9 m/s in one row


def test_a_track_that_brakes_and_lands_is_none() -> None:
    t_s = np.arange(0.0, 40.0, 0.2)
    made: Made = {Quantity.GROUND_SPEED: (t_s, np.interp(t_s, [0.0, 15.0, 19.0], [13.0, 13.0, 0.0]))}
    phases = (flat(K.CRUISE, 0.0, 18.0), flat(K.HOVER, 18.0, 30.0), flat(K.GROUND, 30.0, 40.0))
    assert of(EventKind.IMPACT, find_impacts(make_flown(made, *phases))) == []


@pytest.mark.parametrize("seed", range(3))
def test_flights_that_only_land_have_no_impact_and_no_fall(seed: int) -> None:
    flight = fly(*USUAL)
    generator = np.random.default_rng(seed)
    for made in (board_channels(flight, generator), slow_channels(flight, generator, 5.0)):
        record = make_record(made)
        assert find_impacts(Flown(record, phases_of(record))).events == ()


# --- free fall ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rate_hz", [100.0, 400.0, 1000.0])
@pytest.mark.parametrize("lasts_s", [0.5, 1.3])
def test_a_free_fall_gains_g_t_and_drops_half_g_t_squared(lasts_s: float, rate_hz: float) -> None:
    """Without air: v = g t and h = g t²/2, exact."""
    t_s = np.arange(0.0, 10.0, 1.0 / rate_hz)
    falls = (t_s >= 5.0) & (t_s < 5.0 + lasts_s)
    made = dict(level(t_s))
    made[ACCELERATIONS[2]] = (t_s, np.where(falls, 0.0, -G))
    (event,) = of(EventKind.FREE_FALL, find_impacts(make_flown(made)))
    assert event.start_s == pytest.approx(5.0, abs=0.03)
    assert event.values["duration_s"] == pytest.approx(lasts_s, abs=0.05)
    duration_s = event.values["duration_s"]
    assert event.values["speed_gained_mps"] == pytest.approx(G * duration_s, rel=1e-6)
    assert event.values["height_m"] == pytest.approx(G * duration_s**2 / 2.0, rel=1e-6)
    assert event.values["speed_gained_mps"] == pytest.approx(G * lasts_s, abs=0.5)


def test_a_fall_through_air_gains_what_drag_leaves() -> None:
    """0.75 kg, CdA 0.018 m², 100 m: 25.1367 m/s after 5.6618 s (v = v_t sqrt(1 - exp(-2 g h / v_t²))).

    Specific force is drag alone, g (v / v_t)² with v = v_t tanh(g t / v_t); v_t² = 2 m g / (1.225 CdA).
    """
    terminal = np.sqrt(2.0 * 0.75 * G / (1.225 * 0.018))
    t_s = np.arange(0.0, 12.0, 0.001)
    drag = G * np.tanh(G * np.maximum(t_s - 2.0, 0.0) / terminal) ** 2
    end_s = 2.0 + 5.6618
    made = dict(level(t_s))
    made[ACCELERATIONS[2]] = (t_s, np.where((t_s >= 2.0) & (t_s < end_s), -drag, -G))
    phases = (flat(K.CRUISE, 0.0, 2.0), flat(K.FALL, 2.0, end_s), flat(K.GROUND, end_s, 12.0))
    (event,) = of(EventKind.FREE_FALL, find_impacts(make_flown(made, *phases)))
    assert event.values["duration_s"] == pytest.approx(5.6618, abs=0.03)
    assert event.values["speed_gained_mps"] == pytest.approx(25.1367, rel=2e-3)
    assert event.values["height_m"] == pytest.approx(100.0, rel=6e-3)


def test_short_drops_are_no_fall_and_a_blow_ends_one() -> None:
    t_s = np.arange(0.0, 10.0, 0.001)
    made = dict(level(t_s))
    made[ACCELERATIONS[2]] = (t_s, np.where((t_s >= 5.0) & (t_s < 5.2), 0.0, -G))
    assert of(EventKind.FREE_FALL, find_impacts(make_flown(made))) == []
    force = np.where((t_s >= 5.0) & (t_s < 7.0), -0.1, -G)
    force[(t_s >= 6.0) & (t_s < 6.04)] = -150.0
    made[ACCELERATIONS[2]] = (t_s, force)
    phases = (flat(K.CRUISE, 0.0, 5.0), flat(K.FALL, 5.0, 7.0), flat(K.GROUND, 7.0, 10.0))
    falls = of(EventKind.FREE_FALL, find_impacts(make_flown(made, *phases)))
    assert falls[0].end_s == pytest.approx(6.0, abs=0.03)


def test_a_height_channel_is_held_beside_it() -> None:
    t_s = np.arange(0.0, 10.0, 0.001)
    made = dict(level(t_s))
    made[ACCELERATIONS[2]] = (t_s, np.where((t_s >= 5.0) & (t_s < 6.0), 0.0, -G))
    slow_s = t_s[::100]
    made[Quantity.HEIGHT_LAUNCH] = (slow_s, 30.0 - G / 2.0 * np.clip(slow_s - 5.0, 0.0, 1.0) ** 2)
    (event,) = of(EventKind.FREE_FALL, find_impacts(make_flown(made)))
    assert event.values["height_lost_m"] == pytest.approx(G / 2.0, abs=0.3)


def test_what_bounces_after_a_crash_falls_once_more() -> None:
    """The blow at 6 s ends the flight; from 6.1 s to 6.7 s nothing carries it on its way up and down."""
    made = dict(blow_at(6.0, 200.0, 0.02))
    t_s, force = made[ACCELERATIONS[2]]
    bounces = (np.asarray(t_s) >= 6.1) & (np.asarray(t_s) < 6.7)
    made[ACCELERATIONS[2]] = (t_s, np.where(bounces, -0.2, np.asarray(force)))
    (event,) = of(EventKind.FREE_FALL, find_impacts(make_flown(made, *LANDS)))
    assert event.start_s == pytest.approx(6.1, abs=0.03)
    assert event.values["duration_s"] == pytest.approx(0.6, abs=0.05)
