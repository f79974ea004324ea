"""The page of a debrief in a real Chromium: nothing leaves, nothing overflows, nothing that axe-core finds."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from tests.browser.moves import OPEN_ALL, faults_when_opened, what_leaves_or_runs, what_scrolls_sideways
from tests.conftest import OpenedPage
from tests.report import debrief_made

from turnback.report.debrief_page import debrief_html

pytestmark = pytest.mark.browser

Opener = Callable[..., OpenedPage]
LEAST_TEXT_PX = 11.0


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("debrief")
    for make in (debrief_made.lost, debrief_made.hostile, debrief_made.injury):
        (path / f"{make.__name__}.html").write_text(debrief_html(make()), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("which", "width_px", "dark"),
    [("lost", 390, False), ("lost", 1280, True), ("injury", 390, True)],
    ids=["phone-light", "desktop-dark", "injury-dark"],
)
def test_axe_finds_nothing(open_page: Opener, folder: Path, which: str, width_px: int, dark: bool) -> None:
    page = open_page(folder / f"{which}.html", width_px, dark=dark).page
    assert faults_when_opened(page) == []


@pytest.mark.parametrize("wish", [{"contrast": "more"}, {"forced_colors": "active"}], ids=["contrast", "forced"])
def test_axe_finds_nothing_in_high_contrast(open_page: Opener, folder: Path, wish: dict[str, str]) -> None:
    page = open_page(folder / "lost.html", dark=True).page
    assert faults_when_opened(page, **wish) == []


def test_nothing_leaves_and_no_script_runs(open_page: Opener, folder: Path) -> None:
    assert what_leaves_or_runs(open_page(folder / "hostile.html")) == []


@pytest.mark.parametrize("which", ["lost", "hostile"])
def test_nothing_scrolls_sideways(open_page: Opener, folder: Path, which: str) -> None:
    assert what_scrolls_sideways(open_page(folder / f"{which}.html").page) == []


@pytest.mark.parametrize("width_px", [320, 1280])
def test_marks_of_an_axis_do_not_meet_and_are_large_enough(open_page: Opener, folder: Path, width_px: int) -> None:
    page = open_page(folder / "lost.html", width_px).page
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
def test_five_lines_are_the_first_screen(open_page: Opener, folder: Path, width_px: int) -> None:
    for which in ("lost", "injury"):
        page = open_page(folder / f"{which}.html", width_px).page
        box = page.locator("#five dd").last.bounding_box()
        assert page.locator("#five dt").count() == 5
        assert box["y"] + box["height"] < 900


def test_headings_and_names_are_in_order(open_page: Opener, folder: Path) -> None:
    page = open_page(folder / "lost.html").page
    ids = page.evaluate("[...document.querySelectorAll('[id]')].map(e => e.id)")
    assert sorted(ids) == sorted(set(ids))
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4')].map(e => Number(e.tagName[1]))")
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_the_expert_opens_by_the_keyboard_and_is_closed_before(open_page: Opener, folder: Path) -> None:
    page = open_page(folder / "lost.html").page
    assert page.locator("#expert figure:visible").count() == 0
    assert page.locator("#expert table:visible").count() == 0
    acting = page.evaluate("[...document.querySelectorAll('a, summary')].map(e => e.textContent.trim())")
    for _ in acting:
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent.trim()") == acting[-1]
    page.locator("#evidence summary").focus()
    page.keyboard.press("Enter")
    assert page.locator("#evidence table:visible").count() == 1


def test_bars_of_evidence_lie_on_their_side_and_are_told_without_colour(open_page: Opener, folder: Path) -> None:
    page = open_page(folder / "lost.html").page
    page.evaluate(OPEN_ALL)
    sides, looks = page.evaluate(
        """() => {
            const side = e => { const p = e.parentElement.getBoundingClientRect(), b = e.getBoundingClientRect();
                return (b.left + b.right) / 2 > (p.left + p.right) / 2 ? 'for' : 'against'; };
            const all = [...document.querySelectorAll('.bar span')];
            const look = n => getComputedStyle(document.querySelector('.bar .' + n)).backgroundImage;
            return [all.map(e => [e.className, side(e)]), ['for', 'against'].map(look)];
        }"""
    )
    assert {name for name, _ in sides} == {"for", "against"}
    assert all(name == side for name, side in sides)
    assert looks[0] == "none"
    assert "gradient" in looks[1]


def test_print_is_whole_on_white(open_page: Opener, folder: Path) -> None:
    page = open_page(folder / "lost.html", 794).page
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("document.documentElement.scrollWidth") <= 794
    assert page.locator("#evidence table").is_visible()
    assert page.locator("figure.track").first.is_visible()
