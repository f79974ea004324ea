"""A record as the plan's model flies along it: at most 400 stations of equal time, from the plan's launch point."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.place_track import Track, track_of
from turnback.assess.power_events_fit import even_means
from turnback.physics.geodesy import LOCAL_REACH_M, distance_m, east_north_m
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Flown, PhaseKind

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

MOST_STATIONS: Final = 400
LEAST_STEP_S: Final = 0.5
NEAR_M: Final = 5000.0
"""A record that stays farther from the plan's launch point than this was flown elsewhere."""
SCALE_HEIGHT_M: Final = 8434.5  # ISO 2533: R T / g at 288.15 K
STALE_STEPS: Final = 2.0
"""A channel that says nothing for this many stations, or two seconds, is not there."""
FLYING: Final = frozenset({PhaseKind.TAKE_OFF, PhaseKind.HOVER, PhaseKind.CRUISE, PhaseKind.RETURN, PhaseKind.ALOFT})


@dataclass(frozen=True, slots=True, eq=False)
class Stations:
    """Means of a record over equal steps; arrays of shape ``(n,)``, NaN where a value is not known.

    Parameters
    ----------
    t_s : ndarray
        Middle of each step, seconds of the record.
    step_s : float
    flying : ndarray of bool
        It flies, and neither falls nor lies.
    x_m, y_m : ndarray
        East and north of the launch point.
    height_m : ndarray
        Above the launch point.
    east_mps, north_mps, climb_mps : ndarray
        Over ground.
    airspeed_mps : ndarray
        Where one was recorded.
    on_site : bool
        The places count from the plan's own launch point, or the plan names none: its ground lies below them.
    """

    t_s: Floats
    step_s: float
    flying: Bools
    x_m: Floats
    y_m: Floats
    height_m: Floats
    east_mps: Floats
    north_mps: Floats
    climb_mps: Floats
    airspeed_mps: Floats
    on_site: bool

    @property
    def placed(self) -> Bools:
        """Return where place and height are known."""
        return np.isfinite(self.x_m) & np.isfinite(self.y_m) & np.isfinite(self.height_m)


def stations_of(flown: Flown, launch: tuple[float, float] | None) -> Stations | None:
    """Return the stations of a record; None where it is shorter than two steps.

    Parameters
    ----------
    flown : Flown
    launch : tuple of float or None
        Latitude and longitude of the plan's launch point, where it names one.
    """
    record = flown.record
    length_s = record.clock.length_s
    step_s = max(length_s / MOST_STATIONS, LEAST_STEP_S)
    count = int(length_s / step_s)
    if count < 2:
        return None
    t_s: Floats = (np.arange(count, dtype=np.float64) + 0.5) * step_s
    track = track_of(record)
    x_m, y_m, on_site = _places(record, track, t_s, launch)
    east, north = _velocities(track, t_s)
    height_m = heights_m(flown, t_s)
    climb = (
        np.full(count, np.nan) if track is None or track.climb_mps is None else _laid(track.t_s, track.climb_mps, t_s)
    )
    if not np.isfinite(climb).any() and np.isfinite(height_m).sum() > 2:
        climb = np.gradient(height_m, t_s)
    airspeed = record.get(Quantity.AIRSPEED)
    air_mps = np.full(count, np.nan) if airspeed is None else np.abs(means(airspeed, t_s))
    return Stations(t_s, step_s, _flying(flown, t_s), x_m, y_m, height_m, east, north, climb, air_mps, on_site)


def means(series: Series, t_s: Floats) -> Floats:
    """Return a channel's means over the steps around even times; NaN before it begins, after it ends and in gaps."""
    return _laid(series.t_s, series.values, t_s)


def _laid(own_s: Floats, values: np.ndarray, t_s: Floats) -> Floats:
    finite = np.isfinite(values)
    if not finite.any():
        return np.full(t_s.size, np.nan)
    own_s, values = own_s[finite], values[finite]
    made = even_means(own_s, values, t_s)
    after = np.clip(np.searchsorted(own_s, t_s), 0, own_s.size - 1)
    near_s = np.minimum(np.abs(own_s[after] - t_s), np.abs(own_s[np.maximum(after - 1, 0)] - t_s))
    made[near_s > max(2.0, STALE_STEPS * float(t_s[1] - t_s[0]))] = np.nan
    return made


