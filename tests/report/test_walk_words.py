"""The words of a range walk: one result for each cause, all of them translatable, numbers on the careful side."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.flows.test_range_walk_flow import answer
from tests.report.pseudo import PSEUDO, Pseudo, outside

from turnback.records.finding import Spread
from turnback.records.walk_answer import WalkCause
from turnback.report import walk_text as walk_text_module
from turnback.report.language import speaking_by
from turnback.report.numbers import Units
from turnback.report.walk_json import walk_json
from turnback.report.walk_redact import redacted_walk
from turnback.report.walk_tables import walk_tables
from turnback.report.walk_text import walk_text
from turnback.report.words_walk import RESULTS, TO_DO, beyond_words, nothing_kept, result_words

ON_ONE_LINE = 100_000


def test_every_cause_has_words() -> None:
    assert set(TO_DO) == set(WalkCause)
    assert set(RESULTS) == set(WalkCause) - {WalkCause.UNSURE}


@pytest.mark.parametrize("cause", WalkCause)
def test_a_result_is_one_plain_answer(cause: WalkCause) -> None:
    said = result_words(replace(answer(8.0), cause=cause), Units.METRIC)
    assert said[0].isupper()
    assert said.endswith(".")
    assert "{" not in said


def test_a_walk_at_the_floor_alone_does_not_say_how_much_is_lost() -> None:
    found = replace(answer(8.0), cause=WalkCause.UNSURE, fit=replace(answer(8.0).fit, readings=6, censored=6))
    said = result_words(found, Units.METRIC)
    assert "No reading is above the receiver's floor" in said
    assert "dB" not in said


def test_most_readings_at_the_floor_say_why_nothing_is_kept() -> None:
    found = replace(answer(8.0), teaches=False, fit=replace(answer(8.0).fit, readings=60, censored=40))
    assert nothing_kept(found).startswith("Nothing is kept: 40 of 60 readings stand at the receiver's floor")


def test_an_exponent_is_shown_to_two_decimals_however_near_to_nought() -> None:
    found = replace(answer(8.0), fit=replace(answer(8.0).fit, excess_exponent=Spread(1.7e-13, -0.82, 0.82)))
    shown = {row.name: row.value for table in walk_tables(found, Units.METRIC) for row in table.rows}
    assert shown["Falls faster than the model, exponent"] == "0.00 (-0.82 to 0.82)"


def test_the_walked_distance_is_never_said_farther_than_it_was() -> None:
    found = replace(answer(8.0), fit=replace(answer(8.0).fit, walked_m=379.9))
    assert "375 m" in beyond_words(found, Units.METRIC)  # steps of 5 m, downward
    assert "ft" in beyond_words(found, Units.IMPERIAL)


@pytest.mark.parametrize("units", Units)
def test_every_word_can_be_translated(units: Units, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(walk_text_module, "WIDEST", ON_ONE_LINE)
    found = answer(8.0)
    with speaking_by(Pseudo(), PSEUDO):
        said = walk_text(found, units, ON_ONE_LINE, file="learned.toml")
    assert outside(said, [found.title, "learned.toml"]) == []


def test_redacting_twice_is_redacting_once() -> None:
    once = redacted_walk(answer(8.0))
    assert walk_json(redacted_walk(once), places=False) == walk_json(once, places=False)
