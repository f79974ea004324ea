"""Write the bench's files whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from turnback.knowledge.book import Book
from turnback.records.belief import Belief
from turnback.records.bench import BenchAnswer
from turnback.records.heard import Heard
from turnback.report.bench_json import SCHEMA_NAME, bench_json
from turnback.report.bench_page import bench_page
from turnback.report.bench_schema import bench_schema_json
from turnback.report.written import write_together

PAGE: Final = "bench.html"
DATA: Final = "bench.json"


def write_bench(
    answer: BenchAnswer,
    folder: Path,
    heard: Sequence[Heard] = (),
    *,
    belief: Belief | None = None,
    book: Book | None = None,
    words: bool = False,
    more: Mapping[str, str] | None = None,
) -> Path:
    """Write the page, the numbers and their schema into a folder, all or none; return the page's path.

    Parameters
    ----------
    answer : BenchAnswer
    folder : Path
        It is made where it is missing.
    heard : sequence of Heard
        Signs in the pilot's words, for confirmation.
    belief : Belief, optional
        Over the whole book.
    book : Book, optional
        Where its names stand.
    words : bool
        The pilot's words were given, understood or not.
    more : mapping of str to str, optional
        Further files that belong to this answer, by name.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    said = {
        PAGE: bench_page(answer, heard, belief=belief, book=book, words=words),
        DATA: bench_json(answer, heard=heard, belief=belief, book=book, words=words),
        SCHEMA_NAME: bench_schema_json(),
        **(more or {}),
    }
    write_together(said, folder, "bench")
    return folder / PAGE
