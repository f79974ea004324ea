"""Outputs at the end of their scale: nothing left to give, or nothing left to take."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.signals import Spans, spans_where
from turnback.records.happened import Event, EventKind
from turnback.rules.record_outputs import (
    BRIDGE,
    CEILING,
    CEILING_HELD,
    CEILING_LEAST,
    FLOOR_BAND,
    FLOOR_MOST,
    MOST_EVENTS,
    SATURATED,
)

HELD_BAND = 0.002
HELD_ROWS = 5


def ceiling_of(outputs: Columns, aloft: NDArray[np.bool_]) -> float | None:
    """Return the output from which on a corner has nothing left to give; None where the record never gets there."""
    top = max(float(np.max(values, where=aloft, initial=0.0)) for values in outputs.values)
    if top >= CEILING.value:
        return max(CEILING.value, top - HELD_BAND)
    if top < CEILING_LEAST.value:
        return None
    for values in outputs.values:
        held = spans_where((values >= top - HELD_BAND) & aloft, outputs.t_s, least_s=CEILING_HELD.value)
        if any(after - first >= HELD_ROWS for first, after in held):
            return top - HELD_BAND
    return None


def floor_of(outputs: Columns, aloft: NDArray[np.bool_]) -> float | None:
    """Return the idle output; None where the lowest output aloft is too high to be that."""
    low = min(float(np.min(values, where=aloft, initial=1.0)) for values in outputs.values)
    return low if low <= FLOOR_MOST.value else None


def at_ends(outputs: Columns, aloft: NDArray[np.bool_]) -> list[Event]:
    """Return where an output stands at its ceiling, or at idle while another stands at its ceiling.

    Parameters
    ----------
    outputs : Columns
    aloft : ndarray of bool, shape (n,)
    """
    ceiling = ceiling_of(outputs, aloft)
    if ceiling is None:
        return []
    high = [(values >= ceiling) & aloft for values in outputs.values]
    some = np.logical_or.reduce(high)
    every = np.logical_and.reduce(high)
    floor = floor_of(outputs, aloft)
    flight_s = float(aloft.mean()) * float(outputs.t_s[-1] - outputs.t_s[0])
    events = []
    for place, values in enumerate(outputs.values):
        events += _spans(outputs, place, high[place], every, flight_s, "ceiling", ceiling)
        if floor is not None and some.any():
            low = (values <= floor + FLOOR_BAND.value) & some & ~high[place]
            events += _spans(outputs, place, low, every, flight_s, "floor", floor)
    return events


def _spans(
    outputs: Columns, place: int, holds: NDArray[np.bool_], every: NDArray[np.bool_], flight_s: float, end: str,
    level: float,
) -> list[Event]:  # fmt: skip
    """Return the events of one channel at one end."""
    t_s = outputs.t_s
    spans = spans_where(holds, t_s, least_s=SATURATED.value, bridge_s=BRIDGE.value)
    if not spans.size:
        return []
    lengths_s = _ends_s(t_s, spans) - t_s[spans[:, 0]]
    total_s = float(lengths_s.sum())
    kept = np.sort(np.argsort(-lengths_s, kind="stable")[: int(MOST_EVENTS.value)])
    events = []
    for (first, after), length_s in zip(spans[kept], lengths_s[kept], strict=True):
        together = bool(every[first:after].mean() > 0.5)
        values: dict[str, Any] = {
            "duration_s": float(length_s), "share": total_s / max(flight_s, total_s), "times": float(len(spans)),
            "output_share": level,
        }  # fmt: skip
        events.append(
            Event(
                EventKind.OUTPUT_SATURATED, float(t_s[first]), float(t_s[first] + length_s),
                (outputs.channels[place],), SATURATED.key, values, outputs.at(place),
                {"end": end, "corners": "all" if together else "some"},
            )
        )  # fmt: skip
    return events


def _ends_s(t_s: NDArray[np.float64], spans: Spans) -> NDArray[np.float64]:
    """Return the times of the rows after the last ones."""
    return np.asarray(t_s[np.minimum(spans[:, 1], t_s.size - 1)])
