"""The moves that all tests of pages share do see what they look for."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from tests.browser.moves import OPEN_ALL, axe, what_leaves_or_runs, what_scrolls_sideways
from tests.conftest import OpenedPage

pytestmark = pytest.mark.browser

WRONG = """<!doctype html><html lang="en"><head><title>Wrong</title></head><body><main><h1>Wrong</h1>
<details><summary>More</summary><p style="color:#888;background:#999">Faint</p></details>
<p style="width:700px">Wide</p><script>console.log("ran")</script></main></body></html>"""


@pytest.fixture(scope="module")
def wrong(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("wrong") / "wrong.html"
    path.write_text(WRONG, encoding="utf-8")
    return path


def test_a_script_is_seen_and_what_it_says(open_page: Callable[..., OpenedPage], wrong: Path) -> None:
    assert what_leaves_or_runs(open_page(wrong)) == ["ran", '<script>console.log("ran")</script>']


def test_what_is_too_wide_is_seen_at_each_width_that_it_passes(
    open_page: Callable[..., OpenedPage], wrong: Path
) -> None:
    found = what_scrolls_sideways(open_page(wrong).page)
    assert [each.split(" px")[0] for each in found if each.endswith("the page")] == ["320", "390"]
    assert any('<p style="width:700px">' in each for each in found)


def test_faint_letters_are_seen_once_they_are_opened(open_page: Callable[..., OpenedPage], wrong: Path) -> None:
    page = open_page(wrong).page
    assert "color-contrast" not in {each["id"] for each in axe(page)["violations"]}
    page.evaluate(OPEN_ALL)
    assert "color-contrast" in {each["id"] for each in axe(page)["violations"]}
