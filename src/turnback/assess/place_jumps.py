"""Positions that jump farther than it can have flown, and fixes of large uncertainty in flight."""

from __future__ import annotations

import numpy as np

from turnback.assess.place_track import Track
from turnback.assess.signals import spans_where
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, WhyNot
from turnback.rules.record_place import JUMP, JUMP_SPEED, UNCERTAIN, UNCERTAIN_TIME

_NEEDS = (Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))
_APART_S = 2.0


def find_jumps(flown: Flown, track: Track | None) -> Happened:
    """Return POSITION_JUMP events while aloft.

    `values`: ``jump_m`` (beyond what its speed explains), or ``uncertainty_m`` (the largest of a fix that is poor for
    a while). `words`: ``by`` is "jump" or "uncertainty".
    """
    uncertain = flown.record.get(Quantity.FIX_UNCERTAINTY)
    if (track is None or track.east_m is None) and uncertain is None:
        return Happened((), (NotTold(EventKind.POSITION_JUMP, WhyNot.NO_CHANNEL, _NEEDS),))
    spans = flown.aloft()
    if not spans:
        return Happened((), (NotTold(EventKind.POSITION_JUMP, WhyNot.NOT_ALOFT, _NEEDS),))
    events: list[Event] = []
    if track is not None and track.east_m is not None:
        events += _jumps(flown, track, spans)
    if uncertain is not None:
        poor = np.zeros(uncertain.t_s.size, np.bool_)
        for start_s, end_s in spans:
            rows = slice(*np.searchsorted(uncertain.t_s, [start_s, end_s]))
            poor[rows] = uncertain.values[rows] > UNCERTAIN.value
        for first, after in spans_where(poor, uncertain.t_s, least_s=UNCERTAIN_TIME.value, bridge_s=_APART_S):
            values = {"uncertainty_m": float(uncertain.values[first:after].max())}
            events.append(
                Event(EventKind.POSITION_JUMP, float(uncertain.t_s[first]), float(uncertain.t_s[after - 1]),
                      (uncertain.channel,), UNCERTAIN.key, values, words={"by": "uncertainty"})
            )  # fmt: skip
    return Happened(tuple(events))


def _jumps(flown: Flown, track: Track, spans: tuple[tuple[float, float], ...]) -> list[Event]:
    if track.east_m is None or track.north_m is None:
        return []
    known = np.flatnonzero(~np.isnan(track.east_m))
    t_s, east, north = track.t_s[known], track.east_m[known], track.north_m[known]
    if t_s.size < 3:
        return []
    step_s = np.diff(t_s)
    moved = np.hypot(np.diff(east), np.diff(north))
    said = flown.record.get(Quantity.GROUND_SPEED) or flown.record.get(Quantity.VELOCITY_NORTH)
    speed = track.speed_mps[known] if said is not None and track.speed_mps is not None else None
    if speed is None:
        may = JUMP_SPEED.value * step_s
    else:
        may = 1.5 * np.fmax(np.nan_to_num(speed[:-1]), np.nan_to_num(speed[1:])) * step_s
    inside = np.zeros(moved.size, np.bool_)
    for start_s, end_s in spans:
        inside |= (t_s[:-1] >= start_s) & (t_s[1:] <= end_s)
    beyond = np.where(inside, moved - may, 0.0)
    events = []
    # a jump there and back within a few rows is one event
    for first, after in spans_where(beyond > JUMP.value, t_s[:-1], bridge_s=_APART_S):
        values = {"jump_m": float(beyond[first:after].max())}
        events.append(
            Event(EventKind.POSITION_JUMP, float(t_s[first + 1]), float(t_s[after]), _NEEDS, JUMP.key, values,
                  words={"by": "jump"})
        )  # fmt: skip
    return events
