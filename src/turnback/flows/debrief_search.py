"""What is known of fall and wind beside the last place of a lost aircraft."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from turnback.assess.search_area import SearchFacts
from turnback.flows.flight import Flight
from turnback.physics.fall import terminal_mps
from turnback.physics.geodesy import LOCAL_REACH_M, distance_m, east_north_m
from turnback.physics.terrain_grid import TerrainGrid, inside
from turnback.records.case import Case
from turnback.records.happened import EventKind, RecordAnswer


def search_facts(
    read: RecordAnswer | None, case: Case | None, took_off_deg: tuple[float, float] | None = None
) -> SearchFacts:
    """Return speed of fall, wind and ground, by the record before the plan.

    Parameters
    ----------
    read : RecordAnswer or None
    case : Case or None
    took_off_deg : tuple of float or None
        Latitude and longitude of where it took off, from which the area counts; the plan's launch point if left out.
    """
    wind, blows_from = _wind_of_record(read)
    if case is None:
        return SearchFacts(wind_mps=wind, wind_from_deg=blows_from)
    flight = Flight(case)
    draws = flight.craft.draws
    falls = terminal_mps(draws.mass_kg, draws["aircraft.drag_area_m2"], draws.density_kg_m3)
    low, high = (float(each) for each in np.quantile(falls, [0.05, 0.95]))
    if wind is None:
        wind = float(np.median(draws["site.wind_mps"]))
        east, north = (float(np.mean(part)) for part in draws.wind_to())
        known = math.hypot(east, north) > 0.5  # a direction that is not known is drawn from all around
        blows_from = math.degrees(math.atan2(-east, -north)) % 360.0 if known else None
    return SearchFacts((low, high), wind, blows_from, _from_take_off(flight.ground, case, took_off_deg))


def _from_take_off(ground: TerrainGrid, case: Case, took_off_deg: tuple[float, float] | None) -> TerrainGrid | None:
    """Return the plan's ground counted from where it took off; None where that lies outside it."""
    lat, lon = case.plan.site.latitude_deg, case.plan.site.longitude_deg
    if took_off_deg is None or not isinstance(lat, float) or not isinstance(lon, float):
        return ground
    if distance_m(lat, lon, *took_off_deg) > LOCAL_REACH_M:
        return None
    east_m, north_m = (float(each) for each in east_north_m(*took_off_deg, lat, lon))
    moved = replace(ground, x_west_m=ground.x_west_m - east_m, y_north_m=ground.y_north_m - north_m)
    return moved if bool(inside(moved, 0.0, 0.0).all()) else None


def _wind_of_record(read: RecordAnswer | None) -> tuple[float | None, float | None]:
    winds = [] if read is None else [each for each in read.events if each.kind is EventKind.WIND]
    whole = [each for each in winds if each.words.get("part") == "whole"]
    if not whole:
        return None, None
    return whole[-1].values["wind_mps"], math.degrees(whole[-1].values["from_rad"]) % 360.0
