"""Values, ends and limits of what is told of a record, each against a closed form or scipy."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
from scipy.optimize import least_squares
from tests.assess.flights_made import board_channels
from tests.assess.record_makers import Made, flat, level, make_flown, make_record
from tests.assess.test_impact_events import LANDS, blow_at
from tests.assess.test_impact_events import of as impacts_of
from tests.assess.test_output_events import Hover
from tests.assess.test_output_events import of as outputs_of
from tests.assess.test_phases import FLIGHT, rng
from tests.assess.test_place_events import DEGREE_N_M, OUT_AND_BACK, T_S, circling, flown, of

from turnback.assess.impact_events import find_impacts
from turnback.assess.output_events import find_outputs
from turnback.assess.phases import phases_of
from turnback.assess.place_events import find_place
from turnback.assess.place_lean import pull_mps2
from turnback.assess.place_wind import fit_wind
from turnback.records.channel import ACCELERATIONS, Channel, Quantity
from turnback.records.happened import EventKind, PhaseKind


def test_the_spread_of_a_wind_is_that_of_least_squares_on_a_circle() -> None:
    """Courses all round: each part of the wind has n/2 of the information (the mean of cos²), and the prior's 1/36."""
    turn = np.arange(400) * 2.0 * np.pi / 400
    noise = np.random.default_rng(1).normal(0.0, 1.0, 400)
    _, _, spread = fit_wind((12.0 + noise) * np.cos(turn) + 3.0, (12.0 + noise) * np.sin(turn), None, 25.0)
    assert np.diag(spread) == pytest.approx(1.0 / (200.0 / (noise.var() * 25.0) + 1.0 / 36.0), rel=0.06)


def test_a_wind_from_few_courses_is_that_of_scipy_with_the_same_prior() -> None:
    turn = np.repeat([0.2, 1.1, 2.5], 4)
    north, east = 3.0 + 11.0 * np.cos(turn), -4.0 + 11.0 * np.sin(turn)
    weight = 1.0 / (0.3 * np.sqrt(50.0))  # exact points: the least noise, of which fifty rows tell as much as one

    def off(p: np.ndarray) -> list[float]:
        return [*(weight * (np.hypot(north - p[0], east - p[1]) - p[2])), *(p[:2] / 6.0)]

    told = least_squares(off, [0.0, 0.0, 11.0], xtol=1e-12).x
    wind, air, _ = fit_wind(north, east, None, 50.0)
    assert np.r_[wind, air] == pytest.approx(told, abs=0.02)
    assert np.hypot(*(told[:2] - (3.0, -4.0))) > 0.2  # the prior does count here


def test_a_wind_within_its_own_band_is_not_told() -> None:
    assert of(EventKind.WIND, find_place(flown(circling(270.0, 1.4)))) == []
    assert len(of(EventKind.WIND, find_place(flown(circling(270.0, 2.6))))) == 1


@pytest.mark.parametrize("heading_deg", [0.0, 90.0, 200.0, 310.0])
def test_thrust_pulls_to_the_low_side_and_ahead_with_the_nose_down(heading_deg: float) -> None:
    """Turn matrices of ISO 1151 one after the other; thrust is along -z of the body."""
    roll, pitch, yaw = np.radians(9.0), np.radians(-14.0), np.radians(heading_deg)
    about_x = np.array([[1, 0, 0], [0, np.cos(roll), -np.sin(roll)], [0, np.sin(roll), np.cos(roll)]])
    about_y = np.array([[np.cos(pitch), 0, np.sin(pitch)], [0, 1, 0], [-np.sin(pitch), 0, np.cos(pitch)]])
    about_z = np.array([[np.cos(yaw), -np.sin(yaw), 0], [np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]])
    thrust = about_z @ about_y @ about_x @ np.array([0.0, 0.0, -1.0])
    t_s = np.arange(0.0, 2.0, 0.1)
    record = make_record({Quantity.ROLL: (t_s, roll), Quantity.PITCH: (t_s, pitch), Quantity.HEADING: (t_s, yaw)})
    pulls = pull_mps2(record, np.array([1.0]))
    assert pulls is not None
    assert [float(each[0]) for each in pulls] == pytest.approx(9.80665 * thrust[:2] / -thrust[2], abs=1e-6)


def test_a_jump_begins_with_the_first_row_at_the_new_place() -> None:
    made = dict(OUT_AND_BACK)
    t_s, lat = made[Quantity.LATITUDE]
    made[Quantity.LATITUDE] = (t_s, np.asarray(lat) + np.where(T_S >= 50.0 - 1e-9, 80.0 / DEGREE_N_M, 0.0))
    (event,) = of(EventKind.POSITION_JUMP, find_place(flown(made)))
    assert event.start_s == pytest.approx(50.0, abs=1e-6)


