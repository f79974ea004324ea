"""The page of a map in a real Chromium: nothing leaves, nothing overflows, nothing that axe-core finds."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import pytest
from tests.browser.moves import OPEN_ALL, PAST_THE_EDGE, faults, faults_when_opened, what_leaves_or_runs
from tests.conftest import OpenedPage
from tests.report.made_map import made
from tests.report.page_sample import LONG

from turnback.report.map_page import map_html
from turnback.report.numbers import Units

pytestmark = pytest.mark.browser

Opener = Callable[..., OpenedPage]
MOST_BYTES = 3_000_000
MOST_PRINTED_PAGES = 14


@pytest.fixture(scope="module")
def page_path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("map") / "map.html"
    path.write_text(map_html(made(cells=101)), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A map above the limit, every name of it hostile."""
    found = made(cells=51, over_limit=True, height_m=140.0, title=LONG, terrain_source=LONG)
    found = dataclasses.replace(found, areas=tuple((LONG, ring) for _, ring in found.areas))
    path = tmp_path_factory.mktemp("hostile") / "map.html"
    path.write_text(map_html(found, Units.IMPERIAL), encoding="utf-8")
    return path


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width_px", [390, 1280])
@pytest.mark.parametrize("which", ["page_path", "hostile"])
def test_axe_finds_nothing(
    open_page: Opener, which: str, width_px: int, dark: bool, request: pytest.FixtureRequest
) -> None:
    page = open_page(request.getfixturevalue(which), width_px, dark=dark).page
    assert faults(page) == []
    assert faults_when_opened(page) == []


@pytest.mark.parametrize("wish", [{"contrast": "more"}, {"forced_colors": "active"}], ids=["contrast", "forced"])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing_in_high_contrast(
    open_page: Opener, page_path: Path, dark: bool, wish: dict[str, str]
) -> None:
    page = open_page(page_path, dark=dark).page
    page.emulate_media(color_scheme="dark" if dark else "light", **wish)
    assert faults_when_opened(page) == []


@pytest.mark.parametrize("which", ["page_path", "hostile"])
def test_nothing_leaves_and_no_script_runs(open_page: Opener, which: str, request: pytest.FixtureRequest) -> None:
    path = request.getfixturevalue(which)
    assert what_leaves_or_runs(open_page(path)) == []
    assert path.stat().st_size < MOST_BYTES


@pytest.mark.parametrize("which", ["page_path", "hostile"])
@pytest.mark.parametrize("width_px", [320, 390, 768, 1280])
def test_nothing_scrolls_sideways(open_page: Opener, which: str, width_px: int, request: pytest.FixtureRequest) -> None:
    page = open_page(request.getfixturevalue(which), width_px).page
    page.evaluate(OPEN_ALL)
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px
    assert page.evaluate(PAST_THE_EDGE) == []
    page.evaluate("document.documentElement.style.fontSize = '200%'")  # WCAG 2.2, 1.4.4
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px


def test_title_lines_and_picture_stand_on_the_first_screen(open_page: Opener, page_path: Path) -> None:
    page = open_page(page_path, 1280).page
    picture = page.locator("#map svg[role=img]:visible")
    box = picture.bounding_box()
    assert box["width"] > 500
    assert box["y"] + box["height"] < 900
    assert page.locator("#five dt").last.bounding_box()["y"] < 900
    names = [page.locator(f"#{key}").text_content() for key in picture.get_attribute("aria-labelledby").split()]
    assert all(len(name) > 10 for name in names)
    phone = open_page(page_path, 390).page
    assert phone.locator("#map svg[role=img]:visible").count() == 1
    assert phone.locator("#five dt").first.bounding_box()["y"] < 400


def test_no_two_things_of_the_page_have_one_name(open_page: Opener, page_path: Path) -> None:
    ids = open_page(page_path).page.evaluate("[...document.querySelectorAll('[id]')].map(e => e.id)")
    assert sorted(ids) == sorted(set(ids))
    assert len(ids) > 20


def test_above_the_limit_is_marked_in_head_and_caption(open_page: Opener, hostile: Path, page_path: Path) -> None:
    page = open_page(hostile).page
    assert "above the limit" in page.locator("header .warn").inner_text()
    assert "Above the height limit" in page.locator("#map figcaption").inner_text()
    assert open_page(page_path).page.locator(".warn, .warned").count() == 0


def test_the_keyboard_reaches_all_that_acts_in_order(open_page: Opener, page_path: Path) -> None:
    page = open_page(page_path).page
    acting = page.evaluate("[...document.querySelectorAll('a, summary')].map(e => e.textContent.trim())")
    reached = []
    for _ in acting:
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.textContent.trim()"))
    assert reached == acting
    assert len(acting) >= 14


def test_print_is_whole_on_white(open_page: Opener, page_path: Path) -> None:
    page = open_page(page_path, 794).page
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("document.documentElement.scrollWidth") <= 794
    assert page.locator("#cautions").is_visible()
    assert page.locator("#map svg[role=img]:visible").count() == 1
    pdf = page.pdf(format="A4", print_background=True)
    pages = pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page>") + pdf.count(b"/Type /Page ")
    assert 3 <= pages <= MOST_PRINTED_PAGES
