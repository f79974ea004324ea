"""Read a track file as a route: GPX 1.1, KML 2.2 or a GeoJSON line, told apart by what is in it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.readers.geojson import positions, read_geojson
from turnback.readers.thinning import thinned
from turnback.readers.toml_files import read_small
from turnback.readers.track_xml import MOST_POINTS, Point, gpx_points, kml_points
from turnback.readers.xml_files import local_name, read_xml
from turnback.records.route import HeightReference

Floats = NDArray[np.float64]

MOST_BYTES: Final = 16 * 1024**2  # our choice: the most points, with the extra values that recorders add
MOST_KEPT: Final = 2000  # as many as a plan may list waypoints
THINNED_WITHIN_M: Final = 5.0  # our choice: about what a position fix errs by
HEIGHTS_M: Final = (-500.0, 9500.0)  # our choice: the Dead Sea to above the highest ground
METRES_PER_DEGREE: Final = 111_320.0  # of latitude, nearly; for thinning only


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A track as the file has it.

    Attributes
    ----------
    lat_deg, lon_deg : ndarray
        Shape ``(n,)``, WGS 84, ``n`` at most `MOST_KEPT`.
    height_m : ndarray or None
        Shape ``(n,)``; None where the file has no heights that count.
    height_reference : HeightReference or None
        What they are counted from; None without heights.
    thinned_by_m : float
        How far points left out lie from the line through those kept: 0 where all were kept, never more than
        `THINNED_WITHIN_M`.
    """

    lat_deg: Floats
    lon_deg: Floats
    height_m: Floats | None
    height_reference: HeightReference | None
    thinned_by_m: float


def read_track(path: Path, where: str) -> Track:
    """Return the one track of a file.

    Parameters
    ----------
    path : Path
    where : str
        File and field that named it, for errors.

    Returns
    -------
    Track
        Heights of GPX and GeoJSON count from sea level, those of KML as its altitudeMode says. (RFC 7946 counts
        GeoJSON heights from the ellipsoid; programs write sea level, which lies up to 100 m from it.)

    Raises
    ------
    InputError
        If it is no such file, holds none or several tracks, a point that is none, heights at some points only, or a
        line too rich to be told by `MOST_KEPT` points.
    """
    data = read_small(path, MOST_BYTES, where)
    points, reference = _points(data, path.name, where)
    rows = _verified(points, where)
    reference = _reference(rows, reference, where)
    kept, off_m = thinned(_metres(rows, with_heights=reference is not None), MOST_KEPT)
    if off_m > THINNED_WITHIN_M:
        what = f"told by {MOST_KEPT} of its {len(rows)} points the track would be up to {off_m:.0f} m off"
        raise bad_input(where, what, "export a simpler track")
    rows = rows[kept]
    return Track(rows[:, 0], rows[:, 1], None if reference is None else rows[:, 2], reference, off_m)


def _points(data: bytes, name: str, where: str) -> tuple[list[Point], HeightReference | None]:
    start = data[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or start.startswith(b"<"):
        root = read_xml(data, where)
        reader = {"gpx": gpx_points, "kml": kml_points}.get(local_name(root))
        if reader is None:
            raise bad_input(where, f"{name} is XML, but neither GPX nor KML", "export the track as GPX 1.1")
        return reader(root, where)
    if start.startswith((b"{", b"[")):
        return _geojson_points(data, where)
    if start.startswith(b"PK"):
        raise bad_input(where, f"{name} is a zip archive", "unpack it and give the KML or GPX file inside")
    raise bad_input(where, f"{name} is neither GPX, KML nor GeoJSON", "export the track as GPX 1.1")


def _geojson_points(data: bytes, where: str) -> tuple[list[Point], HeightReference | None]:
    lines = [part for part in read_geojson(data, where) if part.kind in ("LineString", "MultiLineString")]
    if len(lines) != 1:
        what = f"it holds {len(lines) or 'no'} lines where one is wanted"
        raise bad_input(where, what, "keep the one LineString to be flown")
    line = lines[0]
    pieces = line.coordinates if line.kind == "MultiLineString" else [line.coordinates]
    if not isinstance(pieces, list):
        raise bad_input(line.where, "its coordinates are not a list", "write [[longitude, latitude], ...]")
    points: list[Point] = []
    for piece in pieces:
        rows = positions(piece, MOST_POINTS, line.where)
        points += [(lat, lon, None if np.isnan(height) else height) for lon, lat, height in rows.tolist()]
        if len(points) > MOST_POINTS:
            raise bad_input(line.where, f"it has more than {MOST_POINTS} points", "export it with fewer")
    return points, HeightReference.SEA_LEVEL


def _verified(points: list[Point], where: str) -> Floats:
    """Latitude, longitude and height (NaN where none), shape ``(n, 3)``."""
    if len(points) < 2:
        raise bad_input(where, f"the track has {len(points) or 'no'} point", "give a track of two points or more")
    rows = np.array([[np.nan if part is None else part for part in point] for point in points], dtype=np.float64)
    bad = ~((np.abs(rows[:, 0]) <= 90.0) & (np.abs(rows[:, 1]) <= 180.0))
    if bad.any():
        what = f"point {int(bad.argmax()) + 1} has no latitude and longitude in degrees"
        raise bad_input(where, what, "export the track again: the two may be swapped or cut off")
    low, high = HEIGHTS_M
    wild = np.isfinite(rows[:, 2]) & ~((rows[:, 2] >= low) & (rows[:, 2] <= high))
    if wild.any():
        number = int(wild.argmax())
        what = f"point {number + 1} has a height of {rows[number, 2]:.9g} m, outside {low:g} to {high:g} m"
        raise bad_input(where, what, "export the track again with heights in metres")
    return rows


def _reference(rows: Floats, reference: HeightReference | None, where: str) -> HeightReference | None:
    """Heights count where every point has one; a track with some is told, one with none is flown at the plan's."""
    missing = int(np.isnan(rows[:, 2]).sum())
    if reference is None or missing == len(rows):
        return None
    if missing:
        what = f"{missing} of {len(rows)} points have no height"
        raise bad_input(where, what, "export the track with heights at all points, or at none")
    return reference


def _metres(rows: Floats, *, with_heights: bool) -> Floats:
    """Metres good enough to thin by, unbroken where a track crosses the 180th meridian."""
    lat, lon = rows[:, 0], np.degrees(np.unwrap(np.radians(rows[:, 1])))
    east = (lon - lon[0]) * METRES_PER_DEGREE * np.cos(np.radians(lat[0]))
    columns = [east, (lat - lat[0]) * METRES_PER_DEGREE]
    return np.column_stack([*columns, rows[:, 2]] if with_heights else columns)
