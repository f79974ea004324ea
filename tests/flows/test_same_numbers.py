"""The same number everywhere: what a pilot keeps to reads alike in terminal, page, print, card and data."""

from __future__ import annotations

import dataclasses
import io
import json
import re
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pypdf import PdfReader

from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.finding import Severity, Spread
from turnback.records.result import BriefResult
from turnback.report import numbers, tables, terminal, words
from turnback.report.brief_json import brief_json
from turnback.report.brief_schema import brief_schema
from turnback.report.card import Made, card_pdf
from turnback.report.five import LEAST_TURN_BACK_M, five_lines
from turnback.report.numbers import Toward, Units
from turnback.report.page import page_html
from turnback.report.print_page import report_pdf
from turnback.report.redact import redacted

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ["demo", *(pytest.param(name, marks=pytest.mark.slow) for name in
                   ("go", "go-with-limits", "no-go", "cannot-say", "ten-lines", "redacted demo"))]  # fmt: skip
MAY_FLY = [pytest.param(name, marks=pytest.mark.slow) for name in ("go", "go-with-limits")]
MAY_NOT_FLY = ["demo", *(pytest.param(name, marks=pytest.mark.slow) for name in ("no-go", "cannot-say", "ten-lines"))]
UNITS = list(Units)
FOOT = re.compile(r"Turnback \d+\.\d+\.\d+\. .*? draws, seed \d+\.\s*page \d+ / \d+(?:\s*What Value(?= *\n))?")
"""The foot of a printed page, and the head of a table that goes on behind it."""
A_NUMBER = re.compile(r"-?\d[\d,]*(?:\.\d+)? ?(?:miles|mph|m/s|min|ft|km|m|s|V|°)?(?: \d\d s)?(?![\w.])")


@dataclasses.dataclass(frozen=True)
class Face:
    """What a person reads: all of it as one line of text, and the names with their values."""

    text: str
    pairs: tuple[tuple[str, str], ...]

    def holds(self, name: str, value: str) -> bool:
        """True where a name stands with this value beside it."""
        return (name, value) in self.pairs

    def says(self, sentence: str) -> bool:
        """True where a sentence stands in the text."""
        return one_line(sentence) in self.text

    def value(self, name: str) -> str:
        """Return what stands beside a name; the names that begin so must all have the same beside them."""
        (value,) = {value for said, value in self.pairs if said.startswith(name)}
        return value


@dataclasses.dataclass(frozen=True)
class Print:
    """What a PDF says, in the order in which it is set; lines break anywhere, so that spaces do not count."""

    letters: str

    def holds(self, name: str, value: str) -> bool:
        """True where a name is followed by this value."""
        return any(together(name) + mark + together(value) in self.letters for mark in ("", ":"))

    def says(self, sentence: str) -> bool:
        """True where a sentence stands in the text, whole or in two parts: a cell may go on over the page."""
        words = one_line(sentence).split(" ")
        parts = ((together(" ".join(words[:at])), together(" ".join(words[at:]))) for at in range(len(words)))
        return any(first in self.letters and rest in self.letters for first, rest in parts)


def together(text: str) -> str:
    """Return text without its spaces and the foot of its pages, with a plain minus."""
    return re.sub(r"\s", "", one_line(text))


def one_line(text: str) -> str:
    """Return text without its breaks, its narrow spaces and its typographic minus."""
    return " ".join(text.replace("\u00a0", " ").replace("\u2212", "-").split())


@cache
def answer(name: str) -> BriefResult:
    """Return the brief of an example."""
    if name.startswith("redacted "):
        return redacted(answer(name.removeprefix("redacted ")))
    return brief(read_case(EXAMPLES / f"{name}.toml"))


@cache
def faces(name: str, units: Units) -> dict[str, Face]:
    """Return every face of an example's brief that shows names and values."""
    result = answer(name)
    return {"terminal": _terminal(result, units), "page": _page(page_html(result, units))}


@cache
def prints(name: str, units: Units) -> Print:
    """Return the printed report of an example's brief."""
    pages = PdfReader(io.BytesIO(report_pdf(answer(name), units))).pages
    return Print(together("".join(FOOT.sub("", page.extract_text()) for page in pages)))


def everywhere(name: str, units: Units) -> dict[str, Face | Print]:
    """Return every face of an example's brief, the printed report among them."""
    return {**faces(name, units), "print": prints(name, units)}


