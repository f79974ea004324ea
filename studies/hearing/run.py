"""Score the ear on the held-out sentences and write the figures into ``docs/hearing.md``.

Run ``python -m studies.hearing.run``; with ``--tuning`` it tells the faults on the tuning sentences and writes nothing.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Final

from studies.hearing.figures import Ear, Score, interval, judge, score
from studies.hearing.sentences import FRESH, FRESH_AGAIN, Sentence, for_tuning, sentences

from turnback.assess.hearing import hear, listen
from turnback.assess.hearing_phrases import Phrases, phrases_of
from turnback.assess.hearing_words import Word
from turnback.knowledge.book import Book
from turnback.knowledge.reading import read_book
from turnback.knowledge.said import read_said

PAGE: Final = Path(__file__).resolve().parents[2] / "docs" / "hearing.md"
BEGIN: Final = "<!-- figures: made by studies.hearing.run -->"
END: Final = "<!-- end of figures -->"
OVERLAP: Final = 0.4
"""The word-overlap baseline hears a sign from this share of all words on; the best of 0.3 to 0.8 on the tuning part."""
ENOUGH: Final = ((0.5, 0.75), (0.75, 0.85), (0.85, 0.901))


def ears(book: Book) -> dict[str, Ear]:
    """Return the ear, the ear with the book's own phrases alone, and the two baselines."""
    said = read_said()
    whole = phrases_of(book, said)
    bare = phrases_of(book, replace(said, phrases={}, denials={}))
    return {
        "this ear": lambda text: [(one.sign, one.seen) for one in hear(text, book)],
        "this ear, the book's own phrases alone": lambda text: [(one.sign, one.seen) for one in listen(text, bare)],
        "a whole phrase is in the text": lambda text: _by_substring(text, whole),
        "the most words are shared": lambda text: _by_overlap(text, whole),
    }


def _by_substring(text: str, phrases: Phrases) -> list[tuple[str, bool]]:
    there = _bare(text, phrases)
    return sorted({(row.sign, row.there) for row in phrases.rows if f" {_bare(row.text, phrases)} " in f" {there} "})


def _by_overlap(text: str, phrases: Phrases) -> list[tuple[str, bool]]:
    there = {word.text for word in phrases.meanings.plain_words(text)}
    best = max(phrases.rows, key=lambda row: len(row.words & there) / len(row.words | there))
    near = len(best.words & there) / len(best.words | there)
    return [(best.sign, best.there)] if near >= OVERLAP else []


def _bare(text: str, phrases: Phrases) -> str:
    words: list[Word] = phrases.meanings.plain_words(text)
    return " ".join(word.text for word in words)


def same_words(held: Iterable[Sentence], book: Book) -> set[str]:
    """Return the sentences that a phrase has word for word, but for words that tell nothing."""
    phrases = phrases_of(book, read_said())
    empty = phrases.meanings.said.empty

    def told(text: str) -> tuple[str, ...]:
        return tuple(word.text for word in phrases.meanings.plain_words(text) if word.text not in empty)

    known = {told(row.text) for row in phrases.rows}
    return {sentence.text for sentence in held if told(sentence.text) in known}


def _row(name: str, one: Score) -> str:
    def share(count: int, of: int) -> str:
        low, high = interval(count, of)
        return f"{count / of:.2f} ({low:.2f} to {high:.2f}; {count} of {of})" if of else "none"

    turned = one.right + one.turned
    return (
        f"| {name} | {share(one.right, one.heard)} | {share(one.found, one.told)} | {share(one.turned, turned)} "
        f"| {one.clean} of {one.empty} |"
    )


def _sureness(held: list[Sentence], book: Book) -> list[str]:
    rows = ["| sure | heard | right |", "|---|---|---|"]
    told: list[tuple[float, int, int]] = []
    for sentence in held:
        for one in hear(sentence.text, book):
            counted, right, *_ = judge(sentence, [(one.sign, one.seen)])
            told.append((one.sure, counted, right))
    for low, high in ENOUGH:
        here = [row for row in told if low <= row[0] < high]
        heard, right = sum(row[1] for row in here), sum(row[2] for row in here)
        if heard:
            sure = sum(row[0] * row[1] for row in here) / heard
            least, most = interval(right, heard)
            rows.append(f"| {sure:.2f} on average | {heard} | {right / heard:.2f} ({least:.2f} to {most:.2f}) |")
    return rows


def figures(book: Book) -> str:
    """Return the figures as Markdown."""
    held = [sentence for sentence in sentences() if not for_tuning(sentence.text)]
    fresh = list(sentences(FRESH_AGAIN))
    known = same_words(held, book)
    far = [sentence for sentence in held if sentence.text not in known]
    head = [
        "| ear | precision | recall | polarity wrong | nothing heard where nothing is told |",
        "|---|---|---|---|---|",
    ]
    rows = [
        f"Held out: {len(held)} of {len(sentences())} sentences. In brackets 95 % intervals (Wilson).",
        "",
        *head,
        *(_row(name, score(held, ear)[0]) for name, ear in ears(book).items()),
        "",
        f"The same without the {len(known)} sentences that a phrase says in the very same words:",
        "",
        *head,
        *(_row(name, score(far, ear)[0]) for name, ear in ears(book).items()),
        "",
        f"Fresh: {len(fresh)} sentences written after all phrases stood, for signs drawn by lot:",
        "",
        *head,
        *(_row(name, score(fresh, ear)[0]) for name, ear in ears(book).items()),
        "",
        "How often what was heard in the fresh ones is right, by how sure the ear is of it:",
        "",
        *_sureness(fresh, book),
    ]
    return "\n".join(rows)


def write(page: Path, text: str) -> None:
    """Put the figures between the page's marks."""
    before, rest = page.read_text(encoding="utf-8").split(BEGIN)
    after = rest.split(END)[1]
    page.write_text(f"{before}{BEGIN}\n\n{text}\n\n{END}{after}", encoding="utf-8")


def main(words: list[str]) -> None:
    """Write the figures, or tell the faults on the tuning sentences."""
    book = read_book()
    if "--tuning" in words:
        tuning = [*(sentence for sentence in sentences() if for_tuning(sentence.text)), *sentences(FRESH)]
        for name, ear in ears(book).items():
            print(_row(name, score(tuning, ear)[0]))
        for fault in score(tuning, ears(book)["this ear"])[1]:
            print(fault)
        return
    write(PAGE, figures(book))


if __name__ == "__main__":
    main(sys.argv[1:])
