"""The plan's model beside a record as it was flown."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from turnback.assess.against_home import compared_home, home_height
from turnback.assess.against_link import RadioSeen, at_loss, compared_levels, lost_at_s, margin_spread, radio_seen
from turnback.assess.against_power import compared_power, compared_volts, marched, power_seen
from turnback.assess.against_track import Stations, stations_of
from turnback.assess.consumption import hover_and_cruise_w
from turnback.assess.flight_energy import Craft
from turnback.assess.spreads import spread
from turnback.assess.thrust import warm_resistance_ohm
from turnback.flows.flight import Flight
from turnback.records.case import Case
from turnback.records.debrief import AgainstPlan, Compare, Compared
from turnback.records.finding import Spread
from turnback.records.happened import RecordAnswer

MOST_OUTPUT = 9.99
"""A hover that the pack cannot hold asks for more than full output; how much more, nobody needs to know."""


def against_plan(answer: RecordAnswer, case: Case) -> AgainstPlan:
    """Hold a record against its plan: volts, power, link level and the way home, as they were and as the plan has them.

    Parameters
    ----------
    answer : RecordAnswer
    case : Case
        The plan and all it refers to, what earlier records taught included.

    Returns
    -------
    AgainstPlan
        A channel that the record lacks, or a place off the plan's ground, leaves its comparison out.
    """
    flight = Flight(case)
    craft = flight.craft
    site = case.plan.site
    launch = None if site.latitude_deg is None or site.longitude_deg is None else (
        site.latitude_deg, site.longitude_deg
    )  # fmt: skip
    pack = craft.draws.world.pack
    at = stations_of(answer.flown, launch)
    if at is None:
        return AgainstPlan(expected=_of_craft(craft), cells=pack.cells or None, chemistry=pack.chemistry.value)
    seen = power_seen(answer.flown, craft, at)
    radio = radio_seen(case, flight.ground, craft.draws, at)
    lost_s = lost_at_s(answer.events)
    found: list[Compared | None] = [
        *compared_volts(answer.flown, answer.events, marched(seen, craft, at), craft, at),
        compared_power(seen, craft, at),
        *([] if radio is None else compared_levels(answer.flown.record, answer.events, radio, craft.draws, at)),
        compared_home(case, flight.ground, craft.draws, at),
    ]
    held = tuple(each for each in found if each is not None)
    home = home_height(case, flight.ground, craft.draws, at, lost_s)
    return AgainstPlan(
        compared=held,
        at_loss=at_loss(case, flight.ground, craft.draws, at, lost_s),
        expected={
            **_of_craft(craft),
            **_of_flight(craft, at, radio, held),
            **({} if home is None else {"home_height_m": home}),
        },
        cells=pack.cells or None,
        chemistry=pack.chemistry.value,
    )


def _of_craft(craft: Craft) -> Mapping[str, Spread]:
    """Return what the plan says of aircraft, pack and air, whatever was flown; see `AgainstPlan`."""
    draws, law = craft.draws, craft.chemistry
    hover_w, cruise_w = hover_and_cruise_w(draws, craft.thrust, craft.scale)
    volts, capacity_ah = law.nominal_v * draws.world.pack.cells, draws["pack.capacity_ah"]
    rating = draws.world.pack.c_rating
    found = {
        "hover_output_fraction": np.minimum(craft.thrust.hover_output_fraction, MOST_OUTPUT),
        "resistance_mohm_per_cell": warm_resistance_ohm(draws, law) * 1e3,
        "capacity_ah": capacity_ah,
        "temperature_c": draws["site.temperature_c"],
        "density_kg_m3": draws.density_kg_m3,
        "land_by_rest_v": np.full(draws.count, law.land_by_rest_v),
    }
    if volts > 0.0:
        found |= {"hover_current_a": hover_w / volts, "cruise_current_a": cruise_w / volts}
    if rating is not None:
        found["rated_current_a"] = rating * capacity_ah
    return {name: spread(values) for name, values in found.items()}


def _of_flight(craft: Craft, at: Stations, radio: RadioSeen | None, held: tuple[Compared, ...]) -> Mapping[str, Spread]:
    """Return what the plan says of this very flight: wind where it flew, least margin, offset of the link's level."""
    found = {}
    flown_m = at.height_m[at.flying & np.isfinite(at.height_m)]
    height_m = float(np.median(flown_m)) if flown_m.size else 10.0
    found["wind_mps"] = spread(craft.draws.wind_mps(np.array([height_m]), np.zeros(1))[:, 0, 0])
    margin = None if radio is None else margin_spread(radio, at.flying[radio.rows])
    if margin is not None:
        found["margin_db"] = margin
    level = next((each for each in held if each.what is Compare.LEVEL), None)
    if level is not None:
        found["level_offset_db"] = level.residual
    return found
