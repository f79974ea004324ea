"""Signs of what the load takes off the volts, and of the current itself."""

from __future__ import annotations

from math import exp, hypot, log
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats
from turnback.assess.power_events_fit import even_means, lagged
from turnback.assess.signs_volts_cells import cells_above_pack_with_current, one_cell_collapses
from turnback.assess.signs_volts_ohm import SMOOTH_S, squares
from turnback.assess.signs_volts_pack import GRID_HZ, PackSeen, ohm_of
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, log_spread, needs
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import PhaseKind, RecordAnswer, WhyNot
from turnback.rules.record_signs_volts import (
    HOVER_CURRENT,
    INSTANT_SHARE,
    MIDDLING,
    RESISTANCE_TIMES,
    SAG_LARGE,
    SIZE_SAYS,
    WARMS,
)

GROUP: Final = "resistance"
CURRENT: Final = "current"
EARLIER_SD: Final = 0.15
PLAN_SD: Final = 0.1
WARM_BLOCK_S: Final = 20.0
WARM_BLOCKS: Final = 4
FALLS_TO, STAYS_AT, SHORT_SURE = 0.45, 0.95, 0.9
"""Resistance at the end over that at the start, of a short flight: every pack warms a little as it is flown."""
UNHELD_SURE: Final = 0.75
COLD_TIMES: Final = 1.55
"""Resistance of the first block over the usual one: what some ten degrees below a mild day do."""
NO_CELLS_SURE: Final = 0.85  # packs differ in their slower shares too
HOVER_S: Final = 3.0
HOVER_SD: Final = 0.08
GIVES_WAY: Final = 1.35
CALM_TIMES: Final = 2.0
"""Ohmic resistances by which a new load of some seconds takes volts off a cell."""


def _no_ohm(seen: PackSeen, *, amperes: bool) -> Blind | None:
    """Return why there is no resistance of a cell; None where there is one."""
    if seen.volts is None:
        return needs(Quantity.PACK_VOLTS)
    if seen.load is None or (amperes and not seen.load.amperes):
        return needs(Quantity.CURRENT)
    if not seen.cells:
        return Blind(WhyNot.CELLS_UNKNOWN, (Channel(Quantity.CELL_VOLTS),))
    if seen.ohm is None:
        return Blind(WhyNot.LOAD_TOO_STEADY if seen.aloft.any() else WhyNot.NOT_ALOFT, seen.load.channels)
    return None


def expected_ohm(seen: PackSeen) -> tuple[float, float] | None:
    """Return the resistance of a cell of a new pack of this size, and its error as a share; None where unknown."""
    plan = seen.expected("resistance_mohm_per_cell")
    if plan is not None and plan.mid > 0.0:
        return 1e-3 * plan.mid, hypot(log_spread(plan), PLAN_SD)
    before = [each for each in (ohm_of(one.flown, np.inf) for one in seen.looked.earlier) if each is not None]
    if before:
        return float(np.median([each.ohm for each in before])), EARLIER_SD
    capacity = seen.expected("capacity_ah")
    if capacity is not None and capacity.mid > 0.0:
        return seen.limits.resistance_capacity_ohm_ah / capacity.mid, hypot(log_spread(capacity), SIZE_SAYS.value)
    return None


def resistance_high(seen: PackSeen) -> Saw | Blind:
    """More than twice what a new pack of this size has."""
    blind = _no_ohm(seen, amperes=True)
    if blind is not None or seen.ohm is None:
        return blind or Blind(WhyNot.LOAD_TOO_STEADY)
    usual = expected_ohm(seen)
    if usual is None:
        return Blind(WhyNot.NO_CHANNEL)
    times = seen.ohm.ohm / usual[0]
    sd = hypot(seen.ohm.sd_ohm / seen.ohm.ohm, usual[1])
    values = {"resistance_ohm": seen.ohm.ohm, "usual_ohm": usual[0], "times": times}
    return Saw(log(times / RESISTANCE_TIMES.value) / sd, GROUP, values, channels=seen.channels)


def sag_large(seen: PackSeen) -> Saw | Blind:
    """Volts that a brisk climb would take off a cell within seconds."""
    blind = _no_ohm(seen, amperes=False)
    if blind is not None or seen.ohm is None:
        return blind or Blind(WhyNot.LOAD_TOO_STEADY)
    drawn = seen.load_amount[seen.aloft]
    # a flight that is driven hard all along draws more than a climb would
    usual = min(seen.usual, CALM_TIMES * float(np.percentile(drawn, 10.0))) if drawn.size else seen.usual
    middling = min(MIDDLING.value * usual, float(np.max(seen.load_amount)))
    sag_v = seen.ohm.ohm * GIVES_WAY * middling
    sd_v = GIVES_WAY * middling * seen.ohm.sd_ohm + 0.03
    values = {"sag_v": sag_v, "limit_v": SAG_LARGE.value}
    return Saw((sag_v - SAG_LARGE.value) / sd_v, GROUP, values, channels=seen.channels)


