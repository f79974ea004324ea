"""Invented cases for the tests of assess and of the brief: a plan as a table, changed value by value."""

from __future__ import annotations

import copy
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from turnback.readers.terrain import read_terrain
from turnback.readers.terrain_shapes import flat_terrain, ridge_terrain
from turnback.records.areas import PeopleAreas
from turnback.records.case import Case
from turnback.records.labels import filled_from_label
from turnback.records.learned import NOTHING_LEARNED, Learned
from turnback.records.plan import PlanFile
from turnback.records.route import HeightReference, Route
from turnback.records.terrain import Terrain
from turnback.records.weather import WeatherReport

EXAMPLE = Path(__file__).parents[2] / "examples" / "terrain" / "jacksboro_fault.tif"
VALLEY = (36.6021, -84.2185)

PLAN: dict[str, Any] = {
    "schema": 1,
    "note": "Invented for a test.",
    "observer": "yes",
    "aircraft": {
        "class": "5-inch, 6 cells",
        "on_radio_loss": "automatic return",
        "automatic_return": {"height_m": 60},
    },
    "pack": {"label": "6S 1300 mAh 100C", "resistance_mohm_per_cell": 5.0},
    "radio": {
        "control": {"class": "2.4 GHz, 250 mW", "interference_dbm": -118},
        "video": {"class": "digital 5.8 GHz, 500 mW", "interference_dbm": -105, "ground_sensitivity_dbm": -90},
    },
    "site": {
        "latitude_deg": VALLEY[0],
        "longitude_deg": VALLEY[1],
        "canopy": "none",
        "local_limits": {"looked_up": "yes", "height_m": 120},
    },
    "weather": {"wind_mps": 3, "wind_from_deg": 270, "temperature_c": 15, "qnh_hpa": 1015},
    "pilot": {
        "packs_flown": 140,
        "shown": [
            "simulator",
            "ducted in self-level",
            "self-level in sight",
            "goggles with observer",
            "radio-loss drill",
        ],
    },
    "route": {"distance_m": 120, "bearing_deg": 285, "height_m": 40, "mode": "self-level"},
    "answers": {
        "propellers_verified_today": "yes",
        "rest_v_per_cell": 4.18,
        "who_can_be_underneath": "nobody",
        "return_tested_on_this_build": "yes",
    },
}
"""A careful plan: everything that can be looked up or measured is known. It is a go."""


def changed(**changes: Any) -> dict[str, Any]:
    """Return the plan with values set by dotted path (dots written as two underscores); None takes a value out."""
    table = copy.deepcopy(PLAN)
    for path, value in changes.items():
        *folders, key = path.split("__")
        node = table
        for folder in folders:
            node = node.setdefault(folder, {})
        if value is None:
            node.pop(key, None)
        else:
            node[key] = value
    return table


def plan_of(table: dict[str, Any]) -> PlanFile:
    """Return the plan's record, its pack filled from the label."""
    plan = PlanFile.model_validate(table)
    return plan.model_copy(update={"pack": filled_from_label(plan.pack)})


@cache
def valley(radius_m: float = 2500.0) -> Terrain:
    """Return the real ground around the valley's launch point."""
    return read_terrain(EXAMPLE, *VALLEY, radius_m, "terrain")


@cache
def plain(radius_m: float = 6000.0) -> Terrain:
    """Return flat ground."""
    return flat_terrain(radius_m, 30.0)


@cache
def ridge(distance_m: float, height_m: float, radius_m: float = 3000.0) -> Terrain:
    """Return a plain with a ridge all round."""
    return ridge_terrain(radius_m, 30.0, ridges=((distance_m, height_m, None, 200.0),))


def straight(plan: PlanFile) -> Route:
    """Return the plan's way straight out."""
    way = plan.route
    distance, bearing, height = way.distance_m or 0.0, np.deg2rad(way.bearing_deg or 0.0), way.height_m or 0.0
    return Route(
        np.array([0.0, distance * np.sin(bearing)]),
        np.array([0.0, distance * np.cos(bearing)]),
        np.array([height, height]),
        HeightReference.LAUNCH,
        way.speed_mps,
        way.hover_s or 0.0,
        straight=True,
        closes_at_launch=False,
    )


def case_of(
    terrain: Terrain | None = None,
    *,
    route: Route | None = None,
    report: WeatherReport | None = None,
    areas: PeopleAreas | None = None,
    learned: Learned = NOTHING_LEARNED,
    **changes: Any,
) -> Case:
    """Return a case of the plan with changes, over the valley unless another terrain is given."""
    plan = plan_of(changed(**changes))
    ground = terrain or valley()
    return Case(
        plan=plan,
        terrain=ground,
        route=route or straight(plan),
        report=report,
        people_areas=areas,
        learned=learned,
        launch_height_m=ground.launch_ground_m,
        title="test",
    )
