"""Where it was and how it moved over ground, at the rate at which a record really tells it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import Times
from turnback.physics.geodesy import LOCAL_REACH_M, distance_m, east_north_m
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series

Floats = NDArray[np.float64]
_MOST_HZ = 10.0


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A track at at most 10 rows a second; arrays of shape (n,), NaN where a value is not there.

    Parameters
    ----------
    t_s : ndarray
    rate_hz : float
        How often it tells something new.
    east_m, north_m : ndarray or None
        From `origin`.
    origin : tuple of float or None
        Latitude and longitude of the first position.
    speed_mps, course_rad, climb_mps : ndarray or None
        Over ground; course clockwise from north.
    speed_from : tuple of Channel
        What the speed was taken from.
    """

    t_s: Times
    rate_hz: float
    east_m: Floats | None
    north_m: Floats | None
    origin: tuple[float, float] | None
    speed_mps: Floats | None
    course_rad: Floats | None
    climb_mps: Floats | None
    speed_from: tuple[Channel, ...]

    def place_m(self, at_s: float) -> tuple[float, float] | None:
        """East and north at a time; None where no position lies within two seconds or three rows."""
        if self.east_m is None or self.north_m is None:
            return None
        known = np.flatnonzero(~np.isnan(self.east_m))
        if not known.size:
            return None
        near_s = float(np.min(np.abs(self.t_s[known] - at_s)))
        if near_s > max(2.0, 3.0 / self.rate_hz):
            return None
        return (
            float(np.interp(at_s, self.t_s[known], self.east_m[known])),
            float(np.interp(at_s, self.t_s[known], self.north_m[known])),
        )


def track_of(record: FlightRecord) -> Track | None:
    """Return the track of a record; None where it has neither position nor speed over ground."""
    lat, lon = record.get(Quantity.LATITUDE), record.get(Quantity.LONGITUDE)
    speed, course = record.get(Quantity.GROUND_SPEED), record.get(Quantity.COURSE)
    north, east = record.get(Quantity.VELOCITY_NORTH), record.get(Quantity.VELOCITY_EAST)
    placed = lat is not None and lon is not None and lat.t_s.size > 1
    base = next((each for each in (north if east is not None else None, speed, lat if placed else None)
                 if each is not None and each.t_s.size > 1), None)  # fmt: skip
    if base is None:
        return None
    # a speed that is held changes seldom: what changes most often tells how often the receiver speaks
    fresh_hz = max(each.fresh_hz for each in (lat, lon, speed, course, north, east) if each is not None)
    rate_hz = min(fresh_hz if fresh_hz > 0.0 else base.rate_hz, base.rate_hz, _MOST_HZ)
    t_s = _thinned(base, rate_hz)
    climb = record.get(Quantity.CLIMB_RATE)
    down = record.get(Quantity.VELOCITY_DOWN)
    climb_mps = _at(climb, t_s) if climb is not None else (-_at(down, t_s) if down is not None else None)
    x_m = y_m = origin = None
    if placed and lat is not None and lon is not None:
        x_m, y_m, origin = _plane(lat, lon, t_s)
    if north is not None and east is not None:
        v_n, v_e = _at(north, t_s), _at(east, t_s)
        told = (north.channel, east.channel)
        return Track(t_s, rate_hz, x_m, y_m, origin, np.hypot(v_n, v_e), np.arctan2(v_e, v_n), climb_mps, told)
    speed_mps = None if speed is None else np.abs(_at(speed, t_s))
    course_rad = None if course is None else _held(course, t_s)
    channels: tuple[Channel, ...] = () if speed is None else (speed.channel,)
    if x_m is not None and y_m is not None and (speed_mps is None or course_rad is None) and t_s.size > 2:
        v_e, v_n = _slope(x_m, t_s), _slope(y_m, t_s)
        speed_mps = np.hypot(v_e, v_n) if speed_mps is None else speed_mps
        course_rad = np.arctan2(v_e, v_n) if course_rad is None else course_rad
        channels = channels or (Channel(Quantity.LATITUDE), Channel(Quantity.LONGITUDE))
    return Track(t_s, rate_hz, x_m, y_m, origin, speed_mps, course_rad, climb_mps, channels)


def _thinned(series: Series, rate_hz: float) -> Times:
    """Rows of a channel no closer together than it tells something new: the first row of each new value's time."""
    every = max(1, round(series.rate_hz / rate_hz))
    return series.t_s[::every]


def _slope(values: Floats, t_s: Times) -> Floats:
    return np.asarray(np.gradient(values, t_s), np.float64)


def _stale(series: Series, t_s: Times) -> NDArray[np.bool_]:
    before = np.clip(np.searchsorted(series.t_s, t_s, side="right") - 1, 0, series.t_s.size - 1)
    after = np.minimum(before + 1, series.t_s.size - 1)
    near_s = np.minimum(np.abs(t_s - series.t_s[before]), np.abs(series.t_s[after] - t_s))
    return np.asarray(near_s > max(2.0, 3.0 / series.rate_hz if series.rate_hz > 0.0 else 0.0), np.bool_)


def _at(series: Series, t_s: Times) -> Floats:
    """Values at times, some of which may be the channel's own rows; between rows a straight line."""
    rows = np.minimum(np.searchsorted(series.t_s, t_s), series.t_s.size - 1)
    if bool((series.t_s[rows] == t_s).all()):
        return np.asarray(series.values[rows], np.float64)
    made = np.interp(t_s, series.t_s, series.values)
    made[_stale(series, t_s)] = np.nan
    return np.asarray(made, np.float64)


def _held(series: Series, t_s: Times) -> Floats:
    """Nearest value: angles must not be drawn through."""
    after = np.clip(np.searchsorted(series.t_s, t_s), 0, series.t_s.size - 1)
    before = np.maximum(after - 1, 0)
    nearer = np.where(np.abs(series.t_s[after] - t_s) <= np.abs(t_s - series.t_s[before]), after, before)
    made = series.values[nearer].astype(np.float64)
    made[_stale(series, t_s)] = np.nan
    return np.asarray(made, np.float64)


def _plane(lat: Series, lon: Series, t_s: Times) -> tuple[Floats | None, Floats | None, tuple[float, float] | None]:
    """East and north of the first good position; positions that cannot be of this flight are NaN."""
    lat_deg, lon_deg = _at(lat, t_s), _at(lon, t_s)
    good = ~np.isnan(lat_deg) & ~np.isnan(lon_deg) & (np.abs(lat_deg) <= 90.0) & (np.abs(lon_deg) <= 360.0)
    good &= (np.abs(lat_deg) > 1e-9) | (np.abs(lon_deg) > 1e-9)  # 0, 0 is how receivers write "no fix"
    if good.sum() < 2:
        return None, None, None
    middle = float(np.median(lat_deg[good])), float(np.median(lon_deg[good]))
    near = (
        good
        & (np.abs(lat_deg - middle[0]) < 1.0)
        & (np.abs(lon_deg - middle[1]) < 1.0 / np.cos(np.radians(min(abs(middle[0]), 89.0))))
    )
    if near.sum() < 2:
        return None, None, None
    first = int(np.flatnonzero(near)[0])
    origin = float(lat_deg[first]), float(lon_deg[first])
    x_m, y_m = np.full(t_s.size, np.nan), np.full(t_s.size, np.nan)
    away = distance_m(lat_deg[near], lon_deg[near], *origin) <= LOCAL_REACH_M
    rows = np.flatnonzero(near)[away]
    x_m[rows], y_m[rows] = east_north_m(lat_deg[rows], lon_deg[rows], *origin)
    return x_m, y_m, origin
