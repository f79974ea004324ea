"""The documentation builds without a warning, asks nothing of a network, and quotes the values that hold today."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest

from turnback.assess.draw_set import UNKNOWN_DRAWS
from turnback.assess.draws import chance_nodes
from turnback.assess.judge_facts import SIGHT_M
from turnback.base.sources import SOURCES
from turnback.readers.known_keys import keys_of
from turnback.records.aircraft import AircraftFile
from turnback.records.pack import PackFile
from turnback.records.plan import Answers, RouteFile
from turnback.records.radio import ControlFile
from turnback.records.site import SiteFile, WeatherFile
from turnback.rules.chance import GO_CHANCE, LIMIT_CHANCE
from turnback.rules.flight import REPORT_DISTANCE, RETURN_CLEARANCE, RETURN_HEADWIND
from turnback.rules.people import ORIENTATION, ORIENTATION_OFFSET
from turnback.rules.typical import typical

ROOT: Final = Path(__file__).resolve().parent.parent
DOCS: Final = ROOT / "docs"
DECISIONS: Final = sorted((DOCS / "decisions").glob("0*.md"))


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the pages; any warning is a fault."""
    out = tmp_path_factory.mktemp("docs")
    done = subprocess.run(
        [sys.executable, "-m", "sphinx", "-W", "--keep-going", "-q", "-b", "html", "-d", str(out / "trees"), str(DOCS),
         str(out / "html")],
        cwd=ROOT, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return out / "html"


@pytest.mark.slow
@pytest.mark.parametrize(
    "record", [AircraftFile, PackFile, ControlFile, SiteFile, WeatherFile, RouteFile, Answers], ids=lambda r: r.__name__
)
def test_the_reference_names_every_key_of_a_plan(built: Path, record: type[AircraftFile]) -> None:
    page = re.sub(r"<[^>]+>", "", (built / "reference" / "plan.html").read_text(encoding="utf-8"))
    assert [key for key in keys_of(record) if not re.search(rf"\b{key}\b", page)] == []


@pytest.mark.slow
def test_the_reference_lists_every_source(built: Path) -> None:
    page = (built / "reference" / "sources.html").read_text(encoding="utf-8")
    assert [key for key in SOURCES if f">{key}<" not in page] == []


@pytest.mark.slow
def test_the_pages_fetch_nothing(built: Path) -> None:
    pages = list(built.rglob("*.html"))
    assert len(pages) > 20
    for page in pages:
        text = page.read_text(encoding="utf-8")
        asked = re.findall(r"""<(?:script|img|iframe|source)\b[^>]*\bsrc=["']([^"']+)""", text)
        asked += re.findall(r"""<link\b[^>]*rel=["'](?:stylesheet|preload|icon)["'][^>]*\bhref=["']([^"']+)""", text)
        assert [address for address in asked if re.match(r"(\w+:)?//", address)] == [], page.name


CHANCE: Final = typical("chance")
FALL: Final = typical("fall")
QUOTES: Final = {
    "models/links.md": [
        f"{CHANCE['sigma_clear_db'].value:g} dB in line of sight",
        f"{CHANCE['sigma_grazing_db'].value:g} dB where the ground",
        f"{CHANCE['sigma_diffracted_db'].value:g} dB behind an edge",
        f"{CHANCE['sigma_trees_db'].value:g} dB more in squares under trees",
    ],
    "models/chance.md": [
        f"{UNKNOWN_DRAWS} worlds",
        f"{chance_nodes().wind_z.size} fixed nodes",
        f"{chance_nodes().hand_z.size} Gauss-Hermite nodes",
        f"{UNKNOWN_DRAWS * chance_nodes().count:,} marched flights",
    ],
    "models/judgement.md": [
        f"below {LIMIT_CHANCE.value:g} even at",
        f"at least {GO_CHANCE.value:g} nothing",
        f"{ORIENTATION.value:g} spans and {ORIENTATION_OFFSET.value:g} m",
    ],
    "models/return.md": [
        f"at least {RETURN_CLEARANCE.value:g} m below",
        f"{RETURN_HEADWIND.value:g} m/s over ground",
        f"falls to {LIMIT_CHANCE.value:g}",
    ],
    "models/fall.md": [
        f"times {FALL['drag_ratio'].value:g}, {FALL['drag_ratio'].low:g} to {FALL['drag_ratio'].high:g}",
        f"sinks at {FALL['descend_mps'].value:g} m/s, {FALL['descend_mps'].low:g} to {FALL['descend_mps'].high:g}",
        f"and {FALL['gust_across_ratio'].value:g} of that across",
    ],
    "models/air.md": [f"farther than {REPORT_DISTANCE.value:g} km"],
    "models/terrain.md": [f"Within {SIGHT_M:g} m of the pilot"],
    "models/pack.md": [f"{typical('style')['landing_hover_s'].value:g} s for a go-around"],
}


@pytest.mark.parametrize("page", QUOTES)
def test_explanations_quote_the_values_that_hold_today(page: str) -> None:
    text = " ".join((DOCS / page).read_text(encoding="utf-8").split())
    assert [quote for quote in QUOTES[page] if quote not in text] == []


def test_decisions_are_numbered_without_a_gap_and_say_what_they_cost() -> None:
    assert [int(page.name[:4]) for page in DECISIONS] == list(range(1, len(DECISIONS) + 1))
    for page in DECISIONS:
        text = page.read_text(encoding="utf-8")
        assert text.startswith(f"# {int(page.name[:4])}. ")
        assert all(f"**{part}" in text for part in ("To decide", "Chosen", "Why", "Costs")), page.name
