"""Flight records: a file in, what its columns mean and what happened out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from turnback.base.errors import Fault, InputError, bad_input
from turnback.flows.record import record as _record
from turnback.readers.record_columns_file import column_told, columns_file_text, read_columns_file
from turnback.records.channel import Quantity
from turnback.records.happened import RecordAnswer
from turnback.records.pack import ChemistryName
from turnback.records.record_read import ColumnsRead, ColumnTold, FlightFacts
from turnback.report.files import require_folder, write_new
from turnback.report.numbers import Units
from turnback.report.record_files import write_record as _write_record

Tell = Callable[[float], None]
BOUNDS = {"cells": (1.0, 14.0), "blades": (2.0, 8.0), "rate": (0.01, 50_000.0)}


def record(
    path: Path,
    *,
    columns: Path | None = None,
    told: Sequence[str] = (),
    cells: float | None = None,
    chemistry: str | None = None,
    blades: float | None = None,
    rate_hz: float | None = None,
    tell: Tell | None = None,
) -> RecordAnswer:
    """Return what a record's columns mean and what happened in it.

    Parameters
    ----------
    path : Path
        CSV, Parquet, GPX 1.1, KML 2.2 or GeoJSON.
    columns : Path, optional
        A file of columns, as `columns_text` writes it.
    told : sequence of str
        Such as ``"gx=-roll_rate deg/s"``; they win over the file.
    cells, blades : float, optional
        Cells in series; blades of one propeller.
    chemistry : str, optional
        A name of `records.pack.ChemistryName`.
    rate_hz : float, optional
        Rows a second of a record without a clock.
    tell : callable, optional
        Told the share of the work that is done, 0 to 1.

    Raises
    ------
    InputError
        With every fault of what was told, or of the record.
    """
    facts = facts_from(columns=columns, told=told, cells=cells, chemistry=chemistry, blades=blades, rate_hz=rate_hz)
    return _record(path, facts, tell=tell)


def facts_from(
    *,
    columns: Path | None = None,
    told: Sequence[str] = (),
    cells: float | None = None,
    chemistry: str | None = None,
    blades: float | None = None,
    rate_hz: float | None = None,
) -> FlightFacts:
    """Return what is said beside a record; the parameters are those of `record`.

    Raises
    ------
    InputError
        With every fault of it.
    """
    faults = _faults({"cells": cells, "blades": blades, "rate": rate_hz})
    said: list[ColumnTold] = []
    for text in told:
        try:
            said.append(column_told(text))
        except InputError as error:
            faults += error.faults
    if faults:
        raise InputError(*faults)
    named = {each.name for each in said}
    if columns is not None:
        said = [*(each for each in read_columns_file(columns) if each.name not in named), *said]
    return FlightFacts(
        cells=None if cells is None else int(cells),
        chemistry=None if chemistry is None else ChemistryName(chemistry).value,
        blades=None if blades is None else int(blades),
        rate_hz=rate_hz,
        told=tuple(said),
    )


def columns_text(answer: RecordAnswer) -> str:
    """Return the file of columns of a record: what was taken for what, to be corrected and given again."""
    matches = answer.flown.record.matches
    times = [each.place for each in matches if each.taken and each.taken.channel.quantity is Quantity.TIME]
    return columns_file_text(ColumnsRead(matches, times[0] if times else None))


def write_columns(answer: RecordAnswer, path: Path) -> Path:
    """Write the file of columns; one that stands there is left alone.

    Raises
    ------
    InputError
        If something stands there, or the folder cannot be written.
    """
    return write_new(path, columns_text(answer))


def require_new(path: Path) -> None:
    """Make sure, before long work begins, that nothing stands where a new file is to be written.

    Raises
    ------
    InputError
        If something does, or its folder cannot be written.
    """
    if path.exists():
        raise bad_input(str(path), "is there already", "name another file, or take that one away first")
    require_folder(path.absolute().parent)


def write_record(answer: RecordAnswer, out: Path, units: Units = Units.METRIC, *, places: bool = True) -> Path:
    """Write page, numbers and columns into a folder, whole or not at all; return the page's path.

    Raises
    ------
    InputError
        If the folder cannot be written.
    """
    return _write_record(answer, out, units, places=places, columns_text=columns_text(answer))


def _faults(given: dict[str, float | None]) -> list[Fault]:
    faults = []
    for name, value in given.items():
        low, high = BOUNDS[name]
        if value is not None and not low <= value <= high:
            what = f"{value:g} is outside {low:g} to {high:g}"
            faults.append(Fault(f"--{name}", what, "give the number that belongs to this aircraft or record"))
        elif value is not None and name != "rate" and value != int(value):
            faults.append(Fault(f"--{name}", f"{value:g} is no whole number", "count them"))
    return faults
