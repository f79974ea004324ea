"""Real recordings of body-worn motion sensors, read as any stranger's record: open data in a registry's wheel.

Brought by ``tools/oracle_recordings.py`` (BSD licence, test data of a library on the kinematics of movement). Their
headings name quantity and unit, so the truth of each column is what the heading says.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from tools import oracle_recordings

from turnback.assess.record_sense import settle_senses
from turnback.readers.record_build import flight_record
from turnback.readers.record_match import match_columns
from turnback.readers.record_table import read_table
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.flight_record import FlightRecord, SenseBy
from turnback.records.record_read import ColumnsRead, FlightFacts

pytestmark = pytest.mark.published

TRUTH = (
    (r"^(Time|Timestamp)\b", Quantity.TIME),
    (r"^Gyroscope X", Quantity.ROLL_RATE),
    (r"^Gyroscope Y", Quantity.PITCH_RATE),
    (r"^Gyroscope Z", Quantity.YAW_RATE),
    (r"^(Accelerometer X|X Axis)", Quantity.ACCELERATION_X),
    (r"^(Accelerometer Y|Y Axis)", Quantity.ACCELERATION_Y),
    (r"^(Accelerometer Z|Z Axis)", Quantity.ACCELERATION_Z),
    (r"^Magnetometer X", Quantity.MAGNETIC_X),
    (r"^Magnetometer Y", Quantity.MAGNETIC_Y),
    (r"^Magnetometer Z", Quantity.MAGNETIC_Z),
    (r"^Barometer", Quantity.PRESSURE),
    (r"^(Battery voltage|Voltage)", Quantity.PACK_VOLTS),
    (r"^Current", Quantity.CURRENT),
    (r"^Power$", Quantity.LINK_LEVEL),
    (r"^Roll", Quantity.ROLL),
    (r"^Pitch", Quantity.PITCH),
    (r"^Yaw", Quantity.HEADING),
    (r"^Packet number", Quantity.ROW),
)
UNITS = {
    "deg/s": ("deg/s", np.pi / 180.0), "g": ("g", 9.80665), "hPa": ("hPa", 100.0), "uT": ("µT", 1.0),
    "us": ("us", 1e-6), "s": ("s", 1.0), "V": ("V", 1.0), "mA": ("mA", 1e-3), "degrees": ("deg", np.pi / 180.0),
    "dBm": ("dBm", 1.0), "G": ("G", 100.0),
}  # fmt: skip
"""SI brochure, 9th edition; standard gravity 9.80665 m/s² (3rd CGPM); 1 gauss = 1e-4 T."""


@pytest.fixture(scope="session")
def folder() -> Path:
    return oracle_recordings.ensure()


def columns_of(path: Path) -> ColumnsRead:
    return match_columns(read_table(path))


def record_of(path: Path, rate_hz: float | None = None) -> FlightRecord:
    table = read_table(path)
    facts = FlightFacts(rate_hz=rate_hz)
    return flight_record(table, match_columns(table), facts)


@pytest.mark.parametrize("name", sorted(oracle_recordings.RECORDINGS))
def test_every_column_of_a_real_recording_is_right_or_left_open(folder: Path, name: str) -> None:
    read = columns_of(folder / f"recording_{name}.csv")
    assert read.matches
    for match in read.matches:
        if match.taken is None or match.taken.channel.quantity is Quantity.OTHER:
            continue
        truth = next((quantity for pattern, quantity in TRUTH if re.match(pattern, match.name)), None)
        assert match.taken.channel.quantity is truth, (match.name, match.taken)
        unit = UNITS.get(match.unit_text)
        if unit is not None:
            assert match.taken.scale == pytest.approx(unit[1], rel=1e-12), (match.name, match.taken)


@pytest.mark.parametrize("name", ["hand_moved", "no_clock", "at_rest"])
def test_turning_rates_and_accelerations_are_all_taken(folder: Path, name: str) -> None:
    read = columns_of(folder / f"recording_{name}.csv")
    for quantity in (*RATES, *ACCELERATIONS):
        (match,) = read.taken(quantity)
        assert match.taken is not None
        assert match.taken.chance > 0.98


def test_gravity_tells_which_way_up_a_resting_sensor_counts(folder: Path) -> None:
    # At rest its z axis reads +1 g, so it counts upward: canonical z is down.
    record = settle_senses(record_of(folder / "recording_at_rest.csv"))
    (sense,) = [each for each in record.senses if each.channel.quantity is Quantity.ACCELERATION_Z]
    assert sense.negative
    assert sense.by is SenseBy.GRAVITY
    series = record.get(Quantity.ACCELERATION_Z)
    assert series is not None
    assert float(np.mean(series.values[:20])) == pytest.approx(-9.80665, rel=0.01)  # then somebody picks it up


def test_a_clock_in_microseconds_is_found_and_begins_at_nought(folder: Path) -> None:
    record = record_of(folder / "recording_at_rest.csv")
    assert record.clock.unit == "us"
    assert record.clock.rate_hz == pytest.approx(1e6 / 20_034.0, rel=0.001)  # 392113596 - 392093562 of its own rows
    assert record.get(Quantity.ROLL_RATE).t_s[0] == 0.0  # type: ignore[union-attr]


def test_a_record_without_a_clock_takes_the_rate_that_is_told(folder: Path) -> None:
    record = record_of(folder / "recording_no_clock.csv", rate_hz=256.0)
    assert record.clock.rate_hz == pytest.approx(256.0)
    series = record.get(Quantity.ROLL_RATE)
    assert series is not None
    assert series.t_s[-1] == pytest.approx((12_627 - 2) / 256.0, rel=1e-3)
