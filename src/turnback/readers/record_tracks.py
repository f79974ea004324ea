"""Read a flight's track with times as a table: GPX 1.1, KML 2.2 and 2.3.

Sources: GPX 1.1 schema (wptType: lat, lon in WGS 84 degrees, ele in metres above sea level, time in UTC, sat,
extensions); OGC 12-007r2, KML 2.3, sections on Track (when, coord, angles) and SimpleArrayData; OGC 07-147r2,
KML 2.2, section 16.1 (altitudeMode: clampToGround unless said).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final
from xml.etree.ElementTree import Element

import numpy as np

from turnback.base.errors import bad_input
from turnback.readers.record_table_source import Source, whole
from turnback.readers.record_tracks_columns import NO_TIMES, WITH_TIMES, Cell, PointTable, column_of, track_table
from turnback.readers.xml_files import children, local_name, read_xml, text_of
from turnback.records.channel import Quantity
from turnback.records.record_read import RawTable, RecordFormat

MOST_BYTES: Final = 48 * 1024**2  # our choice: more than the most elements that are let in

Said = dict[str, tuple[Quantity, str]]
Point = dict[str, Cell]

GPX_SAID: Final[Said] = {
    "time": (Quantity.TIME, "moment"),
    "latitude": (Quantity.LATITUDE, "deg"),
    "longitude": (Quantity.LONGITUDE, "deg"),
    "ele": (Quantity.HEIGHT_SEA_LEVEL, "m"),
    "sat": (Quantity.SATELLITES, "1"),
}
KML_SAID: Final[Said] = {
    "time": (Quantity.TIME, "moment"),
    "latitude": (Quantity.LATITUDE, "deg"),
    "longitude": (Quantity.LONGITUDE, "deg"),
    "height above sea level": (Quantity.HEIGHT_SEA_LEVEL, "m"),
    "heading": (Quantity.HEADING, "deg"),
}
KML_HEIGHTS: Final = {"absolute": "height above sea level", "relativeToGround": "height above ground"}


def read_xml_track(source: Source) -> RawTable:
    """Return the points of a GPX or KML file.

    Raises
    ------
    InputError
        If it is other XML, or its points have no times.
    """
    root = read_xml(whole(source, MOST_BYTES), source.name)
    kind = local_name(root).lower()
    if kind == "gpx":
        pieces, said, file_format = [*_gpx(root)], GPX_SAID, RecordFormat.GPX
    elif kind == "kml":
        pieces, said, file_format = [*_kml(root)], KML_SAID, RecordFormat.KML
    else:
        raise bad_input(source.name, "it is XML, but neither GPX nor KML", "export the flight as CSV or GPX 1.1")
    points = PointTable(source.name)
    for name in ("time", "latitude", "longitude"):
        points.names[name] = None
    found, dropped = _in_time(pieces)
    if not found and not dropped:
        raise bad_input(source.name, "it holds no track with points", "export the flight as one track, with times")
    if not found:
        raise bad_input(source.name, NO_TIMES, WITH_TIMES)
    for point in found:
        points.add(point)
    return track_table(points, file_format, said, dropped, zipped=source.zipped)


def _in_time(pieces: list[list[Point]]) -> tuple[list[Point], int]:
    """Put pieces in the order of their times; points without a time are left out and counted."""
    every = [point for piece in pieces for point in piece]
    seconds = column_of(0, "time", [point.get("time") for point in every], GPX_SAID["time"]).values
    timed: list[tuple[float, list[Point]]] = []
    at = 0
    for piece in pieces:
        times = seconds[at : at + len(piece)]
        kept = [point for point, time in zip(piece, times, strict=True) if np.isfinite(time)]
        if kept:
            timed.append((float(times[np.isfinite(times)][0]), kept))
        at += len(piece)
    timed.sort(key=lambda each: each[0])
    found = [point for _, piece in timed for point in piece]
    return found, len(every) - len(found)


def _gpx(root: Element) -> Iterator[list[Point]]:
    for track in children(root, "trk"):
        for segment in children(track, "trkseg"):
            yield [_gpx_point(element) for element in children(segment, "trkpt")]


def _gpx_point(element: Element) -> Point:
    point: Point = {"time": None, "latitude": element.get("lat"), "longitude": element.get("lon")}
    for child in element:
        name = local_name(child)
        if name == "extensions":
            for leaf in child.iter():
                if len(leaf) == 0 and leaf is not child:
                    point.setdefault(local_name(leaf), leaf.text)
        elif len(child) == 0:
            point[name] = child.text
    return point


def _kml(root: Element) -> Iterator[list[Point]]:
    lone: list[Point] = []
    for element in root.iter():
        name = local_name(element)
        if name == "Track":
            yield _kml_track(element)
        elif name == "LineString":
            coordinates = (text_of(element, "coordinates") or "").split(maxsplit=1)
            yield [_kml_place(coordinates[0].split(","), None)] if coordinates else []
        elif name == "Placemark":
            lone += _kml_placemark(element)
    yield lone


def _kml_track(track: Element) -> list[Point]:
    """Pair times with places, in their order (KML 2.3: as many of one as of the other)."""
    whens = [(when.text or "").strip() for when in children(track, "when")]
    mode = KML_HEIGHTS.get(text_of(track, "altitudeMode") or "")
    points = [_kml_place((coord.text or "").split(), mode) for coord in children(track, "coord")]
    for point, when in zip(points, whens, strict=False):
        point["time"] = when
    for point, angles in zip(points, children(track, "angles"), strict=False):
        point |= dict(zip(("heading", "tilt", "roll"), (angles.text or "").split(), strict=False))
    for array in (each for each in track.iter() if local_name(each) == "SimpleArrayData"):
        name = array.get("name") or ""
        for point, value in zip(points, children(array, "value"), strict=False):
            point.setdefault(name, value.text)
    return points


def _kml_placemark(placemark: Element) -> list[Point]:
    """Return the point of a place with a time stamp."""
    place = next(children(placemark, "Point"), None)
    stamp = next(children(placemark, "TimeStamp"), None)
    if place is None or stamp is None:
        return []
    mode = KML_HEIGHTS.get(text_of(place, "altitudeMode") or "")
    point = _kml_place((text_of(place, "coordinates") or "").split(","), mode)
    point["time"] = text_of(stamp, "when")
    for data in (each for each in placemark.iter() if local_name(each) in ("Data", "SimpleData")):
        name, value = data.get("name") or "", text_of(data, "value") if local_name(data) == "Data" else data.text
        point.setdefault(name, value)
    return [point]


def _kml_place(parts: list[str], height: str | None) -> Point:
    """Longitude stands first; a height counts only where the altitude mode lets it."""
    point: Point = {"time": None, "latitude": None, "longitude": None}
    if 2 <= len(parts) <= 3:
        point["longitude"], point["latitude"] = parts[0], parts[1]
    if len(parts) == 3 and height is not None:
        point[height] = parts[2]
    return point
