"""Dips of the level: at one place both ways, at moments that nothing explains, in a steady hover."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.signals import spans_where
from turnback.assess.signs_link_fit import AttitudeFit
from turnback.assess.signs_link_parts import Teller
from turnback.assess.signs_link_view import Floats, LinkFrame, falls_silent
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_link import DIP_LEAST_DB, SAME_PLACE, STEADY_DB, STEADY_MPS, TURNED

GROUP: Final = "link level"
DIPS: Final = ("level-falls-at-one-place", "level-dips-at-moments", "level-dips-aircraft-steady")
NEAR_M: Final = 8.0
LATER_S: Final = 5.0
FEW_ROWS: Final = 10
EDGE_S: Final = 0.7
TURN_EXPLAINS: Final = 0.85
OPEN_DB, DEEP_DB, OVERLAPS = 2.5, 8.0, 0.55
"""What stands in the way is as wide on the way back: of the low places of both passes more than half are the same."""
STEADY_TURN: Final = 0.94
"""Cosine of 20 degrees: so far the direction toward the radio may wander in a hover with a steady heading."""


def tell_dips(frame: LinkFrame, rest_db: Floats, attitude: AttitudeFit | None, teller: Teller) -> None:
    """Tell what goes along with the dips.

    Parameters
    ----------
    frame : LinkFrame
    rest_db : ndarray, shape (n,)
        What distance leaves of the level.
    attitude : AttitudeFit or None
    teller : Teller
    """
    # the line is that of the open part of the way, however little of it there is
    usual = max(0.0, float(np.percentile(rest_db[frame.keep], 70.0))) if frame.keep.any() else 0.0
    bare_db = rest_db - usual
    again = _there_again(frame, bare_db)
    _tell_place(frame, bare_db, again, attitude, teller)
    _tell_moments(frame, bare_db, again, teller)
    _tell_steady(frame, rest_db, teller)


def _there_again(frame: LinkFrame, bare_db: Floats) -> Floats | None:
    """Return the level when it is at the same place at another time, NaN where it never is; None without places."""
    if frame.east_m is None or frame.north_m is None:
        return None
    every = np.flatnonzero(frame.keep)
    step = max(1, every.size // 350)  # a table of times by times: not all of a long flight
    rows = every[::step]
    found = np.full(bare_db.size, np.nan)
    if rows.size < 20:
        return found
    east, north, t_s = frame.east_m[rows], frame.north_m[rows], frame.t_s[rows]
    away = np.hypot(east[:, None] - east[None, :], north[:, None] - north[None, :])
    if frame.height_m is not None:
        away = np.hypot(away, 1.5 * (frame.height_m[rows][:, None] - frame.height_m[rows][None, :]))
    apart = np.abs(t_s[:, None] - t_s[None, :]) > LATER_S
    weight = np.where(apart, np.exp(-((away / (0.5 * NEAR_M)) ** 2)), 0.0)
    total = weight.sum(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        found[rows] = np.where(total > 0.05, (weight @ bare_db[rows]) / total, np.nan)
    return found


def _tell_place(
    frame: LinkFrame, bare_db: Floats, again: Floats | None, attitude: AttitudeFit | None, teller: Teller
) -> None:
    """Tell whether dips are there again where it passes a second time."""
    sign = DIPS[0]
    if again is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.LATITUDE, Quantity.LONGITUDE)
        return
    low = frame.keep & (bare_db < -DIP_LEAST_DB.value)
    if np.count_nonzero(low) < FEW_ROWS and falls_silent(frame):
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    if np.count_nonzero(low) < FEW_ROWS:
        teller.say(sign, False, 0.93, GROUP, channels=(frame.series.channel,), dip_db=float(-bare_db.min()))
        return
    seen = low & np.isfinite(again)
    if np.count_nonzero(seen) < FEW_ROWS // 2:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    if attitude is not None and attitude.share > TURN_EXPLAINS and attitude.depth_db > DIP_LEAST_DB.value:
        teller.cannot(sign, WhyNot.TOO_SHORT)  # how it was turned there explains it
        return
    share = float(np.median(np.clip(again[seen] / bare_db[seen], -0.5, 1.5)))
    beyond = min((share - SAME_PLACE.value) / 0.12, (_overlap(bare_db, again, frame) - OVERLAPS) / 0.1)
    if beyond > 0.0 and attitude is not None and attitude.share > 0.7:
        beyond *= 0.6  # it explains as much
    teller.by(sign, beyond, GROUP, most=0.95, channels=(frame.series.channel, Quantity.LATITUDE), share=share)


def _overlap(bare_db: Floats, again: Floats, frame: LinkFrame) -> float:
    """Return how far low places of both passes are the same: what stands there does so each time, at both its edges."""
    both = frame.keep & np.isfinite(again)
    here, there = (np.clip(-each[both] - OPEN_DB, 0.0, DEEP_DB) for each in (bare_db, again))
    return float(np.minimum(here, there).sum() / max(float(np.maximum(here, there).sum()), 1e-9))


def _tell_moments(frame: LinkFrame, bare_db: Floats, again: Floats | None, teller: Teller) -> None:
    """Tell whether the level dips suddenly while it neither turns nor is at a place that is bad another time."""
    sign = DIPS[1]
    if frame.toward is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.HEADING, Quantity.LATITUDE)
        return
    best, span, told = -2.0, None, {"depth_db": 0.0}
    times, passing = 0, False
    reach = max(1, round(EDGE_S / float(np.median(np.diff(frame.t_s)))))
    for first, after in spans_where(frame.keep & (bare_db < -DIP_LEAST_DB.value), frame.t_s, least_s=0.6, bridge_s=0.4):
        a, b = max(int(first) - reach, 0), min(int(first) + reach, frame.t_s.size - 1)
        end = min(int(after) - 1 + reach, frame.t_s.size - 1)
        if frame.t_s[b] - frame.t_s[a] > 6.0 * EDGE_S or frame.t_s[int(after) - 1] - frame.t_s[int(first)] > 12.0:
            continue
        fell_db = float(bare_db[a] - np.min(bare_db[a : b + 1]))
        rose_db = float(bare_db[end] - np.min(bare_db[max(end - 2 * reach, a) : end + 1]))
        turned = float(np.degrees(np.arccos(np.clip(frame.toward[a] @ frame.toward[b], -1.0, 1.0))))
        beyond = min((fell_db - DIP_LEAST_DB.value) / 1.5, (rose_db - DIP_LEAST_DB.value) / 1.5,
                     (TURNED.value - turned) / 5.0)  # fmt: skip
        inner = slice(int(first), int(after))
        if again is not None and np.isfinite(again[inner]).sum() >= 3:
            there = again[inner][np.isfinite(again[inner])]
            share = float(np.median(there)) / float(np.median(bare_db[inner]))
            beyond = min(beyond, (0.45 - share) / 0.15)
        elif not _hovers(frame, a, end):
            beyond, passing = min(beyond, 0.35), passing or beyond > 0.0
        times += int(beyond > 0.0)
        if beyond > best:
            best, told = beyond, {"depth_db": fell_db, "turned_deg": turned}
            span = float(frame.t_s[int(first)]), float(frame.t_s[int(after) - 1])
    if times > 1:
        best *= 1.4
    elif (passing and best <= 0.35) or (best <= 0.0 and falls_silent(frame)):
        # once, while it flew on, it may have passed behind something; or it fell out of hearing
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    teller.by(sign, best, GROUP, span=span, most=0.95, channels=(frame.series.channel, Quantity.HEADING), values=told,
              times=float(times))  # fmt: skip


def _hovers(frame: LinkFrame, first: int, last: int) -> bool:
    return frame.speed_mps is not None and float(np.median(frame.speed_mps[first : last + 1])) < STEADY_MPS.value


def _tell_steady(frame: LinkFrame, rest_db: Floats, teller: Teller) -> None:
    """Tell whether the level dips for seconds while place and direction stay the same."""
    sign = DIPS[2]
    if frame.speed_mps is None or frame.toward is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.GROUND_SPEED, Quantity.HEADING)
        return
    hovers = (frame.speed_mps < STEADY_MPS.value) & frame.keep
    step_s = float(np.median(np.diff(frame.t_s)))
    if np.count_nonzero(hovers) * step_s < 4.0:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    best, depth, span = -3.0, 0.0, None
    for first, after in spans_where(hovers, frame.t_s, least_s=3.0, bridge_s=0.5):
        for a, b in _steady_parts(frame, int(first), int(after)):
            seen = rest_db[a:b]
            usual = float(np.percentile(seen, 75.0))
            low = spans_where(seen < usual - 0.6 * STEADY_DB.value, frame.t_s[a:b], least_s=0.8, bridge_s=0.3)
            for x, y in low:
                depth_db = usual - float(np.median(seen[x:y]))
                if depth_db > depth:
                    best, depth = (depth_db - STEADY_DB.value) / 1.5, depth_db
                    span = float(frame.t_s[a + x]), float(frame.t_s[min(a + y, frame.t_s.size - 1)])
    teller.by(sign, best, GROUP, span=span, most=0.95, channels=(frame.series.channel, Quantity.GROUND_SPEED),
              depth_db=depth)  # fmt: skip


def _steady_parts(frame: LinkFrame, first: int, after: int) -> list[tuple[int, int]]:
    """Return parts of a hover in which the direction toward the radio stays where it was."""
    if frame.toward is None:
        return []
    parts, start = [], first
    while start < after:
        same = frame.toward[start:after] @ frame.toward[start] > STEADY_TURN
        off = np.flatnonzero(~same)
        end = start + int(off[0]) if off.size else after
        if frame.t_s[end - 1] - frame.t_s[start] >= 3.0:
            parts.append((start, end))
        start = max(end, start + 5)
    return parts
