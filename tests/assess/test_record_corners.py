"""Numbered outputs put to their corners: flights of a simulator of our own, and signs of an outside one."""

from __future__ import annotations

import functools
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor
from tests.assess.record_loop import ARMS, Flight, fly, sticks

from turnback.assess.record_corners import settle_corners
from turnback.assess.record_corners_turn import PAIRS, PITCHES, ROLLS, WAYS, YAWS
from turnback.assess.record_sense import settle_senses
from turnback.readers.record_build import flight_record
from turnback.readers.record_match import match_columns
from turnback.readers.record_table import read_table
from turnback.records.bench import At
from turnback.records.channel import ANGLES, RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.flight_record import CornerFound, FlightRecord, SenseBy, SenseFound, Series
from turnback.records.record_read import Clock, FlightFacts, RecordFormat

RATE_HZ = 200.0
CORNERS = list(At)
STICKS = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK)


@functools.cache
def flown(seed: int = 11, calm: float = 1.0, length_s: float = 30.0) -> Flight:
    return fly(sticks(length_s, RATE_HZ, seed, calm), RATE_HZ, seed, forward=0.1)


@functools.cache
def in_still_air() -> Flight:
    return fly(sticks(30.0, RATE_HZ, 6, 2.0), RATE_HZ, 6, gust=0.3)


def record_of(
    flight: Flight, numbers: tuple[int, ...], *, demand: bool = True, sense: float = 0.999, pitch_sense: float = 0.999
) -> FlightRecord:
    """Return a record whose output `numbers[k]` is that of the corner k."""
    channels = dict(zip(map(Channel, RATES), flight.rate.T, strict=True))
    if demand:
        channels |= dict(zip(map(Channel, RATE_DEMANDS), flight.demand.T, strict=True))
    else:
        channels |= dict(zip(map(Channel, STICKS), flight.stick.T, strict=True))
    channels |= {Channel(Quantity.OUTPUT, None, number): flight.output[:, k] for k, number in enumerate(numbers)}
    series = {each: Series(each, flight.t_s, values, RATE_HZ, RATE_HZ) for each, values in channels.items()}
    chances = {Quantity.PITCH_RATE: pitch_sense, Quantity.PITCH_RATE_DEMAND: pitch_sense}
    senses = tuple(
        SenseFound(each, False, SenseBy.MOTION, chances.get(each.quantity, sense))
        for each in series
        if each.number is None
    )
    clock = Clock("t", "s", RATE_HZ, float(flight.t_s[-1]))
    return FlightRecord("made.csv", RecordFormat.CSV, clock, series, senses=senses)


def corners(record: FlightRecord, quantity: Quantity = Quantity.OUTPUT) -> dict[int, At | None]:
    return {each.number: each.at for each in record.corners if each.quantity is quantity}


@pytest.mark.parametrize("numbers", [(1, 2, 3, 4), (4, 2, 3, 1), (0, 3, 1, 2)])
def test_numbered_outputs_come_to_their_corners(numbers: tuple[int, ...]) -> None:
    flight = flown()
    settled = settle_corners(record_of(flight, numbers))
    assert corners(settled) == dict(zip(numbers, CORNERS, strict=True))
    for place, at in enumerate(At):
        series = settled.get(Quantity.OUTPUT, at)
        assert series is not None
        np.testing.assert_array_equal(series.values, flight.output[:, place])
    assert all(each.by_physics and each.chance >= 0.95 for each in settled.corners)


def test_without_a_demand_corners_are_right_or_left_open() -> None:
    for flight in (flown(), in_still_air()):
        found = list(corners(settle_corners(record_of(flight, (1, 2, 3, 4), demand=False))).values())
        assert found in (CORNERS, [None] * 4)


def test_in_a_hover_without_hands_corners_are_right_or_left_open() -> None:
    settled = settle_corners(record_of(flown(12, 0.0), (1, 2, 3, 4)))
    assert list(corners(settled).values()) in (CORNERS, [None] * 4)


def test_a_motor_that_is_crossed_does_not_change_what_the_board_means() -> None:
    flight = fly(sticks(12.0, RATE_HZ, 5), RATE_HZ, 5, order=(1, 0, 2, 3))
    settled = settle_corners(record_of(flight, (1, 2, 3, 4)))
    assert list(corners(settled).values()) in (CORNERS, [None] * 4)


