"""What the tests of every page do in a browser."""

from __future__ import annotations

from typing import Any

from axe_playwright_python.base import AXE_FILE_PATH
from tests.conftest import OpenedPage

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LEAST_PASSES = 25
OPEN_ALL = "document.querySelectorAll('details').forEach(each => { each.open = true })"
PAST_THE_EDGE = """() => [...document.querySelectorAll('main *, header *, footer *')]
    .filter(e => e.getClientRects().length && !e.closest('svg') && e.closest('thead') === null
              && e.getBoundingClientRect().right > innerWidth + 1)
    .map(e => e.outerHTML.slice(0, 120))"""
SCROLL_WIDTH = "document.documentElement.scrollWidth"
TYPE_TWICE_AS_LARGE = "document.documentElement.style.fontSize = '200%'"  # WCAG 2.2, 1.4.4
WIDTHS_PX = (320, 390, 768, 1280)
LARGE_TYPE_WIDTHS_PX = (390, 1280)


def axe(page: Any) -> dict[str, Any]:
    """Run axe-core inside the page, past its content policy, and return what it found."""
    page.evaluate(AXE_FILE_PATH.read_text(encoding="utf-8"))
    found: dict[str, Any] = page.evaluate("tags => axe.run({runOnly: tags, resultTypes: ['violations']})", TAGS)
    return found


def faults(page: Any) -> list[Any]:
    """Return what axe-core finds wrong."""
    found = axe(page)
    assert len(found["passes"]) > LEAST_PASSES
    return [(each["id"], [node["html"][:160] for node in each["nodes"][:3]]) for each in found["violations"]]


def faults_when_opened(page: Any, **wish: str) -> list[Any]:
    """Return what axe-core finds wrong with all details open; in the dark where the reader wishes for contrast."""
    if wish:
        page.emulate_media(color_scheme="dark", **wish)
    page.evaluate(OPEN_ALL)
    return faults(page)


def what_leaves_or_runs(opened: OpenedPage) -> list[str]:
    """Return what a page asks the network for, what it says by script, and what it holds that could."""
    said: list[str] = []
    opened.page.on("console", lambda message: said.append(message.text))
    opened.page.on("pageerror", lambda error: said.append(str(error)))
    opened.page.on("dialog", lambda dialog: said.append(dialog.message))
    opened.page.reload()
    opened.page.evaluate(OPEN_ALL)
    opened.page.wait_for_load_state("networkidle")
    held = opened.page.locator("script, img, iframe").evaluate_all("all => all.map(e => e.outerHTML.slice(0, 120))")
    return [*map(str, opened.requests), *said, *held]


def what_scrolls_sideways(page: Any) -> list[str]:
    """Return what passes the edge of a page with all details open, on a phone to a desktop, and with large type."""
    page.evaluate(OPEN_ALL)
    found = []
    for width_px in WIDTHS_PX:
        page.set_viewport_size({"width": width_px, "height": 900})
        found += [f"{width_px} px: {part}" for part in page.evaluate(PAST_THE_EDGE)]
        if page.evaluate(SCROLL_WIDTH) > width_px:
            found.append(f"{width_px} px: the page")
    for width_px in LARGE_TYPE_WIDTHS_PX:
        page.set_viewport_size({"width": width_px, "height": 900})
        page.evaluate(TYPE_TWICE_AS_LARGE)
        if page.evaluate(SCROLL_WIDTH) > width_px:
            found.append(f"{width_px} px: the page, with type twice as large")
    return found
