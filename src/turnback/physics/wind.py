"""Wind: with height, in gusts, along and across a track, and whether it can be beaten.

Directions are degrees clockwise from north. Wind is told by where it comes from, a track by where it goes.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within

Array = NDArray[np.float64]

FASTEST_MPS = 100.0
"""Greatest wind or airspeed taken (our choice: beyond every multirotor and all but the worst storms)."""


def _speed(name: str, value: Any) -> Array:
    return within(name, value, 0.0, FASTEST_MPS, "m/s", "enter metres per second, not km/h, as a number above zero")


def _heights(reference_m: Any, height_m: Any, roughness_m: Any) -> tuple[Array, Array, Array]:
    roughness = within("roughness_m", roughness_m, 1e-4, 2.0, "m", "enter a roughness length, not a height")
    floor = 2.0 * float(roughness.max())
    slip = "enter metres above the ground, at least twice the roughness length"
    reference = within("reference_m", reference_m, floor, 1000.0, "m", slip)
    return reference, within("height_m", height_m, floor, 5000.0, "m", slip), roughness


def wind_at_height_mps(wind_mps: Any, reference_m: Any, height_m: Any, roughness_m: Any) -> Array:
    """Return the mean wind at a height, by the logarithmic law of neutral air.

    Parameters
    ----------
    wind_mps : array_like
        Mean wind at `reference_m`, 0 to 100 m/s.
    reference_m, height_m : array_like
        Heights above ground; both at least twice the roughness length.
    roughness_m : array_like
        Roughness length, 0.0002 (water) to 2 m (town).

    Notes
    -----
    u(z) = u(r) ln(z / z0) / ln(r / z0): EN 1991-1-4, equation 4.4; Stull, An Introduction to Boundary Layer
    Meteorology, equation 9.7.1b (from memory). Above some 150 m the law overstates the wind's growth.
    """
    wind = _speed("wind_mps", wind_mps)
    reference, height, roughness = _heights(reference_m, height_m, roughness_m)
    return np.asarray(wind * np.log(height / roughness) / np.log(reference / roughness))


def turbulence_intensity(height_m: Any, roughness_m: Any) -> Array:
    """Return the standard deviation of the wind over its mean, over flat ground.

    Notes
    -----
    1 / ln(z / z0): EN 1991-1-4, equation 4.7, flat ground, turbulence factor 1.
    """
    _, height, roughness = _heights(10.0, height_m, roughness_m)
    return np.asarray(1.0 / np.log(height / roughness))


def gust_at_height_mps(wind_mps: Any, gust_mps: Any, reference_m: Any, height_m: Any, roughness_m: Any) -> Array:
    """Return the gust at a height: the mean there, and the excess of the reported gust over the reported mean.

    Parameters
    ----------
    wind_mps, gust_mps : array_like
        Mean and gust at `reference_m`; a gust below its mean counts as the mean.
    reference_m, height_m, roughness_m : array_like
        As for `wind_at_height_mps`.

    Notes
    -----
    The standard deviation of the wind does not change with height (EN 1991-1-4, equation 4.6), and a gust is the mean
    plus a fixed number of them; so the excess is carried unchanged and gust factors fall with height.
    """
    gust = _speed("gust_mps", gust_mps)
    excess = np.maximum(gust - _speed("wind_mps", wind_mps), 0.0)
    return np.asarray(wind_at_height_mps(wind_mps, reference_m, height_m, roughness_m) + excess)


def wind_along_mps(wind_mps: Any, wind_from_deg: Any, track_deg: Any) -> Array:
    """Return the wind's part along a track, positive from behind (the wind triangle)."""
    return np.asarray(-_speed("wind_mps", wind_mps) * np.cos(_off_track_rad(wind_from_deg, track_deg)))


def wind_across_mps(wind_mps: Any, wind_from_deg: Any, track_deg: Any) -> Array:
    """Return the wind's part across a track, positive when it blows from the right (the wind triangle)."""
    return np.asarray(_speed("wind_mps", wind_mps) * np.sin(_off_track_rad(wind_from_deg, track_deg)))


def _off_track_rad(wind_from_deg: Any, track_deg: Any) -> Array:
    origin = within("wind_from_deg", wind_from_deg, -720.0, 720.0, "°")
    return np.asarray(np.deg2rad(origin - within("track_deg", track_deg, -720.0, 720.0, "°")))