def falls_as_it_warms(seen: PackSeen) -> Saw | Blind:
    """How the resistance changes over the flight: block by block, then a straight line through their logarithms."""
    blind = _no_ohm(seen, amperes=False)
    if blind is not None or seen.ohm is None:
        return blind or Blind(WhyNot.LOAD_TOO_STEADY)
    blocks = _blocks(seen)
    if len(blocks) < WARM_BLOCKS:
        return _falls_by_charge(seen)
    at_s, ohm, sd = (np.array(each) for each in zip(*blocks, strict=True))
    weight = (ohm / sd) ** 2
    middle = float(np.average(at_s, weights=weight))
    spread = float(np.sum(weight * (at_s - middle) ** 2))
    slope = float(np.sum(weight * (at_s - middle) * np.log(ohm))) / spread
    length_s = float(at_s[-1] - at_s[0]) + WARM_BLOCK_S
    miss = np.log(ohm) - np.average(np.log(ohm), weights=weight) - slope * (at_s - middle)
    scatter = max(1.0, float(np.sqrt(np.average(weight * miss**2))))
    change, error = slope * length_s, length_s * scatter / float(np.sqrt(spread))
    if error > 0.35:
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    values = {"fell_share": 1.0 - exp(change), "limit_share": WARMS.value}
    beyond = (log(1.0 - WARMS.value) - change) / hypot(error, 0.2)
    # every pack that is flown empty warms by its own current: a cold one also begins above what it has warm
    usual = expected_ohm(seen) if _no_ohm(seen, amperes=True) is None else None
    if usual is not None and beyond > 0.0:
        began = float(ohm[0]) / usual[0]
        values |= {"start_times": began}
        beyond = min(beyond, log(began / COLD_TIMES) / hypot(usual[1], 0.15))
    most = UNHELD_SURE if usual is None and beyond > 0.0 else 0.98
    return Saw(beyond, GROUP, values, channels=seen.channels, most=most)


def _falls_by_charge(seen: PackSeen) -> Saw | Blind:
    """How the resistance changes with the charge used, of a flight too short for blocks: one fit over all of it."""
    step_s = float(seen.t_s[1] - seen.t_s[0])
    drawn, limits = seen.load_amount, seen.limits
    tied = drawn + limits.r1_ratio * lagged(drawn, limits.tau1_s, step_s)
    tied += limits.r2_ratio * lagged(drawn, limits.tau2_s, step_s)
    used = np.cumsum(drawn) / max(float(np.sum(drawn)), 1e-9)
    parts = (seen.unit_v, tied, tied * (2.0 * used - 1.0), used)
    volts, now, turns, gone = (lagged(each - each[0], SMOOTH_S, step_s) for each in parts)
    columns = np.column_stack([-now, -turns, np.ones(now.size), gone, gone**2, gone**3])
    solved, spread = squares(volts, columns, step_s)
    if not solved[0] > 0.0:
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    half = float(np.clip(solved[1] / solved[0], -0.95, 0.95))
    ratio, error = (1.0 + half) / (1.0 - half), 2.0 * float(np.sqrt(max(spread[1, 1], 0.0))) / float(solved[0])
    if error > 0.5 or FALLS_TO < ratio < STAYS_AT:
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    values = {"fell_share": 1.0 - ratio, "limit_share": 1.0 - FALLS_TO}
    return Saw(log(FALLS_TO / ratio) / hypot(error, 0.15), GROUP, values, channels=seen.channels, most=SHORT_SURE)


