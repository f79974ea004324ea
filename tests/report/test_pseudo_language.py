"""Every word that people read passes through the language: spoken in brackets, nothing stands outside of them."""

from __future__ import annotations

import dataclasses
import io
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from itertools import product
from pathlib import Path

import pypdf
import pytest
from tests.report import sample
from tests.report.pseudo import PSEUDO, Pseudo, outside, shown

from turnback.base.sources import SOURCES
from turnback.flows.brief import brief
from turnback.readers.case import read_case
from turnback.records.finding import Finding, Severity, Verdict
from turnback.records.result import BriefResult
from turnback.report import card, numbers, terminal, words
from turnback.report.charts import charts
from turnback.report.language import speaking_by, text
from turnback.report.new_plan import QUESTIONS, Value, new_plan_text
from turnback.report.numbers import Units
from turnback.report.page import page_html
from turnback.report.print_page import report_pdf
from turnback.report.terminal import brief_text
from turnback.report.words_actions import ACTION_WORDS, MEASURE_PREFIX
from turnback.report.words_parameters import LINK_NAMES, LINK_WORDS, PARAMETER_WORDS
from turnback.report.words_rules import RULE_WORDS

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
ON_ONE_LINE = 100_000


@pytest.fixture(autouse=True)
def _spoken() -> Iterator[None]:
    with speaking_by(Pseudo(), PSEUDO):
        yield


@cache
def answer(path: Path) -> BriefResult:
    return brief(read_case(path))


