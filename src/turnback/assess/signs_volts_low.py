"""Signs of volts that run low: in flight, after landing, and how much charge it took."""

from __future__ import annotations

from math import copysign, hypot, log
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats, Span
from turnback.assess.signs_volts_ohm import held_low_v
from turnback.assess.signs_volts_pack import GRID_HZ, PackSeen
from turnback.assess.signs_volts_resistance import high_but_spared
from turnback.assess.signs_volts_rest import rest_of
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, log_spread, needs, sure_of
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_power import DAMAGE_LEAST_S
from turnback.rules.record_signs_volts import CAPACITY_SHARE, CAPACITY_USED, LOW_ALL_ALONG, SHORT_OF_HOME

GROUP: Final = "volts low"
CALM_TIMES: Final = 3.0
STEADY_S: Final = 5.0
READ_SD_V: Final = 0.03
EMPTY_S: Final = 2.0
EMPTY_OHM_V, NO_OHM_V = 0.15, 0.2
"""An empty cell has two to three times the resistance: what the load takes is reckoned too small by this."""
KNEE_V: Final = 0.2
"""So far above the land-by volts at rest, a tenth of the charge is left."""
FIRST_S, MINUTE_S = 3.0, 40.0
FIRST_SHARE, FIRST_LEAST_S = 0.2, 8.0
"""Of a short flight the first fifth: a small pack is half empty after a minute, and that is not low all along."""
SOC_SD: Final = 0.05
USED_SD: Final = 0.05
"""Of a current sensor, as a share."""
BY_SAG_SURE: Final = 0.6
GUESSED_SURE, LEFT_SURE = 0.85, 0.95


def _blind(seen: PackSeen) -> Blind | None:
    if seen.volts is None:
        return needs(Quantity.PACK_VOLTS)
    if not seen.cells:
        return Blind(WhyNot.CELLS_UNKNOWN, (Channel(Quantity.CELL_VOLTS),))
    if not seen.aloft.any():
        return Blind(WhyNot.NOT_ALOFT)
    return None if seen.chemistry_told else Blind(WhyNot.CHEMISTRY_UNKNOWN)


def land_by_v(seen: PackSeen) -> float:
    """Return the land-by volts of a rested cell: the plan's own, else the chemistry's."""
    plan = seen.expected("land_by_rest_v")
    return seen.limits.land_by_rest_v if plan is None or not plan.mid > 0.0 else plan.mid


def short_of_home_v(seen: PackSeen) -> float:
    """Return the volts of a rested cell by which a pack is short on its way home, not only at its limit."""
    limit_v, empty_v = land_by_v(seen), seen.limits.damage_v - EMPTY_OHM_V
    return limit_v - SHORT_OF_HOME.value * (limit_v - empty_v)


def _rest_low(seen: PackSeen) -> tuple[float, float, Span] | None:
    """Return the volts of a cell at rest that were stayed below, their error, and where; None without a resistance."""
    rest = seen.rest_equivalent_v()
    if rest is None or seen.ohm is None:
        return None
    held = held_low_v(seen.t_s, rest, seen.aloft, STEADY_S)
    if held is None:
        return None
    return _never_below_stood(seen, held[0]), hypot(READ_SD_V, seen.ohm.sd_ohm * seen.usual), held[1]


def _never_below_stood(seen: PackSeen, rest_v: float) -> float:
    """Return rest volts of a flight, no lower than what was read once it stood: no pack fills up as it is flown."""
    return rest_v if seen.stood_v is None else max(rest_v, seen.stood_v)


def below_land_by(seen: PackSeen) -> Saw | Blind:
    """Stays below the land-by volts: as a rested cell where the load's share is known, else loaded."""
    blind = _blind(seen)
    if blind is not None:
        return blind
    rest = _rest_low(seen)
    held = held_low_v(seen.t_s, seen.unit_v, seen.aloft, STEADY_S)
    if held is None:
        return Blind(WhyNot.TOO_SHORT)
    loaded_v, span = held
    limit_v = seen.limits.land_by_loaded_v
    loaded = (limit_v - loaded_v) / READ_SD_V
    if rest is None:
        return Saw(loaded, GROUP, {"least_v": loaded_v, "limit_v": limit_v}, *span, seen.channels)
    rest_v, sd_v, rest_span = rest
    rested = (land_by_v(seen) - rest_v) / sd_v
    # loaded volts count where the pack is nearly empty; where it is not, a weak or cold one sags
    by_load = min(loaded, (land_by_v(seen) + KNEE_V - rest_v) / sd_v)
    if rested >= by_load:
        values = {"rest_v": rest_v, "limit_v": land_by_v(seen)}
        return Saw(rested, GROUP, values, *rest_span, seen.channels)
    return Saw(by_load, GROUP, {"loaded_v": loaded_v, "limit_v": limit_v, "rest_v": rest_v}, *span, seen.channels)


