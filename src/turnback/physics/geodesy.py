"""Places on the WGS-84 ellipsoid: geodesic distance and bearing, and local metres around a launch point.

Local metres are the ellipsoidal azimuthal equidistant plane: a place `distance` away on `bearing` lies at
``east = distance * sin(bearing)``, ``north = distance * cos(bearing)``. Every distance and bearing from the launch
point is therefore exact, which is what a flight out and back asks for; across the line of sight, lengths are stretched
by d^2 / (6 R^2): 2 parts in a million at 20 km.

Source: Vincenty, Direct and inverse solutions of geodesics on the ellipsoid, Survey Review 23(176), 1975,
equations 2 to 11 (direct) and 13 to 20 (inverse). His series is good to about 0.1 mm.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.base.ranges import within

Floats = NDArray[np.float64]

SEMI_MAJOR_M: Final = 6_378_137.0  # WGS-84, exact by definition
FLATTENING: Final = 1.0 / 298.257223563  # WGS-84, exact by definition
SEMI_MINOR_M: Final = SEMI_MAJOR_M * (1.0 - FLATTENING)
LOCAL_REACH_M: Final = 200_000.0  # our choice: ten times the longest flight thought of; farther is a slip of the pen

_SECOND_ECCENTRICITY_SQ: Final = (SEMI_MAJOR_M**2 - SEMI_MINOR_M**2) / SEMI_MINOR_M**2
_MOST_STEPS: Final = 60  # ordinary pairs settle in under 8; nearly opposite points never do
_SETTLED_RAD: Final = 1e-13  # 0.6 micrometres on the ground
_LONGEST_GEODESIC_M: Final = 20_003_932.0  # half a meridian, WGS-84
_SWAPPED: Final = "enter degrees, latitude first: the two are often swapped"


def distance_m(lat_from_deg: Any, lon_from_deg: Any, lat_to_deg: Any, lon_to_deg: Any) -> Floats:
    """Return the geodesic distance between places.

    Parameters
    ----------
    lat_from_deg, lon_from_deg, lat_to_deg, lon_to_deg : float or array_like
        WGS-84 degrees, any shapes that broadcast; latitude -90 to 90, longitude -360 to 360.

    Returns
    -------
    ndarray
        Metres along the ellipsoid.

    Raises
    ------
    InputError
        Outside those ranges, or for nearly opposite points of the Earth, where the series does not settle.

    Notes
    -----
    Vincenty 1975, equations 13 to 20.
    """
    return _inverse(lat_from_deg, lon_from_deg, lat_to_deg, lon_to_deg)[0]


def bearing_deg(lat_from_deg: Any, lon_from_deg: Any, lat_to_deg: Any, lon_to_deg: Any) -> Floats:
    """Return the geodesic bearing at the first place toward the second, 0 to 360 degrees from true north.

    Parameters, errors and source are those of `distance_m`. Of a place to itself it is 0.
    """
    return np.degrees(_inverse(lat_from_deg, lon_from_deg, lat_to_deg, lon_to_deg)[1]) % 360.0


def destination_lat_lon_deg(
    lat_deg: Any, lon_deg: Any, on_bearing_deg: Any, after_distance_m: Any
) -> tuple[Floats, Floats]:
    """Return the place reached along a geodesic.

    Parameters
    ----------
    lat_deg, lon_deg : float or array_like
        The start, WGS-84 degrees.
    on_bearing_deg : float or array_like
        Degrees from true north at the start, -360 to 360.
    after_distance_m : float or array_like
        Metres, 0 to half a meridian.

    Returns
    -------
    tuple of ndarray
        Latitude and longitude in degrees, longitude within -180 to 180.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Vincenty 1975, equations 1 to 11.
    """
    lat_rad, lon_rad = _place_rad("lat_deg", lat_deg, "lon_deg", lon_deg)
    azimuth_rad = np.radians(within("on_bearing_deg", on_bearing_deg, -360.0, 360.0, "degrees"))
    along_m = within("after_distance_m", after_distance_m, 0.0, _LONGEST_GEODESIC_M, "m")
    return _direct(lat_rad, lon_rad, azimuth_rad, along_m)


def east_north_m(lat_deg: Any, lon_deg: Any, launch_lat_deg: float, launch_lon_deg: float) -> tuple[Floats, Floats]:
    """Return local metres of places around the launch point.

    Parameters
    ----------
    lat_deg, lon_deg : float or array_like
        Places in WGS-84 degrees, no farther than `LOCAL_REACH_M` from the launch point.
    launch_lat_deg, launch_lon_deg : float
        The launch point, which becomes (0, 0).

    Returns
    -------
    tuple of ndarray
        East and north in metres (ellipsoidal azimuthal equidistant).

    Raises
    ------
    InputError
        Outside those ranges, or a place out of reach.

    Notes
    -----
    Vincenty 1975, equations 13 to 20; the plane is described in Snyder, Map Projections: A Working Manual,
    USGS Professional Paper 1395 (1987), page 195.
    """
    away_m, azimuth_rad = _inverse(launch_lat_deg, launch_lon_deg, lat_deg, lon_deg)
    if away_m.size and float(away_m.max()) > LOCAL_REACH_M:
        raise bad_input(
            "lat_deg, lon_deg",
            f"a place lies {float(away_m.max()) / 1000.0:.0f} km from the launch point, "
            f"more than {LOCAL_REACH_M / 1000.0:.0f} km",
            _SWAPPED,
        )
    return away_m * np.sin(azimuth_rad), away_m * np.cos(azimuth_rad)


def lat_lon_deg(east_m: Any, north_m: Any, launch_lat_deg: float, launch_lon_deg: float) -> tuple[Floats, Floats]:
    """Return the WGS-84 degrees of local metres: the inverse of `east_north_m`.

    Parameters
    ----------
    east_m, north_m : float or array_like
        Local metres, each within plus or minus `LOCAL_REACH_M`.
    launch_lat_deg, launch_lon_deg : float
        The launch point.

    Returns
    -------
    tuple of ndarray
        Latitude and longitude in degrees, longitude within -180 to 180.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    Vincenty 1975, equations 1 to 11.
    """
    x_m = within("east_m", east_m, -LOCAL_REACH_M, LOCAL_REACH_M, "m")
    y_m = within("north_m", north_m, -LOCAL_REACH_M, LOCAL_REACH_M, "m")
    lat_rad, lon_rad = _place_rad("launch_lat_deg", launch_lat_deg, "launch_lon_deg", launch_lon_deg)
    return _direct(lat_rad, lon_rad, np.arctan2(x_m, y_m), np.hypot(x_m, y_m))


def _place_rad(lat_name: str, lat_deg: Any, lon_name: str, lon_deg: Any) -> tuple[Floats, Floats]:
    lat_rad = np.radians(within(lat_name, lat_deg, -90.0, 90.0, "degrees", _SWAPPED))
    return lat_rad, np.radians(within(lon_name, lon_deg, -360.0, 360.0, "degrees"))


def _series(cos_sq_alpha: Floats) -> tuple[Floats, Floats]:
    """Vincenty's A and B, equations 3 and 4."""
    u_sq = cos_sq_alpha * _SECOND_ECCENTRICITY_SQ
    big_a = 1.0 + u_sq / 16384.0 * (4096.0 + u_sq * (-768.0 + u_sq * (320.0 - 175.0 * u_sq)))
    big_b = u_sq / 1024.0 * (256.0 + u_sq * (-128.0 + u_sq * (74.0 - 47.0 * u_sq)))
    return big_a, big_b


