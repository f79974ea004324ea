"""Whatever bytes a record holds: a table that agrees with itself or one clear sentence, in bounded time and memory."""

from __future__ import annotations

import gzip
import io
import json
import subprocess
import sys
import textwrap
import time
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.readers.test_reader_fuzz import mutations

from turnback.base.errors import InputError
from turnback.readers.record_table import read_table
from turnback.records.record_read import CellKind, RawTable

LONGEST_S = 10.0
FEW = settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
FEWER = settings(FEW, max_examples=8)

PLAIN = b"# own\ntime [s],volts_v,mode,when\n" + b"".join(
    b"%d.5,%d.25,%s,12:00:%02d\n" % (row, row, [b"Hold", b"Rate"][row % 2], row) for row in range(12)
)
COMMAS = "Zeit;Höhe;n\ns;m;\n0,5;1,5;1\n1,5;2,5;2\n2,5;-;3\n".encode("latin-1")
QUOTED = b'"t","a ""b""","c"\r\n0,"x, y",1\r\n1,"z",2\r\n2,"",3\r\n'
BLANKS = b"  t    x     y\n  0.0  1.5  2\n  0.1  1.6  3\n"
GPX = (
    b'<?xml version="1.0"?><gpx version="1.1"><trk><trkseg><trkpt lat="36.6" lon="-84.2"><ele>400</ele>'
    b'<time>2025-06-01T12:00:00Z</time></trkpt><trkpt lat="36.61" lon="-84.2"><time>2025-06-01T12:00:01Z</time>'
    b"<extensions><speed>3.5</speed></extensions></trkpt></trkseg></trk></gpx>"
)
KML = (
    b'<kml xmlns:gx="g"><Placemark><gx:Track><altitudeMode>absolute</altitudeMode><when>2025-06-01T12:00:00Z</when>'
    b"<when>2025-06-01T12:00:01Z</when><gx:coord>-84.2 36.6 400</gx:coord><gx:coord>-84.2 36.7 410</gx:coord>"
    b"</gx:Track></Placemark></kml>"
)
LINE = json.dumps({
    "type": "Feature", "geometry": {"type": "LineString", "coordinates": [[-84.2, 36.6, 400], [-84.21, 36.6, 410]]},
    "properties": {"coordTimes": ["2025-06-01T12:00:00Z", "2025-06-01T12:00:01Z"], "volts": [16.5, 16.4]},
}).encode()  # fmt: skip
POINTS = json.dumps({
    "type": "FeatureCollection", "features": [
        {"type": "Feature", "geometry": {"type": "Point", "coordinates": [-84.2, 36.6 + row]}, "properties": {"t": row}}
        for row in range(3)
    ],
}).encode()  # fmt: skip


def parquet() -> bytes:
    file = io.BytesIO()
    pl.DataFrame({"t": [0.0, 0.1, 0.2], "mode": ["a", "b", "a"], "n": [1, None, 3]}).write_parquet(file)
    return file.getvalue()


def held(tmp_path: Path, data: bytes) -> Path:
    file = tmp_path / "record"
    file.write_bytes(data)
    return file


def outcome(tmp_path: Path, data: bytes) -> RawTable | str:
    """Return the table, verified to agree with itself, or the one sentence; anything else fails the test."""
    file = held(tmp_path, data)
    start = time.monotonic()
    try:
        found = read_table(file)
    except InputError as error:
        assert len(error.faults) == 1
        sentence = error.faults[0].sentence()
        assert sentence.isprintable(), sentence
        assert sentence.startswith("record: ")
        assert len(sentence) < 600
        assert time.monotonic() - start < LONGEST_S
        return sentence
    assert time.monotonic() - start < LONGEST_S
    assert found.rows >= 2
    assert found.dropped_rows >= 0
    assert [column.place for column in found.columns] == list(range(len(found.columns)))
    assert any(np.isfinite(column.values).any() for column in found.columns if column.kind is not CellKind.WORD)
    for column in found.columns:
        assert column.values.shape == (found.rows,)
        assert column.values.dtype in (np.float32, np.float64)
        assert not np.isinf(column.values).any()
        assert (column.name + column.unit_text + "".join(found.comments)).isprintable()
        assert len(column.labels) <= 64
        assert all(label.isprintable() and len(label) <= 80 for label in column.labels)
        assert len(column.name) <= 120
        assert len(column.unit_text) <= 24
        assert 0 <= column.bad_cells <= found.rows
        if column.kind is CellKind.WORD:
            codes = column.values[np.isfinite(column.values)]
            assert set(codes.tolist()) <= set(range(len(column.labels)))
    return found


