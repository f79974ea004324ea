"""Read a text table: find out how it is written, then take it in block by block."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from itertools import chain
from typing import Final

import numpy as np
import polars as pl

from turnback.base.errors import bad_input
from turnback.readers.record_table_bounds import LARGE_CELLS, LEAST_ROWS
from turnback.readers.record_table_source import HEAD_BYTES, Source, blocks, head_text, middle_lines, spans
from turnback.readers.record_text_block import Block, BlockForm, read_block
from turnback.readers.record_text_cells import NOTHING
from turnback.readers.record_text_columns import ColumnForm, column_forms
from turnback.readers.record_text_form import EXPORT, TextForm, text_form
from turnback.readers.record_text_gather import AgainError, Gathered
from turnback.readers.record_text_heads import names_and_units
from turnback.records.record_read import CellKind, RawTable, RecordFormat

AT_ONCE: Final = 3  # our choice: blocks in work; one is read while others are parsed
LARGE_BYTES: Final = 16 * 1024**2  # our choice: below it float64 costs nothing
WORTH_BYTES: Final = 4 * 1024**2  # our choice: from here on a parser of our own saves more than it takes to load
PACKS: Final = 4  # our choice: about how much packing saves


def read_text(source: Source) -> RawTable:
    """Return a text table.

    Raises
    ------
    InputError
        If it holds no table of numbers, or too large a one.
    """
    head = head_text(source)
    lines = head.split("\n")
    if not head.endswith("\n") and len(lines) > 2:
        lines = lines[:-1]  # perhaps cut short
    form = text_form(lines, middle_lines(source), source.name)
    columns = tuple(column_forms(form, large=source.size * (PACKS if source.zipped else 1) >= LARGE_BYTES))
    try:
        try:
            return _table(source, form, columns)
        except AgainError as again:  # at most once: what is wider now, or words, cannot be other than that
            return _table(source, form, again.columns)
    except pl.exceptions.PolarsError as error:  # no way to it is known; the parser's own words help nobody
        raise bad_input(source.name, "a part of it cannot be read as a table", EXPORT) from error


def _table(source: Source, form: TextForm, columns: tuple[ColumnForm, ...]) -> RawTable:
    all_cells = {cell for row in form.sample for cell in row}
    block_form = BlockForm(
        form.separator,
        form.decimal_comma,
        form.fields,
        columns,
        blanks=form.separator == " " or _blanks(form, source),
        nothing=tuple(word for word in NOTHING if word in all_cells),
        large=source.size >= WORTH_BYTES,
    )
    gathered = Gathered(columns, _rows(source, form))
    for block in _in_order(source, form, block_form):
        gathered.add(block, source.name)
    gathered.verify()
    if gathered.rows < LEAST_ROWS:
        what = f"it holds {gathered.rows or 'no'} row{'s' * (gathered.rows != 1)} of values"
        raise bad_input(source.name, what, "give a record of at least two")
    large = gathered.rows * len(columns) >= LARGE_CELLS
    heads = names_and_units(form.heads, form.columns)
    found = tuple(gathered.column(place, *heads[place], large=large) for place in range(form.columns))
    if not any(np.isfinite(each.values).any() for each in found if each.kind is not CellKind.WORD):
        raise bad_input(source.name, "none of its cells is a number", EXPORT)
    return RawTable(
        name=source.name, format=RecordFormat.CSV, columns=found, rows=gathered.rows, first_line=form.first_line,
        separator=form.separator, decimal_comma=form.decimal_comma, comments=form.heads.comments,
        dropped_rows=gathered.dropped, zipped=source.zipped,
    )  # fmt: skip


def _rows(source: Source, form: TextForm) -> int:
    """Return about how many rows a table has, by the length of some."""
    letters = sum(map(len, chain.from_iterable(form.sample))) + len(form.sample) * form.fields
    return source.size * (PACKS if source.zipped else 1) * len(form.sample) // max(letters, 1)


def _blanks(form: TextForm, source: Source) -> bool:
    text = source.start[:HEAD_BYTES].decode("latin-1")
    mark = form.separator
    return any(pair in text for pair in (f"{mark} ", f" {mark}", "\n ", " \n", " \r"))


def _in_order(source: Source, form: TextForm, block_form: BlockForm) -> Iterator[Block]:
    """Parse a few blocks at once, and give them in the order of the file."""
    skip = form.first_line - 1

    def parsed(data: bytes, first: bool, last: bool) -> Block:
        if first:
            data = _without_lines(data, skip)
        return read_block(_finished(data, form) if last else data, block_form)

    waiting: deque[Future[Block]] = deque()
    with ThreadPoolExecutor(AT_ONCE) as pool:
        try:
            for job in _jobs(source, parsed):
                waiting.append(pool.submit(job))
                if len(waiting) >= AT_ONCE:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for each in waiting:
                each.cancel()


def _jobs(source: Source, parsed: Callable[[bytes, bool, bool], Block]) -> Iterator[Callable[[], Block]]:
    places = spans(source)
    if places is not None:
        for begin, end in places:

            def job(begin: int = begin, end: int = end) -> Block:
                with source.path.open("rb") as file:
                    data = os.pread(file.fileno(), end - begin, begin)
                return parsed(data, begin == 0, end == source.size)

            yield job
        return
    first, held = True, None
    for data in blocks(source):
        if held is not None:
            yield lambda data=held, first=first: parsed(data, first, False)  # type: ignore[misc]
            first = False
        held = data
    if held is not None:
        yield lambda data=held, first=first: parsed(data, first, True)  # type: ignore[misc]


def _without_lines(data: bytes, lines: int) -> bytes:
    data = data.removeprefix(b"\xef\xbb\xbf")
    at = 0
    for _ in range(lines):
        at = data.find(b"\n", at) + 1
    return data[at:]


def _finished(data: bytes, form: TextForm) -> bytes:
    """Leave out a last line that ends in mid-number: no line end, and fewer decimals than all others have there."""
    data = data.rstrip(b"\0")
    if data.endswith((b"\n", b"\r")) or b"\n" not in data:
        return data
    mark = "," if form.decimal_comma else "."
    last = data[data.rindex(b"\n") + 1 :].decode("latin-1").strip()
    cells = [row[-1] for row in form.sample]
    digits = {len(cell.partition(mark)[2]) for cell in cells}
    if (
        len(cells) >= 5
        and len(digits) == 1
        and len(last.rsplit(form.separator, 1)[-1].partition(mark)[2]) < digits.pop()
    ):
        return data[: data.rindex(b"\n") + 1] + b"cut\n"
    return data
