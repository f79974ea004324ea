"""The five plain lines: what a beginner is told must never be more than what was computed or entered."""

from __future__ import annotations

import dataclasses
import re
from typing import Any

import numpy as np
import pytest
from tests.report import sample

from turnback.records.aircraft import RadioLossAction
from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.records.result import BriefResult, ReturnResult
from turnback.report.charts import margin
from turnback.report.five import five_lines, how_far, how_high, look_out_for, what_to_do
from turnback.report.numbers import Units
from turnback.report.tables import homeward, limits

METRIC = Units.METRIC


def limited(rule: str, value: float, limit: float, severity: Severity = Severity.LIMIT) -> Finding:
    return Finding(rule, severity, value, "m", limit, None, None, "user", "shorten")


def brief(verdict: Verdict, *found: Finding, **back: Any) -> BriefResult:
    """Return the sample with another verdict, findings and way back."""
    base = sample.brief(verdict, found=found)
    changed: ReturnResult = dataclasses.replace(base.back, **back)
    return dataclasses.replace(base, back=changed)


def limit_row(result: BriefResult, begins: str) -> str:
    """Return one row of the limits that the pilot keeps to."""
    return next(row.value for row in limits(result, METRIC).rows if row.name.startswith(begins))


SURE = {"turn_back_m": Spread(1300.0, 1250.0, 1400.0)}  # beyond the 1200 m that are planned
SHORT = {"turn_back_m": Spread(905.0, 643.0, 1200.0)}


def test_they_are_five_in_their_order() -> None:
    lines = five_lines(sample.brief(), METRIC)
    assert [line.label for line in lines] == [
        "What to do", "How far", "How high", "Until which reading", "Look out for",
    ]  # fmt: skip
    for line in lines:
        assert line.text.endswith(".")
        assert not re.search(r"σ|sigma|Bullington|clearance ratio|90 %|Fresnel|dB", line.text)


@pytest.mark.parametrize(
    ("verdict", "begins"),
    [
        (Verdict.GO, "Fly it as planned"),
        (Verdict.GO_WITH_LIMITS, "Fly, but keep inside the limits below."),
        (Verdict.NO_GO, "Do not fly this plan."),
        (Verdict.CANNOT_SAY, "Do not fly yet."),
    ],
)
def test_what_to_do_follows_the_verdict(verdict: Verdict, begins: str) -> None:
    assert what_to_do(sample.brief(verdict)).startswith(begins)


def test_cannot_say_names_the_one_thing_that_would_decide() -> None:
    said = what_to_do(sample.brief(Verdict.CANNOT_SAY))
    assert said.removeprefix("Do not fly yet. ") == (
        "Measure the interference on the control link's channel at the launch point, and enter it."
    )


def test_a_turn_back_distance_is_that_of_the_unfavourable_end_rounded_down() -> None:
    said = how_far(brief(Verdict.GO_WITH_LIMITS, **SHORT), METRIC)
    assert said.startswith("Turn back at 640 m from launch at the latest, 1 min 05 s after launch.")  # 643 m, 67 s


def test_a_sure_flight_goes_as_far_as_planned_and_no_farther() -> None:
    said = how_far(brief(Verdict.GO, **SURE), METRIC)
    assert said == "1200 m from launch, as planned; it comes home from there."


@pytest.mark.parametrize("verdict", list(Verdict))
def test_no_line_goes_beyond_a_distance_that_was_entered(verdict: Verdict) -> None:
    entered = limited("law.distance", 1200.0, 500.0, Severity.STOP)
    said = how_far(brief(verdict, entered, **SURE), METRIC)
    assert said == "No farther than 500 m, the limit you entered."


def test_a_flight_that_may_go_ends_where_the_observer_can_no_longer_tell_its_direction() -> None:
    said = how_far(brief(Verdict.GO_WITH_LIMITS, limited("observer.orientation", 1200.0, 137.7), **SURE), METRIC)
    assert said.startswith("Turn back at 137 m from launch at the latest")
    nearer = {"turn_back_m": Spread(120.0, 100.0, 140.0)}
    said = how_far(brief(Verdict.GO_WITH_LIMITS, limited("observer.orientation", 1200.0, 137.7), **nearer), METRIC)
    assert said.startswith("Turn back at 100 m")


def test_the_nearest_of_two_limits_is_told() -> None:
    both = (limited("law.distance", 1200.0, 500.0), limited("observer.orientation", 1200.0, 137.7))
    assert "137 m" in how_far(brief(Verdict.GO_WITH_LIMITS, *both, **SURE), METRIC)
    both = (limited("law.distance", 1200.0, 90.0), limited("observer.orientation", 1200.0, 137.7))
    assert how_far(brief(Verdict.GO_WITH_LIMITS, *both, **SURE), METRIC).startswith("No farther than 90 m")


