"""Our own simulator's flights with a known cause."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown import own_columns as to
from studies.debrief_flown.cases import FlownCase
from studies.debrief_flown.kits import NO_PLAN_SHARE, group_of
from studies.debrief_flown.noticed import TRIES, Trouble
from studies.debrief_flown.own_against import against
from studies.debrief_flown.own_causes_away import AWAY
from studies.debrief_flown.own_causes_build import BUILD
from studies.debrief_flown.own_causes_pack import PACK
from studies.debrief_flown.own_causes_pilot import PILOT
from studies.debrief_flown.own_flights import HEALTHY, Draft, drawn, healthy, seeds
from studies.debrief_flown.own_loop import fly
from studies.debrief_flown.own_noticed import troubles
from studies.debrief_flown.own_sensors import GAS, see
from studies.record_flown import columns as at

MENU = BUILD | PILOT | PACK | AWAY
LONGEST_S = 200.0
SLIGHT = frozenset({Trouble.SHAKES.value, Trouble.DISOBEYS.value, Trouble.WEAK.value})
"""Troubles that the same aircraft on the same day may have without its fault: they count where it then has none."""
EMPTY = ("low-volts-warning-absent", "warning-ignored", "turned-back-too-late")


def causes() -> tuple[str, ...]:
    """Return the keys of the book that are flown here."""
    return tuple(MENU)


def draft(seed: int, cause: str | None, kind: str = "", again: int = 0) -> Draft:
    """Draw one flight with its cause, or a healthy one; `again` counts draws of one flight."""
    d = drawn(seed, again)
    if cause is None:
        healthy(d, kind or HEALTHY[int(np.random.default_rng([seed, 5]).integers(0, len(HEALTHY)))])
    else:
        MENU[cause](d)
    rng = np.random.default_rng(seeds(seed, 37, again))
    if d.place is not None:
        where = d.place.latitude_deg, d.place.longitude_deg, d.place.height_m
    else:
        where = rng.uniform(36.0, 60.0), rng.uniform(-8.0, 24.0), rng.uniform(5.0, 700.0)
    if d.world.air == 1.0:
        pressure = 101_325.0 * (1.0 - 2.25577e-5 * where[2]) ** 5.25588
        d.set(air=pressure / (GAS * (d.air_c + 273.15)) / 1.225)
    if "share" in d.seen:
        _give_pack(d, seed, again)
    d.seen.update(zip(("latitude_deg", "longitude_deg", "ground_m"), where, strict=True))
    return d


def _give_pack(d: Draft, seed: int, again: int) -> None:
    """Give it a pack of which it takes a drawn share until a moment: flown once with plenty, to see what it takes."""
    kept = d.craft
    d.cells(capacity=kept.capacity * 2.0, r_pack=kept.r_pack / 2.0)
    log = flown(d, seed, again)
    row = min(int(1000 * d.times.get(d.seen["until"], 1e6)), len(log) - 1)
    capacity = float(log[row, at.CHARGE]) * 1.03 / d.seen["share"]
    for_it = {"capacity": capacity, "r_pack": kept.cells * 0.006 / capacity * d.rng.uniform(0.8, 1.2),
              "r_slow": kept.cells * 0.0015 / capacity}  # fmt: skip
    d.craft, d.base = kept._replace(**for_it), d.base._replace(**for_it)
    d.set(heat=900.0 * 0.03 * kept.cells * capacity)


def flown(d: Draft, seed: int, again: int = 0) -> NDArray[np.float32]:
    """Fly it; a row a millisecond."""
    rows = int(min(d.plan.end, LONGEST_S) * 1000)
    noise = np.random.default_rng(seeds(seed, 11, again)).standard_normal((rows, 18), dtype=np.float32)
    log = np.zeros((rows, to.WIDE), np.float32)
    done = fly(d.craft, d.plan, d.world, d.launch, d.shift, d.gain, noise, log)
    return log[:done]


def also_true(d: Draft, log: NDArray[np.float32], cause: str | None) -> tuple[str, ...]:
    """Return causes that hold in this flight beside the one that was drawn: read off the truth, not off a record."""
    found = list(d.true.get("also", ()))
    aloft = -log[:, at.DOWN] - log[:, to.GROUND] > 0.5
    rest = float(log[aloft, at.REST].min(initial=5.0))
    if rest < 3.6:
        found += EMPTY
    if rest < 3.0:
        found.append("pack-over-discharged")
    lost = (log[:, at.LOST] > 0.5) & aloft
    if lost.any() and d.craft.action == 0.0 and (log[:, at.MODE] == at.STOPPED).any():
        found.append("radio-loss-stops-motors-as-set")
    if d.craft.action == 1.0 and lost.any():
        found.append("radio-loss-keeps-last-sticks")
    return tuple(each for each in found if each != cause)


def _noticed(seed: int, cause: str | None) -> tuple[Draft, NDArray[np.float32], tuple[str, ...], int]:
    """Fly, and draw again where a cause does nothing that anybody would notice; return troubles and draws too."""
    for again in range(TRIES):
        d = draft(seed, cause, again=again)
        log = flown(d, seed, again)
        found = troubles(d, log)
        if cause is not None and found and set(found) <= SLIGHT:  # a gust, or a hard hand, may do as much
            calm = drawn(seed, again)
            usual = troubles(calm, flown(calm, seed, again))
            found = tuple(one for one in found if one not in usual)
        if found or cause is None:
            break
    return d, log, found, again + 1


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
    d, log, found, tries = _noticed(seed, cause)
    if cause is None and d.true["healthy"] != "hard-landed" and log[:, at.TOUCH].max() > 6.0:
        d = draft(seed, None, "plain")  # flown too hard to be called healthy
        log = flown(d, seed)
        found = troubles(d, log)
    rng = np.random.default_rng([seed, 13, sum(map(ord, kit))])
    seen = see(d, log, kit, rng)
    has_plan = bool(np.random.default_rng([seed, 17]).random() >= NO_PLAN_SHARE)
    plan = against(d, log, kit, np.random.default_rng([seed, 19])) if has_plan else None
    hard = np.flatnonzero((log[:, at.TOUCH] > 6.0) & (np.maximum.accumulate(-log[:, at.DOWN]) > 0.5))
    true = {
        "at_s": 0.0, **d.true, "also": also_true(d, log, cause), "ended_s": len(log) / 1000.0,
        "troubles": found, "tries": tries,
        "crashed_s": float(hard[0]) / 1000.0 if hard.size else math.nan,
    }  # fmt: skip
    facts = {
        "cells": int(d.base.cells), "chemistry": "LiPo", "blades": int(d.craft.blades), "scheme": int(d.craft.scheme),
        "latitude_deg": d.seen["latitude_deg"], "longitude_deg": d.seen["longitude_deg"], "has_plan": has_plan,
        "true": true,
    }  # fmt: skip
    return FlownCase(seed, cause, kit, seen, facts, plan, group_of(cause, kit, has_plan))
