"""Signs of how an automatic return ends: it comes down elsewhere, passes its launch point by, or stops short."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats
from turnback.assess.signs_place_field import field_left, heading_turned
from turnback.assess.signs_place_seen import HZ, PlaceSeen
from turnback.assess.signs_place_steel import turns_with_height
from turnback.assess.signs_volts_told import NOBODY, Blind, Saw, events_of, needs
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_place import (
    AIMS_OFF,
    FIELD_NEAR,
    FIELD_NEAR_CHANGES,
    HOME_FAR,
    STOPS_WITHIN,
    TURNS_NEAR,
    TURNS_NEAR_SHARE,
)

PLACE: Final = (Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))
MOVES_MPS, RESTS_MPS = 2.5, 1.5
SETTLES_MPS: Final = 2.5
SLANTS: Final = 0.7
HEADS_S: Final = 1.0
LEANS_MPS2, AGAINST = 1.5, -0.3
COMES_DOWN_MPS: Final = 0.6
AIM_S: Final = 4.0
DOWN_S: Final = 2.0
SD_M: Final = 8.0
RIGHT_RAD: Final = 0.3
WINDY_MPS: Final = 6.0
PASSED_S, PAST_M, PAST_SD_M = 0.8, 13.0, 3.0
"""A return that slows for its point overshoots it by a few metres, and places err by as much."""
ANGLE_RAD: Final = 0.45
NO_EVENT: Final = -1.6
ENDS: Final = frozenset({PhaseKind.GROUND, PhaseKind.ARMED_ON_GROUND, PhaseKind.FALL})


def aims_off(seen: PlaceSeen) -> Saw | Blind:
    """How far from where it took off an automatic return comes down, or flies past; no stored point is needed."""
    away, speed, climb = seen.distance_m(), seen.speed_mps(), seen.climb_mps
    if away is None or speed is None or climb is None or seen.east_m is None or seen.north_m is None:
        return needs(Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE)
    rows = seen.returns & seen.aloft & ~seen.falls & (seen.t_s <= seen.looked.ended_s)
    if rows.sum() < AIM_S * HZ:
        return NOBODY if not seen.returns.any() else Blind(WhyNot.TOO_SHORT)
    flew = np.cumsum(rows & (speed > MOVES_MPS)) > DOWN_S * HZ
    down = rows & flew & (speed < RESTS_MPS) & (climb < -COMES_DOWN_MPS) & (climb > -4.0)
    length_s, start_s, end_s = seen.longest_s(down)
    if length_s >= DOWN_S:
        off_m = float(np.median(away[(seen.t_s >= start_s) & (seen.t_s < end_s)]))
        values = {"off_m": off_m, "limit_m": AIMS_OFF.value}
        return Saw((off_m - AIMS_OFF.value) / SD_M, "launch point", values, start_s, end_s, PLACE, 0.95)
    return _passes(seen, rows & flew & (speed > MOVES_MPS), away)


def _passes(seen: PlaceSeen, rows: NDArray[np.bool_], away: Floats) -> Saw | Blind:
    """How far its track leads past the launch point, where its heading is right and no wind carries it."""
    if seen.east_m is None or seen.north_m is None or seen.v_east_mps is None or seen.v_north_mps is None:
        return needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    turned, field = heading_turned(seen), field_left(seen)
    wind = next((each for each in seen.answer.events if each.kind is EventKind.WIND), None)
    blown = wind is not None and wind.values["wind_mps"] > WINDY_MPS
    wrong = turned is None or abs(turned.off_rad) > RIGHT_RAD or (field is not None and field.by_current > 0.1)
    pull_east, pull_north = seen.pull_east_mps2, seen.pull_north_mps2
    if pull_east is not None and pull_north is not None and rows.any():
        # leaning against the way it goes: the wind carries it
        dot = float(np.median((pull_east * seen.v_east_mps + pull_north * seen.v_north_mps)[rows]))
        pull = float(np.median(np.hypot(pull_east, pull_north)[rows]))
        speed_mps = float(np.median(np.hypot(seen.v_east_mps, seen.v_north_mps)[rows]))
        blown = blown or (pull > LEANS_MPS2 and dot < AGAINST * pull * speed_mps)
    if blown or wrong or rows.sum() < AIM_S * HZ:
        return Blind(WhyNot.TOO_SHORT)
    east, north = -seen.east_m[rows], -seen.north_m[rows]
    speed = np.hypot(seen.v_east_mps[rows], seen.v_north_mps[rows])
    along = (east * seen.v_east_mps[rows] + north * seen.v_north_mps[rows]) / speed
    past = np.where(along < 0.0, away[rows], np.sqrt(np.maximum(away[rows] ** 2 - along**2, 0.0)))
    off = np.arccos(np.clip(along / np.maximum(away[rows], 1.0), -1.0, 1.0))
    far = (away[rows] > HOME_FAR.value) & (off > ANGLE_RAD)
    past_m = float(np.median(past[far])) if far.sum() >= AIM_S * HZ else 0.0
    at_s = seen.t_s[rows]
    # a point that lies behind where it took off is not told from afar
    most = 0.7 if past_m == 0.0 and float(np.min(away[rows])) > 2.0 * AIMS_OFF.value else 0.9
    beyond = max((past_m - AIMS_OFF.value) / SD_M, _flies_past(away[rows], along))
    return Saw(beyond, "launch point", {"off_m": past_m, "limit_m": AIMS_OFF.value}, float(at_s[0]), float(at_s[-1]),
               PLACE, most)  # fmt: skip


def _flies_past(away: Floats, along: Floats) -> float:
    """Return how surely it flew over where it took off and on, at speed; one that has its point there slows before."""
    nearest = int(np.argmin(away))
    after = away[nearest:][along[nearest:] < 0.0]
    if away[0] < HOME_FAR.value or after.size < PASSED_S * HZ:
        return -SD_M
    return (float(after[-1]) - PAST_M) / PAST_SD_M


def stops_short(seen: PlaceSeen) -> Saw | Blind:
    """How soon after flying on, in automatic return and far from the launch point, the flight is over."""
    away, speed = seen.distance_m(), seen.speed_mps()
    if seen.record.get(Quantity.RETURN_ACTIVE) is None and seen.record.get(Quantity.MODE) is None:
        return needs(Quantity.RETURN_ACTIVE)
    if away is None or speed is None or seen.climb_mps is None:
        return needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    if not seen.returns.any():
        return NOBODY
    end_s = seen.looked.ended_s
    last = seen.returns & (seen.t_s <= end_s) & (seen.t_s > end_s - 2.0)
    no = Saw(NO_EVENT, "return", channels=PLACE)
    over = bool(events_of(seen.answer, EventKind.IMPACT, end_s + 2.0)) or any(
        each.kind in ENDS and -4.0 < each.start_s - end_s < 3.0 for each in seen.answer.flown.phases
    )
    over = over or _switched_off(seen, end_s)
    if not over or not last.any() or float(np.min(away[last])) < AIMS_OFF.value:
        return no
    # what heads home and down less steeply than it goes forward still flies
    level = seen.returns & (speed > MOVES_MPS) & (seen.t_s <= end_s)
    level &= seen.climb_mps > -np.maximum(SETTLES_MPS, SLANTS * speed)
    if level.sum() < HEADS_S * HZ:
        return no
    stops = int(np.flatnonzero(level)[-1])
    late_s = end_s - float(seen.t_s[stops])
    if seen.height_m is not None and late_s > 0.0:
        # what struck something high up falls from there before the record knows of it
        fell_m = max(float(seen.height_m[stops] - np.min(seen.height_m[stops:])), 0.0)
        late_s = max(late_s - float(np.sqrt(2.0 * fell_m / GRAVITY_MPS2)), 0.0)
    return Saw((STOPS_WITHIN.value - late_s) / 0.8, "return", {"late_s": late_s, "limit_s": STOPS_WITHIN.value},
               end_s - late_s, end_s, PLACE, 0.95)  # fmt: skip


def _switched_off(seen: PlaceSeen, end_s: float) -> bool:
    """Tell whether it was switched off as the flight ended: the record may end before it is seen to stand."""
    armed = seen.record.get(Quantity.ARMED)
    if armed is None:
        return False
    part = armed.values[armed.t_s >= end_s - 1.0]
    return bool(part.size and part[-1] < 0.5)


def field_near_ground(seen: PlaceSeen) -> Saw | Blind:
    """How much of the unrest of the field, or else of the heading, goes with the height above the ground."""
    left, turns = field_left(seen), _turns_near_ground(seen)
    if left is None or (isinstance(turns, Saw) and turns.beyond > 0.0):
        return turns
    beyond = min((left.by_height - FIELD_NEAR.value) / 0.1, (left.height_share - FIELD_NEAR_CHANGES.value) / 0.04)
    return Saw(beyond, "heading", {"explains": left.by_height, "field_share": left.height_share},
               channels=(Channel(Quantity.MAGNETIC_X), Channel(Quantity.HEIGHT_LAUNCH)), most=0.96)  # fmt: skip


def _turns_near_ground(seen: PlaceSeen) -> Saw | Blind:
    """By how much the shown heading turns on each climb from the ground and each way down, nobody turning."""
    turns = turns_with_height(seen)
    if turns is None:
        return needs(Quantity.MAGNETIC_X, Quantity.MAGNETIC_Y, Quantity.MAGNETIC_Z)
    beyond = min((turns.turn_rad - TURNS_NEAR.value) / 0.06, (turns.share - TURNS_NEAR_SHARE.value) / 0.08)
    values = {"turn_rad": turns.turn_rad, "limit_rad": TURNS_NEAR.value, "explains": turns.share}
    channels = (Channel(Quantity.HEADING), Channel(Quantity.HEIGHT_LAUNCH))
    most = 0.96 if turns.times > 1 else 0.9
    return Saw(beyond, "heading", values, turns.start_s, turns.end_s, channels, most)
