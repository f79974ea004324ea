"""How the resistance of a cell changes from take-off to landing: a cold pack warms itself."""

from __future__ import annotations

from math import exp, hypot, log
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats, Span
from turnback.assess.power_events_fit import even_means, lagged
from turnback.assess.signs_volts_ohm import SMOOTH_S, squares
from turnback.assess.signs_volts_pack import PackSeen, ohm_of
from turnback.assess.signs_volts_told import Blind, Saw, log_spread, needs
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_place import COLD
from turnback.rules.record_signs_volts import COLD_ENDS, COLD_STARTS, SIZE_SAYS, STAYS, WARMS, WARMS_ALONE

GROUP: Final = "resistance"
EARLIER_SD: Final = 0.15
PLAN_SD: Final = 0.1
BEFORE_S, PART_S, AFTER_S = 3.0, 12.0, 3.0
"""Ground before, flight on either side, ground after: what is switched on or off between them tells the resistance."""
STANDS_S, IDLES = 0.3, 0.4
"""It stands, and draws less than this share of what flying takes."""
LEAST_PART_S: Final = 3.0
SHARE_OF_FLIGHT: Final = 0.4
LEAST_STEP: Final = 0.15
"""Of the usual load: a part whose load varies by less tells no resistance."""
FEWEST_ROWS: Final = 20
RATIO_SD, MOST_ERROR = 0.08, 0.4
"""What packs differ by, and how well the resistance at both ends must be known, as shares."""
BEND_V: Final = 0.22
"""So far above the land-by volts at rest the bend of the curve begins: there volts fall off whatever the load."""
MILD_ABOVE_C: Final = 3.0
"""Above what counts as a cold day: a pack may have lain colder than the air."""
ALONE_SURE, HELD_SURE = 0.85, 0.9


def no_ohm(seen: PackSeen, *, amperes: bool) -> Blind | None:
    """Return why there is no resistance of a cell; None where there is one.

    Parameters
    ----------
    seen : PackSeen
    amperes : bool
        Whether the load must be a current.
    """
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


def falls_as_it_warms(seen: PackSeen) -> Saw | Blind:
    """The resistance at landing over that at take-off, from what is switched on and off there.

    A pack that is drawn hard warms as a cold one does: a plan tells that it began above and ended near what a new one
    has; without one it must fall further.
    """
    blind = no_ohm(seen, amperes=False)
    if blind is not None:
        return blind
    ends = ohm_at_ends(seen)
    if isinstance(ends, Blind):
        return ends
    (first, first_sd), (last, last_sd) = ends
    change = log(last / first)
    sd = hypot(hypot(first_sd / first, last_sd / last), RATIO_SD)
    values = {"fell_share": 1.0 - exp(change), "limit_share": WARMS.value}
    stays = (change - log(STAYS.value)) / sd
    if stays > 0.0:
        return Saw(-stays, GROUP, values, channels=seen.channels)
    if _mild(seen):  # what falls then is a pack that warms by what is drawn from it
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    usual = expected_ohm(seen) if no_ohm(seen, amperes=True) is None else None
    if usual is None:
        alone = (log(WARMS_ALONE.value) - change) / sd
        most = ALONE_SURE
    else:
        values |= {"start_times": first / usual[0], "end_times": last / usual[0]}
        size_sd = hypot(usual[1], RATIO_SD)
        alone = min((log(1.0 - WARMS.value) - change) / sd, log(first / usual[0] / COLD_STARTS.value) / size_sd,
                    log(COLD_ENDS.value * usual[0] / last) / size_sd)  # fmt: skip
        most = HELD_SURE
    if alone <= 0.0:  # every pack warms a little as it is flown: neither
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    return Saw(alone, GROUP, values, channels=seen.channels, most=most)


