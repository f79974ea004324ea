"""People areas from GeoJSON: into local metres, held against PROJ; what is no area is told."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from pyproj import Geod

from turnback.base.errors import InputError
from turnback.readers.areas import read_areas
from turnback.records.areas import PeopleAreas

LAUNCH = (36.6021, -84.2185)
WGS84 = Geod(ellps="WGS84")
WHERE = "plan.toml: site.people_areas"


def place(east_m: float, north_m: float, launch: tuple[float, float] = LAUNCH) -> list[float]:
    """Return longitude and latitude of a place, by PROJ's geodesic."""
    lon, lat, _ = WGS84.fwd(launch[1], launch[0], np.degrees(np.arctan2(east_m, north_m)), np.hypot(east_m, north_m))
    return [float(lon), float(lat)]


def ring(west: float, south: float, east: float, north: float, launch: tuple[float, float] = LAUNCH) -> list[Any]:
    corners = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    return [place(x, y, launch) for x, y in corners]


def polygon(*rings: Any) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": list(rings)}


def feature(geometry: Any, **properties: Any) -> dict[str, Any]:
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def read(tmp_path: Path, document: Any, launch: tuple[float, float] = LAUNCH) -> PeopleAreas:
    file = tmp_path / "areas.geojson"
    text = document if isinstance(document, str) else json.dumps(document)
    file.write_text(text, encoding="utf-8")
    return read_areas(file, *launch, WHERE)


@pytest.mark.published
@pytest.mark.parametrize("launch", [LAUNCH, (-41.3, 174.8), (64.1, -21.9), (-16.8, 179.999)])
def test_corners_land_where_proj_says(tmp_path: Path, launch: tuple[float, float]) -> None:
    # PROJ's geodesics (Karney 2013) are exact here; the last launch point has corners across the 180th meridian
    areas = read(tmp_path, polygon(ring(-300.0, 100.0, 500.0, 900.0, launch)), launch)
    expected = [(-300, 100), (500, 100), (500, 900), (-300, 900), (-300, 100)]
    assert np.abs(areas.areas[0].rings[0] - np.array(expected)).max() < 1e-3


def test_every_form_of_a_polygon_is_read_with_its_name(tmp_path: Path) -> None:
    one, two = ring(0, 0, 10, 10), ring(100, 0, 110, 10)
    document = {
        "type": "FeatureCollection",
        "features": [
            feature(polygon(one), name="farm"),
            feature({"type": "MultiPolygon", "coordinates": [[one], [two]]}, name="  two \n yards "),
            feature({"type": "GeometryCollection", "geometries": [polygon(two), polygon(one)]}, name=7),
            feature(polygon(one), title="unnamed"),
            {"type": "Feature", "properties": None, "geometry": polygon(one)},
        ],
    }
    names = [area.name for area in read(tmp_path, document).areas]
    assert names == ["farm", "two yards", "two yards", "7", "7", "", ""]
    assert len(read(tmp_path, polygon(one)).areas) == 1
    assert len(read(tmp_path, feature(polygon(one))).areas) == 1


def test_a_hole_is_kept_out(tmp_path: Path) -> None:
    areas = read(tmp_path, polygon(ring(-100, -100, 100, 100), ring(-20, -20, 20, 20)))
    assert areas.areas[0].holds([0.0, 50.0, 150.0], [0.0, 0.0, 0.0]).tolist() == [False, True, False]


def test_names_cannot_carry_control_signs_or_run_on(tmp_path: Path) -> None:
    areas = read(tmp_path, feature(polygon(ring(0, 0, 10, 10)), name="a\x1b[31m\u202eb" + "c" * 500))
    assert areas.areas[0].name.startswith("a[31mbccc")
    assert len(areas.areas[0].name) == 80


@pytest.mark.parametrize("crs", ["urn:ogc:def:crs:OGC:1.3:CRS84", "urn:ogc:def:crs:EPSG::4326"])
def test_the_old_way_to_say_wgs_84_is_accepted(tmp_path: Path, crs: str) -> None:
    document = polygon(ring(0, 0, 10, 10)) | {"crs": {"type": "name", "properties": {"name": crs}}}
    assert len(read(tmp_path, document).areas) == 1


SQUARE = ring(0, 0, 10, 10)


