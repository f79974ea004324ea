"""The report in a real Chromium: nothing leaves, nothing overflows, nothing that axe-core finds, light and dark."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from tests.browser.moves import axe
from tests.conftest import OpenedPage
from tests.report import sample

from turnback.records.finding import Verdict
from turnback.report import words
from turnback.report.numbers import Units
from turnback.report.page import write_report

pytestmark = pytest.mark.browser

Opener = Callable[..., OpenedPage]
# axe-core's rules of WCAG 2.2 A and AA and its own best practices, all of them.
LEAST_RULES = 25  # axe has some 100; fewer than this passing means that it did not run
A4_PX = 794  # 210 mm at 96 px an inch
MOST_PRINTED_PAGES = 14


@pytest.fixture(scope="module", params=list(Verdict), ids=lambda verdict: verdict.name.lower())
def verdict(request: pytest.FixtureRequest) -> Verdict:
    found: Verdict = request.param
    return found


@pytest.fixture(scope="module")
def report(verdict: Verdict, tmp_path_factory: pytest.TempPathFactory) -> Path:
    title = f"A plan with a rather long title that says <b>where</b> & when, for {verdict.value}"
    return write_report(sample.brief(verdict, title=title), tmp_path_factory.mktemp(verdict.name))


@pytest.fixture(scope="module")
def imperial(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_report(sample.brief(), tmp_path_factory.mktemp("imperial"), Units.IMPERIAL)


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width_px", [390, 1280])
def test_axe_finds_nothing(open_page: Opener, report: Path, width_px: int, dark: bool) -> None:
    found = axe(open_page(report, width_px, dark=dark).page)
    faults = [
        (each["id"], each["help"], [node["html"][:160] for node in each["nodes"][:3]]) for each in found["violations"]
    ]
    assert faults == []
    assert len(found["passes"]) >= LEAST_RULES
    contrast = [each for each in found["passes"] if each["id"] == "color-contrast"]
    assert contrast, "axe judged no contrast"


def test_nothing_leaves_and_nothing_is_refused(open_page: Opener, report: Path) -> None:
    """The request guard of conftest.py sees every request; a broken policy would show on the console."""
    opened = open_page(report)
    said: list[str] = []
    opened.page.on("console", lambda message: said.append(message.text))
    opened.page.on("pageerror", lambda error: said.append(str(error)))
    opened.page.reload()
    opened.page.wait_for_load_state("networkidle")
    assert opened.requests == []
    assert said == []


def test_the_guard_would_see_a_request(open_page: Opener, tmp_path: Path) -> None:
    """The guard itself, held against a page that does reach out."""
    path = tmp_path / "leaky.html"
    path.write_text("<!doctype html><title>x</title><img src='http://192.0.2.1/x.png' alt=''>")
    opened = open_page(path)
    opened.page.wait_for_load_state("networkidle")
    assert opened.requests == ["http://192.0.2.1/x.png"]


@pytest.mark.parametrize("width_px", [320, 390, 768, 1280, 1920])
def test_no_page_scrolls_sideways(open_page: Opener, report: Path, imperial: Path, width_px: int) -> None:
    for path in (report, imperial):
        page = open_page(path, width_px).page
        assert page.evaluate("document.documentElement.scrollWidth") <= width_px
        wide = page.evaluate(
            """() => [...document.querySelectorAll('main *, header *')]
                .filter(e => e.getClientRects().length && !e.closest('svg') && e.closest('thead') === null
                          && e.getBoundingClientRect().right > innerWidth + 1)
                .map(e => e.outerHTML.slice(0, 120))"""
        )
        assert wide == []


def test_the_answer_stands_on_the_first_screen_of_a_phone(open_page: Opener, report: Path, verdict: Verdict) -> None:
    page = open_page(report, 390).page
    box = page.locator("h1").bounding_box()
    assert page.locator("h1").inner_text() == words.VERDICT_WORDS[verdict]
    assert box["y"] + box["height"] < 400
    assert page.locator(".five dt").first.bounding_box()["y"] < 844  # the height of a common phone


def test_headings_step_down_one_at_a_time(open_page: Opener, report: Path) -> None:
    page = open_page(report).page
    levels = page.evaluate("[...document.querySelectorAll('h1,h2,h3,h4,h5,h6')].map(e => Number(e.tagName[1]))")
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert page.evaluate("document.documentElement.lang") == "en"
    assert page.locator("main").count() == page.locator("header").count() == page.locator("footer").count() == 1


@pytest.mark.parametrize("width_px", [390, 1280])
def test_every_chart_is_named_and_drawn_once(open_page: Opener, report: Path, width_px: int) -> None:
    page = open_page(report, width_px).page
    charts = page.locator("figure svg[role=img]:visible")
    assert charts.count() == 4  # side view, volts, two links
    for place in range(charts.count()):
        chart = charts.nth(place)
        names = [page.locator(f"#{key}").text_content() for key in chart.get_attribute("aria-labelledby").split()]
        assert all(len(name) > 10 for name in names)
        box = chart.bounding_box()
        assert box["width"] > 250
        assert box["height"] > 150
    smallest = page.evaluate(
        """() => Math.min(...[...document.querySelectorAll('figure svg[role=img] text')]
            .filter(e => e.getClientRects().length && e.textContent.trim())
            .map(e => parseFloat(getComputedStyle(e).fontSize) * Math.hypot(e.getCTM().a, e.getCTM().b)))"""
    )
    assert smallest >= 11.0  # px on the screen


def test_the_keyboard_reaches_all_that_acts_in_order(open_page: Opener, report: Path) -> None:
    page = open_page(report).page
    acting = page.evaluate("[...document.querySelectorAll('a, summary')].map(e => e.textContent.trim())")
    reached = []
    for _ in acting:
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.textContent.trim()"))
        shown = page.evaluate(
            """() => { const e = document.activeElement, r = e.getBoundingClientRect();
                return [getComputedStyle(e).outlineStyle, r.left >= 0 && r.right <= innerWidth]; }"""
        )
        assert shown == ["solid", True]
    assert reached == acting
    assert len(acting) > 30
    assert page.locator("a").first.get_attribute("href") == "#five"


def test_dark_is_dark_and_light_is_light(open_page: Opener, report: Path) -> None:
    def brightness(*, dark: bool) -> float:
        page = open_page(report, dark=dark).page
        colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
        red, green, blue = (int(part) for part in colour.removeprefix("rgb(").removesuffix(")").split(","))
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    assert brightness(dark=True) < 40
    assert brightness(dark=False) > 215


def test_print_is_whole_on_white(open_page: Opener, report: Path) -> None:
    page = open_page(report, A4_PX).page
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert page.evaluate("document.documentElement.scrollWidth") <= A4_PX
    assert not page.locator("nav").is_visible()
    assert page.locator("figure svg[role=img]:visible").count() == 4
    assert page.locator("#cautions").is_visible()
    pdf = page.pdf(format="A4", print_background=True)
    pages = pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page>") + pdf.count(b"/Type /Page ")
    assert pdf.startswith(b"%PDF")
    assert 3 <= pages <= MOST_PRINTED_PAGES


def test_text_of_a_plan_is_shown_as_text(open_page: Opener, report: Path) -> None:
    page = open_page(report).page
    assert "<b>where</b> & when" in page.locator(".plan").inner_text()
    assert page.locator(".plan b").count() == 0
