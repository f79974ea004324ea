"""Whether the stored launch point lies where it took off."""

from __future__ import annotations

import numpy as np

from turnback.assess.place_track import Floats, Track
from turnback.assess.signals import held_at, spans_where
from turnback.physics.geodesy import LOCAL_REACH_M, distance_m, east_north_m
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import ALOFT, Event, EventKind, Flown, Happened, NotTold, PhaseKind, WhyNot
from turnback.rules.record_place import LAUNCH_FAR, LAUNCH_OFF, LAUNCH_TIME, LAUNCH_UNCERTAIN

_POINT = (Channel(Quantity.LAUNCH_LATITUDE), Channel(Quantity.LAUNCH_LONGITUDE))
_NEEDS = (*_POINT, Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))
_SETTLED_S = 2.0


def find_launch(flown: Flown, track: Track | None) -> Happened:
    """Return LAUNCH_POINT_OFF events: of each flight at take-off, and where the stored point moves in flight.

    `values`: ``off_m``, ``bearing_rad`` (from where it took off toward the stored point, where that is known),
    ``uncertainty_m`` where the fix tells it. `words`: ``by`` is "point", "distance-and-bearing", "distance" or "moved".
    """
    record = flown.record
    stored = _stored(record, track)
    distance = record.get(Quantity.DISTANCE_LAUNCH)
    if track is None or track.east_m is None or (stored is None and distance is None):
        return Happened((), (NotTold(EventKind.LAUNCH_POINT_OFF, WhyNot.NO_CHANNEL, _NEEDS),))
    starts = take_offs(flown)
    if not starts:
        why = WhyNot.TOO_SHORT if flown.aloft() else WhyNot.NOT_ALOFT
        return Happened((), (NotTold(EventKind.LAUNCH_POINT_OFF, why, _NEEDS),))
    events: list[Event] = []
    blind = True
    for start_s, end_s in starts:
        left = track.place_m(start_s)
        if left is None:
            continue
        blind = False
        found = _at_point(record, stored, left, start_s) if stored is not None else None
        if found is None and distance is not None:
            found = _by_distance(record, track, distance, left, start_s, end_s)
        if found is not None:
            events.append(found)
    if stored is not None:
        events += _moved(flown, stored)
    if blind and not events:
        return Happened((), (NotTold(EventKind.LAUNCH_POINT_OFF, WhyNot.TOO_SHORT, _NEEDS),))
    return Happened(tuple(events))


def take_offs(flown: Flown) -> list[tuple[float, float]]:
    """Return flights that begin with a take-off in the record: their first and last second."""
    begins = {phase.start_s for phase in flown.phases if phase.kind is PhaseKind.TAKE_OFF}
    return [(start_s, end_s) for start_s, end_s in flown.aloft() if start_s in begins]


Stored = tuple[Series, Floats, Floats]


def _stored(record: FlightRecord, track: Track | None) -> Stored | None:
    """The stored point in the plane of the track, only where it changes: rows, east and north."""
    lat, lon = record.get(Quantity.LAUNCH_LATITUDE), record.get(Quantity.LAUNCH_LONGITUDE)
    if lat is None or lon is None or track is None or track.origin is None or not lat.t_s.size:
        return None
    lat_deg = lat.values.astype(np.float64)
    lon_deg = lon.values if lon.t_s is lat.t_s else held_at(lon.t_s, lon.values, lat.t_s)
    lon_deg = lon_deg.astype(np.float64)
    change = np.flatnonzero((np.diff(lat_deg) != 0.0) | (np.diff(lon_deg) != 0.0)) + 1
    rows = np.r_[0, change]
    x_m, y_m = np.full(rows.size, np.nan), np.full(rows.size, np.nan)
    lat_deg, lon_deg = lat_deg[rows], lon_deg[rows]
    good = (np.abs(lat_deg) <= 90.0) & (np.abs(lon_deg) <= 180.0) & ((lat_deg != 0.0) | (lon_deg != 0.0))
    good &= (np.abs(lat_deg - track.origin[0]) < 2.0) & (np.abs(lon_deg - track.origin[1]) < 20.0)
    near = np.flatnonzero(good)
    near = near[distance_m(lat_deg[near], lon_deg[near], *track.origin) <= LOCAL_REACH_M]
    x_m[near], y_m[near] = east_north_m(lat_deg[near], lon_deg[near], *track.origin)
    kept = Series(lat.channel, lat.t_s[rows], lat.values[rows], lat.rate_hz, lat.fresh_hz)
    return kept, x_m, y_m


