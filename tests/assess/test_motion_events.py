"""Swings, run-aways, opposite and following rates, and the first channel out of quiet: made up with a known onset."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import flat, make_record

from turnback.assess.motion_axes import highest_lately, rolling_rms
from turnback.assess.motion_events import find_motion
from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, RATE_DEMANDS, RATES, STICKS, Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, Phase, PhaseKind, WhyNot

Floats = NDArray[np.float64]
NEAR_S = 0.05
ROLL, PITCH, YAW = 0, 1, 2


def smooth(values: Floats, rows: int) -> Floats:
    return np.asarray(np.convolve(values, np.ones(rows) / rows, mode="same"))


class Tracked:
    """A pilot's demands, rates that follow them after 30 ms, gusts, noise, outputs, speeds, acceleration."""

    def __init__(self, seed: int = 1, rate_hz: float = 500.0, length_s: float = 20.0, demand: float = 1.5) -> None:
        self.rng = np.random.default_rng(seed)
        self.rate_hz = rate_hz
        self.t_s = np.arange(round(rate_hz * length_s)) / rate_hz
        n = self.t_s.size
        self.demand = np.stack([demand * self.wander(0.5) for _ in RATES])
        delay = round(0.03 * rate_hz)
        self.rates = np.concatenate([np.repeat(self.demand[:, :1], delay, axis=1), self.demand[:, : n - delay]], axis=1)
        self.rates += np.stack([0.15 * self.wander(0.1) for _ in RATES]) + self.rng.normal(0.0, 0.03, (3, n))
        self.outputs = 0.4 + np.stack([0.03 * self.wander(0.1) for _ in At]) + self.rng.normal(0.0, 0.004, (4, n))
        self.speeds = 300.0 + 300.0 * (self.outputs - 0.4) + self.rng.normal(0.0, 1.0, (4, n))
        self.forces = self.rng.normal(0.0, 1.0, (3, n)) + np.array([[0.0], [0.0], [-9.80665]])
        self.sticks = np.zeros((3, n))

    def wander(self, over_s: float) -> Floats:
        """Smooth noise of unit size."""
        made = self.rng.normal(size=self.t_s.size)
        width = max(2, round(over_s * self.rate_hz / 2))
        made = smooth(smooth(made, width), width)
        return np.asarray(made / made.std())

    def rows(self, start_s: float, end_s: float = 1e9) -> slice:
        return slice(*np.searchsorted(self.t_s, [start_s - 1e-9, end_s - 1e-9]))

    def flown(self, *phases: Phase, demands: bool = True, senses: bool = True, sticks: bool = False) -> Flown:
        made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
        made |= {each: (self.t_s, row.astype(np.float32)) for each, row in zip(RATES, self.rates, strict=True)}
        if demands:
            made |= {each: (self.t_s, row) for each, row in zip(RATE_DEMANDS, self.demand, strict=True)}
        if sticks:
            made |= {each: (self.t_s, row) for each, row in zip(STICKS[:3], self.sticks, strict=True)}
        made |= {Channel(Quantity.OUTPUT, at): (self.t_s, row) for at, row in zip(At, self.outputs, strict=True)}
        made |= {Channel(Quantity.ROTOR_SPEED, at): (self.t_s, row) for at, row in zip(At, self.speeds, strict=True)}
        made |= {each: (self.t_s, row) for each, row in zip(ACCELERATIONS, self.forces, strict=True)}
        record = make_record(made)
        if not senses:
            record = replace(record, senses=())
        return Flown(record, phases or (flat(PhaseKind.CRUISE, 0.0, float(self.t_s[-1])),))


def of(found: Happened, kind: EventKind) -> list[Event]:
    return [event for event in found.events if event.kind is kind]


def why(found: Happened, kind: EventKind) -> WhyNot | None:
    return next((each.why for each in found.not_told if each.kind is kind), None)


@pytest.mark.parametrize("seed", range(100))
def test_a_sound_flight_raises_nothing_but_that_it_follows(seed: int) -> None:
    made = Tracked(seed, rate_hz=200.0, length_s=15.0, demand=0.1 if seed % 2 else 2.0)
    found = find_motion(made.flown())
    assert [event.kind for event in found.events] == [EventKind.FOLLOWS_DEMAND]
    assert found.not_told == ()


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("frequency_hz", [2.5, 5.0, 12.0, 35.0, 70.0])
def test_a_swing_has_its_onset_frequency_size_and_axes(seed: int, frequency_hz: float) -> None:
    made = Tracked(seed)
    after = made.rows(8.0, 14.0)
    for axis, size in ((ROLL, 1.2), (PITCH, 0.8)):
        made.rates[axis, after] += size * np.sin(2 * np.pi * frequency_hz * (made.t_s[after] - 8.0))
    (event,) = of(find_motion(made.flown()), EventKind.OSCILLATION)
    assert event.start_s == pytest.approx(8.0, abs=max(NEAR_S, 0.35 / frequency_hz))
    assert event.end_s == pytest.approx(14.0, abs=2.0 if frequency_hz < 8.0 else 0.5)
    assert event.values["frequency_hz"] == pytest.approx(frequency_hz, rel=0.03)
    assert event.values["amplitude_rad_s"] == pytest.approx(1.2, rel=0.12)
    assert event.words["axes"] == "roll pitch" and event.words["axis"] == "roll"
    assert event.values["growing"] == 0.0


