"""Whether an aircraft turns as it is told: against its demand, away from it, or along with it to the end."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis, highest_lately, rolling_rms
from turnback.assess.output_columns import aloft_rows
from turnback.assess.signals import rows_between, spans_where
from turnback.records.bench import At
from turnback.records.channel import Channel
from turnback.records.happened import Event, EventKind, Flown
from turnback.rules.record_motion import (
    FOLLOWS,
    FOLLOWS_LAST,
    FOLLOWS_LOST,
    FOLLOWS_RATIO,
    LATELY,
    OPPOSITE,
    OPPOSITE_DEMAND,
    OPPOSITE_RATE,
    RUN_AWAY,
    RUN_AWAY_HELD,
)

MOST_EVENTS: Final = 10
BRIDGE_S: Final = 0.3
MERGE_S: Final = 0.3
LOOK_BACK_S: Final = 1.0
QUIET_RAD_S: Final = (0.2, 0.6)  # a rate this far beyond the demand has left it: between these, by its own noise
NOISE_FACTOR: Final = 4.5
LEAN_RATIO: Final = 0.35  # roll and pitch at least this alike: toward a corner; else toward a side
DELAY_MOST_S: Final = 0.2
DELAY_STEPS: Final = 40
JUDGED_S: Final = 60.0
ROLLING_S: Final = 0.2
SOME_ROWS: Final = 20_000
END_S: Final = 0.1  # of the end itself: the blow may already be in it


def opposite(axes: tuple[Axis, ...], flown: Flown) -> list[Event]:
    """Return where an axis turns against a strong demand for longer than it takes to answer."""
    events = []
    for axis in axes:
        if axis.demand is None or axis.demand_series is None or not axis.same_way:
            continue
        aloft = aloft_rows(flown, axis.t_s)
        way = np.sign(axis.demand)
        against = (np.abs(axis.demand) >= OPPOSITE_DEMAND.value) & (axis.rate.values * way <= -OPPOSITE_RATE.value)
        for first, after in spans_where(against & aloft, axis.t_s, least_s=OPPOSITE.value)[:MOST_EVENTS]:
            if (way[first:after] != way[first]).any():
                continue
            rate = axis.rate.values[first:after] * way[first]
            if rate[-1] > 0.5 * rate[0] and rate.min() > 1.5 * rate[0]:  # still on its way round
                continue
            end_s = float(axis.t_s[min(after, axis.t_s.size - 1)])
            values = {
                "duration_s": end_s - float(axis.t_s[first]),
                "demand_rad_s": float(axis.demand[first:after].mean()),
                "rate_rad_s": float(axis.rate.values[first:after].mean()),
            }
            events.append(
                Event(
                    EventKind.OPPOSITE_RESPONSE, float(axis.t_s[first]), end_s,
                    (axis.rate.channel, axis.demand_series.channel), OPPOSITE.key, values, (), {"axis": axis.name},
                )
            )  # fmt: skip
    return events


def run_aways(axes: tuple[Axis, ...], flown: Flown) -> list[Event]:
    """Return where a rate goes beyond anything demanded lately, and on; axes that do so together are one event."""
    found = []
    for axis in axes:
        if axis.demand is None:
            continue
        beyond = _beyond(axis)
        aloft = aloft_rows(flown, axis.t_s)
        spans = spans_where(
            (beyond >= RUN_AWAY.value) & aloft, axis.t_s, least_s=RUN_AWAY_HELD.value, bridge_s=BRIDGE_S
        )
        for first, after in spans[:MOST_EVENTS]:
            onset = _onset(axis, beyond, aloft, int(first))
            found.append((float(axis.t_s[onset]), axis, int(first), int(after)))
    found.sort(key=lambda each: each[0])
    events: list[Event] = []
    while found:
        together = [each for each in found if each[0] - found[0][0] <= MERGE_S]
        found = found[len(together) :]
        events.append(_run_away(together, axes))
    return events[:MOST_EVENTS]


def _beyond(axis: Axis) -> NDArray[Any]:
    """Return how far a rate lies outside what was demanded lately; by size alone where the senses are not known."""
    demand = np.asarray(axis.demand)
    rows = round(LATELY.value * axis.rate.rate_hz)
    rate = axis.rate.values
    if not axis.same_way:
        return np.asarray(np.abs(rate) - highest_lately(np.abs(demand), rows))
    lowest = -highest_lately(-demand, rows)
    return np.asarray(np.maximum(rate - highest_lately(demand, rows), lowest - rate))


def _onset(axis: Axis, beyond: NDArray[Any], aloft: NDArray[np.bool_], first: int) -> int:
    """Return the row in which a rate left its demand for good."""
    usual = np.abs(beyond[aloft][:: max(1, int(aloft.sum()) // SOME_ROWS)])
    quiet = min(max(NOISE_FACTOR * 1.4826 * float(np.median(usual)), QUIET_RAD_S[0]), QUIET_RAD_S[1])
    back = int(np.searchsorted(axis.t_s, axis.t_s[first] - LOOK_BACK_S))
    inside = np.flatnonzero(beyond[back:first] <= quiet)
    return back + int(inside[-1]) + 1 if inside.size else first


def _run_away(together: list[tuple[float, Axis, int, int]], axes: tuple[Axis, ...]) -> Event:
    """Return one event of the axes that ran away together, with the corner toward which it turns."""
    start_s, lead, first, after = together[0]
    end_s = max(float(axis.t_s[min(stop, axis.t_s.size - 1)]) for _, axis, _, stop in together)
    channels: tuple[Channel, ...] = tuple(axis.rate.channel for _, axis, _, _ in together)
    most = int(first + np.argmax(np.abs(lead.rate.values[first:after])))
    demand = lead.demand
    values = {
        "rate_rad_s": float(lead.rate.values[most]),
        "demand_rad_s": 0.0 if demand is None else float(demand[most]),
        "duration_s": end_s - start_s,
    }
    return Event(
        EventKind.RATE_RUN_AWAY, start_s, end_s, channels, RUN_AWAY.key, values,
        _toward(axes, start_s, float(lead.t_s[first])), {"axis": lead.name},
    )  # fmt: skip


def _toward(axes: tuple[Axis, ...], start_s: float, reached_s: float) -> tuple[At, ...]:
    """Return the corner, or the two of a side, that goes down; nothing where senses are unknown or it only spins."""
    errors = {}
    for axis in axes:
        if not axis.rate_known:
            continue
        rows = rows_between(axis.t_s, start_s, reached_s + RUN_AWAY_HELD.value)
        rate = axis.rate.values[rows]
        # a demand that may count the other way round would tip it to the wrong corner
        asked = axis.demand if axis.same_way else None
        errors[axis.name] = float(np.mean(rate if asked is None else rate - asked[rows]))
    if not {"roll", "pitch"} <= set(errors):
        return ()
    roll, pitch = errors["roll"], errors["pitch"]
    most = max(abs(roll), abs(pitch))
    if most < QUIET_RAD_S[1] or abs(errors.get("yaw", 0.0)) > 2.0 * most:
        return ()
    sides = {At.FRONT_LEFT: (-1, -1), At.FRONT_RIGHT: (1, -1), At.REAR_LEFT: (-1, 1), At.REAR_RIGHT: (1, 1)}
    down = []
    for at, (right, rear) in sides.items():
        by_roll = abs(roll) < LEAN_RATIO * most or roll * right > 0.0
        by_pitch = abs(pitch) < LEAN_RATIO * most or pitch * rear > 0.0
        if by_roll and by_pitch:
            down.append(at)
    return tuple(down)


def follows(axes: tuple[Axis, ...], flown: Flown) -> list[Event]:
    """Return that the aircraft turned as demanded until the end of the last flight in the record, if it did."""
    told = [axis for axis in axes if axis.demand is not None]
    spans = flown.aloft()
    if not told or not spans:
        return []
    start_s, end_s = max(spans[-1][0], spans[-1][1] - JUDGED_S), spans[-1][1] - END_S
    if end_s - start_s < FOLLOWS_LAST.value:
        return []
    delay_s = _delay(told, start_s, end_s)
    left = whole = 0.0
    count = 0
    for axis in told:
        rows = rows_between(axis.t_s, start_s, end_s)
        rate, demand = axis.rate.values[rows], delayed(axis, rows, delay_s)
        error = rate - demand
        width = max(2, round(ROLLING_S * axis.rate.rate_hz))
        limit = np.maximum(FOLLOWS.value, FOLLOWS_RATIO.value * rolling_rms(demand, width))
        last = rows_between(axis.t_s[rows], end_s - FOLLOWS_LAST.value, end_s)
        lost = rolling_rms(error, width)[last] > limit[last]
        if not lost.size or float(lost.mean()) > FOLLOWS_LOST.value:
            return []
        left += float(np.square(error, dtype=np.float64).sum())
        whole += float(np.square(rate - rate.mean(), dtype=np.float64).sum())
        count += error.size
    values = {
        "explained_share": max(0.0, 1.0 - left / whole) if whole > 0.0 else 1.0,
        "error_rad_s": float(np.sqrt(left / count)),
        "delay_s": delay_s,
    }
    channels = tuple(axis.rate.channel for axis in told)
    return [Event(EventKind.FOLLOWS_DEMAND, start_s, spans[-1][1], channels, FOLLOWS.key, values)]


def delay_of(axes: tuple[Axis, ...], flown: Flown) -> float:
    """Return the delay between demands and rates in the last minute aloft; 0 where nothing is demanded."""
    told = [axis for axis in axes if axis.demand is not None]
    spans = flown.aloft()
    return _delay(told, max(spans[-1][0], spans[-1][1] - JUDGED_S), spans[-1][1]) if told and spans else 0.0


def delayed(axis: Axis, rows: slice, delay_s: float) -> NDArray[Any]:
    """Return the demand some time before each row; of known or found sense."""
    demand = np.asarray(axis.demand)
    shift = round(delay_s * axis.rate.rate_hz)
    taken = demand[np.maximum(np.arange(rows.start, rows.stop) - shift, 0)]
    if not axis.same_way and float(np.dot(taken, axis.rate.values[rows])) < 0.0:
        return np.asarray(-taken)
    return np.asarray(taken)


def _delay(axes: list[Axis], start_s: float, end_s: float) -> float:
    """Return the delay at which demand and rate agree best."""
    best_s, least = 0.0, np.inf
    rate_hz = axes[0].rate.rate_hz
    steps = sorted({round(delay_s * rate_hz) for delay_s in np.linspace(0.0, DELAY_MOST_S, DELAY_STEPS + 1)})
    rows = [rows_between(axis.t_s, start_s, end_s) for axis in axes]
    for shift in steps:
        left = 0.0
        for axis, part in zip(axes, rows, strict=True):
            thin = max(1, (part.stop - part.start) // SOME_ROWS)
            taken = _earlier(np.asarray(axis.demand), part, thin, shift)
            seen = axis.rate.values[part.start : part.stop : thin]
            error = seen - taken if axis.same_way or float(np.dot(taken, seen)) >= 0.0 else seen + taken
            left += float(np.dot(error, error))
        if left < least:
            best_s, least = shift / rate_hz, left
    return best_s


def _earlier(values: NDArray[Any], rows: slice, thin: int, shift: int) -> NDArray[Any]:
    """Return every so many of some rows, each `shift` rows earlier; before the record its first value."""
    if shift <= rows.start:
        return np.asarray(values[rows.start - shift : rows.stop - shift : thin])
    return np.asarray(values[np.maximum(np.arange(rows.start, rows.stop, thin) - shift, 0)])
