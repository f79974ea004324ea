"""The only module of the study that calls the product: bands of a plan, lessons of a record, the next brief."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.against_link import radio_seen
from turnback.assess.against_power import chance_z
from turnback.assess.against_track import Stations
from turnback.assess.consumption import hover_and_cruise_w
from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import march_flight
from turnback.assess.learn_lessons import lessons
from turnback.assess.legs import planned_legs
from turnback.assess.reception import TO_AIRCRAFT, limit_dbm
from turnback.assess.spreads import spread
from turnback.assess.world import fill
from turnback.flows.debrief_learned import entries_of
from turnback.flows.flight import Flight
from turnback.flows.record import FINDERS, flown_of
from turnback.physics.geodesy import lat_lon_deg
from turnback.readers.learned import append_learned
from turnback.readers.terrain_shapes import flat_terrain
from turnback.records.case import Case
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import AgainstPlan, Lessons
from turnback.records.finding import Spread
from turnback.records.flight_record import FlightRecord, SenseBy, SenseFound, Series
from turnback.records.happened import RecordAnswer
from turnback.records.labels import filled_from_label
from turnback.records.learned import NOTHING_LEARNED
from turnback.records.plan import PlanFile
from turnback.records.record_read import Clock, FlightFacts, RecordFormat
from turnback.records.route import HeightReference, Route
from turnback.rules.typical import typical

Floats = NDArray[np.float64]

LAUNCH: Final = (36.6021, -84.2185)
ROUTE_M: Final = 700.0
ROUTE_HOVER_S: Final = 100.0
LEVEL_AT_M: Final = 380.0
PLAN: Final[dict[str, Any]] = {
    "schema": 1,
    "note": "Invented for a study.",
    "observer": "yes",
    "aircraft": {
        "id": "loop-a", "class": "5-inch, 6 cells", "on_radio_loss": "motors stop",
        "mass_g": {"value": 465, "low": 455, "high": 475, "how": "measured"},
        "cruise_mps": {"value": 13, "low": 12, "high": 14, "how": "measured"},
    },
    "pack": {
        "id": "loop-p", "label": "6S 1300 mAh 100C", "mass_g": {"value": 218, "how": "measured"},
        "temperature_c": {"value": 22, "low": 17, "high": 27},
    },
    "radio": {
        "control": {"class": "2.4 GHz, 250 mW", "interference_dbm": -118},
        "video": {"class": "digital 5.8 GHz, 500 mW"},
    },
    "site": {"id": "loop-s", "latitude_deg": LAUNCH[0], "longitude_deg": LAUNCH[1], "canopy": "none"},
    "weather": {"wind_mps": 3, "wind_from_deg": 250, "temperature_c": 16, "qnh_hpa": 1015},
    "pilot": {"packs_flown": 140, "shown": ["simulator"]},
    "route": {
        "distance_m": ROUTE_M, "bearing_deg": 285, "height_m": 40, "mode": "self-level", "hover_s": ROUTE_HOVER_S,
    },
    "answers": {"propellers_verified_today": "yes", "rest_v_per_cell": 4.19, "who_can_be_underneath": "nobody"},
}  # fmt: skip
"""Capacity from its label, resistance, currents and drag from nowhere: what a first plan looks like."""
CHANNELS: Final = {
    "height_m": Quantity.HEIGHT_LAUNCH, "climb_mps": Quantity.CLIMB_RATE, "volts_v": Quantity.PACK_VOLTS,
    "current_a": Quantity.CURRENT, "level_dbm": Quantity.LINK_LEVEL, "throttle": Quantity.THROTTLE,
    "armed": Quantity.ARMED, "vx_mps": Quantity.VELOCITY_EAST, "vy_mps": Quantity.VELOCITY_NORTH,
}  # fmt: skip


def first_case() -> Case:
    """Return the plan before anything was flown, over flat ground."""
    plan = PlanFile.model_validate(PLAN)
    plan = plan.model_copy(update={"pack": filled_from_label(plan.pack)})
    ground = flat_terrain(2500.0, 30.0)
    bearing = math.radians(285.0)
    route = Route(
        np.array([0.0, ROUTE_M * math.sin(bearing)]), np.array([0.0, ROUTE_M * math.cos(bearing)]),
        np.array([40.0, 40.0]), HeightReference.LAUNCH, None, ROUTE_HOVER_S, straight=True, closes_at_launch=False,
    )  # fmt: skip
    return Case(plan, ground, route, None, None, NOTHING_LEARNED, ground.launch_ground_m, "loop")


def bands_of(case: Case) -> dict[str, tuple[float, float, float]]:
    """Return every unknown of the plan as its low end, middle and high end."""
    return {band.key: (band.low, band.value, band.high) for band in fill(case).bands()}


def facts_of(case: Case) -> dict[str, float]:
    """Return what is certain in the plan and the simulator needs."""
    world = fill(case)
    craft = world.aircraft
    return {
        "cells": float(world.pack.cells),
        "disc_m2": craft.rotors * math.pi * craft.propeller_diameter_m**2 / 4.0,
        "frequency_mhz": world.control.frequency_mhz,
        "nominal_v": 3.7,
    }


def answered(columns: Mapping[str, Floats], name: str) -> RecordAnswer:
    """Return what the product finds in a record."""
    t_s = np.ascontiguousarray(columns["t_s"])
    rate_hz = 1.0 / float(np.median(np.diff(t_s)))
    lat, lon = lat_lon_deg(columns["east_m"], columns["north_m"], *LAUNCH)
    values = {Channel(quantity): columns[key] for key, quantity in CHANNELS.items()}
    values |= {Channel(Quantity.LATITUDE): lat, Channel(Quantity.LONGITUDE): lon}
    series = {
        channel: Series(channel, t_s, np.ascontiguousarray(row, np.float64), rate_hz, rate_hz)
        for channel, row in values.items()
    }
    senses = tuple(SenseFound(channel, False, SenseBy.TOLD, 1.0) for channel in series)
    clock = Clock("t_s", "s", rate_hz, float(t_s[-1]))
    facts = FlightFacts(cells=6, chemistry="LiPo")
    known = flown_of(FlightRecord(name, RecordFormat.CSV, clock, series, (), senses, (), facts))
    found = [find(known) for find in FINDERS]
    events = sorted((each for one in found for each in one.events), key=lambda event: event.start_s)
    return RecordAnswer(known, tuple(events), tuple(each for one in found for each in one.not_told), ())


def taught(case: Case, columns: Mapping[str, Floats], number: int, file: Path) -> tuple[Case, Lessons]:
    """Debrief one record, write what it taught into ``learned.toml``, and return the plan of the next brief."""
    answer = answered(columns, f"flight {number}")
    found = lessons(answer, AgainstPlan(), case)  # that there is a plan is all that lessons ask of it
    entries = entries_of(found, case, date(2026, 5, number), f"flight {number}")
    return replace(case, learned=append_learned(file, entries)), found


def said_by(case: Case) -> dict[str, Spread]:
    """Return the brief's own bands of what is learned, and of the volts that the planned flight lands with."""
    flight = Flight(case)
    craft = flight.craft
    draws, law = craft.draws, craft.chemistry
    volts = law.nominal_v * draws.world.pack.cells
    hover_w, cruise_w = hover_and_cruise_w(draws, craft.thrust, craft.scale)
    still = Nodes(np.zeros(1), np.zeros(1), np.ones(1))
    march = march_flight(craft, planned_legs(flight.track), still)
    bearing = math.radians(285.0)
    one = np.full(1, np.nan)
    at = Stations(
        np.zeros(1), 1.0, np.ones(1, np.bool_), np.array([LEVEL_AT_M * math.sin(bearing)]),
        np.array([LEVEL_AT_M * math.cos(bearing)]), np.array([40.0]), one, one, one, one, on_site=True,
    )  # fmt: skip
    radio = radio_seen(case, flight.ground, draws, at)
    found = {
        "resistance_mohm_per_cell": draws["pack.resistance_ohm"] * 1e3,
        "capacity_mah": draws["pack.capacity_ah"] * 1e3,
        "hover_current_a": hover_w / volts,
        "cruise_current_a": cruise_w / volts,
        "drag_area_cm2": draws["aircraft.drag_area_m2"] * 1e4,
        "landing_rest_v": march.rest_v[:, 0, 0, -1],
    }
    if radio is not None:
        mean_dbm = radio.margin_db[TO_AIRCRAFT][:, 0] + limit_dbm(draws, draws.world.control, "aircraft")
        found["level_mean_dbm"] = mean_dbm
        found["level_dbm"] = mean_dbm + radio.sigma_db[:, 0] * chance_z(draws.count, "loops.shadow")
    if draws.world.control.measured is not None:
        found["excess_exponent"] = draws["control.excess_exponent"]
    own_v = typical("care")["rest_curve_v"].value * chance_z(draws.count, "loops.curve")
    found["landing_own_v"] = found["landing_rest_v"] + own_v
    return {key: spread(values) for key, values in found.items()}
