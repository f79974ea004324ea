"""The few figures of a record that its first lines tell: how long, how high, how far, when it flew; and its track."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import held_at, rows_between
from turnback.physics.geodesy import east_north_m
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Flown

Array = NDArray[np.float64]
MOST_TRACK: Final = 600
"""Places of a track that are kept in files."""


@dataclass(frozen=True, slots=True)
class FlightFigures:
    """Figures of a flight.

    Parameters
    ----------
    aloft : tuple of (float, float)
        Spans in the air, seconds of the record.
    aloft_s : float
        In the air in all.
    top_m : float or None
        Greatest height above where it took off, or above launch where the record says that.
    far_m : float or None
        Greatest distance from launch.
    """

    aloft: tuple[tuple[float, float], ...]
    aloft_s: float
    top_m: float | None
    far_m: float | None


@dataclass(frozen=True, slots=True, eq=False)
class RecordTrack:
    """Where it flew, thinned.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        Of the launch point: where it first was in the air, or first had a position.
    t_s, x_m, y_m : ndarray, shape (n,)
        Seconds of the record; metres east and north of the launch point.
    stored_x_m, stored_y_m : float or None
        The launch point that the record itself stores.
    """

    latitude_deg: float
    longitude_deg: float
    t_s: Array
    x_m: Array
    y_m: Array
    stored_x_m: float | None = None
    stored_y_m: float | None = None


def figures(flown: Flown) -> FlightFigures:
    """Return the figures of a flight."""
    aloft = flown.aloft()
    height = height_of(flown.record, aloft)
    top = None if height is None or not aloft else _most(height, aloft)
    return FlightFigures(aloft, sum(end - start for start, end in aloft), top, _far(flown, aloft))


def height_of(record: FlightRecord, aloft: tuple[tuple[float, float], ...]) -> Series | None:
    """Return the height above launch: as recorded, else above sea level less that at the first take-off."""
    height = record.get(Quantity.HEIGHT_LAUNCH)
    if height is not None and height.values.size:
        return height
    height = record.get(Quantity.HEIGHT_SEA_LEVEL)
    if height is None or not height.values.size:
        return None
    start = held_at(height.t_s, height.values, np.array([aloft[0][0] if aloft else height.t_s[0]]))[0]
    return Series(height.channel, height.t_s, height.values - start, height.rate_hz, height.fresh_hz)


def track_of(flown: Flown) -> RecordTrack | None:
    """Return where it flew, or None where the record has no positions."""
    latitude, longitude = flown.record.get(Quantity.LATITUDE), flown.record.get(Quantity.LONGITUDE)
    if latitude is None or longitude is None or not latitude.values.size or not longitude.values.size:
        return None
    t_s = latitude.t_s
    kept = np.unique(np.linspace(0, t_s.size - 1, min(t_s.size, MOST_TRACK)).astype(np.intp))
    at_s, lat = t_s[kept], latitude.values[kept].astype(np.float64)
    lon = held_at(longitude.t_s, longitude.values, at_s).astype(np.float64)
    aloft = flown.aloft()
    first = min(int(np.searchsorted(at_s, aloft[0][0])), at_s.size - 1) if aloft else 0
    origin = float(lat[first]), float(lon[first])
    x_m, y_m = east_north_m(lat, lon, *origin)
    stored = _stored(flown.record, origin)
    return RecordTrack(*origin, at_s, np.asarray(x_m), np.asarray(y_m), *stored)


def _stored(record: FlightRecord, origin: tuple[float, float]) -> tuple[float | None, float | None]:
    lat, lon = record.get(Quantity.LAUNCH_LATITUDE), record.get(Quantity.LAUNCH_LONGITUDE)
    if lat is None or lon is None or not lat.values.size or not lon.values.size:
        return None, None
    x_m, y_m = east_north_m(float(lat.values[-1]), float(lon.values[-1]), *origin)
    return float(x_m), float(y_m)


def _most(series: Series, spans: tuple[tuple[float, float], ...]) -> float | None:
    tops = [series.values[rows_between(series.t_s, start, end)] for start, end in spans]
    tops = [each for each in tops if each.size]
    return max(float(each.max()) for each in tops) if tops else None


def _far(flown: Flown, aloft: tuple[tuple[float, float], ...]) -> float | None:
    distance = flown.record.get(Quantity.DISTANCE_LAUNCH)
    if not aloft:
        return None
    if distance is not None and distance.values.size:
        return _most(distance, aloft)
    track = track_of(flown)
    if track is None:
        return None
    inside = np.zeros(track.t_s.size, dtype=bool)
    for start, end in aloft:
        inside[rows_between(track.t_s, start, end)] = True
    return float(np.hypot(track.x_m, track.y_m)[inside].max()) if inside.any() else None
