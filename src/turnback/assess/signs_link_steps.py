"""A level that steps down and stays, and one that comes back while the aircraft climbs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.signals import spans_where
from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_link_view import Floats, LinkFrame, falls_silent
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_link import (
    BACK_DB,
    CLIMBS_M,
    STEP_DB,
    STEP_STAYS_S,
    STEP_TURNS,
)

GROUP: Final = "link level"
EDGE_S: Final = 1.0
"""Half of the time in which it falls: not each edge is sharp."""


@dataclass(frozen=True, slots=True)
class LargestStep:
    """The largest lasting fall within about a second."""

    at_s: float
    depth_db: float
    turned_deg: float
    stays_s: float


def largest_step(frame: LinkFrame, rest_db: Floats) -> LargestStep | None:
    """Return the largest step down that stays; None where the level is too short."""
    step_s = float(np.median(np.diff(frame.t_s)))
    reach, gap = max(3, round(STEP_STAYS_S.value / step_s)), max(1, round(EDGE_S / step_s))
    if rest_db.size < 2 * (reach + gap) + 2:
        return None
    sums = np.concatenate([[0.0], np.cumsum(rest_db)])
    means = (sums[reach:] - sums[:-reach]) / reach
    fall_db = means[: -(reach + 2 * gap)] - means[reach + 2 * gap :]
    first = np.arange(fall_db.size)
    lasts_s = frame.t_s[first + 2 * (reach + gap) - 1] - frame.t_s[first]
    fall_db = np.where(lasts_s < 1.5 * 2.0 * (reach + gap) * step_s, fall_db, 0.0)
    fall_db[~frame.keep[first + reach + gap]] = 0.0
    at = int(np.argmax(fall_db))
    middle = at + reach + gap
    after_db = float(np.median(rest_db[middle + gap : middle + gap + reach]))
    back = np.flatnonzero(rest_db[middle + gap :] > after_db + 0.5 * float(fall_db[at]))
    stays_s = float(frame.t_s[middle + gap + back[0]] if back.size else frame.t_s[-1]) - float(frame.t_s[middle])
    turned = 0.0
    if frame.toward is not None:
        before, after = (frame.toward[rows].mean(axis=0) for rows in (
            slice(at, at + reach), slice(middle + gap, middle + gap + reach)))  # fmt: skip
        size = max(float(np.linalg.norm(before) * np.linalg.norm(after)), 1e-6)
        turned = float(np.degrees(np.arccos(np.clip(before @ after / size, -1.0, 1.0))))
    return LargestStep(float(frame.t_s[middle]), float(fall_db[at]), turned, stays_s)


def tell_step(frame: LinkFrame, step: LargestStep | None, teller: Teller) -> None:
    """Tell whether the level stepped down, not by a turn, and stayed."""
    if step is None:
        teller.cannot("level-steps-down", WhyNot.TOO_SHORT)
        return
    beyond = (step.depth_db - STEP_DB.value) / 2.0
    if beyond > 0.0:
        beyond = min(
            beyond, (STEP_TURNS.value - step.turned_deg) / 15.0, (step.stays_s - STEP_STAYS_S.value - 1.0) / 0.7
        )
    if beyond <= 0.0 and falls_silent(frame):
        teller.cannot("level-steps-down", WhyNot.TOO_SHORT)  # it may have stepped out of hearing
        return
    teller.by("level-steps-down", beyond, GROUP, span=(step.at_s, step.at_s + step.stays_s),
              channels=(frame.series.channel,), depth_db=step.depth_db, stays_s=step.stays_s)  # fmt: skip


def _dips(frame: LinkFrame, rest_db: Floats, least_db: float, least_s: float = 0.6) -> list[tuple[int, int]]:
    """Return spans of rows in which the level lies below its own line."""
    low = (rest_db < -least_db) & frame.keep
    return [(int(a), int(b)) for a, b in spans_where(low, frame.t_s, least_s=least_s, bridge_s=0.4)]


def tell_height(frame: LinkFrame, rest_db: Floats, teller: Teller) -> None:
    """Tell whether a level that lay low came back while the aircraft climbed."""
    sign = "level-comes-back-with-height"
    if frame.height_m is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.HEIGHT_LAUNCH)
        return
    dips = _dips(frame, rest_db, 0.5 * BACK_DB.value, 1.0)
    best = -2.0
    told = {"gain_db": 0.0, "climb_m": 0.0}
    for first, after in dips:
        low, end = frame.t_s[first:after], min(after, frame.t_s.size - 1)
        near = slice(max(first, int(np.searchsorted(frame.t_s, low[-1] - 4.0))),
                     int(np.searchsorted(frame.t_s, frame.t_s[end] + 2.0)))  # fmt: skip
        climb_m = float(np.max(frame.height_m[near]) - frame.height_m[near][0])
        gain_db = float(np.percentile(rest_db[near], 90.0) - np.median(rest_db[first:after]))
        goes = _together(frame.height_m[near], rest_db[near])
        beyond = min((climb_m - CLIMBS_M.value) / 2.0, (gain_db - BACK_DB.value) / 2.0, (goes - 0.6) / 0.15)
        if frame.east_m is not None and frame.north_m is not None:
            # who flies on meanwhile may have left what stood in the way
            gone_m = float(np.hypot(np.ptp(frame.east_m[near]), np.ptp(frame.north_m[near])))
            beyond = min(beyond, (2.5 * climb_m - gone_m) / 8.0)
        if beyond > best:
            best, told = beyond, {"gain_db": gain_db, "climb_m": climb_m}
    if best <= 0.0 and told["climb_m"] < 0.5 * CLIMBS_M.value:
        teller.cannot(sign, WhyNot.TOO_SHORT)  # it never climbed out of a dip
        return
    teller.by(sign, best, GROUP, most=0.95, channels=(frame.series.channel, Quantity.HEIGHT_LAUNCH), values=told)


def _together(first: Floats, second: Floats) -> float:
    if first.size < 5 or float(np.std(first)) < 1e-6 or float(np.std(second)) < 1e-6:
        return 0.0
    return float(np.corrcoef(first, second)[0, 1])
