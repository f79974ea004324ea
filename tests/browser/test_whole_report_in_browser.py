"""The report of a whole brief in a real Chromium: closed and open, large, in forced colours, by keyboard, on paper."""

from __future__ import annotations

import io
import re
import unicodedata
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from tests.browser.moves import OPEN_ALL, PAST_THE_EDGE, faults, faults_when_opened, what_leaves_or_runs
from tests.conftest import OpenedPage
from tests.report import page_sample, pdf_reading

from turnback.report import words
from turnback.report.cautions import cautions
from turnback.report.five import five_lines
from turnback.report.numbers import Units
from turnback.report.page import page_html
from turnback.report.typography import together

pytestmark = [pytest.mark.browser, pytest.mark.slow]

Opener = Callable[..., OpenedPage]
PAPERS = ("A4", "Letter")
MOST_SCREENS_CLOSED = 20  # of a phone, page one and all expert's pages
MOST_SCREENS_FIRST = 3.2  # page one of a no-go with five stops
PHONE_PX = (390, 844)


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("whole") / "report.html"
    path.write_text(page_html(page_sample.demo()), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("hostile") / "report.html"
    path.write_text(page_html(page_sample.hostile(), Units.IMPERIAL), encoding="utf-8")
    return path


@pytest.mark.parametrize("opened", [False, True], ids=["closed", "open"])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width_px", [390, 1280])
def test_axe_finds_nothing(open_page: Opener, report: Path, width_px: int, dark: bool, opened: bool) -> None:
    page = open_page(report, width_px, dark=dark).page
    if opened:
        page.evaluate(OPEN_ALL)
        assert page.locator("details:not([open])").count() == 0
    assert faults(page) == []


@pytest.mark.parametrize("wish", [{"contrast": "more"}, {"forced_colors": "active"}], ids=["contrast", "forced"])
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing_in_high_contrast(open_page: Opener, report: Path, dark: bool, wish: dict[str, str]) -> None:
    page = open_page(report, dark=dark).page
    page.emulate_media(color_scheme="dark" if dark else "light", **wish)
    assert faults_when_opened(page) == []


@pytest.mark.parametrize("which", ["report", "hostile"])
def test_nothing_leaves_and_no_script_runs(open_page: Opener, which: str, request: pytest.FixtureRequest) -> None:
    assert what_leaves_or_runs(open_page(request.getfixturevalue(which))) == []


def test_the_shading_is_shown_past_the_policy(open_page: Opener, report: Path) -> None:
    """Its picture is data of the page; a policy that refused it would leave the map's middle in one colour."""
    page = open_page(report).page
    box = page.locator("#map .wide svg image").bounding_box()
    assert box["width"] > 300
    shot = page.locator("#map .wide").screenshot()
    assert len(colours_of(shot)) > 60


def colours_of(picture: bytes) -> set[tuple[int, int, int]]:
    """Return the colours of a picture's middle half."""
    image = Image.open(io.BytesIO(picture)).convert("RGB")
    wide, tall = image.size
    middle = image.crop((wide // 4, tall // 4, 3 * wide // 4, 3 * tall // 4))
    return {(int(red), int(green), int(blue)) for red, green, blue in np.asarray(middle).reshape(-1, 3)}


@pytest.mark.parametrize("which", ["report", "hostile"])
@pytest.mark.parametrize("width_px", [320, 390, 768, 1024, 1280])
def test_nothing_scrolls_sideways_with_all_open(
    open_page: Opener, which: str, width_px: int, request: pytest.FixtureRequest
) -> None:
    page = open_page(request.getfixturevalue(which), width_px).page
    page.evaluate(OPEN_ALL)
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px
    assert page.evaluate(PAST_THE_EDGE) == []


@pytest.mark.parametrize("width_px", [390, 1280])
def test_type_twice_as_large_still_fits(open_page: Opener, report: Path, width_px: int) -> None:
    """WCAG 2.2, 1.4.4: text to 200 % without loss."""
    page = open_page(report, width_px).page
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    page.evaluate(OPEN_ALL)
    assert page.evaluate("parseFloat(getComputedStyle(document.querySelector('.five dd')).fontSize)") >= 32
    assert page.evaluate("document.documentElement.scrollWidth") <= width_px
    assert page.evaluate(PAST_THE_EDGE) == []


def test_a_phone_gets_the_answer_first_and_no_endless_page(open_page: Opener, report: Path) -> None:
    wide, tall = PHONE_PX
    page = open_page(report, wide).page
    end = page.locator(".first").bounding_box()
    assert (end["y"] + end["height"]) / tall < MOST_SCREENS_FIRST
    assert page.evaluate("document.documentElement.scrollHeight") / tall < MOST_SCREENS_CLOSED


def test_the_rose_stands_beside_the_five_lines_on_a_desktop(open_page: Opener, report: Path) -> None:
    page = open_page(report, 1280).page
    five, rose = page.locator("#five").bounding_box(), page.locator("#rose svg[role=img]").bounding_box()
    assert rose["x"] > five["x"] + five["width"]
    assert five["y"] < rose["y"] < five["y"] + five["height"]
    assert rose["width"] > 300


@pytest.mark.parametrize("width_px", [390, 1280])
def test_text_in_charts_is_large_enough(open_page: Opener, report: Path, width_px: int) -> None:
    page = open_page(report, width_px).page
    assert page.locator("figure svg[role=img]:visible").count() == 6  # rose, map, side view, volts, two links
    smallest = page.evaluate(
        """() => Math.min(...[...document.querySelectorAll('figure svg[role=img] text')]
            .filter(e => e.getClientRects().length && e.textContent.trim())
            .map(e => parseFloat(getComputedStyle(e).fontSize) * Math.hypot(e.getCTM().a, e.getCTM().b)))"""
    )
    assert smallest >= 11.0  # px on the screen


def test_a_finding_opens_by_keyboard(open_page: Opener, report: Path) -> None:
    page = open_page(report).page
    finding = page.locator("#findings details").first
    said = words.say(page_sample.demo().findings[0]).source
    inside = finding.get_by_text(together(said)).first
    assert not inside.is_visible()
    finding.locator("summary").focus()
    page.keyboard.press("Enter")
    assert inside.is_visible()
    page.keyboard.press("Space")
    assert not inside.is_visible()


def test_a_reason_leads_to_its_finding(open_page: Opener, report: Path) -> None:
    page = open_page(report, 390).page
    reason = page.locator(".mend .why a").first
    target = reason.get_attribute("href")
    reason.click()
    box = page.locator(target).bounding_box()
    assert page.url.endswith(target)
    assert -1 <= box["y"] < 844  # a browser scrolls to whole pixels


def flat(text: str) -> str:
    """Return text without spaces and with letters that print ties together taken apart."""
    return "".join(unicodedata.normalize("NFKC", together(text)).split())


def sheets_of(pdf: bytes) -> list[str]:
    """Return each printed page's text, flat, without its number."""
    said = [sheet.extract_text().strip() for sheet in pdf_reading.reader(pdf).pages]
    return [flat(re.sub(r"^\d+ / \d+", "", text)) for text in said]


@pytest.mark.parametrize("paper", PAPERS)
def test_page_one_is_one_sheet(open_page: Opener, report: Path, paper: str) -> None:
    result = page_sample.demo()
    pdf = open_page(report).page.pdf(format=paper, print_background=True)
    sheets = sheets_of(pdf)
    wanted = [
        words.VERDICT_WORDS[result.verdict], *(line.text for line in five_lines(result, Units.METRIC)),
        "What to mend", "What would make it a go", *cautions(),
    ]  # fmt: skip
    for text in wanted:
        assert flat(text) in sheets[0], text
    assert sheets[1].startswith(flat("Limits to keep"))
    assert len(sheets) <= 16


def test_all_that_is_closed_on_the_screen_is_printed(open_page: Opener, report: Path) -> None:
    page = open_page(report).page
    assert page.locator("details[open]").count() == 0
    closed = page.evaluate(
        """() => [...document.querySelectorAll('details dt, details dd, details p, details td, details tbody th')]
            .map(e => e.textContent)"""
    )
    assert len(closed) > 300
    pdf = page.pdf(format="A4", print_background=True)
    printed = "".join(sheets_of(pdf))
    assert [text for text in closed if flat(text) not in printed] == []


def test_print_is_black_on_white_whatever_the_screen(open_page: Opener, report: Path) -> None:
    page = open_page(report, dark=True).page
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.locator("#findings .opened").first.is_visible()
    assert not page.locator("nav").is_visible()
    assert page.locator("figure svg[role=img]:visible").count() == 6
