"""Write a record's files whole or not at all."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from turnback.records.happened import RecordAnswer
from turnback.report.numbers import Units
from turnback.report.record_json import SCHEMA_NAME, record_json
from turnback.report.record_page import record_html
from turnback.report.record_schema import record_schema_json
from turnback.report.written import write_together

PAGE: Final = "record.html"
DATA: Final = "record.json"
COLUMNS: Final = "columns.toml"


def write_record(
    answer: RecordAnswer,
    out: Path,
    units: Units = Units.METRIC,
    *,
    places: bool = True,
    columns_text: str | None = None,
) -> Path:
    """Write page, numbers, their schema and the match of columns into a folder, all or none; return the page's path.

    Parameters
    ----------
    answer : RecordAnswer
    out : Path
        The folder; it is made where it is missing.
    units : Units
        Those of the page.
    places : bool
        With positions, names and dates; without, the match of columns is not written either, for it holds their names.
    columns_text : str, optional
        The match of columns, to be used again.

    Raises
    ------
    InputError
        If the folder is a file or cannot be written.
    """
    said = {
        PAGE: record_html(answer, units, places=places),
        DATA: record_json(answer, places=places),
        SCHEMA_NAME: record_schema_json(),
    }
    if places and columns_text is not None:
        said[COLUMNS] = columns_text
    write_together(said, out, "record")
    return out / PAGE
