"""The turn-back ring as GeoJSON: WGS 84 longitude and latitude, as RFC 7946 asks.

Source: RFC 7946, The GeoJSON Format (2016), sections 3.1.6 (outer rings run anticlockwise, closed), 3.1.9 (shapes that
cross the antimeridian are cut), 4 (WGS 84, longitude first), 11.2 (decimals).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.physics.geodesy import lat_lon_deg
from turnback.records.home_map import HomeMap, TurnBackRing
from turnback.report.brief_json import json_text
from turnback.report.cautions import cautions
from turnback.report.five import LEAST_TURN_BACK_M
from turnback.report.language import text

DECIMALS: Final = 7  # a hundredth of a metre
METRE_DECIMALS: Final = 2
HALF_TURN_DEG: Final = 180.0

Array = NDArray[np.float64]
Point = tuple[float, float]


def ring_geojson(found: HomeMap) -> str | None:
    """Return the turn-back ring, its launch point and the rings of other heights as a FeatureCollection.

    Parameters
    ----------
    found : HomeMap

    Returns
    -------
    str or None
        GeoJSON text; None where the map has no place on Earth: on typed ground, or redacted.

    Notes
    -----
    A ring is a polygon. Where on some bearings it comes home from nowhere, each stretch between them is a polygon of
    its own that meets the launch point; where no stretch is left, the geometry is null.
    """
    if found.launch_lat_deg is None or found.launch_lon_deg is None:
        return None
    launch = (found.launch_lat_deg, found.launch_lon_deg)
    features = [
        _ring(found.ring, found.height_m, found.height_above, "turn-back ring", launch),
        _launch(launch),
        *(_ring(each.ring, each.height_m, found.height_above, "ring of a height", launch) for each in found.heights),
    ]
    return json_text({"type": "FeatureCollection", "features": features})


def _launch(launch: Point) -> dict[str, Any]:
    place = [round(launch[1], DECIMALS), round(launch[0], DECIMALS)]
    return _feature({"type": "Point", "coordinates": place}, {"kind": "launch point", "name": text("launch")})


def _feature(geometry: dict[str, Any] | None, properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "Feature", "geometry": geometry, "properties": properties}


def _ring(ring: TurnBackRing, height_m: float, above: str, kind: str, launch: Point) -> dict[str, Any]:
    far_m = [round(float(far), METRE_DECIMALS) for far in np.nan_to_num(ring.turn_back_m)]
    properties = {
        "kind": kind,
        "chance": ring.chance,
        "height_m": height_m,
        "height_above": above,
        "share_home": ring.share_home,
        "bearing_deg": [float(bearing) for bearing in ring.bearing_deg],
        "turn_back_m": far_m,
        "reason": list(ring.reason),
        "units": {"bearing_deg": "degrees from true north", "turn_back_m": "m", "height_m": "m"},
        "cautions": list(cautions()),
    }
    return _feature(_geometry(ring, launch), properties)


def _geometry(ring: TurnBackRing, launch: Point) -> dict[str, Any] | None:
    """Return the polygon of a ring, or several; None where it encloses nothing."""
    shapes = [part for stretch in _stretches(ring) for part in cut(degrees_of(stretch, launch))]
    polygons = [[closed] for closed in map(closed_ring, shapes) if len(closed) >= 4]
    if not polygons:
        return None
    if len(polygons) == 1:
        return {"type": "Polygon", "coordinates": polygons[0]}
    return {"type": "MultiPolygon", "coordinates": polygons}


def _stretches(ring: TurnBackRing) -> list[Array]:
    """Return the outlines in local metres, anticlockwise, shape ``(n, 2)`` each: one, or one for each stretch."""
    far_m, angle = np.nan_to_num(ring.turn_back_m), np.deg2rad(ring.bearing_deg)
    points = np.column_stack([far_m * np.sin(angle), far_m * np.cos(angle)])[::-1]  # bearings run clockwise
    open_ = (far_m >= LEAST_TURN_BACK_M)[::-1]
    if open_.all():
        return [points]
    if not open_.any():
        return []
    first = int(np.flatnonzero(~open_)[0])  # begin where nothing is open, so that no stretch goes over the end
    points, open_ = np.roll(points, -first, axis=0), np.roll(open_, -first)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], open_, [False]]).astype(np.int8)))
    pairs = zip(edges[::2], edges[1::2], strict=True)
    return [np.vstack([np.zeros((1, 2)), points[start:stop]]) for start, stop in pairs if stop - start > 1]


def degrees_of(points: Array, launch: Point) -> list[Point]:
    """Return longitudes and latitudes; longitudes run on past half a turn, so that the outline stays whole."""
    lat, lon = lat_lon_deg(points[:, 0], points[:, 1], *launch)
    start = (launch[1] + HALF_TURN_DEG) % (2.0 * HALF_TURN_DEG) - HALF_TURN_DEG
    lon = start + np.remainder(lon - start + HALF_TURN_DEG, 2.0 * HALF_TURN_DEG) - HALF_TURN_DEG
    return list(zip(lon.tolist(), lat.tolist(), strict=True))


def closed_ring(shape: Sequence[Point]) -> list[list[float]]:
    """Return the outline rounded, without doubled points, its first point repeated at the end."""
    rounded = [[round(lon, DECIMALS), round(lat, DECIMALS)] for lon, lat in shape]
    kept = [point for at, point in enumerate(rounded) if point != rounded[at - 1]]
    return [*kept, kept[0]] if kept else []


def cut(shape: Sequence[Point]) -> list[list[Point]]:
    """Return an outline cut at the antimeridian, each part with longitudes from -180 to 180.

    Parameters
    ----------
    shape : sequence of (lon, lat)
        Simple and not closed; longitudes may run past 180 or -180 by less than a turn, on one side.

    Notes
    -----
    The line is met an even number of times. Sorted along it, the meetings pair up: between the two of a pair the line
    lies inside the outline, and there each side gets its new edge.
    """
    edge = HALF_TURN_DEG if max(lon for lon, _ in shape) > HALF_TURN_DEG else -HALF_TURN_DEG
    beyond = [(lon > edge) if edge > 0.0 else (lon < edge) for lon, _ in shape]
    if not any(beyond):
        return [list(shape)]
    shift = -2.0 * edge
    if all(beyond):
        return [[(lon + shift, lat) for lon, lat in shape]]
    chains, meetings = _chains(shape, beyond, edge)
    order = sorted(range(len(meetings)), key=meetings.__getitem__)
    partner: dict[int, int] = {}
    for one, other in zip(order[::2], order[1::2], strict=True):
        partner[one], partner[other] = other, one
    parts, left = [], set(range(len(chains)))
    while left:
        at = min(left)
        outline: list[Point] = []
        while at in left:  # a chain ends at the next one's meeting; the partner of that is where this side goes on
            left.remove(at)
            outline += chains[at]
            at = partner[(at + 1) % len(chains)]
        past = max(abs(lon) for lon, _ in outline) > HALF_TURN_DEG
        parts.append([(lon + shift, lat) for lon, lat in outline] if past else outline)
    return parts


def _chains(shape: Sequence[Point], beyond: Sequence[bool], edge: float) -> tuple[list[list[Point]], list[float]]:
    """Return the stretches between meetings with the line, and the latitude of each meeting; chain i starts at i."""
    count = len(shape)
    meets = [at for at in range(count) if beyond[at] != beyond[(at + 1) % count]]
    meetings = []
    for at in meets:
        (lon, lat), (lon_next, lat_next) = shape[at], shape[(at + 1) % count]
        meetings.append(lat + (lat_next - lat) * (edge - lon) / (lon_next - lon))
    chains = []
    for number, at in enumerate(meets):
        stop = meets[(number + 1) % len(meets)]
        between = [shape[(at + 1 + step) % count] for step in range((stop - at) % count or count)]
        chains.append([(edge, meetings[number]), *between, (edge, meetings[(number + 1) % len(meets)])])
    return chains, meetings
