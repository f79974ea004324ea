"""Whatever bytes a stranger's file holds: a record or told faults, in bounded time, and never a traceback."""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.readers.areas import read_areas
from turnback.readers.case import read_case
from turnback.readers.learned import read_learned
from turnback.readers.plan_files import read_aircraft, read_pack
from turnback.readers.tracks import MOST_KEPT, read_track
from turnback.readers.weather import read_metar
from turnback.records.areas import PeopleAreas

LAUNCH = (36.6021, -84.2185)
LONGEST_S = 10.0
EXAMPLES = settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])

GPX = (
    b'<?xml version="1.0"?><gpx version="1.1"><trk><trkseg><trkpt lat="36.6" lon="-84.2"><ele>400</ele></trkpt>'
    b'<trkpt lat="36.61" lon="-84.2"><ele>410</ele></trkpt></trkseg></trk></gpx>'
)
KML = (
    b'<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><LineString><altitudeMode>absolute</altitudeMode>'
    b"<coordinates>-84.2,36.6,400 -84.21,36.6,410</coordinates></LineString></Placemark></kml>"
)
LINE = b'{"type": "LineString", "coordinates": [[-84.2, 36.6, 400], [-84.21, 36.6, 410]]}'
AREA = (
    b'{"type": "FeatureCollection", "features": [{"type": "Feature", "properties": {"name": "field"}, "geometry": '
    b'{"type": "Polygon", "coordinates": [[[-84.2, 36.6], [-84.21, 36.6], [-84.2, 36.61], [-84.2, 36.6]]]}}]}'
)
LEARNED = (
    b'schema = 1\n[[entries]]\nof = "pack"\nid = "a"\non = 2025-06-30\nquantity = "capacity_mah"\nvalue = 1200\n'
    b'from_record = "invented"\n'
)
PACK = (
    b'schema = 1\nlabel = "6S 1300 mAh 100C"\nresistance_mohm_per_cell = { value = 5, low = 4, high = 6 }\n'
    b"cycles = 30\n"
)
AIRCRAFT = b'schema = 1\nclass = "5-inch, 6 cells"\non_radio_loss = "motors stop"\nmass_g = 460\n'
PLAN = (
    b'schema = 1\naircraft = { class = "5-inch, 6 cells", on_radio_loss = "motors stop" }\n'
    b'pack = { label = "6S 1300 mAh 100C" }\nradio = { control = "2.4 GHz, 100 mW", video = "none" }\n'
    b"site = { latitude_deg = 36.6, longitude_deg = -84.2, ridges = [{ distance_m = 900, height_m = 50 }] }\n"
    b"route = { distance_m = 400, bearing_deg = 90, height_m = 60 }\n"
    b'weather = { metar = "METAR ZZZZ 101220Z 24010KT 15/10 Q1013", metar_distance_km = 9 }\n'
)
SLIPS = [
    b"", b"\0", b"\xff", b"<", b">", b"{", b"}", b"[", b"]", b'"', b"'", b",", b"=", b"\n", b"-", b".", b"0", b"1e999",
    b"-1", b"1e308", b"9" * 5000, b"nan", b"inf", b"NaN", b"Infinity", b"null", b"true", b"{}", b"[]", b"[[", b"&a;",
    b"<!DOCTYPE a>", b"<![CDATA[", b"<!--", b"\xc3", b"\xed\xa0\x80", b"\\ud800", b"\xef\xbb\xbf", b"[" * 5000,
    b"<a>" * 5000, b"../x", b"/x", b"1979-05-27T07:32:00Z", b"25:61:61", b"0x7fffffffffffffffffffffff",
    b'"""', b"''", b"\x1b[31m",
]  # fmt: skip


def mutations(seed: bytes) -> st.SearchStrategy[bytes]:
    """Return a sound file with pieces cut out, doubled, or exchanged for what commonly breaks parsers."""

    def apply(edits: list[tuple[int, int, bytes, bool]]) -> bytes:
        data = seed
        for at, length, slip, doubled in edits:
            start = at % (len(data) + 1)
            piece = data[start : start + length]
            data = data[:start] + (piece + piece if doubled else slip) + data[start + length :]
        return data

    edit = st.tuples(st.integers(0, 10_000), st.integers(0, 30), st.sampled_from(SLIPS), st.booleans())
    return st.lists(edit, min_size=1, max_size=4).map(apply)


def hostile(seed: bytes) -> st.SearchStrategy[bytes]:
    """Return any bytes, and more often almost sound files."""
    return st.one_of(mutations(seed), mutations(seed), st.binary(max_size=300))


def outcome(read: Callable[[], Any]) -> Any:
    """Return what a reader returns, or None where it told faults properly; anything else fails the test."""
    start = time.monotonic()
    try:
        found = read()
    except InputError as error:
        assert error.faults
        for fault in error.faults:
            sentence = fault.sentence()
            assert sentence.isprintable(), sentence
            assert len(sentence) < 2000
            assert fault.where
            assert fault.what
            assert fault.do
        found = None
    assert time.monotonic() - start < LONGEST_S
    return found


def held(tmp_path: Path, data: bytes, name: str = "file.toml") -> Path:
    file = tmp_path / name
    file.write_bytes(data)
    return file


@EXAMPLES
@given(data=st.one_of(hostile(GPX), hostile(KML), hostile(LINE)))
def test_any_track(tmp_path: Path, data: bytes) -> None:
    track = outcome(lambda: read_track(held(tmp_path, data), "plan.toml: route.file"))
    if track is not None:
        assert 2 <= track.lat_deg.size <= MOST_KEPT
        assert (abs(track.lat_deg) <= 90.0).all()
        assert track.height_m is None or (abs(track.height_m) <= 10_000.0).all()


