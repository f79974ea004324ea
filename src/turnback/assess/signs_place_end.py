"""Signs of how the flight came down: fell, sank, hit, or the record ended aloft."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.signals import rows_between
from turnback.assess.signs_motion_whirl import whirls_on_s
from turnback.assess.signs_place_seen import HZ, PlaceSeen
from turnback.assess.signs_sticks_return import ends_in_return
from turnback.assess.signs_volts_told import Blind, Saw, ends_aloft_event, events_of, needs, why_not
from turnback.records.channel import RATES, Channel, Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_signs_place import (
    FREE_TIME,
    FULL_THROTTLE,
    HIT_SPEED,
    SINKS_FAST,
    SINKS_STRAIGHT,
    SINKS_STRAIGHT_TIME,
    SINKS_TIME,
    STRAIGHT_SPEED,
)

GROUP: Final = "how it came down"
NO_EVENT: Final = -2.5
SPARE_S: Final = 0.3
CUT: Final = 0.12
LATE_S, BEFORE_S = 0.8, 1.5
HALF_THROTTLE: Final = 0.6
FROM_M: Final = 2.5
QUIET_S: Final = 4.0
UPRIGHT_RAD: Final = 0.5
BAD: Final = (
    EventKind.LEAVES_QUIET, EventKind.RATE_RUN_AWAY, EventKind.SPEED_COLLAPSE, EventKind.FREE_FALL,
    EventKind.ARM_SWITCH_OFF_ALOFT, EventKind.RESTART, EventKind.OPPOSITE_RESPONSE, EventKind.LINK_LOST,
)  # fmt: skip


LETS_FALL: Final = (
    EventKind.LINK_LOST, EventKind.RATE_RUN_AWAY, EventKind.SPEED_COLLAPSE, EventKind.ARM_SWITCH_OFF_ALOFT,
    EventKind.RESTART, EventKind.OPPOSITE_RESPONSE, EventKind.LEAVES_QUIET,
)  # fmt: skip
UPSET_S: Final = 6.0


def falls_free(seen: PlaceSeen) -> Saw | Blind:
    """How long specific force was near nothing before the ground; without acceleration, whether its height fell so."""
    blind = why_not(seen.answer, EventKind.FREE_FALL)
    if blind is not None:
        return blind if seen.climb_mps is None else _falls_by_height(seen)
    falls = [
        each for each in events_of(seen.answer, EventKind.FREE_FALL, seen.looked.ended_s + 0.01)
        if max(each.values.get("height_m", 0.0), each.values.get("height_lost_m", 0.0)) > FROM_M
    ]  # fmt: skip
    channels = tuple(map(Channel, (Quantity.ACCELERATION_X, Quantity.ACCELERATION_Y, Quantity.ACCELERATION_Z)))
    if not falls:
        return Saw(NO_EVENT, GROUP, channels=channels)
    longest = max(falls, key=lambda each: each.values["free_s"])
    values = {"free_s": longest.values["free_s"], "limit_s": FREE_TIME.value, "height_m": longest.values["height_m"]}
    beyond = (longest.values["free_s"] - FREE_TIME.value) / 0.15
    if longest.end_s < seen.looked.ended_s - 1.5:
        beyond = min(beyond, -0.5)  # it flew on: a thumb let go
    return Saw(beyond, GROUP, values, longest.start_s, longest.end_s, channels)


def _falls_by_height(seen: PlaceSeen) -> Saw | Blind:
    """Sinks ever faster, by most of what gravity adds, for a second."""
    if seen.climb_mps is None or seen.climb_mps.size < 3 * round(HZ):
        return Blind(WhyNot.TOO_SHORT)
    step = round(HZ)
    series = seen.record.get(Quantity.HEIGHT_LAUNCH) or seen.record.get(Quantity.HEIGHT_SEA_LEVEL)
    if series is None or max(series.fresh_hz, 0.0) < 2.0:
        return Blind(WhyNot.TOO_SLOW, (Channel(Quantity.ACCELERATION_Z),))
    sinks = seen.aloft[step:] & (seen.climb_mps[step:] < -SINKS_FAST.value)  # a climb that stops is no fall
    gained = np.where(sinks, seen.climb_mps[:-step] - seen.climb_mps[step:], 0.0)
    at = int(np.argmax(gained))
    values = {"gained_mps": float(gained[at]), "limit_mps": 6.0}
    return Saw((float(gained[at]) - 6.0) / 1.5, GROUP, values, float(seen.t_s[at]), float(seen.t_s[at + step]),
               (Channel(Quantity.HEIGHT_LAUNCH),), 0.85)  # fmt: skip


def ends_aloft(seen: PlaceSeen) -> Saw | Blind:
    """Whether the last row is in the air; what a radio keeps ends aloft after every crash."""
    blind = why_not(seen.answer, EventKind.ENDS_ALOFT)
    if blind is not None:
        return blind
    ends = ends_aloft_event(seen.looked)
    if ends is None:
        return Saw(NO_EVENT, GROUP)
    if ends_in_return(seen.looked):
        return Blind(WhyNot.TOO_SHORT)  # nobody flew it any more: where it ends says little of why
    on_board = any(seen.record.get(each) is not None for each in RATES)
    height_m = ends.values.get("height_m")
    beyond = 2.5 if height_m is None else min((height_m - 1.0) / 1.5, 2.5)
    return Saw(beyond, GROUP, dict(ends.values), ends.start_s, ends.end_s, ends.channels,
               0.98 if on_board else 0.6)  # fmt: skip


def _throttle(seen: PlaceSeen) -> Series | None:
    series = seen.record.get(Quantity.THROTTLE)
    return None if series is None or series.t_s.size < 2 else series


def _by_thumb(seen: PlaceSeen, from_s: float, until_s: float) -> bool | None:
    """Whether the throttle was shut by the pilot while it sank; None where throttle or arming is not known."""
    throttle, armed = _throttle(seen), seen.record.get(Quantity.ARMED)
    if throttle is None:
        return None
    if armed is not None and np.any(armed.values[rows_between(armed.t_s, from_s, until_s)] < 0.5):
        return False
    part = throttle.values[rows_between(throttle.t_s, from_s, until_s)]
    return bool(part.size and np.mean(part < CUT) > 0.4)


def sinks_fast(seen: PlaceSeen) -> Saw | Blind:
    """How long it sank faster than a fast lift just before the ground; not where something let it fall."""
    blind = seen.no_climb()
    if blind is not None or seen.climb_mps is None:
        return blind or needs(Quantity.HEIGHT_LAUNCH)
    channels = (Channel(Quantity.HEIGHT_LAUNCH), Channel(Quantity.CLIMB_RATE))
    end_s = seen.looked.ended_s if seen.impact is None else seen.impact.start_s
    rows = (seen.t_s <= end_s) & (seen.t_s >= end_s - 8.0) & seen.aloft
    fast = rows & (seen.climb_mps < -SINKS_FAST.value)
    length_s, start_s, stop_s = seen.longest_s(fast)
    values = {"sinks_s": length_s, "limit_s": SINKS_TIME.value}
    beyond = (length_s - SINKS_TIME.value) / 0.3
    if beyond > 0.0 and end_s - stop_s > 1.5:
        beyond = -0.5  # it was caught in time
    by_thumb = _by_thumb(seen, start_s - 1.0, stop_s) is True
    if beyond > 0.0 and (_upset(seen, start_s, by_thumb=by_thumb) or (seen.falls.any() and not by_thumb)):
        return Blind(WhyNot.TOO_SHORT)  # a fall is what came of something else
    if beyond > 0.0 and seen.impact is None:
        return Blind(WhyNot.NO_CHANNEL, (Channel(Quantity.ACCELERATION_Z),))
    return Saw(beyond, GROUP, values, start_s, stop_s, channels)


def _upset(seen: PlaceSeen, start_s: float, *, by_thumb: bool) -> bool:
    """Whether something went wrong in the seconds before that lets an aircraft fall; a shut throttle is restless."""
    return any(
        each.start_s > start_s - UPSET_S or each.end_s > start_s - QUIET_S
        for kind in LETS_FALL
        if not (by_thumb and kind is EventKind.LEAVES_QUIET)
        for each in events_of(seen.answer, kind, start_s + SPARE_S)
    )


def full_throttle_late(seen: PlaceSeen) -> Saw | Blind:
    """Throttle in the last moment before the blow, against the seconds before."""
    throttle = _throttle(seen)
    if throttle is None:
        return needs(Quantity.THROTTLE)
    if seen.impact is None:
        blind = why_not(seen.answer, EventKind.IMPACT)
        return blind or Saw(NO_EVENT, "throttle at the end", channels=(throttle.channel,))
    at_s = seen.impact.start_s
    late = throttle.values[rows_between(throttle.t_s, at_s - LATE_S, at_s + 0.02)]
    before = throttle.values[rows_between(throttle.t_s, at_s - LATE_S - BEFORE_S, at_s - LATE_S)]
    if late.size < 2 or before.size < 2:
        return Blind(WhyNot.TOO_SLOW, (throttle.channel,))
    most, was = float(np.max(late)), float(np.median(before))
    values = {"most_output": most, "before_output": was, "limit_output": FULL_THROTTLE.value}
    beyond = min((most - FULL_THROTTLE.value) / 0.06, (HALF_THROTTLE - was) / 0.12)
    armed = seen.record.get(Quantity.ARMED)
    if armed is not None and np.any(armed.values[rows_between(armed.t_s, at_s - LATE_S, at_s)] < 0.5):
        beyond = min(beyond, -0.7)  # it answers no throttle
    if _sinks_mps(seen, at_s) < SINKS_FAST.value / 2.0 and seen.climb_mps is not None:
        beyond = min(beyond, -0.7)  # it was thrown over, not sinking
    return Saw(beyond, "throttle at the end", values, at_s - LATE_S, at_s, (throttle.channel,))


def sinks_straight_down(seen: PlaceSeen) -> Saw | Blind:
    """How long it sank fast with hardly any way on, motors running, before it ended."""
    blind = seen.no_climb() or seen.no_speed()
    speed = seen.speed_mps()
    if blind is not None or seen.climb_mps is None or speed is None:
        return blind or needs(Quantity.GROUND_SPEED)
    rows = seen.aloft & ~seen.falls & (seen.t_s <= seen.looked.ended_s)
    holds = rows & (seen.climb_mps < -SINKS_STRAIGHT.value) & (speed < STRAIGHT_SPEED.value)
    length_s, start_s, end_s = seen.longest_s(holds)
    values = {"sinks_s": length_s, "limit_s": SINKS_STRAIGHT_TIME.value}
    return Saw((length_s - SINKS_STRAIGHT_TIME.value) / 0.5, GROUP, values, start_s, end_s,
               (Channel(Quantity.CLIMB_RATE), Channel(Quantity.GROUND_SPEED)))  # fmt: skip


def hits_steadily(seen: PlaceSeen) -> Saw | Blind:
    """Whether it flew on undisturbed, at speed, until the blow."""
    if seen.impact is None:
        blind = why_not(seen.answer, EventKind.IMPACT)
        return blind or (Saw(NO_EVENT, GROUP) if seen.record.get(Quantity.ACCELERATION_X) else _no_blow(seen))
    at_s = seen.impact.start_s
    before_mps = seen.impact.values.get("before_mps")
    if before_mps is None:
        return Blind(WhyNot.NO_CHANNEL, (Channel(Quantity.GROUND_SPEED),))
    upset = [
        each for kind in BAD for each in events_of(seen.answer, kind, at_s - SPARE_S)
        if each.end_s > at_s - QUIET_S or each.start_s > at_s - QUIET_S
    ]  # fmt: skip
    sinks = _sinks_mps(seen, at_s)
    beyond = (before_mps - HIT_SPEED.value) / 1.0
    whirls = whirls_on_s(seen.looked) < at_s
    if upset or whirls or seen.falls.any() or sinks > SINKS_FAST.value:
        beyond = min(beyond, -1.5)
    values = {"before_mps": before_mps, "limit_mps": HIT_SPEED.value}
    return Saw(beyond, GROUP, values, at_s - QUIET_S, at_s, seen.impact.channels, 0.95)


def _no_blow(seen: PlaceSeen) -> Saw | Blind:
    """Without acceleration a blow is denied only where it came to stand slowly and upright, or flew on."""
    tilts, speed = [seen.record.get(each) for each in (Quantity.ROLL, Quantity.PITCH)], seen.speed_mps()
    known = [each for each in tilts if each is not None and each.t_s.size > 1]
    rows = (seen.t_s > seen.looked.ended_s - BEFORE_S) & (seen.t_s <= seen.looked.ended_s)
    if speed is None or len(known) < len(tilts) or not rows.any():
        return needs(Quantity.ACCELERATION_X)
    lies = max(abs(float(np.interp(seen.looked.ended_s + LATE_S, each.t_s, each.values))) for each in known)
    slow = float(np.max(speed[rows])) < HIT_SPEED.value
    return Saw(NO_EVENT, GROUP) if slow and lies < UPRIGHT_RAD else needs(Quantity.ACCELERATION_X)


def _sinks_mps(seen: PlaceSeen, at_s: float) -> float:
    if seen.climb_mps is None:
        return 0.0
    rows = (seen.t_s >= at_s - 1.5) & (seen.t_s < at_s - 0.2)
    return -float(np.median(seen.climb_mps[rows])) if rows.any() else 0.0
