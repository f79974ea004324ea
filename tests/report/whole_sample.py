"""A brief with every optional part filled: from the records' types, so that a record may grow without this file."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Mapping
from enum import Enum
from itertools import count
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np
from tests.report import sample

from turnback.records.care import CareResult
from turnback.records.changes import ChangesResult
from turnback.records.fall import FallResult
from turnback.records.ground_plan import MapMark, MapResult, RoseResult
from turnback.records.pilot_result import PilotResult
from turnback.records.result import BriefResult

LAUNCH_M = 380.0
"""Ground at the launch point, as in the sample's profile."""
SCHOOL, PLAYGROUND = "Quillfeather school", ""


def filled(hint: Any, number: count[int]) -> Any:
    """Return a value of a type: numbers all differ, arrays hold one that is not a number."""
    origin, parts = get_origin(hint), get_args(hint)
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        hints = get_type_hints(hint)
        return hint(**{field.name: filled(hints[field.name], number) for field in dataclasses.fields(hint)})
    if origin in (Union, types.UnionType):
        return filled(parts[0], number)
    if origin is Literal:
        return parts[0]
    if origin is np.ndarray:
        return np.array([next(number) + 0.5, np.nan])
    if origin is tuple:
        return tuple(filled(part, number) for part in parts if part is not Ellipsis)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {"key": next(number) + 0.5}
    if isinstance(hint, type) and issubclass(hint, Enum):
        return next(iter(hint))
    return {float: next(number) + 0.5, int: next(number), bool: True, str: "word"}[hint]


def ground_plan() -> MapResult:
    """Return a tilted plane 380 m above sea level at the launch point, in cells that tell a latitude."""
    cell_m, size = 74.37, 41
    east = (np.arange(size) - 17.3) * cell_m
    north = (22.8 - np.arange(size)) * cell_m
    heights = LAUNCH_M + 0.02 * east[None, :] - 0.05 * north[:, None]
    ring = np.array([[300.0, 400.0], [500.0, 400.0], [500.0, 600.0], [300.0, 400.0]])
    return MapResult(
        heights_m=heights.astype(np.float32),
        known=np.broadcast_to(east[None, :] < 1000.0, heights.shape).copy(),
        x_west_m=float(east[0]),
        y_north_m=float(north[0]),
        cell_m=cell_m,
        route_x_m=np.array([0.0, 600.0]),
        route_y_m=np.array([0.0, 800.0]),
        marks=(MapMark("control", 500.0, 700.0, 48.0),),
        areas=((PLAYGROUND, ring - 1000.0), (SCHOOL, ring)),
    )


def rose() -> RoseResult:
    """Return a rose of eight bearings, flown at one height above sea level."""
    return RoseResult(
        bearing_deg=np.arange(0.0, 360.0, 45.0),
        turn_back_m=np.array([643.0, 800.0, 0.0, 700.0, 900.0, 1200.0, 1000.0, 650.0]),
        reason=("control", "video", "ground", "energy", "limit", "route", "terrain", "control"),
        lowest_return_m=np.array([75.2, 60.0, np.nan, 50.0, 40.0, 45.0, 52.0, 71.0]),
        height_m=LAUNCH_M + 60.0,
        height_above="sea level",
        farthest_m=1200.0,
        plan_bearing_deg=0.0,
    )


def brief() -> BriefResult:
    """Return the sample's brief with a fall, a pilot, pack care, changes, a rose and a map."""
    number = count(1)
    fall = filled(FallResult, number)
    place = dataclasses.replace(fall.places[0], areas=(SCHOOL, PLAYGROUND))
    return dataclasses.replace(
        sample.brief(),
        fall=dataclasses.replace(fall, places=(place,), meets=(SCHOOL, PLAYGROUND)),
        pilot=filled(PilotResult, number),
        care=filled(CareResult, number),
        changes=filled(ChangesResult, number),
        rose=rose(),
        ground_plan=ground_plan(),
    )
