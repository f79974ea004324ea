"""The parts of the page that are put together from records: what to mend, the expert's sections, drawn charts."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from typing import Final

from markupsafe import Markup

from turnback.records.finding import Finding, Severity, Verdict
from turnback.records.result import BriefResult
from turnback.report import svg, words
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.table_rows import Table
from turnback.report.vega import Chart, Key
from turnback.report.words import Said
from turnback.report.words_care import care_lines, care_table
from turnback.report.words_changes import ChangeRow, changes_lines, changes_table
from turnback.report.words_fall import CONTEXT, fall_lines, fall_table
from turnback.report.words_pilot import pilot_lines, pilot_tables
from turnback.report.words_rose import RoseRow, rose_lines, rose_rows
from turnback.report.words_rules import RULE_WORDS

MOST_TO_MEND: Final = 4
"""On page one, besides what stops the flight or is not known: that is never left out."""
MOST_CHANGES: Final = 5
FEW_TO_MEND: Final = 3
LONG: Final = 48
"""Letters; a table with a longer value is set as text, not as a column of numbers."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One drawn chart, for a desktop screen and for a phone."""

    name: str
    title: str
    alt: str
    keys: tuple[Key, ...]
    wide: Markup | None
    """None where one drawing serves every width."""
    narrow: Markup


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something has to be mended, and the anchor of the finding that says more."""

    fact: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Mend:
    """One thing to do, with all findings that ask for it."""

    do: str
    severity: str
    mark: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Changes:
    """What would make it a go: lines for page one, and every change that was found."""

    first: tuple[str, ...]
    more: tuple[str, ...]
    rows: tuple[ChangeRow, ...]
    aside: bool
    """Whether they stand beside what to mend, as that is long; else below it."""


@dataclass(frozen=True, slots=True)
class Told:
    """One finding on the expert's pages."""

    anchor: str
    mark: str
    said: Said
    standing: str


@dataclass(frozen=True, slots=True)
class StepShown:
    """One step of the graded way."""

    name: str
    state: str
    shows: str
    mark: str


@dataclass(frozen=True, slots=True)
class Opening:
    """A table that opens."""

    title: str
    table: Table
    long: bool


@dataclass(frozen=True, slots=True)
class Section:
    """One section of the expert's pages: plain lines first, then tables that open."""

    name: str
    title: str
    lines: tuple[str, ...]
    openings: tuple[Opening, ...]
    steps: tuple[StepShown, ...] = ()


@dataclass(frozen=True, slots=True)
class Bearings:
    """The rose in words and numbers."""

    flown: str
    """How it is flown on each bearing: the line that stands under the rose."""
    lines: tuple[str, ...]
    rows: tuple[RoseRow, ...]
    returns: bool
    """Whether any bearing has a least return height."""


def opening(table: Table, title: str = "", *, columns: bool = False) -> Opening:
    """Return a table as something that opens, under another title if one is given; `columns` keeps values short."""
    return Opening(title or table.title, table, not columns and any(len(row.value) > LONG for row in table.rows))


def figure(chart: Chart, *, small: bool = False) -> Figure:
    """Draw a chart; a small one is as wide on a desktop as on a phone."""
    wide = None if small else _markup(svg.wide(chart))
    return Figure(chart.name, chart.title, chart.alt, chart.keys, wide, _markup(svg.narrow(chart)))


def findings(result: BriefResult, units: Units) -> tuple[Told, ...]:
    """Return every finding in words, worst first."""
    return tuple(
        Told(_anchor(finding, place), _mark(finding.severity), words.say(finding, units), _standing(finding.source))
        for place, finding in enumerate(result.findings, 1)
    )


