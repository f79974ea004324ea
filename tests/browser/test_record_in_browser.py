"""The page of a flight record in a real Chromium: nothing leaves, nothing overflows, nothing that axe-core finds."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from tests.browser.moves import OPEN_ALL, faults_when_opened, what_leaves_or_runs, what_scrolls_sideways
from tests.conftest import OpenedPage
from tests.report import record_answers

from turnback.report.record_page import record_html

pytestmark = pytest.mark.browser

Opener = Callable[..., OpenedPage]
LEAST_TEXT_PX = 11.0


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("record") / "record.html"
    path.write_text(record_html(record_answers.flight()), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Names in the file are long and would like to be more than text."""
    path = tmp_path_factory.mktemp("hostile") / "record.html"
    path.write_text(record_html(record_answers.hostile()), encoding="utf-8")
    return path


@pytest.mark.parametrize(("width_px", "dark"), [(390, False), (1280, True)], ids=["phone-light", "desktop-dark"])
def test_axe_finds_nothing(open_page: Opener, whole: Path, width_px: int, dark: bool) -> None:
    page = open_page(whole, width_px, dark=dark).page
    assert faults_when_opened(page) == []


@pytest.mark.parametrize("wish", [{"contrast": "more"}, {"forced_colors": "active"}], ids=["contrast", "forced"])
def test_axe_finds_nothing_in_high_contrast(open_page: Opener, whole: Path, wish: dict[str, str]) -> None:
    page = open_page(whole, dark=True).page
    assert faults_when_opened(page, **wish) == []


def test_nothing_leaves_and_no_script_runs(open_page: Opener, hostile: Path) -> None:
    assert what_leaves_or_runs(open_page(hostile)) == []


@pytest.mark.parametrize("which", ["whole", "hostile"])
def test_nothing_scrolls_sideways(open_page: Opener, which: str, request: pytest.FixtureRequest) -> None:
    assert what_scrolls_sideways(open_page(request.getfixturevalue(which)).page) == []


@pytest.mark.parametrize("width_px", [320, 390, 1280])
def test_marks_of_an_axis_do_not_meet_and_are_large_enough(open_page: Opener, whole: Path, width_px: int) -> None:
    page = open_page(whole, width_px).page
    page.evaluate(OPEN_ALL)
    met, least = page.evaluate(
        """() => {
            const meet = (a, b) => a.left < b.right && b.left < a.right && a.top + 2 < b.bottom && b.top + 2 < a.bottom;
            let met = 0, least = 99;
            for (const axis of document.querySelectorAll('.xs, .ys')) {
                const all = [...axis.children].map(e => e.getBoundingClientRect());
                met += all.flatMap((a, i) => all.slice(i + 1).filter(b => meet(a, b))).length;
                for (const e of axis.children) least = Math.min(least, parseFloat(getComputedStyle(e).fontSize));
            }
            return [met, least];
        }"""
    )
    assert met == 0
    assert least >= LEAST_TEXT_PX


@pytest.mark.parametrize("width_px", [390, 1280])
def test_a_label_of_the_ribbon_stays_inside_its_stretch(open_page: Opener, whole: Path, width_px: int) -> None:
    cut, seen = open_page(whole, width_px).page.evaluate(
        """() => {
            const seen = [...document.querySelectorAll('.band b')].filter(e => e.getClientRects().length);
            const cut = seen.filter(e => e.getBoundingClientRect().width > e.parentElement.clientWidth);
            return [cut.length, seen.length];
        }"""
    )
    assert cut == 0
    assert seen >= 1


def test_phases_are_told_without_colour(open_page: Opener, whole: Path) -> None:
    """Each stretch has the pattern of its entry in the key, and the key has words."""
    page = open_page(whole).page
    looks = page.evaluate("[...document.querySelectorAll('.key .phase')].map(e => getComputedStyle(e).background)")
    assert len(set(looks)) == len(looks) == 7
    assert all(page.locator("#phases .key li > span:last-child").all_inner_texts())


def test_headings_and_names_are_in_order(open_page: Opener, whole: Path) -> None:
    page = open_page(whole).page
    ids = page.evaluate("[...document.querySelectorAll('[id]')].map(e => e.id)")
    assert sorted(ids) == sorted(set(ids))
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4')].map(e => Number(e.tagName[1]))")
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert page.locator("#five dt").first.bounding_box()["y"] < 400


def test_no_chart_is_seen_before_it_is_opened_by_the_keyboard(open_page: Opener, whole: Path) -> None:
    page = open_page(whole).page
    assert page.locator("figure:visible").count() == 0
    acting = page.evaluate("[...document.querySelectorAll('a, summary')].map(e => e.textContent.trim())")
    reached = []
    for _ in acting:
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.textContent.trim()"))
    assert reached == acting
    assert len(acting) >= 8
    page.keyboard.press("Enter")
    assert page.locator("figure.track:visible").count() == 1


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_curves_stand_out_from_their_ground(open_page: Opener, whole: Path, dark: bool) -> None:
    page = open_page(whole, dark=dark).page
    page.evaluate(OPEN_ALL)
    line, ground = page.evaluate(
        """() => [getComputedStyle(document.querySelector('.plot .curve')).stroke,
                  getComputedStyle(document.querySelector('.plot svg')).backgroundColor]
            .map(c => c.match(/\\d+/g).slice(0, 3).map(v => { v /= 255;
                return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }))
            .map(([r, g, b]) => 0.2126 * r + 0.7152 * g + 0.0722 * b)"""
    )
    contrast = (max(line, ground) + 0.05) / (min(line, ground) + 0.05)
    assert contrast >= 4.5  # WCAG 2.2, 1.4.11 asks for 3 of graphics


def test_print_is_whole_on_white(open_page: Opener, whole: Path) -> None:
    page = open_page(whole, 794).page
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("document.documentElement.scrollWidth") <= 794
    assert page.locator("figure.chart").first.is_visible()
