"""The page of a map as text: the words and numbers of the other faces, every layer, nothing unescaped."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from tests.report.made_map import made, nowhere
from tests.report.page_sample import LONG, Element, first, read
from tests.report.pseudo import PSEUDO, Pseudo, outside, shown

from turnback.records.home_map import LAYERS
from turnback.report import words_map, words_map_heights, words_map_layers
from turnback.report.language import speaking_by
from turnback.report.map_json import map_json
from turnback.report.map_page import map_html
from turnback.report.map_terminal import map_text
from turnback.report.numbers import Units

FOUND = made(cells=41)
UNITS_ALONE = {"dB", "Wh", "ft", "m", "W", "h", "N"}
"""Units whose number stands a message away, as in "10 to 15 dB", and the letter of north."""


@pytest.fixture(scope="module", params=Units, ids=lambda units: units.value)
def page(request: pytest.FixtureRequest) -> tuple[Element, Units]:
    return read(map_html(FOUND, request.param)), request.param


def section(page: Element, name: str) -> Element:
    found = page.by_id(name)
    assert found is not None, name
    return found


def test_the_page_says_the_five_lines_of_the_terminal(page: tuple[Element, Units]) -> None:
    root, units = page
    said = [each.text() for each in section(root, "five").every("dd")]
    assert said == [line.text for line in words_map.five_map_lines(FOUND, units)]
    terminal = " ".join(map_text(FOUND, units, width=100).split())
    assert all(sentence in terminal for line in said for sentence in line.split(". ")[:1])


def test_the_table_holds_sixteen_bearings_and_marks_the_worst(page: tuple[Element, Units]) -> None:
    root, units = page
    rows = section(root, "bearings").every("tr")[1:]
    assert len(rows) == 16
    wanted = words_map.sector_rows(FOUND.ring, units)
    assert [row.every("td")[0].text() for row in rows] == [row.distance for row in wanted]
    (worst,) = [row for row in rows if row.given.get("class") == "worst"]
    assert "the shortest" in worst.text()
    least = min(json.loads(map_json(FOUND))["ring"]["turn_back_m"])
    assert least == 880.0  # read off made_map.ring_of
    assert worst.every("td")[0].text() == {Units.METRIC: "880 m", Units.IMPERIAL: "2880 ft"}[units]  # 2887.1 ft


def test_heights_and_layers_are_there(page: tuple[Element, Units]) -> None:
    root, units = page
    heights = section(root, "heights")
    lines = [each.text() for each in heights.every("p")]
    assert lines == list(words_map_heights.heights_lines(FOUND, units))
    assert len(heights.every("tr")) == 1 + len(FOUND.heights)
    for key in words_map_layers.SHOWN:
        opened = section(root, f"layer-{key.replace('_', '-')}")
        assert opened.tag == "details"
        assert words_map_layers.layer_title(key) in opened.text()
        assert opened.every("svg")
    assert len(section(root, "in-file").every("dt")) == len(LAYERS)


def test_cautions_stand_on_the_page(page: tuple[Element, Units]) -> None:
    said = section(page[0], "cautions").text()
    assert "This does not know your local law." in said
    assert "This map is no permission." in said


def test_without_sweep_layers_and_place_the_page_stands() -> None:
    keys = ("home", "home_low", "home_high", "reason", "control_margin", "sight", "energy")
    bare = replace(nowhere(FOUND), heights=(), areas=(), layers={key: FOUND.layers[key] for key in keys})
    root = read(map_html(bare))
    assert root.by_id("heights") is None
    assert root.by_id("layer-people") is None
    assert "The plan names no areas where people may be" in section(root, "layers").text()
    assert "ring.geojson is left out" in section(root, "rests").text()


def test_what_came_from_a_plan_is_shown_as_text() -> None:
    hostile = replace(FOUND, title=LONG, terrain_source=LONG, areas=tuple((LONG, ring) for _, ring in FOUND.areas))
    html = map_html(hostile)
    root = read(html)
    assert not [each for each in root.every() if each.tag in ("script", "img")]
    assert "alert(1)" in first(root, class_="plan").text()
    assert "\u202e" not in html
    assert "49" not in first(root, class_="plan").text()  # {{ 7*7 }} is text, not a template


def test_the_page_asks_for_nothing_outside() -> None:
    html = map_html(FOUND)
    assert "default-src 'none'" in html
    for address in ('src="http', 'href="http', "url(http", "@import"):
        assert address not in html


def test_the_same_map_gives_the_same_page() -> None:
    assert map_html(FOUND) == map_html(made(cells=41))


@pytest.mark.parametrize("units", Units)
def test_every_word_of_the_page_can_be_translated(units: Units) -> None:
    found = replace(FOUND, over_limit=True)
    with speaking_by(Pseudo(), PSEUDO):
        html = map_html(found, units)
    names = [found.title, found.terrain_source, *(name for name, _ in found.areas)]
    # lines of a picture break inside a message, so all is read as one text
    assert set(outside(" ".join(" ".join(shown(html)).split()), names)) <= UNITS_ALONE