@FEW
@given(data=st.one_of(*(mutations(seed) for seed in (PLAIN, COMMAS, QUOTED, BLANKS))))
def test_any_table_of_text(tmp_path: Path, data: bytes) -> None:
    outcome(tmp_path, data)


@FEW
@given(
    data=st.one_of(
        st.binary(max_size=400), st.text(alphabet='0123456789.,;\t |-+eE"\n\r#aVx:', max_size=200).map(str.encode)
    )
)
def test_any_bytes(tmp_path: Path, data: bytes) -> None:
    outcome(tmp_path, data)


@FEW
@given(data=st.one_of(*(mutations(seed) for seed in (GPX, KML, LINE, POINTS))))
def test_any_track(tmp_path: Path, data: bytes) -> None:
    outcome(tmp_path, data)


@FEW
@given(
    data=st.one_of(
        mutations(gzip.compress(PLAIN)), mutations(PLAIN.decode().encode("utf-16")), mutations(PLAIN).map(gzip.compress)
    )
)
def test_any_packed_or_recoded_table(tmp_path: Path, data: bytes) -> None:
    outcome(tmp_path, data)


@FEWER
@given(data=mutations(parquet()))
def test_any_parquet(tmp_path: Path, data: bytes) -> None:
    outcome(tmp_path, data)


@given(
    rows=st.lists(
        st.tuples(st.floats(-1e6, 1e6), st.floats(-1.0, 1.0), st.integers(0, 10**6)), min_size=2, max_size=20
    ),
    separator=st.sampled_from([",", ";", "\t", "|", " "]),
    heading=st.booleans(),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
)
@FEW
def test_every_number_written_is_the_number_read(
    tmp_path: Path, rows: list[tuple[float, float, int]], separator: str, heading: bool, end: str
) -> None:
    lines = ["alpha beta gamma".replace(" ", separator)] * heading
    lines += [separator.join((repr(a), f"{b:.6f}", str(c))) for a, b, c in rows]
    found = outcome(tmp_path, (end.join(lines) + end).encode())
    assert isinstance(found, RawTable)
    written = np.array([(a, float(f"{b:.6f}"), c) for a, b, c in rows])
    np.testing.assert_array_equal(np.column_stack([column.values for column in found.columns]), written)


def test_the_seeds_themselves_are_read(tmp_path: Path) -> None:
    for seed in (PLAIN, COMMAS, QUOTED, BLANKS, GPX, KML, LINE, POINTS, parquet(), gzip.compress(PLAIN)):
        assert isinstance(outcome(tmp_path, seed), RawTable)


def zip_of_zeros(count: int) -> bytes:
    """Return gzip of many zeros, made without holding them."""
    packer = zlib.compressobj(9, wbits=31)
    return b"".join([packer.compress(b"0" * 1024**2) for _ in range(count)]) + packer.flush()


