"""The control link as one frame: level, distance and direction toward the radio, ten times a second while it flew."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_median import running_median
from turnback.assess.link_events_parts import inside, odd_width, spans_looked_at, thinned
from turnback.assess.place_track import track_of
from turnback.assess.signals import held_at
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import EventKind
from turnback.rules.record_signs_link import NO_LEVEL

Floats = NDArray[np.float64]

FRAME_HZ: Final = 10.0
SMOOTH_S: Final = 0.5
NEAREST_M: Final = 12.0
"""Nearer than this the pattern of antennas and the error of the launch point rule the level."""
FEWEST: Final = 60
NO_LEVEL_DBM: Final = -1.0
SILENT_S: Final = 1.5
STANDS_DB: Final = 1.5
REPEATED_S: Final = 0.9
STEEPEST: Final = np.sin(np.radians(40.0))
"""Above this angle it is nearly overhead: every upright antenna is blind there, so nothing is learned from it."""


@dataclass(frozen=True, slots=True, eq=False)
class LinkFrame:
    """One level of the control link while it flew, before anything had ended; rows where there is a level.

    Parameters
    ----------
    series : Series
    t_s, level_dbm : ndarray, shape (n,)
        Smoothed over half a second.
    away_m : ndarray, shape (n,) or None
        From the launch point, slant.
    height_m : ndarray, shape (n,) or None
    east_m, north_m : ndarray, shape (n,) or None
        From the launch point.
    speed_mps : ndarray, shape (n,) or None
        Over ground.
    toward : ndarray, shape (n, 3) or None
        Unit vector toward the radio, in body axes.
    keep : ndarray of bool, shape (n,)
        Far enough, and not nearly overhead.
    """

    series: Series
    t_s: Floats
    level_dbm: Floats
    away_m: Floats | None
    height_m: Floats | None
    east_m: Floats | None
    north_m: Floats | None
    speed_mps: Floats | None
    toward: Floats | None
    keep: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class _Place:
    """Where it is from the launch point; arrays of shape (n,) or None."""

    east_m: Floats | None
    north_m: Floats | None
    flat_m: Floats | None
    speed_mps: Floats | None


def link_frame(looked: Looked, level: Quantity) -> LinkFrame | None:
    """Return the frame of one level; None where it is not recorded, or for too short a time.

    Parameters
    ----------
    looked : Looked
    level : Quantity
        `Quantity.LINK_LEVEL` or `Quantity.LINK_LEVEL_BACK`.
    """
    flown = looked.answer.flown
    series = flown.record.get(level)
    if series is None or series.t_s.size < FEWEST:
        return None
    t_s, level_dbm = thinned(series, FRAME_HZ)
    events = looked.answer.events
    lost = [(each.start_s, each.end_s) for each in events if each.kind is EventKind.LINK_LOST]
    keep = inside(t_s, spans_looked_at(flown)) & (t_s <= looked.ended_s)
    keep &= (level_dbm < NO_LEVEL_DBM) & (level_dbm > NO_LEVEL.value)
    for start_s, end_s in lost:
        rows = slice(*np.searchsorted(t_s, [start_s, end_s]))
        # some receivers go on measuring what is on the air; a value that only stands there is no level
        if rows.stop > rows.start and float(np.ptp(level_dbm[rows])) < STANDS_DB:
            keep[rows] = False
        keep[rows] &= ~_stands(t_s[rows], level_dbm[rows])
    if np.count_nonzero(keep) < FEWEST:
        return None
    t_s, level_dbm = t_s[keep], level_dbm[keep]
    level_dbm = running_median(level_dbm, odd_width(t_s, SMOOTH_S, 3))
    record = flown.record
    height_m = _height_m(record, t_s)
    silent = [(each.start_s, each.end_s) for each in events
              if each.kind is EventKind.CHANNELS_FROZEN and each.words.get("what") == "position"]  # fmt: skip
    place = _between_news(_place(record, t_s), t_s, silent)
    away_m = None if place.flat_m is None else np.hypot(place.flat_m, 0.0 if height_m is None else height_m)
    usable = np.ones(t_s.size, np.bool_)
    if away_m is not None:
        usable &= away_m > NEAREST_M
        if height_m is not None:
            usable &= height_m < STEEPEST * np.maximum(away_m, 1.0)
    toward = _toward(record, t_s, place, height_m)
    return LinkFrame(
        series, t_s, level_dbm, away_m, height_m, place.east_m, place.north_m, place.speed_mps, toward, usable
    )


def _stands(t_s: Floats, values: Floats) -> NDArray[np.bool_]:
    """Rows of runs in which a value does not change for longer than a level ever does: it is only repeated."""
    edges = np.flatnonzero(np.diff(values) != 0.0) + 1
    marks = np.zeros(values.size, np.bool_)
    for rows in np.split(np.arange(values.size), edges):
        if rows.size and t_s[rows[-1]] - t_s[rows[0]] >= REPEATED_S:
            marks[rows[1:]] = True  # the first of them was news
    return marks


def _between_news(place: _Place, t_s: Floats, silent: list[tuple[float, float]]) -> _Place:
    """Return a place that goes evenly from the last to the next one heard, where a radio heard none in between."""
    known = ~inside(t_s, silent)
    if known.all() or not known.any():
        return place
    east_m, north_m, flat_m = (
        None if each is None else np.interp(t_s, t_s[known], each[known])
        for each in (place.east_m, place.north_m, place.flat_m)
    )
    if east_m is not None and north_m is not None:
        flat_m = np.hypot(east_m, north_m)
    return _Place(east_m, north_m, flat_m, place.speed_mps)


def falls_silent(frame: LinkFrame) -> bool:
    """Tell whether a level is missing for a while between others: what fell out of hearing left no shape.

    Parameters
    ----------
    frame : LinkFrame
    """
    return frame.t_s.size > 1 and float(np.max(np.diff(frame.t_s))) > SILENT_S


def _one(record: FlightRecord, quantity: Quantity, at_s: Floats) -> Floats | None:
    series = record.get(quantity)
    return None if series is None else held_at(series.t_s, series.values, at_s).astype(np.float64)


def _height_m(record: FlightRecord, at_s: Floats) -> Floats | None:
    """Return the height above launch, or above where the record begins."""
    over_launch = _one(record, Quantity.HEIGHT_LAUNCH, at_s)
    if over_launch is not None:
        return over_launch
    sea = record.get(Quantity.HEIGHT_SEA_LEVEL)
    seen = _one(record, Quantity.HEIGHT_SEA_LEVEL, at_s)
    return None if sea is None or seen is None else seen - float(sea.values[0])


def _place(record: FlightRecord, at_s: Floats) -> _Place:
    """Return the place from where it took off, by position or by distance."""
    track = track_of(record)
    speed_mps = None
    if track is not None and track.speed_mps is not None:
        speed_mps = _between(track.t_s, track.speed_mps, at_s)
    if track is not None and track.east_m is not None and track.north_m is not None and track.origin is not None:
        east_m, north_m = (_between(track.t_s, each, at_s) for each in (track.east_m, track.north_m))
        if east_m is not None and north_m is not None:
            east_0, north_0 = _launch(record, track.origin)
            east_m, north_m = east_m - east_0, north_m - north_0
            return _Place(east_m, north_m, np.hypot(east_m, north_m), speed_mps)
    flat_m = _one(record, Quantity.DISTANCE_LAUNCH, at_s)
    bearing = _one(record, Quantity.BEARING_LAUNCH, at_s)
    if flat_m is None or bearing is None:
        return _Place(None, None, flat_m, speed_mps)
    return _Place(-flat_m * np.sin(bearing), -flat_m * np.cos(bearing), flat_m, speed_mps)


def _launch(record: FlightRecord, origin: tuple[float, float]) -> tuple[float, float]:
    """Return where the pilot stands, from the first position: there, unless the record begins in the air."""
    distance = record.get(Quantity.DISTANCE_LAUNCH)
    stored = [record.get(each) for each in (Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE)]
    height = record.get(Quantity.HEIGHT_LAUNCH)
    begins_far = distance is not None and distance.values.size > 0 and float(distance.values[0]) > NEAREST_M
    begins_high = height is not None and height.values.size > 0 and float(height.values[0]) > 3.0
    if not (begins_far and begins_high) or any(each is None or not each.values.size for each in stored):
        return 0.0, 0.0
    latitude, longitude = (float(each.values[-1]) for each in stored if each is not None)
    north_m = 111_320.0 * (latitude - origin[0])
    return 111_320.0 * float(np.cos(np.radians(origin[0]))) * (longitude - origin[1]), north_m


def _between(t_s: Floats, values: Floats, at_s: Floats) -> Floats | None:
    known = ~np.isnan(values)
    return np.interp(at_s, t_s[known], values[known]) if np.count_nonzero(known) > 1 else None


def _toward(record: FlightRecord, at_s: Floats, place: _Place, height_m: Floats | None) -> Floats | None:
    """Return the unit vectors toward the radio in body axes (ISO 1151: yaw, pitch, roll); None without a heading."""
    heading = record.get(Quantity.HEADING)
    if heading is None or place.east_m is None or place.north_m is None:
        return None
    yaw = held_at(heading.t_s, heading.values, at_s).astype(np.float64)
    still = np.zeros(at_s.size)
    roll = _one(record, Quantity.ROLL, at_s)
    pitch = _one(record, Quantity.PITCH, at_s)
    roll, pitch = (still if each is None else each for each in (roll, pitch))
    down_m = still if height_m is None else height_m
    north, east = -place.north_m, -place.east_m
    ahead = north * np.cos(yaw) + east * np.sin(yaw)
    right = east * np.cos(yaw) - north * np.sin(yaw)
    x = ahead * np.cos(pitch) - down_m * np.sin(pitch)
    low = ahead * np.sin(pitch) + down_m * np.cos(pitch)
    y = right * np.cos(roll) + low * np.sin(roll)
    z = low * np.cos(roll) - right * np.sin(roll)
    vectors = np.stack([x, y, z], axis=1)
    result: Floats = vectors / np.maximum(np.linalg.norm(vectors, axis=1), 1e-6)[:, None]
    return result


def smoothed_while_flown(series: Series, looked: Looked, seconds: float = 1.0) -> tuple[Floats, Floats]:
    """Return a share of packets over whole seconds while it flew, up to the end."""
    t_s, share = thinned(series, 10.0)
    width = max(1, round(seconds / max(float(np.median(np.diff(t_s))), 1e-3))) if t_s.size > 1 else 1
    if t_s.size > width:
        share = np.convolve(np.pad(share, (width // 2, width - 1 - width // 2), mode="edge"), np.ones(width) / width,
                            mode="valid")  # fmt: skip
    keep = inside(t_s, spans_looked_at(looked.answer.flown)) & (t_s <= looked.ended_s - 0.3)
    return t_s[keep], share[keep]
