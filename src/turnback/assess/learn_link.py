"""What a flight teaches of its site: how much less, or more, of the control link arrives than the model says.

A flight with levels is a range walk in the air, and is fitted as one (`turnback.assess.walk_fit`).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from turnback.assess.against_link import LINK_ENDS
from turnback.assess.against_track import means
from turnback.assess.learn_flight import Lesson
from turnback.assess.walk_fit import fit_walk, walk_prior
from turnback.assess.walk_fit_carry import CarriedOver, carried_over
from turnback.assess.walk_judge import limits_of
from turnback.assess.walk_reception import predicted
from turnback.assess.world import fill
from turnback.physics.terrain_grid import terrain_grid
from turnback.records.case import Case
from turnback.records.channel import Quantity
from turnback.records.debrief import LearnedNumber, NotLearned
from turnback.records.finding import Spread
from turnback.records.learned import Learned, LearnedAbout
from turnback.records.walk import Walk, WalkEnd, WalkMode
from turnback.records.world import LossWorld
from turnback.rules.record_learn import LINK_FLAT, LINK_PATTERN, LINK_POORER, LINK_SLOPE, RECORDED_LEAST, SAME_GROUND

KEYS: Final = (
    "control_offset_db", "control_excess_exponent", "control_sigma_ratio", "control_reference_m", "control_walked_m",
)  # fmt: skip
"""All of one walk or flight, so that no two are mixed."""
MOST_READINGS: Final = 120
METHOD: Final = "link-as-walk"
LEAST_ABOVE_M: Final = 0.5


def learn_link(lesson: Lesson) -> dict[str, LearnedNumber | NotLearned]:
    """Return loss beyond the model at a distance, how it grows, and its spread; all or none.

    An earlier walk or flight is put together with this one: both saw the same hills (`together`).
    """
    walk = _walk_of(lesson)
    if isinstance(walk, NotLearned):
        return dict.fromkeys(KEYS, walk)
    case = _bare(lesson.case)
    world = fill(case)
    terrain = case.terrain
    ground = terrain_grid(terrain.heights_m, terrain.x_west_m, terrain.y_north_m, terrain.cell_m)
    model = predicted(world, ground, terrain, walk, 1)
    fit = fit_walk(walk, model.level_dbm, model.sigma_db, walk_prior(model.offset_sd_db))
    if limits_of(fit):
        return dict.fromkeys(KEYS, NotLearned.TOO_SHORT)
    known = fill(lesson.case).control.measured
    kept = _with_pattern(carried_over(fit))
    if known is None:
        return _numbers(kept, None)
    earlier = _earlier(known, kept.reference_m)
    both = together(earlier, kept)
    before = Spread(known.offset_db.value, known.offset_db.low, known.offset_db.high)
    return dict.fromkeys(KEYS, NotLearned.TOO_SHORT) if both is earlier else _numbers(both, before)


def _numbers(kept: CarriedOver, before: Spread | None) -> dict[str, LearnedNumber | NotLearned]:
    at_m, to_m = (Spread(each, each, each) for each in (kept.reference_m, kept.walked_m))
    rows = (kept.offset_db, kept.excess_exponent, kept.sigma_ratio, at_m, to_m)
    return {
        key: LearnedNumber(
            LearnedAbout.SITE, key, row.mid, row.low, row.high, before if key == KEYS[0] else None, METHOD
        )
        for key, row in zip(KEYS, rows, strict=True)
    }


def _with_pattern(fitted: CarriedOver) -> CarriedOver:
    """Return what a fit says, widened by what no one flight can see: its antennas' patterns, and one site's hills."""
    return replace(
        fitted,
        offset_db=_widened(fitted.offset_db, LINK_PATTERN.value),
        excess_exponent=_widened(fitted.excess_exponent, LINK_SLOPE.value),
    )


def _widened(row: Spread, half: float) -> Spread:
    low, high = float(np.hypot(row.mid - row.low, half)), float(np.hypot(row.high - row.mid, half))
    return Spread(row.mid, row.mid - low, row.mid + high)


def _earlier(known: LossWorld, reference_m: float) -> CarriedOver:
    """Return what was known, its offset as it is at another distance."""
    offset, exponent, ratio = (
        Spread(each.value, each.low, each.high) for each in (known.offset_db, known.excess_exponent, known.sigma_ratio)
    )
    tens = 10.0 * float(np.log10(reference_m / known.reference_m))
    mid = offset.mid + tens * exponent.mid
    reach = float(np.hypot(_half(offset), tens * _half(exponent)))
    return CarriedOver(Spread(mid, mid - reach, mid + reach), exponent, ratio, reference_m, known.walked_m)


def together(earlier: CarriedOver, now: CarriedOver) -> CarriedOver:
    """Return what two flights over one site say; one of them alone where the other knows far less.

    Parameters
    ----------
    earlier, now : CarriedOver
        Offsets at one and the same distance.

    Notes
    -----
    Weights are inverse to the squared widths. Neither is taken for being a little narrower: that is chance, and bands
    chosen by it hold too seldom. Hills, antennas and the model's error are the same in both, so that nearly all of
    their error is shared and stays (`SAME_GROUND`).
    """
    ratio = (_half(now.offset_db) / max(_half(earlier.offset_db), 1e-9)) ** 2
    if ratio > LINK_POORER.value:
        return earlier
    if ratio < 1.0 / LINK_POORER.value:
        return now
    logs = (Spread(*(float(np.log(each)) for each in (row.mid, row.low, row.high)))
            for row in (earlier.sigma_ratio, now.sigma_ratio))  # fmt: skip
    sigma = _averaged(*logs)
    return CarriedOver(
        _averaged(earlier.offset_db, now.offset_db),
        _averaged(earlier.excess_exponent, now.excess_exponent),
        Spread(*(float(np.exp(each)) for each in (sigma.mid, sigma.low, sigma.high))),
        now.reference_m,
        max(earlier.walked_m, now.walked_m),
    )


def _averaged(one: Spread, other: Spread) -> Spread:
    """Return the mean of two bands whose errors are nearly the same: its ends are as far out as they leave it."""
    a, b = max(_half(one), 1e-9) ** 2, max(_half(other), 1e-9) ** 2
    weight = a / (a + b)
    shared = SAME_GROUND.value * np.sqrt(a * b)
    reach = float(np.sqrt(weight**2 * b + (1.0 - weight) ** 2 * a + 2.0 * weight * (1.0 - weight) * shared))
    mid = one.mid + weight * (other.mid - one.mid)
    return Spread(mid, mid - reach, mid + reach)


def _half(row: Spread) -> float:
    return 0.5 * (row.high - row.low)


def _bare(case: Case) -> Case:
    """Return a case as if no walk or flight had taught anything of its control link."""
    site = case.plan.site.model_copy(update=dict.fromkeys(KEYS))
    kept = tuple(each for each in case.learned.entries if each.of is not LearnedAbout.SITE or each.quantity not in KEYS)
    return replace(case, plan=case.plan.model_copy(update={"site": site}), learned=Learned(kept))


def _walk_of(lesson: Lesson) -> Walk | NotLearned:
    """Return the levels of a flight as a walk's readings, before the link went."""
    record, at, case = lesson.answer.flown.record, lesson.at, lesson.case
    series, power = record.get(Quantity.LINK_LEVEL), record.get(Quantity.TRANSMIT_POWER)
    band = lesson.craft.draws.world.control.ground_power_dbm
    if at is None or series is None or series.t_s.size < 2 or band is None or not at.placed.any():
        return NotLearned.NO_CHANNEL
    if not at.on_site:
        return NotLearned.NO_SUCH_SEGMENT
    until_s = lesson.sound_until_s(LINK_ENDS)
    level = means(series, at.t_s)
    rows = np.flatnonzero(at.placed & at.flying & np.isfinite(level) & (at.t_s < until_s))
    rows = rows[case.terrain.covers(at.x_m[rows], at.y_m[rows])]
    if rows.size < RECORDED_LEAST.value:
        return NotLearned.FAULTY_FLIGHT if np.isfinite(until_s) else NotLearned.TOO_SHORT
    rows = rows[np.hypot(at.x_m[rows], at.y_m[rows]) >= LINK_FLAT.value * at.height_m[rows]]
    if rows.size < RECORDED_LEAST.value:
        return NotLearned.NO_SUCH_SEGMENT
    rows = rows[np.unique(np.linspace(0, rows.size - 1, min(rows.size, MOST_READINGS)).astype(int))]
    sent_dbm = np.full(rows.size, band.value)
    if power is not None and power.t_s.size > 1:
        with np.errstate(invalid="ignore", divide="ignore"):
            told = 10.0 * np.log10(means(power, at.t_s)[rows] * 1e3)
        sent_dbm = np.where(np.isfinite(told), told, sent_dbm)
    x_m, y_m = at.x_m[rows], at.y_m[rows]
    above_m = at.height_m[rows] + case.launch_height_m - case.terrain.ground_m(x_m, y_m)
    limit = lesson.craft.draws.world.control.aircraft_sensitivity_dbm
    censored = (
        level[rows] <= max(limit.value, float(level[rows].min()))
        if level[rows].min() <= limit.high
        else (np.zeros(rows.size, np.bool_))
    )
    return Walk(
        "control", WalkMode.IN_FLIGHT, WalkEnd.AIRCRAFT, x_m, y_m, np.maximum(above_m, LEAST_ABOVE_M), level[rows],
        np.asarray(censored), sent_dbm, record.name,
    )  # fmt: skip
