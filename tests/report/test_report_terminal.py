"""The brief as text: five lines first, the promised order, wrapped, plain, and safe against what a plan holds."""

from __future__ import annotations

import dataclasses
import math
import re
import unicodedata

import pytest
from tests.report import sample

from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.report.numbers import Units
from turnback.report.page import page_html
from turnback.report.terminal import brief_text, printable

FIVE = ("What to do", "How far", "How high", "Until which reading", "Look out for")


def flat(text: str) -> str:
    """Return text with every run of blanks as one."""
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("verdict", list(Verdict))
def test_five_lines_come_first_and_the_rest_in_the_promised_order(verdict: Verdict) -> None:
    text = brief_text(sample.brief(verdict))
    places = [text.index(f"\n{label}") for label in FIVE]
    places += [text.index(f"\n{title}\n") for title in ("What to mend", "Limits", "Chance", "Energy", "Return")]
    places += [text.index("\nCautions\n")]
    assert places == sorted(places)
    assert text.splitlines()[1].lower() == verdict.value


def test_the_limits_are_the_turn_back_distance_the_land_by_volts_and_the_return_height() -> None:
    limits = brief_text(sample.brief()).partition("\nLimits\n")[2].partition("\nChance\n")[0]
    # sample.py: 643 m down to a step of 5 m, 3.5 V, 3.402 V up to a step of 0.01 V, 75.2 m up to a metre.
    for said in ("640 m", "3.50 V", "3.41 V", "76 m"):
        assert said in limits


def test_it_says_that_it_does_not_know_the_law() -> None:
    assert "This does not know your local law." in flat(brief_text(sample.brief(Verdict.GO, found=())))


@pytest.mark.parametrize("width", [20, 40, 57, 80, 100, 300])
def test_lines_fit_the_terminal(width: int) -> None:
    most = max(40, min(width, 100))
    lines = brief_text(sample.brief(), width=width).splitlines()
    assert max(len(line) for line in lines) <= most
    assert not [line for line in lines if line != line.rstrip()]


def test_no_word_is_lost_in_a_narrow_terminal() -> None:
    def words(text: str) -> list[str]:
        return sorted(re.findall(r"\S+", text))

    assert words(brief_text(sample.brief(), width=41)) == words(brief_text(sample.brief(), width=100))


def test_colour_only_where_it_is_asked_for() -> None:
    plain, coloured = brief_text(sample.brief()), brief_text(sample.brief(), colour=True)
    assert "\x1b" not in plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
    assert coloured != plain


def test_a_plan_cannot_steer_the_terminal() -> None:
    evidence: dict[str, float | str] = {"areas": 1.0, "first": "school\x1b[31m\r\nGO \u202eevil"}
    finding = Finding("people.area", Severity.STOP, None, "", None, None, None, "our-choice", "other_route", evidence)
    brief = sample.brief(Verdict.NO_GO, title="\x1b]0;title\x07\u009b2J<script>alert(1)</script>", found=(finding,))
    text = brief_text(dataclasses.replace(brief, terrain_source="hills\x1b[5m.tif"))
    unsafe = {letter for letter in text if letter != "\n" and unicodedata.category(letter) in ("Cc", "Cf", "Cs")}
    assert unsafe == set()
    assert "<script>alert(1)</script>" in text


def test_printable_keeps_ordinary_letters() -> None:
    assert printable("Übung −2.5 mΩ, 30 °C") == "Übung −2.5 mΩ, 30 °C"


def test_numbers_that_are_not_known_are_said_so() -> None:
    brief = sample.brief(Verdict.NO_GO)
    back = dataclasses.replace(
        brief.back, turn_back_m=Spread(0.0, 0.0, 0.0), turn_back_s=Spread(math.nan, math.nan, math.nan),
        largest_wind_mps=math.nan, clearance_m=None, set_height_m=None,
    )  # fmt: skip
    text = flat(brief_text(dataclasses.replace(brief, back=back)))
    assert "nan" not in text.lower().replace("antenna", "").replace("finance", "")
    assert "Nowhere on this route is coming home sure enough" in text
    assert "none: even in still air it does not" in text
    assert "how it is set is not known" in text


def test_imperial_units_are_exact_conversions() -> None:
    text = flat(brief_text(sample.brief(), Units.IMPERIAL))
    # 1200 m / 0.3048 = 3937.0 ft, to 10 ft; 643 m / 0.3048 = 2109.6 ft, down to 2100; 5.8 m/s = 12.97 mph, down.
    assert "the plan asks for 3940 ft" in text
    assert "2100 ft" in text
    assert re.search(r"Largest wind that comes home, flown by 12(\.9)? mph hand, from (any|the same) side", text)
    assert set(re.findall(r"\d+ m\b", text)) == {"90 m"}  # the terrain file's own name, as the plan has it
    assert "3.50 V" in text


def test_a_range_walk_that_the_numbers_rest_on_is_told_on_the_terminal_and_on_the_page() -> None:
    walked: dict[str, float | str] = {"link": "control", "walked_m": 437.0, "beyond": "yes", "on": "2025-06-30"}
    note = Finding("walk.measured", Severity.NOTE, None, "", None, None, None, "our-choice", "none", walked)
    brief = sample.brief()
    told = "It was measured on 2025-06-30, out to 435 m from launch. This flight goes beyond that"
    assert told not in flat(brief_text(brief))
    measured = dataclasses.replace(brief, findings=(*brief.findings, note))
    assert told in flat(brief_text(measured))
    assert told in flat(re.sub(r"<[^>]+>", "", page_html(measured)))
