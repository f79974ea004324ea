"""The blocks that a printed report is made of, as ``report.typ`` lays them out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from turnback.report import pdf
from turnback.report.language import text
from turnback.report.typography import together
from turnback.report.vega import Key

Block = dict[str, Any]


def section(name: str, title: str, *blocks: Block) -> Block:
    """A titled part, which stands in the bookmarks."""
    return {"kind": "section", "name": name, "title": title, "blocks": list(blocks)}


def paragraph(said: str) -> Block:
    """One paragraph."""
    return {"kind": "paragraph", "text": together(said)}


def items(said: Iterable[str]) -> Block:
    """A list."""
    return {"kind": "items", "items": [together(line) for line in said]}


def lines(rows: Iterable[tuple[str, str]]) -> Block:
    """Labels and what they say, for what a pilot reads first."""
    return {"kind": "lines", "rows": _together(rows)}


def steps(said: Iterable[tuple[str, str, str]]) -> Block:
    """Numbered steps: what to do, a tag, and why."""
    return {
        "kind": "steps",
        "title": "",
        "steps": [{"do": together(do), "tag": tag, "why": together(why)} for do, tag, why in said],
    }


def pairs(rows: Iterable[tuple[str, str]], *, title: str = "") -> Block:
    """Names and values in two columns."""
    return {"kind": "pairs", "title": title, "heads": [text("What"), text("Value")], "rows": _together(rows)}


def table(heads: Sequence[str], rows: Iterable[Sequence[Any]], widths: Sequence[float]) -> Block:
    """A table with a head that repeats.

    Parameters
    ----------
    heads : sequence of str
        Names of the columns.
    rows : iterable of sequence
        Cells of text; the first may be the parts of a finding.
    widths : sequence of float
        Of the columns, as shares.
    """
    return {
        "kind": "table",
        "heads": list(heads),
        "widths": list(widths),
        "rows": [[together(cell) if isinstance(cell, str) else cell for cell in row] for row in rows],
    }


def figure(drawn: str, alt: str, keys: Iterable[Key], *, aside: bool = False) -> Block:
    """A picture with its key; its words are read out in its place, and stand below it unless it is set aside."""
    return {
        "kind": "figure",
        "svg": str(drawn).replace("sans-serif", pdf.FONT),
        "alt": together(alt),
        "aside": aside,
        "keys": [
            {"label": key.label, "colour": key.colour, "swatch": key.swatch.value, "dash": list(key.dash),
             "opacity": key.opacity}
            for key in keys
        ],
    }  # fmt: skip


def _together(rows: Iterable[tuple[str, str]]) -> list[list[str]]:
    return [[together(name), together(value)] for name, value in rows]
