"""Tracks with times as tables: GPX, KML and GeoJSON, and Parquet, each value where it belongs."""

from __future__ import annotations

import gzip
import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pytest

from turnback.base.errors import InputError
from turnback.readers.record_table import read_table
from turnback.readers.record_units import unit_of
from turnback.records.channel import Quantity
from turnback.records.record_read import CellKind, RawColumn, RawTable, RecordFormat

NOON_S = 20240 * 86400.0 + 43200.0  # 2025-06-01T12:00:00Z, POSIX.1-2017, section 4.16


def table(tmp_path: Path, text: str | bytes, name: str = "record") -> RawTable:
    file = tmp_path / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return read_table(file)


def refused(tmp_path: Path, text: str | bytes) -> str:
    with pytest.raises(InputError) as error:
        table(tmp_path, text)
    return error.value.faults[0].sentence()


def column(found: RawTable, name: str) -> RawColumn:
    return next(each for each in found.columns if each.name == name)


def said(found: RawTable) -> dict[str, tuple[Quantity, str]]:
    return {each.name: (each.said.quantity, each.said_unit) for each in found.columns if each.said is not None}


def point(second: int, lat: float, extra: str = "") -> str:
    time = "" if second < 0 else f"<time>2025-06-01T12:00:{second:02d}.500Z</time>"
    return f'<trkpt lat="{lat}" lon="-84.25"><ele>{400 + lat}</ele>{time}{extra}</trkpt>'


def gpx(*segments: str) -> str:
    inner = "".join(f"<trkseg>{segment}</trkseg>" for segment in segments)
    return f'<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk>{inner}</trk></gpx>'


def test_gpx(tmp_path: Path) -> None:
    extra = (
        '<sat>9</sat><extensions><e:data xmlns:e="x"><e:speed>3.5</e:speed><e:mode>Hold</e:mode></e:data></extensions>'
    )
    found = table(
        tmp_path, gpx(point(10, 36.5, extra) + point(11, 36.75), point(2, 36.0) + point(-1, 36.1) + point(3, 36.25))
    )
    assert found.format is RecordFormat.GPX
    assert (found.rows, found.dropped_rows) == (4, 1)
    assert said(found) == {
        "time": (Quantity.TIME, "moment"), "latitude": (Quantity.LATITUDE, "deg"),
        "longitude": (Quantity.LONGITUDE, "deg"),
        "ele": (Quantity.HEIGHT_SEA_LEVEL, "m"), "sat": (Quantity.SATELLITES, "1"),
    }  # fmt: skip
    assert all(unit_of(quantity, unit) is not None for quantity, unit in said(found).values())
    assert column(found, "time").kind is CellKind.MOMENT
    assert (column(found, "time").values - NOON_S).tolist() == [2.5, 3.5, 10.5, 11.5]
    assert column(found, "latitude").values.tolist() == [36.0, 36.25, 36.5, 36.75]
    assert column(found, "longitude").values.tolist() == [-84.25] * 4
    assert column(found, "ele").values.tolist() == [436.0, 436.25, 436.5, 436.75]
    np.testing.assert_array_equal(column(found, "speed").values, [np.nan, np.nan, 3.5, np.nan])
    assert column(found, "mode").labels == ("Hold",)
    packed = table(tmp_path, gzip.compress(gpx(point(1, 36.0) + point(2, 36.1)).encode()))
    assert packed.zipped
    assert packed.rows == 2


def test_places_outside_the_world_are_bad_cells(tmp_path: Path) -> None:
    found = table(tmp_path, gpx(point(1, 36.0) + point(2, 136.0) + point(3, 36.5)))
    np.testing.assert_array_equal(column(found, "latitude").values, [36.0, np.nan, 36.5])
    assert column(found, "latitude").bad_cells == 1


