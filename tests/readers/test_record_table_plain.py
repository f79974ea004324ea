"""Tables of plain numbers, parsed by a kernel of our own: held against Python's own correctly rounded `float`."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from turnback.readers.record_table import read_table
from turnback.readers.record_text import WORTH_BYTES
from turnback.readers.record_text_numbers import plain_block

WIDE = np.array([False, True, False])


def _cells(count: int, seed: int) -> list[str]:
    """Return numbers as people write them: signs, no digits before or behind the point, zeros, nothing at all."""
    chance = np.random.default_rng(seed)
    found = ["", "0", "-0", "0.0", ".5", "-.25", "5.", "-7.", "000123.4500", "9007199254740992", "-0.000000000000001"]
    while len(found) < count:
        digits = "".join(map(str, chance.integers(0, 10, int(chance.integers(1, 16)))))
        at = int(chance.integers(0, len(digits) + 1))
        found.append(
            ("-" if chance.random() < 0.4 else "") + digits[:at] + ("." if at < len(digits) else "") + digits[at:]
        )
    return found


def _held(found: np.ndarray, cells: list[str]) -> None:
    expected = np.array([float(cell) if cell else np.nan for cell in cells])
    if found.dtype == np.float64:
        np.testing.assert_array_equal(found, expected)
        np.testing.assert_array_equal(np.signbit(found[expected == 0]), np.signbit(expected[expected == 0]))
    else:  # rounded twice: a last place at most
        np.testing.assert_array_almost_equal_nulp(np.nan_to_num(found), np.nan_to_num(expected.astype(np.float32)), 1)


@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("closed", [True, False])
def test_every_cell_is_what_python_reads(end: str, closed: bool) -> None:
    cells = _cells(3000, 7)
    rows = [cells[at : at + 3] for at in range(0, 3000, 3)]
    text = end.join(";".join(row) for row in rows) + (end if closed else "")
    block = plain_block(text.encode(), ";", ~WIDE)
    assert block is not None
    assert [each.dtype for each in block.values] == [np.float32, np.float64, np.float32]
    for place, values in enumerate(block.values):
        _held(values, [row[place] for row in rows])
        assert block.most[place] == max(abs(float(row[place])) for row in rows if row[place])


@pytest.mark.parametrize(
    "line",
    ["1,2", "1,2,3,4", "1,2,3,", "", "1,x,3", "1,1e3,3", "1,+2,3", "1, 2,3", "1,-,3", "1,.,3", "1,-.,3", "1,1.2.3,3",
     "1,--2,3", '1,"2",3', "1,nan,3", "# remark", "1,2\0,3", "1,2,3\r4", "1,12:30,3", "1,9007199254740993,3",
     "1,2,1234567890123456789", "1,2;3"],
)  # fmt: skip
@pytest.mark.parametrize("last", [True, False])
def test_anything_else_is_left_to_others(line: str, last: bool) -> None:
    assert plain_block(f"1,2,3\n{line}{'' if last and line else chr(10)}".encode(), ",", ~WIDE) is None


def test_blank_lines_take_up_no_memory() -> None:
    assert plain_block(b"\n" * 16_000_000, ",", np.zeros(2000, np.bool_)) is None


def test_a_large_table_with_odd_places_reads_as_written(tmp_path: Path) -> None:
    """Blocks of plain numbers and others side by side; a column that grows beyond its sample; rows without end."""
    rows = 200_000
    chance = np.random.default_rng(3)
    values = np.round(chance.normal(0.0, 50.0, (rows, 3)), 3)
    lines = [f"{at * 1000},{a:.3f},{b:.3f},{c:.3f}" for at, (a, b, c) in enumerate(values.tolist())]
    lines[150_000] = "150000000,n/a,1e2,"
    lines[160_000] = "160000000,1,2"
    path = tmp_path / "large.csv"
    path.write_text("\n".join(["time (us),a,b,c", *lines]))
    assert path.stat().st_size > WORTH_BYTES
    table = read_table(path)
    assert (table.rows, table.dropped_rows) == (rows - 1, 1)
    expected = np.insert(values, 0, np.arange(rows) * 1000.0, axis=1)
    expected[150_000, 1:] = (np.nan, 100.0, np.nan)
    expected = np.delete(expected, 160_000, axis=0)
    for column, written in zip(table.columns, expected.T, strict=True):
        np.testing.assert_allclose(column.values, written, rtol=1e-7, atol=1e-9)
