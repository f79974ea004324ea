"""People just outside the ground that holds nine of ten falls are told of: a few falls end there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from turnback.assess.falling import fall_findings
from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.finding import Severity

GO = Path(__file__).resolve().parents[2] / "examples" / "go.toml"


def test_a_few_falls_among_people_limit_and_none_say_nothing() -> None:
    fall = brief(read_case(GO)).fall
    assert fall is not None
    assert fall.areas_given
    assert not fall.meets
    assert {finding.rule for finding in fall_findings(fall)} == {"fall.energy"}
    few = replace(fall, places=(replace(fall.places[0], share_in_areas=0.02), *fall.places[1:]))
    assert {finding.rule: finding.severity for finding in fall_findings(few)} == {
        "fall.area_near": Severity.LIMIT,
        "fall.energy": Severity.NOTE,
    }
