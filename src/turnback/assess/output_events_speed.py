"""Rotors that turn slower or faster than their siblings at the same output."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import highest_lately
from turnback.assess.output_columns import Columns
from turnback.assess.output_kernel import against_siblings, lagged
from turnback.assess.signals import rows_between, spans_where
from turnback.records.flight_record import Times
from turnback.records.happened import Event, EventKind
from turnback.rules.record_outputs import (
    COLLAPSE,
    COLLAPSE_FROM,
    COLLAPSE_WITHIN,
    EXCESS,
    EXCESS_HELD,
    MOST_EVENTS,
    RUNS_DOWN,
    SPREADS,
    STEP,
    STEP_WITHIN,
)
from turnback.rules.rule import Threshold

LAGS_S: Final = (0.0, 0.01, 0.02, 0.035, 0.05, 0.08, 0.12, 0.2)
FIT_S: Final = 20.0
FIT_ROWS: Final = 1500  # of each rotor
FIT_ROUNDS: Final = 4
LEAST_BAND: Final = 0.03  # of the speed: nearer than this, no row is left out of the fit
LEAST_ROWS: Final = 16
LEAST_OUTPUT: Final = 0.02
LEAST_POWER: Final = 0.4
MOST_POWER: Final = 1.0
TABLE_STEPS: Final = 256
LEAST_ASKED: Final = 0.3  # of the median speed: below, output and speed go apart as rotors windmill
HELD_S: Final = 0.05
BRIDGE_S: Final = 0.05
LOOK_BACK_S: Final = 1.0
DRIVEN_SHARE: Final = 0.3
EXCESS_ROWS: Final = 12  # outputs are seen at their rows alone: in a slow record a few rows in a row tell too little
CLEAR_RATIO: Final = 1.2
"""Outputs that swing faster than the record shows part a sound rotor from its siblings by less, or for less than:"""
LONG_S: Final = 1.0

Floats = NDArray[np.float64]


def off_speeds(
    outputs: Columns, speeds: Columns, aloft: NDArray[np.bool_], settled: NDArray[np.bool_]
) -> list[Event]:  # fmt: skip
    """Return collapses and excesses of rotor speed.

    Parameters
    ----------
    outputs, speeds : Columns
        The same rotors in the same order on the same clock, 3 at least.
    aloft, settled : ndarray of bool, shape (n,)
        In the air; and not just taking off, where outputs run up faster than any rotor follows.

    Notes
    -----
    Speed as a power of the output, which a motor of first order follows: lag, power and factor are fitted to the rows
    aloft, again and again without the rows that are off. What all rotors share (a sagging pack) drops out against the
    siblings.
    """
    lag_s = _lag(outputs, speeds, aloft)
    rows = np.flatnonzero(aloft)
    rows = rows[:: max(1, rows.size // FIT_ROWS)]
    asked = [lagged(outputs.t_s, values, lag_s)[rows] for values in outputs.values]
    fit, _ = _fit(np.concatenate(asked), np.concatenate([values[rows] for values in speeds.values]))
    middle = float(np.median([np.median(values[rows]) for values in speeds.values]))
    if not middle > 0.0:
        return []
    asks = np.linspace(0.0, 1.0, TABLE_STEPS + 1)
    table = np.maximum(np.exp(fit[0]) * np.maximum(asks, LEAST_OUTPUT) ** fit[1], LEAST_ASKED * middle)
    ratios = against_siblings(outputs.t_s, outputs.values, speeds.values, lag_s, table)
    events = []
    for place in range(len(speeds.channels)):
        low, middle, high = np.quantile(ratios[place, rows], [0.16, 0.5, 0.84]).tolist()
        usual = min(max(middle, COLLAPSE_FROM.value), EXCESS.value)
        # the smaller of both sides: what a fault does for long is no scatter
        spread = SPREADS.value * min(high - middle, middle - low)
        events += _collapses(outputs, speeds, place, ratios[place] / np.float32(usual), aloft, 1.0 - spread)
        seen = _excesses(outputs, speeds, place, ratios[place], settled, 1.0 + spread)
        events += [each for each in seen if not _runs_down(outputs, place, ratios[place], (lag_s, table), each)]
    return events


def _lag(outputs: Columns, speeds: Columns, aloft: NDArray[np.bool_]) -> float:
    """Return the time constant with which speeds follow outputs best, from some seconds in the middle of the flight."""
    rows = np.flatnonzero(aloft)
    middle_s = float(outputs.t_s[rows[rows.size // 2]])
    part = rows_between(outputs.t_s, middle_s - FIT_S / 2.0, middle_s + FIT_S / 2.0)
    step = max(1, (part.stop - part.start) // FIT_ROWS)
    t_s = outputs.t_s[part]
    seen = np.concatenate([values[part][::step] for values in speeds.values])
    left = []
    for lag_s in LAGS_S:
        asked = np.concatenate([lagged(t_s, values[part], lag_s)[::step] for values in outputs.values])
        left.append(_fit(asked, seen)[1])
    return LAGS_S[int(np.argmin(left))]


def _fit(asked: NDArray[np.floating], seen: NDArray[np.floating]) -> tuple[Floats, float]:
    """Return factor (its logarithm) and power of speed on output that most rows agree on, and the median left over."""
    turning = (asked > LEAST_OUTPUT) & (seen > 0.0)
    if turning.sum() < LEAST_ROWS:
        return np.array([0.0, 1.0]), np.inf
    x = np.log(np.asarray(asked[turning], np.float64))
    y = np.log(np.asarray(seen[turning], np.float64))
    keep = np.abs(y - np.median(y)) < 1.0
    fit, left = np.array([0.0, 1.0]), np.inf
    for _ in range(FIT_ROUNDS):
        at, level = float(x[keep].mean()), float(y[keep].mean())
        spread = float(np.square(x[keep] - at).sum())
        slope = float((x[keep] - at) @ (y[keep] - level)) / spread if spread > 0.0 else LEAST_POWER
        power = min(max(slope, LEAST_POWER), MOST_POWER)
        fit = np.array([level - power * at, power])
        off = np.abs(y - fit[0] - power * x)
        left = float(np.median(off))
        keep = off <= max(3.0 * left, LEAST_BAND)
    return fit, left


def _collapses(
    outputs: Columns, speeds: Columns, place: int, ratio: NDArray[np.float32], aloft: NDArray[np.bool_], most: float
) -> list[Event]:
    """Return where one rotor falls away from its siblings within a tenth of a second."""
    t_s, speed, output = speeds.t_s, speeds.values[place], outputs.values[place]
    slack_s = 1.5 * float(np.median(np.diff(t_s)))
    spans = spans_where(
        (ratio < min(COLLAPSE.value, most)) & aloft & (output > LEAST_OUTPUT),  # a rotor that nobody asks may stand
        t_s, bridge_s=BRIDGE_S, least_s=min(HELD_S, slack_s),
    )  # fmt: skip
    spans = spans[t_s[np.minimum(spans[:, 1], t_s.size - 1)] - t_s[spans[:, 0]] >= HELD_S]
    events = []
    for first, after in spans[: int(MOST_EVENTS.value)]:
        onset = _left_at(t_s, ratio >= COLLAPSE_FROM.value, int(first))
        if onset is None or t_s[first] - t_s[onset] > COLLAPSE_WITHIN.value + slack_s:
            continue
        before = rows_between(t_s, float(t_s[onset]) - STEP_WITHIN.value, float(t_s[onset]) + slack_s)
        rise = float(np.max(output[before] - np.minimum.accumulate(output[before])))
        values = {
            "least_ratio": float(ratio[first:after].min()),
            "before_per_s": float(speed[max(0, onset - 1)]),
            "least_per_s": float(speed[onset:after].min()),
            "duration_s": float(t_s[min(after, t_s.size - 1)] - t_s[onset]),
            "step_share": rise if rise >= STEP.value else 0.0,
        }
        events.append(_event(EventKind.SPEED_COLLAPSE, outputs, speeds, place, (onset, int(after)), COLLAPSE, values))
    return events


def _excesses(
    outputs: Columns, speeds: Columns, place: int, ratio: NDArray[np.float32], aloft: NDArray[np.bool_], least: float
) -> list[Event]:
    """Return where one rotor turns faster than its siblings at the same output."""
    t_s, speed = speeds.t_s, speeds.values[place]
    some = speed[aloft]
    if not some.size:  # no more than a take-off
        return []
    turning = speed > LEAST_ASKED * np.median(some[:: max(1, some.size // FIT_ROWS)])
    spans = spans_where(
        (ratio > max(EXCESS.value, least)) & aloft & turning, t_s, bridge_s=BRIDGE_S, least_s=EXCESS_HELD.value
    )
    spans = spans[spans[:, 1] - spans[:, 0] >= EXCESS_ROWS]
    half = 0.5 * (1.0 + EXCESS.value)
    events = []
    for first, after in spans[: int(MOST_EVENTS.value)]:
        onset = _left_at(t_s, ratio <= half, int(first))
        onset = int(first) if onset is None else onset
        mean = float(ratio[first:after].mean())
        lasts_s = float(t_s[min(after, t_s.size - 1)] - t_s[first])
        if mean < (EXCESS.value if lasts_s >= LONG_S else CLEAR_RATIO):
            continue
        values = {
            "mean_ratio": mean,
            "most_ratio": float(ratio[first:after].max()),
            "duration_s": float(t_s[min(after, t_s.size - 1)] - t_s[onset]),
        }
        events.append(_event(EventKind.SPEED_EXCESS, outputs, speeds, place, (onset, int(after)), EXCESS, values))
    return events


def _runs_down(
    outputs: Columns, place: int, ratio: NDArray[np.float32], asks: tuple[float, NDArray[np.float64]], excess: Event
) -> bool:  # fmt: skip
    """Tell whether a rotor only runs down from what it was asked just before: slower than any motor drives it."""
    lag_s, table = asks
    before = rows_between(outputs.t_s, excess.start_s - RUNS_DOWN.value, excess.end_s)
    t_s, values = outputs.t_s[before], outputs.values[place][before]
    highest = highest_lately(values, int(np.searchsorted(t_s, t_s[0] + RUNS_DOWN.value)))
    steps = np.linspace(0.0, 1.0, table.size)
    asked = lagged(t_s, values, lag_s)
    most = np.interp(highest, steps, table)
    over = ratio[before] * np.interp(asked, steps, table) / most > EXCESS.value
    driven = over | (highest - asked < STEP.value)
    return bool(driven[t_s >= excess.start_s].mean() < DRIVEN_SHARE)


def _left_at(t_s: Times, usual: NDArray[np.bool_], row: int) -> int | None:
    """Return the row after the last usual one before a row; None where the look back finds none."""
    back = int(np.searchsorted(t_s, t_s[row] - LOOK_BACK_S))
    found = np.flatnonzero(usual[back:row])
    return back + int(found[-1]) + 1 if found.size else None


def _event(
    kind: EventKind, outputs: Columns, speeds: Columns, place: int, rows: tuple[int, int], rule: Threshold,
    values: dict[str, float],
) -> Event:  # fmt: skip
    """Return one event of one rotor."""
    t_s = speeds.t_s
    return Event(
        kind, float(t_s[rows[0]]), float(t_s[min(rows[1], t_s.size - 1)]),
        (speeds.channels[place], outputs.channels[place]), rule.key, values, speeds.at(place),
    )  # fmt: skip
