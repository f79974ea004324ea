"""A flight record for scripts: valid by its schema, the same every time, and nothing left of who, where and when."""

from __future__ import annotations

import json

import jsonschema
import numpy as np
import pytest
from tests.report import record_answers as made

from turnback.report.record_curves import thinned_spectrum
from turnback.report.record_facts import figures, track_of
from turnback.report.record_json import MOST_FREQUENCIES, record_json
from turnback.report.record_redact import redacted_record
from turnback.report.record_rules import threshold_of, thresholds
from turnback.report.record_schema import record_schema, record_schema_json
from turnback.report.record_text import record_text


@pytest.mark.parametrize("places", [True, False], ids=["places", "redacted"])
def test_it_is_valid_by_its_schema(places: bool) -> None:
    jsonschema.Draft202012Validator.check_schema(record_schema())
    checker = jsonschema.Draft202012Validator(json.loads(record_schema_json()))
    for answer in (made.flight(), made.bare(), made.hostile()):
        assert list(checker.iter_errors(json.loads(record_json(answer, places=places)))) == []


def test_the_schema_holds_something_against_what_is_left_out() -> None:
    data = json.loads(record_json(made.flight()))
    del data["events"][0]["start_s"]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, record_schema())


def test_the_same_answer_gives_the_same_bytes() -> None:
    assert record_json(made.flight()) == record_json(made.flight())


def test_nothing_is_left_of_who_where_and_when() -> None:
    whole = record_json(made.flight())
    bare = redacted_record(made.flight())
    said = record_json(made.flight(), places=False) + record_text(bare)
    assert all(secret in whole for secret in made.SECRETS)
    assert [secret for secret in made.SECRETS if secret in said] == []
    assert json.loads(record_json(made.flight(), places=False))["track"] is None
    assert record_json(redacted_record(bare)) == record_json(bare)


def test_distances_and_heights_stay_where_places_are_taken_out() -> None:
    before, after = figures(made.flight().flown), figures(redacted_record(made.flight()).flown)
    assert after.top_m == pytest.approx(before.top_m)
    assert after.far_m == pytest.approx(before.far_m)
    assert before.far_m == pytest.approx(272.0, abs=1.0)


def test_the_track_counts_in_metres_from_where_it_took_off() -> None:
    track = track_of(made.flight().flown)
    assert track is not None
    at = int(np.argmax(track.y_m))
    # 0.0024 degrees of latitude; 111.16 km a degree at 46.8 degrees north (WGS 84, from memory).
    assert track.y_m[at] == pytest.approx(0.0024 * 111_160.0, rel=2e-3)
    assert track.stored_y_m == pytest.approx(22.2, abs=0.1)
    assert track.t_s.size <= 600


def test_a_thinned_spectrum_keeps_its_peak() -> None:
    spectrum = made.spectra()[0]
    frequency, density = thinned_spectrum(spectrum, 100)
    assert frequency.size == 100
    assert density.max() == spectrum.density.max()
    assert frequency[int(np.argmax(density))] == pytest.approx(210.0, abs=0.2)
    data = json.loads(record_json(made.flight()))
    assert len(data["spectra"][0]["density"]) == MOST_FREQUENCIES


def test_thresholds_are_found_by_key() -> None:
    assert threshold_of("no.such.key") is None
    for key, row in thresholds().items():
        assert threshold_of(key) is row
        assert key.startswith("record.")
