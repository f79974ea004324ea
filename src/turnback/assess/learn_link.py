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
from turnback.assess.walk_fit_carry import carried_over
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
from turnback.rules.record_learn import RECORDED_LEAST

KEYS: Final = (
    "control_offset_db", "control_excess_exponent", "control_sigma_ratio", "control_reference_m", "control_walked_m",
)  # fmt: skip
"""All of one walk or flight, so that no two are mixed."""
MOST_READINGS: Final = 120
METHOD: Final = "link-as-walk"
LEAST_ABOVE_M: Final = 0.5


def learn_link(lesson: Lesson) -> dict[str, LearnedNumber | NotLearned]:
    """Return loss beyond the model at a distance, how it grows, and its spread; all or none.

    What an earlier walk or flight taught stands until one of them knows the offset better: both saw the same hills.
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
    before = None if known is None else Spread(known.offset_db.value, known.offset_db.low, known.offset_db.high)
    kept = carried_over(fit)
    if before is not None and before.high - before.low <= kept.offset_db.high - kept.offset_db.low:
        return dict.fromkeys(KEYS, NotLearned.TOO_SHORT)
    at_m, to_m = (Spread(each, each, each) for each in (kept.reference_m, kept.walked_m))
    rows = (kept.offset_db, kept.excess_exponent, kept.sigma_ratio, at_m, to_m)
    return {
        key: LearnedNumber(
            LearnedAbout.SITE, key, row.mid, row.low, row.high, before if key == KEYS[0] else None, METHOD
        )
        for key, row in zip(KEYS, rows, strict=True)
    }


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
