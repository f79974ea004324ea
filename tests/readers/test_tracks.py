"""Tracks from GPX, KML and GeoJSON: the same flight in three formats, and what is no track."""

from __future__ import annotations

import json
import time
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from turnback.base.errors import InputError
from turnback.readers.thinning import thinned
from turnback.readers.tracks import MOST_KEPT, THINNED_WITHIN_M, Track, read_track
from turnback.records.route import HeightReference

WHERE = "plan.toml: route.file"
POINTS = [(36.6021, -84.2185, 330.0), (36.6031, -84.2185, 380.5), (36.6031, -84.217, 390.0)]

Point = tuple[float, float, float | None]


def gpx(points: list[Any], *, kind: str = "trk", version: str = "1/1") -> str:
    inner = "trkpt" if kind == "trk" else "rtept"
    rows = "".join(
        f'<{inner} lat="{lat}" lon="{lon}">{"" if ele is None else f"<ele>{ele}</ele>"}<time>x</time></{inner}>'
        for lat, lon, ele in points
    )
    body = f"<trk><name>n</name><trkseg>{rows}</trkseg></trk>" if kind == "trk" else f"<rte>{rows}</rte>"
    return f'<?xml version="1.0"?>\n<gpx version="1.1" xmlns="http://www.topografix.com/GPX/{version}">{body}</gpx>'


def kml(points: list[Any], mode: str | None = "absolute") -> str:
    said = "" if mode is None else f"<altitudeMode>{mode}</altitudeMode>"
    rows = "\n ".join(f"{lon},{lat}" + ("" if ele is None else f",{ele}") for lat, lon, ele in points)
    return (
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder><Placemark>'
        f"<LineString>{said}<coordinates>\n {rows}\n</coordinates></LineString>"
        "</Placemark></Folder></Document></kml>"
    )


def geojson(points: list[Any]) -> str:
    rows = [[lon, lat, *([] if ele is None else [ele])] for lat, lon, ele in points]
    return json.dumps({"type": "Feature", "geometry": {"type": "LineString", "coordinates": rows}, "properties": {}})


def read(tmp_path: Path, text: str | bytes, name: str = "track.gpx") -> Track:
    file = tmp_path / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return read_track(file, WHERE)


@pytest.mark.parametrize("write", [gpx, kml, geojson])
def test_three_formats_of_one_flight_give_the_same_points(tmp_path: Path, write: Any) -> None:
    track = read(tmp_path, write(POINTS))
    assert track.lat_deg.tolist() == [36.6021, 36.6031, 36.6031]
    assert track.lon_deg.tolist() == [-84.2185, -84.2185, -84.217]
    assert track.height_m is not None
    assert track.height_m.tolist() == [330.0, 380.5, 390.0]
    assert track.height_reference is HeightReference.SEA_LEVEL
    assert track.thinned_by_m == 0.0


@pytest.mark.parametrize("write", [gpx, kml, geojson])
def test_without_heights_a_track_has_none(tmp_path: Path, write: Any) -> None:
    track = read(tmp_path, write([(lat, lon, None) for lat, lon, _ in POINTS]))
    assert track.height_m is None
    assert track.height_reference is None


@pytest.mark.parametrize("write", [gpx, kml, geojson])
def test_heights_at_some_points_only_are_told(tmp_path: Path, write: Any) -> None:
    with pytest.raises(InputError, match="1 of 3 points have no height"):
        read(tmp_path, write([*POINTS[:2], (36.61, -84.21, None)]))


@pytest.mark.published
@pytest.mark.parametrize(
    ("mode", "reference"),
    [
        ("absolute", HeightReference.SEA_LEVEL),
        ("relativeToGround", HeightReference.GROUND),
        ("clampToGround", None),
        (None, None),  # OGC KML 2.2, section 16.1 (07-147r2): clampToGround is what counts where none is said
    ],
)
def test_heights_of_kml_count_as_its_mode_says(
    tmp_path: Path, mode: str | None, reference: HeightReference | None
) -> None:
    assert read(tmp_path, kml(POINTS, mode)).height_reference is reference


