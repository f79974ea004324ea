"""What the user says of columns: the file, the words of the command line, and the way back."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.readers.record_tables import Q, messy

from turnback import api
from turnback.base.errors import InputError
from turnback.readers.record_columns_file import column_told, columns_file_text, read_columns_file
from turnback.readers.record_match import match_columns
from turnback.records.bench import At
from turnback.records.channel import Channel
from turnback.records.record_read import ColumnMatch, ColumnsRead, ColumnTold, MatchedBy, Reading


@pytest.mark.parametrize("seed", [1, 4])
def test_the_file_read_back_gives_the_same(tmp_path: Path, seed: int) -> None:
    made, _ = messy(seed, says_unit=0.7)
    found = match_columns(made)
    path = tmp_path / "columns.toml"
    path.write_text(columns_file_text(found), encoding="utf-8")
    again = match_columns(made, read_columns_file(path))
    for before, after in zip(found.matches, again.matches, strict=True):
        if before.taken:
            assert after.taken is not None
            assert (after.taken.channel, after.taken.scale, after.taken.offset) == (
                before.taken.channel, before.taken.scale, before.taken.offset)  # fmt: skip
            assert after.by is MatchedBy.TOLD


def test_strange_names_and_turned_columns_come_back(tmp_path: Path) -> None:
    scale = -0.017453292519943295
    turned = Reading(Channel(Q.ROLL_RATE), "deg/s", scale, -0.0, 1.0)
    names = ['a"b\\c\n\x01', "", "same", "same", "#7"]
    matches = tuple(ColumnMatch(i, name, "", turned, MatchedBy.TOLD) for i, name in enumerate(names))
    path = tmp_path / "columns.toml"
    path.write_text(columns_file_text(ColumnsRead(matches, None)), encoding="utf-8")
    told = read_columns_file(path)
    assert [each.name for each in told] == ['a"b\\c\n\x01', "#2", "#3", "#4", "#5"]
    assert all(each.negative and each.unit == "deg/s" for each in told)


def test_all_that_is_wrong_with_a_file_is_told_at_once(tmp_path: Path) -> None:
    path = tmp_path / "c.toml"
    path.write_text(
        'colour = 1\n[[column]]\nname = "a"\nmeans = "roll_rat"\n[[column]]\nmeans = "power"\nunits = "W"\n'
        '[[column]]\nname = "b"\nmeans = "output"\nat = "front"\n[[column]]\nname = "c"\nmeans = "power"\nunit = "V"\n'
        '[[column]]\nname = "d"\nmeans = "nothing"\nunit = "V"\n'
        '[[column]]\nname = "e"\nmeans = "power"\nnegative = 1\n',
        encoding="utf-8",
    )
    with pytest.raises(InputError) as caught:
        read_columns_file(path)
    text = str(caught.value)
    for part in ("colour", "write roll_rate", "entry 2 units", "entry 2 name", "front-left", "write one of these: W",
                 "left out", "true or false"):  # fmt: skip
        assert part in text


@pytest.mark.parametrize(
    ("text", "told"),
    [("Volt A=pack_volts mV", ColumnTold("Volt A", Channel(Q.PACK_VOLTS), "mV")),
     ("gx=-roll_rate deg/s", ColumnTold("gx", Channel(Q.ROLL_RATE), "deg/s", negative=True)),
     ("gx=+roll_rate deg/s", ColumnTold("gx", Channel(Q.ROLL_RATE), "deg/s", negative=False)),
     ("m1=output at front-left", ColumnTold("m1", Channel(Q.OUTPUT, At.FRONT_LEFT))),
     ("m1=output at rear-left 0-1", ColumnTold("m1", Channel(Q.OUTPUT, At.REAR_LEFT), "0-1")),
     ("c=cell_volts 3 mV", ColumnTold("c", Channel(Q.CELL_VOLTS, None, 3), "mV")),
     ("a=b=power", ColumnTold("a=b", Channel(Q.POWER))), ("x=nothing", ColumnTold("x", None)),
     ("#3=time", ColumnTold("#3", Channel(Q.TIME)))],
)  # fmt: skip
def test_words_of_the_command_line(text: str, told: ColumnTold) -> None:
    assert column_told(text) == told


@pytest.mark.parametrize("text", ["", "a", "=power", "a=", "a=strength", "a=power km/h", "a=roll_rate at front-left"])
def test_words_that_say_nothing_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        column_told(text)


def test_the_columns_given_back_give_the_same_answer(tmp_path: Path) -> None:
    """Only "told by you" is new: a direction that nothing told is told by nobody now."""
    example = Path(__file__).parents[2] / "examples" / "records" / "link-lost.csv.gz"
    first = api.record(example)
    path = tmp_path / "columns.toml"
    path.write_text(api.columns_text(first), encoding="utf-8")
    assert "negative" not in path.read_text(encoding="utf-8")
    again = api.record(example, columns=path)
    assert again.events == first.events
    assert again.flown.record.senses == first.flown.record.senses
    assert api.columns_text(again) == api.columns_text(first)
    taken = [each for each in again.flown.record.matches if each.taken]
    assert taken and all(each.by is MatchedBy.TOLD and each.negative_told is None for each in taken)


def test_only_a_written_direction_is_told(tmp_path: Path) -> None:
    path = tmp_path / "c.toml"
    rows = [f'[[column]]\nname = "{name}"\nmeans = "roll_rate"\nunit = "deg/s"\n{more}'
            for name, more in (("a", ""), ("b", "negative = false\n"), ("c", "negative = true\n"))]  # fmt: skip
    path.write_text("".join(rows), encoding="utf-8")
    assert [each.negative for each in read_columns_file(path)] == [None, False, True]


def test_tables_that_are_too_deep_are_this_file_s(tmp_path: Path) -> None:
    path = tmp_path / "c.toml"
    path.write_text("a = " + "[" * 12 + "]" * 12 + "\n", encoding="utf-8")
    with pytest.raises(InputError, match="this file's tables"):
        read_columns_file(path)
