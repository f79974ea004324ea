"""Aloft: take-off, hover, cruise, automatic return, fall, or aloft without channels that tell which."""

from __future__ import annotations

import numpy as np

from turnback.assess.phases_flight import Flight
from turnback.assess.phases_marks import Marks
from turnback.assess.phases_seen import Bools, Seen
from turnback.assess.signals import spans_where
from turnback.records.happened import PhaseKind
from turnback.rules.record_phases import (
    CLIMB,
    HOVER_CLIMB,
    HOVER_FORCE,
    HOVER_SPEED,
    HOVER_TIME,
    LEAST,
    NO_SPEED,
    RETURN_ON,
    TAKE_OFF_HEIGHT,
    TAKE_OFF_TIME,
)
from turnback.rules.rule import Threshold


def mark_aloft(seen: Seen, flight: Flight, falls: list[tuple[int, int, Threshold]], marks: Marks) -> None:
    """Mark every step aloft."""
    grid, aloft = seen.grid, flight.aloft
    hovers, otherwise, rule = _hovering(seen)
    for first, after in spans_where(aloft, grid.mid_s):
        marks.mark(slice(first, after), otherwise, rule)
        held = spans_where(hovers[first:after], grid.mid_s[first:after], least_s=HOVER_TIME.value, bridge_s=0.5)
        last = first
        for start, end in held + first:
            # a short dash between two hovers is part of them; so is a short start
            begin = last if (start - last) * grid.step_s < HOVER_TIME.value else start
            marks.mark(slice(begin, end), PhaseKind.HOVER, rule)
            last = end
        if last > first and (after - last) * grid.step_s < HOVER_TIME.value:
            marks.mark(slice(last, after), PhaseKind.HOVER, rule)
        if first > 0 and marks.kind_at(first - 1) is not PhaseKind.UNKNOWN:  # it may have been aloft before
            end = _take_off_end(seen, flight, first, after)
            marks.mark(slice(first, end), PhaseKind.TAKE_OFF, _lift_rule(flight, first, end))
    if seen.returning is not None:
        for first, after in spans_where(seen.returning & aloft, grid.mid_s, least_s=LEAST.value):
            marks.mark(slice(first, after), PhaseKind.RETURN, RETURN_ON)
    last_fall = -1
    for first, after, told in falls:
        # between two falls a blow does not make a flight
        near = last_fall >= 0 and (first - last_fall) * grid.step_s < LEAST.value and aloft[last_fall:first].all()
        marks.mark(slice(last_fall if near else first, after), PhaseKind.FALL, told)
        last_fall = after


def _hovering(seen: Seen) -> tuple[Bools, PhaseKind, Threshold]:
    """Steps that look like a hover, the kind of the others, and the threshold that tells the two apart."""
    grid = seen.grid
    rises = np.zeros(grid.steps, np.bool_)
    if seen.climb_mps is not None:
        rises = np.abs(grid.smooth(seen.climb_mps, 1.0)) > HOVER_CLIMB.value
    if seen.speed_mps is not None:
        slow = grid.smooth(seen.speed_mps, 1.0) < HOVER_SPEED.value
        return slow & ~rises, PhaseKind.CRUISE, HOVER_SPEED
    # lean holds it against the wind as it moves it along: without speed or place the two are not told apart
    return np.zeros(grid.steps, np.bool_), PhaseKind.ALOFT, NO_SPEED


def _take_off_end(seen: Seen, flight: Flight, first: int, after: int) -> int:
    """Step in which a take-off is over: two metres up, or steady."""
    grid = seen.grid
    most = min(after, first + max(1, round(TAKE_OFF_TIME.value / grid.step_s)))
    least = min(most, first + max(1, round(LEAST.value / grid.step_s)))
    steps = slice(least, most)
    over: Bools = np.zeros(max(0, most - least), np.bool_)
    if flight.height_m is None and seen.force_mps2 is None:
        return min(most, first + max(1, round(HOVER_TIME.value / grid.step_s)))  # nothing tells when it is up
    if flight.height_m is not None:
        over = flight.height_m[steps] > TAKE_OFF_HEIGHT.value
        away = np.zeros(over.size, np.bool_) if seen.speed_mps is None else seen.speed_mps[steps] > HOVER_SPEED.value
        if seen.climb_mps is not None:
            over &= away | ~(grid.smooth(seen.climb_mps, 0.5)[steps] > CLIMB.value)
    elif seen.force_mps2 is not None:
        over = np.abs(grid.smooth(seen.force_mps2, 0.4)[steps] - seen.rest_mps2) < HOVER_FORCE.value / 2.0
        over[: round(0.5 / grid.step_s)] = False
    met = np.flatnonzero(over)
    return least + int(met[0]) if met.size else most


def _lift_rule(flight: Flight, first: int, end: int) -> Threshold:
    """Return the threshold whose evidence speaks most for flight in a span."""
    sums = {rule: float(np.nansum(weight[first:end])) for rule, weight in flight.weights.items()}
    return max(sums, key=lambda rule: sums[rule]) if sums else TAKE_OFF_HEIGHT
