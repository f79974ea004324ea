"""What a record's channels tell of motors and motion, step by step. What is not there is None."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.phases_grid import Floats, Grid
from turnback.assess.phases_track import height_seen_m, position_speed_mps
from turnback.assess.signals import spans_where
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.rules.record_phases import (
    BUZZ,
    BUZZ_RATE,
    CLIMB,
    CURRENT_RISE,
    DISARMED,
    LOAD,
    MOVING_SPEED,
    OUTPUT_OFF,
    ROTOR_OFF,
    SHAKE_RISE,
    SINK,
)
from turnback.rules.rule import Threshold

Bools = NDArray[np.bool_]
_QUIET_S = 1.5
_FLYING_QUANTILE = 0.8
_RETURN_WORDS = ("return", "home")


@dataclass(slots=True, eq=False)
class Seen:
    """One value a step of `grid`, NaN where it is not known; None where no channel tells.

    Parameters
    ----------
    height_m : ndarray or None
        Above the launch point, or above any level where `height_known` is false.
    spin_rad_s : ndarray or None
        Size of the turning rate.
    wobble_rad_s : ndarray or None
        How much the turning rate moves to and fro within a second.
    force_mps2, side_mps2 : ndarray or None
        Size of specific force, and of its part across the upright axis of the aircraft, of which the latter is slow.
    rest_mps2 : float
        What the accelerometer says of gravity.
    output, load : ndarray or None
        Mean of the outputs 0 to 1; whatever grows with thrust, in any unit.
    load_is_thrust : bool
        The load is what the motors do; false where it is only asked for (throttle) or felt (shake).
    runs : ndarray or None
        1 where motors run, 0 where they do not.
    """

    grid: Grid
    height_m: Floats | None = None
    height_known: bool = False
    climb_mps: Floats | None = None
    speed_mps: Floats | None = None
    spin_rad_s: Floats | None = None
    wobble_rad_s: Floats | None = None
    force_mps2: Floats | None = None
    side_mps2: Floats | None = None
    rest_mps2: float = GRAVITY_MPS2
    output: Floats | None = None
    load: Floats | None = None
    load_is_thrust: bool = True
    runs: Floats | None = None
    runs_by: Threshold = DISARMED
    armed: Floats | None = None
    tilt_rad: Floats | None = None
    returning: Bools | None = None
    empty: Bools | None = None

    @property
    def tells_motion(self) -> bool:
        """True where any channel tells whether it moves."""
        return any(
            x is not None for x in (self.height_m, self.speed_mps, self.climb_mps, self.wobble_rad_s, self.force_mps2)
        )


def seen_in(record: FlightRecord, grid: Grid) -> Seen:
    """Return what a record's channels tell."""
    seen = Seen(grid)
    seen.height_m, seen.height_known = height_seen_m(record, grid)
    _see_speed(record, seen)
    _see_board(record, seen)
    _see_motors(record, seen)
    roll, pitch = record.get(Quantity.ROLL), record.get(Quantity.PITCH)
    if roll is not None and pitch is not None:
        seen.tilt_rad = np.arccos(np.clip(np.cos(grid.mean(roll)) * np.cos(grid.mean(pitch)), -1.0, 1.0))
    seen.returning = _returning(record, grid)
    seen.empty = _empty(record, grid)
    return seen


def _see_speed(record: FlightRecord, seen: Seen) -> None:
    grid = seen.grid
    speed, north, east = (
        record.get(each) for each in (Quantity.GROUND_SPEED, Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST)
    )
    if speed is not None:
        seen.speed_mps = np.abs(grid.mean(speed))
    elif north is not None and east is not None:
        seen.speed_mps = np.hypot(grid.mean(north), grid.mean(east))
    else:
        seen.speed_mps = position_speed_mps(record, grid)
    climb, down = record.get(Quantity.CLIMB_RATE), record.get(Quantity.VELOCITY_DOWN)
    if climb is not None:
        seen.climb_mps = grid.mean(climb)
    elif down is not None:
        seen.climb_mps = -grid.mean(down)
    elif seen.height_m is not None:
        seen.climb_mps = grid.slope(grid.smooth(seen.height_m, 0.5), 1.0)


def _see_board(record: FlightRecord, seen: Seen) -> None:
    """Rates and specific force."""
    grid = seen.grid
    rates = [grid.mean(each) for each in map(record.get, RATES) if each is not None]
    if rates:
        seen.spin_rad_s = np.sqrt(sum(rate * rate for rate in rates))
        spread = np.zeros(grid.steps)
        for rate in rates:
            slow = grid.smooth(rate, 0.2)
            spread += np.maximum(grid.smooth(slow * slow, 1.0) - grid.smooth(slow, 1.0) ** 2, 0.0)
        seen.wobble_rad_s = np.sqrt(spread)
    forces = [record.get(each) for each in ACCELERATIONS]
    if all(each is not None for each in forces):
        x, y, z = (grid.mean(each) for each in forces if each is not None)
        seen.force_mps2 = np.sqrt(x * x + y * y + z * z)
        # without acceleration, specific force points up against gravity: its part along the aircraft is its lean
        seen.side_mps2 = np.hypot(grid.smooth(x, 1.5), grid.smooth(y, 1.5))


