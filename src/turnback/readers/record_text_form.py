"""Find out how a text table is written: separator, decimal mark, where its values begin, its headings."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

from turnback.base.errors import bad_input
from turnback.readers.record_table_bounds import MOST_COLUMNS
from turnback.readers.record_text_cells import (
    THOUSANDS,
    cells_of,
    is_number,
    moment_of,
    number_part,
    says_nothing,
)
from turnback.readers.record_text_heads import Heads, heads_above

SEPARATORS: Final = ("\t", ";", "|", ",", " ")
"""In this order of trust where two would do."""
REMARKS: Final = ("#", "//", "%")
LINES_WEIGHED: Final = 40  # our choice: enough to tell a separator by, cheap
LINES_KEPT: Final = 150  # our choice: of the beginning, beside those from further on
EXPORT: Final = "export the flight as CSV: one heading row, then rows of numbers"

Cells = list[str]


@dataclass(frozen=True, slots=True)
class TextForm:
    """How a text table is written.

    Parameters
    ----------
    separator : str
        One character; a space stands for runs of blanks.
    decimal_comma : bool
    fields : int
        Cells of an ordinary row, a last empty one after a closing separator counted too.
    closed : bool
        Rows end in a separator: the last field is none.
    first_line : int
        Of the first row of values, from 1.
    heads : Heads
    sample : list of list of str
        Ordinary rows, as cells.
    """

    separator: str
    decimal_comma: bool
    fields: int
    closed: bool
    first_line: int
    heads: Heads
    sample: list[Cells]

    @property
    def columns(self) -> int:
        """How many columns there are."""
        return self.fields - self.closed


def is_remark(line: str) -> bool:
    """Tell whether a line is a comment."""
    return line.lstrip(' "\t').startswith(REMARKS)


def text_form(head: list[str], middle: list[str], where: str) -> TextForm:
    """Return how a table is written.

    Parameters
    ----------
    head : list of str
        The first lines, whole ones only.
    middle : list of str
        Some whole lines from further on.
    where : str
        For errors.

    Raises
    ------
    InputError
        If it holds no rows of numbers, too many columns, or commas that cannot be told apart.
    """
    told = [line for line in head if line.strip() and not is_remark(line)]
    late = [line for line in middle if line.strip() and not is_remark(line)]
    weighed = _spread(told[len(told) // 3 :] + late, LINES_WEIGHED)
    if not weighed:
        raise bad_input(where, "it holds no rows of values", EXPORT)
    separator, comma, fields = _best_way(weighed, where)
    rows = [cells for cells in (cells_of(line, separator) for line in weighed) if len(cells) == fields]
    numeric = _numeric_columns(rows, fields, comma)
    if not numeric:
        raise bad_input(where, "it holds no column of numbers", EXPORT)
    first = _first_row(head, separator, fields, numeric, comma)
    if first is None:
        raise bad_input(where, "it holds no rows of numbers under one another", EXPORT)
    heads = heads_above(head[:first], separator, fields)
    separator, comma, fields = _sure_of_commas(separator, comma, fields, heads, head[first], where)
    lines = [line for line in head[first : first + LINES_KEPT] if line.strip() and not is_remark(line)]
    sample = [cells for cells in (cells_of(line, separator) for line in [*lines, *late]) if len(cells) == fields]
    closed = fields > 1 and all(not cells[-1] for cells in sample) and not any(names[-1] for names in heads.rows)
    return TextForm(separator, comma, fields, closed, first + 1, heads, sample)


def _spread(lines: list[str], most: int) -> list[str]:
    """Return at most so many lines, from all over."""
    return lines if len(lines) <= most else [lines[place * len(lines) // most] for place in range(most)]


def _best_way(lines: list[str], where: str) -> tuple[str, bool, int]:
    """Return separator, decimal comma and fields that make most of the cells numbers in rows of one length."""
    best, best_score = (",", False, 1), -1.0
    for separator in SEPARATORS:
        rows = [cells_of(line, separator) for line in lines]
        fields, rows_alike = Counter(map(len, rows)).most_common(1)[0]
        if fields > MOST_COLUMNS:
            what = f"it has {fields:,} columns where at most {MOST_COLUMNS:,} can be read"
            raise bad_input(where, what, "export only the channels of the flight")
        if fields == 1 and separator != ",":
            continue
        alike = [cells for cells in rows if len(cells) == fields]
        comma, numbers = _decimal_mark(alike)
        score = rows_alike / len(lines) * (0.1 + numbers) - (0.5 if fields == 1 else 0.0)
        score -= 0.02 if separator == " " else 0.0  # blanks stand in words and moments too
        if score > best_score + 1e-9:
            best, best_score = (separator, comma, fields), score
    return best


def _decimal_mark(rows: list[Cells]) -> tuple[bool, float]:
    """Return whether the decimal mark is a comma, and the share of cells that are numbers or moments."""
    cells = [number_part(cell) for cells in rows for cell in cells if not says_nothing(cell)]
    point = sum(is_number(cell) for cell in cells)
    comma = sum(is_number(cell, decimal_comma=True) for cell in cells)
    moments = sum(":" in cell and moment_of([cell]) is not None for cell in cells)
    by_comma = comma > point and not _thousands(rows)
    return by_comma, ((comma if by_comma else point) + moments) / max(1, len(cells))


def _thousands(rows: list[Cells]) -> bool:
    """Tell whether every comma groups thousands: three digits behind each, and below a thousand none is written."""
    proved = False
    for column in zip(*rows, strict=True):
        commas = [cell for cell in column if "," in cell and is_number(cell, decimal_comma=True)]
        if any(not THOUSANDS.fullmatch(cell) for cell in commas):
            return False
        proved |= bool(commas) and any("," not in cell and is_number(cell) for cell in column)
    return proved


def _numeric_columns(rows: list[Cells], fields: int, comma: bool) -> list[int]:
    found = []
    for place in range(fields):
        cells = [row[place] for row in rows if not says_nothing(row[place])]
        good = sum(is_number(cell, decimal_comma=comma) for cell in cells)
        if cells and (good >= 0.5 * len(cells) or moment_of(cells) or _led_by_digits(cells)):
            found.append(place)
    return found


def _led_by_digits(cells: Cells) -> bool:
    """Tell whether cells at least begin as numbers do: with a unit behind, or written to base sixteen."""
    return all(cell.lstrip("+-.,")[:1].isdigit() for cell in cells)


def _first_row(head: list[str], separator: str, fields: int, numeric: list[int], comma: bool) -> int | None:
    """Return the first line that looks like the rows further on, with more of them below it."""
    alone = None
    for place, line in enumerate(head):
        if not _like_values(line, separator, fields, numeric, comma):
            continue
        rest = [each for each in head[place + 1 : place + 20] if each.strip() and not is_remark(each)]
        below = [_like_values(each, separator, fields, numeric, comma) for each in rest[:5]]
        if 3 * sum(below) >= len(below):
            return place
        alone = place if alone is None else alone
    return alone


def _like_values(line: str, separator: str, fields: int, numeric: list[int], comma: bool) -> bool:
    if not line.strip() or is_remark(line):
        return False
    cells = cells_of(line, separator)
    if len(cells) != fields:
        return False
    told = [cells[place] for place in numeric if not says_nothing(cells[place])]
    good = sum(is_number(cell, decimal_comma=comma) or cell.lstrip("+-.,")[:1].isdigit() for cell in told)
    return bool(told) and good >= 0.6 * len(told)


def _sure_of_commas(
    separator: str, comma: bool, fields: int, heads: Heads, row: str, where: str
) -> tuple[str, bool, int]:
    """Settle commas by the heading: half as many names as values means that commas do both jobs."""
    if separator != "," or comma or heads.rows or not heads.lone:
        return separator, comma, fields
    names = len(cells_of(heads.lone, ","))
    if '"' not in row and fields == 2 * names:
        if names == 1 and all(is_number(cell) for cell in cells_of(row, ",")):
            return ";", True, 1
        what = f"its rows have {fields} values under {names} names: commas seem to separate and to mark decimals"
        raise bad_input(where, what, "export it with semicolons between the values, or with decimal points")
    return separator, comma, fields
