"""A record laid over a plan's ground: places by the ellipsoid, means by another library, heights by the atmosphere."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats
from tests.assess.against_made import LAUNCH, Made, answer_of
from tests.assess.record_makers import make_flown

from turnback.assess.against_track import MOST_STATIONS, heights_m, means, stations_of
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import Series


def test_stations_are_few_even_and_from_the_plans_launch_point() -> None:
    """Outside value: the ellipsoid's radius along the meridian, a (1 - e^2) / (1 - e^2 sin^2 lat)^1.5 (WGS 84)."""
    t_s = np.arange(0.0, 60.0, 0.1)
    north_deg = 0.003
    flown = make_flown({
        Quantity.LATITUDE: (t_s, np.full(t_s.size, LAUNCH[0] + north_deg)),
        Quantity.LONGITUDE: (t_s, np.full(t_s.size, LAUNCH[1])), Quantity.HEIGHT_LAUNCH: (t_s, np.full(t_s.size, 40.0)),
    })  # fmt: skip
    at = stations_of(flown, LAUNCH)
    assert at is not None
    e2 = 6.69437999014e-3
    radius_m = 6378137.0 * (1.0 - e2) / (1.0 - e2 * math.sin(math.radians(LAUNCH[0])) ** 2) ** 1.5
    assert np.nanmedian(at.y_m) == pytest.approx(radius_m * math.radians(north_deg), rel=1e-3)
    assert np.nanmax(np.abs(at.x_m)) < 0.1
    assert at.t_s.size <= MOST_STATIONS
    assert np.diff(at.t_s) == pytest.approx(at.step_s)
    assert at.on_site
    assert at.placed.all()


def test_means_are_those_of_another_library_and_a_gap_stays_one() -> None:
    """Outside value: scipy's means over the same bins."""
    rng = np.random.default_rng(2)
    t_s = np.arange(0.05, 40.0, 0.1)
    values = rng.normal(size=t_s.size)
    keep = (t_s < 15.0) | (t_s > 25.0)
    series = Series(Channel(Quantity.CURRENT), t_s[keep], values[keep], 10.0, 10.0)
    at_s = np.arange(0.5, 40.0, 1.0, dtype=np.float64)
    found = means(series, at_s)
    oracle = stats.binned_statistic(t_s[keep], values[keep], "mean", np.arange(41.0)).statistic
    known = (at_s < 14.0) | (at_s > 26.0)
    assert found[known] == pytest.approx(oracle[known], abs=1e-9)
    assert np.isnan(found[(at_s > 17.5) & (at_s < 22.5)]).all()


def test_pressure_gives_height_above_where_it_left_the_ground() -> None:
    """Outside value: ISO 2533's p / p0 = (1 - 2.25577e-5 h)^5.25588."""
    t_s = np.arange(0.0, 60.0, 0.1)
    true_m = np.interp(t_s, (10.0, 40.0), (0.0, 100.0))
    pressure = 101_325.0 * (1.0 - 2.25577e-5 * (true_m + 300.0)) ** 5.25588
    found = heights_m(make_flown({Quantity.PRESSURE: (t_s, pressure)}), np.arange(0.25, 59.0, 0.5))
    assert found[-1] == pytest.approx(100.0, rel=0.03)  # of a standard atmosphere 300 m up
    assert found[0] == pytest.approx(0.0, abs=0.5)


def test_distance_and_direction_give_a_place_without_coordinates() -> None:
    """Plain trigonometry: the way to the launch point is south-west, so it is north-east of it."""
    t_s = np.arange(0.0, 30.0, 0.1)
    flown = make_flown({
        Quantity.DISTANCE_LAUNCH: (t_s, np.full(t_s.size, 200.0)),
        Quantity.BEARING_LAUNCH: (t_s, np.full(t_s.size, math.radians(225.0))),
    })  # fmt: skip
    at = stations_of(flown, LAUNCH)
    assert at is not None
    assert (np.nanmedian(at.x_m), np.nanmedian(at.y_m)) == pytest.approx((141.42, 141.42), abs=0.01)
    assert not at.placed.any()  # nothing tells its height


def test_a_moment_is_no_flight_and_flying_is_by_phase() -> None:
    """Shorter than two steps there is nothing to lay out; the ground before and after is not flight."""
    t_s = np.arange(0.0, 0.6, 0.1)
    assert stations_of(make_flown({Quantity.CURRENT: (t_s, np.ones(t_s.size))}), None) is None
    at = stations_of(answer_of(Made()).flown, LAUNCH)
    assert at is not None
    assert not at.flying[at.t_s < 10.0].any()
    assert at.flying[(at.t_s > 11.0) & (at.t_s < 369.0)].all()
