"""Blocks of a text table put together, column by column."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.readers.record_table_bounds import LONGEST_LABEL, LONGEST_UNIT, MOST_CELLS, MOST_LABELS, MOST_ROWS, plain
from turnback.readers.record_text_block import Block
from turnback.readers.record_text_cells import says_nothing
from turnback.readers.record_text_columns import ColumnForm, Holds, narrowed
from turnback.records.record_read import CellKind, RawColumn

SPARE: Final = 1.1  # our choice: rows come a little shorter than those that were seen
GROWTH: Final = 1.5
Values = NDArray[np.floating]


class AgainError(Exception):
    """A column is other than its sample said: read again with this form."""

    def __init__(self, columns: tuple[ColumnForm, ...]) -> None:
        super().__init__()
        self.columns = columns


class Gathered:
    """Blocks put together."""

    def __init__(self, columns: tuple[ColumnForm, ...], rows: int) -> None:
        self.columns = columns
        room = max(1, min(int(SPARE * rows), MOST_ROWS, MOST_CELLS // len(columns)))  # taken up only as it fills
        self.values: list[Values] = [np.empty(room, _type(form)) for form in columns]
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
        first, self.rows = self.rows, self.rows + block.rows
        self.dropped += block.dropped
        if self.rows > MOST_ROWS or self.rows * len(self.columns) > MOST_CELLS:
            what = f"it has more than {MOST_ROWS:,} rows or {MOST_CELLS:,} cells"
            raise bad_input(where, what, "export one flight, or fewer channels")
        self.wide |= {place for place, most in block.most.items() if 0.0 < self.columns[place].most_float32 < most}
        for place, values in enumerate(block.values):
            labels = block.labels.get(place)
            found = values if labels is None else self._recoded(place, values, labels)
            self._room(place, first)[first : self.rows] = found
            self.bad[place] += block.bad.get(place, 0)

    def _room(self, place: int, filled: int) -> Values:
        """Return the array of one column, large enough for all rows so far."""
        values = self.values[place]
        if values.size < self.rows:
            wider = np.empty(max(self.rows, int(GROWTH * values.size)), values.dtype)
            wider[:filled] = values[:filled]
            self.values[place] = values = wider
        return values

    def verify(self) -> None:
        """Raise `AgainError` where columns are other than a part of them said: larger, or all words."""
        words = {
            place
            for place, form in enumerate(self.columns)
            if self.bad[place] and form.holds is Holds.NUMBERS and np.isnan(self.values[place][: self.rows]).all()
        }
        if not self.wide and not words:
            return
        forms = [form.wider() if place in self.wide else form for place, form in enumerate(self.columns)]
        raise AgainError(tuple(ColumnForm(Holds.WORDS) if at in words else form for at, form in enumerate(forms)))

    def _recoded(self, place: int, codes: Values, labels: list[str]) -> Values:
        known = self.labels[place]
        words = [plain(label, LONGEST_LABEL) for label in labels]
        for word in words:
            if len(known) < MOST_LABELS and not says_nothing(word):
                known.setdefault(word, len(known))
        table = np.array([known.get(word, np.nan) for word in words] + [np.nan], dtype=np.float32)
        return np.asarray(table[np.where(np.isnan(codes), len(labels), codes).astype(np.int64)])

    def column(self, place: int, name: str, unit: str, *, large: bool) -> RawColumn:
        """Return one column."""
        form, values = self.columns[place], self.values[place][: self.rows]
        if not large and form.holds is not Holds.NUMBERS:
            values = values.astype(np.float64)
        elif large and form.open_float and values.dtype == np.float64:
            values = narrowed(values)
        kind = {Holds.WORDS: CellKind.WORD, Holds.MOMENTS: CellKind.MOMENT}.get(form.holds, CellKind.NUMBER)
        unit = unit or plain(form.unit, LONGEST_UNIT)
        words = tuple(self.labels[place])
        return RawColumn(place, name, unit, kind, values, labels=words, bad_cells=self.bad[place])


def _type(form: ColumnForm) -> type[np.float32 | np.float64]:
    single = form.holds is Holds.WORDS or (form.holds is Holds.NUMBERS and form.most_float32 > 0.0)
    return np.float32 if single else np.float64