def test_a_timed_track_of_kml_is_read(tmp_path: Path) -> None:
    rows = "".join(f"<when>2025-06-01</when><coord>{lon} {lat} {ele}</coord>" for lat, lon, ele in POINTS)
    text = f"<kml><Placemark><Track><altitudeMode>absolute</altitudeMode>{rows}</Track></Placemark></kml>"
    assert read(tmp_path, text).lat_deg.tolist() == [36.6021, 36.6031, 36.6031]


def test_segments_are_joined_and_a_planned_route_counts_where_nothing_was_recorded(tmp_path: Path) -> None:
    joined = gpx(POINTS).replace("</trkseg>", '</trkseg><trkseg><trkpt lat="36.61" lon="-84.2"><ele>400</ele></trkpt>'
                                 "</trkseg>")  # fmt: skip
    assert read(tmp_path, joined).lat_deg.tolist() == [36.6021, 36.6031, 36.6031, 36.61]
    assert read(tmp_path, gpx(POINTS, kind="rte")).lat_deg.size == 3
    pieces = [[[-84.2, 36.6], [-84.1, 36.6]], [[-84.1, 36.7], [-84.1, 36.8]]]
    multi = json.dumps({"type": "MultiLineString", "coordinates": pieces})
    assert read(tmp_path, multi, "t.json").lat_deg.tolist() == [36.6, 36.6, 36.7, 36.8]


def test_content_not_the_ending_of_a_name_decides(tmp_path: Path) -> None:
    assert read(tmp_path, geojson(POINTS), "track.kml").lat_deg.size == 3
    assert read(tmp_path, b"\xef\xbb\xbf" + gpx(POINTS).encode(), "track.txt").lat_deg.size == 3
    assert read(tmp_path, kml(POINTS).encode("utf-16"), "track").lat_deg.size == 3


BOMB = (
    '<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in pairwise("abcdefghij"))
    + "]><gpx>&j;</gpx>"
)
OUTSIDE = '<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///elsewhere">]><gpx>&x;</gpx>'


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "track.gpx is neither GPX, KML nor GeoJSON"),
        ("lat,lon\n1,2", "is neither GPX, KML nor GeoJSON"),
        ("PK\x03\x04", "is a zip archive"),
        ("<html></html>", "is XML, but neither GPX nor KML"),
        ("<gpx>", "line 1, column 6 is not XML"),
        ("<gpx></gpx>", "it holds no track or route with points"),
        ("<kml></kml>", "it holds no line with points"),
        (gpx(POINTS[:1]), "the track has 1 point"),
        (gpx(POINTS).replace("</gpx>", gpx(POINTS)[gpx(POINTS).index("<trk>") :]), "it holds 2 of them where one"),
        (gpx(POINTS).replace('lat="36.6021"', ""), "point 1 has no latitude and longitude in degrees"),
        (gpx(POINTS).replace("36.6021", "nan"), "point 1 has no latitude and longitude in degrees"),
        (gpx(POINTS).replace("36.6021", "3_6"), "point 1 has no latitude and longitude in degrees"),
        (gpx(POINTS).replace("36.6021", "9" * 400), "point 1 has no latitude and longitude in degrees"),
        (gpx([(-84.2, 136.6, 1), (-100.2, 36.6, 1)]), "point 2 has no latitude and longitude in degrees"),
        (gpx([(36.6, -84.2, 1), (36.6, -84.1, 30000)]), "point 2 has a height of 30000 m, outside -500 to 9500 m"),
        (kml([]), "the track has no point"),
        (kml(POINTS).replace("36.6021,330.0", "36.6021,330.0,7"), "point 1 has no latitude"),
        ("<kml><LineString/></kml>", "the track has no point"),
        (json.dumps({"type": "Point", "coordinates": [1, 2]}), "it holds no lines where one is wanted"),
        (json.dumps({"type": "MultiLineString", "coordinates": 3}), "its coordinates are not a list"),
        (BOMB, "it declares a document type"),
        (OUTSIDE, "it declares a document type"),
        ("<gpx>" + "<a>" * 100_000, "its elements are nested more than 32 deep"),
        ("<gpx>" + "<a/>" * 500_000, "it has more than 400000 elements"),
        ('<?xml version="1.0" encoding="no-such"?><gpx/>', "its encoding cannot be read"),
        (gpx([(36.6, -84.2, 1)] * 50_001), "it has more than 50000 points"),
        (kml([(36.6, -84.2, 1)] * 50_001), "it has more than 50000 points"),
    ],
    ids=lambda value: value[:30] if isinstance(value, str) else "",
)
def test_what_is_no_track_is_told_in_one_sentence(tmp_path: Path, text: str, what: str) -> None:
    start = time.monotonic()
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    (fault,) = caught.value.faults
    assert fault.where.startswith(WHERE)
    assert what in fault.what
    assert "\n" not in fault.sentence()
    assert time.monotonic() - start < 10.0


