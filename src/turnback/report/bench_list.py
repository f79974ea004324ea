"""What can be told at the bench, as a list for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from typing import Final

from turnback.knowledge.book import Book
from turnback.report.language import mark, text
from turnback.report.words_bench_list import CHECK_WORDS, SAW_WORDS

INDENT: Final = "    "
HOW_TO_SAW: Final = mark("What it did: --saw")
HOW_TO_CHECKED: Final = mark("What you looked at: --checked")
HOW_TO_SIGN: Final = mark("Signs of the book: --sign where it was seen, --no-sign where it was looked for and not seen")


def bench_list_text(book: Book, width: int) -> str:
    """Return every sight, every check of the bench and every sign of the book, with what each means.

    Parameters
    ----------
    book : Book
    width : int
        Columns of the terminal.
    """
    parts = [
        *_block(text(HOW_TO_SAW), ((how, text(means)) for how, means in SAW_WORDS), width),
        *_block(text(HOW_TO_CHECKED), ((how, text(means)) for how, means in CHECK_WORDS), width),
        *_block(text(HOW_TO_SIGN), ((each.key, text(each.name)) for each in book.signs), width),
    ]
    return "\n".join(parts)


def _block(title: str, rows: Iterable[tuple[str, str]], width: int) -> Sequence[str]:
    room = max(30, min(width, 100))
    lines = [*textwrap.wrap(title, room), ""]
    for how, means in rows:
        lines.append(f"  {how}")
        lines.extend(textwrap.wrap(means, room, initial_indent=INDENT, subsequent_indent=INDENT))
    return [*lines, ""]