def _see_motors(record: FlightRecord, seen: Seen) -> None:
    grid = seen.grid
    armed = record.get(Quantity.ARMED)
    if armed is not None:
        seen.armed = grid.mean(armed, stepped=True)
    outputs, rotors = record.all_of(Quantity.OUTPUT), record.all_of(Quantity.ROTOR_SPEED)
    if outputs:
        seen.output = np.mean([grid.mean(each) for each in outputs], axis=0)
        seen.load = seen.output
        seen.runs, seen.runs_by = _over(seen.output, OUTPUT_OFF.value), OUTPUT_OFF
    if rotors:
        turns_hz = np.mean([grid.mean(each) for each in rotors], axis=0)
        if seen.load is None:
            seen.load = turns_hz * turns_hz  # thrust grows with the square of rotor speed
        seen.runs, seen.runs_by = _over(turns_hz, ROTOR_OFF.value), ROTOR_OFF
    if seen.load is None:
        _see_current(record, seen)
    if seen.runs is None or seen.load is None:
        _see_shake(seen, _shake_rad_s(record, grid))
    if seen.armed is not None:
        allowed = seen.armed > DISARMED.value
        known = np.where(allowed, np.nan if seen.load is None else 1.0, 0.0) if seen.runs is None else seen.runs
        if seen.runs is None:
            seen.runs_by = DISARMED
        seen.runs = np.where(allowed, known, 0.0)


def _see_current(record: FlightRecord, seen: Seen) -> None:
    """Take current or power as the load, where it tells idling from flying; else the throttle."""
    for quantity in (Quantity.CURRENT, Quantity.POWER):
        series = record.get(quantity)
        if series is None:
            continue
        load = seen.grid.smooth(np.abs(seen.grid.mean(series)), 0.3)
        there = load[~np.isnan(load)]
        if there.size < 3:
            continue
        low, high = np.quantile(there, [0.02, 0.95])
        if high > max(CURRENT_RISE.value * low, 1e-6):
            seen.load = load - low
            return
    throttle = record.get(Quantity.THROTTLE)
    if throttle is not None:
        seen.load, seen.load_is_thrust = seen.grid.mean(throttle), False


def _over(values: Floats, limit: float) -> Floats:
    return np.where(np.isnan(values), np.nan, (values > limit).astype(np.float64))


def _see_shake(seen: Seen, shake: Floats | None) -> None:
    """Running motors shake the rates; motors that carry shake them more than motors that idle."""
    if shake is None or np.isnan(shake).all():
        return
    low, high = np.nanquantile(shake, [0.02, 0.9])
    # a noisy sensor is not a running motor: where the record has both, the limit lies between
    limit = max(BUZZ.value, float(min(3.0 * low, 0.3 * high)))
    if seen.runs is None:
        seen.runs, seen.runs_by = _held_on(seen.grid, _over(shake, limit)), BUZZ
        # smooth rotors shake little: what moves as only flight moves it is not standing with its motors off
        seen.runs[_carried_on(seen)] = np.nan
    running = shake[(seen.runs > 0.5) & ~np.isnan(shake)]
    if seen.load is None and running.size > 2:
        idle, flying = np.quantile(running, [0.02, 0.6])
        if flying > SHAKE_RISE.value * idle:
            seen.load, seen.load_is_thrust = shake, False


def _carried_on(seen: Seen) -> Bools:
    """Steps that rest or fall does not explain: it draws what flying draws, or goes along without sinking fast."""
    carried = np.zeros(seen.grid.steps, np.bool_)
    if seen.load is not None and seen.load_is_thrust:
        carried |= seen.load > LOAD.value * np.nanquantile(seen.load, _FLYING_QUANTILE)
    if seen.speed_mps is not None:
        carried |= seen.grid.smooth(seen.speed_mps, 1.0) > MOVING_SPEED.value
    if seen.climb_mps is not None:
        climb = seen.grid.smooth(seen.climb_mps, 1.0)
        carried = (carried | (climb > 2.0 * CLIMB.value)) & ~(climb < -SINK.value)
    return carried


def _held_on(grid: Grid, runs: Floats) -> Floats:
    """Short quiet between two shakes is no stop: idling motors shake little."""
    made = runs.copy()
    for first, after in spans_where(runs > 0.5, grid.mid_s, bridge_s=_QUIET_S):
        made[first:after] = 1.0
    return made


def _shake_rad_s(record: FlightRecord, grid: Grid) -> Floats | None:
    """Return the shake of the rates from row to row, where they come fast enough to tell motors from turns."""
    rates: list[Series] = [
        each for each in map(record.get, RATES) if each is not None and each.fresh_hz >= BUZZ_RATE.value
    ]
    if not rates:
        return None
    shake = np.sum([grid.mean(each, squared=True) for each in rates], axis=0)
    return np.asarray(np.sqrt(grid.smooth(shake, 0.2) / 2.0), np.float64)


def _returning(record: FlightRecord, grid: Grid) -> Bools | None:
    active, mode = record.get(Quantity.RETURN_ACTIVE), record.get(Quantity.MODE)
    if active is not None:
        return np.asarray(grid.mean(active, stepped=True) > 0.5, np.bool_)
    if mode is not None and mode.labels:
        says = [any(word in label.casefold() for word in _RETURN_WORDS) for label in mode.labels]
        if any(says):
            place = np.clip(grid.mean(mode, stepped=True), 0, len(says) - 1).astype(np.intp)
            made: Bools = np.array(says)[place]
            return made
    return None


def _empty(record: FlightRecord, grid: Grid) -> Bools:
    """True in steps for which no channel has a row."""
    counts = np.zeros(grid.steps, np.int64)
    clocks = {id(each.t_s): each for each in record.series.values()}
    for each in clocks.values():
        counts += np.diff(grid.first_rows(each))
    return np.asarray(counts == 0, np.bool_)
