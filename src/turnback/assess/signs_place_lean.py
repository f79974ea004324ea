"""Whether it was still on its way home when the pack ran low, by its lean alone: without positions."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import Floats
from turnback.assess.power_events_fit import even_means
from turnback.assess.signs_volts_low import land_by_v, short_of_home_v
from turnback.assess.signs_volts_pack import GRID_HZ, PackSeen
from turnback.assess.signs_volts_told import Blind, Saw, needs
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_place import LEANS_HOME

GROUP: Final = "distance"
CHANNELS: Final = (Channel(Quantity.ROLL), Channel(Quantity.PITCH), Channel(Quantity.YAW_RATE))
LEANS_MPS2: Final = 0.5
"""Three degrees: level sensors are hardly off by more."""
LEANS_LEAST_S: Final = 4.0
STILL_FROM_S, STILL_TO_S = 1.5, 4.5
"""Of the first seconds aloft: over the launch point, so that a lean is the wind's."""
BEFORE_S, AFTER_S = 6.0, 3.0
ALONG: Final = 0.7
SMOOTH_S, LOW_S = 1.0, 2.0
SHARE_SD: Final = 0.12
VOLTS_SD: Final = 0.05
LATE_SURE, HOME_SURE = 0.85, 0.85


def pull_of(seen: PackSeen) -> Floats | None:
    """Return what thrust pulls along the ground, beside how it was turned at first, shape (2, n); None without angles.

    The heading is counted up from the turning rate: what a gyro drifts by in some minutes does not matter here.
    """
    record = seen.answer.flown.record
    roll, pitch, turns = (record.get(each.quantity) for each in CHANNELS)
    if roll is None or pitch is None or turns is None or seen.t_s.size < 3:
        return None
    if not (record.sense_known(Quantity.ROLL) and record.sense_known(Quantity.PITCH)):
        return None
    phi, theta, rate = (even_means(each.t_s, each.values, seen.t_s) for each in (roll, pitch, turns))
    first = int(np.argmax(seen.aloft))
    heading = np.cumsum(rate - (float(np.median(rate[:first])) if first > GRID_HZ else 0.0)) / GRID_HZ
    upright = np.maximum(np.cos(phi) * np.cos(theta), 0.3)
    ahead, right = -np.sin(theta) * np.cos(phi) / upright, np.sin(phi) / upright
    north = ahead * np.cos(heading) - right * np.sin(heading)
    east = ahead * np.sin(heading) + right * np.cos(heading)
    return GRAVITY_MPS2 * np.array([north, east])


def leans_home_when_low(seen: PackSeen) -> Saw | Blind:
    """How far it still leaned the way it had flown, as a share of its lean on the way, once the pack had run low.

    Who is home hovers, or leans back to stop; who is under way leans on.

    Parameters
    ----------
    seen : PackSeen
    """
    rested = seen.emptied_v()
    pull = pull_of(seen)
    if rested is None or pull is None:
        return Blind(WhyNot.LOAD_TOO_STEADY) if rested is None else needs(*(each.quantity for each in CHANNELS))
    rows = np.flatnonzero(seen.aloft)
    width = round(LOW_S * GRID_HZ) | 1
    if rows.size < 2 * width:
        return Blind(WhyNot.TOO_SHORT)
    calm = running_median(rested[0][rows], width)
    limit_v = short_of_home_v(seen)
    values = {"rest_v": float(np.min(calm)), "limit_v": limit_v}
    low = np.flatnonzero(calm < limit_v)
    if not low.size:
        beyond = min((limit_v - values["rest_v"]) / (VOLTS_SD + rested[1]), -0.1)
        return Saw(beyond, GROUP, values, channels=seen.channels, most=HOME_SURE)
    share = _leans_on(seen, pull, int(rows[low[0]]))
    at_limit = _leans_on(seen, pull, int(rows[np.argmax(calm < land_by_v(seen))]))
    if share is None or (share < LEANS_HOME.value and at_limit is not None and at_limit > LEANS_HOME.value):
        return Blind(WhyNot.TOO_SHORT)  # under way at its limit, home when it was short: too near to tell
    values |= {"share": share, "limit_share": LEANS_HOME.value}
    beyond = (share - LEANS_HOME.value) / SHARE_SD
    return Saw(beyond, GROUP, values, float(seen.t_s[rows[low[0]]]), None, (*CHANNELS, *seen.channels),
               LATE_SURE if beyond > 0.0 else HOME_SURE)  # fmt: skip


def _leans_on(seen: PackSeen, pull: Floats, low: int) -> float | None:
    """Return the lean after a row along the lean before it, over the usual lean on the way; None where it never left.

    Parameters
    ----------
    seen : PackSeen
    pull : ndarray, shape (2, n)
    low : int
    """
    first = float(seen.t_s[np.argmax(seen.aloft)])
    still = seen.aloft & (seen.t_s >= first + STILL_FROM_S) & (seen.t_s <= first + STILL_TO_S)
    if np.count_nonzero(still) < GRID_HZ:
        return None
    width = round(SMOOTH_S * GRID_HZ) | 1
    lean = np.array([running_median(each, width) for each in pull - np.median(pull[:, still], axis=1)[:, None]])
    before = seen.aloft & (seen.t_s <= seen.t_s[low])
    away = np.flatnonzero(before & (np.hypot(*lean) > LEANS_MPS2))
    if away.size < LEANS_LEAST_S * GRID_HZ:
        return None
    after = seen.aloft & (seen.t_s >= seen.t_s[low]) & (seen.t_s <= seen.t_s[low] + AFTER_S)
    if np.count_nonzero(after) < GRID_HZ:
        return None
    usual = float(np.median(np.hypot(*lean[:, away])))
    out = _way(lean[:, away[: round(LEANS_LEAST_S * GRID_HZ)]])
    last = _way(lean[:, before & (seen.t_s > seen.t_s[low] - BEFORE_S)])
    leans_on = float(np.median(last @ lean[:, after]))
    if float(out @ last) > ALONG:  # outward bound a moment ago: it has turned, and leans for home
        leans_on = max(leans_on, -float(np.median(out @ lean[:, after])))
    return leans_on / usual


def _way(lean: Floats) -> Floats:
    """Return the direction of a lean, shape (2,)."""
    way = np.median(lean, axis=1)
    return np.asarray(way / max(float(np.hypot(*way)), 1e-9), np.float64)
