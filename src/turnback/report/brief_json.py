"""The brief for scripts: SI numbers as in the records, in a fixed order, the same bytes for the same brief.

The shape of what is written is declared here as records; ``brief_schema.py`` makes the JSON Schema from them.
"""

from __future__ import annotations

import dataclasses
import json
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, Final, Literal

import numpy as np

from turnback.records.care import CareResult
from turnback.records.changes import ChangesResult
from turnback.records.common import SCHEMA
from turnback.records.fall import FallResult
from turnback.records.finding import Finding, Spread, Verdict
from turnback.records.ground_plan import Array, MapMark, MapResult, RoseResult
from turnback.records.pilot_result import PilotResult
from turnback.records.result import (
    AirResult,
    Assumption,
    BriefResult,
    EnergyResult,
    HeightsAbove,
    LinkResult,
    ProfileResult,
    ReturnResult,
)
from turnback.records.terrain import TerrainNote
from turnback.report import words
from turnback.report.cautions import cautions

SCHEMA_NAME: Final = "brief.schema.json"
"""The schema's file, beside ``brief.json``."""
_STEERING: Final = re.compile("[\u007f-\u009f\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff]")
"""Characters that JSON may hold as they are and that change what a person sees; they stand inside texts only."""


@dataclass(frozen=True, slots=True)
class FindingData(Finding):
    """One thing the brief found, its words beside its numbers."""

    said: str = ""
    """The finding in words, metric."""
    do_said: str = ""
    """What to do about it, in words."""


@dataclass(frozen=True, slots=True)
class AreaData:
    """The outer ring of a people area, closed: x east, y north of the launch point."""

    name: str
    ring_x_m: Array
    ring_y_m: Array


@dataclass(frozen=True, slots=True)
class MapData:
    """The flight from above: x east, y north of the launch point. Ground heights stay in the terrain file."""

    route_x_m: Array
    route_y_m: Array
    """In the order flown."""
    marks: tuple[MapMark, ...]
    areas: tuple[AreaData, ...]


@dataclass(frozen=True, slots=True)
class TerrainData:
    """Where the ground heights come from."""

    source: str
    assumed: bool
    """True where the ground was not measured: flat, or with typed-in ridges."""
    notes: tuple[TerrainNote, ...]


@dataclass(frozen=True, slots=True)
class BriefData:
    """A brief: whether a flight comes home, with every number behind it. What is not known is null."""

    schema: int
    """Version of this shape."""
    title: str
    verdict: Verdict
    deciding: FindingData | None
    """For *cannot say*: the finding whose `do` names the one check or measurement that would decide."""
    findings: tuple[FindingData, ...]
    """Worst first."""
    energy: EnergyResult
    links: Mapping[Literal["control", "video"], LinkResult]
    """Without a video link where nobody looks through one."""
    return_: ReturnResult
    profile: ProfileResult
    air: AirResult
    chance: Mapping[Literal["home", "landing", "control", "video"], Spread]
    """Chance that it comes home, lands above its land-by volts, and that each link holds."""
    fall: FallResult | None
    pilot: PilotResult | None
    care: CareResult | None
    changes: ChangesResult | None
    rose: RoseResult | None
    map: MapData | None
    assumed: tuple[Assumption, ...]
    cautions: tuple[str, ...]
    terrain: TerrainData
    heights_above: HeightsAbove
    """What the heights of profile, obstacles of links and map are counted from."""
    draws: int
    seed: int


def brief_json(result: BriefResult) -> str:
    """Return the brief as JSON text, one object, ending in a line feed. What is not a number is null."""
    return json_text(brief_data(result))


def json_text(data: Mapping[str, Any]) -> str:
    """Return plain data as strict JSON that is safe to show in a terminal: nothing in it can steer one."""
    text = json.dumps(data, ensure_ascii=False, indent=1, allow_nan=False)
    return _STEERING.sub(lambda met: f"\\u{ord(met[0]):04x}", text) + "\n"


def brief_data(result: BriefResult) -> dict[str, Any]:
    """Return the brief as plain data, of the shape of `BriefData`."""
    links: dict[Any, LinkResult] = {link.name: link for link in (result.control, result.video) if link is not None}
    chance: dict[Any, Spread] = {"home": result.home, "landing": result.energy.probability}
    data: dict[str, Any] = plain(
        BriefData(
            schema=SCHEMA,
            title=result.title,
            verdict=result.verdict,
            deciding=None if result.deciding is None else _finding(result.deciding),
            findings=tuple(_finding(finding) for finding in result.findings),
            energy=result.energy,
            links=links,
            return_=result.back,
            profile=result.profile,
            air=result.air,
            chance={**chance, **{name: link.probability for name, link in links.items()}},
            fall=result.fall,
            pilot=result.pilot,
            care=result.care,
            changes=result.changes,
            rose=result.rose,
            map=None if result.ground_plan is None else _map(result.ground_plan),
            assumed=result.assumed,
            cautions=cautions(),
            terrain=TerrainData(result.terrain_source, result.terrain_assumed, result.terrain_notes),
            heights_above=result.heights_above,
            draws=result.draws,
            seed=result.seed,
        )
    )
    return {"$schema": SCHEMA_NAME, **data}


def plain(value: Any) -> Any:  # noqa: PLR0911 - one line for each kind
    """Return a record as plain data: dataclasses as objects, enums by value, arrays as lists, no NaN."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {written(field.name): plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Enum):
        return plain(value.value)
    if isinstance(value, Mapping):
        return {str(key): plain(value[key]) for key in sorted(value)}
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, (list, tuple)):
        return [plain(each) for each in value]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    return value


def written(name: str) -> str:
    """Return the key of a field; a word of Python's own carries an underscore in code only."""
    return name.removesuffix("_")


def _finding(finding: Finding) -> FindingData:
    given = {field.name: getattr(finding, field.name) for field in dataclasses.fields(Finding)}
    return FindingData(**given, said=words.sentence(finding), do_said=words.action(finding.do))


def _map(ground: MapResult) -> MapData:
    areas = tuple(AreaData(name, ring[:, 0], ring[:, 1]) for name, ring in ground.areas)
    return MapData(ground.route_x_m, ground.route_y_m, ground.marks, areas)
