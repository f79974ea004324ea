"""Whether an automatic return flies toward the launch point."""

from __future__ import annotations

import numpy as np

from turnback.assess.place_launch import take_offs
from turnback.assess.place_track import Track
from turnback.assess.signals import held_at, spans_where
from turnback.physics.geodesy import east_north_m
from turnback.records.channel import Channel, Quantity
from turnback.records.happened import Event, EventKind, Flown, Happened, NotTold, Phase, PhaseKind, WhyNot
from turnback.rules.record_place import RETURN_ANGLE, RETURN_NEAR, RETURN_SPEED, RETURN_TIME

_NEEDS = (Channel(Quantity.RETURN_ACTIVE), Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))


def find_return(flown: Flown, track: Track | None) -> Happened:
    """Return RETURN_TRACK_OFF events.

    `values`: ``off_rad`` (median size of the angle between its course and the way to the launch point), ``off_m`` (most
    that it was beside the straight way from where it began), ``distance_start_m``, ``distance_end_m``, ``closing_mps``
    (how fast it came nearer; negative: it went away). `words`: ``to`` is "stored" or "take-off", the point it was held
    against.
    """
    record = flown.record
    says = record.get(Quantity.RETURN_ACTIVE) is not None or record.get(Quantity.MODE) is not None
    returns = [phase for phase in flown.phases if phase.kind is PhaseKind.RETURN]
    if track is None or track.east_m is None or track.course_rad is None or not says:
        return Happened((), (NotTold(EventKind.RETURN_TRACK_OFF, WhyNot.NO_CHANNEL, _NEEDS),))
    events: list[Event] = []
    blind = False
    for phase in returns:
        home = _home(flown, track, phase.start_s)
        if home is None:
            blind = True
            continue
        events += _off_track(track, phase, home)
    if blind and not events:
        needs = (Channel(Quantity.LAUNCH_LATITUDE), Channel(Quantity.LAUNCH_LONGITUDE))
        return Happened((), (NotTold(EventKind.RETURN_TRACK_OFF, WhyNot.NO_CHANNEL, needs),))
    return Happened(tuple(events))


def _home(flown: Flown, track: Track, at_s: float) -> tuple[float, float, str] | None:
    """The stored launch point at a time, else where the flight took off."""
    lat, lon = flown.record.get(Quantity.LAUNCH_LATITUDE), flown.record.get(Quantity.LAUNCH_LONGITUDE)
    if lat is not None and lon is not None and track.origin is not None:
        point = [float(held_at(each.t_s, each.values, np.array([at_s]))[0]) for each in (lat, lon)]
        if point != [0.0, 0.0] and abs(point[0] - track.origin[0]) < 0.1 and abs(point[1] - track.origin[1]) < 0.1:
            x_m, y_m = east_north_m(point[0], point[1], *track.origin)
            return float(x_m), float(y_m), "stored"
    for start_s, end_s in take_offs(flown):
        if start_s <= at_s <= end_s:
            left = track.place_m(start_s)
            return None if left is None else (*left, "take-off")
    return None


def _off_track(track: Track, phase: Phase, home: tuple[float, float, str]) -> list[Event]:
    if track.east_m is None or track.north_m is None or track.course_rad is None or track.speed_mps is None:
        return []
    inside = (track.t_s >= phase.start_s) & (track.t_s < phase.end_s) & ~np.isnan(track.east_m)
    t_s = track.t_s[inside]
    if t_s.size < 3:
        return []
    east, north = home[0] - track.east_m[inside], home[1] - track.north_m[inside]
    away = np.hypot(east, north)
    toward = np.arctan2(east, north)
    off = np.remainder(track.course_rad[inside] - toward + np.pi, 2.0 * np.pi) - np.pi
    moves = (track.speed_mps[inside] > RETURN_SPEED.value) & (away > RETURN_NEAR.value)
    events = []
    for first, after in spans_where(
        moves & (np.abs(off) > RETURN_ANGLE.value), t_s, least_s=RETURN_TIME.value, bridge_s=1.0
    ):
        rows = slice(first, after)
        length_s = float(t_s[after - 1] - t_s[first])
        beside = np.abs(east[rows] * np.cos(toward[first]) - north[rows] * np.sin(toward[first]))
        values = {
            "off_rad": float(np.median(np.abs(off[rows]))),
            "off_m": float(beside.max()),
            "distance_start_m": float(away[first]),
            "distance_end_m": float(away[after - 1]),
            "closing_mps": float((away[first] - away[after - 1]) / length_s) if length_s > 0.0 else 0.0,
        }
        channels = (*track.speed_from, Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))
        events.append(
            Event(EventKind.RETURN_TRACK_OFF, float(t_s[first]), float(t_s[after - 1]), tuple(dict.fromkeys(channels)),
                  RETURN_ANGLE.key, values, words={"to": home[2]})
        )  # fmt: skip
    return events
