"""Read a table of a flight from any file that a person may have: told apart by its bytes, never by its name."""

from __future__ import annotations

from pathlib import Path

from turnback.readers.record_table_source import open_source
from turnback.readers.record_text import read_text
from turnback.records.record_read import RawTable


def read_table(path: Path) -> RawTable:
    """Return the whole table of a record, as the file has it.

    Parameters
    ----------
    path : Path
        CSV or another table of text, packed with gzip or not.

    Raises
    ------
    InputError
        With one clear sentence, for anything that is no such table or too large.
    """
    return read_text(open_source(path))
