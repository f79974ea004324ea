"""The plan beside the record: the truth of the sound aircraft, with the errors that a real plan has."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown import own_columns as to
from studies.debrief_flown.kits import KITS, PLAN_ERRORS
from studies.debrief_flown.own_flights import Draft, hover_output, hover_watts
from studies.debrief_flown.own_radio import bent, path_level
from studies.debrief_flown.own_world import Floats
from studies.record_flown import columns as at
from studies.record_flown.kernel import REST_S, REST_V
from studies.record_flown.rigid import G

from turnback.records.debrief import AgainstPlan, AtLoss, Compare, Compared
from turnback.records.finding import Spread

Rng = np.random.Generator
OF_90 = 1.645
STEP_S = 0.5


def told(rng: Rng, truth: float, what: str) -> Spread:
    """Return a plan's number: its mid off by what such plans are off by, its band as wide as that."""
    share, fixed = PLAN_ERRORS[what]
    half = math.hypot(share * abs(truth), fixed)
    mid = truth + rng.normal(0.0, 1.0) * half / OF_90
    return Spread(mid, mid - half, mid + half)


def expected_of(d: Draft, log: NDArray[np.float32], margin_db: float, rng: Rng) -> dict[str, Spread]:
    """Return what the plan says of this flight."""
    base = d.base
    watts = hover_watts(base)
    volts = 3.75 * base.cells
    speed = min(d.plan.speed, 15.0)
    spin = math.sqrt(base.mass * G / 4.0 / base.thrust_max)
    pull = (0.6125 * base.cda * speed**2 + base.lift_drag * base.mass * spin * speed) / (base.mass * G)
    found = {
        "hover_output_fraction": hover_output(base), "hover_current_a": watts / volts,
        "cruise_current_a": watts * (1.0 + pull**2) ** 0.75 / volts,
        "resistance_mohm_per_cell": 1000.0 * base.r_pack / base.cells, "capacity_ah": base.capacity,
        "rated_current_a": base.capacity * 45.0, "margin_db": margin_db, "wind_mps": d.plan.wind,
        "temperature_c": d.air_c, "density_kg_m3": 1.225 * d.world.air, "land_by_rest_v": 3.6,
    }  # fmt: skip
    spread = {key: told(rng, value, key) for key, value in found.items()}
    wind = spread["wind_mps"]
    spread["wind_mps"] = Spread(max(wind.mid, 0.0), max(wind.low, 0.0), max(wind.high, 0.5))
    spread["level_offset_db"] = Spread(0.0, -PLAN_ERRORS["level_offset_db"][1], PLAN_ERRORS["level_offset_db"][1])
    if d.place is not None:
        far = int(np.argmax(np.hypot(log[:, at.NORTH], log[:, at.EAST])))
        share = np.linspace(0.0, 1.0, 60)
        line = d.place.at(share * float(log[far, at.NORTH]), share * float(log[far, at.EAST]))
        spread["home_height_m"] = told(rng, float(line.max()), "home_height_m")
    else:
        spread["home_height_m"] = told(rng, 0.0, "home_height_m")
    return spread


def _compared(what: Compare, unit: str, t: Floats, recorded: Floats, predicted: Floats, half: Floats) -> Compared:
    off = recorded - predicted
    good = off[np.isfinite(off)]
    low, mid, high = np.quantile(good, [0.05, 0.5, 0.95]) if good.size else (math.nan, math.nan, math.nan)
    return Compared(what, unit, t, recorded, predicted, predicted - half, predicted + half,
                    Spread(float(mid), float(low), float(high)))  # fmt: skip


def open_level(d: Draft, part: Floats) -> Floats:
    """Return the level that the plan's radio and ground give at the places flown, dBm."""
    levels = [path_level(d.world, d.base, float(n), float(e), float(-down))
              for n, e, down in part[:, at.NORTH : at.NORTH + 3]]  # fmt: skip
    return np.array(levels)


