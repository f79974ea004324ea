"""Write the bench's files whole or not at all."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from turnback.base.errors import bad_input
from turnback.knowledge.book import Book
from turnback.records.belief import Belief
from turnback.records.bench import BenchAnswer
from turnback.records.heard import Heard
from turnback.report.bench_json import SCHEMA_NAME, bench_json
from turnback.report.bench_page import bench_page
from turnback.report.bench_schema import bench_schema_json
from turnback.report.files import FOR_ANYTHING, made_folder, unwritable

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
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    made_folder(folder, FOR_ANYTHING)
    try:
        _written(said, folder)
    except BaseException as error:
        for each in missing:  # the innermost first; where somebody else has put something, it stays
            with suppress(OSError):
                each.rmdir()
        if isinstance(error, OSError):
            raise unwritable(folder, error) from None
        raise
    return folder / PAGE


def _written(said: Mapping[str, str], folder: Path) -> None:
    for name in said:
        if (folder / name).is_dir():
            raise bad_input(str(folder / name), "is a folder where a file belongs", "move it, or name another folder")
    with tempfile.TemporaryDirectory(dir=folder, prefix=".bench.") as beside:
        fresh, old = Path(beside) / "fresh", Path(beside) / "old"
        fresh.mkdir()
        old.mkdir()
        for name, content in said.items():
            (fresh / name).write_text(content, encoding="utf-8", newline="\n")
        _move(tuple(said), fresh, old, folder)


def _move(names: Sequence[str], fresh: Path, old: Path, folder: Path) -> None:
    """Move all in; whatever stops it, all is as it was before."""
    stood = {name for name in names if (folder / name).exists()}
    try:
        for name in names:
            if name in stood:
                (folder / name).rename(old / name)
            (fresh / name).rename(folder / name)
    except BaseException:
        for name in names:
            if (old / name).exists():
                (old / name).replace(folder / name)
            elif name not in stood:
                (folder / name).unlink(missing_ok=True)
        raise
