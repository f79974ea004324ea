"""A case with one thing changed, as its plan file would say it: so that a changed flight is computed, not guessed.

Every function returns a new case whose plan, written to a file and read again, is the case it returns.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

import numpy as np

from turnback.assess.fill_site import trusted
from turnback.records.aircraft import AutomaticReturn
from turnback.records.case import Case
from turnback.records.common import How, Reading
from turnback.records.plan import LastFlight
from turnback.records.radio import AntennaFile, PatternName
from turnback.records.route import Route
from turnback.records.site import WeatherFile
from turnback.records.world import AircraftWorld, World
from turnback.rules.chemistry import Chemistry

HOVER_EXPONENT: Final = 1.5
"""Hover power grows with mass to this power (momentum theory: P = W^1.5 / sqrt(2 rho A)); cruise grows less."""


def with_parts(case: Case, **parts: Any) -> Case:
    """Return the case with parts of its plan replaced."""
    return replace(case, plan=case.plan.model_copy(update=parts))


def with_distance(case: Case, distance_m: float) -> Case:
    """Return a straight plan that turns back at another distance."""
    way = case.plan.route.model_copy(update={"distance_m": distance_m})
    bearing = np.radians(way.bearing_deg or 0.0)
    route = replace(
        case.route,
        east_m=np.array([0.0, distance_m * np.sin(bearing)]),
        north_m=np.array([0.0, distance_m * np.cos(bearing)]),
    )
    return _on_route(case, way, route)


def with_height(case: Case, height_m: float) -> Case:
    """Return a straight plan that is flown at another height, counted from the same."""
    way = case.plan.route.model_copy(update={"height_m": height_m})
    return _on_route(case, way, replace(case.route, height_m=np.full(2, height_m)))


def _on_route(case: Case, way: object, route: Route) -> Case:
    return replace(with_parts(case, route=way), route=route)


def with_return_height(case: Case, height_m: float) -> Case:
    """Return the plan with the automatic return set to a height above launch."""
    craft = case.plan.aircraft
    back = (craft.automatic_return or AutomaticReturn()).model_copy(update={"height_m": height_m})
    return with_parts(case, aircraft=craft.model_copy(update={"automatic_return": back}))


def with_full_pack(case: Case, law: Chemistry) -> Case:
    """Return the plan with its pack charged: the best cell full, the others as far below it as they are now."""
    pack, answers = case.plan.pack, case.plan.answers
    if pack.cell_rest_v:
        best = max(pack.cell_rest_v)
        cells = tuple(round(law.full_v - (best - volts), 3) for volts in pack.cell_rest_v)
        volts = None if answers.rest_v_per_cell is None else min(cells)
        return with_parts(
            case,
            pack=pack.model_copy(update={"cell_rest_v": cells}),
            answers=answers.model_copy(update={"rest_v_per_cell": volts}),
        )
    return with_parts(case, answers=answers.model_copy(update={"rest_v_per_cell": law.full_v}))


def with_larger_pack(case: Case, world: World, factor: float) -> Case:
    """Return the plan with a pack of more capacity and the same make: mass in proportion, resistance against it.

    What was measured with the old pack would read higher with the new one: currents and the last flight's charge are
    raised as hover power grows with mass, which is more than they grow.
    """
    pack = case.plan.pack
    other: dict[str, Any] = {
        "id": None,  # what records taught is of the old one
        "label": None,
        "capacity_mah": _times(pack.capacity_mah, factor),
        "mass_g": _times(pack.mass_g, factor),
        "resistance_mohm_per_cell": _times(pack.resistance_mohm_per_cell, 1.0 / factor),
    }
    before_kg = world.aircraft.mass_kg.value + world.pack.mass_kg.value
    heavier = ((before_kg + world.pack.mass_kg.value * (factor - 1.0)) / before_kg) ** HOVER_EXPONENT
    currents = _raised(world.aircraft, heavier)
    last = case.plan.answers.last_flight
    if last is not None:
        last = LastFlight(minutes=last.minutes, charger_mah=last.charger_mah * heavier)
    return with_parts(
        case,
        pack=pack.model_copy(update=other),
        aircraft=case.plan.aircraft.model_copy(update=currents),
        answers=case.plan.answers.model_copy(update={"last_flight": last}),
    )


def _raised(craft: AircraftWorld, factor: float) -> dict[str, Reading]:
    """Return the currents that are measured or learned, raised."""
    bands = {"hover_current_a": craft.hover_current_a, "cruise_current_a": craft.cruise_current_a}
    return {
        name: Reading(value=band.value * factor, low=band.low * factor, high=band.high * factor)
        for name, band in bands.items()
        if band is not None
    }


def _times(reading: Reading | None, factor: float) -> Reading | None:
    """Return a reading and its band times a factor."""
    if reading is None:
        return None
    ends = {name: None if end is None else end * factor for name, end in (("low", reading.low), ("high", reading.high))}
    return Reading(value=reading.value * factor, how=reading.how, **ends)


def with_warm_pack(case: Case, celsius: float) -> Case:
    """Return the plan with its pack at a temperature, as a thermometer would say it."""
    warm = Reading(value=celsius, how=How.MEASURED)
    return with_parts(case, pack=case.plan.pack.model_copy(update={"temperature_c": warm}))


def with_wind(case: Case, wind_mps: float) -> Case:
    """Return the plan in another mean wind, gusts in proportion; the weather that is trusted now typed in."""
    typed = typed_weather(case)
    if typed.wind_mps is None or typed.wind_mps.value <= 0.0:
        return case
    share = wind_mps / typed.wind_mps.value
    blown = {"wind_mps": _times(typed.wind_mps, share), "gust_mps": _times(typed.gust_mps, share)}
    return replace(with_parts(case, weather=typed.model_copy(update=blown)), report=None)


def typed_weather(case: Case) -> WeatherFile:
    """Return the weather as far as it is trusted, typed in: a pasted report is given up."""
    if case.report is None:
        return case.plan.weather
    known = trusted(case.plan.weather, case.report)
    return WeatherFile(
        wind_mps=known.wind_mps, gust_mps=known.gust_mps if known.wind_mps else None,
        wind_from_deg=known.wind_from_deg if known.wind_mps else None, temperature_c=known.temperature_c,
        qnh_hpa=known.qnh_hpa,
    )  # fmt: skip


def with_antenna_height(case: Case, height_m: float) -> Case:
    """Return the plan with the pilot's antennas on a mast."""
    tall = Reading(value=height_m, how=How.MEASURED)
    return with_parts(case, site=case.plan.site.model_copy(update={"antenna_height_m": tall}))


def with_patch(case: Case, link: str, gain_dbi: float) -> Case:
    """Return the plan with a patch antenna at the pilot's end of a link, its polarisation kept."""
    radio = case.plan.radio
    part = getattr(radio, link)
    patch = {"gain_dbi": Reading(value=gain_dbi), "pattern": PatternName.PATCH}
    antenna = (part.ground_antenna or AntennaFile()).model_copy(update=patch)
    return with_parts(case, radio=radio.model_copy(update={link: part.model_copy(update={"ground_antenna": antenna})}))
