"""Write a record's files whole or not at all."""

from __future__ import annotations

import tempfile
from contextlib import suppress
from pathlib import Path
from typing import Final

from turnback.base.errors import bad_input
from turnback.records.happened import RecordAnswer
from turnback.report.files import FOR_ANYTHING, made_folder, unwritable
from turnback.report.numbers import Units
from turnback.report.record_json import SCHEMA_NAME, record_json
from turnback.report.record_page import record_html
from turnback.report.record_schema import record_schema_json

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
    missing = [each for each in (out, *out.parents) if not each.exists()]
    made_folder(out, FOR_ANYTHING)
    said = {
        PAGE: record_html(answer, units, places=places),
        DATA: record_json(answer, places=places),
        SCHEMA_NAME: record_schema_json(),
    }
    if places and columns_text is not None:
        said[COLUMNS] = columns_text
    try:
        _written(said, out)
    except BaseException as error:
        for each in missing:  # the innermost first; where somebody else has put something, it stays
            with suppress(OSError):
                each.rmdir()
        if isinstance(error, OSError):
            raise unwritable(out, error) from None
        raise
    return out / PAGE


def _written(said: dict[str, str], out: Path) -> None:
    for name in said:
        if (out / name).is_dir():
            raise bad_input(str(out / name), "is a folder where a file belongs", "move it, or name another folder")
    with tempfile.TemporaryDirectory(dir=out, prefix=".record.") as beside:
        fresh, old = Path(beside) / "fresh", Path(beside) / "old"
        fresh.mkdir()
        old.mkdir()
        for name, content in said.items():
            (fresh / name).write_text(content, encoding="utf-8", newline="\n")
        _move(tuple(said), fresh, old, out)


def _move(names: tuple[str, ...], fresh: Path, old: Path, out: Path) -> None:
    """Move all in; whatever stops it, all is as it was before."""
    stood = {name for name in names if (out / name).exists()}
    try:
        for name in names:
            if name in stood:
                (out / name).rename(old / name)
            (fresh / name).rename(out / name)
    except BaseException:
        for name in names:
            if (old / name).exists():
                (old / name).replace(out / name)
            elif name not in stood:
                (out / name).unlink(missing_ok=True)
        raise