def _mild(seen: PackSeen) -> bool:
    """Tell whether the pack was not cold as it took off, by its own temperature or by the plan's day."""
    series = seen.answer.flown.record.get(Quantity.PACK_TEMPERATURE)
    if series is not None and series.t_s.size:
        return float(series.values[0]) > COLD.value + MILD_ABOVE_C
    day = seen.expected("temperature_c")
    return day is not None and day.mid > COLD.value + MILD_ABOVE_C


def ohm_at_ends(seen: PackSeen) -> tuple[tuple[float, float], tuple[float, float]] | Blind:
    """Return the resistance of a cell and its error at take-off and at landing; of an empty pack neither.

    Parameters
    ----------
    seen : PackSeen

    Returns
    -------
    tuple of (float, float), twice, or Blind
        In ohm, or in volts per full load where the load is no current.
    """
    dull = Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    if seen.volts is None or seen.load is None or not seen.aloft.any() or seen.empty_at is not None:
        return dull
    until_s = min(float(seen.volts.t_s[-1]), float(seen.load.t_s[-1]), seen.looked.ended_s + AFTER_S + 1.0)
    step_s = float(seen.t_s[1] - seen.t_s[0])
    t_s = np.arange(float(seen.t_s[0]), until_s + 1e-9, step_s)
    unit_v = even_means(seen.volts.t_s, seen.volts.volts, t_s) / (seen.cells or 1)
    amount = even_means(seen.load.t_s, seen.load.amount, t_s)
    rows = np.flatnonzero(seen.aloft)
    up_s, down_s = float(seen.t_s[rows[0]]), float(seen.t_s[rows[-1]])
    part_s = min(PART_S, SHARE_OF_FLIGHT * (down_s - up_s))
    after = unit_v[_rows(t_s, (down_s + STANDS_S, down_s + AFTER_S)) & (amount < IDLES * seen.usual)]
    if after.size < 3:  # no landing: loaded volts that are high will do
        after = unit_v[_rows(t_s, (down_s - AFTER_S, down_s))]
    if part_s < LEAST_PART_S or after.size < 3 or float(np.max(after)) < seen.limits.land_by_rest_v + BEND_V:
        return dull
    parts = _smoothed(seen, unit_v, amount, step_s)
    first = _ohm(parts, amount, _rows(t_s, (up_s - BEFORE_S, up_s + part_s)), seen.usual, step_s)
    last = _ohm(parts, amount, _rows(t_s, (down_s - part_s, down_s + AFTER_S)), seen.usual, step_s)
    if first is None or last is None or hypot(first[1] / first[0], last[1] / last[0]) > MOST_ERROR:
        return dull
    return first, last


def _rows(t_s: Floats, span: Span) -> NDArray[np.bool_]:
    return np.asarray((t_s >= span[0]) & (t_s <= span[1]))


def _smoothed(seen: PackSeen, unit_v: Floats, amount: Floats, step_s: float) -> tuple[Floats, Floats, Floats]:
    """Return the volts, the load with its lagging shares, and the charge used, all through the same filter."""
    tied = amount + seen.limits.r1_ratio * lagged(amount, seen.limits.tau1_s, step_s)
    tied += seen.limits.r2_ratio * lagged(amount, seen.limits.tau2_s, step_s)
    used = np.cumsum(amount) / max(float(np.sum(amount)), 1e-9)
    volts, load, gone = (lagged(each - each[0], SMOOTH_S, step_s) for each in (unit_v, tied, used))
    return volts, load, gone


def _ohm(
    parts: tuple[Floats, Floats, Floats], amount: Floats, rows: NDArray[np.bool_], usual: float, step_s: float
) -> tuple[float, float] | None:
    """Return the resistance of some rows, and its error; None where the load hardly changes."""
    if np.count_nonzero(rows) < FEWEST_ROWS or float(np.std(amount[rows])) < LEAST_STEP * max(usual, 1e-9):
        return None
    volts, load, gone = (each[rows] for each in parts)
    solved, spread = squares(volts, np.column_stack([-load, np.ones(load.size), gone]), step_s)
    return (float(solved[0]), float(np.sqrt(max(spread[0, 0], 0.0)))) if solved[0] > 0.0 else None
