"""Tables of text as people's programs write them: every value where it belongs, in every form met."""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from turnback.base.errors import InputError
from turnback.readers import record_text
from turnback.readers.record_table import read_table
from turnback.records.record_read import CellKind, RawColumn, RawTable, RecordFormat

NAN = float("nan")


def table(tmp_path: Path, text: str | bytes) -> RawTable:
    file = tmp_path / "record.csv"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_table(file)


def refused(tmp_path: Path, text: str | bytes) -> str:
    with pytest.raises(InputError) as error:
        table(tmp_path, text)
    assert len(error.value.faults) == 1
    return error.value.faults[0].sentence()


def values(found: RawTable) -> list[list[float]]:
    return [column.values.tolist() for column in found.columns]


def names(found: RawTable) -> list[tuple[str, str]]:
    return [(column.name, column.unit_text) for column in found.columns]


def same(column: RawColumn, expected: list[float]) -> None:
    np.testing.assert_array_equal(column.values, np.array(expected))


PLAIN = [[0.0, 0.5, 1.0], [16.8, -2.5, 300.0], [1.0, 2.0, 3.0]]


@pytest.mark.parametrize(
    ("separator", "comma"), [(",", False), (";", False), ("\t", False), ("|", False), (" ", False), ("   ", False),
                             (", ", False), (" ; ", False), (";", True), ("\t", True), ("|", True), (" ", True),
                             ("; ", True)]
)  # fmt: skip
def test_any_separator_and_either_decimal_mark(tmp_path: Path, separator: str, comma: bool) -> None:
    rows = [separator.join(("time", "volts", "n"))]
    rows += [separator.join((f"{a:.1f}", f"{b:.2f}", f"{c:.0f}")) for a, b, c in zip(*PLAIN, strict=True)]
    text = "\n".join(rows) + "\n"
    found = table(tmp_path, text.replace(".", ",") if comma else text)
    assert values(found) == PLAIN
    assert [name for name, _ in names(found)] == ["time", "volts", "n"]
    assert found.decimal_comma is comma
    assert found.separator == (separator.strip(" ") or " ")
    assert (found.rows, found.first_line, found.dropped_rows, found.zipped) == (3, 2, 0, False)
    assert found.format is RecordFormat.CSV
    assert all(column.bad_cells == 0 for column in found.columns)


def test_commas_that_separate_and_commas_that_mark_decimals_are_told_apart(tmp_path: Path) -> None:
    assert values(table(tmp_path, "1,5;2,5\n1,6;2,7\n")) == [[1.5, 1.6], [2.5, 2.7]]
    assert values(table(tmp_path, "1,5,2,5\n1,6,2,7\n")) == [[1.0, 1.0], [5.0, 6.0], [2.0, 2.0], [5.0, 7.0]]
    assert values(table(tmp_path, '"1,5","2,5"\n"1,6","2,7"\n')) == [[1.5, 1.6], [2.5, 2.7]]
    assert values(table(tmp_path, 't;v\n0;"1,5"\n1;"2,5"\n')) == [[0.0, 1.0], [1.5, 2.5]]
    assert values(table(tmp_path, "volts\n1,5\n1,6\n")) == [[1.5, 1.6]]
    assert "commas" in refused(tmp_path, "time,volts\n1,5,2,5\n1,6,2,7\n")


