"""Columns from cells that a track file has point by point: numbers, moments or words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
import polars as pl

from turnback.base.errors import InputError, bad_input
from turnback.readers.record_table_bounds import LONGEST_LABEL, MOST_LABELS, plain
from turnback.readers.record_text_cells import NOTHING, is_number, moment_of
from turnback.readers.record_text_moments import moments
from turnback.readers.said import short
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import CellKind, RawColumn, RawTable, RecordFormat

Cell = str | float | None

MOST_NAMES: Final = 200  # our choice: of values beside place and time
LONGEST_NAME: Final = 120
PLACE_LIMIT_DEG: Final = {Quantity.LATITUDE: 90.0, Quantity.LONGITUDE: 180.0}
NO_TIMES: Final = "its points have no times, and a track without times cannot say what happened"
WITH_TIMES: Final = "export the flight with the time of each point, or as CSV"


class PointTable:
    """Points gathered one by one; names come up as they are met.

    Parameters
    ----------
    where : str
        For errors.
    """

    def __init__(self, where: str) -> None:
        self.where = where
        self.points: list[dict[str, Cell]] = []
        self.names: dict[str, None] = {}

    def add(self, point: dict[str, Cell]) -> None:
        """Take a point in.

        Raises
        ------
        InputError
            For too many names.
        """
        self.names |= dict.fromkeys(point)
        if len(self.names) > MOST_NAMES:
            what = f"its points have more than {MOST_NAMES} kinds of values"
            raise bad_input(self.where, what, "export only the channels of the flight")
        self.points.append(point)

    def cells(self, name: str) -> list[Cell]:
        """Return one value of every point."""
        return [point.get(name) for point in self.points]


def track_table(
    points: PointTable, file_format: RecordFormat, said: dict[str, tuple[Quantity, str]], dropped: int, *, zipped: bool
) -> RawTable:
    """Return the points as a table.

    Parameters
    ----------
    points : PointTable
    file_format : RecordFormat
    said : dict of str to (Quantity, str)
        What the format itself says of a name, and the unit.
    dropped : int
        Points that were left out already.
    zipped : bool

    Raises
    ------
    InputError
        For fewer than two points, or none with a place.
    """
    rows = len(points.points)
    if rows < 2:
        raise bad_input(
            points.where, f"it holds {rows or 'no'} point{'s' * (rows != 1)}", "give a record of at least two"
        )
    columns = tuple(
        column_of(place, name, points.cells(name), said.get(name)) for place, name in enumerate(points.names)
    )
    if not any(np.isfinite(each.values).any() for each in columns if each.kind is not CellKind.WORD):
        raise no_numbers(points.where)
    return RawTable(points.where, file_format, columns, rows, dropped_rows=dropped, zipped=zipped)


def no_numbers(where: str) -> InputError:
    """Return the error of a track that holds nothing to go by."""
    return bad_input(where, "none of its values is a number", "export the flight again, or as CSV")


def column_of(place: int, name: str, cells: Sequence[Cell], said: tuple[Quantity, str] | None = None) -> RawColumn:
    """Return one column.

    Parameters
    ----------
    place : int
    name : str
    cells : sequence of str, float or None
    said : (Quantity, str), optional
        What the format says that it is, and in which unit.
    """
    name = short("".join(letter for letter in " ".join(name.split()) if letter.isprintable()), LONGEST_NAME)
    channel = Channel(said[0]) if said else None
    unit = said[1] if said else ""
    words = [cell.strip() for cell in cells if isinstance(cell, str)]
    told = [word for word in words if word and word not in NOTHING]
    way = moment_of(told[:200]) if told else None
    if told and (way is not None or (said is not None and said[0] is Quantity.TIME)):
        text = pl.Series(
            [cell.strip() if isinstance(cell, str) and cell.strip() else None for cell in cells], dtype=pl.String
        )
        seconds = moments(text, way) if way else text.cast(pl.Float64, strict=False)
        bad = int((text.is_not_null() & seconds.is_null()).sum())
        values = seconds.to_numpy().astype(np.float64)
        return RawColumn(place, name, "", CellKind.MOMENT, values, said=channel, said_unit=unit, bad_cells=bad)
    numeric = sum(map(is_number, told))
    if 2 * numeric < len(told) and channel is None and not any(isinstance(cell, float) for cell in cells):
        return _words(place, name, cells)
    values = np.array([_number(cell) for cell in cells], dtype=np.float64)
    wild = np.abs(values) > PLACE_LIMIT_DEG.get(said[0], np.inf) if said else np.zeros(values.size, dtype=np.bool_)
    values[wild] = np.nan
    bad = len(told) - numeric + int(wild.sum())
    return RawColumn(place, name, "", CellKind.NUMBER, values, said=channel, said_unit=unit, bad_cells=bad)


def _number(cell: Cell) -> float:
    if isinstance(cell, str):
        cell = float(cell) if is_number(cell.strip()) else np.nan
    return cell if cell is not None and np.isfinite(cell) else np.nan


def _words(place: int, name: str, cells: Iterable[Cell]) -> RawColumn:
    known: dict[str, int] = {}
    codes = []
    for cell in cells:
        word = plain(cell, LONGEST_LABEL) if isinstance(cell, str) else ""
        if word and len(known) < MOST_LABELS:
            known.setdefault(word, len(known))
        codes.append(float(known.get(word, np.nan)))
    return RawColumn(place, name, "", CellKind.WORD, np.array(codes), labels=tuple(known))
