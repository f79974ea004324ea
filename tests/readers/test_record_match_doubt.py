"""What values and chances favour and may be wrong all the same is asked: demands, raw counts, sticks, launch points."""

from __future__ import annotations

import numpy as np
import pytest

from turnback.readers.record_match import match_columns
from turnback.records.channel import Quantity
from turnback.records.record_read import CellKind, ColumnMatch, RawColumn, RawTable, RecordFormat

ROWS = 3000
T_S = np.arange(ROWS) / 100.0
RATE_DPS = 120.0 * np.sin(2.0 * np.pi * 0.4 * T_S) * (T_S > 4.0) + np.random.default_rng(3).normal(0.0, 1.5, ROWS)


def match_of(name: str, unit_text: str, values: np.ndarray, labels: tuple[str, ...] = ()) -> ColumnMatch:
    kind = CellKind.WORD if labels else CellKind.NUMBER
    columns = (
        RawColumn(0, "time", "s", CellKind.NUMBER, T_S),
        RawColumn(1, name, unit_text, kind, values, labels),
    )
    return match_columns(RawTable("made.csv", RecordFormat.CSV, columns, ROWS)).matches[1]


@pytest.mark.parametrize("name", ["roll rate", "gyro roll"])
def test_a_plain_rate_with_its_unit_is_taken(name: str) -> None:
    match = match_of(name, "deg/s", RATE_DPS)
    assert match.taken is not None
    assert match.taken.channel.quantity is Quantity.ROLL_RATE


@pytest.mark.parametrize("name", ["p_w", "p^", "p*", "frobnicated roll rate", "roll rate zorp"])
def test_what_may_say_that_it_was_asked_for_is_not_taken_as_measured(name: str) -> None:
    match = match_of(name, "deg/s", RATE_DPS)
    assert match.taken is None or match.taken.channel.quantity is not Quantity.ROLL_RATE
    assert match.asks


def test_raw_counts_of_a_sensor_are_no_thousandths_of_a_radian() -> None:
    # 16.4 counts for a degree a second: a range of 2000 deg/s over 15 bits (common practice of such sensors).
    match = match_of("roll rate", "", np.rint(16.4 * RATE_DPS))
    assert match.taken is None
    assert match.asks


def test_a_letter_before_a_unit_is_no_thousandth() -> None:
    match = match_of("p_m", "rad/s", np.radians(RATE_DPS))
    assert match.taken is None or match.taken.unit == "rad/s"


def test_an_angle_that_may_be_a_stick_is_asked_without_a_unit() -> None:
    match = match_of("roll", "", np.clip(np.sin(0.7 * T_S), -1.0, 1.0) * (T_S > 3.0))
    assert match.taken is None
    assert match.asks


def test_rotor_speeds_of_some_hundreds_without_a_unit_are_asked() -> None:
    match = match_of("rotor speed front left", "", 300.0 + 20.0 * np.sin(T_S))
    assert match.taken is None
    assert match.asks


def test_a_place_that_never_moves_is_not_taken_as_the_aircraft() -> None:
    match = match_of("latitude", "deg", np.full(ROWS, 46.5012345))
    assert match.taken is None


def test_power_of_a_transmitter_without_a_unit_is_asked() -> None:
    match = match_of("transmit power", "", np.where(T_S > 10.0, 20.0, 14.0))
    assert match.taken is None
    assert match.asks


def test_a_few_words_may_be_modes_and_are_asked_where_the_name_does_not_tell() -> None:
    match = match_of("zustand xy", "", (T_S > 12.0).astype(float), ("angle thing", "other thing"))
    assert match.taken is not None or match.asks