def test_thousands_separators_are_bad_cells_never_decimals(tmp_path: Path) -> None:
    found = table(tmp_path, "t;rpm\n0;900\n1;1,200\n2;950\n3;1,300\n")
    assert found.decimal_comma is False
    same(found.columns[1], [900.0, NAN, 950.0, NAN])
    assert found.columns[1].bad_cells == 2
    found = table(tmp_path, "t;v;rpm\n0,5;12,5;900\n1,5;12,25;1.200\n2,5;12,125;950\n")
    same(found.columns[2], [900.0, NAN, 950.0])
    assert found.columns[2].bad_cells == 1
    same(found.columns[1], [12.5, 12.25, 12.125])


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"])
def test_line_ends_and_encodings(tmp_path: Path, end: str, encoding: str) -> None:
    text = "Zeit [s];Höhe [m];Modus\n0,5;12,25;Höhe\n1,5;13,5;fest\n2,5;14,5;Höhe\n"
    found = table(tmp_path, text.replace("\n", end).encode(encoding))
    assert names(found) == [("Zeit", "s"), ("Höhe", "m"), ("Modus", "")]
    assert values(found) == [[0.5, 1.5, 2.5], [12.25, 13.5, 14.5], [0.0, 1.0, 0.0]]
    assert found.columns[2].labels == ("Höhe", "fest")


def test_headings_units_and_remarks(tmp_path: Path) -> None:
    rows = "0.0,1.5,2\n0.1,1.6,3\n0.2,1.7,4\n"
    found = table(tmp_path, "# logger of my own\nrate: 1000\n\nfirmware,4.2\nTime,Roll rate,n\ns,deg/s,\n" + rows)
    assert names(found) == [("Time", "s"), ("Roll rate", "deg/s"), ("n", "")]
    assert found.comments == ("logger of my own", "rate: 1000", "firmware,4.2")
    assert found.first_line == 7
    assert names(table(tmp_path, "Volts [V],Roll rate (deg/s),volts_v\n" + rows)) == [
        ("Volts", "V"), ("Roll rate", "deg/s"), ("volts", "v"),
    ]  # fmt: skip
    assert names(table(tmp_path, '"pack volts","roll, rate [deg/s]","say ""n"""\n' + rows)) == [
        ("pack volts", ""), ("roll, rate", "deg/s"), ('say "n"', ""),
    ]  # fmt: skip
    assert names(table(tmp_path, "t,x,x\n" + rows)) == [("t", ""), ("x", ""), ("x", "")]
    assert names(table(tmp_path, "t,v,a\n(s),(V),(A)\n" + rows)) == [("t", "s"), ("v", "V"), ("a", "A")]
    assert names(table(tmp_path, "# t, v, a\n" + rows)) == [("t", ""), ("v", ""), ("a", "")]
    assert names(table(tmp_path, ",gyro,\nt,x,y\n" + rows)) == [("t", ""), ("gyro x", ""), ("gyro y", "")]
    assert names(table(tmp_path, rows)) == [("", "")] * 3
    assert table(tmp_path, rows).first_line == 1
    assert table(tmp_path, "\n\n" + rows).first_line == 3


def test_axes_and_corners_are_not_taken_for_units(tmp_path: Path) -> None:
    heading = "t,gyro_x,motor_a,quat_w,pos_n,alt_m,current_a,rate_deg_s,thr_pct\n"
    found = table(tmp_path, heading + "0,1,2,3,4,5,6,7,8\n1,1,2,3,4,5,6,7,8\n")
    assert names(found) == [
        ("t", ""), ("gyro_x", ""), ("motor_a", ""), ("quat_w", ""), ("pos_n", ""), ("alt", "m"), ("current", "a"),
        ("rate", "deg_s"), ("thr", "pct"),
    ]  # fmt: skip


def test_cells_that_say_nothing_and_cells_that_are_none(tmp_path: Path) -> None:
    found = table(tmp_path, "t,v\n0,1\n1,\n2,NaN\n3,null\n4,-\n5,n/a\n6,--\n7,nan\n8,inf\n9,oops\n10,1e400\n11,2\n")
    same(found.columns[1], [1.0] + [NAN] * 10 + [2.0])
    assert found.columns[1].bad_cells == 3
    assert found.columns[0].bad_cells == 0
    found = table(tmp_path, "t,v\n0, 1.5 \n1,2 .5\n2,0x1F\n3,1_000\n4,+2.5\n5,-.5\n6,5.\n7,1e3\n8,1.5E-3\n")
    same(found.columns[1], [1.5, NAN, NAN, NAN, 2.5, -0.5, 5.0, 1000.0, 0.0015])
    assert found.columns[1].bad_cells == 3