def bomb_of_rows(megabytes: int) -> bytes:
    packer = zlib.compressobj(9, wbits=31)
    rows = b"0,0\n" * (1024**2 // 4)
    return b"".join([packer.compress(rows) for _ in range(megabytes)]) + packer.flush()


def spam(name: str) -> bytes:
    """Return a file that is meant to take for ever, or all memory."""
    entities = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    makers: dict[str, Callable[[], bytes]] = {
        "a million columns": lambda: b"t" + b",c" * 999_999 + b"\n" + (b"1" + b",2" * 999_999 + b"\n") * 3,
        "many columns": lambda: (b"1" + b",2" * 2999 + b"\n") * 50,
        "one line": lambda: b"1," * 5_000_000,
        "one line after others": lambda: b"a,b\n1,2\n3,4\n" * 40_000 + b"1" * 30_000_000,
        "zeros packed": lambda: zip_of_zeros(600),
        "rows packed": lambda: bomb_of_rows(200),
        "entities": f'<!DOCTYPE gpx [<!ENTITY a0 "a">{entities}]><gpx>&a9;</gpx>'.encode,
        "deep XML": lambda: b"<gpx>" + b"<a>" * 3_000_000,
        "wide XML": lambda: b"<gpx>" + b"<a/>" * 1_000_000 + b"</gpx>",
        "deep JSON": lambda: b"[{" * 1 + b'"a":[' * 200_000,
        "deep brackets": lambda: b"[" * 3_000_000,
        "wide JSON": lambda: b'{"type":"FeatureCollection","features":[' + b"{}," * 1_000_000 + b"{}]}",
        "one number": lambda: b'{"a":' + b"9" * 20_000_000 + b"}",
        "quotes": lambda: b"t,v\n" + b'0,"1\n' * 400_000,
        "only commas": lambda: b"t,v\n" + b",\n" * 3_000_000,
        "only NaN": lambda: b"t,v\n" + b"NaN,nan\n" * 1_000_000,
        "only line ends": lambda: b"\n" * 20_000_000,
        "zeros": lambda: b"\0" * 30_000_000,
        "zeros inside": lambda: b"t,v\n0,1\n1,2\n" + b"\0" * 900_000 + b"2,3\n",
        "ever more words": lambda: b"t,w\n" + b"".join(b"%d,w%d\n" % (row, row) for row in range(400_000)),
        "one bad cell in each row": lambda: b"a,b,c\n" + b"1,2,x\n2,3,4\n" * 400_000,
        "short rows": lambda: b"a,b,c\n1,2,3\n" + b"1,2\n1,2,3\n" * 500_000,
    }
    return makers[name]()


READ = ("quotes", "zeros inside", "ever more words", "one bad cell in each row", "short rows")
SPAM = (
    "a million columns", "many columns", "one line", "one line after others", "zeros packed", "rows packed", "entities",
    "deep XML", "wide XML", "deep JSON", "deep brackets", "wide JSON", "one number", "only commas", "only NaN",
    "only line ends", "zeros", *READ,
)  # fmt: skip
SPAM_S = 15.0  # each, on a machine that is busy with other things
SPAM_MB = 900

CHILD = textwrap.dedent(
    """
    import sys, time
    from pathlib import Path
    from turnback.base.errors import InputError
    from turnback.readers.record_table import read_table
    def peak_mb():  # what this program itself took: getrusage also counts the process that it was forked from
        with open("/proc/self/status") as status:
            return next(int(line.split()[1]) for line in status if line.startswith("VmHWM")) // 1024
    for name in sys.argv[1:]:
        start = time.monotonic()
        try:
            said = f"{read_table(Path(name)).rows} rows"
        except InputError as error:
            said = f"refused {len(error.faults)} {error}"
        print(f"{time.monotonic() - start:.2f}|{peak_mb()}|{said}")
    """
)


@pytest.mark.slow
@pytest.mark.parametrize("names", [SPAM[:8], SPAM[8:15], SPAM[15:]], ids=["first", "second", "third"])
def test_bombs_take_neither_time_nor_memory(tmp_path: Path, names: tuple[str, ...]) -> None:
    for name in names:
        (tmp_path / name.replace(" ", "-")).write_bytes(spam(name))
    files = [str(tmp_path / name.replace(" ", "-")) for name in names]
    done = subprocess.run(
        [sys.executable, "-c", CHILD, *files], capture_output=True, text=True, check=False, timeout=200
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    lines = done.stdout.splitlines()
    assert len(lines) == len(names)
    for name, line in zip(names, lines, strict=True):
        seconds, memory_mb, said = line.split("|", 2)
        assert float(seconds) < SPAM_S, (name, line)
        assert int(memory_mb) < SPAM_MB, (name, line)  # the most so far, of all of them
        if name in READ:
            assert said.endswith("rows"), (name, line)
        else:
            assert said.startswith("refused 1 "), (name, line)


def test_a_table_with_absurdly_many_rows_for_its_size_is_refused_before_it_is_read(tmp_path: Path) -> None:
    file = io.BytesIO()
    pl.DataFrame({"t": np.zeros(30_000_000, dtype=np.int8)}).write_parquet(file)
    assert len(file.getvalue()) < 100_000
    found = outcome(tmp_path, file.getvalue())
    assert isinstance(found, str)
    assert "30,000,000 rows" in found


def test_a_damaged_parquet_file_that_makes_the_parser_ask_for_all_memory(tmp_path: Path) -> None:
    data = bytearray(parquet())
    refused = 0
    for place in range(40, 240, 8):
        broken = bytes(data[:place]) + b"\xff\xff\xff\x7f" + bytes(data[place + 4 :])
        refused += isinstance(outcome(tmp_path, broken), str)
        if refused >= 3:
            break
    assert refused >= 3
