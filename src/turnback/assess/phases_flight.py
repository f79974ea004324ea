"""Aloft or not, step by step: evidence of every channel that is there, with a price on each change.

Motors decide where they are known: without them nothing flies. A stretch with motors running in which nothing moves is
a bench or a stand on the ground; only a stretch with motion is searched for take-offs and landings.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from turnback.assess.phases_grid import Floats
from turnback.assess.phases_kernel import likeliest_states
from turnback.assess.phases_seen import Bools, Seen
from turnback.assess.signals import spans_where
from turnback.rules.record_phases import (
    CLIMB,
    FREE,
    HEIGHT,
    HEIGHT_SURE,
    LIFT,
    LOAD,
    MOVING_SPEED,
    QUIET_WOBBLE,
    SINK,
    STILL_SPEED,
    SURE_WOBBLE,
    SWITCH,
    UNCARRIED,
    WOBBLE,
)
from turnback.rules.rule import Threshold

_NEVER = -20.0  # weight of what rules flight out
_STANDS = -6.0  # outweighs a height and a speed together, and the sway just before
_SINKS_WITHIN_S = 1.2
_CALM_SHARE = 0.08  # half a minute of calm, with rates alone, is a stand on the ground


@dataclass(slots=True, eq=False)
class Flight:
    """Steps aloft, and why.

    Parameters
    ----------
    aloft : ndarray of bool
    stirs : ndarray of bool
        Steps of stretches of motors running (or of the whole record) in which it moves at all.
    weights : dict
        Evidence for "aloft" of each threshold, a step.
    height_m : ndarray or None
        Above the ground it stood on.
    load_share : ndarray or None
        Of the load in flight.
    """

    aloft: Bools
    stirs: Bools
    weights: dict[Threshold, Floats] = field(default_factory=dict)
    height_m: Floats | None = None
    load_share: Floats | None = None


def flight_in(seen: Seen) -> Flight:
    """Return where it is aloft."""
    grid = seen.grid
    runs = np.ones(grid.steps, np.bool_) if seen.runs is None else ~(seen.runs < 0.5)
    height_m = _above_ground(seen, runs)
    stirs = _stirring(seen, runs, height_m)
    share = _load_share(seen, stirs, height_m)
    flight = Flight(stirs, stirs, {}, height_m, share)
    _weigh_motion(seen, flight)
    _weigh_board(seen, flight)
    _weigh_ground(seen, flight)
    evidence = np.zeros(grid.steps)
    for weight in flight.weights.values():
        evidence += np.nan_to_num(weight)
    evidence[~stirs] = _NEVER
    if seen.runs is not None:
        flight.weights[seen.runs_by] = np.where(runs, 0.0, _NEVER)
    flight.aloft = likeliest_states(evidence * grid.step_s, SWITCH.value, 0.0)
    return flight


def _above_ground(seen: Seen, runs: Bools) -> Floats | None:
    """Height above where it stood last with motors off; else above its own lowest or the launch point."""
    if seen.height_m is None:
        return None
    height = seen.height_m
    there = height[~np.isnan(height)]
    if not there.size:
        return None
    lowest = float(np.quantile(there, 0.02))
    level = min(lowest, 0.0) if seen.height_known and lowest > HEIGHT_SURE.value else lowest
    if seen.height_known and lowest <= HEIGHT_SURE.value:
        level = float(np.clip(lowest, -HEIGHT_SURE.value, 0.0)) if lowest > -HEIGHT_SURE.value else lowest
    floor = np.full(height.size, level)
    if seen.runs is not None:
        resting = seen.grid.smooth(np.where(runs, np.nan, height), 2.0)
        still = ~runs & ~np.isnan(resting)
        if seen.speed_mps is not None:
            still &= ~(seen.speed_mps > STILL_SPEED.value)
        if seen.climb_mps is not None:
            still &= ~(np.abs(seen.climb_mps) > CLIMB.value)
        rows = np.flatnonzero(still)
        if rows.size:
            last = rows[np.maximum(np.searchsorted(rows, np.arange(height.size), side="right") - 1, 0)]
            # before the first rest the level of that rest says nothing: it may be a landing elsewhere
            floor = np.where(np.arange(height.size) >= rows[0], resting[last], level)
    made: Floats = height - floor
    return made


def _stirring(seen: Seen, runs: Bools, height_m: Floats | None) -> Bools:
    """Stretches of running motors in which it moves as only flight moves it."""
    grid = seen.grid
    moves = np.zeros(grid.steps, np.bool_)
    if height_m is not None:
        moves |= grid.smooth(height_m, 0.5) > HEIGHT.value
    if seen.climb_mps is not None:
        moves |= np.abs(grid.smooth(seen.climb_mps, 1.0)) > CLIMB.value
    if seen.speed_mps is not None:
        moves |= grid.smooth(seen.speed_mps, 1.0) > MOVING_SPEED.value
    if seen.runs is not None:
        if seen.wobble_rad_s is not None:
            moves |= grid.smooth(seen.wobble_rad_s, 0.4) > SURE_WOBBLE.value
        if seen.force_mps2 is not None:
            _find_rest(seen, runs)
            moves |= grid.smooth(seen.force_mps2, 0.8) - seen.rest_mps2 > LIFT.value
    moves &= runs
    stretches = spans_where(runs, grid.mid_s, bridge_s=0.5)
    stirs = np.zeros(grid.steps, np.bool_)
    for first, after in stretches:
        if moves[first:after].any():
            stirs[first:after] = runs[first:after]
    return stirs


def _find_rest(seen: Seen, runs: Bools) -> None:
    """What the accelerometer calls gravity: its median while motors are off and nothing turns."""
    if seen.force_mps2 is None:
        return
    rest = ~runs
    if seen.spin_rad_s is not None:
        rest &= seen.spin_rad_s < QUIET_WOBBLE.value * 2.0
    values = seen.force_mps2[rest & ~np.isnan(seen.force_mps2)]
    if values.size * seen.grid.step_s > 0.5:
        middle = float(np.median(values))
        if abs(middle - seen.rest_mps2) < 1.0:
            seen.rest_mps2 = middle


def _load_share(seen: Seen, stirs: Bools, height_m: Floats | None) -> Floats | None:
    """Load over that of the record's own flight; None where no flight is sure enough to learn it from."""
    if seen.load is None:
        return None
    sure = np.zeros(seen.grid.steps, np.bool_)
    if height_m is not None:
        sure |= height_m > HEIGHT_SURE.value
    if seen.speed_mps is not None:
        sure |= seen.speed_mps > MOVING_SPEED.value
    if not (sure & stirs).any() and seen.wobble_rad_s is not None:
        sure = (seen.wobble_rad_s > WOBBLE.value) | (np.abs(_off_rest(seen)) > LIFT.value)
    values = seen.load[sure & stirs & ~np.isnan(seen.load)]
    if values.size * seen.grid.step_s < 0.4:
        return None
    # idling stretches among them must not count: the upper half is flight
    first = float(np.median(values[values >= np.median(values)]))
    # hard pulls are among them too: what carries it most of the time is the rest of its flight
    flying = float(np.median(seen.load[stirs & (seen.load > LOAD.value * first)]))
    return seen.load / flying if flying > 0.0 else None