def test_a_bad_cell_far_below_the_rows_that_were_looked_at(tmp_path: Path) -> None:
    rows = [f"{place},{place % 7}.5,{place % 3}" for place in range(60_000)]
    rows[45_000] = "45000,bad,2"
    found = table(tmp_path, "a,b,c\n" + "\n".join(rows) + "\n")
    assert found.rows == 60_000
    assert np.isnan(found.columns[1].values[45_000])
    assert [column.bad_cells for column in found.columns] == [0, 1, 0]
    np.testing.assert_array_equal(found.columns[0].values, np.arange(60_000))


def test_numbers_with_a_unit_behind_each_and_to_base_sixteen(tmp_path: Path) -> None:
    found = table(tmp_path, "t,v,flags\n0,14.8V,0x1F\n1,14.7V,0x00ff\n2,,0xA\n")
    assert found.columns[1].unit_text == "V"
    same(found.columns[1], [14.8, 14.7, NAN])
    same(found.columns[2], [31.0, 255.0, 10.0])
    assert all(column.kind is CellKind.NUMBER for column in found.columns)
    found = table(tmp_path, "t;h\n0;1,5 m\n1;2,5 m\n")
    same(found.columns[1], [1.5, 2.5])
    assert found.columns[1].unit_text == "m"


def test_words_become_places_in_a_list(tmp_path: Path) -> None:
    found = table(tmp_path, "t,mode,arm,on\n0,Hold,true,yes\n1,Rate,false,no\n2,,TRUE,yes\n3,Hold,false,\n")
    assert [column.kind for column in found.columns[1:]] == [CellKind.WORD] * 3
    assert [column.labels for column in found.columns[1:]] == [
        ("Hold", "Rate"),
        ("true", "false", "TRUE"),
        ("yes", "no"),
    ]
    same(found.columns[1], [0.0, 1.0, NAN, 0.0])
    same(found.columns[2], [0.0, 1.0, 2.0, 1.0])
    same(found.columns[3], [0.0, 1.0, 0.0, NAN])


def test_at_most_64_words_are_kept(tmp_path: Path) -> None:
    found = table(tmp_path, "t,note\n" + "".join(f"{row},word {row}\n" for row in range(100)))
    assert found.columns[1].labels == tuple(f"word {row}" for row in range(64))
    same(found.columns[1], [*map(float, range(64)), *[NAN] * 36])


@pytest.mark.parametrize(
    ("cells", "seconds"),
    [
        # Seconds since the epoch by POSIX.1-2017, section 4.16: 2025-06-01 is day 20240
        (["2025-06-01T12:00:00.5Z", "2025-06-01T14:00:01.5+02:00"], [20240 * 86400 + 43200.5, 20240 * 86400 + 43201.5]),
        (["2025-06-01 12:00:00", "2025-06-02 00:00:01"], [20240 * 86400 + 43200.0, 20241 * 86400 + 1.0]),
        (["2025/06/01 12:00:00.250", "2025/06/01 12:00:00.500"], [20240 * 86400 + 43200.25, 20240 * 86400 + 43200.5]),
        (["01.06.2025 12:00:00", "01.06.2025 12:00:01"], [20240 * 86400 + 43200.0, 20240 * 86400 + 43201.0]),
        (["12:03:04.250", "12:03:05"], [43384.25, 43385.0]),
        (["01/06/2025 12:00:00", "01/06/2025 12:00:01.5"], [43200.0, 43201.5]),
        (["6/1/25 12:00:01 AM", "6/1/25 1:00:00 PM"], [1.0, 46800.0]),
        (["1:02:03", "1:02:04"], [3723.0, 3724.0]),
        (["03:04.250", "03:05.250"], [184.25, 185.25]),
        (["2025-06-01", "2025-06-02"], [20240 * 86400.0, 20241 * 86400.0]),
    ],
)
def test_moments(tmp_path: Path, cells: list[str], seconds: list[float]) -> None:
    rows = [f"{cell},{place}" for place, cell in enumerate([*cells, "", *cells])]
    found = table(tmp_path, "when,n\n" + "\n".join(rows) + "\n")
    assert found.columns[0].kind is CellKind.MOMENT
    same(found.columns[0], [*seconds, NAN, *seconds])
    assert found.columns[0].bad_cells == 0


