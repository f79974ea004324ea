"""What kind of record it is, held against the kits of the study's flights."""

from __future__ import annotations

import numpy as np
import pytest
from studies.debrief_flown.fit import KIND_OF_KIT
from studies.debrief_flown.kits import KITS

from turnback.assess.record_kind import kind_of, kit_of
from turnback.knowledge.from_study import Kind
from turnback.records.channel import OF_CORNERS, Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.record_read import Clock, RecordFormat


def _record(quantities: tuple[str, ...], rate_hz: float) -> FlightRecord:
    t_s = np.arange(10) / rate_hz
    series = {}
    for name in quantities:
        channel = Channel(Quantity(name), number=1 if Quantity(name) in OF_CORNERS else None)
        series[channel] = Series(channel, t_s, np.zeros(10), rate_hz, rate_hz)
    return FlightRecord("made", RecordFormat.CSV, Clock("t", "s", rate_hz, 1.0, None, (), 0), series)


@pytest.mark.parametrize("kit", sorted(KITS))
def test_records_of_the_study_are_of_the_kind_that_their_numbers_were_counted_in(kit: str) -> None:
    for rate_hz in KITS[kit].rates_hz:
        record = _record(KITS[kit].quantities, float(rate_hz))
        assert kind_of(record) is KIND_OF_KIT[kit]
        assert kit_of(record).value == kit


def test_slow_motion_is_no_boards_own_record() -> None:
    assert kind_of(_record(("roll_rate", "link_level"), 50.0)) is Kind.SLOW
    assert kind_of(_record(("roll_rate",), 100.0)) is Kind.FAST
    assert kind_of(_record(("latitude", "longitude", "height_launch"), 5.0)) is Kind.TRACK