def _delta_sigma(big_b: Floats, sin_sigma: Floats, cos_sigma: Floats, cos_mid: Floats) -> Floats:
    """Equation 6: what the ellipsoid adds to the arc on the auxiliary sphere."""
    cos_mid_sq = cos_mid * cos_mid
    inner = cos_sigma * (-1.0 + 2.0 * cos_mid_sq) - big_b / 6.0 * cos_mid * (-3.0 + 4.0 * sin_sigma * sin_sigma) * (
        -3.0 + 4.0 * cos_mid_sq
    )
    return big_b * sin_sigma * (cos_mid + big_b / 4.0 * inner)


def _longitude_term(
    sigma: Floats, sin_sigma: Floats, cos_sigma: Floats, cos_mid: Floats, cos_sq_alpha: Floats
) -> Floats:
    """Equations 10 and 11, without the factor sin(alpha): sphere longitude minus ellipsoid longitude."""
    big_c = FLATTENING / 16.0 * cos_sq_alpha * (4.0 + FLATTENING * (4.0 - 3.0 * cos_sq_alpha))
    arc = sigma + big_c * sin_sigma * (cos_mid + big_c * cos_sigma * (-1.0 + 2.0 * cos_mid * cos_mid))
    return (1.0 - big_c) * FLATTENING * arc


