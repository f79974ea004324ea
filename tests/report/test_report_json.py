"""The brief as JSON: strict, stable, the keys that scripts rely on, and nothing from a plan that steers a terminal."""

from __future__ import annotations

import dataclasses
import json
import math
from typing import Any

import jsonschema
import numpy as np
import pytest
from tests.report import sample

from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.report.brief_json import brief_json, plain

# The keys that the project promised (part 1, "Output"), as a JSON Schema of draft 2020-12.
NUMBER: dict[str, Any] = {"type": ["number", "null"]}
SPREAD: dict[str, Any] = {
    "type": "object",
    "required": ["mid", "low", "high"],
    "additionalProperties": NUMBER,
}
FINDING: dict[str, Any] = {
    "type": "object",
    "required": ["rule", "severity", "value", "unit", "limit", "low", "high", "source", "do"],
    "properties": {
        "rule": {"type": "string", "pattern": r"^[a-z]+\.[a-z_]+$"},
        "severity": {"enum": ["note", "limit", "unknown", "stop"]},
        "value": NUMBER,
        "unit": {"type": "string"},
        "limit": NUMBER,
        "low": NUMBER,
        "high": NUMBER,
        "source": {"type": "string"},
        "do": {"type": "string"},
    },
}
PROMISED: dict[str, Any] = {
    "$schema": "https://json-schema.org/draft/2020-12/schema",
    "type": "object",
    "required": ["schema", "verdict", "findings", "energy", "links", "return", "assumed"],
    "properties": {
        "schema": {"const": 1},
        "verdict": {"enum": ["go", "go with limits", "no-go", "cannot say"]},
        "findings": {"type": "array", "items": FINDING},
        "energy": {
            "type": "object",
            "required": ["landing_rest_v", "land_by_rest_v", "flight_s", "thrust_margin", "probability"],
            "properties": {"probability": SPREAD, "flight_s": SPREAD},
        },
        "links": {
            "type": "object",
            "required": ["control"],
            "additionalProperties": {
                "type": "object",
                "required": [
                    "frequency_mhz",
                    "margin_mid_db",
                    "diffraction_db",
                    "obstacle_from_launch_m",
                    "probability",
                ],
            },
        },
        "return": {
            "type": "object",
            "required": ["action", "turn_back_m", "lowest_height_m", "clearance_m", "largest_wind_mps"],
            "properties": {"turn_back_m": SPREAD},
        },
        "assumed": {
            "type": "array",
            "items": {"type": "object", "required": ["key", "value", "low", "high", "unit", "origin", "source"]},
        },
    },
}


def strict(text: str) -> Any:
    """Parse as RFC 8259 has it: no NaN, no infinity."""

    def refuse(token: str) -> None:
        raise AssertionError(f"{token} is no JSON")

    return json.loads(text, parse_constant=refuse)


@pytest.mark.parametrize("verdict", list(Verdict))
def test_the_promised_keys_are_there(verdict: Verdict) -> None:
    jsonschema.Draft202012Validator(PROMISED).validate(strict(brief_json(sample.brief(verdict))))


def test_a_flight_by_eye_has_no_video_link() -> None:
    data = strict(brief_json(dataclasses.replace(sample.brief(), video=None)))
    assert set(data["links"]) == {"control"}


def test_the_same_brief_gives_the_same_bytes() -> None:
    assert brief_json(sample.brief()).encode() == brief_json(sample.brief()).encode()


def test_the_numbers_are_those_of_the_record() -> None:
    brief = sample.brief()
    data = strict(brief_json(brief))
    assert data["return"]["turn_back_m"] == {"mid": 905.0, "low": 643.0, "high": 1200.0}  # as in sample.py
    assert data["links"]["control"]["margin_mid_db"] == brief.control.margin_mid_db.tolist()
    assert data["return"]["action"] == "automatic return"
    assert data["deciding"]["rule"] == brief.findings[0].rule


def test_what_is_no_number_is_null() -> None:
    finding = Finding("weather.gusts", Severity.NOTE, math.nan, "", math.inf, -math.inf, None, "our-choice", "none")
    brief = sample.brief(Verdict.GO, found=(finding,))
    back = dataclasses.replace(brief.back, largest_wind_mps=math.nan, turn_back_m=Spread(math.inf, 1.0, math.nan))
    data = strict(brief_json(dataclasses.replace(brief, back=back)))
    assert [data["findings"][0][key] for key in ("value", "limit", "low")] == [None, None, None]
    assert data["return"]["largest_wind_mps"] is None
    assert data["return"]["turn_back_m"] == {"mid": None, "low": 1.0, "high": None}
    # Behind clear ground no obstacle rules: the sample holds NaN there.
    assert data["links"]["control"]["obstacle_from_launch_m"][0] is None


def test_numpy_scalars_become_plain_ones() -> None:
    given = {"b": np.bool_(True), "i": np.int64(3), "f": np.float64(0.5), "a": np.array([1.0, np.nan])}
    assert json.dumps(plain(given)) == '{"a": [1.0, null], "b": true, "f": 0.5, "i": 3}'


def test_text_of_a_plan_comes_back_as_it_was_and_steers_no_terminal() -> None:
    title = 'a "b" \\ <script>\x1b[2J\u009b31m\u202e\u2066é'
    text = brief_json(sample.brief(title=title))
    assert strict(text)["title"] == title
    assert not set(text) & set("\x1b\u009b\u202e\u2066")
    assert "é" in text
