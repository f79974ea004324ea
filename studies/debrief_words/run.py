"""Score debriefs of words alone and write the figures into ``docs/debrief-words.md``.

Run ``python -m studies.debrief_words.run``; with ``--tuning`` it tells the faults on the tuning cases and
writes nothing.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from studies.debrief_words.cases import FOURTH, FRESH, THIRD, WordsCase, cases, tuning
from studies.debrief_words.score import Marked, answer_of, mark, share, trivial
from studies.hearing.figures import interval

from turnback.knowledge.book import Book
from turnback.knowledge.from_study import with_study
from turnback.knowledge.reading import read_book

PAGE: Final = Path(__file__).resolve().parents[2] / "docs" / "debrief-words.md"
BEGIN: Final = "<!-- figures: made by studies.debrief_words.run -->"
END: Final = "<!-- end of figures -->"
WANTED: Final = (
    ("right", "**the first question decides, or a right cause is among the first three**"),
    ("question_right", "the first question decides"),
    ("cause_right", "a right cause is among the first three"),
)
TAKEN: Final = (
    ("hurt_right", "whether somebody was hurt"),
    ("pack_right", "what the pack is like"),
    ("where_right", "where the aircraft is"),
)


def figures(book: Book) -> str:
    """Return the figures as Markdown."""
    tuned = tuning()
    tables = {"first, tuned by": cases(), "second, tuned by": cases(FRESH), "third, tuned by": cases(THIRD)}
    if FOURTH.exists():  # by another hand; until it is there nothing says what to expect
        tables["fourth, not tuned by"] = cases(FOURTH)
    marked = {name: [mark(case, book) for case in rows] for name, rows in tables.items()}
    head = [
        "| | " + " | ".join(f"{name} ({len(rows)})" for name, rows in tables.items()) + " |",
        "|---" * (len(tables) + 1) + "|",
    ]
    lines = [*head, *(_row(words, [share(rows, name) for rows in marked.values()]) for name, words in WANTED)]
    fixed = [trivial(tuned, rows, book) for rows in tables.values()]
    counts = [len(rows) for rows in tables.values()]
    for place, words in ((2, "one fixed answer: either"), (1, "one fixed answer: question"), (0, "its three causes")):
        lines.append(_row(words, [(row[place], count) for row, count in zip(fixed, counts, strict=True)]))
    lines += ["", *head, *(_row(words, [share(rows, name) for rows in marked.values()]) for name, words in TAKEN)]
    lines.append(_row("readings found", [_readings(rows) for rows in marked.values()]))
    more = " | ".join(str(sum(each.readings_more for each in rows)) for rows in marked.values())
    lines.append(f"| readings taken that are none | {more} |")
    return "\n".join(lines)


def _readings(rows: Sequence[Marked]) -> tuple[int, int]:
    return sum(each.readings_right for each in rows), sum(each.readings_told for each in rows)


def _row(words: str, counts: Sequence[tuple[int, int]]) -> str:
    cells = []
    for count, of in counts:
        low, high = interval(count, of)
        cells.append(f"{count / of:.2f} ({low:.2f} to {high:.2f}; {count} of {of})")
    return f"| {words} | " + " | ".join(cells) + " |"


def faults(rows: Sequence[WordsCase], book: Book) -> None:
    """Print what is wrong in each case, and how many are right."""
    every = [mark(case, book) for case in rows]
    for each in every:
        told = answer_of(each.case, book).told
        heard = [f"{'' if one.seen else '-'}{one.sign}:{one.sure:.2f}" for one in told.heard]
        heard += [f"{'' if one.seen else '-'}[{one.sign}:{one.sure:.2f}]" for one in told.signs]
        wrong = [name for name, _ in (*WANTED[1:], *TAKEN) if not getattr(each, name)]
        if each.readings_right < each.readings_told or each.readings_more:
            wrong.append(f"readings {[(r.of.value, r.value, r.at_s) for r in told.readings]}")
        if wrong:
            mark_word = "" if each.right else "WRONG "
            print(f"{mark_word}{each.case.said}\n   {each.case.cause}: top {each.top}, asked {each.question}")
            print(f"   heard {heard}; {told.hurt.value}, {told.pack.value}, {told.whereabouts.value}\n   not {wrong}")
    for name, _ in (*WANTED, *TAKEN):
        print(name, *share(every, name))
    print("readings", *_readings(every), "more", sum(each.readings_more for each in every))


def write(page: Path, text: str) -> None:
    """Put the figures between the page's marks."""
    before, rest = page.read_text(encoding="utf-8").split(BEGIN)
    after = rest.split(END)[1]
    page.write_text(f"{before}{BEGIN}\n\n{text}\n\n{END}{after}", encoding="utf-8")


def main(words: list[str]) -> None:
    """Write the figures, or tell the faults on the tuning cases."""
    book = with_study(read_book())
    if "--tuning" in words:
        faults(tuning(), book)
        return
    write(PAGE, figures(book))


if __name__ == "__main__":
    main(sys.argv[1:])
