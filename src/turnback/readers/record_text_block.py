"""One block of a text table, whole lines, to arrays: fast where all is in order, with care where something is not."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Final

import numpy as np
import polars as pl
from numpy.typing import NDArray

from turnback.readers.record_text_cells import NOTHING, Moment
from turnback.readers.record_text_columns import ColumnForm, Holds
from turnback.readers.record_text_form import REMARKS
from turnback.readers.record_text_moments import moments
from turnback.readers.record_text_numbers import plain_block

NUMERIC_COMMA: Final = r"^[+-]?(?:[0-9]+,?[0-9]*|,[0-9]+)(?:[eE][+-]?[0-9]+)?$"

Values = NDArray[np.floating]


@dataclass(frozen=True, slots=True)
class BlockForm:
    """All that parsing a block needs.

    Parameters
    ----------
    separator : str
    decimal_comma : bool
    fields : int
        Cells of a row, a last empty one after a closing separator counted too.
    columns : tuple of ColumnForm
    blanks : bool
        Blanks stand beside separators.
    nothing : tuple of str
        Words for nothing that were met.
    heads : frozenset of bytes
        Heading lines, to leave out where they come again.
    large : bool
        So many cells that a parser for plain numbers alone is worth loading.
    """

    separator: str
    decimal_comma: bool
    fields: int
    columns: tuple[ColumnForm, ...]
    blanks: bool = False
    nothing: tuple[str, ...] = ()
    heads: frozenset[bytes] = frozenset()
    large: bool = False


@dataclass(slots=True)
class Block:
    """What a block holds.

    Parameters
    ----------
    values : list of ndarray
        One for each column; of words the place in the block's own `labels`, which are as written.
    labels : dict of int to list of str
    rows : int
    dropped : int
    bad : dict of int to int
        Cells that are no number, by column.
    most : dict of int to float
        Largest magnitude of each float32 column.
    """

    values: list[Values]
    rows: int
    dropped: int = 0
    labels: dict[int, list[str]] = field(default_factory=dict)
    bad: dict[int, int] = field(default_factory=dict)
    most: dict[int, float] = field(default_factory=dict)


def read_block(data: bytes, form: BlockForm) -> Block:
    """Return the columns of a block of whole lines."""
    data = _evened(data, form)
    plain = _plain(data, form)
    if plain is not None:
        return plain
    frame = _strict(data, form)
    dropped = 0
    if frame is None:
        data, dropped = _tidied(data, form)
        frame = _strict(data, form, nothing=NOTHING)
    if frame is None:
        frame, more, bad = _by_words(data, form)
        dropped += more
    else:
        bad = {}
    block = Block([], frame.height, dropped, bad=bad)
    for place, column in enumerate(form.columns):
        _add(block, frame.to_series(place), place, column, form)
    return block


def _plain(data: bytes, form: BlockForm) -> Block | None:
    """Return a block of nothing but plain numbers; None for any other."""
    if (
        not form.large
        or form.blanks
        or form.decimal_comma
        or not 1 < len(form.columns) == form.fields
        or any(column.holds is not Holds.NUMBERS for column in form.columns)
    ):
        return None
    found = plain_block(data, form.separator, np.array([column.most_float32 > 0.0 for column in form.columns]))
    if found is None:
        return None
    return Block(found.values, found.values[0].size, most=dict(enumerate(found.most.tolist())))


def _evened(data: bytes, form: BlockForm) -> bytes:
    """Take out what only pads: NUL bytes of a file that was cut off, blanks beside separators."""
    if b"\0" in data:
        data = data.replace(b"\0", b"")
    if not form.blanks:
        return data
    mark = form.separator.encode()
    if mark != b" " and b'"' in data:  # blanks may stand within quotes: only the quotes are moved to their separators
        data = re.sub(re.escape(mark) + rb' +"', mark + b'"', data)
        return re.sub(rb'" +(?=[\r\n' + re.escape(mark) + b"])", b'"', data)
    data = data.replace(b"\t", b" ") if mark == b" " else data
    while b"  " in data:
        data = data.replace(b"  ", b" ")
    if mark != b" ":
        data = data.replace(mark + b" ", mark).replace(b" " + mark, mark)
    data = data.replace(b"\n ", b"\n").replace(b" \n", b"\n").replace(b" \r\n", b"\r\n")
    return data.strip(b" ")


def _options(form: BlockForm, data: bytes, nothing: tuple[str, ...]) -> dict[str, Any]:
    return {
        "has_header": False,
        "separator": form.separator,
        "quote_char": '"' if b'"' in data else None,
        "null_values": list(nothing) or None,
        "decimal_comma": form.decimal_comma,
        "missing_columns": "insert",
    }


def _strict(data: bytes, form: BlockForm, nothing: tuple[str, ...] | None = None) -> pl.DataFrame | None:
    """Parse straight into numbers; None where any line or cell is not as expected."""
    if not data:
        return pl.DataFrame(
            {str(place): pl.Series([], dtype=_type(column)) for place, column in enumerate(form.columns)}
        )
    tidied = nothing is not None
    if (form.decimal_comma and b"." in data) or not (tidied or _even_quotes(data, form)):
        return None
    schema: dict[str, Any] = {str(place): _type(column) for place, column in enumerate(form.columns)}
    if form.fields > len(form.columns):
        schema["closed"] = pl.String
    try:
        frame = pl.read_csv(data, schema=schema, **_options(form, data, form.nothing if nothing is None else nothing))
    except (pl.exceptions.PolarsError, UnicodeDecodeError):
        return None
    last = frame.to_series(frame.width - 1)
    if not tidied and last.null_count() and not _every_field(data, frame.height, form):
        return None
    return frame


def _type(column: ColumnForm) -> Any:
    if column.holds is not Holds.NUMBERS:
        return pl.String
    return pl.Float32 if column.most_float32 > 0.0 else pl.Float64


def _even_quotes(data: bytes, form: BlockForm) -> bool:
    return b'"' not in data or b'"' not in _quoted(form.separator).sub(b"", data)


@cache
def _quoted(separator: str) -> re.Pattern[bytes]:
    """Return what quoted cells look like: quotes at both ends of a cell, those inside doubled."""
    mark = re.escape(separator.encode())
    return re.compile(rb"(?:(?<=" + mark + rb')|^)"(?:[^"\n]|"")*"(?=' + mark + rb"|\r?$)", re.MULTILINE)


def _every_field(data: bytes, rows: int, form: BlockForm) -> bool:
    """Count separators: as no row is too long, the right count means that none is too short."""
    bare = _quoted(form.separator).sub(b"", data) if b'"' in data else data
    found = int(np.count_nonzero(np.frombuffer(bare, dtype=np.uint8) == ord(form.separator)))
    return found == rows * (form.fields - 1)


def _tidied(data: bytes, form: BlockForm) -> tuple[bytes, int]:
    """Leave out lines that are no rows: remarks, blank ones, headings again, too short or too long ones."""
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        data = data.decode("latin-1").encode("utf-8")
    data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    lines = data.split(b"\n")
    bare = _quoted(form.separator).sub(b"", data).split(b"\n") if b'"' in data else lines
    mark, wanted = form.separator.encode(), form.fields - 1
    remarks = tuple(each.encode() for each in REMARKS)
    kept, dropped = [], 0
    for line, outside in zip(lines, bare, strict=True):
        row, found = line, outside.count(mark)
        if b'"' in outside:  # quotes that hold no cell are ordinary characters
            row = line.replace(b'"', b"")
            found = row.count(mark)
        if not line.strip() or line.startswith(remarks):
            continue
        if found == wanted + 1 and line.endswith(mark):
            row, found = row[:-1], wanted
        elif form.fields > len(form.columns) and found == wanted - 1 and not line.endswith(mark):
            row, found = row + mark, wanted
        if found != wanted or line.strip() in form.heads:
            dropped += 1
        else:
            kept.append(row)
    return b"\n".join([*kept, b""]) if kept else b"", dropped


def _by_words(data: bytes, form: BlockForm) -> tuple[pl.DataFrame, int, dict[int, int]]:
    """Parse everything as words, then each column by itself, counting what is no number."""
    schema: dict[str, Any] = {str(place): pl.String for place in range(form.fields)}
    frame = pl.read_csv(data, schema=schema, **(_options(form, data, ()) | {"decimal_comma": False}))
    numeric = [place for place, column in enumerate(form.columns) if column.holds is Holds.NUMBERS]
    words = {place: frame.to_series(place).str.strip_chars() for place in numeric}
    words = {place: each.set(each.is_in(["", *NOTHING]), None) for place, each in words.items()}
    numbers = {place: _numbers(each, comma=form.decimal_comma) for place, each in words.items()}
    wrong = {place: (words[place].is_not_null() & numbers[place].is_null()) for place in numeric}
    keep = np.ones(frame.height, dtype=np.bool_)
    if len(numeric) > 1:  # rows with words in every place of a number are headings or remarks, not values
        any_wrong = np.logical_or.reduce([wrong[place].to_numpy() for place in numeric])
        any_right = np.logical_or.reduce([numbers[place].is_not_null().to_numpy() for place in numeric])
        keep = ~any_wrong | any_right
    mask = pl.Series(keep)
    bad = {place: int((wrong[place] & mask).sum()) for place in numeric}
    columns = [numbers[place] if place in numbers else frame.to_series(place) for place in range(len(form.columns))]
    frame = pl.DataFrame([each.alias(str(place)) for place, each in enumerate(columns)]).filter(mask)
    return frame, int((~keep).sum()), {place: count for place, count in bad.items() if count}


def _numbers(words: pl.Series, *, comma: bool) -> pl.Series:
    if comma:
        words = words.set(~words.str.contains(NUMERIC_COMMA), None).str.replace(",", ".", literal=True)
    return words.cast(pl.Float64, strict=False)


def _add(block: Block, series: pl.Series, place: int, column: ColumnForm, form: BlockForm) -> None:
    """Put one column into the block."""
    if column.holds is Holds.NUMBERS:
        least, most = series.min(), series.max()
        magnitude = max(abs(float(least)), abs(float(most))) if least is not None and most is not None else 0.0  # type: ignore[arg-type]
        if magnitude == np.inf:
            block.bad[place] = block.bad.get(place, 0) + int(series.is_infinite().sum())
            series = series.set(series.is_infinite(), None)
            magnitude = float(series.abs().max() or 0.0)  # type: ignore[arg-type]
        block.most[place] = magnitude
        block.values.append(series.to_numpy())
        return
    if column.holds is Holds.WORDS:
        labels = series.drop_nulls().unique(maintain_order=True)
        block.labels[place] = labels.to_list()
        codes = series.cast(pl.Enum(labels)).to_physical().cast(pl.Float32)
        block.values.append(codes.to_numpy())
        return
    cells = series.str.strip_chars()
    cells = cells.set(cells.is_in(["", *NOTHING, "NaN", "nan"]), None)
    if column.holds is Holds.HEX:
        found = cells.str.slice(2).str.to_integer(base=16, strict=False).cast(pl.Float64)
    elif column.holds is Holds.WITH_UNIT:
        bare = cells.str.strip_suffix(column.unit)
        bare = bare.set(bare == cells, None).str.strip_chars()
        found = _numbers(bare, comma=form.decimal_comma)
    else:
        found = moments(cells, column.moment or Moment.CLOCK)
    wrong = int((cells.is_not_null() & found.is_null()).sum())
    if wrong:
        block.bad[place] = block.bad.get(place, 0) + wrong
    block.values.append(found.to_numpy())
