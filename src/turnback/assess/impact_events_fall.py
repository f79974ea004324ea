"""Free fall: specific force near nothing while aloft.

Specific force is what is not gravity: thrust and drag. Falling straight down from rest without thrust, its size is the
drag, so that the speed gained is the time integral of g minus it; with no air it is g t, and the drop is g t²/2.
"""

from __future__ import annotations

import numpy as np

from turnback.assess.signals import spans_where
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, PhaseKind, WhyNot
from turnback.rules.record_place import FREE_FORCE, FREE_LEAST, IMPACT_NEAR

_STEP_S = 0.02
_BEFORE_S = 0.3
_BLOW_MPS2 = 3.0 * GRAVITY_MPS2


def find_free_falls(flown: Flown, force: tuple[Series, Series, Series]) -> Happened:
    """Return FREE_FALL events.

    `values`: ``free_s`` (specific force below the threshold), ``duration_s`` (to the end of the fall, also where drag
    has grown since), ``mean_mps2``, and from standing still straight down ``speed_gained_mps`` and ``height_m`` (what
    it fell; ``height_lost_m`` is what a height channel says).
    """
    # what bounces after a crash falls once more
    spans = [(start_s, min(end_s + IMPACT_NEAR.value, flown.record.clock.length_s)) for start_s, end_s in flown.aloft()]
    if not spans:
        return Happened((), (NotTold(EventKind.FREE_FALL, WhyNot.NOT_ALOFT),))
    rate_hz = force[0].rate_hz
    if rate_hz * FREE_LEAST.value < 3.0:
        why = {"rate_hz": rate_hz, "needed_hz": 3.0 / FREE_LEAST.value}
        return Happened((), (NotTold(EventKind.FREE_FALL, WhyNot.TOO_SLOW, (), why),))
    events: list[Event] = []
    for start_s, end_s in spans:
        t_s, size = _slow_size(force, start_s, end_s)
        if t_s.size < 3:
            continue
        step_s = float(t_s[1] - t_s[0])
        for first, after in spans_where(size < FREE_FORCE.value, t_s, bridge_s=0.05):
            free_s = (after - first) * step_s
            if free_s < FREE_LEAST.value:
                continue
            events.append(_event(flown, force, t_s, size, int(first), int(after), step_s))
    return Happened(tuple(_joined(events)))


def _joined(events: list[Event]) -> list[Event]:
    """Drop what lies within the event before it: one fall that air slowed for a moment."""
    kept: list[Event] = []
    for event in events:
        if not kept or event.start_s >= kept[-1].end_s:
            kept.append(event)
    return kept


def _slow_size(
    force: tuple[Series, Series, Series], start_s: float, end_s: float
) -> tuple[np.ndarray[tuple[int], np.dtype[np.float64]], np.ndarray[tuple[int], np.dtype[np.float64]]]:
    """Size of the mean specific force of each fiftieth of a second (or each row, where they are rarer)."""
    base = force[0].t_s
    rows = slice(*np.searchsorted(base, [start_s, end_s]))
    t_s = base[rows]
    every = max(1, round(force[0].rate_hz * _STEP_S))
    n = t_s.size // every
    if n == 0:
        return np.empty(0), np.empty(0)
    square = np.zeros(n)
    for each in force:
        values = each.values[rows] if each.t_s is base else np.interp(t_s, each.t_s, each.values)
        mean = values[: n * every].reshape(n, every).mean(axis=1)
        square += mean * mean
    return np.ascontiguousarray(t_s[: n * every : every]), np.sqrt(square)


def _event(
    flown: Flown, force: tuple[Series, Series, Series], t_s: np.ndarray[tuple[int], np.dtype[np.float64]],
    size: np.ndarray[tuple[int], np.dtype[np.float64]], first: int, after: int, step_s: float,
) -> Event:  # fmt: skip
    start_s = float(t_s[first])
    end_s = float(t_s[after - 1]) + step_s
    for phase in flown.phases:
        if phase.kind is PhaseKind.FALL and phase.start_s - _BEFORE_S <= start_s < phase.end_s:
            end_s = max(end_s, phase.end_s)
    blows = np.flatnonzero(size[first : int(np.searchsorted(t_s, end_s))] > _BLOW_MPS2)
    if blows.size:  # the first blow ends a fall, whatever bounces after it
        end_s = float(t_s[first + int(blows[0])])
    lasts = slice(first, max(after, int(np.searchsorted(t_s, end_s - 1e-9))))
    gain = np.clip(GRAVITY_MPS2 - size[lasts], -GRAVITY_MPS2, GRAVITY_MPS2) * step_s
    speed = np.cumsum(gain)
    values = {
        "free_s": (after - first) * step_s,
        "duration_s": end_s - start_s,
        "mean_mps2": float(size[first:after].mean()),
        "speed_gained_mps": float(speed[-1]),
        "height_m": float(((speed - gain / 2.0) * step_s).sum()),
    }
    height = flown.record.get(Quantity.HEIGHT_LAUNCH) or flown.record.get(Quantity.HEIGHT_SEA_LEVEL)
    if height is not None and height.rate_hz * values["duration_s"] >= 2.0:
        ends_m = np.interp([start_s, end_s], height.t_s, height.values)
        values["height_lost_m"] = float(ends_m[0] - ends_m[1])
    channels = tuple(each.channel for each in force)
    return Event(EventKind.FREE_FALL, start_s, end_s, channels, FREE_FORCE.key, values)
