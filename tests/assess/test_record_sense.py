"""Directions of channels, settled on flights of a simulator that shares no code with what is under test."""

from __future__ import annotations

import functools
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import lfilter
from scipy.stats import norm
from tests.assess.record_loop import Flight, fly, sticks

from turnback.assess.record_sense import settle_senses
from turnback.assess.record_sense_grid import Grid, Pairing, votes
from turnback.assess.record_sense_lasting import lasting_score
from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, ANGLES, RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.flight_record import FlightRecord, SenseBy, SenseFound, Series
from turnback.records.record_read import (
    Clock,
    ColumnMatch,
    ColumnTold,
    FlightFacts,
    MatchedBy,
    Reading,
    RecordFormat,
)

STICKS = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK)
PLACE = (Quantity.LATITUDE, Quantity.LONGITUDE, Quantity.COURSE)
LEFT_UP = (
    Quantity.PITCH_RATE, Quantity.YAW_RATE, Quantity.PITCH_RATE_DEMAND, Quantity.YAW_RATE_DEMAND, Quantity.PITCH,
    Quantity.ACCELERATION_Y, Quantity.ACCELERATION_Z,
)  # fmt: skip
RATE_HZ = 200.0


@functools.cache
def flown(seed: int = 3) -> Flight:
    return fly(sticks(50.0, RATE_HZ, seed), RATE_HZ, seed, forward=0.2)


def record_of(flight: Flight, keep: Iterable[Quantity], turned: Iterable[Quantity] = ()) -> FlightRecord:
    """Return a record of a flight with some channels, some of them counted the other way round."""
    values = {
        **dict(zip(RATES, flight.rate.T, strict=True)), **dict(zip(RATE_DEMANDS, flight.demand.T, strict=True)),
        **dict(zip(ACCELERATIONS, flight.force.T, strict=True)), **dict(zip(ANGLES, flight.angle.T, strict=True)),
        **dict(zip(STICKS, flight.stick.T, strict=True)),
        Quantity.LATITUDE: 50.0 + np.degrees(flight.place[:, 0] / 6_371_000.0),
        Quantity.LONGITUDE: 10.0 + np.degrees(flight.place[:, 1] / 6_371_000.0 / np.cos(np.radians(50.0))),
        Quantity.COURSE: np.arctan2(flight.velocity[:, 1], flight.velocity[:, 0]),
    }  # fmt: skip
    turned = set(turned)
    channels = {Channel(each): -values[each] if each in turned else values[each] for each in keep}
    series = {each: Series(each, flight.t_s, held, RATE_HZ, RATE_HZ) for each, held in channels.items()}
    clock = Clock("t", "s", RATE_HZ, float(flight.t_s[-1]))
    return FlightRecord("made.csv", RecordFormat.CSV, clock, series)


def sure(record: FlightRecord) -> dict[Quantity, SenseFound]:
    return {each.channel.quantity: each for each in record.senses if each.chance >= 0.95}


ALL = (*RATES, *RATE_DEMANDS, *ACCELERATIONS, *ANGLES, *STICKS, *PLACE)


@pytest.mark.parametrize("turned", [(), LEFT_UP, ACCELERATIONS, (Quantity.ROLL_RATE, Quantity.PITCH_STICK), ALL[:3]])
def test_a_whole_record_is_turned_to_forward_right_down(turned: tuple[Quantity, ...]) -> None:
    flight = flown()
    settled = settle_senses(record_of(flight, ALL, turned))
    found = sure(settled)
    assert {each for each, sense in found.items() if sense.negative} == set(turned)
    assert set(RATES) | set(RATE_DEMANDS) | {Quantity.ROLL, Quantity.PITCH, Quantity.HEADING} <= set(found)
    for place, rate in enumerate(RATES):
        series = settled.get(rate)
        assert series is not None
        np.testing.assert_array_equal(series.values, flight.rate[:, place])
    assert found[Quantity.ACCELERATION_Z].by is SenseBy.GRAVITY


def test_two_channels_that_agree_do_not_settle_each_other() -> None:
    settled = settle_senses(record_of(flown(), (Quantity.ROLL_RATE, Quantity.ROLL_RATE_DEMAND)))
    assert not sure(settled)
    assert all(each.by is SenseBy.ASSUMED and each.chance == 0.5 and not each.negative for each in settled.senses)