def ground_speed_mps(airspeed_mps: Any, along_mps: Any, cross_mps: Any) -> Array:
    """Return ground speed along a held track; NaN where the wind cannot be beaten.

    Parameters
    ----------
    airspeed_mps : array_like
        0 to 100 m/s.
    along_mps : array_like
        Wind along the track, positive from behind.
    cross_mps : array_like
        Wind across the track, either sign.

    Notes
    -----
    The wind triangle: sqrt(v² - w_cross²) + w_along.
    """
    along = within("along_mps", along_mps, -FASTEST_MPS, FASTEST_MPS, "m/s")
    cross = within("cross_mps", cross_mps, -FASTEST_MPS, FASTEST_MPS, "m/s")
    square = _speed("airspeed_mps", airspeed_mps) ** 2 - cross**2
    speed = np.sqrt(np.maximum(square, 0.0)) + along
    return np.where((square > 0.0) & (speed > 0.0), speed, np.nan)


def ground_speed_on_track_mps(airspeed_mps: Any, wind_mps: Any, wind_from_deg: Any, track_deg: Any) -> Array:
    """Return ground speed along a track from the wind's speed and direction; NaN where it cannot be beaten.

    Parameters
    ----------
    airspeed_mps, wind_mps : array_like
        0 to 100 m/s.
    wind_from_deg, track_deg : array_like
        Degrees clockwise from north.

    Notes
    -----
    The wind triangle, see `ground_speed_mps`.
    """
    along = wind_along_mps(wind_mps, wind_from_deg, track_deg)
    return ground_speed_mps(airspeed_mps, along, wind_across_mps(wind_mps, wind_from_deg, track_deg))


def drift_correction_deg(airspeed_mps: Any, wind_mps: Any, wind_from_deg: Any, track_deg: Any) -> Array:
    """Return by how much the heading must lead the track, positive to the right; NaN where the track cannot be held.

    Notes
    -----
    asin(w_cross / v), the wind triangle.
    """
    airspeed = _speed("airspeed_mps", airspeed_mps)
    cross = wind_across_mps(wind_mps, wind_from_deg, track_deg)
    held = np.abs(cross) <= airspeed
    ratio = np.divide(cross, airspeed, out=np.zeros(np.broadcast(cross, airspeed).shape), where=held & (airspeed > 0.0))
    return np.where(held, np.rad2deg(np.arcsin(np.clip(ratio, -1.0, 1.0))), np.nan)


def beatable_headwind_mps(airspeed_mps: Any, least_ground_speed_mps: Any) -> Array:
    """Return the greatest headwind that leaves a ground speed: v - least (the wind triangle, no cross wind)."""
    airspeed = _speed("airspeed_mps", airspeed_mps)
    return np.maximum(airspeed - _speed("least_ground_speed_mps", least_ground_speed_mps), 0.0)


def beatable_wind_mps(airspeed_mps: Any, least_ground_speed_mps: Any, wind_from_deg: Any, track_deg: Any) -> Array:
    """Return the greatest wind of a direction against which a ground speed is kept along a track.

    Parameters
    ----------
    airspeed_mps, least_ground_speed_mps : array_like
        0 to 100 m/s. NaN is returned where the airspeed is below the least ground speed, infinity straight downwind.
    wind_from_deg, track_deg : array_like
        Degrees clockwise from north.

    Notes
    -----
    The wind triangle solved for the wind: g cos θ + sqrt(v² - g² sin² θ), θ between track and where the wind goes. With
    wind from behind, ground speed first grows with the wind and the track is lost only where w |sin θ| reaches v.
    """
    airspeed = _speed("airspeed_mps", airspeed_mps)
    least = _speed("least_ground_speed_mps", least_ground_speed_mps)
    off = _off_track_rad(wind_from_deg, track_deg)
    helps, across = -np.cos(off), np.abs(np.sin(off))
    root = least * helps + np.sqrt(np.maximum(airspeed**2 - (least * across) ** 2, 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        lost = np.where(across > 1e-12, airspeed / across, np.inf)
    wind = np.where(airspeed * helps >= least * across, lost, root)
    return np.where(airspeed >= least, wind, np.nan)
