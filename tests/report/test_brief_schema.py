"""The schema of brief.json: what is written keeps to it, and what is not does not."""

from __future__ import annotations

import copy
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from tests.report import sample, whole_sample

from turnback import api
from turnback.cli import main
from turnback.records.finding import Verdict
from turnback.report.brief_json import brief_data
from turnback.report.brief_schema import brief_schema, brief_schema_json, unit_of
from turnback.report.redact import redacted

SCHEMA = brief_schema()
KEEPS = jsonschema.Draft202012Validator(SCHEMA)


@pytest.fixture(scope="module")
def whole() -> dict[str, Any]:
    """Return a brief with all its parts, as plain data."""
    return brief_data(whole_sample.brief())


def faults(data: Any) -> list[str]:
    """Return every way in which data do not keep to the schema."""
    return [f"{fault.json_path}: {fault.message}" for fault in KEEPS.iter_errors(data)]


def nodes(node: Any, place: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Return every object of a schema with its place."""
    if isinstance(node, dict):
        yield place, node
    for key, inner in node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ():
        yield from nodes(inner, f"{place}/{key}")


def test_it_is_a_schema_of_2020_12() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_every_reference_leads_to_a_definition_and_every_definition_is_used() -> None:
    used = {node["$ref"].removeprefix("#/$defs/") for _, node in nodes(SCHEMA) if isinstance(node.get("$ref"), str)}
    assert used == set(SCHEMA["$defs"])


def test_no_object_is_left_open() -> None:
    objects = [(place, node) for place, node in nodes(SCHEMA) if node.get("type") == "object"]
    assert len(objects) > 20
    assert not [place for place, node in objects if node.get("additionalProperties", True) is True]


@pytest.mark.parametrize("verdict", list(Verdict))
def test_a_brief_without_its_optional_parts_keeps_to_it(verdict: Verdict) -> None:
    assert faults(brief_data(sample.brief(verdict))) == []


def test_a_brief_with_all_its_parts_keeps_to_it(whole: dict[str, Any]) -> None:
    assert faults(whole) == []
    parts = ("fall", "pilot", "care", "changes", "rose", "map")
    assert all(isinstance(whole[part], dict) for part in parts)
    assert all(brief_data(sample.brief())[part] is None for part in parts)


def test_a_redacted_brief_keeps_to_it(whole: dict[str, Any]) -> None:
    data = brief_data(redacted(whole_sample.brief()))
    assert faults(data) == []
    assert data["air"]["pressure_hpa"] is None
    assert data.keys() == whole.keys()


def without(*path: Any) -> Callable[[Any], None]:
    def change(data: Any) -> None:
        for key in path[:-1]:
            data = data[key]
        del data[path[-1]]

    return change


def with_(value: Any, *path: Any) -> Callable[[Any], None]:
    def change(data: Any) -> None:
        for key in path[:-1]:
            data = data[key]
        data[path[-1]] = value

    return change


BROKEN = {
    "no verdict": without("verdict"),
    "no volts to land by": without("energy", "land_by_rest_v"),
    "no control link": without("links", "control"),
    "a key too many": with_(1, "colour"),
    "a key too many in a fall": with_(1, "fall", "places", 0, "colour"),
    "a third link": with_({}, "links", "telemetry"),
    "a verdict that is none": with_("maybe", "verdict"),
    "a distance in words": with_("far", "return", "planned_m"),
    "a spread of one number": with_(905.0, "return", "turn_back_m"),
    "a word among volts": with_(["4.2"], "energy", "rest_mid_v"),
    "a number for a flag": with_([1], "links", "control", "line_of_sight"),
    "a finding without its words": without("findings", 0, "said"),
    "another version": with_(2, "schema"),
    "heights above the moon": with_("moon", "heights_above"),
    "a half draw": with_(0.5, "draws"),
    "an area without a ring": without("map", "areas", 0, "ring_x_m"),
    "a step nobody knows": with_("juggling", "pilot", "steps", 0, "skill"),
}


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_broken_does_not_keep_to_it(name: str, whole: dict[str, Any]) -> None:
    broken = copy.deepcopy(whole)
    BROKEN[name](broken)
    assert faults(broken)


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("turn_back_m", "m"),
        ("land_by_rest_v", "V"),
        ("charge_mah", "mAh"),
        ("cruise_current_a", "A"),
        ("capacity_ah", "Ah"),
        ("largest_wind_mps", "m/s"),
        ("temperature_c", "°C"),
        ("pack_c", "1/h"),  # current over capacity, not a temperature
        ("density_kg_m3", "kg/m³"),
        ("energy_j", "J"),
        ("used_fraction", ""),
        ("seed", ""),
    ],
)
def test_a_unit_is_the_ending_of_its_name(name: str, unit: str) -> None:
    assert unit_of(name) == unit
    said = [node[name].get("x-unit", "") for _, node in nodes(SCHEMA) if isinstance(node.get(name), dict)]
    assert said
    assert set(said) == {unit}


def test_a_field_says_what_it_is() -> None:
    defs = SCHEMA["$defs"]
    said = defs["EnergyResult"]["properties"]["sag_v"]["description"]
    assert said == "Rest minus loaded volts of one cell at full output."  # under the field, in records/result.py
    assert defs["FindingData"]["properties"]["rule"]["description"].startswith("Key of the rule")  # in the docstring


def test_the_same_bytes_whatever_the_order_of_hashes() -> None:
    code = "import sys; from turnback.report.brief_schema import brief_schema_json as s; sys.stdout.write(s())"
    texts = [
        subprocess.run(
            [sys.executable, "-c", code], env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"},
            capture_output=True, check=True, timeout=120,
        ).stdout.decode()
        for seed in ("1", "2")
    ]  # fmt: skip
    assert texts[0] == texts[1] == brief_schema_json()


def test_the_schema_lies_beside_the_data_that_names_it(tmp_path: Path) -> None:
    api.write_report(sample.brief(), tmp_path)
    data = json.loads((tmp_path / "brief.json").read_text(encoding="utf-8"))
    schema = json.loads((tmp_path / data["$schema"]).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(schema).validate(data)
    assert schema == SCHEMA


def test_the_command_prints_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", "schema", "--of", "brief"]) == 0
    printed = capsys.readouterr().out
    assert printed == brief_schema_json()
    assert main(["plan", "schema"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Turnback: plan"
