"""The whole page of a whole brief: page one for the pilot, the expert's pages behind it, text that stays text."""

from __future__ import annotations

import dataclasses
import gettext
import re
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from tests.report import page_sample, sample
from tests.report.page_sample import Element, demo, first, read

from turnback.records.finding import Severity, Verdict
from turnback.records.result import BriefResult
from turnback.report import page_parts, svg, words
from turnback.report.cautions import cautions, not_modelled
from turnback.report.charts import charts
from turnback.report.five import five_lines
from turnback.report.language import speaking_by
from turnback.report.numbers import Units
from turnback.report.page import page_html
from turnback.report.words_care import care_lines, care_table
from turnback.report.words_changes import changes_lines, changes_table
from turnback.report.words_fall import CONTEXT, fall_lines, fall_table
from turnback.report.words_pilot import criterion, pilot_lines, pilot_tables, skill
from turnback.report.words_rose import rose_lines, rose_rows

METRIC = Units.METRIC
MOST_BYTES = 1_500_000
EXPERTS = (
    "limits", "bearings", "map", "fall", "side", "volts", "margin-control", "margin-video", "pilot", "care",
    "all-changes", "numbers", "findings", "assumed", "not-modelled",
)  # fmt: skip
SECTION_OF = {
    "fall": "fall", "pilot": "pilot", "care": "care", "changes": "changes", "rose": "rose", "ground_plan": "map",
}  # fmt: skip


@cache
def page(units: Units = METRIC) -> Element:
    return read(page_html(demo(), units))


def part(root: Element, name: str) -> Element:
    found = root.by_id(name)
    assert found is not None, name
    return found


def in_order(text: str, parts: list[str]) -> bool:
    places = [text.find(each) for each in parts]
    return -1 not in places and all(before < after for before, after in pairwise(places))


def test_page_one_is_for_the_pilot() -> None:
    root = page()
    lines = [line.text for line in five_lines(demo(), METRIC)]
    one = first(root, class_="first")
    parts = [*lines, "How far out it can turn back", "What to mend", "What would make it a go", *cautions()]
    assert in_order(one.text(), parts)
    assert words.VERDICT_WORDS[demo().verdict] in first(root, class_=f"verdict {demo().verdict.value}").text()
    whole = root.text()
    assert whole.index(cautions()[-1]) < whole.index("The expert's pages")


def test_the_experts_pages_follow_in_order() -> None:
    behind = first(page(), class_="expert")
    sections = [each.given["id"] for each in behind.every("section")]
    assert sections == list(EXPERTS)
    links = [each.given["href"] for each in page().every("nav")[0].every("a")]
    assert links == [f"#{name}" for name in EXPERTS]
    for section in behind.every("section"):
        assert section.every("h2")[0].given["id"] == section.given["aria-labelledby"]


@pytest.mark.parametrize("units", list(Units))
def test_every_part_is_told_in_full(units: Units) -> None:
    result, said = demo(), page(units).text()
    assert result.fall is not None
    assert result.pilot is not None
    assert result.care is not None
    assert result.changes is not None
    tables = [fall_table(result.fall, units), *pilot_tables(result.pilot, units), care_table(result.care, units)]
    cells = [cell for row in rose_rows(result, units) for cell in dataclasses.astuple(row)[:4]]
    cells += [cell for row in changes_table(result.changes, units) for cell in dataclasses.astuple(row)]
    told = [
        *fall_lines(result.fall, units), *pilot_lines(result.pilot, units), *care_lines(result.care, units),
        *changes_lines(result.changes, units), *rose_lines(result, units), *not_modelled(),
        *(text for table in tables for row in table.rows for text in (row.name, row.value) if row.value != CONTEXT),
        *cells,
    ]  # fmt: skip
    assert len(told) > 150
    for text in told:
        assert text in said, text


