"""Where somebody flies stays with them: no coordinate and no folder's name goes into an answer that is passed on."""

from __future__ import annotations

import re
import shutil
import tomllib
from pathlib import Path

import pytest

from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.result import BriefResult
from turnback.report.brief_json import brief_json
from turnback.report.numbers import Units
from turnback.report.page import page_html
from turnback.report.terminal import brief_text

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> tuple[BriefResult, list[str]]:
    """Return the demo's brief from a folder with a telling name, and the place's coordinates as they may be written."""
    folder = tmp_path_factory.mktemp("at-the-pilots-own-house") / "examples"
    shutil.copytree(EXAMPLES, folder)
    demo = (folder / "demo.toml").read_text(encoding="utf-8")
    site = tomllib.loads(demo)["site"]
    part = folder / site if isinstance(site, str) else folder / "demo.toml"
    place = tomllib.loads(part.read_text(encoding="utf-8"))
    place = place.get("site", place)
    degrees = [abs(float(place[key])) for key in ("latitude_deg", "longitude_deg")]
    return brief(read_case(folder / "demo.toml")), [f"{value:.5f}"[:-1] for value in degrees]


def test_no_face_carries_a_coordinate_or_a_folder(answer: tuple[BriefResult, list[str]]) -> None:
    result, degrees = answer
    for said in (
        brief_json(result),
        *(page_html(result, units) for units in Units),
        *(brief_text(result, units) for units in Units),
    ):
        assert len(said) > 1000
        assert not re.search("latitude|longitude", said)
        assert "at-the-pilots-own-house" not in said
        for value in degrees:
            assert not re.search(rf"(?<![\d.]){re.escape(value)}", said), value