def test_a_growing_swing_is_told_as_growing() -> None:
    made = Tracked(2)
    after = made.rows(8.0)
    made.rates[YAW, after] += np.exp(0.25 * (made.t_s[after] - 8.0)) * np.sin(2 * np.pi * 6.0 * made.t_s[after])
    (event,) = of(find_motion(made.flown()), EventKind.OSCILLATION)
    assert event.values["growing"] == 1.0 and event.words["axes"] == "yaw"


def test_a_swing_that_is_asked_for_is_none_unless_no_stick_moves_it() -> None:
    made = Tracked(3)
    after = made.rows(5.0, 15.0)
    swing = 1.5 * np.sin(2 * np.pi * 3.0 * made.t_s[after])
    made.rates[ROLL, after] += swing
    made.demand[ROLL, after] += swing
    assert of(find_motion(made.flown()), EventKind.OSCILLATION) == []
    (event,) = of(find_motion(made.flown(sticks=True)), EventKind.OSCILLATION)
    assert event.words["demand"] == "too"
    made.sticks[ROLL, after] = 0.2 * swing
    assert of(find_motion(made.flown(sticks=True)), EventKind.OSCILLATION) == []


def test_a_rotor_line_folded_into_the_band_is_no_swing() -> None:
    made = Tracked(4, rate_hz=250.0)
    made.speeds[:] = 290.0
    made.rates[ROLL] += 1.0 * np.sin(2 * np.pi * 290.0 * made.t_s)  # shows at 40 Hz
    assert of(find_motion(made.flown()), EventKind.OSCILLATION) == []
    made.speeds[:] = 170.0  # folds to 80: this line is not theirs
    assert len(of(find_motion(made.flown()), EventKind.OSCILLATION)) == 1


def test_a_weak_swing_that_may_be_a_folded_rotor_line_is_left_out_where_no_rotor_speed_tells() -> None:
    made = Tracked(5, rate_hz=250.0)
    made.rates[ROLL] += 0.6 * np.sin(2 * np.pi * 35.0 * made.t_s)
    flown = made.flown()
    without = {key: each for key, each in flown.record.series.items() if key.quantity is not Quantity.ROTOR_SPEED}
    flown = replace(flown, record=replace(flown.record, series=without))
    assert of(find_motion(flown), EventKind.OSCILLATION) == []
    fast = Tracked(5, rate_hz=1000.0)
    fast.rates[ROLL] += 0.6 * np.sin(2 * np.pi * 35.0 * fast.t_s)
    assert len(of(find_motion(fast.flown()), EventKind.OSCILLATION)) == 1


def angled(made: Tracked, angle: Floats, *without: Quantity) -> Flown:
    """Return a flight whose roll angle is recorded, without some channels."""
    flown = made.flown()
    series = {key: each for key, each in flown.record.series.items() if key.quantity not in without}
    series |= make_record({Quantity.ROLL: (made.t_s, angle)}).series
    return replace(flown, record=replace(flown.record, series=series))


@pytest.mark.parametrize("seed", range(5))
def test_a_swing_that_the_angle_does_not_show_is_a_folded_line_at_any_frequency(seed: int) -> None:
    """Below 8 Hz too: a rotor at 305 turns a second shows at 5 Hz in 50 rows a second, and turns no aircraft."""
    made = Tracked(seed, rate_hz=50.0, demand=0.3)
    still = np.cumsum(made.rates[ROLL]) / made.rate_hz
    line = 0.6 * np.sin(2 * np.pi * 305.0 * made.t_s)  # sampled at 50 Hz: 5 Hz
    made.rates[ROLL] += line
    assert of(find_motion(angled(made, still, Quantity.ROTOR_SPEED)), EventKind.OSCILLATION) == []
    swung = np.cumsum(made.rates[ROLL]) / made.rate_hz
    (event,) = of(find_motion(angled(made, swung, Quantity.ROTOR_SPEED)), EventKind.OSCILLATION)
    assert event.values["frequency_hz"] == pytest.approx(5.0, abs=0.3)


