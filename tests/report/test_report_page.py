"""The page: one file that reaches for nothing, says the same numbers as every other face, and keeps text as text."""

from __future__ import annotations

import dataclasses
import json
import math
import os
import re
import stat
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from tests.report import sample

from turnback.base.errors import InputError
from turnback.records.finding import Finding, Severity, Spread, Verdict
from turnback.report import tables, words
from turnback.report.brief_json import brief_json
from turnback.report.five import five_lines
from turnback.report.numbers import Units
from turnback.report.page import page_html, write_report
from turnback.report.terminal import brief_text

MOST_BYTES = 1_500_000
EVIL = "<script>alert(1)</script><img src=x onerror=alert(2)>\"'&amp;{{ 7*7 }}"


class Page(HTMLParser):
    """The text, tags and attributes of a page, by the standard library's parser."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []
        self._inside: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._inside.append(tag)

    def handle_endtag(self, tag: str) -> None:
        while self._inside and self._inside.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not set(self._inside) & {"style", "script"}:
            self.texts.append(data)

    def text(self) -> str:
        """All text, blanks and signs as in the other faces."""
        return re.sub(r"\s+", " ", " ".join(self.texts).replace("\u00a0", " ").replace("\u2212", "-"))


@pytest.fixture(scope="module")
def html() -> str:
    return page_html(sample.brief())


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_it_is_one_file_that_reaches_for_nothing(html: str) -> None:
    page = Page(html)
    policy = next(tag[1]["content"] for tag in page.tags if tag[1].get("http-equiv") == "Content-Security-Policy")
    assert policy is not None
    rules = dict(part.split(" ", 1) for part in policy.split("; "))
    assert rules["default-src"] == "'none'"
    assert rules["base-uri"] == rules["form-action"] == "'none'"
    assert set(rules) == {"default-src", "style-src", "img-src", "base-uri", "form-action"}
    assert not [tag for tag, _ in page.tags if tag in {"script", "iframe", "object", "embed", "form", "base"}]
    for tag, given in page.tags:
        for name, value in given.items():
            assert not name.startswith("on"), (tag, name)
            if name in {"href", "src", "xlink:href", "srcset", "action", "data"}:
                assert value is not None
                assert value.startswith(("#", "data:,")), (tag, name, value)
    assert "@import" not in html
    assert re.findall(r"url\((?!#)", html) == []


def test_it_is_small(html: str) -> None:
    assert len(html.encode()) < MOST_BYTES


def test_long_records_stay_small() -> None:
    """A route of 20 km and a flight of an hour are thinned for drawing."""
    long = 40_000
    brief = sample.brief()
    energy = dataclasses.replace(
        brief.energy,
        **{
            name: np.interp(np.linspace(0, 1, long), np.linspace(0, 1, sample.STATIONS), getattr(brief.energy, name))
            for name in ("time_s", "distance_m", "rest_mid_v", "rest_low_v", "rest_high_v", "loaded_mid_v")
        },
    )
    assert len(page_html(dataclasses.replace(brief, energy=energy)).encode()) < MOST_BYTES


def test_text_of_a_plan_stays_text() -> None:
    evidence: dict[str, float | str] = {"areas": 1.0, "first": EVIL}
    finding = Finding("people.area", Severity.STOP, None, "", None, None, None, "our-choice", "other_route", evidence)
    brief = sample.brief(Verdict.NO_GO, title=EVIL, found=(finding,))
    html = page_html(dataclasses.replace(brief, terrain_source=EVIL))
    page = Page(html)
    assert not [tag for tag, _ in page.tags if tag in {"script", "img"}]
    assert page.text().count("<script>alert(1)</script>") >= 3  # title, finding, terrain: as text
    assert "{{ 7*7 }}" in page.text()


@pytest.mark.parametrize("units", list(Units))
def test_every_face_says_the_same_numbers(units: Units) -> None:
    brief = sample.brief()
    page = Page(page_html(brief, units)).text()
    text = flat(brief_text(brief, units, width=100))
    for line in five_lines(brief, units):
        assert line.text in page
        assert line.text in text
    shown = [tables.limits(brief, units), *tables.all_tables(brief, units)]
    values = [row.value for table in shown for row in table.rows]
    assert len(values) > 60
    for value in values:
        assert value in page, value
    for finding in brief.findings:
        assert words.sentence(finding, units) in page


def test_page_and_json_agree_on_rounded_numbers() -> None:
    """The JSON holds what was computed; the page shows it rounded to the careful side."""
    brief = sample.brief()
    data = json.loads(brief_json(brief))
    page = Page(page_html(brief)).text()
    turn_m = data["return"]["turn_back_m"]["low"]
    assert f"Turn back, from launch, at the latest {math.floor(turn_m / 5) * 5} m" in page
    land_v = math.ceil(data["energy"]["land_by_loaded_v"]["high"] * 100 - 1e-9) / 100
    assert f"goggles show {land_v:.2f} V" in page
    assert f"{math.ceil(data['return']['lowest_height_m'])} m" in page


@pytest.mark.parametrize("verdict", list(Verdict))
def test_every_verdict_stands_first_with_a_shape_of_its_own(verdict: Verdict) -> None:
    html = page_html(sample.brief(verdict))
    said = Page(html).text()
    assert said.index(words.VERDICT_WORDS[verdict]) < said.index("In five lines") < said.index("Limits to keep")
    shapes = {each: re.search(r'class="shape".*?</svg>', page_html(sample.brief(each)), re.S) for each in Verdict}
    assert len({found[0] for found in shapes.values() if found}) == len(Verdict)


def test_nothing_to_mend_leaves_no_empty_heading() -> None:
    html = page_html(sample.brief(Verdict.GO, found=()))
    assert "What to mend" not in html


def test_what_is_not_known_breaks_no_page() -> None:
    nowhere = np.full(sample.STATIONS, np.nan)
    brief = sample.brief(Verdict.NO_GO)
    control = dataclasses.replace(
        brief.control, obstacle_from_launch_m=nowhere, obstacle_height_m=nowhere, canopy_that_breaks_m=math.nan
    )
    back = dataclasses.replace(
        brief.back,
        set_height_m=None,
        clearance_m=None,
        obstacle_from_launch_m=math.nan,
        obstacle_height_m=math.nan,
        largest_wind_mps=math.nan,
        seconds_home_s=Spread(math.inf, math.inf, math.inf),
        turn_back_s=Spread(math.nan, math.nan, math.nan),
    )
    profile = dataclasses.replace(brief.profile, return_m=None, canopy_m=0.0)
    html = page_html(dataclasses.replace(brief, control=control, back=back, profile=profile, video=None, assumed=()))
    said = Page(html).text()
    assert not re.search(r"\b(nan|inf|none,|None)\b", said)
    assert "NaN" not in html
    assert "Nothing: the plan names every value." in said


def test_the_files_stand_in_the_folder_whole(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    path = write_report(sample.brief(), folder)
    assert path == folder / "report.html"
    names = ["brief.json", "brief.schema.json", "report.html", "report.pdf"]
    assert sorted(each.name for each in folder.iterdir()) == names
    assert (folder / "brief.json").read_text(encoding="utf-8") == brief_json(sample.brief())
    assert path.read_text(encoding="utf-8") == page_html(sample.brief())
    mask = os.umask(0)
    os.umask(mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o666 & ~mask


def test_the_same_brief_gives_the_same_page(tmp_path: Path) -> None:
    one, other = (write_report(sample.brief(), tmp_path / name).read_bytes() for name in ("one", "other"))
    assert one == other


def test_a_file_in_the_way_is_told(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("mine")
    for folder in (taken, taken / "below"):
        with pytest.raises(InputError) as told:
            write_report(sample.brief(), folder)
        assert "is a file, not a folder" in str(told.value)
    assert taken.read_text() == "mine"


def test_ids_are_unique_and_every_link_leads_somewhere(html: str) -> None:
    page = Page(html)
    ids = [given["id"] for _, given in page.tags if given.get("id")]
    assert len(ids) == len(set(ids))
    links = [given["href"] for tag, given in page.tags if tag == "a"]
    assert {link[1:] for link in links if link} <= set(ids)
    used = {name for _, given in page.tags for name in (given.get("aria-labelledby") or "").split()}
    assert used <= set(ids)
