"""Each of the five lines takes the careful end, the link that rules, and the finding that is there."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from tests.report import sample
from tests.report.test_report_five import brief, limited

from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.records.result import BriefResult
from turnback.report import numbers
from turnback.report.five import how_far, how_high, look_out_for, ruling_link, until_which_reading
from turnback.report.numbers import Units
from turnback.report.tables import limits

METRIC = Units.METRIC


def test_the_nearest_limit_is_held_against_the_unfavourable_end() -> None:
    """Best estimate 500 m, unfavourable end 130 m: neither what the observer tells nor what was entered goes beyond."""
    short = {"turn_back_m": Spread(500.0, 130.0, 900.0)}
    tells = limited("observer.orientation", 1200.0, 137.7)
    assert how_far(brief(Verdict.GO_WITH_LIMITS, tells, **short), METRIC).startswith("Turn back at 130 m")
    entered = limited("law.distance", 1200.0, 400.0, Severity.STOP)
    assert "400" not in how_far(brief(Verdict.NO_GO, entered, **short), METRIC)


def test_volts_are_those_of_the_end_that_asks_for_more() -> None:
    """3.36 V (3.31 to 3.402) rounded up is 3.41 V; 3.71 V (3.66 to 3.76) is 3.76 V: never the lower reading."""
    said = until_which_reading(sample.brief(), METRIC)
    assert "before your goggles show 3.41 V" in said
    assert "that is 3.50 V at rest" in said
    assert "turn back when they show 3.76 V" in said


def links(control: Spread, video: Spread | None) -> BriefResult:
    """Return the sample with other chances of its links."""
    base = sample.brief(Verdict.GO_WITH_LIMITS, found=())
    pictures = None if video is None or base.video is None else dataclasses.replace(base.video, probability=video)
    return dataclasses.replace(base, control=dataclasses.replace(base.control, probability=control), video=pictures)


def test_the_link_that_holds_less_surely_rules() -> None:
    sure, weak = Spread(0.999, 0.99, 1.0), Spread(0.9, 0.8, 0.95)
    assert ruling_link(links(weak, sure)).name == "control"
    assert ruling_link(links(sure, weak)).name == "video"
    assert ruling_link(links(sure, None)).name == "control"


@pytest.mark.parametrize("seen", [True, False])
def test_ground_is_told_to_hide_it_only_where_it_does(seen: bool) -> None:
    base = sample.brief(Verdict.GO_WITH_LIMITS, found=())
    control = dataclasses.replace(base.control, line_of_sight=np.full(base.control.distance_m.size, seen))
    said = look_out_for(dataclasses.replace(base, control=control), METRIC)
    assert ("High ground 880 m from launch hides it" in said) is not seen


def test_who_can_be_underneath_is_told_where_somebody_was_named() -> None:
    others = Finding("people.others", Severity.STOP, None, "", None, None, None, "common-practice", "other_place")
    said = look_out_for(brief(Verdict.NO_GO, others), METRIC)
    assert "People who take no part can be underneath" in said
    assert "walk in" not in said


def test_a_return_that_is_set_high_enough_and_one_that_is_not() -> None:
    enough = how_high(brief(Verdict.GO, set_height_m=90.0, lowest_height_m=75.2), METRIC)
    assert enough.endswith("The automatic return is set to 90 m; it needs 76 m at least.")
    short = how_high(brief(Verdict.GO_WITH_LIMITS, set_height_m=70.0, lowest_height_m=75.2), METRIC)
    assert "needs 76 m above launch, if your height limit allows it; it is set to 70 m." in short


@pytest.mark.published
def test_an_area_in_square_inches() -> None:
    """One square inch is 6.4516 cm² (NIST SP 811, appendix B.8)."""
    assert numbers.words(64.516e-4, "m²", Units.IMPERIAL) == "10 sq in"
    assert numbers.words(64.516e-4, "m²") == "65 cm²"


@pytest.mark.parametrize(("assumed", "side"), [(False, "the same side"), (True, "any side")])
def test_the_largest_wind_says_from_which_side_it_holds(assumed: bool, side: str) -> None:
    """What the pack beats by hand from one side says nothing of another side, nor of the automatic return."""
    result, gap = sample.brief(), sample.assumptions()[0]
    gaps = (dataclasses.replace(gap, key="site.wind_from_deg"),) if assumed else ()
    names = [row.name for row in limits(dataclasses.replace(result, assumed=gaps), METRIC).rows]
    assert f"Largest wind that comes home, flown by hand, from {side}" in names
