"""Columns are understood, or asked about; never silently wrong."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment
from tests.readers.record_tables import Q, flight, messy, table

from turnback.base.errors import InputError
from turnback.readers.record_match import match_columns
from turnback.readers.record_match_assign import best_assignment
from turnback.readers.record_match_compete import competing
from turnback.readers.record_names import take_apart
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import CellKind, ColumnTold, MatchedBy, RawColumn, RawTable, RecordFormat


def test_columns_with_units_are_right_and_hardly_ever_asked_about() -> None:
    right = asked = wrong = 0
    for seed in range(12):
        made, truths = messy(seed, says_unit=1.0)
        for match, truth in zip(match_columns(made).matches, truths, strict=True):
            taken = match.taken
            if taken is None:
                asked += match.asks
                wrong += not match.asks and truth.channel is not None
                right += not match.asks and truth.channel is None
                continue
            same = taken.channel == truth.channel and np.isclose(taken.scale, truth.scale, rtol=1e-9)
            right, wrong = right + bool(same), wrong + (not same)
    assert wrong == 0
    assert right > 350
    assert asked < 0.07 * (right + asked)  # symbols with a subscript are asked, they may be demands


def test_columns_without_units_are_never_silently_wrong() -> None:
    wrong, taken_all = [], 0
    for seed in range(100, 112):
        made, truths = messy(seed, says_unit=0.0)
        for match, truth in zip(match_columns(made).matches, truths, strict=True):
            if match.taken is None:
                continue
            taken_all += 1
            if match.taken.channel != truth.channel or not np.isclose(match.taken.scale, truth.scale, rtol=1e-9):
                wrong.append((seed, match))
    assert wrong == []
    assert taken_all > 200


def test_the_order_of_columns_does_not_matter_and_the_same_table_gives_the_same() -> None:
    made, _ = messy(7, says_unit=0.5)
    turned = RawTable("x", RecordFormat.CSV, tuple(
        RawColumn(place, each.name, each.unit_text, each.kind, each.values)
        for place, each in enumerate(reversed(made.columns))
    ), made.rows)  # fmt: skip
    there = [(m.name, m.taken.channel if m.taken else None, m.asks) for m in match_columns(made).matches]
    back = [(m.name, m.taken.channel if m.taken else None, m.asks) for m in match_columns(turned).matches]
    assert there == back[::-1]
    assert match_columns(made) == match_columns(made)


def test_chances_of_all_readings_add_up_to_no_more_than_one() -> None:
    made, _ = messy(3, says_unit=0.5)
    for match in match_columns(made).matches:
        assert 0.5 < sum(each.chance for each in match.readings) <= 1.0 + 1e-9


@pytest.mark.parametrize("unit", ["deg/s", "rad/s"])
def test_the_slope_of_the_angle_tells_the_unit_of_the_rate(unit: str) -> None:
    channels = flight(3)
    factor = {"deg/s": np.pi / 180.0, "rad/s": 1.0}[unit]
    columns = [("time", "s", channels[Channel(Q.TIME)])]
    columns += [(axis.value, "deg", np.degrees(channels[Channel(axis)])) for axis in (Q.ROLL, Q.PITCH)]
    columns += [(f"gyro {axis}", "", channels[Channel(rate)] / factor)
                for axis, rate in zip("xyz", (Q.ROLL_RATE, Q.PITCH_RATE, Q.YAW_RATE), strict=True)]  # fmt: skip
    for match in match_columns(table(columns)).matches[3:]:
        assert match.taken is not None
        assert match.taken.unit == unit


@pytest.mark.parametrize(("factor", "unit"), [(1.0, "m/s²"), (9.80665, "g"), (9.80665 / 4096, "g/4096")])
def test_gravity_tells_the_unit_of_accelerations(factor: float, unit: str) -> None:
    channels = flight(5)
    columns = [(f"acc{axis}", "", channels[Channel(quantity)] / factor) for axis, quantity in zip(
        "XYZ", (Q.ACCELERATION_X, Q.ACCELERATION_Y, Q.ACCELERATION_Z), strict=True)]  # fmt: skip
    assert [match.taken.unit if match.taken else "" for match in match_columns(table(columns)).matches] == [unit] * 3


def test_a_measurement_written_twice_is_taken_once_and_not_asked_about() -> None:
    channels = flight(8)
    height = channels[Channel(Q.HEIGHT_LAUNCH)]
    made = table([("time", "s", channels[Channel(Q.TIME)]), ("height above launch", "m", height),
                  ("height above launch smoothed", "m", height + 0.01)])  # fmt: skip
    matches = match_columns(made).matches
    assert sum(match.taken is not None for match in matches[1:]) == 1
    assert not any(match.asks for match in matches)


def test_two_heights_are_not_mixed_up() -> None:
    channels = flight(8)
    made = table(
        [("alt", "m", channels[Channel(Q.HEIGHT_SEA_LEVEL)]), ("rel alt", "m", channels[Channel(Q.HEIGHT_LAUNCH)])]
    )
    sea, launch = match_columns(made).matches
    assert sea.taken is None or sea.taken.channel.quantity is Q.HEIGHT_SEA_LEVEL
    assert launch.taken is not None
    assert launch.taken.channel.quantity is Q.HEIGHT_LAUNCH


@pytest.mark.parametrize(
    ("name", "at"),
    [("output front left", At.FRONT_LEFT), ("motor_RR", At.REAR_RIGHT), ("Motor vorne links", At.FRONT_LEFT),
     ("rpm left rear", At.REAR_LEFT), ("FrontRightMotor", At.FRONT_RIGHT), ("motor 3", None), ("front left", None)],
)  # fmt: skip
def test_corners_come_from_words_only(name: str, at: At | None) -> None:
    assert take_apart(name).at is at


def test_numbered_outputs_keep_their_number() -> None:
    channels = flight(2)
    made = table([(f"m{n}", "%", 100 * channels[Channel(Q.OUTPUT, None, n)]) for n in range(1, 5)])
    keys = [match.taken.channel.key for match in match_columns(made).matches if match.taken]
    assert keys == ["output 1", "output 2", "output 3", "output 4"]


def test_tables_of_little_are_understood_as_little() -> None:
    nothing = np.full(50, np.nan)
    made = table([("roll rate", "deg/s", nothing), ("", "", np.arange(50.0)), ("blob", "", np.zeros(50))])
    read = match_columns(made)
    assert read.time is None
    assert [match.taken for match in read.matches[1:]] == [None, None]
    assert match_columns(table([("time", "s", np.array([0.5]))])).matches[0].name == "time"
    assert match_columns(RawTable("x", RecordFormat.CSV, (), 0)).matches == ()


def test_words_of_yes_and_no_are_a_switch() -> None:
    values = np.array([0.0, 1.0] * 20)
    columns = (
        RawColumn(0, "armed", "", CellKind.WORD, values, ("true", "false")),
        RawColumn(1, "mode", "", CellKind.WORD, values, ("level", "rate")),
    )
    armed, mode = match_columns(RawTable("x", RecordFormat.CSV, columns, 40)).matches
    assert armed.taken is not None and mode.taken is not None
    assert (armed.taken.scale, armed.taken.offset) == (-1.0, 1.0)  # "true" stands first
    assert mode.taken.channel.quantity is Quantity.MODE


def test_what_is_told_counts_more_than_any_guess() -> None:
    made = table([("gx", "", np.sin(np.arange(500.0) / 9)), ("Volt A", "V", np.linspace(16, 14, 500))])
    told = (ColumnTold("gx", Channel(Q.YAW_RATE), "deg/s", negative=True), ColumnTold("#2", None))
    first, second = match_columns(made, told).matches
    assert first.by is MatchedBy.TOLD and first.taken is not None
    assert first.taken.channel == Channel(Q.YAW_RATE)
    assert first.taken.scale == pytest.approx(-0.017453292519943295)  # degrees to radians (SI brochure, table 8)
    assert second.taken is None and not second.asks


def test_what_is_told_of_no_column_or_of_two_is_refused_with_a_near_name() -> None:
    made = table([("gyro x", "", np.arange(9.0)), ("volts", "", np.arange(9.0)), ("volts", "", np.arange(9.0))])
    told = (ColumnTold("gyro y", Channel(Q.ROLL_RATE)), ColumnTold("volts", None), ColumnTold("#9", None),
            ColumnTold("#1", Channel(Q.POWER), "km/h"))  # fmt: skip
    with pytest.raises(InputError) as caught:
        match_columns(made, told)
    text = str(caught.value)
    assert "'gyro x'" in text
    assert "#2, #3" in text
    assert "3 columns" in text
    assert "mW" in text


def test_what_the_format_says_is_taken() -> None:
    column = RawColumn(
        0, "lat", "", CellKind.NUMBER, np.linspace(48, 48.1, 50), said=Channel(Q.LATITUDE), said_unit="deg"
    )
    match = match_columns(RawTable("x", RecordFormat.GPX, (column,), 50)).matches[0]
    assert match.by is MatchedBy.FORMAT and match.taken is not None
    assert match.taken.channel == Channel(Q.LATITUDE)


@pytest.mark.parametrize("seed", range(6))
def test_the_assignment_is_as_good_as_that_of_scipy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rows = int(rng.integers(1, 25))
    cost = rng.normal(size=(rows, rows + int(rng.integers(0, 12))))
    found = best_assignment(cost)
    assert len(set(found.tolist())) == rows
    assert cost[np.arange(rows), found].sum() == pytest.approx(cost[linear_sum_assignment(cost)].sum())


def test_chances_of_columns_that_compete_are_those_of_all_ways_counted_out() -> None:
    # Two columns, one channel: ways are (a, other), (other, b), (other, other); counted by hand.
    a, b = 0.9, 0.6
    ways = np.array([a * (1 - b), (1 - a) * b, (1 - a) * (1 - b)])
    expected = ways[:2] / ways.sum()
    found = competing(np.array([[a, 1 - a], [b, 1 - b]]))
    np.testing.assert_allclose(found[:, 0], expected, rtol=1e-6)
