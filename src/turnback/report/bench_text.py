"""The bench as text for a terminal: five plain lines, then what is left, what was seen, what to check and mend."""

from __future__ import annotations

from collections.abc import Sequence

from turnback.knowledge.book import Book
from turnback.records.belief import Belief
from turnback.records.bench import BenchAnswer, Seen
from turnback.records.heard import Heard
from turnback.report.bench_portraits import portraits
from turnback.report.language import text
from turnback.report.terminal import BOLD, NARROWEST, PLAIN, WIDEST, Face
from turnback.report.words_belief import belief_said, heard_lines
from turnback.report.words_belief_text import belief_sections
from turnback.report.words_bench import mends, ways
from turnback.report.words_bench_checks import checks_said
from turnback.report.words_bench_first import bench_title, book_first, first_lines
from turnback.report.words_bench_seen import seen_words
from turnback.report.words_bench_told import (
    assumed_lines,
    bench_cautions,
    cannot_know,
    counts_less,
    run_up_lines,
    scheme_note,
    take_back,
)


def bench_text(
    answer: BenchAnswer,
    width: int = 80,
    colour: bool = False,
    heard: Sequence[Heard] = (),
    *,
    belief: Belief | None = None,
    book: Book | None = None,
    words: bool = False,
) -> str:
    """Return the answer of the bench as plain text, ending in a line feed.

    Parameters
    ----------
    answer : BenchAnswer
    width : int
        Columns of the terminal; lines are wrapped to it, 40 to 100.
    colour : bool
        Bold headings by terminal escapes.
    heard : sequence of Heard
        Signs in the pilot's words, for confirmation.
    belief : Belief, optional
        Over the whole book; told only where the book is given too.
    book : Book, optional
        Where the names of causes, signs and checks stand.
    words : bool
        The pilot's words were given, understood or not.
    """
    face = Face(max(NARROWEST, min(width, WIDEST)), colour=colour)
    believed = None if belief is None or book is None else belief_said(belief, book)
    first = book_first(answer, believed)
    head = bench_title(first=first).upper()
    lines = [f"{BOLD}{head}{PLAIN}" if colour else head, ""]
    five = first_lines(answer, believed, belief, heard=bool(heard), words=words)
    lines += face.pairs([(line.label, line.text) for line in five])
    if first:
        lines += _heard(face, heard, book)
    else:
        lines += _assembly(face, answer, heard, book)
    if believed is not None:
        lines += belief_sections(face, believed)
    lines += [*face.section(text("Cautions")), *face.items(bench_cautions())]
    if not first:
        lines += [*face.section(text("What is taken for granted")), *face.items(assumed_lines(answer))]
    lines += [*face.section(text("What this cannot know")), *face.items(cannot_know())]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _ways(face: Face, answer: BenchAnswer) -> list[str]:
    said = []
    for way in ways(answer):
        line = text("{name}: {odds}", name=way.name, odds=way.odds)
        said.append(text("{line} (not told apart from the first)", line=line) if way.alike else line)
    return [*face.section(text("All ways that are left")), *face.items(said)] if said else []


def _chain(face: Face, answer: BenchAnswer) -> list[str]:
    lines = face.section(text("What was seen"))
    if answer.seen:
        for place, seen in enumerate(answer.seen, 1):
            lines += face.wrapped(_given(seen), first=f"{place:2}. ", rest="    ")
        lines += face.wrapped(take_back(), first="    ", rest="    ")
    else:
        lines += face.items([text("Nothing was told yet.")])
    if answer.taken_back:
        lines += [*face.section(text("Taken back")), *face.items(_given(each) for each in answer.taken_back)]
    return lines


def _heard(face: Face, heard: Sequence[Heard], book: Book | None) -> list[str]:
    if not heard:
        return []
    lines = [*face.section(text("How your words were understood")), *face.wrapped(counts_less(), first="  ")]
    return lines + face.items(heard_lines(heard, book))


def _assembly(face: Face, answer: BenchAnswer, heard: Sequence[Heard], book: Book | None) -> list[str]:
    lines = [*_corners(face, answer), *_ways(face, answer), *_chain(face, answer), *_heard(face, heard, book)]
    lines += [*_checks(face, answer), *_mends(face, answer)]
    return [
        *lines,
        *face.section(text("Why motors run up without propellers")),
        *face.items(run_up_lines(answer.wind_up)),
    ]


def _corners(face: Face, answer: BenchAnswer) -> list[str]:
    """Say in words what the portraits show: a terminal has none."""
    said = [text("{name}: {turns}", name=each.name, turns=each.turns) for each in portraits(answer)]
    lines = [*face.section(text("The four corners as they should be")), *face.items(said)]
    return lines + face.wrapped(text("Their portraits stand on the page: --out DIR."), first="  ", rest="  ")


def _given(seen: Seen) -> str:
    if not seen.said:
        return seen_words(seen)
    return text("{words} (given as “{said}”)", words=seen_words(seen), said=seen.said)


def _checks(face: Face, answer: BenchAnswer) -> list[str]:
    if not answer.next_checks:
        return []
    lines = face.section(text("What to check next, in this order"))
    for place, said in enumerate(checks_said(answer.next_checks), 1):
        lines += face.wrapped(said.name, first=f"{place:2}. ", rest="    ")
        then = text("It takes {minutes}. Then tell what you found, such as:", minutes=said.minutes)
        for line in filter(None, (said.how, said.caution, then, *said.tell)):
            lines += face.wrapped(line, first="    ", rest="    ")
    return lines


def _mends(face: Face, answer: BenchAnswer) -> list[str]:
    said = mends(answer)
    if not said:
        return []
    lines = face.section(text("What each finding means"))
    note = scheme_note(answer)
    if note:
        lines += face.wrapped(note, first="  ", rest="  ")
    for each in said:
        for name, odds in each.names:
            lines += face.wrapped(text("{name}: {odds}", name=name, odds=odds), first="  - ", rest="    ")
        for line in each.lines:
            lines += face.wrapped(line, first="      ", rest="      ")
    return lines