def test_thresholds_stand_with_their_clause_and_the_caution_is_open() -> None:
    section = part(page(), "fall")
    opened = section.every("details")[0].text()
    for clause in ("14 CFR 107.110(a)(1)", "14 CFR 107.120(a)(1)", "14 CFR 107.130(a)(1)", "(EU) 2019/945"):
        assert clause in opened
    assert CONTEXT in section.text()
    assert CONTEXT not in opened


def test_the_graded_way_is_a_list_of_steps_with_what_they_take_and_prove() -> None:
    """Five of five show at least 55 %, twenty of twenty 86 %: 0.05 to the power 1/n (Clopper and Pearson)."""
    pilot = demo().pilot
    assert pilot is not None
    steps = [each.text() for each in first(part(page(), "pilot"), class_="way").every("li")]
    assert len(steps) == len(pilot.steps) == 7
    for told, step in zip(steps, pilot.steps, strict=True):
        assert told.lower().startswith(skill(step.skill).lower())
        assert criterion(step, METRIC) in told
        proven = {5: f"{0.05 ** (1 / 5):.0%}", 20: f"{0.05 ** (1 / 20):.0%}"}[step.trials.of]
        assert proven.replace("%", " %") in told


def test_each_finding_opens_and_names_its_source() -> None:
    found = part(page(), "findings").every("details")
    assert len(found) == len(demo().findings)
    for shown, finding in zip(found, demo().findings, strict=True):
        said = words.say(finding, METRIC)
        head = shown.every("summary")[0].text()
        assert head.startswith(f"{said.severity} {said.title}")
        assert said.sentence in shown.text()
        assert said.do in shown.text()
        assert f"Source {said.source}" in shown.text()


@pytest.mark.parametrize("missing", page_sample.OPTIONAL)
def test_a_part_that_nobody_worked_out_leaves_no_heading(missing: str) -> None:
    parts: dict[str, Any] = {missing: None}
    root = read(page_html(dataclasses.replace(demo(), **parts)))
    assert root.by_id(SECTION_OF[missing]) is None
    ids = {each.given.get("id") for each in root.every()}
    links = [str(each.given["href"]) for each in root.every("a")]
    assert {link[1:] for link in links} <= ids
    others = [name for given, name in SECTION_OF.items() if given != missing]
    assert all(root.by_id(name) is not None for name in others)
    assert len(others) == 5


def test_one_thing_to_do_stands_once_with_all_that_asks_for_it() -> None:
    mended = first(page(), class_="mend").every("li")
    doing = [each.every("p")[0].text() for each in mended]
    assert len(doing) == len(set(doing))
    shorter = next(each for each in mended if each.text().startswith("Plan a shorter way out, move the pilot"))
    reasons = shorter.every("a")
    assert [each.text() for each in reasons] == [
        "The control link may break on the route.", "The picture may break on the route."
    ]  # fmt: skip
    for each in reasons:
        assert part(page(), str(each.given["href"])[1:]).tag == "details"


def test_what_stops_the_flight_is_never_left_out() -> None:
    """Ten things to mend, eight of them stops that ask for different things: all eight stand, the rest is counted."""
    keys = ("shorten", "charge_pack", "fly_lower", "fly_higher", "warm_pack", "other_route", "test_return",
            "balance_charge", "get_terrain", "measure_wind")  # fmt: skip
    made = [
        dataclasses.replace(sample.findings()[3], severity=Severity.STOP if i < 8 else Severity.LIMIT, do=key)
        for i, key in enumerate(keys)
    ]
    shown, left = page_parts.mend(sample.brief(Verdict.NO_GO, found=tuple(made)))
    assert [item.do for item in shown] == [words.action(key) for key in keys[:8]]
    assert left == 2


@pytest.mark.parametrize("verdict", list(Verdict))
def test_limits_stand_on_page_one_where_the_flight_may_go(verdict: Verdict) -> None:
    root = read(page_html(dataclasses.replace(demo(), verdict=verdict)))
    one = first(root, class_="first").by_id("limits")
    assert (one is not None) == (verdict in (Verdict.GO, Verdict.GO_WITH_LIMITS))
    assert len([each for each in root.every() if each.given.get("id") == "limits"]) == 1


