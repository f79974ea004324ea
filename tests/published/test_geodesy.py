"""Geodesy held against pyproj (PROJ's Karney geodesics and its azimuthal equidistant plane) and a printed line."""

from __future__ import annotations

import numpy as np
import pyproj
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.physics.geodesy import (
    bearing_deg,
    destination_lat_lon_deg,
    distance_m,
    east_north_m,
    lat_lon_deg,
)

GEOD = pyproj.Geod(ellps="WGS84")
LAUNCHES = [(36.6, -84.2), (0.0, 0.0), (-33.9, 151.2), (69.6, 18.9), (10.0, 179.95), (-45.0, -179.99), (89.0, 40.0)]


def ring(launch: tuple[float, float]) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Places up to 20 km around a launch point, by PROJ."""
    azimuth, away = (a.ravel() for a in np.meshgrid(np.arange(-180.0, 180.0, 17.0), [0.5, 10.0, 1e3, 5e3, 2e4]))
    lon, lat, _ = GEOD.fwd(np.full(azimuth.size, launch[1]), np.full(azimuth.size, launch[0]), azimuth, away)
    return np.asarray(lat), np.asarray(lon), azimuth, away


@pytest.mark.published
@pytest.mark.parametrize("launch", LAUNCHES)
def test_distance_and_bearing_are_those_of_proj(launch: tuple[float, float]) -> None:
    lat, lon, azimuth, away = ring(launch)
    assert np.abs(distance_m(*launch, lat, lon) - away).max() < 1e-4
    off = (bearing_deg(*launch, lat, lon) - azimuth + 180.0) % 360.0 - 180.0
    assert np.abs(np.radians(off) * away).max() < 1e-4  # metres across


@pytest.mark.published
@pytest.mark.parametrize("launch", LAUNCHES)
def test_local_metres_are_the_azimuthal_equidistant_plane_of_proj(launch: tuple[float, float]) -> None:
    lat, lon, _, _ = ring(launch)
    plane = pyproj.Proj(proj="aeqd", ellps="WGS84", lat_0=launch[0], lon_0=launch[1])
    x_m, y_m = plane(lon, lat)
    east_m, north_m = east_north_m(lat, lon, *launch)
    assert np.abs(east_m - x_m).max() < 1e-3
    assert np.abs(north_m - y_m).max() < 1e-3
    back_lat, back_lon = lat_lon_deg(east_m, north_m, *launch)
    _, _, miss_m = GEOD.inv(lon, lat, back_lon, back_lat)
    assert np.abs(miss_m).max() < 1e-3


@pytest.mark.published
@pytest.mark.parametrize("launch", LAUNCHES)
def test_lengths_between_any_two_places_within_20_km_hold_to_1e_4(launch: tuple[float, float]) -> None:
    lat, lon, _, _ = ring(launch)
    east_m, north_m = east_north_m(lat, lon, *launch)
    other = np.roll(np.arange(lat.size), 7)
    _, _, true_m = GEOD.inv(lon, lat, lon[other], lat[other])
    plane_m = np.hypot(east_m - east_m[other], north_m - north_m[other])
    far = np.asarray(true_m) > 100.0
    assert far.sum() > 40
    assert np.abs(plane_m[far] / np.asarray(true_m)[far] - 1.0).max() < 1e-4


@pytest.mark.published
@pytest.mark.parametrize("launch", LAUNCHES[:4])
def test_destination_is_that_of_proj(launch: tuple[float, float]) -> None:
    for azimuth, away in [(0.0, 100.0), (75.0, 20e3), (181.0, 5e5), (300.0, 4e6)]:
        lat, lon = destination_lat_lon_deg(*launch, azimuth, away)
        lon_ref, lat_ref, _ = GEOD.fwd(launch[1], launch[0], azimuth, away)
        assert abs(GEOD.inv(lon_ref, lat_ref, float(lon), float(lat))[2]) < 1e-3


@pytest.mark.published
def test_a_quarter_meridian_is_the_printed_length() -> None:
    # WGS-84 meridian quadrant 10 001 965.729 m: NIMA TR8350.2 (3rd ed., 2000), derived constants; from memory
    assert float(distance_m(0.0, 10.0, 90.0, 10.0)) == pytest.approx(10_001_965.729, abs=1e-3)
    # one degree of longitude on the equator: a * pi / 180
    assert float(distance_m(0.0, 10.0, 0.0, 11.0)) == pytest.approx(6_378_137.0 * np.pi / 180.0, abs=1e-4)


@given(st.floats(-85, 85), st.floats(-180, 180), st.floats(-20e3, 20e3), st.floats(-20e3, 20e3))
def test_there_and_back_is_the_same_place(lat: float, lon: float, x_m: float, y_m: float) -> None:
    place = lat_lon_deg(x_m, y_m, lat, lon)
    east_m, north_m = east_north_m(*place, lat, lon)
    assert float(east_m) == pytest.approx(x_m, abs=1e-3)
    assert float(north_m) == pytest.approx(y_m, abs=1e-3)
    assert float(distance_m(lat, lon, *place)) == pytest.approx(float(distance_m(*place, lat, lon)), abs=1e-4)


def test_a_place_to_itself_is_no_distance_and_shapes_broadcast() -> None:
    assert float(distance_m(36.6, -84.2, 36.6, -84.2)) == 0.0
    assert float(bearing_deg(36.6, -84.2, 36.6, -84.2)) == 0.0
    assert distance_m(np.zeros((3, 1)), 0.0, np.zeros(4), 1.0).shape == (3, 4)
    assert east_north_m(np.empty(0), np.empty(0), 1.0, 2.0)[0].shape == (0,)


def test_slips_are_told() -> None:
    with pytest.raises(InputError, match="latitude first"):
        distance_m(151.2, -33.9, 0.0, 0.0)
    with pytest.raises(InputError, match="km from the launch point, more than 200 km; enter degrees, latitude first"):
        east_north_m(-84.2, 36.6, 36.6, -84.2)
    with pytest.raises(InputError, match="nearly opposite sides of the Earth"):
        distance_m(0.0, 0.0, 0.3, 179.8)
    with pytest.raises(InputError, match="east_m"):
        lat_lon_deg(3e5, 0.0, 36.6, -84.2)
    with pytest.raises(InputError, match="nan degrees"):
        distance_m(float("nan"), 0.0, 0.0, 0.0)
