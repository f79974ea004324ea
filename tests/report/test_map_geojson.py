"""The ring as GeoJSON: RFC 7946's order and turning, where geodesics put it, cut where longitudes begin anew."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pyproj
import pytest
from tests.report.made_map import LAT_DEG, LON_DEG, made, nowhere

from turnback.records.home_map import HomeMap, TurnBackRing
from turnback.report.map_geojson import cut, ring_geojson

GEOD = pyproj.Geod(ellps="WGS84")


def features(found: HomeMap) -> list[dict[str, Any]]:
    """Return the features of a map."""
    said = ring_geojson(found)
    assert said is not None
    data = json.loads(said)
    assert data["type"] == "FeatureCollection"
    found_features: list[dict[str, Any]] = data["features"]
    return found_features


def outlines(feature: dict[str, Any]) -> list[list[list[float]]]:
    """Return the outer rings of a polygon or of several."""
    shape = feature["geometry"]
    polygons = [shape["coordinates"]] if shape["type"] == "Polygon" else shape["coordinates"]
    assert all(len(polygon) == 1 for polygon in polygons)
    return [polygon[0] for polygon in polygons]


def twice_area(ring: Any) -> float:
    """Return twice the signed area of a closed ring of plane points: positive where it runs anticlockwise."""
    x, y = np.array(ring, dtype=float).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum())


def with_ring(found: HomeMap, **changed: Any) -> HomeMap:
    """Return a map with another ring and no heights."""
    return replace(found, ring=replace(found.ring, **changed), heights=())


def test_it_holds_the_ring_the_launch_point_and_a_ring_for_each_height() -> None:
    found = features(made(21))
    assert [each["type"] for each in found] == ["Feature"] * 6
    kinds = [each["properties"]["kind"] for each in found]
    assert kinds == ["turn-back ring", "launch point", *["ring of a height"] * 4]
    assert [each["properties"]["height_m"] for each in found[2:]] == [30.0, 60.0, 90.0, 120.0]
    assert found[1]["geometry"] == {"type": "Point", "coordinates": [LON_DEG, LAT_DEG]}


def test_properties_say_distance_and_reason_on_every_bearing() -> None:
    map_ = made(21)
    said = features(map_)[0]["properties"]
    assert (said["chance"], said["height_m"], said["height_above"]) == (0.95, 60.0, "launch")
    assert said["bearing_deg"] == list(range(360))
    assert said["turn_back_m"] == map_.ring.turn_back_m.tolist()
    assert said["reason"] == list(map_.ring.reason)
    assert any("does not know your local law" in caution for caution in said["cautions"])


@pytest.mark.parametrize(("lat", "lon"), [(LAT_DEG, LON_DEG), (-33.7, -70.9), (68.0, 20.5), (0.0, 0.0)])
def test_every_corner_lies_where_a_geodesic_puts_it(lat: float, lon: float) -> None:
    """Against GeographicLib, through PROJ: distance within 0.1 m, bearing within 0.01 degrees."""
    map_ = made(21, launch_lat_deg=lat, launch_lon_deg=lon)
    (ring,) = outlines(features(map_)[0])
    assert ring[0] == ring[-1]
    assert len(ring) == 361
    lons, lats = np.array(ring[:-1]).T
    bearing, _, away = GEOD.inv(np.full(360, lon), np.full(360, lat), lons, lats)
    order = np.argsort(np.round(bearing % 360.0, 3) % 360.0)
    assert away[order] == pytest.approx(map_.ring.turn_back_m, abs=0.1)
    off = (bearing[order] - map_.ring.bearing_deg + 180.0) % 360.0 - 180.0
    assert np.abs(off).max() < 0.01
    assert twice_area(ring) > 0.0  # RFC 7946, 3.1.6: anticlockwise


def test_numbers_have_seven_decimals_at_most() -> None:
    (ring,) = outlines(features(made(21))[0])
    assert all(round(part, 7) == part for point in ring for part in point)


def test_a_map_without_a_place_has_no_geojson() -> None:
    assert ring_geojson(nowhere(made(21))) is None


@pytest.mark.parametrize("lon", [179.99, -179.99, 180.0, -180.0, 179.9999999])
def test_a_ring_across_the_antimeridian_is_cut(lon: float) -> None:
    """RFC 7946, 3.1.9. The parts have the area of the whole, each turns the right way and keeps its longitudes."""
    whole = outlines(features(made(21, launch_lat_deg=-17.0, launch_lon_deg=10.0))[0])[0]
    parts = outlines(features(made(21, launch_lat_deg=-17.0, launch_lon_deg=lon))[0])
    assert len(parts) > 1
    for part in parts:
        assert part[0] == part[-1]
        assert all(-180.0 <= each[0] <= 180.0 for each in part)
        assert twice_area(part) > 0.0
        assert max(each[0] for each in part) - min(each[0] for each in part) < 1.0
    area = sum(GEOD.polygon_area_perimeter(*np.array(part).T)[0] for part in parts)
    assert area == pytest.approx(GEOD.polygon_area_perimeter(*np.array(whole).T)[0], rel=1e-5)


def test_a_comb_is_cut_into_its_teeth() -> None:
    """Three teeth reach 1 degree past the line: 3 squares there, the comb's back here; areas by hand."""
    comb = [(178.0, 0.0), (181.0, 0.0), (181.0, 1.0), (179.0, 1.0), (179.0, 2.0), (181.0, 2.0), (181.0, 3.0),
            (179.0, 3.0), (179.0, 4.0), (181.0, 4.0), (181.0, 5.0), (178.0, 5.0)]  # fmt: skip
    parts = [[*part, part[0]] for part in cut(comb)]
    there = [part for part in parts if min(lon for lon, _ in part) < 0.0]
    here = [part for part in parts if min(lon for lon, _ in part) > 0.0]
    assert sorted(twice_area(part) / 2.0 for part in there) == [1.0, 1.0, 1.0]
    assert [twice_area(part) / 2.0 for part in here] == [2.0 * 5.0 - 2.0]
    assert all(-180.0 <= lon <= -179.0 for part in there for lon, _ in part)


def test_an_outline_on_one_side_stays_whole() -> None:
    square = [(10.0, 0.0), (11.0, 0.0), (11.0, 1.0), (10.0, 1.0)]
    assert cut(square) == [square]
    assert cut([(lon + 171.0, lat) for lon, lat in square]) == [[(-179.0, 0.0), (-178.0, 0.0), (-178.0, 1.0),
                                                                 (-179.0, 1.0)]]  # fmt: skip


def test_where_it_comes_home_from_nowhere_the_ring_falls_into_parts() -> None:
    found = made(21)
    far = found.ring.turn_back_m.copy()
    far[85:95] = 0.0
    far[200:210] = 0.0
    parts = outlines(features(with_ring(found, turn_back_m=far))[0])
    assert sorted(len(part) for part in parts) == [105 + 2, 235 + 2]
    for part in parts:
        assert [round(LON_DEG, 7), round(LAT_DEG, 7)] in part
        assert twice_area(part) > 0.0


def test_where_it_comes_home_from_nowhere_at_all_there_is_no_shape() -> None:
    none = with_ring(made(21), turn_back_m=np.full(360, np.nan))
    feature = features(none)[0]
    assert feature["geometry"] is None  # RFC 7946, 3.2: null where there is none
    assert feature["properties"]["turn_back_m"] == [0.0] * 360


def test_the_same_map_gives_the_same_text() -> None:
    assert ring_geojson(made(21)) == ring_geojson(made(21))
    assert isinstance(made(21).ring, TurnBackRing)
