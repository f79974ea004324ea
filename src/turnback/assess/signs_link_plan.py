"""The level beside the plan's where the link went: what the plan's ground takes there, and what else does."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.signs_link_parts import lost_links
from turnback.assess.signs_link_view import FEWEST, Floats, LinkFrame, link_frame, smoothed_while_flown
from turnback.records.channel import Quantity
from turnback.records.debrief import Compare, Looked
from turnback.rules.record_signs_link import LOST_S, NO_LEVEL, WORN_QUALITY

NEAREST_M: Final = 20.0
NEAR_SHARE: Final = 0.4
FEW_STATIONS: Final = 5
BEFORE_S: Final = 4.0
AFTER_S: Final = 1.5
LATE_S: Final = 4.0
"""A radio says seconds later that the link is lost."""
GONE_S: Final = 1.0
LOW_DB: Final = 5.0
BRIDGE_S: Final = 1.2
OPEN_PERCENT: Final = 85.0
USUAL_PERCENT: Final = 75.0
WAYS: Final = ((Compare.LEVEL, Quantity.LINK_LEVEL), (Compare.LEVEL_BACK, Quantity.LINK_LEVEL_BACK))


@dataclass(frozen=True, slots=True)
class PlanAtWorst:
    """The lowest level about where the link went.

    Parameters
    ----------
    t_s : float
    ground_db : float
        What the plan's ground takes there, more than on the open part of the way.
    below_db : float
        By how much the level lies lower below the plan's than it usually does.
    level_dbm : float
    low_s : float
        How long it stays as low, or none is heard.
    """

    t_s: float
    ground_db: float
    below_db: float
    level_dbm: float
    low_s: float


def worn_s(looked: Looked) -> float | None:
    """Return when the link was lost for the longest time, or its quality wore thinnest; None where neither was.

    Parameters
    ----------
    looked : Looked
    """
    lost = lost_links(looked, LOST_S.value)
    if lost:
        return max(lost, key=lambda each: each.end_s - each.start_s).start_s
    thinnest: tuple[float, float] | None = None
    for quantity in (Quantity.LINK_QUALITY, Quantity.LINK_QUALITY_BACK):
        series = looked.answer.flown.record.get(quantity)
        if series is None or series.t_s.size < FEWEST:
            continue
        t_s, share = smoothed_while_flown(series, looked)
        if t_s.size and float(share.min()) < WORN_QUALITY.value and (thinnest is None or share.min() < thinnest[0]):
            thinnest = float(share.min()), float(t_s[int(np.argmin(share))])
    return None if thinnest is None else thinnest[1]


def plan_at_worst(looked: Looked, frame: LinkFrame | None = None) -> PlanAtWorst | None:
    """Return the level beside the plan's where the link went; None without a plan, a place, or a link that went.

    The plan's level knows the ground: less what distance alone takes (20 dB a decade, ITU-R P.525), it falls where
    the ground cuts the ray. The recorded one less the plan's falls where something else does.

    Parameters
    ----------
    looked : Looked
    frame : LinkFrame or None
        Of a level; else it is made.
    """
    at_s = worn_s(looked)
    if looked.against is None or at_s is None:
        return None
    compared = {each.what: each for each in looked.against.compared}
    for what, quantity in WAYS:
        each = compared.get(what)
        if each is None:
            continue
        seen = (
            frame if frame is not None and frame.series.channel.quantity is quantity else link_frame(looked, quantity)
        )
        if seen is None or seen.away_m is None:
            continue
        away_m = np.interp(each.t_s, seen.t_s, seen.away_m)
        last_s = min(max(looked.ended_s, at_s + AFTER_S), at_s + LATE_S)
        # what is near against the way flown tells of antennas, not of the way
        least_m = min(NEAREST_M, NEAR_SHARE * float(np.interp(at_s, each.t_s, away_m)))
        known = np.isfinite(each.predicted) & (each.t_s >= seen.t_s[0]) & (each.t_s <= last_s) & (away_m > least_m)
        rows = known & np.isfinite(each.recorded) & (each.recorded > NO_LEVEL.value)
        near = np.flatnonzero(rows & (each.t_s > at_s - BEFORE_S))
        if np.count_nonzero(rows) < FEW_STATIONS or not near.size:
            continue
        open_db = each.predicted + 20.0 * np.log10(np.maximum(away_m, 1.0))
        off_db = each.recorded - each.predicted
        usual_db = float(np.percentile(off_db[rows], USUAL_PERCENT))
        worst = near[int(np.argmin(each.recorded[near]))]
        # so near it is the antennas that take from the plan's level, and no ground
        off = away_m > NEAREST_M
        usual_open_db = float(np.percentile(open_db[rows & off if (rows & off).any() else rows], OPEN_PERCENT))
        open_db[~off] = usual_open_db
        # a level that is gone altogether is none; the plan's ground still is what it is there
        gone = known & ~rows & (each.t_s > each.t_s[worst]) & (each.t_s <= each.t_s[worst] + GONE_S)
        return PlanAtWorst(
            float(each.t_s[worst]),
            usual_open_db - float(np.min(np.append(open_db[gone], open_db[worst]))),
            usual_db - float(off_db[worst]),
            float(each.recorded[worst]),
            _low_s(each.t_s, off_db, usual_db, int(worst), looked.ended_s),
        )
    return None


def _low_s(t_s: Floats, off_db: Floats, usual_db: float, worst: int, ended_s: float) -> float:
    """Return how long the level lies below the plan's about its lowest, what is not heard counted with it."""
    low = ~(off_db > usual_db - LOW_DB) & (t_s <= ended_s)
    rows = np.flatnonzero(low)
    # among leaves a level comes up for a moment
    parts = np.split(rows, np.flatnonzero(np.diff(t_s[rows]) > BRIDGE_S) + 1)
    part = next(each for each in parts if each.size and each[0] <= worst <= each[-1]) if low[worst] else parts[0][:0]
    return float(t_s[part[-1]] - t_s[part[0]]) if part.size else 0.0