def _of_warnings(seen: PackSeen) -> Saw | Blind:
    """No column of a record is a warning; there was none to give where volts stayed high and enough was left.

    Warnings go by the volts or by the charge used: where either was spent, whether one came is not known.
    """
    low = below_land_by(seen)
    if isinstance(low, Blind):
        return low
    left = little_left(seen)
    beyond = low.beyond if isinstance(left, Blind) else max(low.beyond, left.beyond)
    return NOBODY if beyond > -1.0 else Saw(beyond, low.group, low.values, channels=low.channels)


def no_warning(seen: PackSeen) -> Saw | Blind:
    """Low volts without a warning."""
    return _of_warnings(seen)


def warning_flown_through(seen: PackSeen) -> Saw | Blind:
    """A warning and half a minute more of flight."""
    return _of_warnings(seen)


def below_damage(seen: PackSeen) -> Saw | Blind:
    """The lowest cell, or the mean one, below what harms it; hardly sure where only sag took it there."""
    blind = _blind(seen)
    if blind is not None:
        return blind
    held = held_low_v(seen.t_s, _least_cell_v(seen), seen.aloft, DAMAGE_LEAST_S.value)
    if held is None:
        return Blind(WhyNot.TOO_SHORT)
    values = {"least_v": held[0], "limit_v": seen.limits.damage_v}
    beyond = (seen.limits.damage_v - held[0]) / READ_SD_V
    most = BY_SAG_SURE if beyond > 0.0 and _by_sag(seen) else 0.98
    return Saw(beyond, GROUP, values, *held[1], seen.channels, most)


def runs_empty(seen: PackSeen) -> Saw | Blind:
    """The cell's volts with what the load takes added back, against what harms it: no load is to blame then."""
    blind = _blind(seen)
    if blind is not None:
        return blind
    rested = seen.emptied_v()
    volts, sd_v = (seen.unit_v, READ_SD_V) if rested is None else rested
    held = held_low_v(seen.t_s, volts, seen.aloft, EMPTY_S)
    if held is None:
        return Blind(WhyNot.TOO_SHORT)
    limit_v = seen.limits.damage_v - EMPTY_OHM_V
    if rested is None and held[0] < limit_v + NO_OHM_V:  # how much of it was sag is not known
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    values = {"rest_v": held[0], "limit_v": limit_v}
    return Saw((limit_v - held[0]) / hypot(READ_SD_V, sd_v), GROUP, values, *held[1], seen.channels)


def _by_sag(seen: PackSeen) -> bool:
    """Whether the load alone took it there, as far as a resistance tells: rested, the cell was never so low."""
    rested = seen.emptied_v()
    held = None if rested is None else held_low_v(seen.t_s, rested[0], seen.aloft, EMPTY_S)
    return held is not None and held[0] > seen.limits.damage_v - EMPTY_OHM_V


def _least_cell_v(seen: PackSeen) -> Floats:
    return seen.unit_v if seen.cells_v is None else np.minimum(np.min(seen.cells_v, axis=0), seen.unit_v)


def rests_low_after(seen: PackSeen) -> Saw | Blind:
    """Volts some seconds after it stood, a little recovered; else what a rested cell would have had at the end."""
    blind = _blind(seen)
    if blind is not None or seen.volts is None or not seen.cells:
        return blind or NOBODY
    limit_v = land_by_v(seen)
    if seen.after_v is not None:
        after = seen.after_v + max(0.8 * seen.still_gone_v(), 0.01)
        values = {"rest_v": after, "limit_v": limit_v}
        return Saw((limit_v - after) / (1.5 * READ_SD_V), "volts after landing", values,
                   channels=seen.channels[:1])  # fmt: skip
    rested = seen.emptied_v()
    if rested is None:
        return Blind(WhyNot.TOO_SHORT)
    last = np.flatnonzero(seen.aloft)[-round(STEADY_S * GRID_HZ) :]
    end_v = float(np.median(rested[0][last]))
    sd_v = hypot(1.5 * READ_SD_V, 1.5 * rested[1])
    return Saw((limit_v - end_v) / sd_v, GROUP, {"rest_v": end_v, "limit_v": limit_v},
               channels=seen.channels, most=GUESSED_SURE)  # fmt: skip


