"""The second generator's flights with a known cause."""

from __future__ import annotations

import math
from copy import deepcopy

import numpy as np
from studies.debrief_flown.cases import FlownCase
from studies.debrief_flown.kits import NO_PLAN_SHARE, group_of
from studies.debrief_flown.noticed import TRIES
from studies.debrief_flown.rotorpy_board import STEP_S
from studies.debrief_flown.rotorpy_faults import FAULTS
from studies.debrief_flown.rotorpy_flight import PLACE, Flight
from studies.debrief_flown.rotorpy_noticed import troubles
from studies.debrief_flown.rotorpy_plan import against
from studies.debrief_flown.rotorpy_record import see
from studies.debrief_flown.rotorpy_world import NEVER, Build, Floats, Rng, Way, Wrong, draw_build, draw_way

HEALTHY = ("plain", "plain", "windy", "brisk", "old pack", "returns on purpose", "punches")


def causes() -> tuple[str, ...]:
    """Return the keys of the book that are flown here."""
    return tuple(FAULTS)


def fly_cause(seed: int, cause: str | None, kit: str) -> FlownCase:
    """Fly one case.

    Parameters
    ----------
    seed : int
        Same seed and cause, same flight, whatever the kit.
    cause : str or None
        One of `causes`; None: healthy.
    kit : str
        Key of `kits.KITS`.
    """
    for again in range(TRIES):
        flight, log, sound, kind = _fly(seed, cause, again)
        noticed = troubles(flight, log, sound)
        if cause is None or noticed:
            break
    wrong, build = flight.wrong, flight.build
    seen = see(flight, log, kit, np.random.default_rng([seed, 43, sum(map(ord, kit))]))
    has_plan = bool(np.random.default_rng([seed, 47]).random() >= NO_PLAN_SHARE)
    plan = against(flight, sound, log, kit, np.random.default_rng([seed, 53])) if has_plan else None
    true = {
        "at_s": wrong.at_s if wrong.at_s < NEVER else 0.0, "ended_s": len(log) * STEP_S, "healthy": kind,
        "crashed_s": flight.crashed_s if flight.crashed_s < NEVER else math.nan,
        "highest_m": float(log[:, PLACE["up"]].max()), "troubles": noticed, "tries": again + 1,
    }  # fmt: skip
    facts = {
        "cells": int(wrong.notes.get("declared_cells", build.cells)), "chemistry": "LiPo", "blades": build.blades,
        "scheme": int(build.scheme), "latitude_deg": wrong.notes["latitude_deg"],
        "longitude_deg": wrong.notes["longitude_deg"], "has_plan": has_plan, "true": true,
    }  # fmt: skip
    return FlownCase(seed, cause, kit, seen, facts, plan, group_of(cause, kit, has_plan))


def _fly(seed: int, cause: str | None, again: int) -> tuple[Flight, Floats, Build, str]:
    """Draw and fly once: a fresh day, way and severity each time; the first as if there were no other."""
    rng = np.random.default_rng([seed, 31, again] if again else [seed, 31])
    build, way, wrong = draw_build(rng), draw_way(rng), Wrong()
    wrong.notes.update(latitude_deg=rng.uniform(36.0, 60.0), longitude_deg=rng.uniform(-8.0, 24.0),
                       taller_m=rng.uniform(2.0, 8.0))  # fmt: skip
    sound, kind = deepcopy(build), ""
    if cause is None:
        kind = _healthy(rng, way, wrong)
    else:
        FAULTS[cause](rng, build, way, wrong)
    if "left" in wrong.notes:
        _give_pack(build, way, wrong, seed, again)
    if "left" in wrong.notes or cause == "pack-cold":  # the plan knows the pack
        sound.capacity, sound.ohm, sound.slow_ohm = build.capacity, build.ohm, build.slow_ohm
    if cause == "beyond-range":  # the plan knows the radio: the way was too long for it
        sound.level_dbm = build.level_dbm
    flight = Flight(build, way, wrong, seed, again)
    return flight, flight.fly(), sound, kind


def _give_pack(build: Build, way: Way, wrong: Wrong, seed: int, again: int) -> None:
    """Give it a pack with so much left at a moment: flown once with plenty, to see what it takes."""
    plenty = deepcopy(build)
    plenty.capacity = 8.0 * build.capacity
    log = Flight(plenty, deepcopy(way), deepcopy(wrong), seed, again).fly()
    row = min(int(float(wrong.notes["left_s"]) / STEP_S), len(log) - 1)
    build.capacity = float(log[row, PLACE["used"]]) / (build.charge - float(wrong.notes["left"]))


def _healthy(rng: Rng, way: Way, wrong: Wrong) -> str:
    """Draw one kind of flight that looks less than perfect and is sound."""
    kind = str(rng.choice(HEALTHY))
    if kind == "windy":
        way.wind, way.gust = rng.uniform(4.5, 6.0), 0.7
    elif kind == "brisk":
        way.speed = rng.uniform(10.0, 13.0)
    elif kind == "old pack":
        wrong.ohm = rng.uniform(1.2, 1.5)
    elif kind == "punches":
        begin = float(rng.uniform(way.out_s, way.home_s - 1.0))
        wrong.notes["punches"] = ((begin, rng.uniform(4.0, 6.0)),)
    elif kind == "returns on purpose":
        wrong.returns_s = way.back_s
        wrong.over_s = way.back_s + 60.0
        way.rate_mode = False
    return kind
