"""Signs of the automatic return: its track, its launch point, its height; circles, and positions that jump."""

from __future__ import annotations

import itertools
from math import hypot, log
from typing import Final

import numpy as np

from turnback.assess.signs_link_parts import position_jumps_of
from turnback.assess.signs_place_home import aims_off
from turnback.assess.signs_place_seen import HZ, PlaceSeen
from turnback.assess.signs_place_wind import stick_size
from turnback.assess.signs_volts_told import NOBODY, Z90, Blind, Saw, events_of, needs, why_not
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_place import LAUNCH_OFF, RETURN_NEAR, RETURN_SPEED, RETURN_TIME
from turnback.rules.record_signs_place import (
    CIRCLE_GROWS,
    CIRCLE_TURNS,
    FEW_SATELLITES,
    HOME_FAR,
    STAYS_TIME,
    STICK_STILL,
    TRACK_OFF,
)

RETURN: Final = "return"
PLACE: Final = (Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))
NO_EVENT: Final = -2.2
LAUNCH_SD_M: Final = 5.0
JUMP_MOST: Final = 3.0
HEIGHT_SD_M: Final = 3.0
LEVEL_MPS: Final = 0.6
BLOWN_MPS: Final = 4.0
CIRCLE_LEAST_MPS, CIRCLE_MOST_MPS = 0.7, 15.0
CIRCLE_TURN_RAD_S: Final = 0.12
CIRCLE_MOST_M: Final = 60.0
SMOOTH_ROWS: Final = 5
OVER_M: Final = 20.0
STAYS_HEIGHT_M: Final = 3.0
COMES_DOWN_MPS: Final = 0.3


def _returns(seen: PlaceSeen) -> Blind | None:
    """Return why an automatic return is not known; None where there is one in the record."""
    if seen.record.get(Quantity.RETURN_ACTIVE) is None and seen.record.get(Quantity.MODE) is None:
        return needs(Quantity.RETURN_ACTIVE)
    return None if seen.returns.any() else NOBODY


def return_track_off(seen: PlaceSeen) -> Saw | Blind:
    """Median angle between track and the way home over the parts of an automatic return that are off it."""
    blind = seen.no_place() or _returns(seen) or why_not(seen.answer, EventKind.RETURN_TRACK_OFF)
    if blind is not None:
        return blind
    events = events_of(seen.answer, EventKind.RETURN_TRACK_OFF, seen.looked.ended_s)
    if events:
        worst = max(events, key=lambda each: each.values["off_rad"])
        values = {"off_rad": worst.values["off_rad"], "limit_rad": TRACK_OFF.value}
        beyond = (worst.values["off_rad"] - TRACK_OFF.value) / 0.15
        speed = seen.speed_mps()
        rows = (seen.t_s >= worst.start_s) & (seen.t_s <= worst.end_s)
        blown = speed is not None and rows.any() and float(np.median(speed[rows])) < BLOWN_MPS
        return Saw(beyond, RETURN, values, worst.start_s, worst.end_s, PLACE, 0.6 if blown else 0.98)
    away, speed = seen.distance_m(), seen.speed_mps()
    if away is None or speed is None:
        return needs(Quantity.GROUND_SPEED, Quantity.COURSE)
    told = seen.returns & (away > RETURN_NEAR.value) & (speed > RETURN_SPEED.value)
    if np.count_nonzero(told) < RETURN_TIME.value * HZ:
        return Blind(WhyNot.TOO_SHORT)
    return Saw(NO_EVENT, RETURN, channels=PLACE, most=0.85)


def launch_point_off(seen: PlaceSeen) -> Saw | Blind:
    """How far the stored launch point lies from where it took off."""
    events = events_of(seen.answer, EventKind.LAUNCH_POINT_OFF, seen.looked.ended_s)
    if not events:
        blind = why_not(seen.answer, EventKind.LAUNCH_POINT_OFF)
        if blind is None:
            return Saw(NO_EVENT, "launch point", channels=PLACE)
        jumps = position_jumps_of(seen.looked)
        # where places jump, the place that it makes for is as little known as its own
        return Blind(WhyNot.TOO_SHORT) if jumps else aims_off(seen)
    worst = max(events, key=lambda each: each.values.get("off_m", 0.0))
    off_m = worst.values.get("off_m", LAUNCH_OFF.value + LAUNCH_SD_M)
    sd_m = max(LAUNCH_SD_M, worst.values.get("uncertainty_m", 0.0))
    values = {"off_m": off_m, "limit_m": LAUNCH_OFF.value}
    return Saw((off_m - LAUNCH_OFF.value) / sd_m, "launch point", values, worst.start_s, worst.end_s, worst.channels)


def position_jumps(seen: PlaceSeen) -> Saw | Blind:
    """Jumps, poor fixes, or few satellites while aloft."""
    few = _few_satellites(seen)
    events = position_jumps_of(seen.looked)
    if events:
        worst = max(events, key=lambda each: max(each.values.values()))
        beyond = min(1.5 + 0.5 * len(events), JUMP_MOST)
        values = dict(worst.values) | {"times": float(len(events))}
        return Saw(beyond, "position", values, events[0].start_s, events[-1].end_s, worst.channels)
    if few is not None:
        return few
    blind = why_not(seen.answer, EventKind.POSITION_JUMP)
    return blind or Saw(NO_EVENT, "position", channels=PLACE)


