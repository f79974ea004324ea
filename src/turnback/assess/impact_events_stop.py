"""A flight that ends in standing still from one row to the next: all that a track tells of an impact."""

from __future__ import annotations

import numpy as np

from turnback.assess.place_track import track_of
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import ALOFT, Event, EventKind, Flown, Happened, NotTold, WhyNot
from turnback.rules.record_place import STOP_RATE, STOP_SPEED, STOPPED

_NEEDS = (Channel(Quantity.ACCELERATION_Z), Channel(Quantity.GROUND_SPEED))
_REST_S = 2.0
_NEAR_S = 2.5


def find_stops(flown: Flown) -> Happened:
    """Return IMPACT events of speed that goes to nothing within one or two rows as a flight ends."""
    track = track_of(flown.record)
    if track is None or track.speed_mps is None:
        return Happened((), (NotTold(EventKind.IMPACT, WhyNot.NO_CHANNEL, _NEEDS),))
    if track.rate_hz < STOP_RATE.value:
        why = {"rate_hz": track.rate_hz, "needed_hz": STOP_RATE.value}
        return Happened((), (NotTold(EventKind.IMPACT, WhyNot.TOO_SLOW, _NEEDS, why),))
    speed = track.speed_mps if track.climb_mps is None else np.hypot(track.speed_mps, track.climb_mps)
    t_s = track.t_s
    ends = [
        phase.end_s
        for phase, later in zip(flown.phases[:-1], flown.phases[1:], strict=True)
        if phase.kind in ALOFT and later.kind not in ALOFT
    ]
    events: list[Event] = []
    for end_s in ends:
        near = np.flatnonzero((t_s >= end_s - _NEAR_S) & (t_s <= end_s + _NEAR_S))
        for row in near[-2::-1]:
            later = min(row + 2, t_s.size - 1)
            rest = speed[(t_s >= t_s[later]) & (t_s <= t_s[later] + _REST_S)]
            if speed[row] >= STOP_SPEED.value and (rest < STOPPED.value).all() and rest.size > 1:
                stop = row + 1 if speed[row + 1] < STOPPED.value else later
                values = {
                    "before_mps": float(speed[row]), "speed_mps": float(speed[row]), "after_mps": float(speed[stop]),
                    "deceleration_mps2": float((speed[row] - speed[stop]) / (t_s[stop] - t_s[row])), "at_least": 1.0,
                }  # fmt: skip
                onset_s = float(t_s[row])
                events.append(
                    Event(EventKind.IMPACT, onset_s, float(t_s[stop]), track.speed_from, STOP_SPEED.key, values)
                )
                break
    return Happened(tuple(events))
