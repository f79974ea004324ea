"""Signs of wind and rough air on the way."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats
from turnback.assess.power_events_fit import even_means
from turnback.assess.signals import rows_between
from turnback.assess.signs_place_field import heading_turned, wind_by_lean
from turnback.assess.signs_place_seen import HZ, PlaceSeen
from turnback.assess.signs_volts_told import Blind, Saw, needs, why_not
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, WhyNot
from turnback.rules.record_signs_place import (
    DRIFT_PULL,
    DRIFT_TIME,
    HOME_FAR,
    LEG_TIME,
    ROUGH_TIMES,
    SLOW_RATIO,
    STANDS_CLOSING,
    STANDS_TIME,
    STICK_STILL,
)

GROUP: Final = "wind"
AGAINST: Final = -0.7
WITHIN: Final = 0.64
"""Cosines of 135 and of 50 degrees."""
MOVES_MPS: Final = 1.5
SLOWS_MPS: Final = 0.5
LOOK_S: Final = 2.0
WANTS_PULL: Final = 1.0
STANDS_SPEED_MPS: Final = 3.5
CLIMBS_MPS: Final = 0.8
TURNS_ROUND_S: Final = 4.0
HEADING_OFF_RAD: Final = 0.6
LEAST_WIND_MPS: Final = 4.0
PUSHED_SURE: Final = 0.65
ANGLES: Final = (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING)
ROUGH_HZ: Final = 25.0
ROUGH_WINDOW_S: Final = 1.0
ROUGH_LEAST_S, ROUGH_MOST_S = 1.0, 15.0
ROUGH_FLOOR_RAD_S: Final = 0.5
CALM_TIMES: Final = 1.8
AROUND: Final = 25
STILL_S: Final = 2.0


def _until(seen: PlaceSeen) -> NDArray[np.bool_]:
    """Rows aloft until the flight ended, not falling."""
    return seen.aloft & ~seen.falls & (seen.t_s <= seen.looked.ended_s)


def drifts_down_wind(seen: PlaceSeen) -> Saw | Blind:
    """Leans one way and goes the other, for longer than braking takes, without becoming slower."""
    blind = seen.no_speed()
    speed = seen.speed_mps()
    if blind is not None or speed is None or seen.v_east_mps is None or seen.v_north_mps is None:
        return blind or needs(Quantity.GROUND_SPEED)
    if seen.pull_east_mps2 is None or seen.pull_north_mps2 is None:
        return needs(*ANGLES)
    turned = heading_turned(seen)
    if turned is not None and abs(turned.off_rad) > HEADING_OFF_RAD:
        return Blind(WhyNot.SENSE_UNKNOWN, (Channel(Quantity.HEADING),))
    pull = np.hypot(seen.pull_east_mps2, seen.pull_north_mps2)
    dot = seen.v_east_mps * seen.pull_east_mps2 + seen.v_north_mps * seen.pull_north_mps2
    step = round(LOOK_S * HZ)
    later = np.r_[speed[step:], np.full(min(step, speed.size), speed[-1])][: speed.size]
    slows = speed - later > SLOWS_MPS
    holds = _until(seen) & (pull > DRIFT_PULL.value) & (speed > MOVES_MPS) & (dot < AGAINST * pull * speed) & ~slows
    length_s, start_s, end_s = seen.longest_s(holds)
    values = {"drifted_s": length_s, "limit_s": DRIFT_TIME.value}
    return Saw((length_s - DRIFT_TIME.value) / 0.8, GROUP, values, start_s, end_s,
               tuple(map(Channel, (Quantity.GROUND_SPEED, *ANGLES))))  # fmt: skip


def _wind(seen: PlaceSeen) -> Event | None:
    return next((each for each in seen.answer.events if each.kind is EventKind.WIND), None)


def slow_into_wind(seen: PlaceSeen) -> Saw | Blind:
    """Speed over ground on legs into the wind over that on legs with it."""
    blind = seen.no_speed()
    if blind is not None:
        return blind
    wind, lean = _wind(seen), wind_by_lean(seen)
    refused = why_not(seen.answer, EventKind.WIND)
    if lean is not None and abs(lean.toward_mps) > LEAST_WIND_MPS and lean.sd_mps < 0.3 * abs(lean.toward_mps):
        legs, most = _legs(seen, float(np.angle(-lean.toward_mps))), 0.95
    elif wind is not None:
        legs, most = _legs(seen, wind.values["from_rad"]), 0.9
    elif refused is None or lean is not None:
        return Saw(-1.5, GROUP, channels=(Channel(Quantity.GROUND_SPEED),))
    else:
        return refused or Blind(WhyNot.TOO_SHORT)
    if legs is None:
        return refused or Blind(WhyNot.TOO_SHORT)
    ratio = legs[0] / legs[1]
    if ratio > SLOW_RATIO.value:  # there is a wind: whoever leans harder against it is as fast
        most = PUSHED_SURE
    values = {"into_mps": legs[0], "with_mps": legs[1], "limit_share": SLOW_RATIO.value}
    return Saw((SLOW_RATIO.value - ratio) / 0.1, GROUP, values, channels=(Channel(Quantity.GROUND_SPEED),), most=most)


def _legs(seen: PlaceSeen, from_rad: float) -> tuple[float, float] | None:
    """Return the median speed into and with a wind; None unless it flew both ways.

    Which way it means to go is how it leans, where that is known: into a strong wind it may stand, or go backward.
    """
    if seen.v_east_mps is None or seen.v_north_mps is None:
        return None
    into = seen.v_east_mps * np.sin(from_rad) + seen.v_north_mps * np.cos(from_rad)
    speed = np.hypot(seen.v_east_mps, seen.v_north_mps)
    moving = _until(seen) & (speed > MOVES_MPS)
    fast = moving & (speed > 0.5 * float(np.percentile(speed[moving], 80.0)) if moving.any() else False)
    upwind = moving & (into > WITHIN * speed)
    if seen.pull_east_mps2 is not None and seen.pull_north_mps2 is not None:
        pull = np.hypot(seen.pull_east_mps2, seen.pull_north_mps2)
        leans = seen.pull_east_mps2 * np.sin(from_rad) + seen.pull_north_mps2 * np.cos(from_rad)
        # as hard as it leans while it flies fast: else it only stands its ground
        hard = float(np.median(pull[fast])) if fast.any() else np.inf
        upwind = upwind | (_until(seen) & (pull > max(DRIFT_PULL.value, hard)) & (leans > WITHIN * pull))
    downwind = fast & (-into > WITHIN * speed)
    if min(np.count_nonzero(upwind), np.count_nonzero(downwind)) < LEG_TIME.value * HZ:
        return None
    return max(float(np.median(into[upwind])), 0.0), max(float(np.median(-into[downwind])), 0.1)


def stands_still(seen: PlaceSeen) -> Saw | Blind:
    """In automatic return, or leaning homeward: how fast it comes nearer over eight seconds, at its slowest."""
    blind = seen.no_place() or seen.no_speed()
    away, speed = seen.distance_m(), seen.speed_mps()
    if blind is not None or away is None or speed is None or seen.east_m is None or seen.north_m is None:
        return blind or needs(Quantity.LATITUDE, Quantity.LONGITUDE)
    wants = _settled(seen)
    if seen.pull_east_mps2 is not None and seen.pull_north_mps2 is not None:
        homeward = -(seen.pull_east_mps2 * seen.east_m + seen.pull_north_mps2 * seen.north_m)
        pull = np.hypot(seen.pull_east_mps2, seen.pull_north_mps2)
        wants = wants | ((pull > 2.0 * WANTS_PULL) & (homeward > WITHIN * pull * away))
    wants &= _until(seen) & (away > HOME_FAR.value)
    if seen.climb_mps is not None:
        wants &= np.abs(seen.climb_mps) < CLIMBS_MPS
    width = round(STANDS_TIME.value * HZ)
    if wants.size <= width:
        return Blind(WhyNot.TOO_SHORT)
    count = np.cumsum(np.r_[0, wants])
    whole = np.flatnonzero(count[width:] - count[:-width] >= 0.9 * width)
    whole = whole[whole + width < away.size]
    if not whole.size:
        return Blind(WhyNot.TOO_SHORT)
    closing = (away[whole] - away[whole + width]) / STANDS_TIME.value
    moved = np.cumsum(np.r_[0.0, speed])
    mean_mps = (moved[whole + width] - moved[whole]) / width
    closing = np.where(mean_mps < STANDS_SPEED_MPS, closing, np.maximum(closing, STANDS_CLOSING.value + 1.0))
    slowest = int(np.argmin(closing))
    values = {"closing_mps": float(closing[slowest]), "limit_mps": STANDS_CLOSING.value}
    at_s = float(seen.t_s[whole[slowest]])
    return Saw((STANDS_CLOSING.value - float(closing[slowest])) / 0.4, GROUP, values, at_s, at_s + STANDS_TIME.value,
               (Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE)))  # fmt: skip


def _settled(seen: PlaceSeen) -> NDArray[np.bool_]:
    """Rows of automatic return after it has turned round."""
    late = seen.returns.copy()
    for phase_row in np.flatnonzero(np.diff(seen.returns.view(np.int8), prepend=np.int8(0)) == 1):
        late[phase_row : phase_row + round(TURNS_ROUND_S * HZ)] = False
    return late


def rough_air(seen: PlaceSeen) -> Saw | Blind:
    """Thrown about at one place, sticks still, and calm before and after."""
    rates = [seen.record.get(each) for each in (Quantity.ROLL_RATE, Quantity.PITCH_RATE)]
    if any(each is None or each.t_s.size < 2 for each in rates):
        return needs(Quantity.ROLL_RATE, Quantity.PITCH_RATE)
    if any(each is not None and each.rate_hz < ROUGH_HZ for each in rates):
        return Blind(WhyNot.TOO_SLOW, (Channel(Quantity.ROLL_RATE),))
    grid_s = np.arange(0.0, seen.looked.ended_s, 1.0 / ROUGH_HZ)
    # an automatic return turns and leans by itself, with no stick
    rows = np.interp(grid_s, seen.t_s, (_until(seen) & ~seen.returns).astype(np.float64)) > 0.5
    if np.count_nonzero(rows) < 10.0 * ROUGH_HZ:
        return Blind(WhyNot.TOO_SHORT)
    still = _sticks_still(seen, grid_s)
    if still is not None:
        rows &= still
        if not rows.any():
            return Blind(WhyNot.TOO_SHORT)
    size = _restless(seen, grid_s)
    usual = max(float(np.median(size[rows])), ROUGH_FLOOR_RAD_S / ROUGH_TIMES.value)
    times = np.where(rows, size / usual, 0.0)
    best = Saw(-2.0, "rough air", channels=(Channel(Quantity.ROLL_RATE), Channel(Quantity.PITCH_RATE)))
    edges = np.flatnonzero(np.diff((times > CALM_TIMES).view(np.int8), prepend=np.int8(0), append=np.int8(0)))
    for first, after in edges.reshape(-1, 2):
        length_s = (after - first) / ROUGH_HZ
        # taking off, landing and what ends the flight are rough by themselves
        inner = rows[max(0, first - AROUND) : after + AROUND].all() and after + AROUND < rows.size
        if not ROUGH_LEAST_S < length_s < ROUGH_MOST_S or first < AROUND or not inner:
            continue
        most = float(np.max(times[first:after]))
        beyond = float(np.log(most / ROUGH_TIMES.value)) / 0.3
        if beyond > best.beyond:
            values = {"times": most, "limit_times": ROUGH_TIMES.value}
            best = Saw(beyond, "rough air", values, float(grid_s[first]), float(grid_s[after - 1]), best.channels,
                       0.55 if still is None else 0.7)  # fmt: skip
    return best


def _sticks_still(seen: PlaceSeen, grid_s: Floats) -> NDArray[np.bool_] | None:
    """Rows around which no stick moves; None without sticks."""
    still = np.ones(grid_s.size, np.bool_)
    width = round(STILL_S * ROUGH_HZ) | 1
    for quantity in (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK, Quantity.THROTTLE):
        series = seen.record.get(quantity)
        if series is None or series.t_s.size < 2:
            return None
        stick = even_means(series.t_s, series.values, grid_s)
        if stick.size < width:
            return still
        view = np.lib.stride_tricks.sliding_window_view(np.pad(stick, width // 2, mode="edge"), width)
        still &= np.ptp(view, axis=1) < STICK_STILL.value
    return still


def _restless(seen: PlaceSeen, grid_s: Floats) -> Floats:
    """Return the root mean square over a second of what turning rates do beyond what is asked of them."""
    square = np.zeros(grid_s.size)
    for quantity, asked in (
        (Quantity.ROLL_RATE, Quantity.ROLL_RATE_DEMAND), (Quantity.PITCH_RATE, Quantity.PITCH_RATE_DEMAND),
    ):  # fmt: skip
        series, demand = seen.record.get(quantity), seen.record.get(asked)
        if series is None:
            continue
        rate = even_means(series.t_s, series.values, grid_s)
        if demand is not None and demand.t_s.size > 1:
            rate = rate - even_means(demand.t_s, demand.values, grid_s)
        square += rate * rate
    width = round(ROUGH_WINDOW_S * ROUGH_HZ)
    return np.sqrt(np.convolve(square, np.full(width, 1.0 / width), mode="same"))


def stick_size(seen: PlaceSeen, start_s: float, end_s: float) -> float | None:
    """Return the mean deflection of the roll and pitch sticks over a span, the larger; None without sticks."""
    sizes = []
    for quantity in (Quantity.ROLL_STICK, Quantity.PITCH_STICK):
        series = seen.record.get(quantity)
        if series is None:
            return None
        part = series.values[rows_between(series.t_s, start_s, end_s)]
        sizes.append(float(np.mean(np.abs(part))) if part.size else 0.0)
    return max(sizes)
