"""What one field of a plan says against another: contradictions that no single field shows."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from turnback.base.errors import Fault
from turnback.readers.consistency_pack import answer_faults, pack_faults
from turnback.readers.consistency_pilot import pilot_faults
from turnback.readers.consistency_way import route_faults, site_faults, weather_faults
from turnback.readers.known_keys import Place
from turnback.records.aircraft import AircraftClass, AircraftFile, Propeller, RadioLossAction
from turnback.records.common import FileRecord
from turnback.records.labels import filled_from_label
from turnback.records.pack import PackFile
from turnback.records.plan import Answers, PilotFile, PlanFile, RouteFile
from turnback.records.radio import RadioFile
from turnback.records.site import SiteFile, WeatherFile
from turnback.rules.typical import typical

Where = Callable[[Place], str]

PITCH_SHARES: Final = (0.2, 1.5)  # of the diameter: what the thrust of a propeller is worked out for


@dataclass(frozen=True, slots=True)
class Sections:
    """The parts of a plan that are sound by themselves; None where one is not, or is left out."""

    aircraft: AircraftFile | None = None
    pack: PackFile | None = None
    radio: RadioFile | None = None
    site: SiteFile | None = None
    weather: WeatherFile | None = None
    pilot: PilotFile | None = None
    route: RouteFile | None = None
    answers: Answers | None = None

    @staticmethod
    def records() -> dict[str, type[FileRecord]]:
        """Return each section's record by its key."""
        return {
            "aircraft": AircraftFile, "pack": PackFile, "radio": RadioFile, "site": SiteFile, "weather": WeatherFile,
            "pilot": PilotFile, "route": RouteFile, "answers": Answers,
        }  # fmt: skip

    @classmethod
    def of(cls, plan: PlanFile) -> Sections:
        """Return all sections of a plan."""
        return cls(**{name: getattr(plan, name) for name in cls.records()})


def sound_sections(table: dict[str, Any], broken: set[str]) -> Sections:
    """Return the parts of a plan's table that are sound by themselves, given the keys of those that are not."""
    found: dict[str, Any] = {}
    for name, record in Sections.records().items():
        if name in table and name not in broken:
            found[name] = record.model_validate(table[name])
    return Sections(**found)


def plan_faults(sections: Sections, where: Where) -> list[Fault]:
    """Return every contradiction between fields.

    Parameters
    ----------
    sections : Sections
    where : callable
        From a place of the plan to file and field.
    """
    faults: list[Fault] = []
    if sections.aircraft is not None:
        faults += aircraft_faults(sections.aircraft, where)
    if sections.pack is not None:
        faults += pack_faults(sections.pack, where)
    if sections.site is not None:
        faults += site_faults(sections.site, where)
    if sections.weather is not None:
        faults += weather_faults(sections.weather, where)
    if sections.pilot is not None:
        faults += pilot_faults(sections.pilot, where)
    if sections.route is not None:
        faults += route_faults(sections.route, sections.site, where)
    if sections.answers is not None and sections.pack is not None:
        faults += answer_faults(sections.answers, filled_from_label(sections.pack), where)
    return faults


def aircraft_faults(aircraft: AircraftFile, where: Where) -> list[Fault]:
    """Return what contradicts itself in an aircraft."""
    faults = []
    action = aircraft.on_radio_loss
    if aircraft.automatic_return is not None and action is not RadioLossAction.AUTOMATIC_RETURN:
        what = f'an automatic return is set, but on_radio_loss is "{action.value}"'
        do = 'write on_radio_loss = "automatic return" if that is what it does, or leave the table out'
        faults.append(Fault(where(("aircraft", "automatic_return")), what, do))
    if aircraft.class_ is AircraftClass.DUCTED_MICRO and aircraft.ducts is False:
        what = 'ducts are said to be missing, but the class is "ducted micro"'
        faults.append(Fault(where(("aircraft", "ducts")), what, "correct one of the two"))
    faults += _propeller_faults(aircraft, where)
    curve = aircraft.thrust_curve or ()
    for number, (before, after) in enumerate(itertools.pairwise(curve), start=1):
        if after.output_percent <= before.output_percent or after.thrust_g < before.thrust_g:
            what = f"output and thrust do not rise from entry {number} to {number + 1}"
            faults.append(Fault(where(("aircraft", "thrust_curve")), what, "list the points by rising output"))
            break
    return faults


def _propeller_faults(aircraft: AircraftFile, where: Where) -> list[Fault]:
    """Hold pitch against diameter; what is left out is that of the class, as it will be taken."""
    given, rows = aircraft.propeller or Propeller(), typical("aircraft", aircraft.class_.value)
    pitch_in = given.pitch_in or rows["propeller_pitch_in"].value
    diameter_in = given.diameter_in or rows["propeller_diameter_in"].value
    low, high = (share * diameter_in for share in PITCH_SHARES)
    if low <= pitch_in <= high:
        return []
    key = "diameter_in" if given.pitch_in is None else "pitch_in"
    what = (
        f"a pitch of {pitch_in:g} in does not fit a diameter of {diameter_in:g} in ({low:.3g} to {high:.3g} in would)"
    )
    return [Fault(where(("aircraft", "propeller", key)), what, "read both on the propeller, and enter both")]
