"""The page of the bench in a real Chromium: nothing leaves, nothing overflows, nothing that axe-core finds."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from tests.browser.moves import faults_when_opened, what_leaves_or_runs, what_scrolls_sideways
from tests.conftest import OpenedPage
from tests.report import made_bench
from tests.report.page_sample import LONG

from turnback.report.bench_page import bench_page

pytestmark = pytest.mark.browser

Opener = Callable[..., OpenedPage]
MOST_PRINTED_PAGES = 7
LEAST_TEXT_PX = 11.0


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("bench") / "bench.html"
    said = bench_page(made_bench.one_flip(), made_bench.HEARD, belief=made_bench.belief(), book=made_bench.book())
    path.write_text(said, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What was typed is long and would like to be more than text."""
    path = tmp_path_factory.mktemp("hostile") / "bench.html"
    path.write_text(bench_page(made_bench.one_flip(said=LONG)), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("found") / "bench.html"
    path.write_text(bench_page(made_bench.found_wrong()), encoding="utf-8")
    return path


@pytest.mark.parametrize(("width_px", "dark"), [(390, False), (1280, True)], ids=["phone-light", "desktop-dark"])
@pytest.mark.parametrize("which", ["whole", "found"])
def test_axe_finds_nothing(
    open_page: Opener, which: str, width_px: int, dark: bool, request: pytest.FixtureRequest
) -> None:
    page = open_page(request.getfixturevalue(which), width_px, dark=dark).page
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
def test_portraits_are_large_enough_and_their_text_stays_inside(open_page: Opener, whole: Path, width_px: int) -> None:
    page = open_page(whole, width_px).page
    pictures = page.locator("svg.portrait:visible")
    assert pictures.count() == 6
    seen = page.evaluate(
        """() => [...document.querySelectorAll('svg.portrait text')].map(e => {
            const r = e.getBoundingClientRect(), s = e.ownerSVGElement.getBoundingClientRect();
            return [parseFloat(getComputedStyle(e).fontSize) * e.getCTM().a,
                    r.left >= s.left - 1 && r.right <= s.right + 1 && r.top >= s.top - 1 && r.bottom <= s.bottom + 1];
        })"""
    )
    assert min(size for size, _ in seen) >= LEAST_TEXT_PX
    assert all(inside for _, inside in seen)


def test_texts_of_a_portrait_do_not_meet_each_other_or_the_propeller(open_page: Opener, whole: Path) -> None:
    met = open_page(whole, 1280).page.evaluate(
        """() => [...document.querySelectorAll('svg.portrait')].flatMap(s => {
            const boxes = [...s.querySelectorAll('text')].map(e => e.getBoundingClientRect());
            const shapes = [...s.querySelectorAll('.outline, .bell, .ribbon, .ticks, .section')]
                .map(e => e.getBoundingClientRect());
            const meet = (a, b) => a.left < b.right && b.left < a.right && a.top + 3 < b.bottom && b.top + 3 < a.bottom;
            return boxes.flatMap((a, i) => [...boxes.slice(i + 1), ...shapes].filter(b => meet(a, b)));
        }).length"""
    )
    assert met == 0


def test_states_are_told_without_colour(open_page: Opener, found: Path) -> None:
    page = open_page(found).page
    page.emulate_media(forced_colors="active")
    styles = page.evaluate("[...document.querySelectorAll('.corner')].map(e => getComputedStyle(e).borderTopStyle)")
    assert styles == ["solid", "dashed", "double", "solid"]
    said = page.locator(".corner .state").all_inner_texts()
    assert said == ["Looked at: right so far", "Suspected", "Found wrong", "No doubt so far"]
    assert len(set(page.evaluate("[...document.querySelectorAll('.state svg')].map(e => e.innerHTML)"))) == 4


def test_headings_and_names_are_in_order(open_page: Opener, whole: Path) -> None:
    page = open_page(whole).page
    ids = page.evaluate("[...document.querySelectorAll('[id]')].map(e => e.id)")
    assert sorted(ids) == sorted(set(ids))
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4')].map(e => Number(e.tagName[1]))")
    assert levels[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert page.locator("#five dt").first.bounding_box()["y"] < 400


def test_the_keyboard_reaches_all_that_acts_in_order(open_page: Opener, whole: Path) -> None:
    page = open_page(whole).page
    acting = page.evaluate("[...document.querySelectorAll('a, summary')].map(e => e.textContent.trim())")
    reached = []
    for _ in acting:
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.textContent.trim()"))
    assert reached == acting
    assert len(acting) >= 8


def test_print_is_whole_on_white(open_page: Opener, whole: Path) -> None:
    page = open_page(whole, 794).page
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("document.documentElement.scrollWidth") <= 794
    assert page.locator("#mends .opened").first.is_visible()
    pdf = page.pdf(format="A4", print_background=True)
    pages = pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page>") + pdf.count(b"/Type /Page ")
    assert 2 <= pages <= MOST_PRINTED_PAGES