def walk(count: int, seed: int, step_m: float) -> NDArray[np.float64]:
    return np.cumsum(np.random.default_rng(seed).normal(0.0, step_m, (count, 3)), axis=0)


def distance_from_line(points: NDArray[np.float64], line: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return each point's distance from the nearest piece of a polyline, all pieces tried."""
    best = np.full(len(points), np.inf)
    for start, end in pairwise(line):
        piece = end - start
        square = max(float(piece @ piece), 1e-30)
        share = np.clip((points - start) @ piece / square, 0.0, 1.0)
        best = np.minimum(best, np.linalg.norm(points - start - share[:, None] * piece, axis=1))
    return best


@given(st.integers(3, 200), st.integers(0, 50), st.integers(2, 60))
def test_thinned_points_are_the_tracks_own_and_the_rest_lie_as_near_as_said(count: int, seed: int, most: int) -> None:
    points = walk(count, seed, 5.0)
    kept, off_m = thinned(points, most)
    assert len(kept) <= max(most, 2)
    assert kept[0] == 0
    assert kept[-1] == count - 1
    assert (np.diff(kept) > 0).all()
    assert distance_from_line(points, points[kept]).max() <= off_m + 1e-9


def test_a_straight_line_needs_its_ends_only() -> None:
    points = np.column_stack([np.linspace(0.0, 900.0, 5000), np.zeros(5000)])
    kept, off_m = thinned(points, 2000)
    assert off_m == pytest.approx(0.0, abs=1e-9)
    assert {0, 4999} <= set(kept.tolist())


def test_a_long_recording_is_thinned_within_the_stated_distance(tmp_path: Path) -> None:
    # a circle of 300 m flown at 20 m height swing, 20,000 points: an arc of a 2000th lies 0.4 mm off its chord
    turn = np.linspace(0.0, 2.0 * np.pi, 20_000)
    north, east = 300.0 * np.sin(turn), 300.0 * np.cos(turn)
    lat, lon = 36.6 + north / 111_000.0, -84.2 + east / 89_000.0
    track = read(tmp_path, gpx(list(zip(lat, lon, 400.0 + 10.0 * np.sin(3.0 * turn), strict=True))))
    assert track.lat_deg.size <= MOST_KEPT
    assert 0.0 < track.thinned_by_m < 0.05
    assert {track.lat_deg[0], track.lat_deg[-1]} <= set(lat.tolist())


def test_a_track_too_rich_for_the_most_points_is_told_not_bent(tmp_path: Path) -> None:
    rows = walk(50_000, 3, 1.0) * [2e-4, 2e-4, 0.0] + [36.6, -84.2, 400.0]
    rows[:, 0] = 36.6 + (rows[:, 0] - 36.6) % 0.2
    start = time.monotonic()
    with pytest.raises(InputError, match="told by 2000 of its 50000 points the track would be up to"):
        read(tmp_path, gpx(rows.tolist()))
    assert time.monotonic() - start < 15.0
    assert THINNED_WITHIN_M < 10.0


def test_a_track_across_the_180th_meridian_is_thinned_as_one(tmp_path: Path) -> None:
    lon = np.linspace(179.99, 180.01, 3000)
    rows = [(-16.8, float(x if x <= 180.0 else x - 360.0), 10.0) for x in lon]
    assert read(tmp_path, gpx(rows)).thinned_by_m < 0.01