@pytest.mark.parametrize("low", [0.0, 0.5, float("nan")])
def test_nowhere_sure_is_told(low: float) -> None:
    said = how_far(brief(Verdict.NO_GO, turn_back_m=Spread(0.0, low, 300.0)), METRIC)
    assert said.startswith("Nowhere on this route is coming home sure enough")


def test_no_line_advises_flying_above_a_height_that_was_entered() -> None:
    above = limited("law.height", 150.0, 120.0, Severity.STOP)
    needs = limited("law.return_height", 183.0, 120.0)
    said = how_high(brief(Verdict.NO_GO, above, needs, lowest_height_m=182.4), METRIC)
    assert said.startswith("Stay under 120 m above ground, the limit you entered")
    assert "would need 183 m, above your limit of 120 m: take another route." in said


@pytest.mark.parametrize("action", [each for each in RadioLossAction if each is not RadioLossAction.AUTOMATIC_RETURN])
def test_without_an_automatic_return_no_return_height_is_named(action: RadioLossAction) -> None:
    said = how_high(brief(Verdict.GO_WITH_LIMITS, action=action), METRIC)
    assert "On radio loss:" in said
    assert "needs" not in said


def test_a_height_that_is_not_set_is_said_so() -> None:
    assert "how it is set is not known" in how_high(brief(Verdict.CANNOT_SAY, set_height_m=None), METRIC)


@pytest.mark.parametrize("verdict", list(Verdict))
def test_wires_masts_and_trees_are_always_named(verdict: Verdict) -> None:
    said = look_out_for(sample.brief(verdict, found=()), METRIC)
    for thing in ("Wires", "masts", "trees", "People"):
        assert thing in said


def test_the_margin_chart_ends_the_way_out_where_the_plan_does() -> None:
    """A straight route is continued past its far point; the way back then starts there and must not fold over it."""
    base = sample.brief().control
    there, back = np.linspace(0.0, 900.0, 400), np.linspace(600.0, 1200.0, 200)
    flown = np.concatenate([there, back])
    chart = margin(dataclasses.replace(base, distance_m=flown), METRIC)
    lines = [layer["data"]["values"] for layer in chart.layers if layer["mark"]["type"] == "line"]
    assert max(point["x"] for line in lines for point in line) == 900.0
    assert any({point["x"] for point in line} == {600.0} for line in lines)  # the plan's end, upright
    assert "the plan ends; farther on the same line" in [key.label for key in chart.keys]
    whole = margin(base, METRIC)
    assert "the plan ends; farther on the same line" not in [key.label for key in whole.keys]


def test_a_plan_over_the_launch_point_is_not_called_nowhere() -> None:
    hover = brief(Verdict.GO, planned_m=0.0, turn_back_m=Spread(0.0, 0.0, 0.0))
    assert how_far(hover, METRIC) == "The plan stays over the launch point."
    assert limit_row(hover, "Turn back") == "the plan stays over the launch point"


@pytest.mark.parametrize("severity", [Severity.STOP, Severity.UNKNOWN])
def test_near_enough_is_not_called_coming_home_where_the_pack_may_not_last(severity: Severity) -> None:
    pack = dataclasses.replace(limited("energy.landing_chance", 0.5, 0.95, severity), unit="")
    assert "comes home" not in how_far(brief(Verdict.CANNOT_SAY, pack, **SURE), METRIC)


def test_the_table_of_limits_keeps_to_the_plan_and_to_the_limit_that_was_entered() -> None:
    """The turn-back distance to keep to is never more than what was planned, nor than what is allowed."""
    sure = brief(Verdict.GO, planned_m=120.0, turn_back_m=Spread(555.0, 505.0, 555.0))
    assert limit_row(sure, "Turn back").startswith("120 m, as planned")
    over = brief(
        Verdict.NO_GO, limited("law.distance", 120.0, 50.0), planned_m=120.0, turn_back_m=sure.back.turn_back_m
    )
    assert limit_row(over, "Turn back").startswith("50 m, the limit you entered")


def test_no_time_home_of_hours_is_told() -> None:
    held = brief(Verdict.NO_GO, seconds_home_s=Spread(11.0, 7.0, 36_000.0))
    row = next(row for row in homeward(held.back, METRIC).rows if row.name == "Time home")
    assert row.value == "11 s (7 s to more than an hour)"
