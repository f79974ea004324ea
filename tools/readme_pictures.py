"""Draw the README's pictures anew: the demo's report in a real browser, its first screen and its side view."""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[1]
REPORT = ROOT / "out" / "demo" / "report.html"
PICTURES = ROOT / "docs" / "pictures"
WIDTH_PX, TOP_PX = 940, 860


def main() -> int:
    """Take the pictures; `make demo` comes first."""
    if not REPORT.exists():
        print("out/demo/report.html is not there; run make demo first", file=sys.stderr)
        return 2
    PICTURES.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": WIDTH_PX, "height": TOP_PX}, color_scheme="light")
        page.goto(REPORT.as_uri())
        page.screenshot(path=PICTURES / "demo-top.png")
        page.locator("figure").first.screenshot(path=PICTURES / "demo-side.png")
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
