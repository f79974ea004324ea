"""Read a table of a flight from any file that a person may have: told apart by its bytes, never by its name."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from turnback.readers.record_parquet import read_parquet
from turnback.readers.record_table_kinds import Kind, kind_of
from turnback.readers.record_table_source import open_source
from turnback.readers.record_text import read_text
from turnback.readers.record_tracks import read_xml_track
from turnback.readers.record_tracks_json import read_json_track
from turnback.records.record_read import RawTable

READERS: Final = {
    Kind.TEXT: read_text,
    Kind.XML: read_xml_track,
    Kind.JSON: read_json_track,
    Kind.PARQUET: read_parquet,
}


def read_table(path: Path) -> RawTable:
    """Return the whole table of a record, as the file has it.

    Parameters
    ----------
    path : Path
        A table of text with any separator, GPX 1.1, KML 2.2 or GeoJSON, each packed with gzip or not; or Parquet.

    Raises
    ------
    InputError
        With one clear sentence, for anything that is no such table, closed, damaged or too large.
    """
    source = open_source(path)
    return READERS[kind_of(source)](source)
