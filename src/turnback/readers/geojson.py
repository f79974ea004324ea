"""Open a stranger's GeoJSON: small, not nested without end, and taken apart into plain geometries.

Source: RFC 7946, sections 3.1 (geometries), 3.2 (features), 3.3 (collections), 4 (WGS 84 degrees, longitude first).
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import InputError, bad_input
from turnback.readers.toml_files import read_small

Floats = NDArray[np.float64]

MOST_BYTES: Final = 4 * 1024**2  # our choice: fifty thousand positions with every digit that programs write
DEEPEST: Final = 12  # brackets; our choice: two collections around a polygon with holes need eleven
MOST_GEOMETRIES: Final = 2000  # our choice
LONGEST_NAME: Final = 80

_WGS84: Final = ("CRS84", "4326")
_GEOMETRIES: Final = frozenset(
    {"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon", "GeometryCollection"}
)


@dataclass(frozen=True, slots=True)
class Geometry:
    """One geometry that is no collection: its kind, its coordinates as read, its feature's name, where it stands."""

    kind: str
    coordinates: Any
    name: str
    where: str


def read_geojson(data: bytes, where: str) -> list[Geometry]:
    """Return the geometries of a GeoJSON text, collections taken apart.

    Parameters
    ----------
    data : bytes
        UTF-8.
    where : str
        File and field that named it, for errors.

    Raises
    ------
    InputError
        If it is too large, not JSON, nested too deep, not GeoJSON, in another coordinate system, or without
        any geometry.
    """
    if len(data) > MOST_BYTES:
        raise bad_input(
            where, f"it is larger than {MOST_BYTES // 1024**2} MB", "export it simpler, or only what is near"
        )
    document = _parsed(data, where)
    if not isinstance(document, dict):
        raise bad_input(where, "it is JSON, but no GeoJSON object", "give a Feature or a FeatureCollection")
    _verify_depth(document, where)
    _verify_system(document, where)
    found: list[Geometry] = []
    for geometry in _geometries(document, "", where):
        found.append(geometry)
        if len(found) > MOST_GEOMETRIES:
            raise bad_input(where, f"it holds more than {MOST_GEOMETRIES} geometries", "keep those near the site")
    if not found:
        raise bad_input(where, "it holds no geometry", "draw one, or leave the file out")
    return found


def read_geojson_file(path: Path, where: str) -> list[Geometry]:
    """Return the geometries of a GeoJSON file; errors as in `read_geojson`, and where it is no ordinary small file."""
    return read_geojson(read_small(path, MOST_BYTES, where), where)


def positions(coordinates: Any, most: int, where: str) -> Floats:
    """Return a list of positions as an array.

    Parameters
    ----------
    coordinates : any
        As read from JSON.
    most : int
        Positions allowed.
    where : str
        For errors.

    Returns
    -------
    ndarray
        Shape ``(n, 3)``: longitude, latitude, height; NaN where a position has no height. Longitude is within -180 to
        180 and latitude within -90 to 90.

    Raises
    ------
    InputError
        For too many positions, or the first that is none.
    """
    if not isinstance(coordinates, list):
        raise bad_input(where, "its coordinates are not a list", "write [[longitude, latitude], ...]")
    if len(coordinates) > most:
        raise bad_input(where, f"it has more than {most} positions", "simplify it, or keep only what is near the site")
    rows = np.full((len(coordinates), 3), np.nan)
    for number, position in enumerate(coordinates):
        if not isinstance(position, list) or len(position) < 2 or not all(map(_is_number, position[:3])):
            raise bad_input(
                where, f"position {number + 1} is not [longitude, latitude]", "write two or three plain numbers"
            )
        rows[number, : len(position[:3])] = position[:3]
    bad = ~((np.abs(rows[:, 0]) <= 180.0) & (np.abs(rows[:, 1]) <= 90.0) & ~np.isinf(rows[:, 2]))
    if bad.any():
        number = int(bad.argmax())
        lon, lat = rows[number, :2]
        what = f"position {number + 1} ({lon:.9g}, {lat:.9g}) is no longitude and latitude in degrees"
        raise bad_input(where, what, "write longitude first, then latitude, in WGS 84 degrees")
    return rows


def _is_number(value: Any) -> bool:
    return isinstance(value, float)  # whole numbers are read as floats too; true and false are not numbers


def _parsed(data: bytes, where: str) -> Any:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise bad_input(where, "it is not UTF-8 text", "save the file as UTF-8") from error
    try:  # a whole number of a million digits becomes infinity, not an hour's work
        return json.loads(text, parse_int=float, parse_constant=_no_constant)
    except json.JSONDecodeError as error:
        what = f"line {error.lineno}, column {error.colno} is not JSON"
        raise bad_input(where, what, "export the file again as GeoJSON") from error
    except RecursionError as error:
        raise _too_deep(where) from error
    except ValueError as error:
        raise bad_input(where, "a number in it cannot be used", "write ordinary numbers") from error


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _too_deep(where: str) -> InputError:
    return bad_input(where, f"its brackets are nested more than {DEEPEST} deep", "export plain polygons or lines")


def _verify_depth(document: Any, where: str) -> None:
    level = [document]
    for _ in range(DEEPEST):
        level = [
            inner
            for value in level
            for inner in (value.values() if isinstance(value, dict) else value)
            if isinstance(inner, (dict, list))
        ]
        if not level:
            return
    raise _too_deep(where)


def _verify_system(document: dict[str, Any], where: str) -> None:
    """An older draft let a file name another coordinate system; RFC 7946 took that out (section 4)."""
    if document.get("crs") is None:
        return
    if not any(name in json.dumps(document["crs"]) for name in _WGS84):
        raise bad_input(where, "it names a coordinate system of its own", "export it again in WGS 84 (EPSG:4326)")


def _geometries(node: Any, name: str, where: str) -> Iterator[Geometry]:
    """Take collections and features apart. Depth was verified, so this ends."""
    kind = node.get("type") if isinstance(node, dict) else None
    if kind == "FeatureCollection":
        for number, feature in enumerate(_members(node, "features", where)):
            if not isinstance(feature, dict) or feature.get("type") != "Feature":
                raise bad_input(f"{where} feature {number + 1}", "it is no Feature", "export the file again")
            yield from _geometries(feature, name, f"{where} feature {number + 1}")
    elif kind == "Feature":
        if node.get("geometry") is None:
            raise bad_input(where, "it has no geometry", "draw one, or take the feature out")
        yield from _geometries(node["geometry"], _name(node.get("properties")), where)
    elif kind == "GeometryCollection":
        for number, geometry in enumerate(_members(node, "geometries", where)):
            yield from _geometries(geometry, name, f"{where} geometry {number + 1}")
    elif isinstance(kind, str) and kind in _GEOMETRIES:
        yield Geometry(kind, node.get("coordinates"), name, where)
    else:
        said = repr(kind[:40]) if isinstance(kind, str) else "nothing"
        raise bad_input(where, f"its type is {said}, which GeoJSON does not know", "export the file again as GeoJSON")


def _members(node: dict[str, Any], key: str, where: str) -> list[Any]:
    members = node.get(key)
    if not isinstance(members, list):
        raise bad_input(where, f"{key} is not a list", "export the file again as GeoJSON")
    return members


def _name(properties: Any) -> str:
    """The feature's name as one printable line; it ends up in a report."""
    name = properties.get("name") if isinstance(properties, dict) else None
    if isinstance(name, float):
        name = f"{name:g}"
    if not isinstance(name, str):
        return ""
    return "".join(letter for letter in " ".join(name.split()) if letter.isprintable())[:LONGEST_NAME]
