"""A debrief for scripts: valid by its schema, the same every time, nothing of causes after an injury."""

from __future__ import annotations

import json
from collections.abc import Callable

import jsonschema
import pytest
from tests.report import debrief_made as made

from turnback.knowledge.reading import read_book
from turnback.records.debrief import DebriefAnswer
from turnback.report.debrief_json import debrief_data, debrief_json
from turnback.report.debrief_schema import debrief_schema, debrief_schema_json

Make = Callable[[], DebriefAnswer]


@pytest.mark.parametrize("make", made.ALL, ids=lambda make: make.__name__)
@pytest.mark.parametrize("places", [True, False])
def test_it_is_valid_by_its_schema(make: Make, places: bool) -> None:
    validator = jsonschema.Draft202012Validator(json.loads(debrief_schema_json()))
    assert [error.message for error in validator.iter_errors(json.loads(debrief_json(make(), places=places)))] == []


def test_the_schema_refuses_what_is_not_in_it() -> None:
    jsonschema.Draft202012Validator.check_schema(debrief_schema())
    data = json.loads(debrief_json(made.words_only()))
    for wrong in ({**data, "more": 1}, {key: value for key, value in data.items() if key != "letter"}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(wrong, debrief_schema())


def test_the_same_answer_gives_the_same_bytes() -> None:
    assert debrief_json(made.lost()) == debrief_json(made.lost())


def test_after_an_injury_nothing_in_it_is_of_causes() -> None:
    said = debrief_json(made.injury())
    data = json.loads(said)
    for key in ("belief", "question", "letter", "against", "record"):
        assert data[key] is None
    for key in ("story", "signs", "not_looked_for", "learned"):
        assert data[key] == []
    assert [cause.key for cause in read_book().causes if f'"{cause.key}"' in said] == []
    assert data["held_back"] is True
    assert data["told"]["words"] == [made.SAID]


@pytest.mark.parametrize("secret", made.SECRETS)
def test_a_redacted_one_tells_no_place_date_or_name(secret: str) -> None:
    assert secret not in debrief_json(made.lost(), places=False)


def test_it_holds_what_it_must() -> None:
    data = debrief_data(made.lost())
    assert data["on"] == "2026-10-04"
    assert [each["step"] for each in data["steps"]] == [step.value for step in made.lost().steps]
    assert data["learned"][0]["number"]["quantity"] == "resistance_mohm_per_cell"
    assert data["learned"][0]["number"]["value"] == 6.4
    assert data["search"]["distance_m"]["mid"] == 239.8
    assert data["against"]["at_loss"]["clearance_m"] == -14.0
    assert data["belief"]["causes"][0]["weights"]
    weights = [weight["decibans"] for cause in data["belief"]["causes"] for weight in cause["weights"]]
    assert min(map(abs, weights)) >= 0.5
    assert data["letter"].startswith("First: is anybody hurt?")
