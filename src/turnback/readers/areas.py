"""Read areas where people may be: GeoJSON polygons (RFC 7946), into local metres around the launch point."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError, bad_input
from turnback.physics.geodesy import east_north_m
from turnback.readers.geojson import Geometry, positions, read_geojson_file
from turnback.records.areas import PeopleArea, PeopleAreas

Floats = NDArray[np.float64]

MOST_VERTICES: Final = 10_000  # of all areas together; our choice: a route is held against every edge
MOST_FAULTS: Final = 20


def read_areas(path: Path, lat_deg: float, lon_deg: float, where: str) -> PeopleAreas:
    """Return the areas of a GeoJSON file.

    Parameters
    ----------
    path : Path
    lat_deg, lon_deg : float
        The launch point, WGS 84, which becomes (0, 0).
    where : str
        File and field that named it, for errors.

    Returns
    -------
    PeopleAreas
        One area for each polygon, in the order of the file; a feature's property ``name`` names its areas.

    Raises
    ------
    InputError
        With the faults of all geometries: no polygon, a ring that is not closed, a place far from the launch point,
        too many vertices.
    """
    geometries = read_geojson_file(path, where)
    areas: list[PeopleArea] = []
    faults: list[Fault] = []
    vertices = 0
    for geometry in geometries:
        try:
            read = [
                PeopleArea(geometry.name, _rings(rings, place, lat_deg, lon_deg))
                for rings, place in _polygons(geometry)
            ]
        except InputError as error:
            faults += error.faults
            if len(faults) >= MOST_FAULTS:
                break
            continue
        areas += read
        vertices += sum(len(ring) for area in read for ring in area.rings)
        if vertices > MOST_VERTICES:
            what = f"its areas have more than {MOST_VERTICES} vertices"
            raise bad_input(where, what, "keep the areas near the site, or simplify them")
    if faults:
        raise InputError(*faults)
    return PeopleAreas(tuple(areas))


def _polygons(geometry: Geometry) -> list[tuple[Any, str]]:
    """The rings of each polygon of a geometry, and where it stands."""
    if geometry.kind == "Polygon":
        return [(geometry.coordinates, geometry.where)]
    if geometry.kind == "MultiPolygon":
        if not isinstance(geometry.coordinates, list) or not geometry.coordinates:
            raise bad_input(geometry.where, "it holds no polygon", "draw one, or take the feature out")
        return [(rings, f"{geometry.where} polygon {n + 1}") for n, rings in enumerate(geometry.coordinates)]
    raise bad_input(geometry.where, f"a {geometry.kind} has no area", "draw a polygon around the place")


def _rings(rings: Any, where: str, lat_deg: float, lon_deg: float) -> tuple[Floats, ...]:
    if not isinstance(rings, list) or not rings:
        raise bad_input(where, "the polygon has no ring", "draw it, or take the feature out")
    return tuple(_ring(ring, f"{where} ring {n + 1}", lat_deg, lon_deg) for n, ring in enumerate(rings))


def _ring(ring: Any, where: str, lat_deg: float, lon_deg: float) -> Floats:
    """A linear ring: closed, with four or more positions (RFC 7946, section 3.1.6)."""
    places = positions(ring, MOST_VERTICES, where)[:, :2]
    if len(places) < 4:
        raise bad_input(where, f"a ring of {len(places)} positions encloses nothing", "give four or more")
    if not np.array_equal(places[0], places[-1]):
        raise bad_input(where, "the ring is not closed", "repeat its first position at its end")
    try:
        east_m, north_m = east_north_m(places[:, 1], places[:, 0], lat_deg, lon_deg)
    except InputError as error:
        do = "write longitude first, then latitude, and keep only areas near the site"
        raise InputError(*(Fault(where, fault.what, do) for fault in error.faults)) from error
    return np.column_stack([east_m, north_m])
