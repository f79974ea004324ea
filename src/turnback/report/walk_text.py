"""A range walk as text for a terminal: five plain lines, then what was read, found and changed, and cautions."""

from __future__ import annotations

from turnback.records.walk_answer import WalkAnswer
from turnback.report.language import text
from turnback.report.numbers import Units
from turnback.report.terminal import BOLD, NARROWEST, PLAIN, WIDEST, Face
from turnback.report.walk_tables import kept_words, walk_cautions, walk_tables
from turnback.report.words_walk import told_lines, walk_lines


def walk_text(
    answer: WalkAnswer,
    units: Units = Units.METRIC,
    width: int = 80,
    *,
    file: str = "learned.toml",
    colour: bool = False,
) -> str:
    """Return the answer to a range walk as plain text, ending in a line feed.

    Parameters
    ----------
    answer : WalkAnswer
    units : Units
    width : int
        Columns of the terminal; lines are wrapped to it, 40 to 100.
    file : str
        Where it is kept, as the user names it.
    colour : bool
        Bold headings by terminal escapes.
    """
    face = Face(max(NARROWEST, min(width, WIDEST)), colour=colour)
    head = text("Range walk").upper()
    lines = [*face.wrapped(answer.title), f"{BOLD}{head}{PLAIN}" if colour else head, ""]
    lines += face.pairs([(line.label, line.text) for line in walk_lines(answer, units)])
    told = told_lines(answer, units)
    if told:
        lines += [*face.section(text("About the readings")), *face.items(told)]
    for table in walk_tables(answer, units):
        lines += face.table(table)
    lines += [*face.section(text("Cautions")), *face.items(walk_cautions(answer))]
    lines += ["", *face.wrapped(kept_words(answer, file))]
    return "\n".join(line.rstrip() for line in lines) + "\n"