def test_kml_track_with_values_beside_it(tmp_path: Path) -> None:
    inner = "".join(f"<when>2025-06-01T12:00:0{each}Z</when>" for each in (1, 2, 3))
    inner += "".join(f"<gx:coord>-84.25 36.{each} {each}00.5</gx:coord>" for each in (1, 2, 3))
    inner += "<ExtendedData><SchemaData><gx:SimpleArrayData name='volts'>"
    inner += "".join(f"<gx:value>16.{each}</gx:value>" for each in (1, 2, 3))
    inner += "</gx:SimpleArrayData></SchemaData></ExtendedData>"
    whole = (
        '<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"><Placemark><gx:Track>'
        "<altitudeMode>{}</altitudeMode>{}</gx:Track></Placemark></kml>"
    )
    found = table(tmp_path, whole.format("absolute", inner))
    assert found.format is RecordFormat.KML
    assert (column(found, "time").values - NOON_S).tolist() == [1.0, 2.0, 3.0]
    assert column(found, "latitude").values.tolist() == [36.1, 36.2, 36.3]
    assert column(found, "height above sea level").values.tolist() == [100.5, 200.5, 300.5]
    assert column(found, "volts").values.tolist() == [16.1, 16.2, 16.3]
    assert said(found)["height above sea level"] == (Quantity.HEIGHT_SEA_LEVEL, "m")
    assert all(unit_of(quantity, unit) is not None for quantity, unit in said(found).values())
    names = {each.name for each in table(tmp_path, whole.format("clampToGround", inner)).columns}
    assert names == {"time", "latitude", "longitude", "volts"}
    above = table(tmp_path, whole.format("relativeToGround", inner))
    assert column(above, "height above ground").said is None


def test_kml_places_with_time_stamps(tmp_path: Path) -> None:
    places = "".join(
        f"<Placemark><TimeStamp><when>2025-06-01T12:00:0{each}Z</when></TimeStamp><Point><coordinates>-84.25,36.{each},5"
        "</coordinates></Point></Placemark>"
        for each in (1, 2, 3)
    )
    found = table(tmp_path, f"<kml><Document>{places}</Document></kml>")
    assert (column(found, "time").values - NOON_S).tolist() == [1.0, 2.0, 3.0]
    assert column(found, "latitude").values.tolist() == [36.1, 36.2, 36.3]


LINE = {"type": "LineString", "coordinates": [[-84.25, 36.1, 400], [-84.26, 36.2, 410.5]]}


def test_geojson_line_with_a_list_of_times(tmp_path: Path) -> None:
    feature: dict[str, Any] = {"type": "Feature", "geometry": LINE, "properties": {
        "coordTimes": ["2025-06-01T12:00:01Z", "2025-06-01T12:00:02.5Z"], "volts": [16.5, 16.25], "name": "of my own",
    }}  # fmt: skip
    found = table(tmp_path, json.dumps(feature))
    assert found.format is RecordFormat.GEOJSON
    assert said(found)["coordTimes"] == (Quantity.TIME, "moment")
    assert said(found)["height"] == (Quantity.HEIGHT_SEA_LEVEL, "m")
    assert (column(found, "coordTimes").values - NOON_S).tolist() == [1.0, 2.5]
    assert column(found, "height").values.tolist() == [400.0, 410.5]
    assert column(found, "volts").values.tolist() == [16.5, 16.25]
    assert {each.name for each in found.columns} == {"latitude", "longitude", "height", "coordTimes", "volts"}
    feature["properties"] = {"coordinateProperties": {"times": [0, 1.5]}}
    found = table(tmp_path, json.dumps(feature))
    assert column(found, "times").said is None
    assert column(found, "times").values.tolist() == [0.0, 1.5]


def test_geojson_points_with_properties(tmp_path: Path) -> None:
    features = [
        {"type": "Feature", "geometry": {"type": "Point", "coordinates": [-84.25, 36.0 + each]},
         "properties": {"t": each * 0.5, "mode": "Hold", "armed": each > 0, "list": [1]}}
        for each in range(3)
    ]  # fmt: skip
    found = table(tmp_path, json.dumps({"type": "FeatureCollection", "features": features}))
    assert column(found, "t").values.tolist() == [0.0, 0.5, 1.0]
    assert column(found, "latitude").values.tolist() == [36.0, 37.0, 38.0]
    assert column(found, "mode").labels == ("Hold",)
    assert column(found, "armed").labels == ("false", "true")
    assert column(found, "armed").values.tolist() == [0.0, 1.0, 1.0]


