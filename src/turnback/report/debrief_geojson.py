"""The search area as GeoJSON: WGS 84 longitude and latitude, as RFC 7946 asks; only where places are allowed.

Source: RFC 7946, The GeoJSON Format (2016), sections 3.1.6 (outer rings run anticlockwise, closed), 3.1.9 (shapes that
cross the antimeridian are cut), 4 (WGS 84, longitude first), 11.2 (decimals).
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.debrief import SearchArea
from turnback.report.brief_json import json_text
from turnback.report.language import mark, text
from turnback.report.map_geojson import DECIMALS, closed_ring, cut, degrees_of

Array = NDArray[np.float64]
Launch = tuple[float, float]
NAMES: Final[dict[str, str]] = {
    "launch-point": mark("launch"),
    "last-known-place": mark("the last that is known"),
    "most-likely-place": mark("where it most likely lies"),
    "half": mark("holds half of what can be"),
    "nine-tenths": mark("holds nine tenths"),
}


def search_geojson(search: SearchArea) -> str | None:
    """Return launch point, last known and most likely place, and both outlines as a FeatureCollection.

    Parameters
    ----------
    search : SearchArea

    Returns
    -------
    str or None
        GeoJSON text; None where no place on the globe is known.
    """
    if search.launch_latitude_deg is None or search.launch_longitude_deg is None:
        return None
    launch = (search.launch_latitude_deg, search.launch_longitude_deg)
    features = [
        _point(0.0, 0.0, "launch-point", launch),
        _point(search.last_x_m, search.last_y_m, "last-known-place", launch),
        _point(search.centre_x_m, search.centre_y_m, "most-likely-place", launch),
        _outline(search.half_x_m, search.half_y_m, "half", 0.5, launch),
        _outline(search.most_x_m, search.most_y_m, "nine-tenths", 0.9, launch),
    ]
    return json_text({"type": "FeatureCollection", "features": features})


def _point(x_m: float, y_m: float, kind: str, launch: Launch) -> dict[str, Any]:
    lon, lat = cut(degrees_of(np.array([[x_m, y_m]]), launch))[0][0]
    place = [round(lon, DECIMALS), round(lat, DECIMALS)]
    return _feature({"type": "Point", "coordinates": place}, kind, {})


def _outline(x_m: Array, y_m: Array, kind: str, chance: float, launch: Launch) -> dict[str, Any]:
    points = np.column_stack([x_m, y_m])
    if np.allclose(points[0], points[-1]):
        points = points[:-1]
    following = np.roll(points, -1, axis=0)
    if float(np.sum(points[:, 0] * following[:, 1] - following[:, 0] * points[:, 1])) < 0.0:
        points = points[::-1]
    rings = [ring for ring in (closed_ring(part) for part in cut(degrees_of(points, launch))) if len(ring) >= 4]
    shape: dict[str, Any] | None = None
    if len(rings) == 1:
        shape = {"type": "Polygon", "coordinates": [rings[0]]}
    elif rings:
        shape = {"type": "MultiPolygon", "coordinates": [[ring] for ring in rings]}
    return _feature(shape, kind, {"chance": chance})


def _feature(shape: dict[str, Any] | None, kind: str, more: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "geometry": shape, "properties": {"kind": kind, "name": text(NAMES[kind]), **more}}
