"""Write a debrief's files whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from turnback.knowledge.book import Book
from turnback.records.debrief import DebriefAnswer, Step
from turnback.report.debrief_geojson import search_geojson
from turnback.report.debrief_json import SCHEMA_NAME, debrief_json
from turnback.report.debrief_letter import letter_of
from turnback.report.debrief_page import debrief_html
from turnback.report.debrief_redact import redacted_debrief
from turnback.report.debrief_schema import debrief_schema_json
from turnback.report.numbers import Units
from turnback.report.written import write_together

PAGE: Final = "debrief.html"
DATA: Final = "debrief.json"
LETTER: Final = "letter.txt"
COLUMNS: Final = "columns.toml"
CHAIN: Final = "chain.json"
SEARCH: Final = "search.geojson"


def write_debrief(
    answer: DebriefAnswer,
    out: Path,
    units: Units = Units.METRIC,
    *,
    places: bool = True,
    chain_text: str,
    columns_text: str = "",
    book: Book | None = None,
) -> Path:
    """Write page, numbers with their schema, letter, search area, match of columns and chain, all or none.

    Parameters
    ----------
    answer : DebriefAnswer
    out : Path
        The folder; it is made where it is missing. A letter, a search area and a match of columns that stand there
        from an earlier answer and that this one does not have are taken away: after an injury no letter is left.
    units : Units
        Those of page and letter.
    places : bool
        With positions, names, dates and the pilot's words. Without, neither chain nor match of columns is written,
        for they hold names and words; those that stand there are left alone, so that the work can go on.
    chain_text : str
        What was told and answered, to go on from.
    columns_text : str
        The match of columns, to be used again; written where there is a record.
    book : Book, optional
        Where the names of causes, signs and checks stand; the book of this package if left out.

    Returns
    -------
    Path
        Of the page.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    said = {
        PAGE: debrief_html(answer, units, places=places, book=book),
        DATA: debrief_json(answer, places=places, book=book),
        SCHEMA_NAME: debrief_schema_json(),
    }
    letter = letter_of(answer if places else redacted_debrief(answer), units, book)
    found = answer.search if places and Step.SEARCH in answer.steps else None
    search = None if found is None else search_geojson(found)
    if letter is not None:
        said[LETTER] = letter
    if search is not None:
        said[SEARCH] = search
    if places:
        said[CHAIN] = chain_text
        if answer.record is not None and columns_text:
            said[COLUMNS] = columns_text
    may_be_gone = (LETTER, SEARCH, COLUMNS) if places else (LETTER, SEARCH)
    write_together(said, out, "debrief", gone=tuple(name for name in may_be_gone if name not in said))
    return out / PAGE
