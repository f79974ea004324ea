"""The track over the ground, its legs, and how they are flown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.assess.cases import plain, valley

from turnback.assess.legs import fly, legs_turning_at, planned_legs
from turnback.assess.track import Phase, lay_track
from turnback.physics.wind import ground_speed_on_track_mps
from turnback.records.route import HeightReference, Route


def route(east: list[float], north: list[float], height: list[float], **changes: object) -> Route:
    """Return a route that is no straight out and back."""
    made = Route(
        np.array(east), np.array(north), np.array(height), HeightReference.LAUNCH, None, 0.0,
        straight=False, closes_at_launch=False,
    )  # fmt: skip
    return replace(made, **changes)  # type: ignore[arg-type]


def test_stations_go_out_beyond_and_home() -> None:
    """A straight route: 1000 m out on 90°, continued beyond, flown home."""
    track = lay_track(route([0, 1000], [0, 0], [50, 50], straight=True), plain(), 0.0)
    out, home, beyond = (track.phase == phase for phase in (Phase.OUT, Phase.HOME, Phase.BEYOND))
    assert track.from_launch_m[out].max() == pytest.approx(1000.0)
    assert track.along_m[home].max() == pytest.approx(2000.0)
    assert track.from_launch_m[home][-1] == pytest.approx(0.0)
    assert track.from_launch_m[beyond].max() == pytest.approx(1000 * 1.3 + 400)
    assert np.diff(track.along_m[out]).max() < 15.0
    assert track.covered


def test_heights_above_ground_and_sea_level() -> None:
    """Both become heights above the launch point's ground."""
    ground = valley()
    launch = ground.launch_ground_m
    east, north = [0.0, -900.0], [0.0, 240.0]
    above_ground = lay_track(route(east, north, [50, 50], height_reference=HeightReference.GROUND), ground, launch)
    out = above_ground.phase == Phase.OUT
    assert (above_ground.height_m - above_ground.ground_m)[out] == pytest.approx(50.0)
    sea = [launch + 50, launch + 50]
    above_sea = lay_track(route(east, north, sea, height_reference=HeightReference.SEA_LEVEL), ground, launch)
    assert above_sea.height_m == pytest.approx(50.0)
    assert above_sea.ground_m[out] == pytest.approx(ground.ground_m(above_sea.x_m[out], above_sea.y_m[out]) - launch)


def test_a_track_that_comes_back_is_flown_as_drawn() -> None:
    """A triangle has no added way home."""
    track = lay_track(route([0, 300, 300, 0], [0, 0, 300, 0], [40] * 4, closes_at_launch=True), plain(), 0.0)
    assert (track.phase == Phase.OUT).all()
    assert track.along_m[-1] == pytest.approx(300 + 300 + np.hypot(300, 300))


def test_a_route_that_starts_elsewhere_is_reached_from_launch() -> None:
    """The way to its first point is part of the flight."""
    track = lay_track(route([200, 400], [0, 0], [40, 40]), plain(), 0.0)
    assert track.from_launch_m[0] == 0.0
    assert track.along_m[track.phase == Phase.OUT][-1] == pytest.approx(400.0)


def test_legs_add_up_to_the_flight() -> None:
    """Length out and home; climb and descent cancel."""
    track = lay_track(route([0, 600, 900], [0, 0, 100], [30, 80, 60]), plain(), 0.0)
    legs = planned_legs(track)
    length = 600 + np.hypot(300, 100) + np.hypot(900, 100)
    assert legs.length_m.sum() == pytest.approx(length)
    assert legs.climb_m.sum() == pytest.approx(0.0)
    assert legs.end_along_m[-1] == pytest.approx(length)
    station = int(np.argmin(np.abs(track.along_m - 300.0)))
    turned = legs_turning_at(track, station)
    assert turned.length_m.sum() == pytest.approx(2 * track.along_m[station])
    assert turned.climb_m.sum() == pytest.approx(0.0)


def test_a_hover_only_flight_has_no_length() -> None:
    """Up, look round, down."""
    track = lay_track(route([0, 0], [0, 0], [20, 20], straight=True, hover_s=60.0), plain(), 0.0)
    legs = planned_legs(track)
    assert legs.length_m.sum() == 0.0
    assert legs.still_s.sum() == pytest.approx(20 / 3 + 60 + 20 / 3 + 20)


@given(st.floats(5.0, 25.0), st.floats(0.0, 12.0), st.floats(0.0, 360.0), st.floats(0.0, 359.0))
def test_flying_a_leg_is_the_wind_triangle(cruise: float, wind: float, wind_from: float, bearing: float) -> None:
    """Ground speed of each leg equals `physics.wind`'s at the airspeed flown; faster only where wind asks for it."""
    angle = np.deg2rad(bearing)
    track = lay_track(route([0, 500 * np.sin(angle)], [0, 500 * np.cos(angle)], [40, 40]), plain(), 0.0)
    legs = planned_legs(track)
    toward = np.deg2rad(wind_from + 180.0)
    flown = fly(
        legs, np.array(cruise), np.array(60.0), np.full(legs.length_m.size, wind),
        np.array(np.sin(toward)), np.array(np.cos(toward)),
    )  # fmt: skip
    moving = legs.length_m > 0.0
    track_deg = np.rad2deg(np.arctan2(legs.east[moving], legs.north[moving])) % 360.0
    speed = ground_speed_on_track_mps(flown.airspeed_mps[moving] * (1 + 1e-12), wind, wind_from % 360.0, track_deg)
    assert legs.length_m[moving] / flown.duration_s[moving] == pytest.approx(speed, rel=1e-4)
    assert (flown.airspeed_mps[moving] >= cruise - 1e-9).all()
    assert (speed >= 4.0 - 1e-4).all()
    assert flown.airspeed_mps[~moving] == pytest.approx(wind)


def test_a_wind_that_cannot_be_beaten_never_ends() -> None:
    """No airspeed is left over: the leg takes for ever, and says so."""
    track = lay_track(route([0, 500], [0, 0], [40, 40]), plain(), 0.0)
    legs = planned_legs(track)
    flown = fly(legs, np.array(10.0), np.array(12.0), np.full(legs.length_m.size, 15.0), np.array(-1.0), np.array(0.0))
    out = (legs.length_m > 0.0) & (legs.east > 0.5)
    assert np.isinf(flown.duration_s[out]).all()
    assert np.isfinite(flown.duration_s[(legs.length_m > 0.0) & (legs.east < -0.5)]).all()
