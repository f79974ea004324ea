"""Thin air off a record's pressure, or its height above the sea, where no plan tells."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.record_makers import flat, make_record

from turnback.assess.signs_site_air import thin_air
from turnback.assess.signs_volts_told import Blind, Saw
from turnback.records.channel import Quantity
from turnback.records.debrief import AgainstPlan, Looked
from turnback.records.finding import Spread
from turnback.records.happened import Flown, PhaseKind, RecordAnswer

T_S = np.arange(0.0, 20.0, 0.1)


def _looked(quantity: Quantity, value: float, against: AgainstPlan | None = None) -> Looked:
    record = make_record({quantity: (T_S, np.full(T_S.size, value))})
    flown = Flown(record, (flat(PhaseKind.ALOFT, 2.0, 20.0),), None, None)
    return Looked(RecordAnswer(flown, (), (), ()), 20.0, against)


@pytest.mark.parametrize(
    ("pressure_pa", "thin"),
    [(70_109.0, True), (79_495.0, True), (95_461.0, False), (101_325.0, False)],
)
def test_pressure_of_the_standard_atmosphere(pressure_pa: float, thin: bool) -> None:
    """Three and two kilometres up, half of one, and the sea (US Standard Atmosphere 1976, table I)."""
    said = thin_air(_looked(Quantity.PRESSURE, pressure_pa))
    assert isinstance(said, Saw)
    assert (said.beyond > 0.0) is thin
    assert abs(said.beyond) > 1.0


def test_height_tells_thin_air_only() -> None:
    """Three kilometres up the air is thin; low down a fix says nothing; a plan that knows comes first."""
    high = thin_air(_looked(Quantity.HEIGHT_SEA_LEVEL, 3000.0))
    assert isinstance(high, Saw)
    assert high.beyond > 1.0
    assert isinstance(thin_air(_looked(Quantity.HEIGHT_SEA_LEVEL, 300.0)), Blind)
    assert isinstance(thin_air(_looked(Quantity.ROLL, 0.0)), Blind)
    plan = AgainstPlan(expected={"density_kg_m3": Spread(1.2, 1.19, 1.21)})
    said = thin_air(_looked(Quantity.PRESSURE, 70_109.0, plan))
    assert isinstance(said, Saw)
    assert said.beyond < 0.0
