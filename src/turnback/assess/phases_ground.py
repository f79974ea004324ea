"""Not aloft: bench, ground, armed on ground, carried, or nothing that tells."""

from __future__ import annotations

import numpy as np

from turnback.assess.phases_flight import Flight
from turnback.assess.phases_marks import Marks
from turnback.assess.phases_seen import Bools, Seen
from turnback.assess.signals import spans_where
from turnback.records.happened import PhaseKind
from turnback.rules.record_phases import (
    AFTER_FLIGHT,
    BENCH_OUTPUT,
    CARRIED,
    CLIMB,
    DISARMED,
    GAP,
    HEIGHT,
    LIFT,
    MOVING_SPEED,
    NO_CHANNEL,
    QUIET_WOBBLE,
    STILL_SPEED,
    WOBBLE,
)
from turnback.rules.rule import Threshold


def mark_ground(seen: Seen, flight: Flight, marks: Marks) -> None:
    """Mark every step that is not aloft; steps aloft get marks that `mark_aloft` writes over."""
    grid = seen.grid
    everywhere = np.ones(grid.steps, np.bool_)
    moves, rule = _moving(seen)
    if seen.runs is None:
        marks.mark(everywhere, PhaseKind.GROUND, _quiet_rule(seen, flight))
        down = _just_down(seen, flight)
        for first, after in spans_where(moves & ~flight.aloft, grid.mid_s, least_s=CARRIED.value, bridge_s=1.0):
            if not down[first:after].all():  # what has come down comes to rest soon: what goes on may be flight
                marks.mark(slice(first, after), PhaseKind.UNKNOWN, rule)
    else:
        marks.mark(everywhere, PhaseKind.GROUND, seen.runs_by)
        if seen.armed is not None:
            marks.mark(seen.armed > DISARMED.value, PhaseKind.ARMED_ON_GROUND, DISARMED)
        _mark_running(seen, flight, marks)
        idle = (seen.runs < 0.5) & ~flight.aloft & ~_just_down(seen, flight)
        for first, after in spans_where(moves & idle, grid.mid_s, least_s=CARRIED.value, bridge_s=1.0):
            inside = np.zeros(grid.steps, np.bool_)
            inside[first:after] = idle[first:after]
            marks.mark(inside, PhaseKind.CARRIED, rule)
    if seen.empty is not None:
        for first, after in spans_where(seen.empty, grid.mid_s, least_s=GAP.value):
            marks.mark(slice(first, after), PhaseKind.UNKNOWN, GAP)
            flight.aloft[first:after] = False


def _just_down(seen: Seen, flight: Flight) -> Bools:
    """Steps right before and after a flight."""
    down = np.zeros(seen.grid.steps, np.bool_)
    reach = round(AFTER_FLIGHT.value / seen.grid.step_s)
    for first, after in spans_where(flight.aloft, seen.grid.mid_s):
        down[after : after + reach] = True
        down[max(0, first - reach // 2) : first] = True
    return down


def _mark_running(seen: Seen, flight: Flight, marks: Marks) -> None:
    """Motors run and it is not aloft: around a flight it stands armed; else outputs above idle tell a bench."""
    grid = seen.grid
    if seen.runs is None:
        return
    runs = (seen.runs >= 0.5) & ~np.isnan(seen.runs)
    for first, after in spans_where(runs, grid.mid_s, bridge_s=0.5):
        steps = slice(first, after)
        if flight.stirs[steps].any() or flight.aloft[steps].any():
            marks.mark(steps, PhaseKind.ARMED_ON_GROUND, _quiet_rule(seen, flight))
            continue
        raised = seen.output is not None and bool((grid.smooth(seen.output[steps], 0.5) > BENCH_OUTPUT.value).any())
        if raised and not seen.tells_motion:
            marks.mark(steps, PhaseKind.UNKNOWN, NO_CHANNEL)
        elif raised:
            marks.mark(steps, PhaseKind.BENCH, BENCH_OUTPUT)
        else:
            marks.mark(steps, PhaseKind.ARMED_ON_GROUND, seen.runs_by)


def _quiet_rule(seen: Seen, flight: Flight) -> Threshold:
    """Return the threshold whose evidence speaks most against flight."""
    quiet = ~flight.aloft
    sums = {rule: float(np.nansum(weight[quiet])) for rule, weight in flight.weights.items() if quiet.any()}
    if not sums:
        return QUIET_WOBBLE if seen.wobble_rad_s is not None else STILL_SPEED
    return min(sums, key=lambda rule: sums[rule])


def _moving(seen: Seen) -> tuple[Bools, Threshold]:
    """Steps in which it moves at all, and the threshold that most often says so."""
    grid = seen.grid
    by: dict[Threshold, Bools] = {}
    if seen.wobble_rad_s is not None:
        by[WOBBLE] = seen.wobble_rad_s > WOBBLE.value
    if seen.force_mps2 is not None:
        by[LIFT] = np.abs(grid.smooth(seen.force_mps2, 0.3) - seen.rest_mps2) > 2.0 * LIFT.value
    if seen.speed_mps is not None:
        by[STILL_SPEED] = grid.smooth(seen.speed_mps, 2.0) > (STILL_SPEED.value + MOVING_SPEED.value) / 3.0
    if seen.climb_mps is not None:
        by[CLIMB] = np.abs(grid.smooth(seen.climb_mps, 2.0)) > CLIMB.value
    moves = np.zeros(grid.steps, np.bool_)
    for each in by.values():
        moves |= each
    rule = max(by, key=lambda each: int(by[each].sum())) if by else HEIGHT
    return moves, rule
