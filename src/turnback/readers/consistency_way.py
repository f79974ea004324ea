"""Contradictions within site, weather and route."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from turnback.base.errors import Fault
from turnback.readers.known_keys import Place
from turnback.records.common import Answer
from turnback.records.plan import RouteFile, Waypoint
from turnback.records.site import Canopy, SiteFile, WeatherFile

Where = Callable[[Place], str]

NEAREST_TURN_M: Final = 5.0  # as for a straight route: nearer is no route


def site_faults(site: SiteFile, where: Where) -> list[Fault]:
    """Return what contradicts itself in a site."""
    faults = []
    if (site.latitude_deg is None) is not (site.longitude_deg is None):
        missing = "longitude_deg" if site.longitude_deg is None else "latitude_deg"
        there = "latitude" if site.longitude_deg is None else "longitude"
        faults.append(Fault(where(("site", missing)), f"it is missing beside the {there}", f"add {missing}"))
    launch = site.latitude_deg is not None or site.longitude_deg is not None
    needs = (("terrain", site.terrain, "a terrain file"), ("people_areas", site.people_areas, "a file of people areas"))
    for key, named, words in needs:
        if named is not None and not launch:
            what = f"{words} needs to know where the launch point is"
            faults.append(Fault(where(("site", key)), what, "add latitude_deg and longitude_deg"))
    if site.terrain is not None and site.ridges:
        what = "ridges are typed in although there is a terrain file"
        faults.append(Fault(where(("site", "ridges")), what, "keep one of the two"))
    if site.terrain is not None and site.height_m is not None:
        what = "a height is typed in although the terrain file gives it"
        faults.append(Fault(where(("site", "height_m")), what, "leave it out"))
    if site.canopy is Canopy.NONE and site.canopy_height_m is not None:
        what = f'trees {site.canopy_height_m.value:g} m high are entered, but canopy is "none"'
        faults.append(Fault(where(("site", "canopy_height_m")), what, "correct one of the two"))
    limits = site.local_limits
    entered = limits.height_m is not None or limits.distance_m is not None or limits.in_sight is not Answer.UNKNOWN
    if entered and limits.looked_up is not Answer.YES:
        what = f'limits are entered, but looked_up is "{limits.looked_up.value}"'
        do = 'write looked_up = "yes" once you have looked them up for this place'
        faults.append(Fault(where(("site", "local_limits", "looked_up")), what, do))
    return faults


def weather_faults(weather: WeatherFile, where: Where) -> list[Fault]:
    """Return what contradicts itself in the weather."""
    faults = []
    wind, gust = weather.wind_mps, weather.gust_mps
    if weather.metar is not None:
        for key in ("wind_mps", "gust_mps", "wind_from_deg"):
            if getattr(weather, key) is not None:
                what = "wind is typed in although there is a METAR"
                faults.append(Fault(where(("weather", key)), what, "keep the one you trust"))
    elif weather.metar_distance_km is not None:
        what = "a station's distance is given, but no METAR"
        faults.append(Fault(where(("weather", "metar_distance_km")), what, "paste the METAR, or leave it out"))
    if weather.metar is None and wind is None:
        for key in ("gust_mps", "wind_from_deg"):
            if getattr(weather, key) is not None:
                words = "gusts are" if key == "gust_mps" else "a direction is"
                faults.append(Fault(where(("weather", key)), f"{words} given, but no wind", "add wind_mps"))
    if wind is not None and gust is not None and wind.value == 0.0 < gust.value:
        what = f"gusts of {gust.value:g} m/s are given in no wind"
        faults.append(
            Fault(where(("weather", "wind_mps")), what, "enter the mean wind: half to two thirds of the gusts")
        )
    if wind is not None and gust is not None and gust.value < wind.value:
        what = f"gusts of {gust.value:g} m/s are below the mean wind of {wind.value:g} m/s"
        faults.append(Fault(where(("weather", "gust_mps")), what, "exchange the two, or correct one"))
    return faults


def route_faults(route: RouteFile, site: SiteFile | None, where: Where) -> list[Fault]:
    """Return what contradicts itself in a route; `site` is None where it is not sound."""
    straight = route.distance_m is not None or (route.bearing_deg is not None and _written(route) == 0)
    ways = [words for words, given in (
        ("distance_m", straight), ("waypoints", route.waypoints is not None), ("file", route.file is not None),
    ) if given]  # fmt: skip
    if len(ways) != 1:
        what = f"the way is given {len(ways)} times, by {' and '.join(ways)}" if ways else "no way is given"
        do = "keep one" if ways else "write distance_m, bearing_deg and height_m, or waypoints, or the file of a track"
        return [Fault(where(("route",)), what, do)]
    if straight:
        return _straight_faults(route, where)
    faults = []
    if route.bearing_deg is not None:
        what = f"a bearing is given beside {ways[0]}"
        faults.append(Fault(where(("route", "bearing_deg")), what, "leave it out"))
    no_launch = site is not None and (site.latitude_deg is None or site.longitude_deg is None)
    if route.file is not None:
        if no_launch:
            what = "a track needs to know where the launch point is"
            faults.append(Fault(where(("route", "file")), what, "add latitude_deg and longitude_deg to the site"))
        return faults
    if route.height_m is not None:
        what = "a height is given beside waypoints, which have their own"
        faults.append(Fault(where(("route", "height_m")), what, "leave it out"))
    if not route.waypoints:
        faults.append(Fault(where(("route", "waypoints")), "the list is empty", "give at least one waypoint"))
    for number, point in enumerate(route.waypoints or ()):
        faults += _waypoint_faults(point, where(("route", "waypoints", number)), no_launch=no_launch)
    return faults


def _written(route: RouteFile) -> int:
    return (route.waypoints is not None) + (route.file is not None)


def _straight_faults(route: RouteFile, where: Where) -> list[Fault]:
    rows = (
        ("distance_m", route.distance_m, "how far out, in metres"),
        ("bearing_deg", route.bearing_deg, "which way, in degrees clockwise from true north"),
        ("height_m", route.height_m, "how high, in metres above the launch point"),
    )
    return [
        Fault(where(("route", key)), "it is missing", f"add {key}: {words}")
        for key, value, words in rows
        if value is None
    ]


def _waypoint_faults(point: Waypoint, place: str, *, no_launch: bool) -> list[Fault]:
    metres = (point.east_m, point.north_m)
    degrees = (point.latitude_deg, point.longitude_deg)
    given = [pair for pair in (metres, degrees) if any(value is not None for value in pair)]
    if len(given) != 1 or None in given[0]:
        what = "it needs either east_m and north_m, or latitude_deg and longitude_deg"
        return [Fault(place, what, "give one pair, both values of it")]
    if given[0] is degrees and no_launch:
        what = "latitude and longitude need to know where the launch point is"
        return [Fault(place, what, "add latitude_deg and longitude_deg to the site")]
    return []
