"""Hands that lost it: sticks that go from stop to stop, and a stick and its tilt far out in the last seconds."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats, Span, inside, spans_looked_at, thinned
from turnback.assess.signals import spans_where
from turnback.assess.signs_link_parts import first_upset_s, lost_links
from turnback.assess.signs_sticks_return import returns_of
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord
from turnback.rules.record_signs_sticks import FAR_OUT, FAR_OUT_S, FAR_OUT_TILT_DEG, FOLLOWS, STOP_SWINGS

AXES: Final = ((Quantity.ROLL_STICK, Quantity.ROLL), (Quantity.PITCH_STICK, Quantity.PITCH))
FRAME_HZ: Final = 20.0
CRUISE_S: Final = 9.0
"""Longer than that is how somebody flies somewhere."""
LAST_S: Final = 0.8
AFTER_TAKE_OFF_S: Final = 3.0
STOP: Final = 0.75
WITHIN_S: Final = 12.0
QUICK_S: Final = 1.2
OVER_RAD: Final = 1.2
FOLLOW_ROWS: Final = (1, 2, 3, 4, 5, 6)


class LastSeen(NamedTuple):
    """How far beyond its limit, where, and what was measured."""

    beyond: float
    span: Span | None
    values: dict[str, float]


def seen_last(looked: Looked) -> LastSeen | None:
    """Tell whether a stick and its tilt stay far out up to the end, or a stick goes from stop to stop.

    Parameters
    ----------
    looked : Looked

    Returns
    -------
    LastSeen or None
        The clearer of both; None where it was hardly aloft or has no such sticks.
    """
    record, spans = looked.answer.flown.record, spans_looked_at(looked.answer.flown)
    if not spans or any(record.get(stick) is None for stick, _ in AXES):
        return None
    until_s = min(looked.ended_s, spans[-1][1])
    t_s = np.arange(spans[0][0] + AFTER_TAKE_OFF_S, until_s + 0.3, 1.0 / FRAME_HZ)
    if t_s.size < 2.0 * FRAME_HZ:
        return None
    lost = [(each.start_s - 1.0, each.end_s) for each in lost_links(looked)]
    by_hand = ~inside(t_s, lost) & ~inside(t_s, returns_of(looked) or [])
    swings = _swings(record, t_s, by_hand)
    far = _far(record, t_s, by_hand, min(until_s, first_upset_s(looked) + 0.3))
    return max(swings, far, key=lambda each: each.beyond)


def _seen(record: FlightRecord, quantity: Quantity, t_s: Floats) -> Floats | None:
    series = record.get(quantity)
    if series is None or series.t_s.size < 10:
        return None
    values: Floats = np.interp(t_s, *thinned(series, FRAME_HZ))
    return values


def _swings(record: FlightRecord, t_s: Floats, by_hand: NDArray[np.bool_]) -> LastSeen:
    most: int = 0
    span: Span | None = None
    for quantity, of in AXES:
        stick, tilt = _seen(record, quantity, t_s), _seen(record, of, t_s)
        if stick is None or tilt is None or not _follows(stick, tilt):
            continue
        at = np.flatnonzero((np.abs(stick) > STOP) & by_hand)
        turns = np.flatnonzero((np.diff(np.sign(stick[at])) != 0.0) & (np.diff(t_s[at]) < QUICK_S))
        times = t_s[at[turns]]
        for first, start_s in enumerate(times):
            after = int(np.searchsorted(times, start_s + WITHIN_S))
            if after - first > most:
                most, span = after - first, (float(start_s), float(times[after - 1]))
    return LastSeen((most - STOP_SWINGS.value) / 1.5, span, {"turns": float(most)})


def _follows(stick: Floats, tilt: Floats) -> bool:
    """Tell whether the tilt goes where the stick goes, within moments: where it lags, hands swing for its sake."""
    if min(float(np.std(stick)), float(np.std(tilt))) < 1e-6:
        return False
    held = np.clip(tilt, -OVER_RAD, OVER_RAD)
    return any(
        float(np.corrcoef(stick[: stick.size - late], held[late:])[0, 1]) > FOLLOWS.value for late in FOLLOW_ROWS
    )


def _far(record: FlightRecord, t_s: Floats, by_hand: NDArray[np.bool_], until_s: float) -> LastSeen:
    """Return it; one who flies somewhere holds a stick out for longer, and one who lands lets it go before."""
    held_s, far_deg = 0.0, 0.0
    span: Span | None = None
    for quantity, of in AXES:
        stick, tilt = _seen(record, quantity, t_s), _seen(record, of, t_s)
        if stick is None or tilt is None:
            continue
        tilt_deg = np.degrees(tilt)
        for way in (1.0, -1.0):
            out = (way * stick > FAR_OUT.value) & (way * tilt_deg > FAR_OUT_TILT_DEG.value) & by_hand
            for first, after in spans_where(out, t_s):
                start_s, end_s = float(t_s[first]), float(t_s[min(after, t_s.size - 1)])
                lasts_s = end_s - start_s
                if until_s - end_s < LAST_S and start_s < until_s and held_s < lasts_s < CRUISE_S:
                    held_s, span = lasts_s, (start_s, end_s)
                    far_deg = float(np.median(way * tilt_deg[first:after]))
    return LastSeen((held_s - FAR_OUT_S.value) / 0.4, span, {"held_s": held_s, "tilt_deg": far_deg})
