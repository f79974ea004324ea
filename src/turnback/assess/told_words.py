"""What a pilot's own words tell in a debrief."""

from __future__ import annotations

from turnback.assess.hearing import hear
from turnback.knowledge.book import Book
from turnback.records.debrief import ToldInWords


def told_in_words(
    words: tuple[str, ...], book: Book, *, cells: int | None = None, chemistry: str | None = None
) -> ToldInWords:
    """Return all that words tell.

    Parameters
    ----------
    words : tuple of str
        One text each.
    book : Book
    cells : int or None
        In series.
    chemistry : str or None
        A name of `records.pack.ChemistryName`.
    """
    del cells, chemistry
    whole = "\n".join(words)
    return ToldInWords(heard=hear(whole, book) if whole.strip() else ())
