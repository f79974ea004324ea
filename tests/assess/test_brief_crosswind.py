"""The automatic return in a wind across its line: holding the line costs speed, and past the airspeed it is lost."""

from __future__ import annotations

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.flows.brief import brief
from turnback.records.result import BriefResult
from turnback.records.route import HeightReference, Route


def across(wind_mps: float) -> BriefResult:
    """Return the brief of a route to the west in a wind from the south, the return flying 10 m/s through the air."""

    def sure(value: float) -> dict[str, float]:
        return {"value": value, "low": value, "high": value}

    return brief(
        case_of(
            plain(), route__distance_m=250, route__bearing_deg=270, weather__wind_mps=sure(wind_mps),
            weather__wind_from_deg=sure(180), aircraft__automatic_return={"height_m": 60, "speed_mps": sure(10)},
        )
    )  # fmt: skip


def test_a_cross_wind_slows_the_return() -> None:
    """Ground speed is sqrt(v² - w²): the wind triangle. Wind at 60 m by the log law (WMO-No. 8), roughness 0.1 m."""
    aloft = 5.0 * np.log(60 / 0.1) / np.log(10 / 0.1)
    windy = aloft * np.exp(0.18 * 1.645)  # the wind that one flight in twenty meets
    back = across(5.0).back
    assert back.seconds_home_s.mid == pytest.approx(250 / np.sqrt(10**2 - aloft**2), rel=1e-3)
    assert back.headwind_mps.mid == pytest.approx(10 - np.sqrt(10**2 - windy**2), rel=1e-3)


def test_a_return_that_cannot_hold_its_line_is_a_stop() -> None:
    """12 m/s across is more than the return flies through the air."""
    found = {finding.rule: finding.severity.value for finding in across(12.0).findings}
    assert found["return.headwind"] == "stop"


def test_of_several_ways_home_the_hardest_counts() -> None:
    """Home from the north the west wind comes from the side, home from the east from ahead: all of it is taken."""
    both = Route(
        np.array([0.0, 300.0]), np.array([300.0, 0.0]), np.array([60.0, 60.0]), HeightReference.LAUNCH, None, 0.0,
        straight=False, closes_at_launch=False,
    )  # fmt: skip
    wind = {"value": 3.0, "low": 3.0, "high": 3.0}
    from_west = {"value": 270.0, "low": 270.0, "high": 270.0}
    back = brief(case_of(plain(), route=both, weather__wind_mps=wind, weather__wind_from_deg=from_west)).back
    windy = 3.0 * np.log(60 / 0.1) / np.log(10 / 0.1) * np.exp(0.18 * 1.645)
    assert back.headwind_mps.mid == pytest.approx(windy, rel=1e-3)
