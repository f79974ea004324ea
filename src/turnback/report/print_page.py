"""The printed report: what the page says, in the same order and the same words, as data for ``report.typ``."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any, Final

from turnback import __version__
from turnback.records.finding import Severity
from turnback.records.result import BriefResult
from turnback.report import cautions, pdf, svg, tables, words
from turnback.report.charts import charts
from turnback.report.five import five_lines
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.print_more import more_sections
from turnback.report.print_parts import Block, figure, items, lines, pairs, paragraph, section, table
from turnback.report.vega import Chart
from turnback.report.words_ground import ground_lines

PAPER: Final = {Units.METRIC: "a4", Units.IMPERIAL: "us-letter"}
FIRST_PAGE: Final = frozenset({"rose"})
"""Charts that stand on page one."""


def report_pdf(result: BriefResult, units: Units = Units.METRIC) -> bytes:
    """Return the report as a tagged PDF; the same brief and units give the same bytes."""
    return pdf.compiled("report.typ", report_data(result, units))


def report_data(result: BriefResult, units: Units) -> dict[str, Any]:
    """Return all that the printed report says: page one, then sections of blocks."""
    drawn = charts(result, units)
    verdict = text(words.VERDICT_WORDS[result.verdict])
    return {
        "title": text("{verdict}: {plan}", verdict=verdict, plan=result.title),
        "paper": PAPER[units],
        "plan": result.title,
        "verdict": verdict,
        "meaning": text(words.VERDICT_MEANING[result.verdict]),
        "shape": result.verdict.name.lower().replace("_", "-"),
        "first": [
            _five(result, units),
            *(_chart(chart) for chart in drawn if chart.name in FIRST_PAGE),
            *_mend(result, units),
            *more_sections("first", result, units),
            _limits(result, units),
            section("cautions", text("Cautions"), items(text(line) for line in cautions.CAUTIONS)),
        ],
        "behind": [
            *(_chart(chart) for chart in drawn if chart.name not in FIRST_PAGE),
            *more_sections("behind", result, units),
            _numbers(result, units),
            _findings(result, units),
            _assumed(result, units),
            section("not-modelled", text("What is not modelled"), items(text(line) for line in cautions.NOT_MODELLED)),
        ],
        "foot": text(
            "Turnback {version}. {draws} draws, seed {seed}.",
            version=__version__, draws=f"{result.draws:,}", seed=result.seed,
        ),
        "page": text("page"),
    }  # fmt: skip


def _five(result: BriefResult, units: Units) -> Block:
    rows = [(line.label, line.text) for line in five_lines(result, units)]
    return section("five", text("In five lines"), lines(rows))


def _mend(result: BriefResult, units: Units) -> list[Block]:
    said = [words.say(finding, units) for finding in result.findings if finding.severity is not Severity.NOTE]
    if not said:
        return []
    steps = [{"do": each.do, "severity": each.severity, "sentence": each.sentence} for each in said]
    return [section("mend", text("What to mend"), {"kind": "steps", "steps": steps})]


def _limits(result: BriefResult, units: Units) -> Block:
    chance = text("It does not come home in {chance}.", chance=words.spread_chance(result.home))
    rows = [(row.name, row.value) for row in tables.limits(result, units).rows]
    return section("limits", text("Limits to keep"), pairs(rows), paragraph(chance))


def _chart(chart: Chart) -> Block:
    """A chart for print; one that stands aside on page one is drawn as for a phone, so that its text stays large."""
    aside = chart.name in FIRST_PAGE
    drawn = svg.narrow(chart) if aside else svg.wide(chart)
    return section(chart.name, chart.title, figure(drawn, chart.alt, chart.keys, aside=aside))


def _numbers(result: BriefResult, units: Units) -> Block:
    explained = text(
        "Each value is the best estimate; in brackets stand the ends of what is not known, which hold 90 % of what is "
        "possible. Volts are of one cell."
    )
    parts = [
        pairs([(row.name, row.value) for row in each.rows], title=each.title)
        for each in tables.all_tables(result, units)
    ]
    return section(
        "numbers", text("Numbers"), paragraph(explained), *parts, paragraph(" ".join(ground_lines(result, units)))
    )


def _findings(result: BriefResult, units: Units) -> Block:
    none = text("none")
    heads = [text("Finding"), text("Value"), text("Limit"), text("Over what is not known"), text("Source")]
    rows: list[list[Any]] = []
    for finding in result.findings:
        said = words.say(finding, units)
        first = {"tag": said.severity, "title": said.title, "said": said.sentence, "then": said.do}
        rows.append([first, said.value or none, said.limit or none, said.band or none, _source(finding.source)])
    return section("findings", text("Findings"), table(heads, rows))


def _source(key: str) -> str:
    """Return a source, and how far it carries where its own text does not say so already."""
    said, standing = words.source_text(key), words.source_standing(key)
    if key == "user" or not standing or standing.lower() in said.lower():
        return said
    return text("{source} ({standing})", source=said, standing=standing)


def _assumed(result: BriefResult, units: Units) -> Block:
    rows: Sequence[tables.AssumedRow] = tables.assumed(result.assumed, units)
    title = text("What was assumed")
    if not rows:
        return section("assumed", title, paragraph(text("Nothing: the plan names every value.")))
    explained = text(
        "These gaps in the plan were filled. The share says how much of what is open would close if the value were "
        "known."
    )
    heads = [text("What"), text("Taken"), text("Could be"), text("Origin"), text("Share"), text("How to know")]
    return section("assumed", title, paragraph(explained), table(heads, _assumed_rows(rows)))


def _assumed_rows(rows: Iterable[tables.AssumedRow]) -> list[list[Any]]:
    found: list[list[Any]] = []
    for row in rows:
        given = asdict(row)
        origin = text("{origin}. {source}", origin=given["origin"], source=given["source"])
        found.append([row.name, row.value, row.band, origin, row.share, row.how])
    return found
