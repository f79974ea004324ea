"""Errors that end a reading name the columns that may mend it, with the flags that do."""

from __future__ import annotations

import numpy as np
import pytest
from tests.readers.record_tables import Floats, table

from turnback.base.errors import InputError
from turnback.readers.record_build import flight_record
from turnback.readers.record_columns_file import column_told
from turnback.readers.record_match import match_columns
from turnback.records.flight_record import FlightRecord
from turnback.records.record_read import FlightFacts

T = np.arange(1200) / 10.0


def built(columns: list[tuple[str, str, Floats]], *told: str) -> FlightRecord:
    made = table(columns)
    facts = FlightFacts(told=tuple(column_told(each) for each in told))
    return flight_record(made, match_columns(made, facts.told), facts)


def test_where_only_the_clock_is_understood_the_asking_columns_are_named() -> None:
    turning = 30.0 * np.sin(T)
    columns = [("time", "s", T), ("battery voltage", "", 4.1 - T / 400.0), ("roll rate", "", turning)]
    with pytest.raises(InputError) as caught:
        built(columns)
    text = str(caught.value)
    assert '--column "battery voltage=pack_volts V"' in text
    assert text.count('--column "') <= 3
    assert built(columns, "battery voltage=pack_volts V").series


def test_a_likely_clock_is_named_with_its_flag() -> None:
    columns = [("time", "", np.arange(5.0)), ("height above launch", "m", 4.0 * np.arange(5.0))]
    with pytest.raises(InputError, match="likeliest") as caught:
        built(columns)
    flag = str(caught.value).split('--column "')[1].split('"')[0]
    assert flag.startswith("time=time ")
    assert built(columns, flag).clock.column == "time"


def test_what_steps_back_all_the_time_is_no_clock_though_told() -> None:
    columns = [("gx", "", 30.0 * np.sin(T)), ("roll angle", "deg", 5.0 * np.sin(T))]
    with pytest.raises(InputError, match="steps back"):
        built(columns, "gx=time s")


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_told_clock_may_run_newest_first_and_step_back_at_times(sign: float) -> None:
    t = T.copy()
    t[600:604] = t[600:604][::-1]
    record = built([("when", "", t[:: int(sign)]), ("roll angle", "deg", 5.0 * np.sin(T))], "when=time s")
    assert record.clock.length_s == pytest.approx(119.9, abs=0.2)