def test_limits_say_no_more_than_the_five_lines() -> None:
    """An observer can tell which way it points to 137 m only: no limit on the page says 350 m."""
    limited: BriefResult = dataclasses.replace(demo(), verdict=Verdict.GO_WITH_LIMITS)
    back = dataclasses.replace(limited.back, planned_m=350.0)
    back = dataclasses.replace(back, turn_back_m=dataclasses.replace(back.turn_back_m, low=545.0))
    root = read(page_html(dataclasses.replace(limited, back=back)))
    assert "Turn back at 137 m from launch at the latest" in part(root, "five").text()
    assert "Turn back, from launch, at the latest 137 m" in part(root, "limits").text()


def test_text_from_files_stays_text_everywhere() -> None:
    root = read(page_html(page_sample.hostile()))
    evil = re.sub(r"\s+", " ", page_sample.EVIL)
    assert not root.every("script") + root.every("img") + root.every("iframe")
    for name in ("fall", "findings", "numbers"):
        assert evil in part(root, name).text(), name
    assert evil in first(root, class_="plan").text()
    for each in root.every():
        assert not [name for name in each.given if name.startswith("on") or name == "srcdoc"]
        assert "alert" not in str({name: value for name, value in each.given.items() if name != "aria-label"})
        assert "{{" not in str(each.given)


def test_nothing_turns_the_direction_of_writing() -> None:
    html = page_html(page_sample.hostile())
    assert "\u202e" in page_sample.hostile().title
    assert not set(html) & set("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\x00\x1b")
    assert html.count("\ufffdgnp.exe\ufffd") >= 5


def test_it_reaches_for_nothing_with_every_part() -> None:
    html = page_html(demo())
    pictures = 0
    for each in read(html).every():
        for name, value in each.given.items():
            if name in {"href", "src", "xlink:href", "srcset", "action", "data", "poster"}:
                assert str(value).startswith(("#", "data:,", "data:image/png;base64,")), (each.tag, name, value)
                pictures += str(value).startswith("data:image/png")
    assert pictures == 2  # the map's shading, wide and narrow
    assert re.findall(r"url\((?!#)", html) == []
    assert "<script" not in html


@pytest.mark.parametrize("make", [demo, page_sample.hostile])
def test_a_whole_page_is_small(make: object) -> None:
    assert callable(make)
    assert len(page_html(make()).encode()) < MOST_BYTES


def test_the_same_brief_is_drawn_to_the_same_bytes() -> None:
    one = page_html(demo())
    svg._rendered.cache_clear()
    assert page_html(demo()) == one


def test_ids_are_unique_with_every_part() -> None:
    ids = [each.given["id"] for each in page().every() if each.given.get("id")]
    assert len(ids) == len(set(ids))
    used = {name for each in page().every() for name in str(each.given.get("aria-labelledby") or "").split()}
    assert used <= set(ids)


def test_every_chart_stands_on_the_page_with_its_words() -> None:
    drawn = [each for each in page().every("svg") if each.given.get("role") == "img"]
    for chart in charts(demo(), METRIC):
        mine = [each for each in drawn if str(each.given["aria-labelledby"]).startswith(f"{chart.name}-")]
        assert len(mine) == (1 if chart.name == "rose" else 2), chart.name
        for each in mine:
            assert each.every("title")[0].text() == chart.title
            assert each.every("desc")[0].text() == re.sub(r"\s+", " ", chart.alt)


def test_a_language_from_the_right_turns_the_page() -> None:
    for code, direction in (("en", "ltr"), ("he", "rtl"), ("ar_EG", "rtl"), ("arn", "ltr")):
        with speaking_by(gettext.NullTranslations(), code):
            html = read(page_html(sample.brief())).every("html")[0]
        assert (html.given["lang"], html.given["dir"]) == (code, direction)
