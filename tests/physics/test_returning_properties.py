"""Properties of the way home: more wind, power or reserve never brings it home from farther."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.physics.returning import (
    energy_for_way_j,
    headwind_home_mps,
    point_of_no_return_m,
    point_of_no_return_s,
    time_home_s,
    turn_back_distance_in_wind_m,
    turn_back_distance_m,
)

energies = st.floats(1e3, 1e6)
powers = st.floats(10.0, 1000.0)
airspeeds = st.floats(3.0, 30.0)
directions = st.floats(0.0, 360.0)


@given(energies, powers, airspeeds, st.floats(0.0, 1.0), st.floats(0.0, 0.2), directions, directions)
def test_more_wind_never_reaches_farther(
    energy: float, power: float, air: float, share: float, more: float, origin: float, track: float
) -> None:
    # True whatever the direction where power is the same both ways: the harmonic mean of the two ground speeds,
    # (v² - w²) / sqrt(v² - w_cross²), falls with wind.
    calm, windy = (
        float(turn_back_distance_in_wind_m(energy, power, power, air, air * s, origin, track))
        for s in (share, share + more)
    )
    assert windy <= calm * (1.0 + 1e-6) + 1e-6


@given(energies, powers, powers, airspeeds, st.floats(0.0, 20.0), directions, directions)
def test_wind_as_fast_as_the_aircraft_never_returns(
    energy: float, out_w: float, home_w: float, air: float, more: float, origin: float, track: float
) -> None:
    far = float(turn_back_distance_in_wind_m(energy, out_w, home_w, air, air + more + 1e-3, origin, track))
    assert far == 0.0


@given(energies, powers, powers, airspeeds, airspeeds, st.floats(0.0, 0.4), st.floats(0.0, 0.4))
def test_energy_out_and_home_is_what_there_was(
    energy: float, out_w: float, home_w: float, out: float, home: float, climb: float, reserve: float
) -> None:
    far = turn_back_distance_m(energy, out_w, out, home_w, home, climb * energy, reserve * energy)
    spent = energy_for_way_j(np.minimum(far, 2e5), out_w, out) + energy_for_way_j(np.minimum(far, 2e5), home_w, home)
    if float(far) <= 2e5:
        assert float(spent) == pytest.approx(energy * (1.0 - climb - reserve), rel=1e-9)


@given(energies, powers, airspeeds, st.floats(0.05, 0.99))
def test_headwind_home_is_the_one_that_uses_all(energy: float, power: float, air: float, share: float) -> None:
    distance = min(share * energy * air / power, 2e5)
    wind = float(headwind_home_mps(energy, distance, power, air))
    used = float(energy_for_way_j(distance, power, air - wind))
    assert used == pytest.approx(energy, rel=1e-6)
    assert float(headwind_home_mps(energy, distance, power * 1.1, air)) < wind


@given(st.floats(60.0, 1e5), airspeeds, airspeeds)
def test_at_the_point_of_no_return_the_way_home_takes_the_rest(endurance: float, out: float, home: float) -> None:
    turned = float(point_of_no_return_s(endurance, out, home))
    far = float(point_of_no_return_m(endurance, out, home))
    if far <= 2e5:
        assert turned + float(time_home_s(far, home)) == pytest.approx(endurance, rel=1e-9)


def test_wind_that_cannot_be_beaten() -> None:
    assert float(point_of_no_return_s(600.0, 20.0, np.nan)) == 0.0
    assert float(point_of_no_return_m(600.0, np.nan, 20.0)) == 0.0
    assert float(turn_back_distance_m(5e4, 200.0, 20.0, 200.0, np.nan)) == 0.0
    assert float(turn_back_distance_m(5e4, 200.0, 20.0, 200.0, 0.0)) == 0.0
    assert float(energy_for_way_j(100.0, 200.0, np.nan)) == np.inf
    assert float(time_home_s(100.0, 0.0)) == np.inf


def test_nothing_left_beats_no_wind_and_at_home_every_wind_below_airspeed() -> None:
    assert float(headwind_home_mps(0.0, 100.0, 200.0, 15.0)) == 0.0
    assert float(headwind_home_mps(0.0, 0.0, 200.0, 15.0)) == 15.0


def test_reserve_above_the_pack_leaves_no_distance() -> None:
    assert float(turn_back_distance_m(1e4, 200.0, 15.0, 200.0, 15.0, 5e3, 6e3)) == 0.0


def test_bad_input_is_refused() -> None:
    with pytest.raises(InputError, match="3600 J"):
        turn_back_distance_m(-1.0, 200.0, 15.0, 200.0, 15.0)
    with pytest.raises(InputError, match="ground"):
        turn_back_distance_m(1e4, 200.0, -15.0, 200.0, 15.0)
