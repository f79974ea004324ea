"""What finders of events on link, power and sticks share: spans looked at, thinning, slow trends, exact onsets."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_median import running_median
from turnback.assess.signals import held_at, rows_between
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import ALOFT, EventKind, Flown, NotTold, PhaseKind, WhyNot

Floats = NDArray[np.float64]
Span = tuple[float, float]

TREND_BLOCK_S: Final = 1.0
TREND_REACH_S: Final = 15.0
"""A slow trend is the median of this much before and after."""


def spans_looked_at(flown: Flown) -> tuple[Span, ...]:
    """Return the spans aloft; where phases could not be told, those too: the link counts all the same."""
    return _joined(flown, ALOFT | {PhaseKind.UNKNOWN})


def _joined(flown: Flown, kinds: frozenset[PhaseKind]) -> tuple[Span, ...]:
    """Return the spans of some kinds of phase, joined where they touch."""
    spans: list[Span] = []
    for phase in flown.phases:
        if phase.kind not in kinds:
            continue
        if spans and phase.start_s <= spans[-1][1]:
            spans[-1] = (spans[-1][0], phase.end_s)
        else:
            spans.append((phase.start_s, phase.end_s))
    return tuple(spans)


def inside(t_s: Floats, spans: Sequence[Span]) -> NDArray[np.bool_]:
    """Return which times lie in one of the spans, ends included.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
        Increasing.
    spans : sequence of (start, end)
        In seconds.
    """
    marks = np.zeros(t_s.size, np.bool_)
    for start_s, end_s in spans:
        first, after = np.searchsorted(t_s, start_s, side="left"), np.searchsorted(t_s, end_s, side="right")
        marks[first:after] = True
    return marks


def within(at_s: float, spans: Sequence[Span]) -> Span | None:
    """Return the span that holds a moment, or None."""
    return next((span for span in spans if span[0] <= at_s <= span[1]), None)


def thinned(series: Series, most_hz: float, *, mean: bool = True) -> tuple[Floats, Floats]:
    """Return a channel at no more than a rate: means of as many rows as it takes, or every so-manieth row.

    Parameters
    ----------
    series : Series
    most_hz : float
    mean : bool
        False takes the first row of each block, for channels whose values must stay what they are.

    Returns
    -------
    t_s, values : ndarray of float64, shape (m,)
        The middle time of each block of rows, or the time of its first row.
    """
    stride = max(1, ceil(series.rate_hz / most_hz - 1e-6))
    if stride == 1 or series.t_s.size < 2 * stride:
        return series.t_s, series.values.astype(np.float64, copy=False)
    if not mean:
        return series.t_s[::stride], series.values[::stride].astype(np.float64)
    whole = series.t_s.size // stride * stride
    t_s = series.t_s[:whole].reshape(-1, stride)
    return 0.5 * (t_s[:, 0] + t_s[:, -1]), series.values[:whole].reshape(-1, stride).mean(1, dtype=np.float64)


def odd_width(t_s: Floats, length_s: float, least: int) -> int:
    """Return how many samples, an odd number, cover a time."""
    step_s = float(np.median(np.diff(t_s))) if t_s.size > 1 else length_s
    return max(least, round(length_s / max(step_s, 1e-9))) | 1


def slow_trend(t_s: Floats, values: Floats, reach_s: float = TREND_REACH_S) -> Floats:
    """Return the running median over some time before and after each sample.

    Parameters
    ----------
    t_s, values : ndarray, shape (n,)
        n at least 1.
    reach_s : float

    Returns
    -------
    ndarray, shape (n,)
    """
    block = np.floor((t_s - t_s[0]) / TREND_BLOCK_S).astype(np.intp)
    firsts = np.flatnonzero(np.diff(block, prepend=-1))
    ends = np.append(firsts[1:], t_s.size)
    middle = values[(firsts + ends - 1) // 2]
    # the median of three picks of a block is as good a stand-in as its median, and takes no loop
    picks = np.stack([values[firsts], middle, values[ends - 1]])
    centre_s = 0.5 * (t_s[firsts] + t_s[ends - 1])
    trend = running_median(np.median(picks, axis=0), 2 * round(reach_s / TREND_BLOCK_S) + 1)
    return np.interp(t_s, centre_s, trend)


def step_onset_s(t_s: Floats, values: NDArray[np.floating], around_s: float, reach_s: float) -> float:
    """Return the time of the first row after a step, by least squares of two levels at the full rate.

    Parameters
    ----------
    t_s, values : ndarray, shape (n,)
    around_s : float
        Where about it is.
    reach_s : float
        Looked at so far before and after; the step may lie anywhere in it.
    """
    rows = rows_between(t_s, around_s - reach_s, around_s + reach_s)
    seen = values[rows].astype(np.float64)
    if seen.size < 3:
        return around_s
    first = np.arange(1, seen.size)
    before = np.cumsum(seen)[:-1]
    gap = before / first - (seen.sum() - before) / (seen.size - first)
    weight = first * (seen.size - first)
    return float(t_s[rows][1 + int(np.argmax(weight * gap * gap))])


def value_at(record: FlightRecord, quantity: Quantity, at_s: float) -> float | None:
    """Return a channel's last value at or before a moment, or None."""
    series = record.get(quantity)
    return (
        None
        if series is None or not series.t_s.size
        else float(held_at(series.t_s, series.values, np.array([at_s]))[0])
    )


def values_at(record: FlightRecord, at_s: float, **quantities: Quantity) -> dict[str, float]:
    """Return the values of the channels there are at a moment, under the given names."""
    found = {name: value_at(record, quantity, at_s) for name, quantity in quantities.items()}
    return {name: value for name, value in found.items() if value is not None}


def between(series: Series, start_s: float, end_s: float) -> NDArray[Any]:
    """Return a channel's values from one moment up to another."""
    return series.values[rows_between(series.t_s, start_s, end_s)]


def no_channel(kind: EventKind, *needs: Quantity) -> NotTold:
    """Say that a kind of event could not be looked for, and what would tell."""
    return NotTold(kind, WhyNot.NO_CHANNEL, tuple(map(Channel, needs)))


def too_slow(kind: EventKind, channel: Channel, rate_hz: float, needed_hz: float) -> NotTold:
    """Say that a channel is recorded too seldom."""
    return NotTold(kind, WhyNot.TOO_SLOW, (channel,), {"rate_hz": rate_hz, "needed_hz": needed_hz})
