"""From a route as written in a plan to points in local metres."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError, bad_input
from turnback.physics.geodesy import east_north_m
from turnback.readers.known_keys import Place
from turnback.readers.tracks import Track, read_track
from turnback.records.aircraft import HeightAbove
from turnback.records.plan import RouteFile, Waypoint
from turnback.records.route import HeightReference, Route
from turnback.records.site import SiteFile

Floats = NDArray[np.float64]
Where = Callable[[Place], str]
Launch = tuple[float, float]

FARTHEST_M: Final = 20_000.0  # as for a straight route
CLOSED_WITHIN_M: Final = 30.0  # our choice: a pilot who ends this near has come home

_REFERENCE: Final = {HeightAbove.LAUNCH: HeightReference.LAUNCH, HeightAbove.GROUND: HeightReference.GROUND}


def read_route(route: RouteFile, site: SiteFile, root: Path, where: Where) -> Route:
    """Return a plan's route in local metres, whichever of its three forms is written.

    Parameters
    ----------
    route : RouteFile
        Free of contradictions, as `turnback.readers.plan_files.read_plan` leaves it.
    site : SiteFile
        For the launch point, and for what is known of its height.
    root : Path
        The plan's folder; the path of a track counts from it.
    where : callable
        From a place of the plan to file and field, for errors.

    Raises
    ------
    InputError
        For a point too far away, a track that cannot be read, or heights that cannot be placed.
    """
    if route.file is not None:
        return _from_track(route, site, root / route.file, where)
    if route.waypoints is not None:
        return _from_waypoints(route, route.waypoints, _launch(site), where)
    return _straight(route, where)


def _straight(route: RouteFile, where: Where) -> Route:
    if route.distance_m is None or route.bearing_deg is None or route.height_m is None:
        raise bad_input(where(("route",)), "no way is given", "write distance_m, bearing_deg and height_m")
    bearing = np.radians(route.bearing_deg)
    east_m, north_m = route.distance_m * np.sin(bearing), route.distance_m * np.cos(bearing)
    heights = np.full(2, route.height_m)
    return _route(
        route, np.array([0.0, east_m]), np.array([0.0, north_m]), heights, _REFERENCE[route.height_above], straight=True
    )


def _from_waypoints(route: RouteFile, points: tuple[Waypoint, ...], launch: Launch | None, where: Where) -> Route:
    east_north: list[Launch] = []
    faults: list[Fault] = []
    for number, point in enumerate(points):
        place = where(("route", "waypoints", number))
        try:
            east_north.append(_metres(point, launch, place))
        except InputError as error:
            faults += error.faults
    if faults or not east_north:
        raise InputError(*faults or [Fault(where(("route", "waypoints")), "the list is empty", "give a waypoint")])
    east_m, north_m = np.array(east_north).T
    heights = np.array([point.height_m for point in points], dtype=np.float64)
    return _route(route, east_m, north_m, heights, _REFERENCE[route.height_above])


def _metres(point: Waypoint, launch: Launch | None, place: str) -> Launch:
    if point.east_m is not None and point.north_m is not None:
        east_m, north_m = np.array([point.east_m]), np.array([point.north_m])
    elif point.latitude_deg is not None and point.longitude_deg is not None and launch is not None:
        east_m, north_m = _local(np.array([point.latitude_deg]), np.array([point.longitude_deg]), launch, place)
    else:
        what = "it needs either east_m and north_m, or latitude_deg and longitude_deg"
        raise bad_input(place, what, "give one pair, both values of it")
    _verify_near(east_m, north_m, place)
    return float(east_m[0]), float(north_m[0])


def _from_track(route: RouteFile, site: SiteFile, path: Path, where: Where) -> Route:
    place, launch = where(("route", "file")), _launch(site)
    if launch is None:
        what = "a track needs to know where the launch point is"
        raise bad_input(place, what, "add latitude_deg and longitude_deg to the site")
    track = read_track(path, place)
    east_m, north_m = _local(track.lat_deg, track.lon_deg, launch, place)
    _verify_near(east_m, north_m, place)
    heights, reference = _track_heights(track, route, site, path.name, where)
    return _route(route, east_m, north_m, heights, reference)


def _track_heights(
    track: Track, route: RouteFile, site: SiteFile, name: str, where: Where
) -> tuple[Floats, HeightReference]:
    """A height written in the plan counts for the whole track; otherwise the track's own heights do."""
    if route.height_m is not None:
        return np.full(track.lat_deg.size, route.height_m), _REFERENCE[route.height_above]
    if track.height_m is None or track.height_reference is None:
        do = "write height_m beside the file: metres above the launch point"
        raise bad_input(where(("route", "file")), f"{name} has no heights", do)
    sea_level = track.height_reference is HeightReference.SEA_LEVEL
    if sea_level and site.terrain is None and site.height_m is None:
        what = f"{name} counts its heights from sea level, but the launch point's height is not known"
        do = "add a terrain file or height_m to the site, or height_m to the route"
        raise bad_input(where(("route", "file")), what, do)
    return track.height_m, track.height_reference


def _launch(site: SiteFile) -> Launch | None:
    if site.latitude_deg is None or site.longitude_deg is None:
        return None
    return site.latitude_deg, site.longitude_deg


def _local(lat_deg: Floats, lon_deg: Floats, launch: Launch, place: str) -> tuple[Floats, Floats]:
    try:
        return east_north_m(lat_deg, lon_deg, *launch)
    except InputError as error:
        raise InputError(*(Fault(place, fault.what, fault.do) for fault in error.faults)) from error


def _verify_near(east_m: Floats, north_m: Floats, place: str) -> None:
    away_m = float(np.hypot(east_m, north_m).max())
    if away_m > FARTHEST_M:
        what = f"it leads {away_m / 1000.0:.1f} km from the launch point, more than {FARTHEST_M / 1000.0:g} km"
        raise bad_input(place, what, "correct the point or the launch point: latitude and longitude are often swapped")


def _route(
    route: RouteFile,
    east_m: Any,
    north_m: Any,
    height_m: Floats,
    reference: HeightReference,
    *,
    straight: bool = False,
) -> Route:
    away_m = np.hypot(east_m, north_m)
    closes = away_m.size > 1 and away_m[-1] <= CLOSED_WITHIN_M and away_m.max() > 2.0 * away_m[-1]
    return Route(
        east_m=east_m,
        north_m=north_m,
        height_m=height_m,
        height_reference=reference,
        speed_mps=route.speed_mps,
        hover_s=route.hover_s or 0.0,
        straight=straight,
        closes_at_launch=bool(closes) and not straight,
    )