def test_without_senses_nothing_is_said() -> None:
    settled = settle_corners(record_of(flown(), (1, 2, 3, 4), pitch_sense=0.5))
    assert set(corners(settled).values()) == {None}
    assert all(0.4 <= each.chance <= 0.6 for each in settled.corners)  # only front and rear are open
    settled = settle_corners(record_of(flown(), (1, 2, 3, 4), sense=0.5, pitch_sense=0.5))
    assert all(0.2 <= each.chance <= 0.3 for each in settled.corners)


def test_corners_that_are_told_stand() -> None:
    record = record_of(flown(), (1, 2, 3, 4))
    told = Channel(Quantity.OUTPUT, At.REAR_RIGHT)
    series = {
        (told if each.number == 4 else each): (replace(one, channel=told) if each.number == 4 else one)
        for each, one in record.series.items()
    }
    known = (CornerFound(Quantity.OUTPUT, 4, At.REAR_RIGHT, False, 1.0),)
    settled = settle_corners(replace(record, series=series, corners=known))
    assert corners(settled) == dict(zip((1, 2, 3, 4), CORNERS, strict=True))
    assert [each.by_physics for each in settled.corners if each.number == 4] == [False]


def test_outputs_of_nothing_or_of_noise_are_left() -> None:
    generator = np.random.default_rng(2)
    record = record_of(flown(), (1, 2, 3, 4))
    for values in (np.zeros(flown().t_s.size), None):
        series = {
            each: replace(one, values=generator.normal(size=one.t_s.size) if values is None else values)
            if each.quantity is Quantity.OUTPUT
            else one
            for each, one in record.series.items()
        }
        assert set(corners(settle_corners(replace(record, series=series))).values()) == {None}
    three = {each: one for each, one in record.series.items() if each.number != 4}
    assert set(corners(settle_corners(replace(record, series=three))).values()) == {None}


def test_rotor_speeds_follow_the_outputs_of_their_corners() -> None:
    record = record_of(flown(), (1, 2, 3, 4))
    generator = np.random.default_rng(4)
    speeds = {}
    for place, number in enumerate((3, 1, 4, 2)):
        channel = Channel(Quantity.ROTOR_SPEED, None, number)
        late = np.convolve(flown().output[:, place], np.exp(-np.arange(40) / 6.0), "full")[: flown().t_s.size]
        values = 400.0 * np.sqrt(np.maximum(late, 0.01)) + generator.normal(size=late.size)
        speeds[channel] = Series(channel, flown().t_s, values, RATE_HZ, RATE_HZ)
    settled = settle_corners(replace(record, series=record.series | speeds))
    assert corners(settled, Quantity.ROTOR_SPEED) == dict(zip((3, 1, 4, 2), CORNERS, strict=True))


def of_angles(flight: Flight, every: int, *, named: bool = False) -> FlightRecord:
    """Return a record of angles and outputs alone, each `every`-th row of a flight."""
    channels = dict(zip(map(Channel, ANGLES), flight.angle.T, strict=True))
    channels |= {
        Channel(Quantity.OUTPUT, at if named else None, None if named else place): values
        for place, (at, values) in enumerate(zip(At, flight.output.T, strict=True))
    }
    t_s, rate_hz = flight.t_s[::every], RATE_HZ / every
    series = {each: Series(each, t_s, values[::every], rate_hz, rate_hz) for each, values in channels.items()}
    senses = tuple(SenseFound(Channel(each), False, SenseBy.MOTION, 0.999) for each in ANGLES)
    clock = Clock("t", "s", rate_hz, float(t_s[-1]))
    return FlightRecord("made.csv", RecordFormat.CSV, clock, series, senses=senses)


@pytest.mark.parametrize("every", [1, 4])
def test_angles_alone_tell_corners_at_fifty_rows_a_second(every: int) -> None:
    assert list(corners(settle_corners(of_angles(flown(), every))).values()) == CORNERS


def test_angles_kept_ten_times_a_second_tell_no_corner() -> None:
    assert set(corners(settle_corners(of_angles(flown(), 20))).values()) == {None}


