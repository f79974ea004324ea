"""A turn-back map made by hand on invented ground: nothing here was computed by the product."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.finding import Spread
from turnback.records.home_map import LAYERS, NO_DATA, HeightStep, HomeMap, Layer, Reason, TurnBackRing

CHANCE: Final = 0.95
REACH_M: Final = 2000.0
LAT_DEG, LON_DEG = 46.9432, 9.8217
"""A place of no meaning; the ground around it here is invented."""

Floats = NDArray[np.float64]


def plane(cells: int) -> tuple[Floats, Floats, float]:
    """Return east and north of every cell, and the cell's side."""
    cell = 2.0 * REACH_M / (cells - 1)
    line = (np.arange(cells) - (cells - 1) / 2.0) * cell
    return *np.meshgrid(line, line[::-1]), cell


def ground(x: Floats, y: Floats) -> Floats:
    """Return heights of a valley that runs north-south, with a ridge in the west and a knoll in the east."""
    ridge = 260.0 * np.exp(-(((x + 1250.0 + 0.15 * y) / 380.0) ** 2))
    knoll = 120.0 * np.exp(-((x - 900.0) ** 2 + (y - 350.0) ** 2) / 330.0**2)
    rough = 9.0 * np.sin(x / 170.0) * np.cos(y / 210.0) + 5.0 * np.sin((x + 2.0 * y) / 90.0)
    return np.asarray(612.0 + ridge + knoll + rough - 0.01 * y)


def stored(values: Any, key: str, known: NDArray[np.bool_]) -> Layer:
    """Return numbers as a layer; not known where they say so."""
    scale, unit = LAYERS[key]
    whole = np.clip(np.rint(np.asarray(values) / scale), -32767, 32767)
    return Layer(key, np.where(known, whole, NO_DATA).astype(np.int16), scale, unit)


def chance_at(x: Floats, y: Floats, height_m: float) -> tuple[Floats, NDArray[np.int16]]:
    """Return a chance that falls outward and a reason: wind toward south, control behind the knoll, the pack else."""
    away, bearing = np.hypot(x, y), np.degrees(np.arctan2(x, y)) % 360.0
    behind = (np.abs(bearing - 69.0) < 17.0) & (away > 1000.0) & (height_m < 90.0)
    into = 250.0 * np.cos(np.radians(bearing - 190.0)) + 2.0 * (height_m - 60.0)
    reach = 1450.0 - into + 60.0 * np.sin(np.radians(5.0 * bearing))
    chance = 1.0 / (1.0 + np.exp((away - reach - 150.0) / 52.0))
    chance = np.where(behind, np.minimum(chance, 0.96 - (away - 1000.0) / 500.0), chance)
    reason = np.where(behind, Reason.CONTROL, np.where(np.abs(bearing - 190.0) < 40.0, Reason.WIND, Reason.ENERGY))
    meets = ground(x, y) > ground(np.zeros(1), np.zeros(1))[0] + height_m + 60.0
    reason = np.where(meets, Reason.GROUND, np.where(chance >= CHANCE, Reason.HOME, reason))
    return np.clip(np.where(meets, 0.0, chance), 0.0, 1.0), reason.astype(np.int16)


def ring_of(height_m: float) -> TurnBackRing:
    """Return the ring of `chance_at`, looked at every 10 m outward."""
    bearing = np.arange(360.0)
    out = np.arange(10.0, REACH_M + 1.0, 10.0)
    x, y = out * np.sin(np.radians(bearing))[:, None], out * np.cos(np.radians(bearing))[:, None]
    chance, reason = chance_at(x, y, height_m)
    fails = chance < CHANCE
    first = np.where(fails.any(axis=1), fails.argmax(axis=1), out.size - 1)
    names = tuple(
        Reason(int(reason[i, first[i]])).name.lower() if fails[i].any() else "map" for i in range(bearing.size)
    )
    turn_back = np.where(first > 0, out[np.maximum(first - 1, 0)], 0.0)
    share = float((chance >= CHANCE).mean())
    return TurnBackRing(bearing, np.asarray(turn_back, dtype=np.float64), names, CHANCE, share)


