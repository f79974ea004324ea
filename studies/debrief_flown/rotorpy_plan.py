"""The plan beside a record of the second generator: what a sound aircraft would do, with the errors of a real plan."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from studies.debrief_flown.kits import KITS, PLAN_ERRORS
from studies.debrief_flown.rotorpy_board import STEP_S
from studies.debrief_flown.rotorpy_flight import PLACE, Flight
from studies.debrief_flown.rotorpy_world import CHARGES, RESTS, Build, Floats, Rng

from turnback.records.debrief import AgainstPlan, AtLoss, Compare, Compared
from turnback.records.finding import Spread

OF_90: Final = 1.645
EVERY: Final = 100


def told(rng: Rng, truth: float, what: str) -> Spread:
    """Return a plan's number: off by what such plans are off by, and its band as wide."""
    share, fixed = PLAN_ERRORS[what]
    half = math.hypot(share * truth, fixed)
    mid = truth + float(rng.normal(0.0, half / OF_90)) if half > 0.0 else truth
    return Spread(mid, mid - half, mid + half)


def against(flight: Flight, sound: Build, log: Floats, kit: str, rng: Rng) -> AgainstPlan:
    """Return the plan beside the record.

    Parameters
    ----------
    flight : Flight
    sound : Build
        The aircraft and pack before anything is wrong: what the plan knows.
    log : ndarray
        Of `Flight.fly`.
    kit : str
    rng : Generator
    """
    has = KITS[kit].quantities
    part = {name: log[::EVERY, place] for name, place in PLACE.items()}
    t_s: Floats = np.arange(len(part["up"]), dtype=np.float64) * (EVERY * STEP_S)
    expected = _expected(flight, sound, log, rng)
    open_dbm = _open(flight, sound, part)
    off_db = float(rng.normal(0.0, PLAN_ERRORS["level_offset_db"][1] / OF_90))
    found: list[Compared] = []
    if "latitude" in has and "link_level" in has:
        half = np.full(len(t_s), math.hypot(PLAN_ERRORS["level_offset_db"][1], 4.0))
        found.append(_compared(Compare.LEVEL, "dBm", t_s, np.round(part["level"]), open_dbm + off_db, half))
    if "pack_volts" in has and "current" in has:
        found += _power(flight, sound, part, t_s, expected, rng)
    if "latitude" in has and (part["mode"] == 2.0).any():
        need = np.where(part["mode"] == 2.0, _ground_ahead(flight), math.nan)
        err = float(rng.normal(0.0, PLAN_ERRORS["home_height_m"][1] / OF_90 / 2.0))
        half = np.full(len(t_s), PLAN_ERRORS["home_height_m"][1])
        found.append(_compared(Compare.RETURN_LINE, "m", t_s, part["up"], need + err, half))
    lost = np.flatnonzero(log[:, PLACE["lost"]] > 0.5)
    loss = _loss(flight, sound, log, int(lost[0]), off_db, rng) if lost.size and "latitude" in has else None
    return AgainstPlan(tuple(found), loss, expected, int(flight.wrong.notes.get("declared_cells", sound.cells)), "LiPo")


def _ground_ahead(flight: Flight) -> float:
    """Return the height of what stands on the way home, as the plan's ground has it."""
    wrong = flight.wrong
    if wrong.obstacle_m < 1e8:
        return wrong.return_height + float(wrong.notes["taller_m"])
    if wrong.link == "terrain":
        return 0.55 * float(wrong.notes["ridge_m"])
    return 0.0


def _expected(flight: Flight, sound: Build, log: Floats, rng: Rng) -> dict[str, Spread]:
    """Return what the plan says of the flight."""
    way, wrong = flight.way, flight.wrong
    volts = 3.75 * sound.cells
    share = sound.mass * 9.81 / 4.0 / sound.force_most / wrong.density**0.0
    a, b = 1.0 - sound.linear, sound.linear
    hover = (-b + math.sqrt(b * b + 4.0 * a * share)) / (2.0 * a)
    up = log[:, PLACE["up"]] > 1.0
    usual = log[:, PLACE["usual"]][up]
    range_db = sound.level_dbm - flight.build.level_dbm  # a set that was weak before it was broken is known to the plan
    margin = float(usual.min() + (range_db if wrong.link == "back" else 0.0) - sound.needs_dbm) if up.any() else 20.0
    if wrong.link == "terrain":
        margin -= float(wrong.notes["loss"])
    amps = sound.watt_hover / volts
    drag = sound.drag * way.speed**2 / (sound.mass * 9.81)
    found = {
        "hover_output_fraction": hover, "hover_current_a": amps, "cruise_current_a": amps * (1.0 + drag**2) ** 0.75,
        "resistance_mohm_per_cell": 1000.0 * sound.ohm / sound.cells, "capacity_ah": sound.capacity,
        "rated_current_a": (0.9 if wrong.notes.get("rated_low") else 3.2) * 4.0 * amps, "margin_db": margin,
        "wind_mps": way.wind, "temperature_c": flight.build.temperature_c, "density_kg_m3": 1.225 * wrong.density,
        "land_by_rest_v": 3.6, "home_height_m": _ground_ahead(flight),
    }  # fmt: skip
    spread = {key: told(rng, value, key) for key, value in found.items()}
    wind = spread["wind_mps"]
    half = PLAN_ERRORS["level_offset_db"][1]
    return spread | {
        "wind_mps": Spread(max(wind.mid, 0.0), max(wind.low, 0.0), max(wind.high, 0.5)),
        "level_offset_db": Spread(0.0, -half, half),
    }


