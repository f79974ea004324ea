"""What is known of fall and wind beside the last place of a lost aircraft."""

from __future__ import annotations

import math

import numpy as np

from turnback.assess.search_area import SearchFacts
from turnback.flows.flight import Flight
from turnback.physics.fall import terminal_mps
from turnback.records.case import Case
from turnback.records.happened import EventKind, RecordAnswer


def search_facts(read: RecordAnswer | None, case: Case | None) -> SearchFacts:
    """Return speed of fall, wind and ground, by the record before the plan.

    Parameters
    ----------
    read : RecordAnswer or None
    case : Case or None
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
    return SearchFacts((low, high), wind, blows_from, flight.ground)


def _wind_of_record(read: RecordAnswer | None) -> tuple[float | None, float | None]:
    winds = [] if read is None else [each for each in read.events if each.kind is EventKind.WIND]
    whole = [each for each in winds if each.words.get("part") == "whole"]
    if not whole:
        return None, None
    return whole[-1].values["wind_mps"], math.degrees(whole[-1].values["from_rad"]) % 360.0