def test_a_moment_that_no_calendar_has_is_a_bad_cell(tmp_path: Path) -> None:
    rows = [f"2025-06-01 12:00:{second:02d},{second}" for second in range(20)] + ["2025-13-45 12:00:20,20"]
    found = table(tmp_path, "\n".join(rows) + "\n")
    assert np.isnan(found.columns[0].values[20])
    assert found.columns[0].bad_cells == 1


def test_rows_that_are_none_are_left_out_and_counted(tmp_path: Path) -> None:
    text = "t,v,n\n0,1.5,2\n\n# a remark\nt,v,n\n1,1.6,3\n2,1\n3,1.8,4,9\n4,1.9,5\n5,2.0,6\n6,2"
    found = table(tmp_path, text)
    assert values(found) == [[0.0, 1.0, 4.0, 5.0], [1.5, 1.6, 1.9, 2.0], [2.0, 3.0, 5.0, 6.0]]
    assert found.dropped_rows == 4  # the heading again, two of another length, the last cut short
    assert [column.bad_cells for column in found.columns] == [0, 0, 0]


def test_a_last_row_without_a_line_end_counts_unless_it_ends_in_mid_number(tmp_path: Path) -> None:
    rows = "".join(f"{row},{row}.25\n" for row in range(9))
    assert table(tmp_path, f"t,v\n{rows}9,9.25").rows == 10
    cut = table(tmp_path, f"t,v\n{rows}9,9.2")
    assert (cut.rows, cut.dropped_rows) == (9, 1)
    assert table(tmp_path, "t,v\n0,1\n1,2").rows == 2


def test_a_last_empty_cell_is_a_missing_value_not_a_short_row(tmp_path: Path) -> None:
    found = table(tmp_path, "t,v,gps\n0,1,5\n1,2,\n2,3,\n3,4,6\n")
    assert (found.rows, found.dropped_rows) == (4, 0)
    same(found.columns[2], [5.0, NAN, NAN, 6.0])


def test_rows_closed_by_a_separator(tmp_path: Path) -> None:
    for heading in ("t,v\n", "t,v,\n"):
        found = table(tmp_path, heading + "0,1.5,\n1,2.5,\n2,3.5,\n3,4")
        assert values(found) == [[0.0, 1.0, 2.0, 3.0], [1.5, 2.5, 3.5, 4.0]]
        assert names(found) == [("t", ""), ("v", "")]


def test_zeros_that_a_crash_left_behind(tmp_path: Path) -> None:
    found = table(tmp_path, b"t,v\n0,1.5\n1,2.5\n2,3.5\n3,4." + b"\0" * 5000)
    assert values(found) == [[0.0, 1.0, 2.0], [1.5, 2.5, 3.5]] or found.rows == 4
    found = table(tmp_path, b"t,v\n0,1.5\n1,2.5\n" + b"\0" * 5000 + b"2,3.5\n3,4.5\n")
    assert values(found) == [[0.0, 1.0, 2.0, 3.0], [1.5, 2.5, 3.5, 4.5]]


def test_quotes_that_are_never_closed_take_nothing_with_them(tmp_path: Path) -> None:
    found = table(tmp_path, 't,note,v\n0,"a, b",1\n1,"c,2\n2,d,3\n3,"say ""e""",4\n')
    same(found.columns[2], [1.0, 2.0, 3.0, 4.0])
    assert found.columns[1].labels == ("a, b", "c", "d", 'say "e"')