def _off_rest(seen: Seen) -> Floats:
    if seen.force_mps2 is None:
        return np.zeros(seen.grid.steps)
    return seen.grid.smooth(seen.force_mps2, 0.2) - seen.rest_mps2


def _weigh_motion(seen: Seen, flight: Flight) -> None:
    """Heights, climb and speed."""
    grid, weights = seen.grid, flight.weights
    if flight.height_m is not None:
        high = grid.smooth(flight.height_m, 0.3)
        weights[HEIGHT] = np.clip((high - HEIGHT.value * 0.67) / HEIGHT.value * 2.0, -1.0, 2.0)
        # height alone does not tell a hover from a roof
    if seen.climb_mps is not None:
        weights[CLIMB] = np.where(np.abs(grid.smooth(seen.climb_mps, 0.5)) > CLIMB.value, 1.0, -0.1)
    if seen.speed_mps is not None:
        slow = (STILL_SPEED.value + MOVING_SPEED.value) / 2.0
        weights[MOVING_SPEED] = np.clip((grid.smooth(seen.speed_mps, 0.3) - slow) / slow * 1.5, -0.4, 2.0)


def _weigh_ground(seen: Seen, flight: Flight) -> None:
    """What no thrust carries and what does not sink stands on the ground, however far its height has wandered."""
    if flight.load_share is None or not seen.load_is_thrust:
        return
    grid = seen.grid
    nothing = grid.smooth(flight.load_share, 0.2) < UNCARRIED.value
    if seen.climb_mps is not None:
        sinks = (seen.climb_mps < -SINK.value).astype(np.float64)
        nothing &= ~(grid.smooth(sinks, 2.0 * _SINKS_WITHIN_S) > 0.0)
        _leave_open_end(seen, flight, nothing)
    elif seen.force_mps2 is not None and seen.spin_rad_s is not None:
        nothing &= (np.abs(_off_rest(seen)) < LIFT.value) & (grid.smooth(seen.spin_rad_s, 0.2) < WOBBLE.value)
    else:
        return
    flight.weights[UNCARRIED] = np.where(nothing, _STANDS, 0.0)