@EXAMPLES
@given(data=hostile(AREA))
def test_any_areas(tmp_path: Path, data: bytes) -> None:
    areas: PeopleAreas | None = outcome(
        lambda: read_areas(held(tmp_path, data), *LAUNCH, "plan.toml: site.people_areas")
    )
    if areas is not None:
        assert areas.areas
        for area in areas.areas:
            assert area.name == "" or area.name.isprintable()
            assert all((abs(ring) <= 200_000.0).all() for ring in area.rings)
        areas.crossed_by([0.0, 500.0], [0.0, 0.0])


_LEAVES = st.one_of(st.none(), st.booleans(), st.floats(), st.integers(), st.text(max_size=5))
_TYPES = ["Feature", "FeatureCollection", "GeometryCollection", "Polygon", "MultiPolygon", "LineString", "Point"]
_JSON = st.recursive(
    st.one_of(_LEAVES, st.lists(st.floats(-90, 90), max_size=3)),
    lambda inner: st.one_of(
        st.lists(inner, max_size=5),
        st.fixed_dictionaries(
            {"type": st.sampled_from(_TYPES)},
            optional=dict.fromkeys(("coordinates", "geometry", "geometries", "features", "properties", "crs"), inner),
        ),
    ),
    max_leaves=25,
)


@EXAMPLES
@given(document=_JSON)
def test_any_json_of_the_right_words(tmp_path: Path, document: Any) -> None:
    file = held(tmp_path, json.dumps(document).encode())
    outcome(lambda: read_areas(file, *LAUNCH, "plan.toml: site.people_areas"))
    outcome(lambda: read_track(file, "plan.toml: route.file"))


@EXAMPLES
@given(data=hostile(LEARNED))
def test_any_learned_file(tmp_path: Path, data: bytes) -> None:
    learned = outcome(lambda: read_learned(held(tmp_path, data)))
    if learned is not None:
        assert all(50.0 <= entry.value <= 50_000.0 for entry in learned.entries if entry.quantity == "capacity_mah")


@EXAMPLES
@given(data=hostile(PACK))
def test_any_pack(tmp_path: Path, data: bytes) -> None:
    outcome(lambda: read_pack(held(tmp_path, data)))


@EXAMPLES
@given(data=hostile(AIRCRAFT))
def test_any_aircraft(tmp_path: Path, data: bytes) -> None:
    outcome(lambda: read_aircraft(held(tmp_path, data)))


@EXAMPLES
@given(data=hostile(PLAN))
def test_any_plan(tmp_path: Path, data: bytes) -> None:
    case = outcome(lambda: read_case(held(tmp_path, data, "plan.toml"), now=datetime(2025, 6, 10, 13, tzinfo=UTC)))
    if case is not None:
        assert case.title
        assert case.route.farthest_m <= 20_000.1


@settings(max_examples=300)
@given(data=mutations(b"METAR ZZZZ 101220Z AUTO 24010G20KT 9999 M05/M07 Q1013 TEMPO 30030KT"))
def test_any_metar(data: bytes) -> None:
    text = data.decode("utf-8", errors="replace")
    outcome(lambda: read_metar(text, "plan.toml: weather.metar", now=datetime(2025, 6, 10, 13, tzinfo=UTC)))


@pytest.mark.parametrize(
    "data",
    [
        b"[" * 8_000_000,
        b'{"a":' * 1_000_000,
        b'{"type": "Polygon", "coordinates": [[' + b"[0,0]," * 500_000 + b"[0,0]]]}",
        b'{"type": "Polygon", "coordinates": [[[' + b"9" * 7_000_000 + b", 0]]]}",
        b'{"type": "GeometryCollection", "geometries": [' + b'{"type":"Point"},' * 400_000 + b'{"type":"Point"}]}',
        b"<gpx>" + b"x" * 15_000_000 + b"</gpx>",
        b'<gpx a="' + b"x" * 15_000_000 + b'"/>',
        b"<kml><LineString><coordinates>" + b"0,0 " * 3_000_000 + b"</coordinates></LineString></kml>",
        b"<gpx " + b" ".join(b'a%d=""' % number for number in range(300_000)) + b"/>",
        b"\0" * 16_000_000,
    ],
    ids=[
        "brackets",
        "objects",
        "vertices",
        "digits",
        "points",
        "text",
        "attribute",
        "coordinates",
        "attributes",
        "zeros",
    ],
)
def test_files_made_to_cost_time_are_told_soon(tmp_path: Path, data: bytes) -> None:
    file = held(tmp_path, data)
    assert outcome(lambda: read_track(file, "plan.toml: route.file")) is None
    assert outcome(lambda: read_areas(file, *LAUNCH, "plan.toml: site.people_areas")) is None


@pytest.mark.parametrize("kind", ["folder", "missing", "pipe"])
def test_what_is_no_ordinary_file_is_told(tmp_path: Path, kind: str) -> None:
    import os

    path = tmp_path / "thing"
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)  # opening it for reading would wait for ever
    for read in (
        lambda: read_track(path, "plan.toml: route.file"),
        lambda: read_areas(path, *LAUNCH, "plan.toml: site.people_areas"),
        lambda: read_learned(path),
        lambda: read_case(path),
    ):
        assert outcome(read) is None
