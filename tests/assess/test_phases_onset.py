"""Moments of take-off and landing, and the loops behind the phases against closed forms and brute force."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from tests.assess.flights_made import G, armed_channel, board_channels, joined, slow_channels
from tests.assess.record_makers import make_record
from tests.assess.test_phases import FLIGHT, LANDS_S, LIFTS_S, edges_s, full, one_flight, only, rng

from turnback.assess.phases import phases_of
from turnback.assess.phases_kernel import likeliest_states, windowed_mean
from turnback.assess.phases_onset import summed_onset
from turnback.records.channel import ACCELERATIONS, Quantity


@pytest.mark.parametrize("seed", range(6))
def test_lift_and_touch_are_told_within_50_ms_where_the_board_tells(seed: int) -> None:
    for made in (full(FLIGHT, rng(seed)), joined(board_channels(FLIGHT, rng(seed)), armed_channel(FLIGHT))):
        assert one_flight(made) == pytest.approx((LIFTS_S, LANDS_S), abs=0.05)


@pytest.mark.parametrize("hz", [2.0, 5.0, 10.0])
@pytest.mark.parametrize("seed", range(3))
def test_lift_and_touch_are_told_within_two_rows_where_current_tells(hz: float, seed: int) -> None:
    assert one_flight(slow_channels(FLIGHT, rng(seed), hz)) == pytest.approx((LIFTS_S, LANDS_S), abs=2.0 / hz)


@pytest.mark.parametrize("hz", [1.0, 5.0])
def test_lift_is_drawn_back_from_the_height_alone(hz: float) -> None:
    """2 m/s² for a second: half a metre is passed 0.71 s after the lift, which a threshold alone would take for it."""
    made = only(slow_channels(FLIGHT, rng(), hz, noise=0.2), Quantity.HEIGHT_LAUNCH, Quantity.GROUND_SPEED)
    assert one_flight(made) == pytest.approx((LIFTS_S, LANDS_S), abs=2.0 / hz)


def test_throttle_that_creeps_up_is_not_a_lift_before_it_carries() -> None:
    """Outputs rise evenly over three seconds up to what carries it, and specific force leaves gravity only then."""
    channels = dict(board_channels(FLIGHT, rng()))
    late = np.interp(FLIGHT.t_s, [4.0, 7.0], [0.05, 0.32])
    for key, (t_s, values) in list(channels.items()):
        if getattr(key, "quantity", None) is Quantity.OUTPUT:
            made = np.where((FLIGHT.t_s > 4.0) & (FLIGHT.t_s < 7.0), late, np.asarray(values))
            channels[key] = (t_s, made)
    (span,) = edges_s(phases_of(make_record(channels)))
    assert span[0] == pytest.approx(LIFTS_S, abs=0.05)
    (span,) = edges_s(phases_of(make_record({k: v for k, v in channels.items() if k not in ACCELERATIONS})))
    assert span[0] == pytest.approx(LIFTS_S, abs=0.35)  # the outputs alone: nine tenths of what carries


def test_a_touch_is_told_by_its_knock() -> None:
    channels = dict(board_channels(FLIGHT, rng()))
    t_s, values = channels[ACCELERATIONS[2]]
    knock = np.where((FLIGHT.t_s >= 43.6) & (FLIGHT.t_s < 43.64), -25.0, 0.0)  # outputs stay up for 0.4 s more
    channels[ACCELERATIONS[2]] = (t_s, np.asarray(values) + knock)
    (span,) = edges_s(phases_of(make_record(channels)))
    assert span[1] == pytest.approx(43.6, abs=0.05)


def test_a_summed_onset_is_the_moment_of_the_change() -> None:
    values = np.r_[np.full(50, -0.3), np.full(50, 0.7)]
    assert summed_onset(values, 2.0) == 50
    assert summed_onset(-np.ones(40), 0.5) is None
    assert summed_onset(np.r_[np.full(20, -0.3), np.nan, np.full(20, 0.7)], 1.0) in (20, 21)


@pytest.mark.parametrize("seed", range(12))
def test_likeliest_states_are_those_of_all_ways(seed: int) -> None:
    """Against every one of the 2^9 ways (the price is paid for each change)."""
    draws = np.random.default_rng(seed)
    evidence, price = draws.normal(0.0, 1.0, 9), 1.3
    ways = np.array(list(product((0, 1), repeat=9)))
    scores = ways @ evidence - price * np.abs(np.diff(ways, axis=1)).sum(axis=1)
    best = ways[int(np.argmax(scores))].astype(bool)
    assert likeliest_states(evidence, price, 0.0).tolist() == best.tolist()


def test_a_windowed_mean_is_the_mean_of_what_is_there() -> None:
    values = rng().normal(size=40)
    values[[3, 4, 5, 6, 7, 20, 39]] = np.nan
    for half in (1, 2, 60):
        wanted = [float(np.mean(part[~np.isnan(part)])) if (~np.isnan(part)).any() else np.nan
                  for part in (values[max(0, i - half) : i + half + 1] for i in range(40))]  # fmt: skip
        np.testing.assert_allclose(windowed_mean(values, half), wanted, atol=1e-12)


def test_gravity_is_what_the_sensor_says_at_rest() -> None:
    """A sensor that reads 0.4 m/s² too much does not lift it off the ground."""
    channels = dict(board_channels(FLIGHT, rng()))
    for each in ACCELERATIONS:
        t_s, values = channels[each]
        channels[each] = (t_s, np.asarray(values) * (G + 0.4) / G)
    assert one_flight(channels) == pytest.approx((LIFTS_S, LANDS_S), abs=0.05)