def test_packed_files_and_those_packed_in_parts_or_cut_off(tmp_path: Path) -> None:
    text = ("t,v\n" + "".join(f"{row},{row % 10}.5\n" for row in range(50_000))).encode()
    found = table(tmp_path, gzip.compress(text))
    assert found.zipped
    assert found.rows == 50_000
    parts = gzip.compress(text[:100_000]) + gzip.compress(text[100_000:])
    np.testing.assert_array_equal(table(tmp_path, parts).columns[0].values, np.arange(50_000))
    small = table(tmp_path, gzip.compress(b"t,v\n0.1,0.3\n0.2,0.7\n"))
    assert values(small) == [[0.1, 0.2], [0.3, 0.7]]
    cut = table(tmp_path, gzip.compress(text)[:-5000])
    assert 1000 < cut.rows < 50_000
    np.testing.assert_array_equal(cut.columns[0].values, np.arange(cut.rows))


def test_blocks_join_without_a_seam(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("turnback.readers.record_table_source.BLOCK_BYTES", 4096)
    monkeypatch.setattr(record_text, "LARGE_BYTES", 0)
    monkeypatch.setattr(record_text, "LARGE_CELLS", 0)
    rows = 30_000
    mode = ["Hold" if row < 20_000 else "Rate" for row in range(rows)]
    text = "t,lat,rate,mode\n" + "".join(
        f"{row * 0.001:.3f},{47.1234567 + row * 1e-7:.7f},{row % 100 / 10:.1f},{mode[row]}\n" for row in range(rows)
    )
    for data in (text.encode(), gzip.compress(text.encode()), text.encode("utf-16"), text.replace("\n", "\r").encode()):
        found = table(tmp_path, data)
        assert [column.values.dtype for column in found.columns] == [np.float64, np.float64, np.float32, np.float32]
        np.testing.assert_array_equal(found.columns[0].values, [float(f"{row * 0.001:.3f}") for row in range(rows)])
        np.testing.assert_array_equal(
            found.columns[1].values, [float(f"{47.1234567 + row * 1e-7:.7f}") for row in range(rows)]
        )
        np.testing.assert_array_equal(
            found.columns[2].values, np.array([row % 100 / 10 for row in range(rows)], dtype=np.float32)
        )
        assert found.columns[3].labels == ("Hold", "Rate")
        np.testing.assert_array_equal(found.columns[3].values, [0.0] * 20_000 + [1.0] * 10_000)


def test_float32_only_where_it_loses_nothing_that_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(record_text, "LARGE_BYTES", 0)
    monkeypatch.setattr(record_text, "LARGE_CELLS", 0)
    rows = np.arange(20_000)
    rng = np.random.default_rng(5)
    columns = {
        "micros": 5_000_000_000 + rows * 1000,
        "lat_e7": 471234567 + rows // 3 - 2 * (rows // 5),
        "lat": np.round(47.1234567 + np.cumsum(rng.normal(size=rows.size)) * 1e-7, 7),
        "late_fix": np.where(rows < 19_000, 0.0, np.round(47.1234567 + rows % 7 * 1e-7, 7)),
        "rate": np.round(rng.normal(size=rows.size) * 200, 2),
        "noise": rng.normal(size=rows.size),
        "still": np.full(rows.size, 14.8),
        "count": rows % 1000,
    }
    file = tmp_path / "record.csv"
    pl.DataFrame(columns).write_csv(file)
    found = {column.name: column.values for column in read_table(file).columns}
    wide = {"micros", "lat_e7", "lat", "late_fix", "still"}
    assert {name for name, each in found.items() if each.dtype == np.float64} == wide
    for name in wide:
        np.testing.assert_array_equal(found[name], columns[name])
    np.testing.assert_allclose(found["rate"], columns["rate"], atol=4e-5)  # a written digit is 1e-2
    np.testing.assert_allclose(found["noise"], columns["noise"], rtol=1e-7)
    np.testing.assert_array_equal(found["count"], columns["count"])


def test_a_column_that_grows_far_beyond_its_sample_is_read_again_wider(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(record_text, "LARGE_BYTES", 0)
    monkeypatch.setattr(record_text, "LARGE_CELLS", 0)
    steps = [f"{row},{(row * 37 % 11) / 100:.2f}" for row in range(30_000)]
    steps[20_011] = "20011,123456789.01"
    found = table(tmp_path, "t,v\n" + "\n".join(steps) + "\n")
    assert found.columns[1].values.dtype == np.float64
    assert found.columns[1].values[20_011] == 123456789.01
    assert found.columns[1].values[1] == 0.04


def test_a_column_of_words_that_begins_empty(tmp_path: Path) -> None:
    text = "t,event\n" + "".join(f"{row},{'arm' if row == 5000 else ''}\n" for row in range(6000))
    found = table(tmp_path, text)
    assert found.columns[1].kind is CellKind.WORD
    assert found.columns[1].labels == ("arm",)
    assert found.columns[1].values[5000] == 0.0


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "it is empty"),
        (b"\n\n \n", "blanks"),
        (b"\0" * 4000, "zeros"),
        (b"time,volts\n", "no column of numbers"),
        (b"time,volts\n1,2\n", "1 row of values"),
        (b"time,volts\n,\nNaN,NaN\n,-\n", "number"),
        (b"a,b\nx,y\nz,w\n", "no column of numbers"),
        (b"just a letter to a friend\nwith two lines\n", "no column of numbers"),
    ],
)
def test_what_holds_no_record_is_said_in_one_sentence(tmp_path: Path, data: bytes, words: str) -> None:
    assert words in refused(tmp_path, data)


