"""When exactly it leaves the ground and when it is back: edges of flights, moved to where force, load or height tell.

A sum of what is above (or below) a level, kept from going under its own least value, rises from the moment of the
change on: the step of that least value is the onset (Page, Biometrika 41, 1954: the cumulative sum).
"""

from __future__ import annotations

import numpy as np

from turnback.assess.phases_flight import Flight
from turnback.assess.phases_grid import Floats
from turnback.assess.phases_seen import Bools, Seen
from turnback.assess.signals import spans_where
from turnback.rules.record_phases import HEIGHT, LIFT, LOAD

_SEARCH_BEFORE_S = 1.0
_SEARCH_AFTER_S = 3.0
_SEARCH_TOUCH_S = 1.5
_GAINED_MPS = 0.25  # climb that shows a take-off in the sum of specific force
_GAINED_SHARE_S = 0.04  # seconds of full load that show it in the load
_CARRIES = 0.9  # of the load in flight: it stands on the ground no more
_TOUCH_MPS2 = 4.0  # specific force of a touch, off gravity
_OUT_OF_SHAKE = 5.0  # of the root mean square from step to step: by chance once in many flights
_SLOW_S = 0.11  # longer steps do not show forces of a take-off


def settle_edges(seen: Seen, flight: Flight) -> None:
    """Move the edges of flights; `flight.aloft` is changed."""
    grid = seen.grid
    runs = np.ones(grid.steps, np.bool_) if seen.runs is None else ~(seen.runs < 0.5)
    moved: Bools = np.zeros(grid.steps, np.bool_)
    for first, after in spans_where(flight.aloft, grid.mid_s):
        start, end = int(first), int(after)
        if start > 0:
            start = _take_off(seen, flight, start)
            while start < first and not runs[start]:  # not before the motors
                start += 1
        if end < grid.steps:
            end = _landing(seen, flight, end)
        moved[start : max(end, start + 1)] = True
    flight.aloft = moved


def summed_onset(values: Floats, gained: float) -> int | None:
    """Return the step after the least of a running sum, once the sum is `gained` above it; None if it never is.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Mean below zero before the change, above zero after it; NaN counts as 0.
    gained : float
    """
    total = np.cumsum(np.nan_to_num(values))
    least = np.minimum.accumulate(np.r_[0.0, total])
    hit = np.flatnonzero(total - least[1:] > gained)
    if not hit.size:
        return None
    before = np.r_[0.0, total][: hit[0] + 1]
    return int(before.size - 1 - np.argmin(before[::-1]))


def _window(seen: Seen, edge: int, before_s: float, after_s: float) -> slice:
    step_s = seen.grid.step_s
    return slice(max(0, edge - round(before_s / step_s)), min(seen.grid.steps, edge + max(2, round(after_s / step_s))))


def _take_off(seen: Seen, flight: Flight, edge: int) -> int:
    step_s = seen.grid.step_s
    steps = _window(seen, edge, _SEARCH_BEFORE_S, _SEARCH_AFTER_S)
    if seen.force_mps2 is not None and step_s < _SLOW_S:
        force = seen.force_mps2[steps]
        # idling motors shake the sensor: their own level, where there is enough of it, is the ground's
        idle = force[: max(0, edge - steps.start - round(0.3 / step_s))]
        level = float(np.nanmedian(idle)) if idle.size * step_s > 0.3 and (~np.isnan(idle)).any() else seen.rest_mps2
        level = level if abs(level - seen.rest_mps2) < LIFT.value else seen.rest_mps2
        onset = summed_onset((force - level - LIFT.value / 2.0) * step_s, _GAINED_MPS)
        if onset is not None:
            # thrust that grows evenly passed gravity a little before it passed the level of the sum
            soon = force[onset : onset + max(1, round(0.2 / step_s))]
            rise = float(np.nanmean(soon)) - level - LIFT.value / 2.0 if not np.isnan(soon).all() else 0.0
            back_s = min(0.1 * LIFT.value / 2.0 / max(rise, 0.1), 0.04)
            return int(steps.start) + max(0, onset - int(back_s / step_s + 0.5))
    if flight.load_share is not None:
        onset = summed_onset((flight.load_share[steps] - _CARRIES) * step_s, min(_GAINED_SHARE_S, 0.15 * step_s))
        if onset is not None:
            return int(steps.start) + onset
    if flight.height_m is not None:
        return _first_lift(seen, flight.height_m, edge)
    return edge


def _first_lift(seen: Seen, height_m: Floats, edge: int) -> int:
    """Draw the rise back to the ground: height grows with the square of time at first."""
    steps = _window(seen, edge, 2.0 * _SEARCH_BEFORE_S, _SEARCH_AFTER_S)
    rise = height_m[steps]
    ground = rise[: max(2, (edge - steps.start) // 2)]
    level = float(np.nanmedian(ground)) if (~np.isnan(ground)).any() else 0.0
    low, high = _crossed(rise - level, HEIGHT.value / 3.0), _crossed(rise - level, 4.0 * HEIGHT.value / 3.0)
    if low is None or high is None:
        return edge
    return int(np.clip(round(int(steps.start) + 2.0 * low - high), steps.start, steps.start + low))


def _crossed(values: Floats, limit: float) -> float | None:
    """Return where values last come up through a limit before they first stand above it, between steps."""
    above = np.flatnonzero(values > limit)
    if not above.size or above[0] == 0:
        return None
    at = int(above[0])
    return float(at - (values[at] - limit) / max(values[at] - values[at - 1], 1e-9))


def _landing(seen: Seen, flight: Flight, edge: int) -> int:
    """Touch in the specific force, else the moment the load goes, else the way down drawn to the ground."""
    step_s = seen.grid.step_s
    steps = _window(seen, edge, _SEARCH_TOUCH_S, 0.3)
    if seen.force_mps2 is not None and step_s < _SLOW_S:
        near = seen.force_mps2[steps] - seen.rest_mps2
        changes = np.diff(near[: max(3, near.size // 2)])
        changes = changes[~np.isnan(changes)]
        shake = float(np.std(changes)) if near.size > 6 and changes.size else 0.0
        limit = max(_TOUCH_MPS2, _OUT_OF_SHAKE * shake)
        knock = (near > limit) | (near < -limit * 0.75)
        if flight.height_m is not None:
            height = flight.height_m[steps]
            down = height[-1] if not np.isnan(height[-1]) else 0.0
            knock &= ~(height > down + HEIGHT.value / 2.0)  # a gust higher up is no touch
        touch = np.flatnonzero(knock)
        if touch.size:
            return int(steps.start + touch[0])
    if flight.load_share is not None:
        carried = np.flatnonzero(flight.load_share[steps.start : edge + 1] > (1.0 + LOAD.value) / 2.0)
        return int(steps.start + carried[-1] + 1) if carried.size else edge
    if flight.height_m is None:
        return edge
    steps = _window(seen, edge, 3.0 * _SEARCH_BEFORE_S, 2.0)
    height = flight.height_m[steps][::-1]
    rest = height[: max(2, round(1.0 / step_s))]
    level = float(np.nanmedian(rest)) if (~np.isnan(rest)).any() else 0.0
    low, high = _crossed(height - level, HEIGHT.value / 5.0), _crossed(height - level, HEIGHT.value / 1.25)
    if low is None or high is None:
        return edge
    drawn = low - (high - low) / 3.0  # from 0.3 m and 1.2 m down to the ground at one speed
    return int(np.clip(round(height.size - drawn), height.size - low, height.size)) + int(steps.start)