@pytest.mark.parametrize("order", [(1, 0, 2, 3), (2, 1, 0, 3), (3, 2, 1, 0)])
def test_a_response_that_goes_against_its_demand_at_once_is_a_fault_and_not_a_convention(
    order: tuple[int, int, int, int],
) -> None:
    flight = fly(sticks(8.0, RATE_HZ, 5), RATE_HZ, 5, order=order)
    settled = settle_senses(record_of(flight, (*RATES, *RATE_DEMANDS, *ACCELERATIONS, *STICKS)))
    assert not any(each.negative for each in settled.senses)


def test_gravity_taken_off_or_along_another_axis_tells_nothing() -> None:
    flight = flown()
    record = record_of(flight, (*RATES, *ACCELERATIONS))
    upright = Channel(Quantity.ACCELERATION_Z)
    series = record.series | {upright: Series(upright, flight.t_s, flight.force[:, 2] + 9.80665, RATE_HZ, RATE_HZ)}
    settled = settle_senses(FlightRecord("made.csv", RecordFormat.CSV, record.clock, series))
    assert not set(ACCELERATIONS) & set(sure(settled))


def test_what_a_user_tells_stands_unless_the_motion_plainly_says_otherwise() -> None:
    channel = Channel(Quantity.YAW_RATE)
    record = record_of(flown(), (Quantity.YAW_RATE,))
    match = ColumnMatch(0, "z", "", Reading(channel, "rad/s", -1.0, 0.0, 1.0), MatchedBy.TOLD, negative_told=True)
    facts = FlightFacts(told=(ColumnTold("z", channel, "rad/s", negative=True),))
    told = FlightRecord("made.csv", RecordFormat.CSV, record.clock, record.series, (match,), facts=facts)
    (sense,) = settle_senses(told).senses
    assert (sense.negative, sense.by) == (True, SenseBy.TOLD)
    assert sense.chance > 0.99
    np.testing.assert_array_equal(settle_senses(told).series[channel].values, flown().rate[:, 2])


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_current_that_is_drawn_counts_positive(sign: float) -> None:
    t_s = np.arange(0.0, 60.0, 0.1)
    channel = Channel(Quantity.CURRENT)
    series = Series(channel, t_s, sign * (20.0 + 5.0 * np.sin(t_s)), 10.0, 10.0)
    record = FlightRecord("made.csv", RecordFormat.CSV, Clock("t", "s", 10.0, 59.9), {channel: series})
    settled = settle_senses(record)
    assert settled.senses[0].negative is (sign < 0.0)
    assert settled.series[channel].values.min() > 0.0


def test_windows_vote_on_waves_of_known_phase() -> None:
    t_s = np.arange(2000) * 0.02
    wave, late = np.sin(2.0 * t_s), np.sin(2.0 * (t_s - 0.1))
    pairing = Pairing(100, 0, 8, 0.01, 0.01)
    assert votes(wave, late, pairing).against == 0
    assert votes(wave, late, pairing).same >= 19
    assert votes(wave, -late, pairing).same == 0
    assert votes(wave, np.zeros(2000), pairing) == votes(wave, np.full(2000, np.nan), pairing)


def with_outputs(record: FlightRecord, flight: Flight) -> FlightRecord:
    """Return a record with outputs whose columns name their corners."""
    outputs = {Channel(Quantity.OUTPUT, at): values for at, values in zip(At, flight.output.T, strict=True)}
    series = {each: Series(each, flight.t_s, values, RATE_HZ, RATE_HZ) for each, values in outputs.items()}
    return replace(record, series=record.series | series)


@pytest.mark.parametrize("turned", [(), (Quantity.PITCH_RATE, Quantity.PITCH), (Quantity.ROLL_RATE, Quantity.ROLL)])
def test_outputs_at_named_corners_tell_roll_and_pitch(turned: tuple[Quantity, ...]) -> None:
    record = with_outputs(record_of(flown(), (*RATES, *ANGLES), turned), flown())
    found = sure(settle_senses(record))
    assert {*RATES[:2], *ANGLES[:2]} <= set(found)
    assert {each for each, sense in found.items() if sense.negative} == set(turned)


@pytest.mark.parametrize("order", [(1, 0, 2, 3), (3, 2, 1, 0)])
def test_outputs_that_drive_other_corners_turn_no_direction(order: tuple[int, int, int, int]) -> None:
    flight = fly(sticks(8.0, RATE_HZ, 5), RATE_HZ, 5, order=order)
    settled = settle_senses(with_outputs(record_of(flight, (*RATES, *RATE_DEMANDS, *ANGLES)), flight))
    assert not any(each.negative for each in settled.senses)


