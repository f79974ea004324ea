"""Everything a brief starts from: the plan and all it refers to, read in."""

from __future__ import annotations

from dataclasses import dataclass

from turnback.records.areas import PeopleAreas
from turnback.records.learned import Learned
from turnback.records.plan import PlanFile
from turnback.records.route import Route
from turnback.records.terrain import Terrain
from turnback.records.weather import WeatherReport


@dataclass(frozen=True, slots=True, eq=False)
class Case:
    """One flight, read in.

    Attributes
    ----------
    plan : PlanFile
        Every part a record; the pack's cells, capacity, C rating and chemistry filled from its label.
    terrain : Terrain
    route : Route
    report : WeatherReport or None
        What the pasted METAR says.
    people_areas : PeopleAreas or None
        Areas where people may be.
    learned : Learned
        What records taught; empty where nothing did.
    launch_height_m : float
        Ground height at the launch point above sea level.
    title : str
        The plan's note, else its id, else its file's name without ending.
    """

    plan: PlanFile
    terrain: Terrain
    route: Route
    report: WeatherReport | None
    people_areas: PeopleAreas | None
    learned: Learned
    launch_height_m: float
    title: str