def test_missing_files_and_folders(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file"):
        read_table(tmp_path / "none.csv")
    with pytest.raises(InputError, match="it is a folder"):
        read_table(tmp_path)


CLOSED = [
    (b"\x89PNG\r\n\x1a\n" + b"\0" * 50, "picture"),
    (b"\xff\xd8\xff\xe0" + b"\0" * 50, "picture"),
    (b"\0\0\0\x18ftypmp42" + b"\0" * 50, "video"),
    (b"\x1a\x45\xdf\xa3" + b"\0" * 50, "video"),
    (b"%PDF-1.7\n", "PDF"),
    (b"PK\x03\x04" + b"\0" * 26 + b"xl/workbook.xml", "spreadsheet"),
    (b"PK\x03\x04" + b"\0" * 26 + b"doc.kml", "zip archive"),
    (b"\xd0\xcf\x11\xe0" + b"\0" * 50, "spreadsheet"),
    (b"<!DOCTYPE html><html></html>", "web page"),
    (b"<other/>", "neither GPX nor KML"),
    (b'{"a": 1}', "GeoJSON"),
    (b"SQLite format 3\0" + b"\1" * 90, "database"),
]


@pytest.mark.parametrize(("data", "words"), CLOSED, ids=[words for _, words in CLOSED])
def test_other_files_are_named_for_what_they_are(tmp_path: Path, data: bytes, words: str) -> None:
    assert words in refused(tmp_path, data)


@pytest.mark.parametrize("lead", [b"", b"H a record that begins in plain words\nH rate 1000\n" * 200])
@pytest.mark.parametrize("style", ["random", "small words", "floats"])
def test_a_closed_recording_is_told_with_the_channels_to_export(tmp_path: Path, lead: bytes, style: str) -> None:
    rng = np.random.default_rng(7)
    body = {
        "random": rng.integers(0, 256, 400_000).astype(np.uint8).tobytes(),
        "small words": rng.integers(-30, 30, 200_000).astype("<i2").tobytes(),
        "floats": rng.normal(size=100_000).astype("<f4").tobytes(),
    }[style]
    sentence = refused(tmp_path, lead + body)
    assert "closed binary form" in sentence
    for channel in ("turning rates", "the rates asked for", "four corners", "rotor speeds", "acceleration",
                    "pack volts", "link level and quality", "sticks", "position", "flight mode and arming",
                    "CSV"):  # fmt: skip
        assert channel in sentence
