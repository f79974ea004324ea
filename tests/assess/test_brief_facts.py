"""What an instructor asks: an open question that matters is never a go."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.assess.cases import case_of, plain, valley

from turnback.flows.brief import brief
from turnback.records.areas import PeopleArea, PeopleAreas
from turnback.records.finding import Severity, Verdict
from turnback.records.result import BriefResult

CORNER = {"motor": "clockwise", "propeller": "clockwise"}
OTHER = {"motor": "anticlockwise", "propeller": "anticlockwise"}
CORNERS = {"front_left": CORNER, "front_right": OTHER, "rear_left": OTHER, "rear_right": CORNER}


def severity_of(result: BriefResult, rule: str) -> Severity | None:
    """Return the severity of a rule's finding; None where it was not found."""
    return next((finding.severity for finding in result.findings if finding.rule == rule), None)


def test_the_careful_plan_is_a_go() -> None:
    """Everything known and everything near: go, and the notes are still said."""
    result = brief(case_of())
    assert result.verdict is Verdict.GO
    assert result.deciding is None
    assert {finding.rule for finding in result.findings} >= {"site.look_for", "return.does_not_land"}


FACTS: list[tuple[dict[str, Any], str, Severity]] = [
    ({"answers__propellers_verified_today": "don't know"}, "propellers.unknown", Severity.UNKNOWN),
    ({"answers__propellers_verified_today": "no"}, "propellers.not_verified", Severity.UNKNOWN),
    ({"answers__rest_v_per_cell": "don't know"}, "pack.rest_v_unknown", Severity.UNKNOWN),
    ({"answers__who_can_be_underneath": "don't know"}, "people.unknown", Severity.UNKNOWN),
    ({"answers__who_can_be_underneath": "other people"}, "people.others", Severity.STOP),
    ({"answers__who_can_be_underneath": "only people who take part"}, "people.involved", Severity.LIMIT),
    ({"answers__return_tested_on_this_build": "don't know"}, "return.untested", Severity.LIMIT),
    ({"answers__return_tested_on_this_build": "no"}, "return.untested", Severity.LIMIT),
    ({"site__local_limits": {"looked_up": "no"}}, "law.not_looked_up", Severity.UNKNOWN),
    ({"site__local_limits": None}, "law.not_looked_up", Severity.UNKNOWN),
    ({"site__local_limits": {"looked_up": "yes", "height_m": 30}}, "law.height", Severity.STOP),
    ({"site__local_limits": {"looked_up": "yes", "distance_m": 100}}, "law.distance", Severity.STOP),
    ({"site__local_limits": {"looked_up": "yes", "in_sight": "yes"}, "route__distance_m": 1325},
     "law.in_sight", Severity.STOP),
    ({"aircraft__automatic_return": {"height_m": 150}}, "law.return_set_height", Severity.LIMIT),
    ({"observer": "don't know"}, "observer.unknown", Severity.UNKNOWN),
    ({"observer": "no"}, "observer.none", Severity.STOP),
    ({"route__distance_m": 250}, "observer.orientation", Severity.LIMIT),
    ({"aircraft__on_radio_loss": "don't know", "aircraft__automatic_return": None},
     "return.action_unknown", Severity.UNKNOWN),
    ({"aircraft__on_radio_loss": "keep last sticks", "aircraft__automatic_return": None},
     "return.keep_last_sticks", Severity.STOP),
    ({"aircraft__on_radio_loss": "motors stop", "aircraft__automatic_return": None},
     "return.motors_stop", Severity.LIMIT),
    ({"aircraft__on_radio_loss": "descend in place", "aircraft__automatic_return": None},
     "return.descend_in_place", Severity.LIMIT),
    ({"aircraft__automatic_return": None}, "return.height_unknown", Severity.UNKNOWN),
    ({"aircraft__corners": {**CORNERS, "rear_left": {**OTHER, "propeller": "clockwise"}}},
     "propellers.mismatch", Severity.STOP),
    ({"aircraft__corners": {**CORNERS, "front_left": {**CORNER, "way_up": "turned over"}}},
     "propellers.mismatch", Severity.STOP),
    ({"pack__label": "4S 1500 mAh 100C"}, "pack.cells_unlike_class", Severity.UNKNOWN),
    ({"aircraft__class": "5-inch, 4 cells", "pack__label": "12S 1000 mAh"},
     "pack.cells_unlike_class", Severity.UNKNOWN),
    ({"pack__cell_rest_v": [4.18, 4.18, 4.17, 4.18, 4.06, 4.18]}, "pack.spread_stop", Severity.STOP),
    ({"pack__cell_rest_v": [4.18, 4.18, 4.17, 4.18, 4.11, 4.18]}, "pack.spread_watch", Severity.LIMIT),
    ({"pack__temperature_c": 4}, "pack.cold", Severity.LIMIT),
    ({"answers__rest_v_per_cell": 3.85}, "pack.not_full", Severity.LIMIT),
    ({"weather__wind_mps": "don't know"}, "weather.unknown", Severity.LIMIT),
    ({"weather__temperature_c": -2}, "weather.air_cold", Severity.LIMIT),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "rule", "severity"), FACTS, ids=lambda value: str(value)[:60])