def _open(flight: Flight, sound: Build, part: dict[str, Floats]) -> Floats:
    """Return the level that the plan gives where it flew; its ground bends the ray, its trees are not known."""
    level = part["usual"].copy()
    wrong = flight.wrong
    if wrong.link == "back":
        level = level + 0.0
    if wrong.link == "terrain":
        away = np.sqrt(part["north"] ** 2 + part["west"] ** 2 + part["up"] ** 2)
        over = wrong.notes["ridge_m"] + (away - wrong.notes["from_m"]) * wrong.notes["slope"] - part["up"]
        behind = (away > wrong.notes["from_m"]) & (over > 0.0)
        level = level - np.where(behind, 0.8 * wrong.notes["loss"], 0.0)
    del sound
    return np.asarray(level)


def _power(
    flight: Flight, sound: Build, part: dict[str, Floats], t_s: Floats, expected: dict[str, Spread], rng: Rng
) -> list[Compared]:
    ohm = expected["resistance_mohm_per_cell"].mid / 1000.0
    each = np.interp(0.985 - part["used"] / expected["capacity_ah"].mid, CHARGES, RESTS) - part["amps"] * ohm
    cells = int(flight.wrong.notes.get("declared_cells", sound.cells))
    scale = flight.wrong.volts_scale
    recorded = part["volts"] * scale / cells + rng.normal(0.0, 0.01, len(t_s))
    half = np.hypot(PLAN_ERRORS["loaded_volts"][1], 0.35 * ohm * part["amps"])
    watts = expected["hover_current_a"].mid * 3.75 * sound.cells
    lean = np.clip(np.cos(part["roll"]) * np.cos(part["pitch"]), 0.5, 1.0)
    model = np.where(part["up"] > 1.0, watts / lean**1.5, math.nan)
    return [
        _compared(Compare.LOADED_VOLTS, "V", t_s, recorded, each, half),
        _compared(
            Compare.POWER, "W", t_s, part["volts"] * scale * part["amps"], model, PLAN_ERRORS["power"][0] * model
        ),
    ]


def _compared(what: Compare, unit: str, t_s: Floats, recorded: Floats, predicted: Floats, half: Floats) -> Compared:
    off = recorded - predicted
    good = off[np.isfinite(off)]
    low, mid, high = np.quantile(good, [0.05, 0.5, 0.95]) if good.size else (math.nan, math.nan, math.nan)
    return Compared(what, unit, t_s, recorded, predicted, predicted - half, predicted + half,
                    Spread(float(mid), float(low), float(high)))  # fmt: skip


def _loss(flight: Flight, sound: Build, log: Floats, row: int, off_db: float, rng: Rng) -> AtLoss:
    """Return the link where it was lost, as the plan's ground has it."""
    wrong = flight.wrong
    at = row if wrong.link == "terrain" else max(0, row - 100)  # it goes behind a ridge within moments
    north, west, up = (float(log[at, PLACE[name]]) for name in ("north", "west", "up"))
    away = math.hypot(north, west)
    level = float(log[max(0, row - 100), PLACE["usual"]])
    clear, where, top = max(0.5 * (up + 1.5), 0.5), math.nan, math.nan
    if wrong.link == "terrain" and away > wrong.notes["from_m"]:
        where = float(wrong.notes["from_m"])
        top = float(wrong.notes["ridge_m"])
        # the ray from the hand to the aircraft, where the ridge is
        clear = min(1.5 + (up - 1.5) * where / max(away, 1.0) - top, -0.3)
        level -= float(wrong.notes["loss"])
        clear += float(rng.normal(0.0, PLAN_ERRORS["clearance_m"][1] / OF_90 / 2.0))
    margin = level + off_db - sound.needs_dbm
    half = PLAN_ERRORS["margin_db"][1]
    return AtLoss(
        t_s=row * STEP_S, distance_m=away, bearing_deg=math.degrees(math.atan2(-west, north)) % 360.0, height_m=up,
        clearance_m=clear, obstacle_from_launch_m=where, obstacle_height_m=top,
        margin_db=Spread(margin, margin - half, margin + half), line_of_sight=clear > 0.0,
    )  # fmt: skip
