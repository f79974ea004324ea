"""Profiles from CSV files: what is read, and the sentence each broken file gets."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.profile_csv import MOST_ROWS, read_height_profile, read_load_profile
from turnback.records.profiles import Asked, HeightProfile, LoadProfile

HEIGHTS = "distance_km,height_m\n0,10\n0.5,40.5\n1,12\n"
LOAD = "time_s,current_a\n10,5\n20,7.5\n60,0\n"

Reader = Callable[[Path], HeightProfile | LoadProfile]


def written(folder: Path, text: str | bytes) -> Path:
    """Write a table and return its path."""
    path = folder / "table.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_heights_are_read(tmp_path: Path) -> None:
    """In their order; columns may stand the other way round, with spaces, capitals, a byte-order mark, blank lines."""
    plain = read_height_profile(written(tmp_path, HEIGHTS))
    odd = read_height_profile(written(tmp_path, "\ufeffHeight_m , Distance_km\r\n10,0\r\n\r\n40.5,0.5\r\n12,1\r\n"))
    for profile in (plain, odd):
        assert profile.distance_km.tolist() == [0.0, 0.5, 1.0]
        assert profile.height_m.tolist() == [10.0, 40.5, 12.0]


def test_a_load_holds_from_row_to_row(tmp_path: Path) -> None:
    """The last row only says when the run ends."""
    load = read_load_profile(written(tmp_path, LOAD))
    assert (load.asked, load.start_s) == (Asked.CURRENT, 10.0)
    assert load.amount.tolist() == [5.0, 7.5]
    assert load.duration_s.tolist() == [10.0, 40.0]
    assert read_load_profile(written(tmp_path, LOAD.replace("current_a", "power_w"))).asked is Asked.POWER


BROKEN: list[tuple[Reader, str | bytes, str]] = [
    (read_height_profile, "", "table.csv: it is empty; let its first line name the columns: distance_km and height_m."),
    (read_height_profile, "a,b\n1,2\n", "table.csv: line 1: the columns are 'a', 'b'; let the first line name the "
     "columns: distance_km and height_m, separated by commas."),
    (read_height_profile, "distance_km;height_m\n0;1\n", "table.csv: line 1: the columns are 'distance_km;height_m'; "
     "let the first line name the columns: distance_km and height_m, separated by commas."),
    (read_height_profile, "distance_km,height_m,slope\n0,1,2\n", "table.csv: line 1: the column 'slope' is not known; "
     "take it out."),
    (read_height_profile, "distance_km,distance_km\n0,1\n", "table.csv: two columns have the same name; let the first "
     "line name the columns: distance_km and height_m."),
    (read_height_profile, "distance_km,height_m\n0,1\n1,2\n",
     "table.csv: it has 2 rows of numbers; give at least 3: both ends and one between."),
    (read_height_profile, HEIGHTS.replace("0,10", "0.1,10"),
     "table.csv: it starts at 0.1 km; let the first row stand at 0 km, the start of the path."),
    (read_height_profile, HEIGHTS + "0.9,3\n",
     "table.csv: distance_km does not grow at row 4 (0.9); sort the rows and keep one for each."),
    (read_height_profile, HEIGHTS + "2,high\n", "table.csv: line 5, height_m: 'high' is no number; write a number with "
     "a point."),
    (read_height_profile, HEIGHTS + "2,nan\n", "table.csv: line 5, height_m: 'nan' is no number; write a number with "
     "a point."),
    (read_height_profile, HEIGHTS + "2000,5\n",
     "table.csv: line 5, distance_km: 2000 km is outside 0 to 400 km; enter km, not metres."),
    (read_height_profile, HEIGHTS + "2,5,6\n", "table.csv: line 5: it has 3 values for 2 columns; give one value for "
     "each column; write decimals with a point."),
    (read_height_profile, b"distance_km,height_m\n0,\xff\n",
     "table.csv: line 2 is not UTF-8 text; save the file as UTF-8."),
    (read_load_profile, "time_s\n1\n", "table.csv: line 1: the columns are 'time_s'; let the first line name the "
     "columns: time_s and current_a or power_w, separated by commas."),
    (read_load_profile, "time_s,current_a,power_w\n1,2,3\n", "table.csv: line 1: the columns are 'time_s', "
     "'current_a', 'power_w'; let the first line name the columns: time_s and current_a or power_w, separated by "
     "commas."),
    (read_load_profile, "time_s,current_a\n1,2\n",
     "table.csv: it has 1 rows of numbers; give at least 2: the last says when the run ends."),
    (read_load_profile, LOAD + "70,-3\n", "table.csv: line 5, current_a: -3 A is outside 0 to 2000 A; discharge is "
     "positive; charging is not modelled."),
    (read_load_profile, LOAD + "60,3\n",
     "table.csv: time_s does not grow at row 4 (60); sort the rows and keep one for each."),
]  # fmt: skip


@pytest.mark.parametrize(("reader", "text", "sentence"), BROKEN, ids=range(len(BROKEN)))
def test_a_broken_table_gets_its_sentence(reader: Reader, text: str | bytes, sentence: str, tmp_path: Path) -> None:
    """Where, what, what to do."""
    with pytest.raises(InputError) as caught:
        reader(written(tmp_path, text))
    assert str(caught.value) == sentence


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """Each with its line."""
    with pytest.raises(InputError) as caught:
        read_height_profile(written(tmp_path, HEIGHTS + "x,5\n3,y\n"))
    assert [fault.where for fault in caught.value.faults] == [
        "table.csv: line 5, distance_km", "table.csv: line 6, height_m",
    ]  # fmt: skip


def test_too_many_rows_are_refused(tmp_path: Path) -> None:
    """A bound on what a stranger's file may cost."""
    rows = "".join(f"{i},1\n" for i in range(MOST_ROWS + 2))
    with pytest.raises(InputError, match="more than 200,000 rows; thin it out"):
        read_load_profile(written(tmp_path, "time_s,current_a\n" + rows))


TABLES = st.lists(st.text(max_size=12)).map(",".join).map(lambda row: "time_s,power_w\n" + row)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.one_of(st.binary(max_size=200), st.text(max_size=200), TABLES))
def test_any_bytes_are_a_profile_or_a_sentence(text: str | bytes, tmp_path: Path) -> None:
    """Never another error."""
    data = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    for reader in (read_height_profile, read_load_profile):
        try:
            made = reader(written(tmp_path, data))
        except InputError as error:
            assert error.faults
        else:
            assert isinstance(made, (HeightProfile, LoadProfile))