@cache
def card(name: str, units: Units) -> str:
    """Return the text of the field card of an example's brief."""
    (page,) = PdfReader(io.BytesIO(card_pdf(answer(name), Made(), units=units))).pages
    return one_line(page.extract_text())


def _terminal(result: BriefResult, units: Units) -> Face:
    """The terminal's text, on lines so wide that nothing is wrapped."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(terminal, "WIDEST", 10_000)
        said = terminal.brief_text(result, units, 10_000)
    pairs = [re.split(r" {2,}", line.strip(), maxsplit=1) for line in said.splitlines()]
    return Face(one_line(said), tuple((one_line(pair[0]), one_line(pair[1])) for pair in pairs if len(pair) == 2))


class _Pairs(HTMLParser):
    """Collects the text of a page, and its definition lists."""

    def __init__(self) -> None:
        super().__init__()
        self.inside: list[str] = []
        self.texts: list[str] = []
        self.pairs: list[tuple[str, str]] = []
        self.kept = {"dt": "", "dd": ""}

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.inside.append(tag)
        if tag in self.kept:
            self.kept[tag] = ""

    def handle_endtag(self, tag: str) -> None:
        while self.inside and self.inside.pop() != tag:
            pass
        if tag == "dd":
            self.pairs.append((one_line(self.kept["dt"]), one_line(self.kept["dd"])))

    def handle_data(self, data: str) -> None:
        if "style" in self.inside or "title" in self.inside:
            return
        self.texts.append(data)
        for tag in self.kept:
            if tag in self.inside:
                self.kept[tag] += data


def _page(html: str) -> Face:
    parser = _Pairs()
    parser.feed(html)
    return Face(one_line(" ".join(parser.texts)), tuple(parser.pairs))


def data_of(name: str) -> Any:
    """Return an example's brief as a script reads it."""
    return json.loads(brief_json(answer(name)))


def rows_of(name: str, units: Units) -> Iterator[tuple[str, str]]:
    """Return every name and value of the tables that all faces show."""
    result = answer(name)
    yield from ((one_line(line.label), one_line(line.text)) for line in five_lines(result, units))
    for table in (tables.limits(result, units), *tables.all_tables(result, units)):
        for row in table.rows:
            yield one_line(row.name), one_line(row.value)


def first_number(text: str) -> str:
    """Return the first number of a text, with its unit."""
    found = A_NUMBER.search(text)
    assert found, text
    return found[0].strip()


def found(pattern: str, text: str) -> tuple[str, ...]:
    """Return what the places of a pattern hold; it must be there."""
    met = re.search(pattern, text)
    assert met, f"{pattern} in {text}"
    return met.groups()


