"""Falls: nothing carries the aircraft, or it tumbles, until the ground ends it or the motors catch it."""

from __future__ import annotations

import numpy as np

from turnback.assess.phases_flight import Flight
from turnback.assess.phases_grid import Floats
from turnback.assess.phases_seen import Bools, Seen
from turnback.assess.signals import spans_where
from turnback.rules.record_phases import (
    CLIMB,
    FREE,
    FREE_LONG,
    FREE_TIME,
    HEIGHT,
    SINK,
    SINK_FAST,
    STILL_SPEED,
    TUMBLE,
    UNCARRIED,
    WOBBLE,
)
from turnback.rules.rule import Threshold

_NEAR_S = 1.0  # a fall that ends the flight does so within this
_BLOW_MPS2 = 20.0  # over gravity: no rotor pulls so, in the mean of a step, after the thrust is gone
_ALONE_S = 0.4  # without a flight around it, only a drop of 0.8 m or more counts


def falls_in(seen: Seen, flight: Flight) -> list[tuple[int, int, Threshold]]:
    """Return falls as first step, step after the last, and the threshold that told."""
    found: list[tuple[int, int, Threshold]] = []
    for first, after, rule in sorted(_begun(seen, flight), key=lambda each: each[0]):
        end = _until(seen, flight, first, after)
        if found and first <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end), found[-1][2])
        elif end > first:
            found.append((first, end, rule))
    return found


def _begun(seen: Seen, flight: Flight) -> list[tuple[int, int, Threshold]]:
    """Stretches in which a fall shows itself."""
    grid, aloft = seen.grid, flight.aloft
    near = max(1, round(_NEAR_S / grid.step_s))
    begun: list[tuple[int, int, Threshold]] = []
    off = np.zeros(grid.steps, np.bool_) if seen.runs is None else seen.runs < 0.5
    if seen.force_mps2 is not None:
        for first, after in spans_where(
            seen.force_mps2 < FREE.value, grid.mid_s, least_s=FREE_TIME.value, bridge_s=0.1
        ):
            long_s = (after - first) * grid.step_s
            in_flight = aloft[max(0, first - near // 3) : after].any()
            ends = off[first:after].any() or not aloft[min(after + near, grid.steps - 1)]
            if (in_flight and (ends or long_s >= FREE_LONG.value)) or (not in_flight and long_s >= _ALONE_S):
                begun.append((_thrust_gone(aloft, int(first), near // 3), int(after), FREE))
    if seen.spin_rad_s is not None:
        spin = grid.smooth(seen.spin_rad_s, 0.2)
        for first, after in spans_where(spin > TUMBLE.value, grid.mid_s, least_s=0.4, bridge_s=0.3):
            if aloft[first:after].any() and not aloft[min(after + near, grid.steps - 1)]:
                begun.append((int(first), int(after), TUMBLE))
    return begun + _sinking(seen, flight, off, near)


def _sinking(seen: Seen, flight: Flight, off: Bools, near: int) -> list[tuple[int, int, Threshold]]:
    """Fast sinks without motors: at speed, drag alone is more than the force of a free fall."""
    grid, aloft, climb = seen.grid, flight.aloft, seen.climb_mps
    if climb is None:
        return []
    fast = climb < -SINK.value
    sinks = list(spans_where(fast & off, grid.mid_s, least_s=0.1, bridge_s=0.2))
    if flight.load_share is not None and seen.load_is_thrust:
        # whatever drives the motors: no load, and a sink that only thrust could end
        idle = grid.smooth(flight.load_share, 0.2) < UNCARRIED.value
        sinks += list(spans_where(fast & idle, grid.mid_s, least_s=FREE_LONG.value))
    begun: list[tuple[int, int, Threshold]] = []
    for first, after in sinks:
        if aloft[max(0, first - 2 * near) : first + 1].any():
            begun.append((_thrust_gone(aloft, _sink_began(climb, int(first)), near // 3), int(after), SINK))
    if seen.runs is None and seen.force_mps2 is None:
        begun += _dives_into_ground(seen, near)
    return begun


def _thrust_gone(aloft: Bools, first: int, reach: int) -> int:
    """Step in which the flight before a fall ended: rotors that run down still carry for a moment."""
    before = np.flatnonzero(aloft[max(0, first - reach) : first])
    return first if not before.size or aloft[first - 1] else max(0, first - reach) + int(before[-1]) + 1


def _dives_into_ground(seen: Seen, near: int) -> list[tuple[int, int, Threshold]]:
    """Of a track without motors: a fast sink that ends in standing still at once."""
    climb, grid = seen.climb_mps, seen.grid
    begun: list[tuple[int, int, Threshold]] = []
    if climb is None:
        return begun
    for first, after in spans_where(climb < -SINK_FAST.value, grid.mid_s, least_s=0.4, bridge_s=0.2):
        rest = slice(min(after + near, grid.steps - 1), min(after + 2 * near + 1, grid.steps))
        still = np.abs(climb[rest]) < CLIMB.value
        if seen.speed_mps is not None:
            still &= seen.speed_mps[rest] < STILL_SPEED.value
        if still.all() and still.size:
            begun.append((_sink_began(climb, int(first)), int(after), SINK_FAST))
    return begun


def _sink_began(climb_mps: Floats, first: int) -> int:
    """Step at which the sink that is fast at `first` began."""
    before = np.flatnonzero(~(climb_mps[:first] < -CLIMB.value))
    return int(before[-1]) + 1 if before.size else first


def _down_at(height_m: Floats, first: int, end: int, reach: int) -> int:
    """Step in which the height first is that of the ground: a climb rate drawn from heights shows it late."""
    rest = height_m[end : end + max(2, reach)]
    if np.isnan(rest).all():
        return end
    low = np.flatnonzero(height_m[first:end] < np.nanmedian(rest) + HEIGHT.value / 3.0)
    return first + int(low[0]) if low.size else end


def _until(seen: Seen, flight: Flight, first: int, after: int) -> int:
    """Step in which a fall ends: a blow, stillness, or motors that carry again."""
    grid = seen.grid
    steps = np.arange(grid.steps)
    over: Bools = np.zeros(grid.steps, np.bool_)
    if seen.force_mps2 is not None:
        over |= seen.force_mps2 - seen.rest_mps2 > _BLOW_MPS2
        steady = np.abs(grid.smooth(seen.force_mps2, 0.2) - seen.rest_mps2) < 0.5
        if seen.spin_rad_s is not None:
            steady &= grid.smooth(seen.spin_rad_s, 0.2) < WOBBLE.value
        over |= steady
    elif seen.climb_mps is not None:
        over |= (np.abs(seen.climb_mps) < CLIMB.value) & (steps >= after - 1)  # it does not sink yet as it begins
    elif seen.spin_rad_s is not None:
        over |= grid.smooth(seen.spin_rad_s, 0.2) < WOBBLE.value
    if seen.runs is not None:
        carries = flight.aloft & ~(seen.runs < 0.5)
        if flight.load_share is not None:
            carries &= flight.load_share > 0.5
        over |= carries & (steps >= after)
    later = np.flatnonzero(over & (steps > first + 1))
    if later.size and seen.force_mps2 is None and flight.height_m is not None:
        return _down_at(flight.height_m, first, int(later[0]), round(_NEAR_S / grid.step_s))
    return int(later[0]) if later.size else max(after, grid.steps if not over.any() else after)