def test_a_slow_swing_that_neither_rotor_nor_angle_explains_is_said_not_to_be_told() -> None:
    made = Tracked(6, rate_hz=50.0, demand=0.3)
    made.rates[ROLL] += 0.6 * np.sin(2 * np.pi * 305.0 * made.t_s)
    flown = made.flown()
    without = {key: each for key, each in flown.record.series.items() if key.quantity is not Quantity.ROTOR_SPEED}
    found = find_motion(replace(flown, record=replace(flown.record, series=without)))
    assert of(found, EventKind.OSCILLATION) == []
    assert why(found, EventKind.OSCILLATION) is WhyNot.NO_CHANNEL


@pytest.mark.parametrize("seed", range(10))
@pytest.mark.parametrize(
    ("roll", "pitch", "at"),
    [
        (-60.0, -50.0, (At.FRONT_LEFT,)),
        (60.0, -50.0, (At.FRONT_RIGHT,)),
        (-50.0, 60.0, (At.REAR_LEFT,)),
        (60.0, 0.0, (At.FRONT_RIGHT, At.REAR_RIGHT)),
    ],
)
def test_a_run_away_has_its_onset_and_the_corner_that_goes_down(
    seed: int, roll: float, pitch: float, at: tuple[At, ...]
) -> None:
    made = Tracked(seed, demand=1.0)
    after = made.rows(15.0)
    made.rates[ROLL, after] += np.minimum(made.t_s[after] - 15.0, 0.3) * roll
    made.rates[PITCH, after] += np.minimum(made.t_s[after] - 15.0, 0.3) * pitch
    (event,) = of(find_motion(made.flown()), EventKind.RATE_RUN_AWAY)
    assert event.start_s == pytest.approx(15.0, abs=NEAR_S)
    assert event.at == at
    assert abs(event.values["rate_rad_s"]) > 10.0
    unknown = find_motion(made.flown(senses=False))
    assert [event.at for event in of(unknown, EventKind.RATE_RUN_AWAY)] == [()]
    assert of(find_motion(made.flown()), EventKind.FOLLOWS_DEMAND) == []


def test_a_demand_that_may_count_the_other_way_round_does_not_tell_the_corner() -> None:
    corners = []
    for sign in (1.0, -1.0):
        made = Tracked(2, demand=1.0)
        after = made.rows(15.0)
        made.rates[ROLL, after] += np.minimum(made.t_s[after] - 15.0, 0.3) * 40.0
        made.rates[PITCH, after] += np.minimum(made.t_s[after] - 15.0, 0.3) * 14.5
        made.demand[PITCH, after] = sign * 1.5
        flown = made.flown()
        known = tuple(each for each in flown.record.senses if each.channel.quantity is not RATE_DEMANDS[PITCH])
        flown = replace(flown, record=replace(flown.record, senses=known))
        corners.append([event.at for event in of(find_motion(flown), EventKind.RATE_RUN_AWAY)])
    assert corners[0] == corners[1] != []


@pytest.mark.parametrize("seed", range(5))
def test_flips_and_rolls_that_are_demanded_are_no_run_away_and_no_opposite_response(seed: int) -> None:
    made = Tracked(seed)
    asked = np.zeros_like(made.t_s)
    for start_s in (4.0, 7.0, 10.0, 13.0):
        asked[made.rows(start_s, start_s + 0.5)] = 12.0 if start_s < 8.0 else -12.0
    asked[made.rows(10.5, 10.6)] = 12.0  # straight over into the other direction
    made.demand[ROLL] += asked
    lag = np.exp(-np.arange(200) / made.rate_hz / 0.03)
    made.rates[ROLL] += np.convolve(asked, lag / lag.sum())[: asked.size]
    found = find_motion(made.flown())
    assert [event.kind for event in found.events] == [EventKind.FOLLOWS_DEMAND]


@pytest.mark.parametrize("seed", range(5))
def test_a_response_against_the_demand_has_its_onset_and_needs_known_senses(seed: int) -> None:
    made = Tracked(seed, demand=0.1)
    asked = made.rows(12.0, 12.6)
    made.demand[PITCH, asked] = 3.0
    made.rates[PITCH, made.rows(12.03, 12.63)] = -2.5
    (event,) = of(find_motion(made.flown()), EventKind.OPPOSITE_RESPONSE)
    assert event.start_s == pytest.approx(12.03, abs=0.01)
    assert event.words["axis"] == "pitch"
    assert event.values["duration_s"] == pytest.approx(0.57, abs=0.02)
    assert event.values["demand_rad_s"] * event.values["rate_rad_s"] < 0.0
    assert why(find_motion(made.flown(senses=False)), EventKind.OPPOSITE_RESPONSE) is WhyNot.SENSE_UNKNOWN


