"""The printed report: what the page says, in the same order and the same words, as data for ``report.typ``."""

from __future__ import annotations

from typing import Any, Final

from turnback import __version__
from turnback.records.result import BriefResult
from turnback.report import page_parts, pdf, tables, words
from turnback.report.cautions import cautions, not_modelled
from turnback.report.charts import charts
from turnback.report.five import five_lines
from turnback.report.language import plural, text
from turnback.report.numbers import Units
from turnback.report.print_parts import Block, figure, items, lines, pairs, paragraph, section, steps, table
from turnback.report.table_rows import Table
from turnback.report.typography import together
from turnback.report.words_ground import ground_lines

PAPER: Final = {Units.METRIC: "a4", Units.IMPERIAL: "us-letter"}
FIRST_PAGE: Final = "rose"
"""The chart that stands on page one."""
MAP: Final = "map"
NO_NUMBER: Final = "\u2013"


def report_pdf(result: BriefResult, units: Units = Units.METRIC) -> bytes:
    """Return the report as a tagged PDF; the same brief and units give the same bytes."""
    return pdf.compiled("report.typ", report_data(result, units))


def report_data(result: BriefResult, units: Units) -> dict[str, Any]:
    """Return all that the printed report says: page one, then sections of blocks."""
    verdict = text(words.VERDICT_WORDS[result.verdict])
    drawn = {chart.name: page_parts.figure(chart) for chart in charts(result, units)}
    rose = drawn.pop(FIRST_PAGE, None)
    first = [_five(result, units), None if rose is None else _rose(rose), *_to_do(result, units), _cautions()]
    return {
        "title": text("{verdict}: {plan}", verdict=verdict, plan=result.title),
        "paper": PAPER[units],
        "plan": result.title,
        "verdict": verdict,
        "meaning": text(words.VERDICT_MEANING[result.verdict]),
        "shape": result.verdict.name.lower().replace("_", "-"),
        "first": [part for part in first if part],
        "behind": [part for part in _behind(result, units, drawn) if part],
        "foot": text(
            "Turnback {version}. {draws} draws, seed {seed}.",
            version=__version__, draws=f"{result.draws:,}", seed=result.seed,
        ),
        "page": text("page"),
    }  # fmt: skip


# Page one


def _five(result: BriefResult, units: Units) -> Block:
    return section("five", text("In five lines"), lines((line.label, line.text) for line in five_lines(result, units)))


def _rose(rose: page_parts.Figure) -> Block:
    """The rose stands beside the five lines: drawn as for a phone, so that its text stays large."""
    drawn = rose.wide if rose.narrow is None else rose.narrow
    return section(rose.name, rose.title, figure(drawn, rose.alt, rose.keys, aside=True))


def _to_do(result: BriefResult, units: Units) -> list[Block]:
    """What to mend, the limits where the flight may go, and what would make it a go."""
    found = []
    mend, left = page_parts.mend(result)
    if mend:
        shown = steps((item.do, item.severity, " ".join(reason.fact for reason in item.reasons)) for item in mend)
        more = plural(
            "{count} more thing limits it: it stands in the findings.",
            "{count} more things limit it: they stand in the findings.",
            left,
        )
        found.append(section("mend", text("What to mend"), shown, *([paragraph(more)] if left else [])))
    if page_parts.limits_first(result.verdict):
        found.append(_limits(result, units))
    changes = page_parts.changes(result, units)
    if changes:
        found.append(section("changes", text("What would make it a go"), items(changes.first)))
    return found


def _limits(result: BriefResult, units: Units) -> Block:
    chance = text("It does not come home in {chance}.", chance=words.spread_chance(result.home))
    return section("limits", text("Limits to keep"), _rows(tables.limits(result, units)), paragraph(chance))


def _cautions() -> Block:
    return section("cautions", text("Cautions"), items(cautions()))


# The expert's pages


