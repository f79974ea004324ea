"""Read a flight's table from a Parquet file: its footer first, then column by column."""

from __future__ import annotations

import json
from typing import Any, Final

import numpy as np
import polars as pl
from numpy.typing import NDArray

from turnback.base.errors import InputError, bad_input
from turnback.readers.record_parquet_trial import nested_column, survives
from turnback.readers.record_table_bounds import (
    LARGE_CELLS,
    LEAST_ROWS,
    LONGEST_LABEL,
    LONGEST_UNIT,
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_LABELS,
    MOST_ROWS,
    plain,
)
from turnback.readers.record_table_source import Source
from turnback.readers.record_text_cells import is_number, moment_of
from turnback.readers.record_text_columns import narrowed
from turnback.readers.record_text_heads import name_and_unit
from turnback.readers.record_text_moments import moments
from turnback.readers.said import on_one_line
from turnback.records.record_read import CellKind, RawColumn, RawTable, RecordFormat

Values = NDArray[np.floating]

PER_SECOND: Final = {"ms": 1e3, "us": 1e6, "ns": 1e9}
MOST_BYTES: Final = 1024**3  # our choice: packed; ten times the longest record that may be read
FLAT: Final = "save the flight as a flat table: one column for each channel"
# A damaged file makes the parser itself give up; that is no Exception, but it says what it is by its name.
_FAILURES: Final = (
    pl.exceptions.PolarsError,
    pl.exceptions.PanicException,
    OSError,
    ValueError,
    OverflowError,
    MemoryError,
)


def read_parquet(source: Source) -> RawTable:
    """Return a Parquet table.

    Raises
    ------
    InputError
        If it is damaged, packed again, too large, nested, or holds no rows of numbers.
    """
    if source.zipped:
        raise bad_input(source.name, "it is a Parquet file that is packed again", "unpack it first")
    if source.size > MOST_BYTES:
        raise bad_input(source.name, f"it is larger than {MOST_BYTES // 1024**3} GB", "save one flight")
    _verify_ends(source)
    if not survives(source.path):
        raise _damaged(source)
    try:
        schema = pl.read_parquet_schema(source.path)
        rows = int(pl.scan_parquet(source.path).select(pl.len()).collect().item())
        units = _units(pl.read_parquet_metadata(source.path))
    except _FAILURES as error:
        raise _damaged(source) from error
    _verify(source.name, schema, rows)
    columns = []
    for place, (name, kind) in enumerate(schema.items()):
        try:
            series = pl.read_parquet(source.path, columns=[name]).to_series()
        except _FAILURES as error:
            raise _damaged(source) from error
        if len(series) != rows:
            raise _damaged(source)
        columns.append(_column(place, name, kind, series, units.get(name, ""), large=rows * len(schema) >= LARGE_CELLS))
    if not any(np.isfinite(each.values).any() for each in columns if each.kind is not CellKind.WORD):
        raise bad_input(source.name, "none of its cells is a number", FLAT)
    return RawTable(source.name, RecordFormat.PARQUET, tuple(columns), rows)


def _verify_ends(source: Source) -> None:
    """A whole file ends as it begins, after a footer that fits into it (Parquet format, section File format)."""
    with source.path.open("rb") as file:
        file.seek(max(0, source.size - 8))
        tail = file.read(8)
    length = int.from_bytes(tail[:4], "little")
    if tail[4:] != b"PAR1" or length + 12 > source.size:
        raise _damaged(source)