def _leave_open_end(seen: Seen, flight: Flight, nothing: Bools) -> None:
    """A record that ends high up just after the motors stopped does not show the sink that would follow."""
    within = max(1, round(_SINKS_WITHIN_S / seen.grid.step_s))
    before = np.flatnonzero(~nothing)
    first = int(before[-1]) + 1 if before.size else 0
    if flight.height_m is not None and first > nothing.size - within:
        nothing[first:] &= ~(flight.height_m[first:] > HEIGHT_SURE.value)


def _trust_calm(wobble_rad_s: Floats, weight: Floats) -> None:
    """With rates alone, calm between two stirs is more likely a calm flight than a landing."""
    stirs = wobble_rad_s > 2.0 * QUIET_WOBBLE.value
    weight[stirs] = 1.5
    stirred = np.flatnonzero(stirs)
    if stirred.size:
        inside = weight[stirred[0] : stirred[-1]]
        inside[inside < 0.0] *= _CALM_SHARE


def _weigh_board(seen: Seen, flight: Flight) -> None:
    """Load, turning and specific force."""
    weights = flight.weights
    if flight.load_share is not None:
        weights[LOAD] = np.clip((flight.load_share - LOAD.value) * 8.0, -2.0, 3.0)
    if seen.wobble_rad_s is not None:
        wobble = seen.wobble_rad_s
        quiet = -1.0 if flight.load_share is None else -0.5
        weights[WOBBLE] = np.where(wobble > WOBBLE.value, 1.5, np.where(wobble < QUIET_WOBBLE.value, quiet, 0.0))
        weights[WOBBLE][np.isnan(wobble)] = 0.0
        if not any(each in weights for each in (LOAD, HEIGHT, MOVING_SPEED, CLIMB)) and seen.force_mps2 is None:
            _trust_calm(wobble, weights[WOBBLE])
    if seen.force_mps2 is not None:
        off = _off_rest(seen)
        falls = seen.force_mps2 < FREE.value
        steady = -0.5 if flight.load_share is None else -0.2
        weights[LIFT] = np.where(off > LIFT.value, 1.0, np.where(np.abs(off) < LIFT.value / 4.0, steady, 0.0))
        weights[LIFT][falls] = 3.0
