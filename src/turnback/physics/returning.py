"""Returning: how far out the energy, or the time, still brings the aircraft home."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within
from turnback.physics.wind import ground_speed_on_track_mps

Array = NDArray[np.float64]


def _energy(name: str, value: Any) -> Array:
    return within(name, value, 0.0, 1e8, "J", "enter joules: 1 Wh is 3600 J")


def _power(name: str, value: Any) -> Array:
    return within(name, value, 0.1, 1e5, "W", "enter watts at the pack")


def _ground(name: str, value: Any) -> Array:
    """Return a ground speed; NaN means a wind that cannot be beaten, and is kept."""
    speed = np.asarray(value, dtype=np.float64)
    verified = within(name, np.where(np.isnan(speed), 1.0, speed), 0.0, 200.0, "m/s", "enter metres per second")
    return np.where(np.isnan(speed) | (verified <= 0.0), np.nan, verified)


def point_of_no_return_s(endurance_s: Any, out_ground_mps: Any, home_ground_mps: Any) -> Array:
    """Return the time out after which there is no time to get home; 0 where home cannot be reached.

    Parameters
    ----------
    endurance_s : array_like
        Time in the air without the reserve, 0 to 1,000,000 s.
    out_ground_mps, home_ground_mps : array_like
        Ground speeds, 0 to 200 m/s; NaN where the wind cannot be beaten.

    Notes
    -----
    E H / (O + H), the navigator's rule (airline navigation handbooks).
    """
    endurance = within("endurance_s", endurance_s, 0.0, 1e6, "s", "enter seconds, not minutes")
    out = _ground("out_ground_mps", out_ground_mps)
    home = _ground("home_ground_mps", home_ground_mps)
    return np.nan_to_num(endurance * home / (out + home), nan=0.0)


def point_of_no_return_m(endurance_s: Any, out_ground_mps: Any, home_ground_mps: Any) -> Array:
    """Return the distance out of `point_of_no_return_s`: time out times ground speed out (same source)."""
    out = np.nan_to_num(_ground("out_ground_mps", out_ground_mps), nan=0.0)
    return np.asarray(point_of_no_return_s(endurance_s, out_ground_mps, home_ground_mps) * out)


def energy_for_way_j(distance_m: Any, power_w: Any, ground_mps: Any) -> Array:
    """Return the energy of a straight way, P d / g; infinite where the wind cannot be beaten.

    Parameters
    ----------
    distance_m : array_like
        0 to 200,000 m.
    power_w : array_like
        At the pack, 0.1 to 100,000 W.
    ground_mps : array_like
        0 to 200 m/s; NaN where the wind cannot be beaten.

    Notes
    -----
    Energy is power times time (definition).
    """
    distance = within("distance_m", distance_m, 0.0, 200_000.0, "m", "enter metres, not km")
    energy = _power("power_w", power_w) * distance / _ground("ground_mps", ground_mps)
    return np.nan_to_num(energy, nan=np.inf)


def turn_back_distance_m(
    energy_j: Any,
    out_power_w: Any,
    out_ground_mps: Any,
    home_power_w: Any,
    home_ground_mps: Any,
    climb_j: Any = 0.0,
    reserve_j: Any = 0.0,
) -> Array:
    """Return the greatest distance out from which the energy still brings the aircraft home; 0 where none does.

    Parameters
    ----------
    energy_j : array_like
        That the pack gives down to the land-by volts, 0 to 1e8 J.
    out_power_w, home_power_w : array_like
        At the pack, 0.1 to 100,000 W.
    out_ground_mps, home_ground_mps : array_like
        0 to 200 m/s; NaN where the wind cannot be beaten (`turnback.physics.wind`), then the answer is 0.
    climb_j, reserve_j : array_like
        Spent on climb and descent; kept for landing.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    d = (E - E_climb - E_reserve) / (P_out / g_out + P_home / g_home): energy out plus energy home is energy to spend.
    """
    spend = _energy("energy_j", energy_j) - _energy("climb_j", climb_j) - _energy("reserve_j", reserve_j)
    out = _power("out_power_w", out_power_w) / _ground("out_ground_mps", out_ground_mps)
    home = _power("home_power_w", home_power_w) / _ground("home_ground_mps", home_ground_mps)
    return np.nan_to_num(np.maximum(spend, 0.0) / (out + home), nan=0.0)


def turn_back_distance_in_wind_m(
    energy_j: Any,
    out_power_w: Any,
    home_power_w: Any,
    airspeed_mps: Any,
    wind_mps: Any,
    wind_from_deg: Any,
    track_out_deg: Any,
    climb_j: Any = 0.0,
    reserve_j: Any = 0.0,
) -> Array:
    """Return `turn_back_distance_m` from wind and the track out; the way home is the track reversed.

    Parameters
    ----------
    airspeed_mps, wind_mps : array_like
        0 to 100 m/s; wind at the height flown, airspeed the same both ways.
    wind_from_deg, track_out_deg : array_like
        Degrees clockwise from north.

    Notes
    -----
    Ground speeds by the wind triangle, see `turnback.physics.wind.ground_speed_on_track_mps`.
    """
    track = within("track_out_deg", track_out_deg, -360.0, 360.0, "°")
    out = ground_speed_on_track_mps(airspeed_mps, wind_mps, wind_from_deg, track)
    home = ground_speed_on_track_mps(airspeed_mps, wind_mps, wind_from_deg, track + 180.0)
    return turn_back_distance_m(energy_j, out_power_w, out, home_power_w, home, climb_j, reserve_j)


def time_home_s(distance_m: Any, ground_mps: Any) -> Array:
    """Return the time of the automatic return's straight line, d / g; infinite where the wind cannot be beaten.

    Parameters
    ----------
    distance_m : array_like
        0 to 200,000 m.
    ground_mps : array_like
        0 to 200 m/s; NaN where the wind cannot be beaten.

    Notes
    -----
    Time is distance over speed (definition).
    """
    distance = within("distance_m", distance_m, 0.0, 200_000.0, "m", "enter metres, not km")
    return np.nan_to_num(distance / _ground("ground_mps", ground_mps), nan=np.inf)


def headwind_home_mps(energy_j: Any, distance_m: Any, power_w: Any, airspeed_mps: Any) -> Array:
    """Return the greatest headwind in which the energy left still carries the aircraft home; 0 where none does.

    Parameters
    ----------
    energy_j : array_like
        Left for the way home, above the reserve, 0 to 1e8 J.
    distance_m : array_like
        0 to 200,000 m.
    power_w : array_like
        At the pack, at that airspeed, 0.1 to 100,000 W.
    airspeed_mps : array_like
        Greatest airspeed the return flies, 0 to 100 m/s.

    Notes
    -----
    w = v - P d / E, from d = E (v - w) / P.
    """
    distance = within("distance_m", distance_m, 0.0, 200_000.0, "m", "enter metres, not km")
    airspeed = within("airspeed_mps", airspeed_mps, 0.0, 100.0, "m/s", "enter metres per second, not km/h")
    energy = _energy("energy_j", energy_j)
    with np.errstate(divide="ignore", invalid="ignore"):
        slowest = np.where(distance > 0.0, _power("power_w", power_w) * distance / energy, 0.0)
    return np.maximum(airspeed - slowest, 0.0)
