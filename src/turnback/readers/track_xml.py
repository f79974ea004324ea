"""Points of a GPX 1.1 or KML 2.2 track.

Sources: GPX 1.1 schema (trkpt, rtept; ele in metres above sea level); OGC 07-147r2, OGC KML 2.2, sections 10.7
(LineString), 15.1 (coordinates: longitude, latitude, height) and 16.1 (altitudeMode: clampToGround unless said), and
OGC 12-007r2, KML 2.3, for Track with coord.
"""

from __future__ import annotations

from itertools import islice
from typing import Final, TypeVar
from xml.etree.ElementTree import Element

from turnback.base.errors import bad_input
from turnback.readers.xml_files import children, local_name, number_of, text_of
from turnback.records.route import HeightReference

MOST_POINTS: Final = 50_000  # our choice: eighty minutes at ten a second

Line = TypeVar("Line")
Point = tuple[float | None, float | None, float | None]
"""Latitude, longitude, height, as far as they could be read."""

_KML_REFERENCE: Final = {"absolute": HeightReference.SEA_LEVEL, "relativeToGround": HeightReference.GROUND}


def gpx_points(root: Element, where: str) -> tuple[list[Point], HeightReference | None]:
    """Return the points of the only track or route of a GPX file; the segments of a track are joined.

    Raises
    ------
    InputError
        If it holds none, several, or too many points.
    """
    tracks = [
        [point for segment in children(track, "trkseg") for point in children(segment, "trkpt")]
        for track in children(root, "trk")
    ]
    lines = [points for points in tracks if points]
    if not lines:  # a planned route counts only where no track was recorded
        lines = [points for route in children(root, "rte") if (points := list(children(route, "rtept")))]
    points = _only(lines, "track or route", where)
    _verify_count(len(points), where)
    read = [
        (number_of(point.get("lat")), number_of(point.get("lon")), number_of(text_of(point, "ele"))) for point in points
    ]
    return read, HeightReference.SEA_LEVEL


def kml_points(root: Element, where: str) -> tuple[list[Point], HeightReference | None]:
    """Return the points of the only line of a KML file; its heights count only as its altitudeMode says.

    Raises
    ------
    InputError
        If it holds none, several, or too many points.
    """
    lines = [element for element in root.iter() if local_name(element) in ("LineString", "Track")]
    line = _only(lines, "line", where)
    reference = _KML_REFERENCE.get(text_of(line, "altitudeMode") or "")
    if local_name(line) == "Track":
        written = [(coord.text or "").split() for coord in islice(children(line, "coord"), MOST_POINTS + 1)]
    else:
        text = (text_of(line, "coordinates") or "").split(maxsplit=MOST_POINTS)
        written = [position.split(",") for position in text]
    _verify_count(len(written), where)
    return [_kml_point(parts) for parts in written], reference


def _kml_point(parts: list[str]) -> Point:
    """Longitude stands first; anything but two or three numbers is no point."""
    if not 2 <= len(parts) <= 3:
        return None, None, None
    height = number_of(parts[2]) if len(parts) == 3 else None
    return number_of(parts[1]), number_of(parts[0]), height


def _only(lines: list[Line], word: str, where: str) -> Line:
    if not lines:
        raise bad_input(where, f"it holds no {word} with points", "export the flight as one")
    if len(lines) > 1:
        raise bad_input(where, f"it holds {len(lines)} of them where one {word} is wanted", "keep the one to be flown")
    return lines[0]


def _verify_count(count: int, where: str) -> None:
    if count > MOST_POINTS:
        raise bad_input(where, f"it has more than {MOST_POINTS} points", "export it with fewer")
