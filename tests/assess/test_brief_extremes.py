"""Plans at the edge of what may be entered: an answer, and none that is better than the truth."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of, plain

from turnback.flows.brief import brief
from turnback.records.finding import Severity, Verdict
from turnback.records.result import BriefResult
from turnback.records.route import HeightReference, Route


def severity_of(result: BriefResult, rule: str) -> Severity | None:
    """Return the severity of a rule's finding; None where it was not found."""
    return next((finding.severity for finding in result.findings if finding.rule == rule), None)


def test_a_hover_over_the_launch_point_gets_an_answer() -> None:
    """It goes nowhere, so nothing is asked of a turn-back distance."""
    here = np.zeros(1)
    route = Route(here, here, here + 20.0, HeightReference.LAUNCH, None, 30.0, straight=False, closes_at_launch=True)
    result = brief(case_of(route=route))
    assert result.verdict is Verdict.GO
    assert result.back.planned_m == 0.0


@pytest.mark.parametrize(
    "changes", [{"aircraft__mass_g": 10_000}, {"pack__resistance_mohm_per_cell": 200}], ids=["too heavy", "worn out"]
)
def test_what_cannot_lift_itself_is_a_no_go(changes: dict[str, Any]) -> None:
    """Full thrust under the weight leaves no level speed at all, and any gust is too much."""
    result = brief(case_of(plain(), weather__gust_mps=6, **changes))
    assert result.energy.thrust_margin.high < 1.0
    assert severity_of(result, "energy.thrust_least") is Severity.STOP
    assert severity_of(result, "weather.gusts") is Severity.STOP


def test_a_declared_curve_that_cannot_lift_is_believed() -> None:
    """Four times 100 g under an aircraft of 700 g: the margin is the bench's, not a typical propeller's."""
    curve = [
        {"output_percent": 0, "thrust_g": 0, "current_a": 0},
        {"output_percent": 100, "thrust_g": 100, "current_a": 4},
    ]
    masses: dict[str, Any] = {"aircraft__mass_g": 480, "pack__mass_g": 220}
    result = brief(case_of(plain(), aircraft__thrust_curve=curve, **masses))
    assert result.energy.thrust_margin.mid == pytest.approx(4 * 100 / 700, rel=0.03)
    assert severity_of(result, "energy.thrust_least") is Severity.STOP


def test_a_pack_flat_half_way_has_no_time_left() -> None:
    """A climb of three kilometres is more than any such pack holds, whichever leg it fails on."""
    energy = brief(case_of(plain(), route__height_m=3000)).energy
    assert energy.used_fraction.low == 1.0
    assert energy.time_to_land_by_s.high < energy.flight_s.low
    # 1300 mAh at the 5 A that such an aircraft at least hovers on (common practice) are 16 minutes
    assert energy.time_to_land_by_s.mid < 20 * 60


def test_the_share_of_the_labelled_c_rating_is_in_order() -> None:
    """Low, value and high, also where the current is measured and the capacity carries the band."""
    currents: dict[str, Any] = {"aircraft__hover_current_a": 110, "aircraft__cruise_current_a": 150}
    found = [row for row in brief(case_of(plain(), **currents)).findings if row.rule == "energy.c_rating"]
    (row,) = found
    assert row.low is not None
    assert row.high is not None
    assert row.value is not None
    assert row.low <= row.value <= row.high
    assert row.value == pytest.approx(150 / (1.3 * 0.97 * 100), rel=0.05)


@pytest.mark.parametrize(
    "changes", [{"weather__temperature_c": -40}, {"aircraft__drag_area_cm2": 5000, "route__speed_mps": 40}]
)
def test_an_end_of_a_range_is_still_inside_it(changes: dict[str, Any]) -> None:
    """What a plan may say gets an answer; no range of the physics below speaks up instead."""
    assert brief(case_of(plain(), **changes)).verdict in Verdict


def test_a_return_too_slow_to_move_in_still_air_is_said() -> None:
    """1 m/s keeps nothing of the 3 m/s over ground that a return needs, not even without wind."""
    slow: dict[str, Any] = {"aircraft__automatic_return": {"height_m": 60, "speed_mps": 1}, "weather__wind_mps": 0}
    assert severity_of(brief(case_of(plain(), **slow)), "return.headwind") is Severity.LIMIT
