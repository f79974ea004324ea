"""The generated JSON Schema against `jsonschema` (an outside implementation of draft 2020-12), both ways."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from tests.readers.plans import BROKEN, changed

from turnback.readers.plan_schema import RECORDS, file_schema, plan_schema
from turnback.readers.upgrade import FileKind
from turnback.report.new_plan import new_plan_text

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
PARTS = sorted((ROOT / "examples" / "parts").glob("*.toml"))
GOLDEN = sorted((ROOT / "tests" / "golden" / "schema-1").glob("plan-*.toml"))

BEYOND_A_SCHEMA = frozenset([
    # whole numbers with a point; low, value and high in order; a number that JSON does not have
    "nan", "order", "blades float", "schema 1.0",
    # what a label says, and volts that depend on the chemistry
    "gusts in no wind", "pitch in millimetres of another propeller", "a diameter that the class's pitch does not fit",
    "label empty", "label no cells", "label Ah", "label 20S", "label nothing", "label contradict", "label chem",
    "label measured", "cells number mismatch", "cells vs answer", "cell v", "overcharged", "low", "charger",
    "a label with a C rating of nothing", "a label with a C rating of a thousand",
    # one field against another
    "ret without action", "ducts", "thrust", "way twice", "way none", "way half", "way bearing only", "waypoints mixed",
    "waypoints empty", "waypoints height beside", "waypoints lat no launch", "terrain no lat", "lat alone",
    "terrain and ridges", "canopy", "limits", "gust", "gust alone", "wind and metar", "station alone",
    "track no launch", "track beside bearing", "never flown and flown", "simulator without an hour",
    "rest volts after above full",
    # paths
    "abs", "abs win", "out", "url", "vsi", "nul", "track out",
])  # fmt: skip
"""Broken plans that only the reader finds."""


def told(schema: dict[str, Any], table: dict[str, Any]) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in Draft202012Validator(schema).iter_errors(table)]


def table_of(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.value)
def test_every_schema_is_one_and_is_plain_json(kind: FileKind) -> None:
    schema = file_schema(kind)
    Draft202012Validator.check_schema(schema)
    assert json.loads(json.dumps(schema)) == schema
    assert schema["properties"]["schema"]["const"] == 1
    assert '"null"' not in json.dumps(schema)  # TOML has no null


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_is_valid(path: Path) -> None:
    assert told(plan_schema(), table_of(path)) == []


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_every_part_of_the_examples_is_valid_as_its_own_kind_only(path: Path) -> None:
    kind = FileKind(path.stem.split("-")[0])
    assert told(file_schema(kind), table_of(path)) == []
    assert told(file_schema(FileKind.WEATHER), table_of(path))
    assert told(plan_schema(), table_of(path))


@pytest.mark.parametrize("path", GOLDEN, ids=lambda path: path.stem)
def test_every_golden_plan_is_valid(path: Path) -> None:
    assert told(plan_schema(), table_of(path)) == []


@pytest.mark.parametrize("kind", [kind for kind in RECORDS if kind is not FileKind.PLAN], ids=lambda kind: kind.value)
def test_every_golden_part_is_valid(kind: FileKind) -> None:
    path = ROOT / "tests" / "golden" / "schema-1" / "parts" / f"{kind.value}.toml"
    assert told(file_schema(kind), table_of(path)) == []


def test_a_new_plan_is_valid() -> None:
    answers: dict[str, str | float | None] = {
        "aircraft_class": "3-inch", "pack_label": "4S 850 mAh", "control_class": "2.4 GHz, 25 mW",
        "video_class": "none", "distance_m": 100, "bearing_deg": 0, "height_m": 20,
    }  # fmt: skip
    assert told(plan_schema(), tomllib.loads(new_plan_text(answers))) == []


def readable(row: dict[str, Any]) -> dict[str, Any] | None:
    try:
        return tomllib.loads(changed(row["change"]))
    except tomllib.TOMLDecodeError:
        return None


TABLES = [(row["name"], table) for row in BROKEN if (table := readable(row)) is not None]


@pytest.mark.parametrize(("name", "table"), TABLES, ids=[name for name, _ in TABLES])
def test_a_broken_plan_is_invalid_unless_only_the_reader_can_see_it(name: str, table: dict[str, Any]) -> None:
    assert bool(told(plan_schema(), table)) is (name not in BEYOND_A_SCHEMA)


def test_the_list_of_what_is_beyond_a_schema_names_broken_plans_only() -> None:
    assert {name for name, _ in TABLES} >= BEYOND_A_SCHEMA
    assert len(TABLES) - len(BEYOND_A_SCHEMA) > 60


def test_dont_know_is_allowed_where_a_value_may_stay_open_and_nowhere_else() -> None:
    plan = tomllib.loads(changed([["mass_g = 460", 'mass_g = "don\'t know"']]))
    assert told(plan_schema(), plan) == []
    plan["answers"]["last_flight"] = "don't know"
    plan["site"]["local_limits"] = {"looked_up": "don't know"}
    plan["pilot"]["shown"] = plan["route"]["mode"] = "don't know"
    assert told(plan_schema(), plan) == []
    plan["aircraft"]["class"] = "don't know"
    plan["route"]["height_m"] = "don't know"
    assert len(told(plan_schema(), plan)) == 1  # of the class; the height of a straight way is the reader's matter


def test_a_part_may_be_the_path_of_a_toml_file_only() -> None:
    plan = tomllib.loads(changed([]))
    for part in ("aircraft", "pack", "radio", "site", "weather", "pilot"):
        assert told(plan_schema(), {**plan, part: f"parts/{part}.toml"}) == []
        assert told(plan_schema(), {**plan, part: f"parts/{part}.json"})
    for part in ("route", "answers"):
        assert told(plan_schema(), {**plan, part: f"parts/{part}.toml"})


def test_a_range_holds_a_bare_number_and_every_end_of_a_band() -> None:
    # 0.2 to 200 milliohms: the range of the specification's own example of the slip "ohms for milliohms".
    def at(value: object) -> list[str]:
        return told(file_schema(FileKind.PACK), {"schema": 1, "resistance_mohm_per_cell": value})

    assert at(5.2) == []
    assert at({"value": 5.2, "low": 4, "high": 7}) == []
    assert at(0.0052)
    assert at({"value": 5.2, "low": 0.004})
    assert at({"value": 5.2, "high": 7000})
    assert at({"low": 5.2})
    assert at(True)