def test_a_blow_must_stand_out_of_the_shake_before_it() -> None:
    for shake, blows in ((1.0, 1), (16.0, 0)):
        made: Made = dict(blow_at(6.0, 78.0, 0.02))
        t_s, upright = made[ACCELERATIONS[2]]
        noise = shake * np.random.default_rng(2).standard_normal(np.asarray(t_s).size)
        noise[(np.asarray(t_s) > 5.98) & (np.asarray(t_s) < 6.03)] = 0.0
        made = {**made, ACCELERATIONS[2]: (t_s, np.asarray(upright) + noise)}
        assert len(impacts_of(EventKind.IMPACT, find_impacts(make_flown(made, *LANDS)))) == blows


def test_speed_before_a_blow_is_that_of_both_ways_together() -> None:
    made = dict(blow_at(6.0, 120.0, 0.02))
    t_s = np.arange(0.0, 10.0, 0.1)
    made[Quantity.GROUND_SPEED] = (t_s, np.where(t_s < 6.0, 3.0, 0.0))
    made[Quantity.CLIMB_RATE] = (t_s, np.where(t_s < 6.0, -4.0, 0.0))
    (event,) = impacts_of(EventKind.IMPACT, find_impacts(make_flown(made, *LANDS)))
    assert event.values["before_mps"] == pytest.approx(5.0)


def test_rows_at_just_the_least_rate_are_enough_whatever_rounding_does() -> None:
    made = blow_at(6.0, 200.0, 0.06, rate_hz=50.0)
    (event,) = impacts_of(EventKind.IMPACT, find_impacts(make_flown(made, *LANDS)))
    assert event.values["peak_mps2"] > 150.0


def test_idle_alone_is_no_saturation_and_a_saturation_has_its_length() -> None:
    hover = Hover(rate_hz=100.0)
    hover.out[1, hover.rows(5.0, 5.3)] = 1.0
    hover.out[2, hover.rows(9.0, 10.0)] = 0.05  # down to idle, nobody at the ceiling: a descent
    (event,) = outputs_of(find_outputs(hover.flown()), EventKind.OUTPUT_SATURATED)
    assert event.at[0].value == "front-right" and event.words["end"] == "ceiling"
    assert (event.start_s, event.end_s, event.values["duration_s"]) == pytest.approx((5.0, 5.3, 0.3), abs=1e-6)


def test_a_change_of_balance_that_goes_back_is_no_step() -> None:
    hover = Hover(length_s=40.0)
    hover.out[0, hover.rows(15.0, 21.0)] *= 1.4
    assert outputs_of(find_outputs(hover.flown()), EventKind.IMBALANCE_STEP) == []


def test_a_fall_of_speed_over_half_a_second_is_no_collapse() -> None:
    hover = Hover()
    speeds = hover.turn()
    speeds[1] *= np.interp(hover.t_s, [12.0, 12.6], [1.0, 0.3])
    assert outputs_of(find_outputs(hover.flown(speeds=speeds)), EventKind.SPEED_COLLAPSE) == []


def test_an_excess_that_grows_begins_half_way_to_the_limit() -> None:
    hover = Hover(3)
    speeds = hover.turn()
    speeds[0] *= np.interp(hover.t_s, [8.0, 9.0], [1.0, 1.3])  # 1.05 at 8.17 s, 1.1 at 8.33 s
    (event,) = outputs_of(find_outputs(hover.flown(speeds=speeds)), EventKind.SPEED_EXCESS)
    assert event.start_s == pytest.approx(8.17, abs=0.08)


def test_channels_that_end_in_mid_flight_raise_no_warning() -> None:
    made: dict[Channel | Quantity, object] = {}
    for place, (key, (t_s, values)) in enumerate(board_channels(FLIGHT, rng()).items()):
        rows = np.asarray(t_s) < (20.0 if place % 2 else 1e9)
        made[key] = (np.asarray(t_s)[rows], np.asarray(values)[rows])
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        phases = phases_of(make_record(made))  # type: ignore[arg-type]
        for cut_s in (5.0, 43.0, 44.0):
            board = {
                key: (np.asarray(t_s)[np.asarray(t_s) < cut_s], np.asarray(v)[np.asarray(t_s) < cut_s])
                if key in ACCELERATIONS else (t_s, v)
                for key, (t_s, v) in board_channels(FLIGHT, rng()).items()
            }  # fmt: skip
            phases_of(make_record(board))
    assert phases[0].start_s == 0.0


def test_a_level_record_has_no_events_of_blows() -> None:
    t_s = np.arange(0.0, 10.0, 0.01)
    assert find_impacts(make_flown(level(t_s), flat(PhaseKind.HOVER, 0.0, 10.0))).events == ()


@pytest.mark.parametrize(("ratio", "lasts_s", "count"), [(1.15, 0.6, 0), (1.15, 2.0, 1), (1.35, 0.6, 1)])
def test_a_short_excess_counts_only_where_it_is_clear(ratio: float, lasts_s: float, count: int) -> None:
    hover = Hover(3)
    speeds = hover.turn()
    speeds[0, hover.rows(8.0, 8.0 + lasts_s)] *= ratio
    assert len(outputs_of(find_outputs(hover.flown(speeds=speeds)), EventKind.SPEED_EXCESS)) == count
