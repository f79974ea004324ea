"""Columns that look like one thing and may be another: they are asked about, and long clocks are known."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from tests.readers.record_tables import Floats, Q, table

from turnback.readers.record_match import match_columns
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import ColumnMatch, ColumnTold

RNG = np.random.default_rng(733)
T = np.arange(1200) / 10.0
LEVEL = -50.0 - 20.0 * np.sin(T / 40.0) ** 2 + 2.0 * RNG.normal(size=T.size)


def read(name: str, unit: str, values: Floats, *more: tuple[str, str, Floats]) -> ColumnMatch:
    return match_columns(table([("time", "s", T), (name, unit, values), *more])).matches[1]


@pytest.mark.parametrize("name", ["rssi", "signal", "Signal strength", "level"])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_level_above_nought_is_a_share_or_dbm_without_minus_so_it_asks(name: str, sign: float) -> None:
    values = np.round(130.0 + LEVEL if sign > 0 else -LEVEL)
    distance = ("distance from launch", "m", 1.0 + 300.0 * np.sin(T / 40.0) ** 2)
    for more in ((), (distance,), (("link quality", "%", np.clip(values, 0, 100)), distance)):
        match = read(name, "", values, *more)
        assert match.taken is None and match.asks
        assert match.readings[0].channel.quantity in {Q.OTHER, Q.LINK_QUALITY}


@pytest.mark.parametrize(("name", "unit"), [("RSSI", "%"), ("RSSI %", ""), ("signal percent", "")])
def test_per_cent_are_no_decibels(name: str, unit: str) -> None:
    match = read(name, unit, np.round(130.0 + LEVEL))
    assert match.taken is None and match.asks
    assert all("dBm" not in each.unit for each in match.readings)


def test_a_level_below_nought_is_taken() -> None:
    taken = read("rssi", "", np.round(LEVEL)).taken
    assert taken is not None and (taken.channel.quantity, taken.unit) == (Q.LINK_LEVEL, "dBm")


@pytest.mark.parametrize(("unit", "scale"), [("s", 1.0), ("ms", 1e-3), ("us", 1e-6)])
@pytest.mark.parametrize(("length_s", "rate_hz"), [(60, 50), (3600, 50), (5000, 10), (10800, 50), (3600, 1000)])
def test_a_record_of_hours_keeps_its_clock(unit: str, scale: float, length_s: int, rate_hz: int) -> None:
    t = np.round(np.arange(length_s * rate_hz) / rate_hz / scale, 6)
    taken = match_columns(table([("time", "", t)])).matches[0].taken
    assert taken is not None and (taken.channel.quantity, taken.unit) == (Q.TIME, unit)


def test_the_largest_numbers_make_no_noise() -> None:
    wild = np.where(T % 0.2 < 0.1, 1e308, -1e308)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert read("spare", "", wild).taken is None


@pytest.mark.parametrize(("unit", "low", "high"), [("-1024-1024", -1024, 1024), ("0-2048", 0, 2048)])
def test_sticks_of_eleven_bits_are_taken_or_asked_about_in_their_unit(unit: str, low: int, high: int) -> None:
    push = np.clip(0.5 * np.sin(T) + 0.6 * np.sin(T / 7.0), -1.0, 1.0)
    written = np.round(low + (high - low) * (push + 1.0) / 2.0)
    for name in ("roll stick", "throttle"):
        match = read(name, "", written)
        assert match.readings[0].unit == unit
        assert match.taken is None or match.taken.unit == unit


@pytest.mark.parametrize("heading", ["height_m", "height (m)", "Height [m]", "height m", "height"])
def test_a_told_name_is_taken_with_its_unit_as_the_file_has_it(heading: str) -> None:
    made = table([("time", "s", T), ("height", "m", 10.0 + T)])
    told = (ColumnTold(heading, Channel(Q.HEIGHT_SEA_LEVEL), "m"),)
    taken = match_columns(made, told).matches[1].taken
    assert taken is not None and taken.channel.quantity is Q.HEIGHT_SEA_LEVEL


def turning() -> tuple[Floats, Floats]:
    """Return a yaw rate and the angle that it makes, in degrees."""
    rate = 40.0 * np.sin(T / 3.0) * np.sin(T / 17.0) + 10.0
    return rate, np.mod(np.cumsum(rate) / 10.0, 360.0)


@pytest.mark.parametrize("name", ["Kurs", "course", "track"])
def test_a_course_that_changes_as_the_nose_turns_is_asked_about(name: str) -> None:
    rate, angle = turning()
    match = read(name, "deg", np.round(angle, 1), ("yaw rate", "deg/s", rate))
    assert match.taken is None and match.asks
    assert {each.channel.quantity for each in match.readings[:2]} == {Q.HEADING, Q.COURSE}


def test_a_heading_and_a_course_over_ground_are_taken() -> None:
    rate, angle = turning()
    for name, quantity in (("heading", Q.HEADING), ("course over ground", Q.COURSE)):
        taken = read(name, "deg", np.round(angle, 1), ("yaw rate", "deg/s", rate)).taken
        assert taken is not None and taken.channel.quantity is quantity


def test_a_course_along_the_way_over_ground_is_taken() -> None:
    rate, angle = turning()
    north, east = np.cumsum(np.cos(np.radians(angle))), np.cumsum(np.sin(np.radians(angle)))
    way = [("latitude", "deg", 47.0 + north / 111195.0), ("longitude", "deg", 11.0 + east / 111195.0 / 0.682)]
    taken = read("course", "deg", np.round(angle, 1), ("yaw rate", "deg/s", rate), *way).taken
    assert taken is not None and taken.channel.quantity is Q.COURSE


@pytest.mark.parametrize("name", ["rssi gs", "rssi 2", "radio level", "Signal Handsender", "far end rssi", "rssi a"])
def test_a_level_that_may_be_the_other_end_s_is_asked_about_or_is_that(name: str) -> None:
    match = read(name, "dBm", np.round(LEVEL))
    assert match.asks if match.taken is None else match.taken.channel.quantity is Q.LINK_LEVEL_BACK


@pytest.mark.parametrize("name", ["pitch roll stick", "stick roll q", "roll elevator stick"])
def test_a_stick_with_the_word_or_symbol_of_another_axis_is_asked_about(name: str) -> None:
    match = read(name, "", np.round(1500.0 + 400.0 * np.sin(T)))
    assert match.taken is None and match.asks


@pytest.mark.parametrize("name", ["height distance", "h dist", "distance above launch height", "h distance home"])
def test_heights_and_distances_are_not_mixed_up(name: str) -> None:
    match = read(name, "m", 60.0 * np.sin(T / 40.0) ** 2)
    assert match.taken is None and match.asks


@pytest.mark.parametrize(("name", "quantity"), [("Stick L-R", Q.ROLL_STICK), ("Stick F-B", Q.PITCH_STICK)])
def test_ways_of_a_stick_are_its_axes(name: str, quantity: Quantity) -> None:
    match = read(name, "", np.round(1024.0 * np.clip(1.2 * np.sin(T), -1.0, 1.0)))
    assert (match.readings[0].channel.quantity, match.readings[0].unit) == (quantity, "-1024-1024")