def mend(result: BriefResult) -> tuple[tuple[Mend, ...], int]:
    """Return what to mend, each thing to do once, and how many things are left to the findings."""
    asking = [(finding, _anchor(finding, place)) for place, finding in enumerate(result.findings, 1)
              if finding.severity is not Severity.NOTE]  # fmt: skip
    order = list(dict.fromkeys(words.action(finding.do) for finding, _ in asking))
    asking.sort(key=lambda pair: order.index(words.action(pair[0].do)))
    every = [_mend(do, list(group)) for do, group in groupby(asking, key=lambda pair: words.action(pair[0].do))]
    limit = _mark(Severity.LIMIT)
    shown = [item for place, item in enumerate(every) if place < MOST_TO_MEND or item.mark != limit]
    return tuple(shown), len(every) - len(shown)


def changes(result: BriefResult, units: Units, *, mended: int = 0) -> Changes | None:
    """Return what would make it a go; None where nobody looked or there is nothing to say.

    `mended` is how many things to mend stand beside it.
    """
    if result.changes is None:
        return None
    lines = changes_lines(result.changes, units)
    if not lines:
        return None
    # One line alone is not worth a way to another page.
    first = len(lines) if len(lines) <= MOST_CHANGES + 1 else MOST_CHANGES
    aside = mended >= FEW_TO_MEND or limits_first(result.verdict)
    return Changes(lines[:first], lines[first:], changes_table(result.changes, units), aside)


def limits_first(verdict: Verdict) -> bool:
    """Return whether the limits to keep stand on page one: where the flight may go."""
    return verdict in (Verdict.GO, Verdict.GO_WITH_LIMITS)


def fall(result: BriefResult, units: Units) -> Section | None:
    """Return where and how hard it comes down, with the published thresholds as context."""
    if result.fall is None:
        return None
    context, table = text(CONTEXT), fall_table(result.fall, units)
    numbers = Table(table.title, tuple(row for row in table.rows if row.value != context))  # said openly above them
    title = text("The fall in numbers, beside published thresholds")
    lines = (*fall_lines(result.fall, units), context)
    return Section("fall", text("Where it comes down"), lines, (opening(numbers, title),))


def bearings(result: BriefResult, units: Units) -> Bearings | None:
    """Return what the rose shows, in words and numbers."""
    if result.rose is None:
        return None
    lines, rows = rose_lines(result, units), rose_rows(result, units)
    return Bearings(lines[0], lines, rows, any(row.lowest_return for row in rows))


def pilot(result: BriefResult, units: Units) -> Section | None:
    """Return what the aircraft asks of its pilot, the graded way as steps, and what asks for it."""
    if result.pilot is None:
        return None
    way, show, *others = pilot_tables(result.pilot, units)
    steps = tuple(
        StepShown(named.name, named.value, shows.value, step.state.value)
        for step, named, shows in zip(result.pilot.steps, way.rows, show.rows, strict=True)
    )
    lines = pilot_lines(result.pilot, units)
    return Section("pilot", text("The pilot and this aircraft"), lines, tuple(map(opening, others)), steps)


def care(result: BriefResult, units: Units) -> Section | None:
    """Return how to keep the pack."""
    if result.care is None:
        return None
    table = care_table(result.care, units)
    return Section(
        "care", text("The pack: charging, storing, ageing"), care_lines(result.care, units), (opening(table),)
    )


def _markup(drawn: str) -> Markup:
    return Markup(drawn)  # noqa: S704 - numbers and our own words, escaped in svg.named


def _mend(do: str, asking: list[tuple[Finding, str]]) -> Mend:
    worst = asking[0][0].severity
    reasons = tuple(Reason(_fact(finding), anchor) for finding, anchor in asking)
    return Mend(do, text(words.SEVERITY_WORDS[worst]), _mark(worst), reasons)


def _fact(finding: Finding) -> str:
    rule = RULE_WORDS.get(finding.rule)
    return text(rule.fact) if rule is not None else words.sentence(finding)


def _anchor(finding: Finding, place: int) -> str:
    return f"finding-{finding.rule.replace('.', '-').replace('_', '-')}-{place}"


def _mark(severity: Severity) -> str:
    return severity.name.lower()


def _standing(source: str) -> str:
    """Say how far a source carries, where its own text does not say so already."""
    standing = words.source_standing(source)
    return "" if source == "user" or standing.lower() in words.source_text(source).lower() else standing
