"""What the tables of a brief are made of: rows of text, the same for terminal, page and print."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """One named value in words."""

    name: str
    value: str


@dataclass(frozen=True, slots=True)
class Table:
    """A titled list of rows."""

    title: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class AssumedRow:
    """One gap that was filled."""

    name: str
    value: str
    band: str
    origin: str
    share: str
    source: str
    how: str
