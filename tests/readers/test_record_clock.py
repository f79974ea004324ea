"""Clocks made wrong in ways that are known exactly, and what a record makes of them."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from turnback.base.errors import InputError
from turnback.readers.record_build import flight_record, fresh_hz, says_return
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord
from turnback.records.record_read import (
    CellKind,
    ColumnMatch,
    ColumnsRead,
    FlightFacts,
    Gap,
    MatchedBy,
    RawColumn,
    RawTable,
    Reading,
    RecordFormat,
)

Array = NDArray[np.floating]


def record_of(
    clock: Array | None,
    *columns: tuple[Channel, Array],
    scale: float = 1.0,
    kind: CellKind = CellKind.NUMBER,
    rate_hz: float | None = None,
) -> FlightRecord:
    """Return the record of a table with this clock; without channels it holds the number of each row."""
    rows = len(columns[0][1]) if columns else len(clock if clock is not None else [])
    columns = columns or ((Channel(Quantity.OTHER), np.arange(rows, dtype=np.float64)),)
    raw = [RawColumn(0, "clock", "", kind, np.asarray(clock, dtype=np.float64))] if clock is not None else []
    read = [Reading(Channel(Quantity.TIME), "s", scale, 0.0, 1.0)] if clock is not None else []
    for channel, values in columns:
        raw.append(RawColumn(len(raw), channel.key, "", CellKind.NUMBER, values))
        read.append(Reading(channel, "", 1.0, 0.0, 1.0))
    matches = tuple(
        ColumnMatch(each.place, each.name, "", reading, MatchedBy.MEANING)
        for each, reading in zip(raw, read, strict=True)
    )
    table = RawTable("made.csv", RecordFormat.CSV, tuple(raw), rows)
    return flight_record(table, ColumnsRead(matches, 0 if clock is not None else None), FlightFacts(rate_hz=rate_hz))


def times(record: FlightRecord) -> Array:
    return next(iter(record.series.values())).t_s


def kinds(record: FlightRecord) -> list[Gap]:
    return [gap.kind for gap in record.clock.gaps]


@pytest.mark.parametrize(
    ("counter", "scale", "step"),
    [(2**16, 1e-3, 5), (2**16, 1e-6, 4000), (2**32, 1e-6, 1000), (2**32, 1e-3, 20)],
)
@pytest.mark.parametrize("signed", [False, True])
def test_a_counter_that_runs_over_goes_on(counter: int, scale: float, step: int, signed: bool) -> None:
    half = counter // 2 if signed else 0
    true = counter - half - 4000 * step - 7 + step * np.arange(10_000, dtype=np.int64)
    turns, counted = np.divmod(true + half, counter)
    record = record_of((counted - half).astype(np.float64), scale=scale)
    np.testing.assert_allclose(times(record), scale * step * np.arange(10_000), rtol=0, atol=1e-6)
    assert set(kinds(record)) == {Gap.CLOCK_WRAPPED}
    assert len(kinds(record)) == min(1000, turns[-1] - turns[0])


def test_a_time_of_day_runs_over_midnight() -> None:
    true = 86_390.0 + 0.1 * np.arange(300)
    record = record_of(true % 86_400.0, kind=CellKind.MOMENT)
    np.testing.assert_allclose(times(record), 0.1 * np.arange(300), atol=1e-9)
    assert kinds(record) == [Gap.CLOCK_WRAPPED]
    assert record.clock.epoch_s is None
    assert record.clock.gaps[0].end_s == pytest.approx(10.0)


def test_a_restart_goes_on_after_the_last_row_and_is_told() -> None:
    record = record_of(np.r_[7.0 + 0.01 * np.arange(1000), 0.2 + 0.01 * np.arange(3000)])
    np.testing.assert_allclose(times(record), 0.01 * np.arange(4000), atol=1e-9)
    assert kinds(record) == [Gap.CLOCK_AGAIN]
    assert record.clock.gaps[0].start_s == pytest.approx(9.99)
    assert record.clock.gaps[0].end_s == pytest.approx(10.0)


def test_a_clock_set_back_a_little_goes_on_and_is_told() -> None:
    clock = 100.0 + 0.01 * np.arange(1000)
    clock[400:] -= 0.355
    record = record_of(clock)
    assert kinds(record) == [Gap.CLOCK_BACK]
    np.testing.assert_allclose(times(record), 0.01 * np.arange(1000), atol=1e-9)


def test_rows_out_of_order_are_put_in_order() -> None:
    order = np.arange(1000)
    order[[300, 301, 302, 303]] = [302, 303, 300, 301]
    order[700:764], order[764:828] = np.arange(764, 828), np.arange(700, 764)
    record = record_of(0.004 * order, (Channel(Quantity.OTHER), order.astype(np.float64)))
    np.testing.assert_allclose(times(record), 0.004 * np.arange(1000), atol=1e-9)
    np.testing.assert_array_equal(next(iter(record.series.values())).values, np.arange(1000))


def test_newest_first_is_turned_round() -> None:
    record = record_of(50.0 - 0.1 * np.arange(400), (Channel(Quantity.OTHER), np.arange(400.0)))
    np.testing.assert_allclose(times(record), 0.1 * np.arange(400), atol=1e-9)
    assert next(iter(record.series.values())).values[0] == 399.0


def test_rows_of_two_sources_one_after_the_other_are_merged() -> None:
    here, there = 0.01 * np.arange(500), 0.002 + 0.1 * np.arange(50)
    fast, slow = np.full(550, np.nan), np.full(550, np.nan)
    fast[:500], slow[500:] = here, there
    record = record_of(
        np.r_[here, there], (Channel(Quantity.ROLL_RATE), fast), (Channel(Quantity.LATITUDE), slow)
    )  # fmt: skip
    for each in record.series.values():
        np.testing.assert_allclose(each.values, each.t_s, atol=1e-9)
    assert record.clock.length_s == pytest.approx(4.99)


def test_rows_written_twice_are_dropped() -> None:
    clock = 0.01 * np.arange(500)
    record = record_of(
        np.r_[clock[:300], clock[200:]], (Channel(Quantity.OTHER), np.r_[np.arange(300.0), np.arange(200.0, 500.0)])
    )  # fmt: skip
    np.testing.assert_allclose(times(record), clock, atol=1e-9)
    assert record.clock.dropped_rows == 100


def test_one_damaged_time_stands_between_its_neighbours() -> None:
    clock = 0.01 * np.arange(500)
    clock[100], clock[300] = 9e9, 0.0
    record = record_of(clock)
    np.testing.assert_allclose(times(record), 0.01 * np.arange(500), atol=1e-9)
    assert kinds(record) == []


def test_a_jump_longer_than_the_record_is_told_and_taken_out() -> None:
    clock = 0.1 * np.arange(600)
    clock[50:] += 1.7e9  # a clock that was set to the date
    record = record_of(clock)
    assert kinds(record) == [Gap.CLOCK_JUMP]
    assert record.clock.length_s == pytest.approx(59.9)


@pytest.mark.parametrize("rate_hz", [10, 50])
def test_whole_seconds_are_spread_evenly(rate_hz: int) -> None:
    true = 3.37 + np.arange(60 * rate_hz) / rate_hz
    record = record_of(np.floor(true))
    assert record.clock.rate_hz == pytest.approx(rate_hz, rel=0.01)
    np.testing.assert_allclose(times(record), true - true[0], atol=1.0 / rate_hz)
    assert kinds(record) == []


def test_milliseconds_are_spread_at_a_faster_rate() -> None:
    true = np.arange(20_000) / 3200.0
    record = record_of(np.floor(1000.0 * true), scale=1e-3)
    assert np.all(np.diff(times(record)) > 0.0)
    assert record.clock.rate_hz == pytest.approx(3200.0, rel=1e-3)
    np.testing.assert_allclose(times(record), true, atol=1e-3)


def test_missing_rows_are_a_gap() -> None:
    clock = np.delete(0.01 * np.arange(1000), np.arange(200, 250))
    record = record_of(clock)
    assert kinds(record) == [Gap.MISSING]
    assert record.clock.gaps[0].start_s == pytest.approx(1.99)
    assert record.clock.gaps[0].end_s == pytest.approx(2.5)


def test_rows_without_any_value_are_a_gap_and_rows_without_a_time_are_dropped() -> None:
    clock, values = 0.01 * np.arange(1000), np.arange(1000.0)
    values[200:250] = np.nan
    clock[600] = np.nan
    record = record_of(clock, (Channel(Quantity.OTHER), values))
    assert kinds(record) == [Gap.MISSING]
    assert record.clock.dropped_rows == 51
    np.testing.assert_allclose(next(iter(record.series.values())).values, 100.0 * times(record), atol=1e-6)


def test_a_slower_channel_keeps_its_own_times_and_full_ones_share() -> None:
    slow = np.where(np.arange(1000) % 100 == 0, 3.0, np.nan)
    record = record_of(
        0.001 * np.arange(1000),
        (Channel(Quantity.ROLL_RATE), np.sin(np.arange(1000.0)).astype(np.float32)),
        (Channel(Quantity.PITCH_RATE), np.cos(np.arange(1000.0)).astype(np.float32)),
        (Channel(Quantity.LATITUDE), slow),
    )
    roll, pitch, latitude = record.series.values()
    assert roll.t_s is pitch.t_s
    assert roll.values.dtype == np.float32
    assert latitude.t_s.size == 10
    assert latitude.rate_hz == pytest.approx(10.0)
    assert roll.rate_hz == pytest.approx(1000.0)


def test_a_repeated_value_tells_how_often_it_is_renewed() -> None:
    generator = np.random.default_rng(1)
    assert fresh_hz(np.repeat(generator.normal(size=50), 100), 1000.0) == pytest.approx(10.0)
    assert fresh_hz(generator.normal(size=500), 1000.0) == 1000.0
    coarse = np.repeat(np.round(16.0 - 0.01 * np.arange(200), 1), 100)  # renewed at 10 Hz, often to the same
    assert fresh_hz(np.repeat(np.round(generator.normal(size=200)), 100), 1000.0) == pytest.approx(10.0)
    assert fresh_hz(coarse, 1000.0) <= 10.0


def test_without_a_clock_a_rate_is_needed() -> None:
    with pytest.raises(InputError, match=r"--rate HZ"):
        record_of(None, (Channel(Quantity.OTHER), np.arange(5.0)))
    record = record_of(None, (Channel(Quantity.OTHER), np.arange(5.0)), rate_hz=50.0)
    np.testing.assert_allclose(times(record), [0.0, 0.02, 0.04, 0.06, 0.08])


@pytest.mark.parametrize("clock", [[3.0], [np.nan, np.nan], [2.0, 2.0, 2.0]])
def test_a_clock_that_tells_nothing_is_refused(clock: list[float]) -> None:
    with pytest.raises(InputError):
        record_of(np.array(clock))


def test_words_of_switches_and_modes() -> None:
    clock = RawColumn(0, "t", "", CellKind.NUMBER, np.arange(6.0))
    armed = RawColumn(1, "armed", "", CellKind.WORD, np.array([0, 0, 1, 1, 2, 0.0], np.float32), ("Off", "ON", "what"))
    mode = RawColumn(
        2, "mode", "", CellKind.WORD, np.array([0, 0, 1, 1, np.nan, 2], np.float32), ("level", "Return flight", "rate")
    )
    channels = (Channel(Quantity.TIME), Channel(Quantity.ARMED), Channel(Quantity.MODE))
    matches = tuple(
        ColumnMatch(place, "", "", Reading(channel, "", 1.0, 0.0, 1.0), MatchedBy.MEANING)
        for place, channel in enumerate(channels)
    )
    table = RawTable("made.csv", RecordFormat.CSV, (clock, armed, mode), 6)
    record = flight_record(table, ColumnsRead(matches, 0), FlightFacts())
    switch, returning = record.get(Quantity.ARMED), record.get(Quantity.RETURN_ACTIVE)
    assert switch is not None
    assert returning is not None
    np.testing.assert_array_equal(switch.values, [0, 0, 1, 1, 0])
    np.testing.assert_array_equal(switch.t_s, [0, 1, 2, 3, 5])
    np.testing.assert_array_equal(returning.values, [0, 0, 1, 1, 0])


def test_only_plain_words_mean_return() -> None:
    assert all(map(says_return, ["Return", "returning to launch", "go home", "HOME", "flying home"]))
    assert not any(map(says_return, ["level", "set home", "return off", "home reset", "no return", "rate"]))


def test_only_numbered_columns_ask_for_their_corner() -> None:
    record = record_of(
        np.arange(10.0),
        (Channel(Quantity.OUTPUT, At.FRONT_LEFT), np.arange(10.0)),
        (Channel(Quantity.OUTPUT, None, 2), np.arange(10.0)),
    )
    (numbered,) = record.corners
    assert (numbered.at, numbered.number, numbered.chance) == (None, 2, 0.0)
    assert record.get(Quantity.OUTPUT, At.FRONT_LEFT) is not None


@pytest.mark.parametrize("missing", [False, True])
def test_a_table_that_is_used_up_gives_its_memory_and_the_same_record(missing: bool) -> None:
    volts = np.linspace(16_800.0, 13_000.0, 1000, dtype=np.float32)
    if missing:
        volts[::5] = np.nan
    raw = volts.copy()
    columns = (
        RawColumn(0, "t", "", CellKind.NUMBER, np.arange(1000.0)), RawColumn(1, "mV", "mV", CellKind.NUMBER, raw),
    )  # fmt: skip
    matches = tuple(
        ColumnMatch(place, "", "", Reading(Channel(quantity), "", scale, 0.0, 1.0), MatchedBy.MEANING)
        for place, (quantity, scale) in enumerate(((Quantity.TIME, 1.0), (Quantity.PACK_VOLTS, 1e-3)))
    )
    table, read = RawTable("made.csv", RecordFormat.CSV, columns, 1000), ColumnsRead(matches, 0)
    kept = flight_record(table, read, FlightFacts()).get(Quantity.PACK_VOLTS)
    np.testing.assert_array_equal(raw, volts)
    used = flight_record(table, read, FlightFacts(), use_up=True).get(Quantity.PACK_VOLTS)
    assert kept is not None
    assert used is not None
    np.testing.assert_array_equal(used.values, kept.values)
    np.testing.assert_allclose(used.values, volts[np.isfinite(volts)] * 1e-3, rtol=1e-6)
    assert np.shares_memory(used.values, raw)
    assert not np.shares_memory(kept.values, raw)