def step(height_m: float, cells: int = 67, thinned: int = 3) -> HeightStep:
    """Return the map at one more height, in short."""
    x, y, _ = plane(cells)
    chance, _ = chance_at(x, y, height_m)
    return HeightStep(
        height_m, ring_of(height_m), stored(chance, "home_low", np.hypot(x, y) <= REACH_M).values, thinned
    )


def layers(x: Floats, y: Floats, known: NDArray[np.bool_], height_m: float) -> dict[str, Layer]:
    """Return every layer that a map may hold, in their order."""
    away = np.hypot(x, y)
    low, reason = chance_at(x, y, height_m)
    numbers: dict[str, Any] = {
        "home": np.clip(low + 0.02, 0.0, 1.0) * (reason != Reason.GROUND),
        "home_low": low,
        "home_high": np.clip(low + 0.04, 0.0, 1.0) * (reason != Reason.GROUND),
        "reason": reason,
        "control_margin": 34.0 - away / 60.0,
        "control_to_aircraft": 34.0 - away / 60.0,
        "control_to_ground": 36.0 - away / 60.0,
        "control_chance": 1.0 / (1.0 + np.exp((away - 2200.0) / 90.0)),
        "control_diffraction": np.clip((x - 700.0) / 90.0, 0.0, None),
        "video_margin": 28.0 - away / 70.0,
        "video_to_ground": 28.0 - away / 70.0,
        "video_chance": 1.0 / (1.0 + np.exp((away - 1900.0) / 90.0)),
        "video_diffraction": np.clip((x - 700.0) / 70.0, 0.0, None),
        "sight": x < 900.0,
        "energy": 1.2 + away / 140.0,
        "energy_high": 1.4 + away / 110.0,
        "energy_chance": 1.0 / (1.0 + np.exp((away - 1600.0) / 52.0)),
        "return_clearance": 50.0 - (ground(x, y) - 612.0),
        "people": np.exp(-((x + 300.0) ** 2 + (y + 900.0) ** 2) / 250.0**2),
    }
    return {key: stored(values, key, known) for key, values in numbers.items()}


def made(cells: int = 201, height_m: float = 60.0, **changed: Any) -> HomeMap:
    """Return a map of `cells` a side; a part of its ground in the north-east is not known."""
    x, y, cell = plane(cells)
    known = (np.hypot(x, y) <= REACH_M) & ~((x > 1150.0) & (y > 1100.0))
    square = np.array([[-450.0, -1000.0], [-150.0, -1050.0], [-120.0, -760.0], [-420.0, -720.0], [-450.0, -1000.0]])
    found = HomeMap(
        layers=layers(x, y, known, height_m),
        heights_m=ground(x, y).astype(np.float32),
        x_west_m=-REACH_M,
        y_north_m=REACH_M,
        cell_m=cell,
        radius_m=REACH_M,
        height_m=height_m,
        height_above="launch",
        ring=ring_of(height_m),
        heights=tuple(step(each) for each in (30.0, 60.0, 90.0, 120.0)),
        sight_m=480.0,
        limit_height_m=120.0,
        limit_distance_m=1300.0,
        over_limit=False,
        return_set_m=50.0,
        return_works=Spread(0.92, 0.85, 0.97),
        launch_lat_deg=LAT_DEG,
        launch_lon_deg=LON_DEG,
        areas=(("camp <site>", square),),
        terrain_source="invented-valley.tif",
        terrain_assumed=False,
        terrain_notes=(),
        measured=("control",),
        draws=400,
        seed=7,
        title="An invented valley",
    )
    return replace(found, **changed)


def nowhere(found: HomeMap) -> HomeMap:
    """Return a map without a place on Earth."""
    return replace(found, launch_lat_deg=None, launch_lon_deg=None)
