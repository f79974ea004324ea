"""The file of learned values: read, added to in one step, never half-written; and its faults."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.learned import append_learned, read_learned
from turnback.records.learned import LearnedAbout, LearnedEntry

FILE = """\
schema = 1

[[entries]]
of = "pack"
id = "six-cells-a"
on = 2025-06-30
quantity = "resistance_mohm_per_cell"
value = 4.6
low = 4.1
high = 5.2
from_record = "flight of 30 June, invented"
"""


def entry(**changes: Any) -> LearnedEntry:
    table: dict[str, Any] = {
        "of": "pack", "id": "six-cells-a", "on": date(2025, 7, 2), "quantity": "capacity_mah", "value": 1210.0,
        "low": 1150.0, "high": 1260, "from_record": "invented",
    }  # fmt: skip
    return LearnedEntry.model_validate(table | changes)


def written(tmp_path: Path, text: str = FILE) -> Path:
    file = tmp_path / "learned.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_a_file_is_read(tmp_path: Path) -> None:
    (read,) = read_learned(written(tmp_path)).entries
    assert (read.of, read.id, read.on) == (LearnedAbout.PACK, "six-cells-a", date(2025, 6, 30))
    assert (read.quantity, read.value, read.low, read.high) == ("resistance_mohm_per_cell", 4.6, 4.1, 5.2)


def test_a_file_without_entries_has_taught_nothing(tmp_path: Path) -> None:
    assert read_learned(written(tmp_path, "schema = 1\n")).entries == ()


@pytest.mark.parametrize(
    ("old", "new", "where", "what"),
    [
        ("schema = 1\n", "", "learned.toml: schema", "it is missing"),
        ("schema = 1", "schema = 2", "learned.toml: schema", "version 2 is newer"),
        ("schema = 1", "schema = 1\ncolour = 3", "learned.toml: colour", "the key is not known"),
        ("value = 4.6\n", "", "learned.toml: entries entry 1 value", "it is missing"),
        ('"pack"', '"propeller"', "learned.toml: entries entry 1 of", "'propeller' is not one of"),
        ('"six-cells-a"', '"Six Cells"', "learned.toml: entries entry 1 id", "'Six Cells' is not an id"),
        ("2025-06-30", '"last June"', "learned.toml: entries entry 1 on", "is not a date"),
        ("value = 4.6", "value = 3.9", "learned.toml: entries entry 1", "low, value and high are out of order"),
        ("value = 4.6", "value = nan", "learned.toml: entries entry 1 value", "is not a number that can be used"),
        ("high = 5.2", "high = 5200", "learned.toml: entries entry 1 high", "of resistance_mohm_per_cell is outside"),
        ("_per_cell", "", "learned.toml: entries entry 1 quantity", "is no quantity of a plan's pack"),
        ('"resistance_mohm_per_cell"', '"label"', "learned.toml: entries entry 1 quantity", "is no quantity"),
        ("[[entries]]", "[entries]", "learned.toml: entries", "is not a list"),
    ],
)
def test_faults_say_where_and_what(tmp_path: Path, old: str, new: str, where: str, what: str) -> None:
    assert old in FILE
    with pytest.raises(InputError) as caught:
        read_learned(written(tmp_path, FILE.replace(old, new, 1)))
    (fault,) = caught.value.faults
    assert fault.where == where
    assert what in fault.what


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    second = FILE.split("\n\n", 1)[1].replace('"resistance_mohm_per_cell"', '"shine"')
    third = FILE.split("\n\n", 1)[1].replace("value = 4.6", "value = 46000.0").replace("high = 5.2\n", "")
    with pytest.raises(InputError) as caught:
        read_learned(written(tmp_path, f"{FILE}\n{second}\n{third}"))
    assert [fault.where for fault in caught.value.faults] == [
        "learned.toml: entries entry 2 quantity",
        "learned.toml: entries entry 3 value",
    ]


def test_values_are_added_at_the_end_and_the_old_ones_stay(tmp_path: Path) -> None:
    file = written(tmp_path)
    file.chmod(0o640)
    all_of_it = append_learned(file, [entry(), entry(of="aircraft", id="a", quantity="mass_g", value=460, low=None,
                                                     high=None)])  # fmt: skip
    assert read_learned(file) == all_of_it
    assert [e.quantity for e in all_of_it.entries] == ["resistance_mohm_per_cell", "capacity_mah", "mass_g"]
    assert file.stat().st_mode & 0o777 == 0o640
    # a general TOML library reads what was written
    table = tomllib.loads(file.read_text(encoding="utf-8"))
    assert table["schema"] == 1
    assert table["entries"][1] == {
        "of": "pack", "id": "six-cells-a", "on": date(2025, 7, 2), "quantity": "capacity_mah", "value": 1210.0,
        "low": 1150.0, "high": 1260.0, "from_record": "invented",
    }  # fmt: skip
    assert sorted(path.name for path in tmp_path.iterdir()) == ["learned.toml"]


def test_a_file_that_is_not_there_is_made(tmp_path: Path) -> None:
    file = tmp_path / "learned.toml"
    append_learned(file, [entry()])
    assert read_learned(file).entries == (entry(),)


_WORDS = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=60)


@given(
    words=_WORDS,
    value=st.floats(50.0, 50_000.0),
    share=st.floats(0.5, 1.0),
    on=st.dates(date(2000, 1, 1), date(2100, 1, 1)),
)
def test_what_is_written_is_read_back_whatever_it_holds(
    tmp_path_factory: pytest.TempPathFactory, words: str, value: float, share: float, on: date
) -> None:
    file = tmp_path_factory.mktemp("learned") / "learned.toml"
    one = entry(value=value, low=max(50.0, value * share), high=None, on=on, from_record=words)
    assert append_learned(file, [one]).entries == (one,)
    assert read_learned(file).entries == (one,)
    assert append_learned(file, [one]).entries == (one, one)


def test_a_fault_in_the_file_or_in_an_entry_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    file = written(tmp_path, FILE.replace("schema = 1", "schema = 1\ncolour = 3"))
    before = file.read_bytes()
    with pytest.raises(InputError, match="colour"):
        append_learned(file, [entry()])
    assert file.read_bytes() == before
    file = written(tmp_path)
    before = file.read_bytes()
    with pytest.raises(InputError, match=r"new entry 2 quantity: 'shine' is no quantity"):
        append_learned(file, [entry(), entry(quantity="shine")])
    assert file.read_bytes() == before


def test_a_disk_that_fails_at_the_last_step_leaves_the_file_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = written(tmp_path)
    before = file.read_bytes()

    def fails(*_: Any) -> None:
        raise OSError("no space")

    monkeypatch.setattr(Path, "replace", fails)
    with pytest.raises(InputError, match=r"learned\.toml: it cannot be written"):
        append_learned(file, [entry()])
    monkeypatch.undo()
    assert file.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["learned.toml"]


def test_a_missing_folder_and_too_many_entries_are_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="it cannot be written"):
        append_learned(tmp_path / "nowhere" / "learned.toml", [entry()])
    with pytest.raises(InputError, match="would grow beyond 5000 entries or 256 kB"):
        append_learned(tmp_path / "learned.toml", [entry(from_record="x" * 200)] * 2000)
    assert list(tmp_path.iterdir()) == []


def test_a_link_is_followed_not_replaced(tmp_path: Path) -> None:
    real = tmp_path / "real.toml"
    link = tmp_path / "learned.toml"
    link.symlink_to(real)
    append_learned(link, [entry()])
    assert link.is_symlink()
    assert read_learned(real).entries == (entry(),)