def _uncertainty(record: FlightRecord, at_s: float) -> float | None:
    series = record.get(Quantity.FIX_UNCERTAINTY)
    if series is None or not series.t_s.size:
        return None
    return float(held_at(series.t_s, series.values, np.array([at_s]))[0])


def _limit(record: FlightRecord, at_s: float) -> tuple[float, dict[str, float]]:
    uncertain_m = _uncertainty(record, at_s)
    if uncertain_m is None or not np.isfinite(uncertain_m):
        return LAUNCH_OFF.value, {}
    return max(LAUNCH_OFF.value, LAUNCH_UNCERTAIN.value * uncertain_m), {"uncertainty_m": uncertain_m}


def _off(x_m: float, y_m: float) -> dict[str, float]:
    return {"off_m": float(np.hypot(x_m, y_m)), "bearing_rad": float(np.remainder(np.arctan2(x_m, y_m), 2.0 * np.pi))}


def _at_point(record: FlightRecord, stored: Stored, left: tuple[float, float], start_s: float) -> Event | None:
    series, x_m, y_m = stored
    # stored while arming, before or just as it leaves the ground
    row = int(np.searchsorted(series.t_s, start_s + _SETTLED_S, side="right")) - 1
    if row < 0 or np.isnan(x_m[row]):
        return None
    values = _off(float(x_m[row]) - left[0], float(y_m[row]) - left[1])
    limit_m, more = _limit(record, start_s)
    if values["off_m"] <= limit_m:
        return None
    return Event(EventKind.LAUNCH_POINT_OFF, start_s, start_s, _NEEDS, LAUNCH_OFF.key, values | more,
                 words={"by": "point"})  # fmt: skip


def _by_distance(
    record: FlightRecord, track: Track, distance: Series, left: tuple[float, float], start_s: float, end_s: float
) -> Event | None:
    """Hold the record's own distance (and bearing) to the launch point against its position."""
    if track.east_m is None or track.north_m is None:
        return None
    inside = (track.t_s >= start_s) & (track.t_s < end_s) & ~np.isnan(track.east_m)
    t_s = track.t_s[inside]
    if t_s.size < 3:
        return None
    east, north = track.east_m[inside] - left[0], track.north_m[inside] - left[1]
    said_m = np.interp(t_s, distance.t_s, distance.values)
    far = np.maximum(said_m, np.hypot(east, north)) > LAUNCH_FAR.value
    limit_m, values = _limit(record, start_s)
    bearing = record.get(Quantity.BEARING_LAUNCH)
    channels = [distance.channel, Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE)]
    if bearing is not None and far.any():
        toward = held_at(bearing.t_s, bearing.values, t_s).astype(np.float64)
        x_m = float(np.median((east + said_m * np.sin(toward))[far]))
        y_m = float(np.median((north + said_m * np.cos(toward))[far]))
        off = np.where(far, np.hypot(x_m, y_m), 0.0)
        values, by = values | _off(x_m, y_m), "distance-and-bearing"
        channels.append(bearing.channel)
    else:
        off, by = np.abs(said_m - np.hypot(east, north)), "distance"
    spans = spans_where(off > limit_m, t_s, least_s=LAUNCH_TIME.value)
    if not spans.size:
        return None
    rows = slice(spans[0, 0], spans[-1, 1])
    if by == "distance":
        values = values | {"off_m": float(np.median(off[rows]))}
    return Event(EventKind.LAUNCH_POINT_OFF, float(t_s[spans[0, 0]]), float(t_s[spans[-1, 1] - 1]), tuple(channels),
                 LAUNCH_OFF.key, values, words={"by": by})  # fmt: skip


def _moved(flown: Flown, stored: Stored) -> list[Event]:
    """Where the stored point moves while aloft, after it was stored."""
    series, x_m, y_m = stored
    events = []
    for row in range(1, min(series.t_s.size, 1000)):
        step = _off(float(x_m[row] - x_m[row - 1]), float(y_m[row] - y_m[row - 1]))
        at_s = float(series.t_s[row])
        inside = any(phase.kind in ALOFT and phase.start_s + _SETTLED_S < at_s < phase.end_s for phase in flown.phases)
        if inside and step["off_m"] > LAUNCH_OFF.value:
            events.append(
                Event(EventKind.LAUNCH_POINT_OFF, at_s, at_s, _POINT, LAUNCH_OFF.key, step, words={"by": "moved"})
            )
    return events