def _blocks(seen: PackSeen) -> list[tuple[float, float, float]]:
    """Return (time, resistance, error) of blocks in which the load changes enough."""
    found: list[tuple[float, float, float]] = []
    width = round(WARM_BLOCK_S * GRID_HZ)
    rows = np.flatnonzero(seen.aloft)
    # what takes seconds is told apart: else a block of short bursts seems to have less resistance than a calm one
    slow = lagged(seen.load_amount, seen.limits.tau1_s, float(seen.t_s[1] - seen.t_s[0]))
    for first in range(0, rows.size - width + 1, width):
        block = rows[first : first + width]
        drawn, volts = seen.load_amount[block], seen.unit_v[block]
        along = np.linspace(-1.0, 1.0, width)
        columns = np.column_stack([-drawn, -slow[block], np.ones(width), along, along**2])
        inverse = np.linalg.pinv(columns.T @ columns, rcond=1e-12, hermitian=True)
        solved = inverse @ (columns.T @ volts)
        noise = float(np.sqrt(np.mean((volts - columns @ solved) ** 2)))
        sd = 2.0 * noise * float(np.sqrt(max(inverse[0, 0], 0.0))) + 1e-9
        if solved[0] > 2.0 * sd:
            found.append((float(seen.t_s[block[width // 2]]), float(solved[0]), sd))
    return found


def instant_drop(seen: PackSeen) -> Saw | Blind:
    """Hardly anything of the drop takes seconds, and it is more than a pack of this size explains."""
    blind = _no_ohm(seen, amperes=True)
    if blind is not None or seen.ohm is None:
        return blind or Blind(WhyNot.LOAD_TOO_STEADY)
    usual = expected_ohm(seen)
    share, sd = seen.ohm.slow_share, seen.ohm.slow_sd
    quick = (INSTANT_SHARE.value - share) / sd
    values = {"slow_share": share, "resistance_ohm": seen.ohm.ohm}
    weak = one_cell_collapses(seen)
    if isinstance(weak, Saw) and weak.beyond > 0.0:
        quick = min(quick, -0.7)  # one cell explains it
    warms = falls_as_it_warms(seen)
    if isinstance(warms, Saw) and warms.beyond > 0.0:
        quick = min(quick, -0.7)  # no lead warms like that
    beside = cells_above_pack_with_current(seen)
    if isinstance(beside, Saw):  # with cells recorded it shows where the drop is
        quick = min(max(quick, 0.5), beside.beyond) if beside.beyond > 0.0 else min(quick, beside.beyond)
    if usual is None:
        return Saw(quick, GROUP, values, channels=seen.channels, most=0.6)
    more = log(seen.ohm.ohm / usual[0] / 1.5) / hypot(seen.ohm.sd_ohm / seen.ohm.ohm, usual[1])
    most = 0.98 if isinstance(beside, Saw) else NO_CELLS_SURE
    return Saw(min(quick, more), GROUP, values | {"usual_ohm": usual[0]}, channels=seen.channels, most=most)


def current_above_rating(seen: PackSeen) -> Saw | Blind:
    """A plan's rating is the pack's; what the speed controls are made for is often another, and no plan knows it."""
    return needs(Quantity.CURRENT) if seen.load is None or not seen.load.amperes else NOBODY


def hover_current_a(answer: RecordAnswer, until_s: float) -> float | None:
    """Return the median current over hovers of a flight; None where it never hovered or no current is recorded."""
    series = answer.flown.record.get(Quantity.CURRENT)
    if series is None or series.t_s.size < 2:
        return None
    picked: list[Floats] = []
    for phase in answer.flown.phases:
        end_s = min(phase.end_s, until_s)
        if phase.kind is PhaseKind.HOVER and end_s - phase.start_s >= HOVER_S:
            picked.append(even_means(series.t_s, series.values, np.arange(phase.start_s + 1.0, end_s, 0.1)))
    return float(np.median(np.concatenate(picked))) if picked else None


def current_high_in_hover(seen: PackSeen) -> Saw | Blind:
    """The hover's current against the plan's, or earlier flights'."""
    hover_a = hover_current_a(seen.answer, seen.looked.ended_s)
    if hover_a is None:
        record = seen.answer.flown.record
        return needs(Quantity.CURRENT) if record.get(Quantity.CURRENT) is None else Blind(WhyNot.TOO_SHORT)
    before = [each for each in (hover_current_a(one, np.inf) for one in seen.looked.earlier) if each is not None]
    plan = seen.expected("hover_current_a")
    if before:
        usual_a, sd = float(np.median(before)), HOVER_SD
    elif plan is not None and plan.mid > 0.0:
        usual_a, sd = plan.mid, hypot(log_spread(plan), HOVER_SD)
    else:
        return Blind(WhyNot.NO_CHANNEL)
    times = max(hover_a, 1e-3) / usual_a
    values = {"hover_a": hover_a, "usual_a": usual_a, "times": times}
    return Saw(log(times / HOVER_CURRENT.value) / sd, CURRENT, values, channels=(Channel(Quantity.CURRENT),))
