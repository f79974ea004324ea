"""What packets tell: lost first, healthy, never there, lost at a high level, with the load, one way only, at knocks."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import thinned
from turnback.assess.signals import held_at
from turnback.assess.signs_link_noise import noise_rise, tell_load
from turnback.assess.signs_link_parts import Teller, first_upset_s, lost_links, sure_of
from turnback.assess.signs_link_view import smoothed_while_flown
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import ACCELERATIONS, Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import Event, WhyNot
from turnback.rules.record_signs_link import (
    BEFORE_S,
    HEALTHY_LEVEL,
    HEALTHY_QUALITY,
    HIGH_LEVEL,
    KNOCK_G,
    KNOCK_S,
    LOST_S,
    LOW_S,
    NO_LEVEL,
    WORN_QUALITY,
)

GROUP: Final = "link quality"
LINK: Final = (Quantity.LINK_QUALITY, Quantity.LINK_LEVEL, Quantity.LINK_LOSS)
NO_LEVEL_DBM: Final = -1.0
FEWEST: Final = 40


def tell_packets(looked: Looked, teller: Teller) -> None:
    """Tell the signs that hang on packets.

    Parameters
    ----------
    looked : Looked
    teller : Teller
    """
    lost = lost_links(looked, 0.3)
    _tell_lost_first(looked, lost, teller)
    _tell_healthy(looked, lost, teller)
    _tell_nothing(looked, teller)
    _tell_high_level(looked, teller)
    tell_load(looked, lost, teller)
    _tell_knocks(looked, lost, teller)


def _tell_lost_first(looked: Looked, lost: list[Event], teller: Teller) -> None:
    sign, record = "link-lost-first", looked.answer.flown.record
    if not any(record.get(each) for each in LINK):
        teller.cannot(sign, WhyNot.NO_CHANNEL, *LINK)
        return
    upset_s = first_upset_s(looked)
    first = max(lost, key=lambda each: each.end_s - each.start_s, default=None)
    if first is None:
        teller.say(sign, False, 0.97 if record.get(Quantity.LINK_QUALITY) else 0.9, GROUP)
        return
    lasts_s = first.end_s - first.start_s
    if upset_s < first.start_s - BEFORE_S.value:
        teller.say(sign, False, sure_of((first.start_s - upset_s) / 0.4, 0.9), GROUP, channels=first.channels)
        return
    teller.by(sign, (lasts_s - LOST_S.value + 0.25) / 0.5, f"link lost {first.start_s:.0f} s",
              span=(first.start_s, first.end_s), channels=first.channels, duration_s=lasts_s)  # fmt: skip


def _tell_healthy(looked: Looked, lost: list[Event], teller: Teller) -> None:
    sign, record = "link-healthy-throughout", looked.answer.flown.record
    quality, level = record.get(Quantity.LINK_QUALITY), record.get(Quantity.LINK_LEVEL)
    if quality is None and level is None and record.get(Quantity.LINK_LOSS) is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, *LINK)
        return
    if any(each.end_s - each.start_s >= LOST_S.value for each in lost):
        teller.say(sign, False, 0.97, GROUP)
        return
    if quality is not None:
        least = smoothed_while_flown(quality, looked)[1]
        if least.size:
            worst = float(least.min())
            teller.by(sign, (worst - HEALTHY_QUALITY.value) / 0.08, GROUP, channels=(quality.channel,), quality=worst)
            return
    if level is not None:
        seen = smoothed_while_flown(level, looked)[1]
        if seen.size:
            worst = float(seen.min())
            teller.by(sign, (worst - HEALTHY_LEVEL.value) / 5.0, GROUP, most=0.85, channels=(level.channel,),
                      level_dbm=worst)  # fmt: skip
            return
    if record.get(Quantity.LINK_LOSS) is not None and not lost:
        teller.say(sign, True, 0.8, GROUP, channels=(Quantity.LINK_LOSS,))
        return
    teller.cannot(sign, WhyNot.NOT_ALOFT)


def _tell_nothing(looked: Looked, teller: Teller) -> None:
    """Tell whether no level and no packet was there in the whole record, in the air or not."""
    sign, record = "no-level-from-power-up", looked.answer.flown.record
    quality, level = record.get(Quantity.LINK_QUALITY), record.get(Quantity.LINK_LEVEL)
    marks = []
    if quality is not None and quality.values.size > 10:
        marks.append((quality, float(np.percentile(quality.values, 98.0)) <= 0.01))
    if level is not None and level.values.size > 10:
        heard = (level.values > NO_LEVEL.value) & (level.values < NO_LEVEL_DBM)
        marks.append((level, float(np.mean(heard)) < 0.02))
    if not marks:
        teller.cannot(sign, WhyNot.NO_CHANNEL, *LINK[:2])
        return
    # some receivers measure a level of whatever is on the air: that no packet came is what counts
    every, seen = all(each for _, each in marks), marks[0][1]
    teller.say(sign, seen, 0.97 if (every and len(marks) > 1) or not seen else 0.9, GROUP,
               channels=tuple(each.channel for each, _ in marks))  # fmt: skip


def _tell_high_level(looked: Looked, teller: Teller) -> None:
    sign, record = "level-high-quality-low", looked.answer.flown.record
    pairs = ((Quantity.LINK_QUALITY, Quantity.LINK_LEVEL), (Quantity.LINK_QUALITY_BACK, Quantity.LINK_LEVEL_BACK))
    have = [pair for pair in pairs if all(record.get(each) for each in pair)]
    if not have:
        teller.cannot(sign, WhyNot.NO_CHANNEL, *pairs[0])
        return
    found = [_low_at_high(looked, *pair) for pair in have]
    known = [each for each in found if each is not None]
    if not known:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    rise = noise_rise(looked)
    if rise is not None and rise[0] > 0.0:
        teller.by(sign, rise[0], GROUP, most=0.95, span=rise[2], values=rise[1],
                  channels=(have[0][1], Quantity.SIGNAL_TO_NOISE))  # fmt: skip
        return
    lost_s, least, level_dbm, span = max(known, key=lambda each: each[0])
    beyond = min((lost_s - LOW_S.value) / 0.25, (WORN_QUALITY.value + 0.05 - least) / 0.06)
    teller.by(sign, beyond, GROUP, most=0.97, span=span, channels=have[0], least_quality=least, lost_s=lost_s,
              level_dbm=level_dbm)  # fmt: skip


def _low_at_high(
    looked: Looked, quality_of: Quantity, level_of: Quantity
) -> tuple[float, float, float, tuple[float, float] | None] | None:
    """Return what was lost at a level with which every usual link works: as seconds, the least share, level, span."""
    quality, level = (looked.answer.flown.record.get(each) for each in (quality_of, level_of))
    if quality is None or level is None or min(quality.t_s.size, level.t_s.size) < FEWEST:
        return None
    t_s, share = smoothed_while_flown(quality, looked, 0.5)
    if t_s.size < FEWEST:
        return None
    level_s, level_dbm = thinned(level, 10.0)
    steps = max(1, round(0.6 / max(float(np.median(np.diff(level_s))), 1e-3)))
    padded = np.pad(level_dbm, steps, mode="edge")
    lowest = np.lib.stride_tricks.sliding_window_view(padded, 2 * steps + 1).min(axis=1)
    near_dbm = held_at(level_s, lowest, t_s)
    # a board that begins anew, or falls, hears nothing for a moment whatever the level
    holds = (near_dbm > HIGH_LEVEL.value) & (near_dbm < NO_LEVEL_DBM) & (t_s < first_upset_s(looked) + 0.1)
    if not holds.any():
        return None
    low = holds & (share < WORN_QUALITY.value + 0.05)
    step_s = float(np.median(np.diff(t_s)))
    lost_s = step_s * float(np.sum(1.0 - share[low]))
    rows = np.flatnonzero(low)
    span = (float(t_s[rows[0]]), float(t_s[rows[-1]])) if rows.size else None
    return lost_s, float(share[holds].min()), float(np.median(near_dbm[low if rows.size else holds])), span


def _tell_knocks(looked: Looked, lost: list[Event], teller: Teller) -> None:
    """Tell whether the link drops for a moment just after knocks."""
    sign, record = "link-drops-at-knocks", looked.answer.flown.record
    if not any(record.get(each) for each in LINK):
        teller.cannot(sign, WhyNot.NO_CHANNEL, *LINK)
        return
    forces = [record.get(each) for each in ACCELERATIONS]
    if any(each is None for each in forces):
        teller.cannot(sign, WhyNot.NO_CHANNEL, *ACCELERATIONS)
        return
    drops = [each.start_s for each in lost if each.end_s - each.start_s < 3.0]
    if not drops:
        teller.say(sign, False, 0.85, GROUP)
        return
    t_s = forces[0].t_s  # type: ignore[union-attr]
    size = np.sqrt(sum(np.interp(t_s, each.t_s, each.values) ** 2 for each in forces if each is not None))
    knocks = t_s[size > KNOCK_G.value * GRAVITY_MPS2]
    if not knocks.size:
        teller.say(sign, False, 0.85, GROUP)
        return
    after = np.array([float(np.min(np.where(each >= knocks - 0.05, each - knocks, np.inf))) for each in drops])
    share = float(np.mean(after < KNOCK_S.value))
    usual = min(1.0, float(np.unique(np.floor(knocks / KNOCK_S.value)).size) * KNOCK_S.value / max(looked.ended_s, 1.0))
    teller.by(sign, (share - 0.6) / 0.2 if usual < 0.3 else -0.3, GROUP, most=0.9, drops=float(len(drops)), share=share)
