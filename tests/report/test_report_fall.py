"""The fall in words: every action and threshold is worded, in both units, and no sentence comforts."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest
from tests.assess.cases import case_of, plain

from turnback.flows.brief import brief
from turnback.records.aircraft import RadioLossAction
from turnback.records.fall import FallResult
from turnback.report.numbers import Units
from turnback.report.words_fall import AFTER_LOSS, THRESHOLD_WORDS, fall_lines, fall_table
from turnback.rules.falling import PUBLISHED


@cache
def sample(action: str = "motors stop") -> FallResult:
    """Return the falls of an invented flight."""
    found = brief(case_of(plain(), aircraft__on_radio_loss=action)).fall
    assert found is not None
    return found


def test_every_action_and_threshold_has_words_and_none_is_left_over() -> None:
    assert set(AFTER_LOSS) == set(RadioLossAction)
    assert set(THRESHOLD_WORDS) == {row.key for row in PUBLISHED}


@pytest.mark.parametrize("units", list(Units))
@pytest.mark.parametrize("action", [action.value for action in RadioLossAction])
def test_lines_and_rows_are_whole(action: str, units: Units) -> None:
    result = sample(action)
    lines = fall_lines(result, units)
    assert 3 <= len(lines) <= 4
    texts = [*lines, *(row.value for row in fall_table(result, units).rows)]
    for text in texts:
        assert text
        assert not re.search(r"\{|nan|inf\b|None|not known s", text), text
    assert all(line[0].isupper() and line.endswith(".") for line in lines)
    assert not re.search(r"\b(safe to|harmless to|allowed to)\b", " ".join(texts))


def test_the_far_end_is_told_in_plain_words() -> None:
    result = sample()
    far = max((place for place in result.places if not place.homeward), key=lambda place: place.from_launch_m)
    first = fall_lines(result, Units.METRIC)[0]
    assert first.startswith("If its motors stop at the far end, it falls 40 m in about 3.")
    assert f"{far.speed_mps.mid:.1f} m/s" in first


def test_areas_are_named_or_it_is_said_that_there_is_no_file() -> None:
    result = sample()
    assert "who can be underneath stands" in " ".join(row.value for row in fall_table(result, Units.METRIC).rows)
    one = replace(result, meets=("school",), areas_given=True)
    assert fall_lines(one, Units.METRIC)[-1] == "A fall can end in an area where people may be: school."
    two = replace(result, meets=("", "school"), areas_given=True)
    assert fall_lines(two, Units.METRIC)[-1].endswith("2 areas where people may be, first: unnamed.")
    none = replace(result, areas_given=True)
    assert "none of those in your file" in [row.value for row in fall_table(none, Units.METRIC).rows]


def test_thresholds_are_quoted_with_clause_and_number() -> None:
    rows = {row.name: row.value for row in fall_table(sample(), Units.METRIC).rows}
    said = " ".join(rows.values())
    for clause in ("14 CFR 107.110(a)(1)", "14 CFR 107.120(a)(1)", "14 CFR 107.130(a)(1)", "(EU) 2019/945"):
        assert clause in said
    assert "14.9 J" in said
    assert said.count("It compares injuries") == 2
    assert "never a licence" in said
    assert "This does not know your local law." in said
    assert "11.0 ft·lb" in " ".join(row.value for row in fall_table(sample(), Units.IMPERIAL).rows)