def entered(data: Any, rule: str) -> float:
    """Return a limit that a finding names; infinite where there is none."""
    return min((row["limit"] for row in data["findings"] if row["rule"] == rule and row["limit"]), default=float("inf"))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_every_row_of_the_tables_stands_on_every_face(name: str, units: Units) -> None:
    rows = list(rows_of(name, units))
    assert len(rows) > 40
    for face, shown in everywhere(name, units).items():
        missing = [row for row in rows if not shown.holds(*row)]
        assert not missing, face


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_the_volts_to_keep_to_are_those_of_the_data(name: str, units: Units) -> None:
    energy = data_of(name)["energy"]
    kept = {
        "Land by, one cell at rest": energy["land_by_rest_v"],
        "Land by, one cell as goggles show it": energy["land_by_loaded_v"]["high"],
        "Turn back, one cell as goggles show it": energy["turn_back_loaded_v"]["high"],
    }
    for face, shown in faces(name, units).items():
        reading = shown.value("Until which reading")
        for row, volts in kept.items():
            said = numbers.words(volts, "V", units, Toward.UP)
            assert shown.value(row) == said, face
            assert said in reading, face


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_the_turn_back_distance_is_that_of_the_data(name: str, units: Units) -> None:
    data = data_of(name)
    back, limit_m, sight_m = data["return"], entered(data, "law.distance"), entered(data, "observer.orientation")
    ends_m = [back["turn_back_m"]["low"], limit_m]
    if data["verdict"] == "go with limits":  # a flight that may go ends where the observer can still tell its way
        ends_m.append(sight_m)
    least_m, planned = min(*ends_m, back["planned_m"]), back["planned_m"] <= min(ends_m)
    said = numbers.words(least_m, "m", units, Toward.NEAREST if planned else Toward.DOWN)
    for face, shown in faces(name, units).items():
        if least_m < LEAST_TURN_BACK_M:
            assert shown.value("Turn back, from launch").startswith("nowhere on this route"), face
            assert shown.value("How far").startswith("Nowhere on this route"), face
            continue
        assert first_number(shown.value("Turn back, from launch")) == said, face
        assert said in shown.value("How far"), face


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_return_height_wind_and_chance_are_those_of_the_data(name: str, units: Units) -> None:
    data = data_of(name)
    back = data["return"]
    height = numbers.words(back["lowest_height_m"], "m", units, Toward.UP)
    chance = words.spread_chance(Spread(**data["chance"]["home"]))
    for face, shown in faces(name, units).items():
        if back["largest_wind_mps"] is None:
            assert shown.value("Largest wind that comes home").startswith("none"), face
        else:
            wind = numbers.words(back["largest_wind_mps"], "m/s", units, Toward.DOWN)
            assert shown.value("Largest wind that comes home") == wind, face
        assert shown.value("It does not come home") == chance, face
        if back["action"] == "automatic return":
            assert first_number(shown.value("Lowest return height")) == height, face
            assert shown.value("Return height needed") == height, face
            assert height in shown.value("How high"), face


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", NAMES)
def test_what_is_to_be_mended_is_said_in_the_same_words(name: str, units: Units) -> None:
    result = answer(name)
    said = [words.say(finding, units) for finding in result.findings if finding.severity is not Severity.NOTE]
    for face, shown in everywhere(name, units).items():
        assert not [item.sentence for item in said if not shown.says(item.sentence)], face
        assert not [item.do for item in said if not shown.says(item.do)], face
    if units is Units.METRIC:
        in_data = [row["said"] for row in data_of(name)["findings"] if row["severity"] != "note"]
        assert in_data == [item.sentence for item in said]


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", MAY_FLY)
def test_the_card_shows_the_numbers_of_page_and_data(name: str, units: Units) -> None:
    data, said, page = data_of(name), card(name, units), faces(name, units)["page"]
    energy, back, cells = data["energy"], data["return"], data["care"]["cells"]
    for label, row, volts in (
        ("Turn back", "Turn back", energy["turn_back_loaded_v"]["high"]),
        ("Land by", "Land by", energy["land_by_loaded_v"]["high"]),
    ):
        pack, cell = found(rf"{label}: goggles show (\S+ V) (\S+ V) whole pack one cell", said)
        assert cell == page.value(f"{row}, one cell as goggles") == numbers.words(volts, "V", units, Toward.UP)
        assert pack == page.value(f"{row}, whole pack as goggles")
        assert 0.0 <= float(pack.split()[0]) - cells * float(cell.split()[0]) < 0.1
    home, ground = found(r"Timer: turn for home (.+?) landed: (.+?) Whichever", said)
    down_s = energy["time_to_land_by_s"]["low"]
    assert ground == page.value("Be on the ground") == numbers.minutes(down_s, Toward.DOWN)
    home_s = down_s - back["seconds_home_s"]["high"]
    assert home == page.value("Be turning for home") == numbers.minutes(home_s, Toward.DOWN)
    far, high = found(r"Plan, \d+° (\S+ \S+) (\S+ \S+) ", said)
    assert far == first_number(page.value("Turn back, from launch"))
    assert high == page.value("Return height needed") == numbers.words(back["lowest_height_m"], "m", units, Toward.UP)
    assert found(r"Wind no more than (\S+ \S+)", said)[0] == numbers.words(
        min(back["largest_wind_mps"], data["air"]["wind_mps"]["high"]), "m/s", units, Toward.DOWN
    )


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", MAY_NOT_FLY)
def test_the_card_of_a_flight_that_may_not_go_shows_the_volts_of_page_and_data(name: str, units: Units) -> None:
    said, page = card(name, units), faces(name, units)["page"]
    pack, cell = found(r"Land by: goggles show (\S+ V) (\S+ V) whole pack one cell", said)
    volts = data_of(name)["energy"]["land_by_loaded_v"]["high"]
    assert cell == page.value("Land by, one cell as goggles") == numbers.words(volts, "V", units, Toward.UP)
    assert pack == page.value("Land by, whole pack as goggles")
    assert "Timer" not in said


@pytest.mark.parametrize("name", NAMES)
def test_the_data_keep_to_their_schema(name: str) -> None:
    faults = jsonschema.Draft202012Validator(brief_schema()).iter_errors(data_of(name))
    assert [f"{fault.json_path}: {fault.message}" for fault in faults] == []