@pytest.mark.parametrize(
    "text",
    [
        gpx(point(-1, 36.0) + point(-1, 36.5)),
        "<kml><LineString><coordinates>-84.25,36.1,5 -84.26,36.2,5</coordinates></LineString></kml>",
        json.dumps(LINE),
        json.dumps({"type": "Feature", "geometry": LINE, "properties": {"coordTimes": ["2025-06-01T12:00:01Z"]}}),
    ],
)
def test_a_track_without_times_cannot_say_what_happened(tmp_path: Path, text: str) -> None:
    assert "a track without times cannot say what happened" in refused(tmp_path, text)


@pytest.mark.parametrize(
    "text",
    [
        gpx(),
        gpx(point(1, 36.0)),
        "<kml/>",
        '{"type": "FeatureCollection", "features": []}',
        '<!DOCTYPE gpx [<!ENTITY a "aaaa">]><gpx>&a;</gpx>',
        "<gpx><trk>",
        '{"type": "FeatureCollection", "features": [',
        json.dumps({"type": "Feature", "geometry": {"type": "Polygon", "coordinates": []}, "properties": {}}),
    ],
)
def test_tracks_that_hold_nothing_are_refused_in_one_sentence(tmp_path: Path, text: str) -> None:
    assert refused(tmp_path, text).startswith("record: ")


def parquet(tmp_path: Path, frame: pl.DataFrame, **options: Any) -> RawTable:
    frame.write_parquet(tmp_path / "record", **options)
    return read_table(tmp_path / "record")


def test_parquet(tmp_path: Path) -> None:
    start = datetime(2025, 6, 1, 12, tzinfo=UTC)
    frame = pl.DataFrame({
        "Time [ms]": [0, 5, 10],
        "volts_v": [16.5, None, float("inf")],
        "armed": [False, True, None],
        "mode": ["Hold", "Rate", "Hold"],
        "text": ["1.5", "x", "2.5"],
        "moment": [start + timedelta(seconds=each) for each in (0.25, 1, 2)],
        "rate": pl.Series([0.1, 0.2, 0.3], dtype=pl.Float32),
        "nothing": [None, None, None],
    })  # fmt: skip
    found = parquet(tmp_path, frame, metadata={"units": json.dumps({"rate": "deg/s"})})
    assert found.format is RecordFormat.PARQUET
    assert found.rows == 3
    assert [(each.name, each.unit_text) for each in found.columns[:2]] == [("Time", "ms"), ("volts", "v")]
    assert column(found, "Time").values.tolist() == [0.0, 5.0, 10.0]
    np.testing.assert_array_equal(column(found, "volts").values, [16.5, np.nan, np.nan])
    assert column(found, "volts").bad_cells == 1
    assert column(found, "armed").labels == ("false", "true")
    np.testing.assert_array_equal(column(found, "armed").values, [0.0, 1.0, np.nan])
    assert column(found, "mode").labels == ("Hold", "Rate")
    assert column(found, "mode").values.tolist() == [0.0, 1.0, 0.0]
    np.testing.assert_array_equal(column(found, "text").values, [1.5, np.nan, 2.5])
    assert column(found, "text").bad_cells == 1
    assert column(found, "moment").kind is CellKind.MOMENT
    assert (column(found, "moment").values - NOON_S).tolist() == [0.25, 1.0, 2.0]
    assert column(found, "rate").values.dtype == np.float32
    assert column(found, "rate").unit_text == "deg/s"
    assert np.isnan(column(found, "nothing").values).all()


def test_parquet_that_is_no_flat_table(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="more than one value in a cell"):
        parquet(tmp_path, pl.DataFrame({"t": [0, 1], "list": [[1], [2]]}))
    with pytest.raises(InputError, match="3,000 columns"):
        parquet(tmp_path, pl.DataFrame({f"c{each}": [1, 2] for each in range(3000)}))
    with pytest.raises(InputError, match="1 row of values"):
        parquet(tmp_path, pl.DataFrame({"t": [0]}))
    with pytest.raises(InputError, match="none of its cells is a number"):
        parquet(tmp_path, pl.DataFrame({"t": [None, None], "w": ["a", "b"]}))
    pl.DataFrame({"t": [0, 1]}).write_parquet(tmp_path / "record")
    data = (tmp_path / "record").read_bytes()
    assert "damaged or cut off" in refused(tmp_path, data[:-20])
    assert "packed again" in refused(tmp_path, gzip.compress(data))
