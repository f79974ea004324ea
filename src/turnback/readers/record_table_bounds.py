"""How large a table of a flight may be."""

from __future__ import annotations

from typing import Final

MOST_COLUMNS: Final = 2000  # our choice: ten times the richest record met
MOST_ROWS: Final = 20_000_000  # our choice: five hours at 1 kHz
MOST_CELLS: Final = 150_000_000  # our choice: an hour at 1 kHz x 40 columns, 600 MB as float32
LEAST_ROWS: Final = 2
LARGE_CELLS: Final = 1_000_000  # our choice: below it float64 costs nothing
MOST_LABELS: Final = 64  # of a column of words
LONGEST_LABEL: Final = 80
LONGEST_UNIT: Final = 24


def plain(text: str, longest: int) -> str:
    """Return a stranger's word as one printable line of bounded length; it ends up in a report."""
    if len(text) <= longest and text.isprintable():
        return text.strip()
    return "".join(letter for letter in " ".join(text[: 4 * longest].split()) if letter.isprintable())[:longest]