def test_one_open_or_bad_answer_takes_the_go_away(changes: dict[str, Any], rule: str, severity: Severity) -> None:
    """Each is one change from the plan that is a go (issue: "an unknown among … is never a go")."""
    if "pack__cell_rest_v" in changes:
        changes = {**changes, "answers__rest_v_per_cell": None}
    result = brief(case_of(**changes))
    assert severity_of(result, rule) is severity
    assert result.verdict is not Verdict.GO
    if severity is Severity.STOP:
        assert result.verdict is Verdict.NO_GO


def test_sound_corners_are_no_finding() -> None:
    """Propellers that match their motors say nothing."""
    assert severity_of(brief(case_of(aircraft__corners=CORNERS)), "propellers.mismatch") is None


def test_flat_ground_that_is_assumed_is_said() -> None:
    """A limit near by, an unknown farther than a pilot sees the ground."""
    assert severity_of(brief(case_of(plain())), "terrain.assumed") is Severity.LIMIT
    far = brief(case_of(plain(), route__distance_m=500))
    assert severity_of(far, "terrain.assumed") is Severity.UNKNOWN
    assert far.verdict is Verdict.CANNOT_SAY


def test_missing_ground_is_an_unknown() -> None:
    """A route that leaves the raster is judged by nothing."""
    ground = valley(600.0)
    known = ground.known.copy()
    known[:, : known.shape[1] // 2 - 2] = False
    result = brief(case_of(replace(ground, known=known), route__distance_m=400, route__bearing_deg=270))
    assert severity_of(result, "terrain.uncovered") is Severity.UNKNOWN


def test_a_route_over_people_is_a_stop() -> None:
    """Areas from a file count even where the answer says nobody."""
    square = np.array([[-80.0, -20.0], [-60.0, -20.0], [-60.0, 60.0], [-80.0, 60.0], [-80.0, -20.0]])
    areas = PeopleAreas((PeopleArea("car park", (square,)),))
    result = brief(case_of(areas=areas))
    assert severity_of(result, "people.area") is Severity.STOP
    away = PeopleAreas((PeopleArea("car park", (square + 500.0,)),))
    assert severity_of(brief(case_of(areas=away)), "people.area") is None


def test_no_go_outranks_cannot_say_and_the_check_is_named() -> None:
    """With a stop and an open question the verdict is no-go; with the question alone its check is named."""
    both = brief(case_of(observer="no", answers__propellers_verified_today="don't know"))
    assert both.verdict is Verdict.NO_GO
    one = brief(case_of(answers__propellers_verified_today="don't know"))
    assert one.verdict is Verdict.CANNOT_SAY
    assert one.deciding is not None
    assert one.deciding.do == "look_at_propellers"