def _behind(result: BriefResult, units: Units, drawn: dict[str, page_parts.Figure]) -> list[Block | None]:
    ground = drawn.pop(MAP, None)
    return [
        None if page_parts.limits_first(result.verdict) else _limits(result, units),
        None if ground is None else _chart(ground),
        _told(page_parts.fall(result, units)),
        *(_chart(each) for each in drawn.values()),
        _told(page_parts.pilot(result, units)),
        _told(page_parts.care(result, units)),
        _changes(result, units),
        _numbers(result, units),
        _findings(result, units),
        _assumed(result, units),
        section("not-modelled", text("What is not modelled"), items(not_modelled())),
    ]


def _chart(chart: page_parts.Figure) -> Block:
    return section(chart.name, chart.title, figure(chart.wide or chart.narrow, chart.alt, chart.keys))


def _told(part: page_parts.Section | None) -> Block | None:
    """A section of plain lines, steps where it has some, and its tables, all open."""
    if part is None:
        return None
    way = []
    if part.steps:
        shown = steps((step.name, step.state, step.shows) for step in part.steps)
        way = [{**shown, "title": text("The graded way, step by step")}]
    opened = [_rows(each.table, title=each.title) for each in part.openings]
    return section(part.name, part.title, *(paragraph(line) for line in part.lines), *way, *opened)


def _rows(named: Table, title: str = "") -> Block:
    return pairs(((row.name, row.value) for row in named.rows), title=title)


def _changes(result: BriefResult, units: Units) -> Block | None:
    changes = page_parts.changes(result, units)
    if not changes or not (changes.rows or changes.more):
        return None
    heads = (text("Change"), text("Now"), text("Then"), text("Answer"), text("It does not come home"))
    rows = [
        (row.change, row.before or NO_NUMBER, row.after or NO_NUMBER, row.verdict, row.lost) for row in changes.rows
    ]
    shown = [table(heads, rows, (2.2, 1, 1, 1.2, 2))] if rows else []
    return section(
        "all-changes", text("Changes that were tried"), *(paragraph(line) for line in changes.more), *shown
    )  # fmt: skip


def _numbers(result: BriefResult, units: Units) -> Block:
    explained = text(
        "Each value is the best estimate; in brackets stand the ends of what is not known, which hold 90 % of what is "
        "possible. Volts are of one cell."
    )
    parts = [_rows(each, title=each.title) for each in tables.all_tables(result, units)]
    ground = paragraph(" ".join(ground_lines(result, units)))
    return section("numbers", text("Numbers"), paragraph(explained), *parts, ground)


def _findings(result: BriefResult, units: Units) -> Block:
    heads = (text("Finding"), text("Value"), text("Limit"), text("Over what is not known"), text("Source"))
    rows: list[tuple[Any, ...]] = []
    for told in page_parts.findings(result, units):
        said = told.said
        source = said.source
        if told.standing:
            source = text("{source} ({standing})", source=said.source, standing=told.standing)
        parts = {"tag": said.severity, "title": said.title, "said": said.sentence, "then": said.do}
        first = {name: together(words_) for name, words_ in parts.items()}
        rows.append((first, said.value or NO_NUMBER, said.limit or NO_NUMBER, said.band or NO_NUMBER, source))
    return section("findings", text("Findings and their sources"), table(heads, rows, (2.6, 0.75, 0.75, 0.9, 1.4)))


def _assumed(result: BriefResult, units: Units) -> Block:
    title, assumed = text("What was assumed"), tables.assumed(result.assumed, units)
    if not assumed:
        return section("assumed", title, paragraph(text("Nothing: the plan names every value.")))
    explained = text(
        "These gaps in the plan were filled. The share says how much of what is open would close if the value were "
        "known."
    )
    heads = (text("What"), text("Taken"), text("Could be"), text("Origin"), text("Share"), text("How to know"))
    rows = [
        (row.name, row.value, row.band, text("{origin}. {source}", origin=row.origin, source=row.source), row.share,
         row.how)
        for row in assumed
    ]  # fmt: skip
    return section("assumed", title, paragraph(explained), table(heads, rows, (1.4, 0.75, 1, 1.6, 1, 1.6)))