@pytest.mark.parametrize("seed", range(5))
def test_following_to_the_end_has_its_delay_and_share(seed: int) -> None:
    made = Tracked(seed, demand=2.0)
    (event,) = of(find_motion(made.flown()), EventKind.FOLLOWS_DEMAND)
    assert event.values["delay_s"] == pytest.approx(0.03, abs=0.006)
    # gusts of 0.15 and noise of 0.03 on a demand of 2: all but their mean square is explained
    assert event.values["explained_share"] == pytest.approx(1 - (0.15**2 + 0.03**2) / (2.0**2 + 0.15**2), abs=0.01)
    assert event.values["error_rad_s"] == pytest.approx(np.hypot(0.15, 0.03), rel=0.15)
    made.demand *= -1.0  # the record counts the demand the other way round, and nobody knows
    assert len(of(find_motion(made.flown(senses=False)), EventKind.FOLLOWS_DEMAND)) == 1
    assert of(find_motion(made.flown()), EventKind.FOLLOWS_DEMAND) == []


@pytest.mark.parametrize("seed", range(20))
def test_the_first_channel_out_of_quiet_is_named_with_its_onset(seed: int) -> None:
    made = Tracked(seed)
    fails = made.rows(17.0)
    made.speeds[2, fails] *= np.exp(-(made.t_s[fails] - 17.0) / 0.03)
    turns = made.rows(17.03)
    made.rates[ROLL, turns] -= np.minimum(made.t_s[turns] - 17.03, 0.4) * 50.0
    made.rates[PITCH, turns] += np.minimum(made.t_s[turns] - 17.03, 0.4) * 50.0
    made.outputs[2, made.rows(17.08)] = 1.0
    (event,) = of(find_motion(made.flown()), EventKind.LEAVES_QUIET)
    assert event.start_s == pytest.approx(17.0, abs=NEAR_S)
    assert event.channels[0] == Channel(Quantity.ROTOR_SPEED, At.REAR_LEFT)
    assert event.at == (At.REAR_LEFT,)
    assert event.words["signal_1"] == "rotor-speed"
    onsets = {channel: event.values[f"onset_{place}_s"] for place, channel in enumerate(event.channels, 1)}
    rates = {Channel(Quantity.ROLL_RATE), Channel(Quantity.PITCH_RATE)} & set(onsets)
    assert rates and all(onsets[rate] == pytest.approx(17.03, abs=NEAR_S) for rate in rates)
    assert 0.0 < event.values["lead_s"] < 0.3


def test_a_flight_that_ends_in_a_blow_has_a_first_channel_and_one_that_ends_in_peace_has_none() -> None:
    made = Tracked(5)
    made.forces[0, made.rows(18.0, 18.02)] = 120.0
    (event,) = of(find_motion(made.flown(flat(PhaseKind.CRUISE, 0.0, 18.1))), EventKind.LEAVES_QUIET)
    assert event.channels[0] == Channel(Quantity.ACCELERATION_X)
    assert event.start_s == pytest.approx(18.0, abs=0.005)
    assert of(find_motion(Tracked(5).flown()), EventKind.LEAVES_QUIET) == []


def test_what_is_missing_or_too_slow_is_said() -> None:
    made = Tracked(6)
    found = find_motion(made.flown(demands=False))
    assert {each.kind for each in found.not_told} == {
        EventKind.OPPOSITE_RESPONSE, EventKind.RATE_RUN_AWAY, EventKind.FOLLOWS_DEMAND,
    }  # fmt: skip
    assert why(find_motion(Tracked(6, rate_hz=10.0).flown()), EventKind.OSCILLATION) is WhyNot.TOO_SLOW
    assert why(find_motion(made.flown(flat(PhaseKind.GROUND, 0.0, 20.0))), EventKind.OSCILLATION) is WhyNot.NOT_ALOFT
    nothing = Flown(make_record({Quantity.PACK_VOLTS: (made.t_s, 15.0)}), (flat(PhaseKind.HOVER, 0.0, 20.0),))
    assert why(find_motion(nothing), EventKind.LEAVES_QUIET) is WhyNot.NO_CHANNEL


def test_running_highest_and_mean_square_are_those_counted_one_by_one() -> None:
    values = np.random.default_rng(7).normal(size=57)
    for rows in (0, 1, 2, 5, 16, 100):
        expected = [values[max(0, place - rows) : place + 1].max() for place in range(57)]
        np.testing.assert_array_equal(highest_lately(values, rows), expected)
    expected = [np.sqrt(np.mean(values[max(0, place - 3) : place + 1] ** 2)) for place in range(57)]
    np.testing.assert_allclose(rolling_rms(values, 4), expected, rtol=1e-12)