def against(d: Draft, log: NDArray[np.float32], kit: str, rng: Rng) -> AgainstPlan:
    """Return the plan's model beside the record of one kit.

    The recorded side has the sensors' own noise left out: it is made on a grid of half seconds, where that is small.
    """
    has = KITS[kit].quantities
    on = log[:, to.BOARD_ON] > 0.5 if KITS[kit].on_board else log[:, to.HEARD_BACK] > 0.5
    part = log[:: int(STEP_S * 1000)].astype(np.float64)
    seen = on[:: int(STEP_S * 1000)]
    t = np.arange(len(part), dtype=np.float64) * STEP_S
    level = open_level(d, part)
    half_db = PLAN_ERRORS["level_offset_db"][1]
    off_db = rng.normal(0.0, half_db / OF_90)
    flown = -part[:, at.DOWN] > 1.0
    least = float((level[flown] - d.base.sensitivity).min()) if flown.any() else 20.0
    expected = expected_of(d, log, least, rng)
    found: list[Compared] = []
    placed, linked = "latitude" in has, "link_level" in has

    def only(values: Floats) -> Floats:
        return np.where(seen, values, math.nan)

    if placed and linked:
        recorded = np.round(part[:, at.LEVEL] + rng.normal(0.0, 0.5, len(part)))
        half = np.full(len(part), math.hypot(half_db, 4.0))
        found.append(_compared(Compare.LEVEL, "dBm", t, only(recorded), level + off_db, half))
    if "current" in has and "pack_volts" in has:
        used, amps = part[:, at.CHARGE], part[:, at.CURRENT]
        ohm = expected["resistance_mohm_per_cell"].mid / 1000.0
        each = np.interp(1.0 - used / expected["capacity_ah"].mid, REST_S, REST_V) - amps * ohm
        by = float(d.seen.get("volts_by", 1.0))
        recorded = part[:, at.VOLTS] * by / d.base.cells + rng.normal(0.0, 0.01, len(part))
        half = np.hypot(PLAN_ERRORS["loaded_volts"][1], 0.35 * ohm * amps)
        found.append(_compared(Compare.LOADED_VOLTS, "V", t, only(recorded), each, half))
        watts = expected["hover_current_a"].mid * 3.75 * d.base.cells
        lean = np.cos(part[:, at.ROLL]) * np.cos(part[:, at.PITCH])
        model = np.where(flown, watts / np.clip(lean, 0.5, 1.0) ** 1.5, math.nan)
        power = part[:, at.VOLTS] * by * amps
        found.append(_compared(Compare.POWER, "W", t, only(power), model, PLAN_ERRORS["power"][0] * model))
    back = part[:, at.MODE] == at.RETURN
    if placed and back.any():
        share = np.linspace(0.0, 1.0, 40)
        need = np.full(len(part), math.nan)
        for k in np.flatnonzero(back):
            ahead = d.place.at(share * part[k, at.NORTH], share * part[k, at.EAST]).max() if d.place else 0.0
            need[k] = ahead
        half = np.full(len(part), PLAN_ERRORS["home_height_m"][1])
        err = rng.normal(0.0, half[0] / OF_90 / 2.0)
        found.append(_compared(Compare.RETURN_LINE, "m", t, only(-part[:, at.DOWN]), need + err, half))
    lost = np.flatnonzero((log[:, to.OFF] > 0.5) & on if KITS[kit].on_board else log[:, to.HEARD_BACK] < 0.5)
    loss = at_loss(d, log, int(lost[0]), off_db, rng) if lost.size and placed and linked else None
    return AgainstPlan(tuple(found), loss, expected, int(d.base.cells), "LiPo")


def at_loss(d: Draft, log: NDArray[np.float32], row: int, off_db: float, rng: Rng) -> AtLoss:
    """Return the link where it was lost, as the plan's ground has it."""
    north, east, down = (float(v) for v in log[max(0, row - 500), at.NORTH : at.NORTH + 3])
    away = math.hypot(north, east)
    _, clear, where = bent(d.world, north, east, -down) if d.place is not None else (0.0, math.nan, math.nan)
    margin = path_level(d.world, d.base, north, east, -down) + off_db - d.base.sensitivity
    half = PLAN_ERRORS["margin_db"][1]
    if d.place is None:
        clear = max(0.5 * (-down + 1.5), 0.5)  # level ground: the ray is lowest at the pilot's eye
    seen = clear + rng.normal(0.0, PLAN_ERRORS["clearance_m"][1] / OF_90) if d.place is not None else clear
    top = math.nan
    if d.place is not None and where > 0.0:
        top = float(d.place.at(np.array([north * where / away]), np.array([east * where / away]))[0])
    return AtLoss(
        t_s=row / 1000.0, distance_m=away, bearing_deg=math.degrees(math.atan2(east, north)) % 360.0, height_m=-down,
        clearance_m=seen, obstacle_from_launch_m=where if d.place is not None else math.nan, obstacle_height_m=top,
        margin_db=Spread(margin, margin - half, margin + half), line_of_sight=seen > 0.0,
    )  # fmt: skip
