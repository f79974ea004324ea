"""Draw the README's pictures anew: the demo's report and a debrief in a real browser, a turn-back map, and a card."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import pypdfium2
from playwright.sync_api import Page, sync_playwright

ROOT = Path(__file__).parents[1]
REPORT = ROOT / "out" / "demo" / "report.html"
PICTURES = ROOT / "docs" / "pictures"
CARD_PLAN = ROOT / "examples" / "go-with-limits.toml"
WIDTH_PX, TOP_PX = 1100, 860
CARD_SCALE = 2.4
RECORD = ROOT / "examples" / "records" / "behind-the-ridge.csv.gz"
SAID = "I flew low over the ridge and down the other side, and the picture froze. I have not found it."


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
        for name in ("map", "side"):
            page.locator(f"#{name} figure").screenshot(path=PICTURES / f"demo-{name}.png")
        draw_debrief(page)
        browser.close()
    draw_card()
    draw_turn_back_map()
    return 0


def draw_debrief(page: Page) -> None:
    """Draw where to look, and the ray that went, of the example's debrief."""
    with tempfile.TemporaryDirectory() as folder:
        asked = (str(RECORD), "--plan", str(ROOT / "examples" / "debrief.toml"), "--said", SAID, "--on", "2026-05-02")
        command = (sys.executable, "-m", "turnback", "debrief", *asked, "--dry-run", "--out", folder)
        subprocess.run(command, check=True, capture_output=True)
        page.goto((Path(folder) / "debrief.html").as_uri())
        page.locator("#search").screenshot(path=PICTURES / "debrief.png")
        page.locator("#model .charts figure").first.screenshot(path=PICTURES / "debrief-ray.png")


def draw_card() -> None:
    """Draw the field card of a nearer flight, as of a fixed hour."""
    with tempfile.TemporaryDirectory() as folder:
        card = Path(folder) / "card.pdf"
        asked = (str(CARD_PLAN), "--out", str(card), "--now", "2026-06-01T10:00Z")
        subprocess.run((sys.executable, "-m", "turnback", "card", *asked), check=True, capture_output=True)
        pypdfium2.PdfDocument(card)[0].render(scale=CARD_SCALE, grayscale=True).to_pil().save(PICTURES / "card.png")


def draw_turn_back_map() -> None:
    """Draw the demo's turn-back map."""
    with tempfile.TemporaryDirectory() as folder:
        plan = str(ROOT / "examples" / "demo.toml")
        subprocess.run(
            (sys.executable, "-m", "turnback", "map", plan, "--out", folder), check=True, capture_output=True
        )
        shutil.copyfile(Path(folder) / "map.png", PICTURES / "turn-back-map.png")


if __name__ == "__main__":
    sys.exit(main())