def _inverse(lat_from_deg: Any, lon_from_deg: Any, lat_to_deg: Any, lon_to_deg: Any) -> tuple[Floats, Floats]:
    """Distance in metres and azimuth at the first place in radians (Vincenty's inverse formula)."""
    lat_1, lon_1 = _place_rad("lat_from_deg", lat_from_deg, "lon_from_deg", lon_from_deg)
    lat_2, lon_2 = _place_rad("lat_to_deg", lat_to_deg, "lon_to_deg", lon_to_deg)
    lat_1, lon_1, lat_2, lon_2 = np.broadcast_arrays(lat_1, lon_1, lat_2, lon_2)
    turn = np.remainder(lon_2 - lon_1 + np.pi, 2.0 * np.pi) - np.pi
    u_1 = np.arctan2((1.0 - FLATTENING) * np.sin(lat_1), np.cos(lat_1))
    u_2 = np.arctan2((1.0 - FLATTENING) * np.sin(lat_2), np.cos(lat_2))
    sin_1, cos_1, sin_2, cos_2 = np.sin(u_1), np.cos(u_1), np.sin(u_2), np.cos(u_2)
    lam = turn.copy()
    for _ in range(_MOST_STEPS):
        # sin(u_2 - u_1) keeps its digits for near places, where cos_1 sin_2 - sin_1 cos_2 cos(lam) loses them
        across = cos_2 * np.sin(lam)
        along = np.sin(u_2 - u_1) + 2.0 * sin_1 * cos_2 * np.sin(lam / 2.0) ** 2
        sin_sigma = np.hypot(across, along)
        cos_sigma = sin_1 * sin_2 + cos_1 * cos_2 * np.cos(lam)
        sigma = np.arctan2(sin_sigma, cos_sigma)
        apart = sin_sigma > 0.0
        sin_alpha = np.where(apart, cos_1 * across / np.where(apart, sin_sigma, 1.0), 0.0)
        cos_sq_alpha = 1.0 - sin_alpha * sin_alpha
        sloped = cos_sq_alpha > 1e-14  # along the equator cos_mid has no meaning and no weight
        cos_mid = np.where(sloped, cos_sigma - 2.0 * sin_1 * sin_2 / np.where(sloped, cos_sq_alpha, 1.0), 0.0)
        before = lam
        lam = turn + sin_alpha * _longitude_term(sigma, sin_sigma, cos_sigma, cos_mid, cos_sq_alpha)
        if bool((np.abs(lam - before) <= _SETTLED_RAD).all()):
            break
    else:
        raise bad_input(
            "lat_to_deg, lon_to_deg",
            "two places lie on nearly opposite sides of the Earth, where no distance is computed",
            "give places of one flight; a sign of latitude or longitude may be missing",
        )
    big_a, big_b = _series(cos_sq_alpha)
    away_m = SEMI_MINOR_M * big_a * (sigma - _delta_sigma(big_b, sin_sigma, cos_sigma, cos_mid))
    return away_m, np.where(apart, np.arctan2(across, along), 0.0)


def _direct(lat_rad: Floats, lon_rad: Floats, azimuth_rad: Floats, along_m: Floats) -> tuple[Floats, Floats]:
    """Latitude and longitude in degrees after a distance on an azimuth (Vincenty's direct formula)."""
    lat_rad, lon_rad, azimuth_rad, along_m = np.broadcast_arrays(lat_rad, lon_rad, azimuth_rad, along_m)
    u_1 = np.arctan2((1.0 - FLATTENING) * np.sin(lat_rad), np.cos(lat_rad))
    sin_1, cos_1, sin_az, cos_az = np.sin(u_1), np.cos(u_1), np.sin(azimuth_rad), np.cos(azimuth_rad)
    sigma_1 = np.arctan2(sin_1, cos_1 * cos_az)
    sin_alpha = cos_1 * sin_az
    cos_sq_alpha = 1.0 - sin_alpha * sin_alpha
    big_a, big_b = _series(cos_sq_alpha)
    first = along_m / (SEMI_MINOR_M * big_a)
    sigma = first
    for _ in range(_MOST_STEPS):
        sin_sigma, cos_sigma, cos_mid = np.sin(sigma), np.cos(sigma), np.cos(2.0 * sigma_1 + sigma)
        before, sigma = sigma, first + _delta_sigma(big_b, sin_sigma, cos_sigma, cos_mid)
        if bool((np.abs(sigma - before) <= _SETTLED_RAD).all()):
            break
    sin_sigma, cos_sigma, cos_mid = np.sin(sigma), np.cos(sigma), np.cos(2.0 * sigma_1 + sigma)
    flat = sin_1 * sin_sigma - cos_1 * cos_sigma * cos_az
    lat_2 = np.arctan2(sin_1 * cos_sigma + cos_1 * sin_sigma * cos_az, (1.0 - FLATTENING) * np.hypot(sin_alpha, flat))
    lam = np.arctan2(sin_sigma * sin_az, cos_1 * cos_sigma - sin_1 * sin_sigma * cos_az)
    turn = lam - sin_alpha * _longitude_term(sigma, sin_sigma, cos_sigma, cos_mid, cos_sq_alpha)
    lon_2 = np.remainder(lon_rad + turn + np.pi, 2.0 * np.pi) - np.pi
    return np.degrees(lat_2), np.degrees(lon_2)