def test_shaking_that_comes_back_in_the_outputs_is_no_movement() -> None:
    generator = np.random.default_rng(7)
    t_s = np.arange(0.0, 60.0, 0.02)
    shake = [np.convolve(generator.normal(size=t_s.size + 4), np.ones(5) / 5.0, "valid") for _ in RATES]
    values = dict(zip(map(Channel, RATES), shake, strict=True))
    for place, (ahead, right) in enumerate(ARMS):
        values[Channel(Quantity.OUTPUT, None, place)] = 0.4 + 0.02 * (-right * shake[0] + ahead * shake[1])
    series = {each: Series(each, t_s, one, 50.0, 50.0) for each, one in values.items()}
    senses = tuple(SenseFound(Channel(each), False, SenseBy.MOTION, 0.999) for each in RATES)
    record = FlightRecord("made.csv", RecordFormat.CSV, Clock("t", "s", 50.0, 60.0), series, senses=senses)
    assert set(corners(settle_corners(record)).values()) == {None}


def test_each_way_to_pair_outputs_turns_about_one_axis() -> None:
    assert list(WAYS[0]) == [0, 1, 2, 3]
    moments = np.array(
        [[-right, ahead, -ahead * right] for ahead, right in ARMS]
    )  # r x F of an upward force; yaw by scheme
    for turns, axis in ((ROLLS, 0), (PITCHES, 1)):
        np.testing.assert_allclose(turns[0], PAIRS @ moments[:, axis])
    np.testing.assert_allclose(np.abs(YAWS[0]), np.abs(PAIRS @ moments[:, 2]))
    assert len({tuple(each) for each in np.hstack([ROLLS, PITCHES])}) == 24


def test_outputs_come_to_the_corners_whose_rotor_speeds_they_drive() -> None:
    record = record_of(flown(), (3, 1, 4, 2), sense=0.5, pitch_sense=0.5)
    speeds = {
        Channel(Quantity.ROTOR_SPEED, at): Series(
            Channel(Quantity.ROTOR_SPEED, at), flown().t_s, 400.0 * np.sqrt(flown().output[:, place]), RATE_HZ, RATE_HZ
        )
        for place, at in enumerate(At)
    }
    settled = settle_corners(replace(record, series=record.series | speeds))
    assert corners(settled) == dict(zip((3, 1, 4, 2), CORNERS, strict=True))


def test_the_signs_of_the_corners_are_those_of_an_outside_simulator() -> None:
    # rotorpy: x forward, y to the left, z up (its rotor_pos says where each rotor is), so
    # its pitch rate counts the other way round; a rotor that pushes more turns the aircraft away from its corner.
    ways = {
        (1.0, 1.0): At.FRONT_LEFT,
        (1.0, -1.0): At.FRONT_RIGHT,
        (-1.0, 1.0): At.REAR_LEFT,
        (-1.0, -1.0): At.REAR_RIGHT,
    }
    vehicle = Multirotor(quad_params, aero=False)
    hover = np.sqrt(quad_params["mass"] * 9.81 / 4.0 / quad_params["k_eta"])
    for place in quad_params["rotor_pos"].values():
        at = ways[(float(np.sign(place[0])), float(np.sign(place[1])))]
        speeds = np.array([
            hover * (1.05 if np.array_equal(other, place) else 1.0) for other in quad_params["rotor_pos"].values()
        ])  # fmt: skip
        state = {
            "x": np.zeros(3), "v": np.zeros(3), "q": np.array([0.0, 0.0, 0.0, 1.0]), "w": np.zeros(3),
            "wind": np.zeros(3), "rotor_speeds": speeds,
        }  # fmt: skip
        after = vehicle.step(state, {"cmd_motor_speeds": speeds}, 0.01)["w"]
        ahead, right = ARMS[CORNERS.index(at)]
        assert np.sign(after[0]) == -right
        assert np.sign(-after[1]) == ahead


def test_the_example_of_a_lost_link_tells_its_directions_and_its_corners() -> None:
    path = Path(__file__).parents[2] / "examples" / "records" / "link-lost.csv.gz"
    table = read_table(path)
    senses = settle_senses(flight_record(table, match_columns(table), FlightFacts()))
    known = {each.channel.quantity: each for each in senses.senses if each.chance >= 0.95}
    told = {*RATES, *RATE_DEMANDS, *ANGLES, *STICKS}
    assert told <= set(known)
    assert not any(known[each].negative for each in told)
    # as the file's maker numbered them
    order = {1: At.REAR_RIGHT, 2: At.FRONT_RIGHT, 3: At.REAR_LEFT, 4: At.FRONT_LEFT}
    assert corners(settle_corners(senses)) == order