def _few_satellites(seen: PlaceSeen) -> Saw | None:
    series = seen.record.get(Quantity.SATELLITES)
    if series is None or not seen.aloft.any():
        return None
    counts = np.interp(seen.t_s[seen.aloft], series.t_s, series.values)
    least = float(np.percentile(counts, 10.0))
    if least >= FEW_SATELLITES.value:
        return None
    values = {"satellites": least, "limit": FEW_SATELLITES.value}
    return Saw(0.5 * (FEW_SATELLITES.value - least), "position", values, channels=(series.channel,), most=0.9)


def below_obstacles(seen: PlaceSeen) -> Saw | Blind:
    """Height on the level part of the way home against what stands on the straight way."""
    home = seen.expected("home_height_m")
    blind = _returns(seen) or seen.no_place()
    away = seen.distance_m()
    if blind is not None or away is None:
        return blind or needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    if seen.height_m is None:
        return needs(Quantity.HEIGHT_LAUNCH)
    if home is None:
        return NOBODY
    level = seen.returns & (away > HOME_FAR.value) & (seen.t_s <= seen.looked.ended_s)
    if seen.climb_mps is not None:
        level &= np.abs(seen.climb_mps) < LEVEL_MPS
    if np.count_nonzero(level) < 2.0 * HZ:
        return Blind(WhyNot.TOO_SHORT)
    height_m = float(np.median(seen.height_m[level]))
    sd_m = hypot(HEIGHT_SD_M, (home.high - home.low) / (2.0 * Z90))
    values = {"height_m": height_m, "home_height_m": home.mid}
    rows = np.flatnonzero(level)
    return Saw((home.mid - height_m) / sd_m, RETURN, values, float(seen.t_s[rows[0]]), float(seen.t_s[rows[-1]]),
               (Channel(Quantity.HEIGHT_LAUNCH),))  # fmt: skip


def stays_over_launch(seen: PlaceSeen) -> Saw | Blind:
    """How long an automatic return stays above the launch point without coming down."""
    blind = _returns(seen) or seen.no_place() or seen.no_climb()
    away = seen.distance_m()
    if blind is not None or away is None or seen.climb_mps is None:
        return blind or needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    near = seen.returns & (away < OVER_M)
    if not near.any():
        return Blind(WhyNot.TOO_SHORT)
    slow = np.convolve(np.pad(seen.climb_mps, 10, mode="edge"), np.full(21, 1.0 / 21.0), mode="valid")
    holds = near & (slow > -COMES_DOWN_MPS)
    if seen.height_m is not None:
        holds &= seen.height_m > STAYS_HEIGHT_M
    length_s, start_s, end_s = seen.longest_s(holds)
    values = {"stays_s": length_s, "limit_s": STAYS_TIME.value}
    return Saw((length_s - STAYS_TIME.value) / 3.0, RETURN, values, start_s, end_s, PLACE)


def circles_grow(seen: PlaceSeen) -> Saw | Blind:
    """Turns of the track in one sense, sticks still, whose radius grows."""
    blind = seen.no_speed()
    speed = seen.speed_mps()
    if blind is not None or speed is None or seen.v_east_mps is None or seen.v_north_mps is None:
        return blind or needs(Quantity.GROUND_SPEED)
    if seen.t_s.size < 4 * SMOOTH_ROWS:
        return Blind(WhyNot.TOO_SHORT)
    box = np.full(SMOOTH_ROWS, 1.0 / SMOOTH_ROWS)
    east, north = (np.convolve(each, box, mode="same") for each in (seen.v_east_mps, seen.v_north_mps))
    course = np.unwrap(np.arctan2(east, north))
    turn = np.gradient(course, 1.0 / HZ)
    size = np.hypot(east, north)
    radius = size / np.maximum(np.abs(turn), 1e-3)
    ok = seen.aloft & ~seen.falls & (seen.t_s <= seen.looked.ended_s) & (radius < CIRCLE_MOST_M)
    ok &= (size > CIRCLE_LEAST_MPS) & (size < CIRCLE_MOST_MPS) & (np.abs(turn) > CIRCLE_TURN_RAD_S)
    channels = (Channel(Quantity.GROUND_SPEED), Channel(Quantity.COURSE))
    best = Saw(NO_EVENT, "circles", channels=channels)
    edges = np.flatnonzero(np.diff((ok * np.sign(turn)).astype(np.int8), prepend=np.int8(0), append=np.int8(0)))
    for first, after in itertools.pairwise(edges):
        if not ok[first] or after - first < 3 * SMOOTH_ROWS:
            continue
        turns = abs(float(course[after - 1] - course[first])) / (2.0 * np.pi)
        third = (after - first) // 3
        grows = float(
            np.median(radius[after - third : after]) / max(float(np.median(radius[first : first + third])), 0.1)
        )
        beyond = min((turns - CIRCLE_TURNS.value) / 0.3, log(grows / CIRCLE_GROWS.value) / 0.15)
        start_s, end_s = float(seen.t_s[first]), float(seen.t_s[after - 1])
        stick = stick_size(seen, start_s, end_s)
        if beyond > best.beyond and (stick is None or stick < STICK_STILL.value):
            values = {"turns": turns, "grows_times": grows}
            most = 0.98 if stick is not None or seen.returns[first:after].any() else 0.75
            best = Saw(beyond, "circles", values, start_s, end_s, channels, most)
    # flown by hand it holds no place, so that none of this could show
    return best if best.beyond > NO_EVENT else Blind(WhyNot.NO_CHANNEL, (Channel(Quantity.MODE),))
