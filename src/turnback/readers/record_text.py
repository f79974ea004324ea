"""Read a text table: find out how it is written, then take it in block by block."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Final

import numpy as np
import polars as pl
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.readers.record_table_bounds import (
    LARGE_CELLS,
    LEAST_ROWS,
    LONGEST_LABEL,
    LONGEST_UNIT,
    MOST_CELLS,
    MOST_LABELS,
    MOST_ROWS,
    plain,
)
from turnback.readers.record_table_source import HEAD_BYTES, Source, blocks, head_text, middle_lines, spans
from turnback.readers.record_text_block import Block, BlockForm, read_block
from turnback.readers.record_text_cells import NOTHING, says_nothing
from turnback.readers.record_text_columns import ColumnForm, Holds, column_forms, narrowed
from turnback.readers.record_text_form import EXPORT, TextForm, text_form
from turnback.readers.record_text_heads import names_and_units
from turnback.records.record_read import CellKind, RawColumn, RawTable, RecordFormat

AT_ONCE: Final = 3  # our choice: blocks in work; one is read while others are parsed
LARGE_BYTES: Final = 16 * 1024**2  # our choice: below it float64 costs nothing
PACKS: Final = 4  # our choice: about how much packing saves

Values = NDArray[np.floating]


class _AgainError(Exception):
    """A column is other than its sample said: read again with this form."""

    def __init__(self, columns: tuple[ColumnForm, ...]) -> None:
        super().__init__()
        self.columns = columns


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
        except _AgainError as again:  # at most once: what is wider now, or words, cannot be other than that
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
    )
    gathered = _Gathered(columns)
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


class _Gathered:
    """Blocks put together."""

    def __init__(self, columns: tuple[ColumnForm, ...]) -> None:
        self.columns = columns
        self.pieces: list[list[Values]] = [[] for _ in columns]
        self.labels: list[dict[str, int]] = [{} for _ in columns]
        self.bad = [0] * len(columns)
        self.wide: set[int] = set()
        self.rows = 0
        self.dropped = 0

    def add(self, block: Block, where: str) -> None:
        """Take a block in.

        Raises
        ------
        InputError
            If the table grows too large.
        """
        self.rows += block.rows
        self.dropped += block.dropped
        if self.rows > MOST_ROWS or self.rows * len(self.columns) > MOST_CELLS:
            what = f"it has more than {MOST_ROWS:,} rows or {MOST_CELLS:,} cells"
            raise bad_input(where, what, "export one flight, or fewer channels")
        self.wide |= {place for place, most in block.most.items() if 0.0 < self.columns[place].most_float32 < most}
        for place, values in enumerate(block.values):
            labels = block.labels.get(place)
            self.pieces[place].append(values if labels is None else self._recoded(place, values, labels))
            self.bad[place] += block.bad.get(place, 0)

    def verify(self) -> None:
        """Raise `_AgainError` where columns are other than a part of them said: larger, or all words."""
        words = {
            place
            for place, form in enumerate(self.columns)
            if self.bad[place]
            and form.holds is Holds.NUMBERS
            and all(np.isnan(each).all() for each in self.pieces[place])
        }
        if not self.wide and not words:
            return
        forms = [form.wider() if place in self.wide else form for place, form in enumerate(self.columns)]
        raise _AgainError(tuple(ColumnForm(Holds.WORDS) if at in words else form for at, form in enumerate(forms)))

    def _recoded(self, place: int, codes: Values, labels: list[str]) -> Values:
        known = self.labels[place]
        words = [plain(label, LONGEST_LABEL) for label in labels]
        for word in words:
            if len(known) < MOST_LABELS and not says_nothing(word):
                known.setdefault(word, len(known))
        table = np.array([known.get(word, np.nan) for word in words] + [np.nan], dtype=np.float32)
        return np.asarray(table[np.where(np.isnan(codes), len(labels), codes).astype(np.int64)])

    def column(self, place: int, name: str, unit: str, *, large: bool) -> RawColumn:
        """Return one column, and let go of its pieces."""
        form, pieces = self.columns[place], self.pieces[place]
        values = pieces[0] if len(pieces) == 1 else np.concatenate(pieces)
        self.pieces[place] = []
        if not large and form.holds is not Holds.NUMBERS:
            values = values.astype(np.float64)
        elif large and form.open_float and values.dtype == np.float64:
            values = narrowed(values)
        kind = {Holds.WORDS: CellKind.WORD, Holds.MOMENTS: CellKind.MOMENT}.get(form.holds, CellKind.NUMBER)
        unit = unit or plain(form.unit, LONGEST_UNIT)
        words = tuple(self.labels[place])
        return RawColumn(place, name, unit, kind, values, labels=words, bad_cells=self.bad[place])