def _flying(flown: Flown, t_s: Floats) -> Bools:
    marks = np.zeros(t_s.size, np.bool_)
    for phase in flown.phases:
        if phase.kind in FLYING:
            marks |= (t_s >= phase.start_s) & (t_s < phase.end_s)
    return marks


def _velocities(track: Track | None, t_s: Floats) -> tuple[Floats, Floats]:
    if track is None or track.speed_mps is None or track.course_rad is None:
        nothing = np.full(t_s.size, np.nan)
        return nothing, nothing.copy()
    east = _laid(track.t_s, track.speed_mps * np.sin(track.course_rad), t_s)
    return east, _laid(track.t_s, track.speed_mps * np.cos(track.course_rad), t_s)


def _places(
    record: FlightRecord, track: Track | None, t_s: Floats, launch: tuple[float, float] | None
) -> tuple[Floats, Floats, bool]:
    """Return east and north of the launch point, and whether the plan's ground lies below."""
    if track is None or track.east_m is None or track.north_m is None or track.origin is None:
        return _by_distance(record, t_s)
    x_m, y_m = _laid(track.t_s, track.east_m, t_s), _laid(track.t_s, track.north_m, t_s)
    origin, on_site = launch, True
    if launch is not None and float(distance_m(*launch, *track.origin)) > min(NEAR_M, LOCAL_REACH_M):
        origin, on_site = None, False
    if origin is None:
        origin = _stored_launch(record, track.origin)
    if origin is None:
        return x_m, y_m, on_site
    east, north = east_north_m(*track.origin, *origin)
    return x_m + float(east), y_m + float(north), on_site


def _stored_launch(record: FlightRecord, near: tuple[float, float]) -> tuple[float, float] | None:
    """Return the launch point that the record itself stores, where it lies within reach of the flight."""
    lat, lon = record.get(Quantity.LAUNCH_LATITUDE), record.get(Quantity.LAUNCH_LONGITUDE)
    if lat is None or lon is None or not lat.values.size or not lon.values.size:
        return None
    found = float(np.median(lat.values)), float(np.median(lon.values))
    if not (abs(found[0]) <= 90.0 and abs(found[1]) <= 180.0) or found == (0.0, 0.0):
        return None
    return found if float(distance_m(*found, *near)) <= min(NEAR_M, LOCAL_REACH_M) else None


def _by_distance(record: FlightRecord, t_s: Floats) -> tuple[Floats, Floats, bool]:
    """Return places told by distance and direction from the launch point; NaN without both."""
    away, toward = record.get(Quantity.DISTANCE_LAUNCH), record.get(Quantity.BEARING_LAUNCH)
    if away is None or toward is None or away.t_s.size < 2 or toward.t_s.size < 2:
        nothing = np.full(t_s.size, np.nan)
        return nothing, nothing.copy(), True
    turned = np.interp(away.t_s, toward.t_s, np.unwrap(toward.values.astype(np.float64))) + np.pi
    x_m = _laid(away.t_s, away.values * np.sin(turned), t_s)
    return x_m, _laid(away.t_s, away.values * np.cos(turned), t_s), True


def heights_m(flown: Flown, t_s: Floats) -> Floats:
    """Return heights above the launch point at even times: as recorded, else from where it first left the ground.

    Parameters
    ----------
    flown : Flown
    t_s : ndarray, shape (n,)
        Even.
    """
    record = flown.record
    height = record.get(Quantity.HEIGHT_LAUNCH)
    if height is not None and height.t_s.size > 1:
        return means(height, t_s)
    sea, pressure = record.get(Quantity.HEIGHT_SEA_LEVEL), record.get(Quantity.PRESSURE)
    if sea is not None and sea.t_s.size > 1:
        made = means(sea, t_s)
    elif pressure is not None and pressure.t_s.size > 1:
        with np.errstate(invalid="ignore", divide="ignore"):
            made = -SCALE_HEIGHT_M * np.log(means(pressure, t_s) / 101_325.0)
    else:
        return np.full(t_s.size, np.nan)
    spans = flown.aloft()
    begun = np.isfinite(made) & (t_s <= (spans[0][0] if spans else t_s[0]) + float(t_s[1] - t_s[0]))
    if not begun.any():
        begun = np.isfinite(made) & (np.cumsum(np.isfinite(made)) == 1)
    return np.asarray(made - float(np.median(made[begun])) if begun.any() else made)
