"""Properties of wind: the triangle closes, and the greatest beatable wind is just beaten."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.physics.wind import (
    beatable_headwind_mps,
    beatable_wind_mps,
    drift_correction_deg,
    ground_speed_mps,
    ground_speed_on_track_mps,
    gust_at_height_mps,
    turbulence_intensity,
    wind_across_mps,
    wind_along_mps,
    wind_at_height_mps,
)

speeds = st.floats(0.0, 40.0)
directions = st.floats(0.0, 360.0)


@given(speeds, directions, directions)
def test_parts_make_the_wind(wind: float, origin: float, track: float) -> None:
    along, across = float(wind_along_mps(wind, origin, track)), float(wind_across_mps(wind, origin, track))
    assert along**2 + across**2 == pytest.approx(wind**2, abs=1e-9)


@given(st.floats(1.0, 40.0), speeds, directions, directions)
def test_out_and_home_differ_by_the_wind_along(air: float, wind: float, origin: float, track: float) -> None:
    out = float(ground_speed_on_track_mps(air, wind, origin, track))
    home = float(ground_speed_on_track_mps(air, wind, origin, track + 180.0))
    if np.isfinite(out) and np.isfinite(home):
        assert out - home == pytest.approx(2.0 * float(wind_along_mps(wind, origin, track)), abs=1e-9)
        assert out * home == pytest.approx(air**2 - wind**2, rel=1e-6, abs=1e-6)  # power of the point


@given(st.floats(1.0, 40.0), st.floats(0.0, 30.0), directions, directions)
def test_wind_at_least_as_fast_never_lets_both_ways(air: float, more: float, origin: float, track: float) -> None:
    ways = ground_speed_on_track_mps(air, air + more, origin, np.array([track, track + 180.0]))
    assert np.isnan(ways).any() or ways.min() < 1e-6


@given(st.floats(5.0, 40.0), st.floats(0.0, 1.0), directions, directions)
def test_greatest_beatable_wind_leaves_just_the_least_speed(
    air: float, share: float, origin: float, track: float
) -> None:
    least = share * air * 0.9 + 0.1
    wind = float(beatable_wind_mps(air, least, origin, track))
    assume(wind < 99.0)
    under = float(ground_speed_on_track_mps(air, wind * (1.0 - 1e-9), origin, track))
    over = float(ground_speed_on_track_mps(air, wind * (1.0 + 1e-6) + 1e-6, origin, track))
    assert under >= least - 1e-3
    assert np.isnan(over) or over < least + 1e-6
    assert wind >= float(beatable_headwind_mps(air, least)) - 1e-9  # a headwind is the hardest


def test_beatable_wind_where_airspeed_is_less_than_asked_is_not_a_number() -> None:
    assert np.isnan(float(beatable_wind_mps(3.0, 4.0, 0.0, 0.0)))
    assert float(beatable_headwind_mps(3.0, 4.0)) == 0.0
    assert float(beatable_wind_mps(10.0, 3.0, 180.0, 0.0)) > 1e6  # straight from behind


def test_cross_wind_beyond_airspeed_is_not_held() -> None:
    assert np.isnan(float(ground_speed_mps(8.0, 0.0, 8.0)))
    assert np.isnan(float(ground_speed_mps(8.0, -8.0, 0.0)))
    assert np.isnan(float(drift_correction_deg(8.0, 9.0, 90.0, 0.0)))
    assert float(drift_correction_deg(0.0, 0.0, 90.0, 0.0)) == 0.0


@given(st.floats(0.0, 30.0), st.floats(0.0, 20.0), st.floats(2.0, 100.0), st.floats(0.001, 0.5))
def test_wind_grows_and_gust_factor_falls_with_height(
    wind: float, excess: float, height_m: float, roughness_m: float
) -> None:
    low = float(wind_at_height_mps(wind, 10.0, height_m, roughness_m))
    high = float(wind_at_height_mps(wind, 10.0, height_m + 10.0, roughness_m))
    assert high >= low
    gust_low = float(gust_at_height_mps(wind, wind + excess, 10.0, height_m, roughness_m))
    gust_high = float(gust_at_height_mps(wind, wind + excess, 10.0, height_m + 10.0, roughness_m))
    assert gust_low * high >= gust_high * low - 1e-9
    assert gust_low >= low
    assert float(turbulence_intensity(height_m + 10.0, roughness_m)) < float(
        turbulence_intensity(height_m, roughness_m)
    )


@given(st.floats(0.0, 30.0), st.floats(0.01, 0.5))
def test_reference_height_keeps_the_report(wind: float, roughness_m: float) -> None:
    assert float(wind_at_height_mps(wind, 10.0, 10.0, roughness_m)) == pytest.approx(wind, abs=1e-12)


def test_bad_input_is_refused() -> None:
    with pytest.raises(InputError, match="wind_mps"):
        wind_at_height_mps(-1.0, 10.0, 30.0, 0.03)
    with pytest.raises(InputError, match="height_m"):
        wind_at_height_mps(5.0, 10.0, 0.01, 0.03)
    with pytest.raises(InputError, match="airspeed_mps"):
        ground_speed_mps(np.nan, 0.0, 0.0)
