"""A flight record as text for a terminal: five plain lines, the story, then phases, what else was seen, columns."""

from __future__ import annotations

from turnback.records.happened import RecordAnswer
from turnback.records.record_read import ColumnMatch, MatchedBy
from turnback.report.language import plural, text
from turnback.report.numbers import Units
from turnback.report.record_values import moment
from turnback.report.terminal import BOLD, NARROWEST, PLAIN, WIDEST, Face, printable
from turnback.report.words_record import record_cautions, record_five, record_title
from turnback.report.words_record_columns import (
    SURE,
    asks,
    column_name,
    columns_note,
    match_sure,
    match_words,
    record_lines,
)
from turnback.report.words_record_gaps import not_told_lines
from turnback.report.words_record_phases import phase_label, phases_shown
from turnback.report.words_record_story import beside_the_story, story

MOST_EVENTS = 60
"""Events listed in a terminal; the page and the JSON hold them all."""
MOST_PHASES = 40


def record_text(answer: RecordAnswer, units: Units = Units.METRIC, width: int = 80, *, colour: bool = False) -> str:
    """Return the answer to a record as plain text, ending in a line feed.

    Parameters
    ----------
    answer : RecordAnswer
    units : Units
    width : int
        Columns of the terminal; lines are wrapped to it, 40 to 100.
    colour : bool
        Bold headings by terminal escapes.
    """
    face = Face(max(NARROWEST, min(width, WIDEST)), colour=colour)
    head = text("Flight record").upper()
    lines = [*face.wrapped(record_title(answer)), f"{BOLD}{head}{PLAIN}" if colour else head, ""]
    lines += face.pairs([(line.label, line.text) for line in record_five(answer, units)])
    lines += _asks(face, answer)
    said = story(answer, units)
    lines += face.section(text("What happened"))
    lines += face.items(said or (text("Nothing that could be looked for."),))
    lines += _phases(face, answer)
    lines += _events(face, answer, units)
    missing = not_told_lines(answer)
    if missing:
        lines += [*face.section(text("What could not be looked for")), *face.items(missing)]
    lines += _columns(face, answer)
    lines += [*face.section(text("Cautions")), *face.items(record_cautions(answer))]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _asks(face: Face, answer: RecordAnswer) -> list[str]:
    found = asks(answer.flown.record.matches)
    lines = face.section(text("Say what these columns are")) if found else []
    for ask in found:  # a flag stays on one line, so that it can be taken as it stands
        lines += [*face.wrapped(ask.words, first="  - ", rest="    "), f"    {printable(ask.flag)}"]
    return lines


def _phases(face: Face, answer: RecordAnswer) -> list[str]:
    phases = phases_shown(answer.flown.phases)
    if not phases:
        return []
    rows = [
        (text("{start} to {end}", start=moment(each.start_s), end=moment(each.end_s)), phase_label(each.kind))
        for each in phases[:MOST_PHASES]
    ]
    lines = [*face.section(text("Phases")), *face.pairs(rows, indent="  ")]
    return lines + _more(face, len(phases) - MOST_PHASES)


def _events(face: Face, answer: RecordAnswer, units: Units) -> list[str]:
    found = beside_the_story(answer, units)
    if not found:
        return []
    lines = [*face.section(text("What else was seen")), *face.items(found[:MOST_EVENTS])]
    return lines + _more(face, len(found) - MOST_EVENTS)


def _more(face: Face, left: int) -> list[str]:
    if left <= 0:
        return []
    said = plural("{count} more stands in the page (--out) and in --json.",
                  "{count} more stand in the page (--out) and in --json.", left)  # fmt: skip
    return face.wrapped(said, first="  - ", rest="    ")


def _columns(face: Face, answer: RecordAnswer) -> list[str]:
    record = answer.flown.record
    lines: list[str] = []
    if record.matches:
        rows = [
            (
                column_name(each),
                match_words(each)
                if _plainly_sure(each)
                else text("{channel}: {sure}", channel=match_words(each), sure=match_sure(each)),
            )
            for each in record.matches
        ]
        lines += [*face.section(text("How its columns were understood")), *face.wrapped(columns_note()),
                  *face.pairs(rows, indent="  ")]  # fmt: skip
    lines += [*face.section(text("Clock, corners and directions")), *face.items(record_lines(record))]
    return lines


def _plainly_sure(match: ColumnMatch) -> bool:
    """Tell whether nothing need be said of how sure a match is: `columns_note` says it of all such."""
    return match.taken is not None and match.by is MatchedBy.MEANING and match.taken.chance >= SURE[0][0]