def _verify(where: str, schema: Any, rows: int) -> None:
    if len(schema) > MOST_COLUMNS:
        what = f"it has {len(schema):,} columns where at most {MOST_COLUMNS:,} can be read"
        raise bad_input(where, what, "save only the channels of the flight")
    nested = nested_column(schema)
    if nested is not None:
        raise bad_input(where, f"its column {on_one_line(nested)} holds more than one value in a cell", FLAT)
    if rows > MOST_ROWS or rows * len(schema) > MOST_CELLS:
        what = f"it has {rows:,} rows, more than {MOST_ROWS:,}, or more than {MOST_CELLS:,} cells"
        raise bad_input(where, what, "save one flight, or fewer channels")
    if rows < LEAST_ROWS:
        what = f"it holds {rows or 'no'} row{'s' * (rows != 1)} of values"
        raise bad_input(where, what, "give a record of at least two")


def _units(metadata: dict[str, str]) -> dict[str, str]:
    """Return units that the writer noted for the whole file, as a table in JSON under ``units``."""
    try:
        found = json.loads(metadata.get("units", "{}"))
    except (ValueError, RecursionError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {key: plain(value, LONGEST_UNIT) for key, value in found.items() if isinstance(value, str)}


def _column(place: int, name: str, kind: Any, series: pl.Series, unit: str, *, large: bool) -> RawColumn:
    bare, own = name_and_unit(name)
    unit = unit or own
    labels: tuple[str, ...] = ()
    cells, bad = CellKind.NUMBER, 0
    if kind == pl.Boolean:
        cells, labels, values = CellKind.WORD, ("false", "true"), _floats(series.cast(pl.Float32))
    elif isinstance(kind, pl.Datetime | pl.Duration):
        values = _floats(series.to_physical().cast(pl.Float64)) / PER_SECOND[kind.time_unit]
        cells = CellKind.MOMENT if isinstance(kind, pl.Datetime) else CellKind.NUMBER
        unit = unit or ("s" if isinstance(kind, pl.Duration) else "")
    elif kind == pl.Date:
        cells, values = CellKind.MOMENT, _floats(series.to_physical().cast(pl.Float64)) * 86_400.0
    elif kind == pl.Time:
        cells, values = CellKind.MOMENT, _floats(series.to_physical().cast(pl.Float64)) / 1e9
    elif kind.is_numeric():
        values, bad = _finite(_floats(series if kind == pl.Float32 else series.cast(pl.Float64)))
    elif kind == pl.Null:
        values = np.full(len(series), np.nan)
    else:
        cells, values, labels, bad = _text(series.cast(pl.String))
    if large and values.dtype == np.float64 and cells is CellKind.NUMBER:
        values = narrowed(values)
    return RawColumn(place, bare, unit, cells, values, labels, bad_cells=bad)


def _text(series: pl.Series) -> tuple[CellKind, Values, tuple[str, ...], int]:
    """Return what a column of texts holds: moments, numbers or words."""
    series = series.str.strip_chars()
    told = series.drop_nulls()
    sample = told.gather_every(max(1, len(told) // 500)).to_list()
    way = moment_of(sample)
    if way is not None or (sample and 2 * sum(map(is_number, sample)) >= len(sample)):
        found = series.cast(pl.Float64, strict=False) if way is None else moments(series, way)
        values, wild = _finite(_floats(found))
        bad = int((series.is_not_null() & found.is_null()).sum()) + wild
        return (CellKind.NUMBER if way is None else CellKind.MOMENT), values, (), bad
    labels = [label for label in told.unique(maintain_order=True).to_list() if label][:MOST_LABELS]
    codes = series.replace_strict(labels, list(range(len(labels))), default=None, return_dtype=pl.Float32)
    return CellKind.WORD, _floats(codes), tuple(plain(label, LONGEST_LABEL) for label in labels), 0


def _floats(series: pl.Series) -> Values:
    return np.asarray(series.to_numpy())


def _finite(values: Values) -> tuple[Values, int]:
    wild = np.isinf(values)
    count = int(wild.sum())
    return (np.where(wild, np.nan, values).astype(values.dtype), count) if count else (values, 0)


def _damaged(source: Source) -> InputError:
    return bad_input(source.name, "it begins as a Parquet file, but is damaged or cut off", "save it again, or as CSV")
