"""The brief as text for a terminal: five plain lines first, then what to mend, limits, numbers and cautions."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Iterator
from itertools import zip_longest
from typing import Final

from turnback.records.finding import Severity, Verdict
from turnback.records.result import BriefResult
from turnback.report import tables, words
from turnback.report.cautions import cautions
from turnback.report.five import five_lines
from turnback.report.language import plural, text
from turnback.report.numbers import Units
from turnback.report.tables import AssumedRow, Table
from turnback.report.words_care import care_lines
from turnback.report.words_changes import changes_lines
from turnback.report.words_fall import fall_lines
from turnback.report.words_ground import ground_lines
from turnback.report.words_pilot import pilot_lines
from turnback.report.words_rose import rose_lines
from turnback.rules.range_walk import MEASURED

NARROWEST: Final = 40
WIDEST: Final = 100
WIDEST_NAMES: Final = 0.52
"""Share of the width that the column of names may take."""
MOST_ASSUMED: Final = 6
"""Gaps named in the terminal; the report and the JSON name them all."""

BOLD: Final = "\x1b[1m"
PLAIN: Final = "\x1b[0m"
VERDICT_COLOURS: Final = {
    Verdict.GO: "\x1b[1;32m",
    Verdict.GO_WITH_LIMITS: "\x1b[1;33m",
    Verdict.NO_GO: "\x1b[1;31m",
    Verdict.CANNOT_SAY: "\x1b[1;35m",
}
_UNSAFE_CATEGORIES: Final = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})


def brief_text(result: BriefResult, units: Units = Units.METRIC, width: int = 80, *, colour: bool = False) -> str:
    """Return the brief as plain text, ending in a line feed.

    Parameters
    ----------
    result : BriefResult
        The answer.
    units : Units
        Metric or imperial.
    width : int
        Columns of the terminal; lines are wrapped to it, 40 to 100.
    colour : bool
        Bold headings and a coloured verdict by terminal escapes.
    """
    face = Face(max(NARROWEST, min(width, WIDEST)), colour=colour)
    lines = [*face.head(result), ""]
    lines += face.pairs([(line.label, line.text) for line in five_lines(result, units)])
    lines += _mend(face, result, units)
    lines += _changes(face, result, units)
    lines += face.table(tables.limits(result, units))
    for title, said in _parts(result, units):
        lines += [*face.section(title), *face.items(said)]
    for table in tables.all_tables(result, units):
        lines += face.table(table)
    lines += _assumed(face, tables.assumed(result.assumed, units))
    lines += face.section(text("Cautions"))
    lines += face.items(cautions())
    ground = " ".join(ground_lines(result, units))
    draws = text("{draws} draws, seed {seed}.", draws=f"{result.draws:,}", seed=result.seed)
    lines += ["", *face.wrapped(f"{ground} {draws}")]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def printable(said: str) -> str:
    """Return text that cannot steer a terminal: control and direction characters are shown as a mark."""
    return "".join("\ufffd" if unicodedata.category(letter) in _UNSAFE_CATEGORIES else letter for letter in said)


def _mend(face: Face, result: BriefResult, units: Units) -> Iterator[str]:
    said = [words.say(finding, units) for finding in result.findings if finding.severity is not Severity.NOTE]
    if not said:
        return
    yield from face.section(text("What to mend"))
    for place, item in enumerate(said, 1):
        yield from face.wrapped(item.do, first=f"{place:2}. ", rest="    ")
        why = text("{severity}: {sentence}", severity=item.severity, sentence=item.sentence)
        yield from face.wrapped(why, first="    ", rest="    ")


def _changes(face: Face, result: BriefResult, units: Units) -> Iterator[str]:
    said = () if result.changes is None else changes_lines(result.changes, units)
    if said:
        yield from face.section(text("What would make it a go"))
        yield from face.items(said)


def _parts(result: BriefResult, units: Units) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Return what else a brief says in sentences; its tables stand in the report and in the JSON."""
    walked = [words.say(finding, units) for finding in result.findings if finding.rule == MEASURED.key]
    if walked:  # a note, but one that every number of the links rests on
        yield walked[0].title, tuple(item.sentence for item in walked)
    if result.rose is not None:
        yield text("Every bearing in numbers"), rose_lines(result, units)
    if result.fall is not None:
        yield text("Where it comes down"), fall_lines(result.fall, units)
    if result.pilot is not None:
        yield text("The pilot and this aircraft"), pilot_lines(result.pilot, units)
    if result.care is not None:
        yield text("The pack: charging, storing, ageing"), care_lines(result.care, units)


def _assumed(face: Face, rows: tuple[AssumedRow, ...]) -> Iterator[str]:
    if not rows:
        return
    yield from face.section(text("What was assumed, the most weighty first"))
    for row in rows[:MOST_ASSUMED]:
        what = text(
            "{name}: {value} ({band}), {origin}; {share}.",
            name=row.name,
            value=row.value,
            band=row.band,
            origin=row.origin,
            share=row.share,
        )
        yield from face.wrapped(f"{what} {row.how}", first="  - ", rest="    ")
    if len(rows) > MOST_ASSUMED:
        more = plural(
            "{count} more stands in the report (--out) and in --json.",
            "{count} more stand in the report (--out) and in --json.",
            len(rows) - MOST_ASSUMED,
        )
        yield from face.wrapped(more, first="  - ", rest="    ")


class Face:
    """Lays text out in a width."""

    def __init__(self, width: int, *, colour: bool) -> None:
        self.width = width
        self.colour = colour

    def head(self, result: BriefResult) -> list[str]:
        """The plan's title, the verdict and what it means."""
        verdict = text(words.VERDICT_WORDS[result.verdict]).upper()
        shown = f"{VERDICT_COLOURS[result.verdict]}{verdict}{PLAIN}" if self.colour else verdict
        return [*self.wrapped(result.title), shown, *self.wrapped(text(words.VERDICT_MEANING[result.verdict]))]

    def section(self, title: str) -> list[str]:
        """A heading with an empty line above."""
        return ["", f"{BOLD}{title}{PLAIN}" if self.colour else title]

    def table(self, table: Table) -> list[str]:
        """A titled table of names and values."""
        return [*self.section(table.title), *self.pairs([(row.name, row.value) for row in table.rows], indent="  ")]

    def items(self, items: Iterable[str]) -> list[str]:
        """A list with dashes."""
        return [line for item in items for line in self.wrapped(item, first="  - ", rest="    ")]

    def pairs(self, rows: list[tuple[str, str]], indent: str = "") -> list[str]:
        """Names in one column, values in the next; each wraps inside its own."""
        longest = max(len(name) for name, _ in rows)
        column = min(longest, int((self.width - len(indent)) * WIDEST_NAMES))
        gap = " " * (len(indent) + column + 2)
        lines = []
        for name, value in rows:
            names = textwrap.wrap(name, column, break_on_hyphens=False) or [""]
            values = [line.strip() for line in self.wrapped(value, first=gap, rest=gap)]
            lines += [f"{indent}{left:<{column}}  {right}" for left, right in zip_longest(names, values, fillvalue="")]
        return lines

    def wrapped(self, said: str, first: str = "", rest: str = "") -> list[str]:
        """Text wrapped to the width; a word longer than a line stays whole."""
        return textwrap.wrap(
            printable(said), self.width, initial_indent=first, subsequent_indent=rest,
            break_long_words=False, break_on_hyphens=False,
        ) or [first.rstrip()]  # fmt: skip
