"""The plan: one flight, as asked about. Its parts stand in it or in files of their own."""

from __future__ import annotations

from enum import Enum
from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from turnback.records.aircraft import AircraftFile, HeightAbove
from turnback.records.common import DONT_KNOW, Answer, FilePath, FileRecord, Id, Number, Reading, Text, quantity
from turnback.records.pack import PackFile
from turnback.records.radio import RadioFile
from turnback.records.site import SiteFile, WeatherFile


class People(Enum):
    """Who can be underneath."""

    NOBODY = "nobody"
    INVOLVED = "only people who take part"
    OTHERS = "other people"
    UNKNOWN = "don't know"


class Skill(Enum):
    """What a pilot has shown to somebody, not what they think they can do."""

    SIMULATOR = "simulator"
    SELF_LEVEL_DUCTED = "ducted in self-level"
    SELF_LEVEL_IN_SIGHT = "self-level in sight"
    GOGGLES_WITH_OBSERVER = "goggles with observer"
    RADIO_LOSS_DRILL = "radio-loss drill"
    RATE_MODE = "rate mode"
    OBSTACLES = "obstacles"


class FlightMode(Enum):
    """How the aircraft answers the sticks on this flight."""

    SELF_LEVEL = "self-level"
    RATE = "rate mode"
    UNKNOWN = "don't know"


def _may_stay_open(schema: dict[str, Any]) -> None:
    """Let "don't know" stand in place of a list."""
    given = {key: schema.pop(key) for key in ("type", "items") if key in schema}
    schema["anyOf"] = [given, {"const": DONT_KNOW}]


class PilotFile(FileRecord):
    """The pilot: what has been shown so far."""

    id: Id | None = None
    note: Text | None = None
    packs_flown: Number | None = quantity(0, 100000, "packs", "packs flown on any aircraft")
    simulator_hours: Number | None = quantity(0, 20000, "h", "hours on a simulator")
    shown: tuple[Skill, ...] = Field(
        default=(), description="what was shown to somebody, in a list; an empty list is nothing so far",
        json_schema_extra=_may_stay_open,
    )  # fmt: skip

    @model_validator(mode="before")
    @classmethod
    def _shown_left_open(cls, given: Any) -> Any:
        """Take "don't know" for a list that nobody wrote, which is not an empty one."""
        if isinstance(given, dict) and given.get("shown") == DONT_KNOW:
            return {key: value for key, value in given.items() if key != "shown"}
        return given


class LastFlight(FileRecord):
    """The last flight of this aircraft on this pack: it measures the consumption, and bounds the capacity."""

    minutes: Number = Field(gt=0, le=120)
    charger_mah: Number = Field(gt=0, le=50000)
    rest_v_after_per_cell: Number | None = quantity(
        2.0,
        4.5,
        "V",
        "rest volts of one cell after that flight, before charging it full",
        "enter volts of one cell, not of the pack",
    )


class Answers(FileRecord):
    """The five questions an instructor asks; each may stay open, and an open one that matters is never a go."""

    propellers_verified_today: Answer = Answer.UNKNOWN
    rest_v_per_cell: Number | None = quantity(
        2.0, 4.5, "V", "rest volts now, per cell", "enter volts of one cell, not of the pack"
    )
    who_can_be_underneath: People = People.UNKNOWN
    return_tested_on_this_build: Answer = Answer.UNKNOWN
    last_flight: LastFlight | None = None


class Waypoint(FileRecord):
    """One point of a route: metres from the launch point, or latitude and longitude."""

    east_m: Number | None = quantity(-20000, 20000, "m", "metres east of the launch point")
    north_m: Number | None = quantity(-20000, 20000, "m", "metres north of the launch point")
    latitude_deg: Number | None = quantity(-89, 89, "°", "latitude, WGS 84")
    longitude_deg: Number | None = quantity(-180, 180, "°", "longitude, WGS 84")
    height_m: Number = Field(ge=0, le=3000)


class RouteFile(FileRecord):
    """Where to: straight out and back, waypoints, or a track file (GPX, KML, GeoJSON)."""

    distance_m: Number | None = quantity(5, 20000, "m", "how far out", "enter metres, not kilometres")
    bearing_deg: Number | None = quantity(0, 360, "°", "which way, clockwise from true north")
    height_m: Number | None = quantity(0.5, 3000, "m", "how high")
    height_above: HeightAbove = HeightAbove.LAUNCH
    waypoints: Annotated[tuple[Waypoint, ...], Field(max_length=2000)] | None = None
    file: FilePath | None = None
    speed_mps: Reading | None = quantity(
        1, 40, "m/s", "airspeed on the route; the aircraft's cruise if left out", "enter m/s, not km/h"
    )
    hover_s: Number | None = quantity(0, 3600, "s", "time spent hovering or looking round at the far end")
    mode: FlightMode = Field(default=FlightMode.UNKNOWN, description="how it answers the sticks on this flight")


class PlanFile(FileRecord):
    """A plan after its references are read in: every part is a record."""

    schema_: Literal[1] = Field(alias="schema")
    id: Id | None = None
    note: Text | None = None
    aircraft: AircraftFile
    pack: PackFile
    radio: RadioFile
    site: SiteFile
    weather: WeatherFile = WeatherFile()
    pilot: PilotFile = PilotFile()
    observer: Answer = Answer.UNKNOWN
    route: RouteFile
    answers: Answers = Answers()


__all__ = [
    "Answers",
    "FlightMode",
    "LastFlight",
    "People",
    "PilotFile",
    "PlanFile",
    "Reading",
    "RouteFile",
    "Skill",
    "Waypoint",
]