def capacity_low(seen: PackSeen) -> Saw | Blind:
    """Charge used over the share of the charge that volts at rest say went, against the label's capacity."""
    blind = _blind(seen)
    if blind is not None:
        return blind
    if seen.load is None or not seen.load.amperes:
        return needs(Quantity.CURRENT)
    label = seen.expected("capacity_ah")
    rest, start = seen.rest_equivalent_v(), rest_of(seen)
    if label is None or not label.mid > 0.0 or rest is None or isinstance(start, Blind):
        return Blind(WhyNot.NO_CHANNEL if label is None else WhyNot.LOAD_TOO_STEADY)
    step_s = float(seen.t_s[1] - seen.t_s[0])
    used_ah = float(np.sum(seen.load_amount)) * step_s / 3600.0
    last = np.flatnonzero(seen.aloft)[-round(STEADY_S * GRID_HZ) :]
    curve = (seen.limits.ocv_v, seen.limits.ocv_soc)
    went = float(np.interp(start[0], *curve) - np.interp(float(np.median(rest[last])), *curve))
    if used_ah > label.mid * CAPACITY_SHARE.value:
        beyond = -log(used_ah / label.mid / CAPACITY_SHARE.value) / 0.1
        return Saw(min(beyond, 0.0), "capacity", {"used_ah": used_ah, "label_ah": label.mid}, channels=seen.channels)
    if went < CAPACITY_USED.value:
        return Blind(WhyNot.TOO_SHORT)
    held_ah = used_ah / went
    sd = hypot(1.5 * SOC_SD / went, hypot(0.08, log_spread(label)))
    values = {"capacity_ah": held_ah, "label_ah": label.mid}
    return Saw(log(CAPACITY_SHARE.value * label.mid / held_ah) / sd, "capacity", values, channels=seen.channels)


def little_left(seen: PackSeen) -> Saw | Blind:
    """Charge used over the label's capacity, and volts as a rested cell: what either says, against what a plan uses."""
    blind = _blind(seen)
    if blind is not None:
        return blind
    limits, found = seen.limits, list[Saw]()
    label, rested = seen.expected("capacity_ah"), seen.emptied_v()
    if seen.load is not None and seen.load.amperes and label is not None and label.mid > 0.0:
        used = float(np.sum(seen.load_amount)) * float(seen.t_s[1] - seen.t_s[0]) / 3600.0 / label.mid
        beyond = log(max(used, 1e-3) / limits.usable_plan_fraction) / hypot(USED_SD, log_spread(label))
        values = {"used_share": used, "limit_share": limits.usable_plan_fraction}
        found.append(Saw(beyond, "capacity", values, channels=seen.channels))
    held = None if rested is None else held_low_v(seen.t_s, rested[0], seen.aloft, STEADY_S)
    if rested is not None and held is not None:
        limit_v = float(np.interp(1.0 - limits.usable_never_fraction, limits.ocv_soc, limits.ocv_v))
        rest_v = _never_below_stood(seen, held[0])
        values = {"rest_v": rest_v, "limit_v": limit_v}
        found.append(Saw((limit_v - rest_v) / hypot(2.0 * READ_SD_V, rested[1]), GROUP, values, *held[1],
                         seen.channels, LEFT_SURE))  # fmt: skip
    surest = [copysign(sure_of(each.beyond, each.most), each.beyond) for each in found]
    return found[int(np.argmax(surest))] if found else Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)


def low_all_along(seen: PackSeen) -> Saw | Blind:
    """Loaded volts of the first minute, usual load."""
    blind = _blind(seen)
    if blind is not None:
        return blind
    first_s = float(seen.t_s[np.argmax(seen.aloft)])
    if first_s - float(seen.t_s[0]) < 0.2 and seen.rest_v is None:
        return Blind(WhyNot.TOO_SHORT)
    flown_s = float(np.count_nonzero(seen.aloft)) * float(seen.t_s[1] - seen.t_s[0])
    until_s = first_s + min(MINUTE_S, max(FIRST_S + FIRST_LEAST_S, FIRST_SHARE * flown_s))
    rows = seen.aloft & (seen.t_s >= first_s + FIRST_S) & (seen.t_s <= until_s)
    if np.count_nonzero(rows) < STEADY_S * GRID_HZ:
        return Blind(WhyNot.TOO_SHORT)
    drawn = seen.load_amount[rows]
    calm = drawn <= CALM_TIMES * float(np.percentile(drawn, 10.0))  # what full throttle takes is no pack's fault
    usual_v = float(np.median(seen.unit_v[rows][calm]))
    limit_v = seen.limits.full_v - LOW_ALL_ALONG.value
    if usual_v > limit_v and high_but_spared(seen):
        return Blind(WhyNot.LOAD_TOO_STEADY, seen.channels)
    return Saw((limit_v - usual_v) / 0.06, GROUP, {"loaded_v": usual_v, "limit_v": limit_v}, channels=seen.channels)