def from_plan(result: BriefResult) -> list[str]:
    """Return the texts that a plan brings itself, and the name of a cell's make, which is the same everywhere."""
    names = [str(finding.evidence.get("first", "")) for finding in result.findings]
    met = [] if result.fall is None else list(result.fall.meets)
    made = [] if result.care is None else [result.care.chemistry]
    return [result.title, result.terrain_source, *names, *met, *made]


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_word_of_a_brief_can_be_translated(path: Path, units: Units, monkeypatch: pytest.MonkeyPatch) -> None:
    # Two columns that wrap would mix the brackets of both: nothing wraps here.
    monkeypatch.setattr(terminal, "WIDEST", ON_ONE_LINE)
    result = answer(path)
    said = brief_text(result, units, ON_ONE_LINE)
    assert said.count("⟦") > 150
    assert outside(said, from_plan(result)) == []


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("verdict", Verdict)
def test_every_word_of_a_brief_by_hand_can_be_translated(
    verdict: Verdict, units: Units, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(terminal, "WIDEST", ON_ONE_LINE)
    result = sample.brief(verdict)
    assert outside(brief_text(result, units, ON_ONE_LINE), from_plan(result)) == []


@pytest.mark.parametrize("units", Units)
@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_word_of_the_page_can_be_translated(path: Path, units: Units) -> None:
    """What is seen, and what a screen reader says: each text by itself."""
    result = answer(path)
    page = page_html(result, units)
    said = shown(page)
    assert len(said) > 500
    known = from_plan(result)
    assert [(each, loose) for each in said if (loose := outside(each, known))] == []
    assert f'<html lang="{PSEUDO}"' in page


def card_of(result: BriefResult, units: Units) -> bytes:
    return card.card_pdf(result, card.Made(datetime(2026, 5, 2, 9, 30, tzinfo=UTC)), units=units)


@pytest.mark.parametrize("printed", [card_of, report_pdf], ids=["card", "report"])
@pytest.mark.parametrize("name", ["go", "demo"])
def test_every_word_in_print_can_be_translated(name: str, printed: Callable[[BriefResult, Units], bytes]) -> None:
    """The font of print has no brackets of that kind; it has guillemets."""
    brackets = "«»"
    found = answer(next(path for path in EXAMPLES if path.stem == name))
    result = dataclasses.replace(found, title="Quillfeather")  # a long title is cut short on a card
    with speaking_by(Pseudo(brackets), PSEUDO):
        pages = pypdf.PdfReader(io.BytesIO(printed(result, Units.METRIC))).pages
    said = " ".join(" ".join(page.extract_text().split()) for page in pages)
    assert said.count("«") > 20
    assert outside(said, [*from_plan(result), "UTC"], brackets) == []


def titles(spec: object) -> Iterator[str]:
    """Yield every title in a chart's data, however deep."""
    inner = spec.values() if isinstance(spec, dict) else spec if isinstance(spec, list) else ()
    if isinstance(spec, dict) and isinstance(spec.get("title"), str):
        yield spec["title"]
    for part in inner:
        yield from titles(part)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_word_of_the_charts_can_be_translated(path: Path) -> None:
    drawn = [chart for units in Units for chart in charts(answer(path), units)]
    assert sum(1 for chart in drawn if list(titles(list(chart.layers)))) >= 6, (
        "side view, volts and a link, in both units"
    )
    for chart in drawn:
        axes = {title for layer in chart.layers for title in titles(layer)}
        assert len(axes) in (0, 2), "a rose and a map have no axes"
        for said in (chart.title, chart.alt, *(key.label for key in chart.keys), *axes):
            assert said.startswith("⟦")
            assert outside(said) == []


Given = dict[str, float | str]
HEIGHTS: tuple[Given, ...] = ({}, {"obstacle_height_m": 48.0})
SIGHTS: tuple[Given, ...] = ({}, {"line_of_sight": "yes"}, {"line_of_sight": "no"})
EVIDENCE: tuple[Given, ...] = (
    {},
    {"corner": "rear-left"},
    {"areas": 1.0, "first": "unnamed"},
    {"areas": 2.0, "first": "unnamed"},
    {"reason": "video"},
    {"stale": "yes", "largest_wind_mps": 5.8, "headwind_mps": 5.0, "beatable_mps": 9.0},
    *({"link": "video", "obstacle_m": 880.0, **height, **sight} for height, sight in product(HEIGHTS, SIGHTS)),
)


@pytest.mark.parametrize("rule", RULE_WORDS)
def test_every_word_of_a_finding_can_be_translated(rule: str) -> None:
    base = Finding(rule, Severity.UNKNOWN, None, "", None, None, None, "our-choice", "shorten")
    found = [
        dataclasses.replace(base, value=value, limit=limit, low=low, high=high, unit=unit, evidence=evidence)
        for value, limit in ((None, None), (0.7, None), (0.7, 0.99), (-0.7, 0.95))
        for low, high in ((None, None), (0.4, 0.9))
        for unit in ("", "m")
        for evidence in EVIDENCE
    ]
    for finding, units in product(found, Units):
        said = words.say(finding, units)
        for part in dataclasses.astuple(said):
            assert outside(part) == [], part
        assert said.title.startswith("⟦")


def test_every_action_parameter_and_source_can_be_translated() -> None:
    links = [f"{link}.{rest}" for link, rest in product(LINK_NAMES, LINK_WORDS)]
    parameters = [*PARAMETER_WORDS, *links]
    said = [words.action(key) for key in ACTION_WORDS]
    said += [words.action(MEASURE_PREFIX + key) for key in parameters]
    said += [words.parameter(key) for key in parameters]
    said += [words.source_text(key) for key in SOURCES]
    said += [words.source_standing(key) for key in SOURCES]
    for part in said:
        assert part.startswith("⟦")
        assert outside(part) == []


@pytest.mark.parametrize("failing", [None, 0.0, 0.01, 0.25, 0.5, 0.97, 1.0])
def test_chances_and_times_can_be_translated(failing: float | None) -> None:
    said = [numbers.chance_of(failing), numbers.chance_of(failing, exact=True), numbers.percent(failing)]
    said += [numbers.minutes(None if failing is None else failing * 1000.0), numbers.words(failing, "m")]
    assert outside(" ".join(said)) == []


def test_every_comment_of_a_new_plan_can_be_translated() -> None:
    """The keys of a plan and the words of its choices stay as a plan writes them."""
    least: dict[str, Value] = {
        "aircraft_class": "5-inch, 6 cells", "pack_label": "6S 1300 mAh 100C", "control_class": "2.4 GHz, 100 mW",
        "video_class": "none", "distance_m": 400.0, "bearing_deg": 320.0, "height_m": 60.0,
        "on_radio_loss": "automatic return",
    }  # fmt: skip
    plan = new_plan_text(least)
    lines = plan.splitlines()
    comments = [line.removeprefix("# ") for line in lines if line.startswith("# ")]
    comments += [line.split("  # ")[1] for line in lines if line.startswith("#") and "  # " in line]
    said = " ".join(comments)
    choices = [choice for question in QUESTIONS for choice in question.choices]
    keys = [
        "don't know",
        "minutes = 4.5, charger_mah = 910",
        "rest_v_after_per_cell = 3.72",
        "none",
        "scattered trees",
        "wood",
        *choices,
    ]
    assert outside(said, keys) == []
    assert len(comments) > 70
    for question in QUESTIONS:
        assert outside(question.asked) == []


def test_words_that_pass_by_the_language_are_found() -> None:
    """The search finds what it is made to find."""
    height = numbers.words(40.0, "m")
    assert outside(f"{text('Up to {height}.', height=height)} Stay low") == ["Stay", "low"]
    assert outside(text("Up to {height}.", height="the trees")) == ["the", "trees"]
    assert outside(text("{mid} ({low} to {high})", mid="3.41 V", low="3.33 V", high="3.47 V")) == []
    assert outside("⟦a ⟦b⟧ c⟧ d ⟦e⟧") == ["d"]
    assert outside("12 m/s in 4 min 20 s, 2.4 GHz") == ["in"]
    assert outside("metres m") == ["metres", "m"], "a unit without a number is a word"
    assert outside("Ridge walk: ⟦Go⟧", ["Ridge walk"]) == []


@pytest.mark.parametrize("broken", ["⟦Go", "Go⟧"])
def test_broken_brackets_are_no_answer(broken: str) -> None:
    with pytest.raises(AssertionError, match="bracket"):
        outside(broken)