@pytest.mark.parametrize("turned", [(), (Quantity.PITCH,), (Quantity.ROLL, Quantity.HEADING)])
def test_velocities_alone_tell_the_angles(turned: tuple[Quantity, ...]) -> None:
    flight = flown()
    record = record_of(flight, ANGLES, turned)
    velocities = dict(zip((Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST), flight.velocity.T, strict=False))
    t_s = flight.t_s[::40]
    slow = {Channel(each): Series(Channel(each), t_s, values[::40], 5.0, 5.0) for each, values in velocities.items()}
    found = sure(settle_senses(replace(record, series=record.series | slow)))
    assert set(ANGLES[:2]) <= set(found)
    assert {each for each, sense in found.items() if sense.negative} == set(turned)


def test_a_velocity_north_counts_northward_by_its_name() -> None:
    t_s, channel = np.arange(0.0, 60.0, 0.2), Channel(Quantity.VELOCITY_NORTH)
    series = {channel: Series(channel, t_s, np.sin(t_s), 5.0, 5.0)}
    match = ColumnMatch(0, "v north", "", Reading(channel, "m/s", 1.0, 0.0, 1.0), MatchedBy.MEANING)
    record = FlightRecord("made.csv", RecordFormat.CSV, Clock("t", "s", 5.0, 60.0), series, (match,))
    (sense,) = settle_senses(record).senses
    assert (sense.negative, sense.by) == (False, SenseBy.FORMAT)
    assert sense.chance >= 0.95


def test_an_aircraft_that_ends_on_its_back_leaves_the_upright_axis_open() -> None:
    t_s, channel = np.arange(0.0, 60.0, 0.02), Channel(Quantity.ACCELERATION_Z)
    values = np.where(t_s < 2.0, -9.8, 9.8) + np.random.default_rng(1).normal(size=t_s.size) * 0.1
    record = FlightRecord(
        "made.csv", RecordFormat.CSV, Clock("t", "s", 50.0, 60.0), {channel: Series(channel, t_s, values, 50.0, 50.0)}
    )
    (sense,) = settle_senses(record).senses
    assert (sense.negative, sense.by) == (False, SenseBy.ASSUMED)


@pytest.mark.parametrize("memory", [0.0, 0.8, 0.9])
def test_scores_of_channels_that_have_nothing_to_do_with_each_other_are_nearly_normal(memory: float) -> None:
    # first-order autoregression, both alike: of a normal score 4.6 in 100 lie beyond 2 (scipy.stats.norm); without
    # regard to what lasts it would be about half of them where the memory is 0.9
    generator = np.random.default_rng(3)
    scores = []
    for _ in range(300):
        noise = generator.normal(size=(2, 600))
        waves = lfilter([1.0], [1.0, -memory], noise, axis=1)
        scores.append(lasting_score(waves[0], waves[1:], 60))
    assert np.mean(np.abs(scores) > 2.0) < 3.0 * 2.0 * norm.sf(2.0)
    assert abs(np.mean(scores)) < 0.2


def test_a_channel_that_follows_another_scores_high() -> None:
    generator = np.random.default_rng(4)
    wave = lfilter([1.0], [1.0, -0.9], generator.normal(size=600))
    assert lasting_score(-wave + generator.normal(size=600), wave[None], 60) < -5.0


def test_unrelated_channels_settle_nothing() -> None:
    wrong = 0
    for seed in range(30):
        generator = np.random.default_rng(seed)
        record = record_of(flown(), (*RATES, *RATE_DEMANDS, *ANGLES, *STICKS))
        series = {
            channel: Series(channel, each.t_s, np.cumsum(generator.normal(size=each.t_s.size)) * 0.02, 200.0, 200.0)
            for channel, each in record.series.items()
        }
        wrong += len(sure(settle_senses(FlightRecord("made.csv", RecordFormat.CSV, record.clock, series))))
    assert wrong <= 3


def test_directions_of_travel_are_put_on_the_grid_without_breaks() -> None:
    t_s = np.arange(4000, dtype=np.float64) * 0.005
    channel = Channel(Quantity.HEADING)
    series = {channel: Series(channel, t_s, np.mod(0.5 * t_s + 6.0, 2.0 * np.pi), 200.0, 200.0)}
    grid = Grid(FlightRecord("made.csv", RecordFormat.CSV, Clock("t", "s", 200.0, float(t_s[-1])), series), 50.0)
    heading = grid.of(Quantity.HEADING)
    assert heading is not None
    np.testing.assert_allclose(np.diff(heading[1:]), 0.01, atol=2.6e-3)
