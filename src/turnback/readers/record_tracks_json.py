"""Read a flight's track with times as a table: GeoJSON, points one by one or a line with a list of times.

Source: RFC 7946, sections 3.1 (geometries), 3.2 (features; properties are the writer's own) and 4 (WGS 84,
longitude first).
"""

from __future__ import annotations

import json
from typing import Any, Final

from turnback.base.errors import InputError, bad_input
from turnback.readers.geojson import DEEPEST
from turnback.readers.record_table_source import Source, whole
from turnback.readers.record_tracks_columns import NO_TIMES, WITH_TIMES, Cell, PointTable, track_table
from turnback.records.channel import Quantity
from turnback.records.record_read import RawTable, RecordFormat

MOST_BYTES: Final = 32 * 1024**2  # our choice: a hundred thousand points with twenty values each
SAID: Final = {
    "latitude": (Quantity.LATITUDE, "deg"),
    "longitude": (Quantity.LONGITUDE, "deg"),
    "height": (Quantity.HEIGHT_SEA_LEVEL, "m"),
}
TIMES: Final = frozenset({"coordtimes", "times", "time", "timestamps", "timestamp", "when"})
AGAIN: Final = "export the flight again as GeoJSON, or as CSV"


def read_json_track(source: Source) -> RawTable:
    """Return the points of a GeoJSON file.

    Raises
    ------
    InputError
        If it is other JSON, too deep, or its points have no times.
    """
    document = _parsed(whole(source, MOST_BYTES), source.name)
    points = PointTable(source.name)
    said = dict(SAID)
    lines = 0
    for feature in _features(document, source.name):
        geometry = feature.get("geometry")
        properties = feature.get("properties")
        properties = properties if isinstance(properties, dict) else {}
        kind = geometry.get("type") if isinstance(geometry, dict) else None
        places = geometry.get("coordinates") if isinstance(geometry, dict) else None
        if kind == "Point":
            points.add(_place(places) | {name: _cell(value) for name, value in properties.items()})
        elif kind in ("LineString", "MultiPoint") and isinstance(places, list):
            lines += 1
            _add_line(points, places, properties, said)
    if lines and not points.points:
        raise bad_input(source.name, NO_TIMES, WITH_TIMES)
    if not points.points:
        raise bad_input(source.name, "it holds no points of a track", AGAIN)
    return track_table(points, RecordFormat.GEOJSON, said, 0, zipped=source.zipped)


def _add_line(
    points: PointTable, places: list[Any], properties: dict[str, Any], said: dict[str, tuple[Quantity, str]]
) -> None:
    """Add a line whose properties hold a list with one value for each of its points; without times it adds nothing."""
    inner = properties.get("coordinateProperties")
    lists = properties | (inner if isinstance(inner, dict) else {})
    lists = {name: each for name, each in lists.items() if isinstance(each, list) and len(each) == len(places)}
    times = next((name for name in lists if name.lower() in TIMES), None)
    if times is None:
        return
    if any(isinstance(each, str) for each in lists[times]):
        said[times] = (Quantity.TIME, "moment")
    for number, place in enumerate(places):
        points.add(_place(place) | {name: _cell(each[number]) for name, each in lists.items()})


def _place(place: Any) -> dict[str, Cell]:
    found: dict[str, Cell] = {"latitude": None, "longitude": None}
    if isinstance(place, list) and len(place) >= 2:
        found["longitude"], found["latitude"] = _cell(place[0]), _cell(place[1])
        if len(place) > 2:
            found["height"] = _cell(place[2])
    return found


def _cell(value: Any) -> Cell:
    if isinstance(value, bool):
        return "true" if value else "false"
    return value if isinstance(value, str | float) else None


def _features(document: Any, where: str) -> list[dict[str, Any]]:
    kind = document.get("type") if isinstance(document, dict) else None
    if kind == "FeatureCollection" and isinstance(document.get("features"), list):
        return [each for each in document["features"] if isinstance(each, dict)]
    if kind == "Feature":
        return [document]
    if kind in ("LineString", "MultiPoint"):
        return [{"geometry": document, "properties": {}}]
    raise bad_input(where, "it is JSON, but no GeoJSON of a track", AGAIN)


def _parsed(data: bytes, where: str) -> Any:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise bad_input(where, "it is not UTF-8 text", "save the file as UTF-8") from error
    try:  # a whole number of a million digits becomes infinity, not an hour's work
        document = json.loads(text, parse_int=float, parse_constant=lambda _: None)
    except json.JSONDecodeError as error:
        raise bad_input(where, f"line {error.lineno}, column {error.colno} is not JSON", AGAIN) from error
    except RecursionError as error:
        raise _too_deep(where) from error
    except ValueError as error:
        raise bad_input(where, "a number in it cannot be used", AGAIN) from error
    level = [document]
    for _ in range(DEEPEST):
        level = [
            inner
            for value in level
            for inner in (value.values() if isinstance(value, dict) else value if isinstance(value, list) else ())
            if isinstance(inner, (dict, list))
        ]
    if level:
        raise _too_deep(where)
    return document


def _too_deep(where: str) -> InputError:
    return bad_input(where, f"its brackets are nested more than {DEEPEST} deep", AGAIN)