@pytest.mark.parametrize(
    ("document", "what"),
    [
        ("", "line 1, column 1 is not JSON"),
        ('{"type": "Polygon", ', "is not JSON"),
        ("[1, 2]", "it is JSON, but no GeoJSON object"),
        ('{"type": "Polygon", "coordinates": [[[NaN, 1], [0, 1], [1, 1], [NaN, 1]]]}', "a number in it cannot be used"),
        ('{"type": "Polygon", "coordinates": [[[1e999, 1], [0, 1], [1, 1], [1e999, 1]]]}', "position 1 (inf, 1) is no"),
        ('{"a": ' + "[" * 100_000 + "]" * 100_000 + "}", "nested more than 12 deep"),
        ('{"type": "Polygon", "coordinates": ' + "[" * 20 + "]" * 20 + "}", "nested more than 12 deep"),
        ({}, "its type is nothing, which GeoJSON does not know"),
        ({"type": "Topology"}, "its type is 'Topology', which GeoJSON does not know"),
        ({"type": ["Polygon"]}, "its type is nothing"),
        ({"type": "FeatureCollection", "features": []}, "it holds no geometry"),
        ({"type": "FeatureCollection", "features": {}}, "features is not a list"),
        ({"type": "FeatureCollection", "features": [3]}, "it is no Feature"),
        ({"type": "GeometryCollection"}, "geometries is not a list"),
        (feature(None), "it has no geometry"),
        ({"type": "Point", "coordinates": [0, 0]}, "a Point has no area"),
        ({"type": "LineString", "coordinates": SQUARE}, "a LineString has no area"),
        ({"type": "Polygon"}, "the polygon has no ring"),
        ({"type": "Polygon", "coordinates": []}, "the polygon has no ring"),
        ({"type": "MultiPolygon", "coordinates": []}, "it holds no polygon"),
        (polygon("abc"), "its coordinates are not a list"),
        (polygon(SQUARE[:3]), "a ring of 3 positions encloses nothing"),
        (polygon(SQUARE[:-1]), "the ring is not closed"),
        (polygon([[1], [2], [3], [1]]), "position 1 is not [longitude, latitude]"),
        (polygon([["1", "2"]] * 4), "position 1 is not [longitude, latitude]"),
        (polygon([[True, False]] * 4), "position 1 is not [longitude, latitude]"),
        (polygon([[400, 10]] * 4), "position 1 (400, 10) is no longitude and latitude in degrees"),
        (polygon([[36.6, -84.2]] * 4), "km from the launch point, more than 200 km"),
        (
            polygon(SQUARE) | {"crs": {"type": "name", "properties": {"name": "EPSG:25832"}}},
            "it names a coordinate system of its own",
        ),
        (polygon([*[[-84.2, 36.6]] * 10_001, [-84.2, 36.6]]), "it has more than 10000 positions"),
        (
            {"type": "GeometryCollection", "geometries": [polygon(SQUARE)] * 2001},
            "it holds more than 2000 geometries",
        ),
    ],
)
def test_what_is_no_area_is_told_in_one_sentence(tmp_path: Path, document: Any, what: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, document)
    (fault,) = caught.value.faults
    assert fault.where.startswith(WHERE)
    assert what in fault.what
    assert "\n" not in fault.sentence()


def test_vertices_are_counted_over_all_areas(tmp_path: Path) -> None:
    many = {"type": "GeometryCollection", "geometries": [polygon([*SQUARE[:1] * 999, SQUARE[0]])] * 11}
    with pytest.raises(InputError, match="its areas have more than 10000 vertices"):
        read(tmp_path, many)


def test_faults_of_several_areas_are_told_together(tmp_path: Path) -> None:
    document = {
        "type": "FeatureCollection",
        "features": [feature(polygon(SQUARE[:-1])), feature(polygon(SQUARE)), feature({"type": "Point"})],
    }
    with pytest.raises(InputError) as caught:
        read(tmp_path, document)
    assert [fault.where for fault in caught.value.faults] == [f"{WHERE} feature 1 ring 1", f"{WHERE} feature 3"]


def test_text_that_is_not_utf_8_and_files_that_are_too_large_are_told(tmp_path: Path) -> None:
    file = tmp_path / "areas.geojson"
    file.write_bytes(b'{"type": "\xff"}')
    with pytest.raises(InputError, match="not UTF-8"):
        read_areas(file, *LAUNCH, WHERE)
    file.write_bytes(b" " * (4 * 1024**2 + 1))
    with pytest.raises(InputError, match="larger than 4 MB"):
        read_areas(file, *LAUNCH, WHERE)
