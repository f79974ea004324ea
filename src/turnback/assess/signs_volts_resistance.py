"""Signs of what the load takes off the volts, and of the current itself."""

from __future__ import annotations

from math import hypot, log
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats
from turnback.assess.power_events_fit import even_means
from turnback.assess.signs_volts_cells import cells_above_pack_with_current, one_cell_collapses
from turnback.assess.signs_volts_pack import PackSeen
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, log_spread, needs
from turnback.assess.signs_volts_warm import expected_ohm, falls_as_it_warms, no_ohm, ohm_at_ends
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import PhaseKind, RecordAnswer, WhyNot
from turnback.rules.record_signs_volts import (
    HOVER_CURRENT,
    INSTANT_SHARE,
    LEAD_SAG,
    MIDDLING,
    RESISTANCE_TIMES,
    SAG_LARGE,
)

GROUP: Final = "resistance"
CURRENT: Final = "current"
NO_SIZE_SURE, LEAD_SAG_SD_V = 0.75, 0.05
NO_CELLS_SURE: Final = 0.85  # packs differ in their slower shares too
HOVER_S: Final = 3.0
HOVER_SD: Final = 0.08
GIVES_WAY: Final = 1.35
CALM_TIMES: Final = 2.0
"""Ohmic resistances by which a new load of some seconds takes volts off a cell."""


def resistance_high(seen: PackSeen) -> Saw | Blind:
    """More than twice what a new pack of this size has; at first, where it came good as it warmed."""
    blind = no_ohm(seen, amperes=True)
    if blind is not None or seen.ohm is None:
        return blind or Blind(WhyNot.LOAD_TOO_STEADY)
    usual = expected_ohm(seen)
    if usual is None:
        return Blind(WhyNot.NO_CHANNEL)
    ohm, sd_ohm = _most_ohm(seen, seen.ohm.ohm, seen.ohm.sd_ohm)
    times = ohm / usual[0]
    sd = hypot(sd_ohm / ohm, usual[1])
    values = {"resistance_ohm": ohm, "usual_ohm": usual[0], "times": times}
    return Saw(log(times / RESISTANCE_TIMES.value) / sd, GROUP, values, channels=seen.channels)


def high_but_spared(seen: PackSeen) -> bool:
    """Tell whether the resistance is high for the pack's size: volts that hold say only that little was drawn then."""
    high = resistance_high(seen)
    return isinstance(high, Saw) and high.beyond > 0.0


def _most_ohm(seen: PackSeen, ohm: float, sd_ohm: float) -> tuple[float, float]:
    """Return the resistance of a cell over the flight, or at take-off where it was more then, and its error."""
    ends = ohm_at_ends(seen)
    if isinstance(ends, Blind) or ends[0][0] <= ohm:
        return ohm, sd_ohm
    return ends[0][0], hypot(ends[0][1], sd_ohm)


def sag_large(seen: PackSeen) -> Saw | Blind:
    """Volts that a brisk climb would take off a cell within seconds: at first, where it came good as it warmed."""
    blind = no_ohm(seen, amperes=False)
    if blind is not None or seen.ohm is None:
        return blind or Blind(WhyNot.LOAD_TOO_STEADY)
    drawn = seen.load_amount[seen.aloft]
    # a flight that is driven hard all along draws more than a climb would
    usual = min(seen.usual, CALM_TIMES * float(np.percentile(drawn, 10.0))) if drawn.size else seen.usual
    middling = min(MIDDLING.value * usual, float(np.max(seen.load_amount)))
    ohm, sd_ohm = _most_ohm(seen, seen.ohm.ohm, seen.ohm.sd_ohm)
    sag_v = ohm * GIVES_WAY * middling
    sd_v = GIVES_WAY * middling * sd_ohm + 0.03
    values = {"sag_v": sag_v, "limit_v": SAG_LARGE.value}
    if sag_v < SAG_LARGE.value and high_but_spared(seen):
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    return Saw((sag_v - SAG_LARGE.value) / sd_v, GROUP, values, channels=seen.channels)


def instant_drop(seen: PackSeen) -> Saw | Blind:
    """Hardly anything of the drop takes seconds, and it is more than a pack of this size explains."""
    blind = no_ohm(seen, amperes=True)
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
    if usual is None:  # of what size the pack is nobody told: then it must take off as much as a lead that is felt
        sag = sag_large(seen)
        much = (sag.values["sag_v"] - LEAD_SAG.value) / LEAD_SAG_SD_V if isinstance(sag, Saw) else quick
        return Saw(min(quick, much), GROUP, values, channels=seen.channels, most=NO_SIZE_SURE)
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
