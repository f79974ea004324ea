"""Falling: against the closed form, an independent solver, textbook numbers, and the laws' own units."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import constants
from scipy.integrate import solve_ivp

from turnback.physics.fall import drop_s, drop_speed_mps, fall_to_ground, kinetic_energy_j, terminal_mps
from turnback.physics.terrain_grid import TerrainGrid
from turnback.rules.falling import FOOT_POUND_J, POUND_KG, PUBLISHED

pytestmark = pytest.mark.published

Array = NDArray[np.float64]

MASS_KG, DRAG_AREA_M2, DENSITY_KG_M3 = 0.75, 0.018, 1.225
"""The project's worked example: 0.75 kg, CdA 0.018 m², sea level (models page of the design, recomputed by hand)."""


def test_terminal_speed_of_a_skydiver() -> None:
    # Common practice in textbooks: 80 kg, belly down, drag coefficient 1 on 0.7 m², 1.225 kg/m³: about 43 m/s. Half of
    # both is as fast, and inside the range that is taken.
    assert float(terminal_mps(80.0 / 2.0, 0.35, 1.225)) == pytest.approx(42.8, abs=0.1)


def test_terminal_speed_balances_the_weight() -> None:
    speed = float(terminal_mps(MASS_KG, DRAG_AREA_M2, DENSITY_KG_M3))
    assert 0.5 * DENSITY_KG_M3 * DRAG_AREA_M2 * speed**2 == pytest.approx(MASS_KG * constants.g, rel=1e-12)


def test_a_drop_of_a_hundred_metres() -> None:
    # Design models page: 0.75 kg, CdA 0.018 m², 100 m: 25.1367 m/s, 5.6618 s, 236.94 J (1e-3).
    end = terminal_mps(MASS_KG, DRAG_AREA_M2, DENSITY_KG_M3)
    speed = drop_speed_mps(100.0, end)
    assert float(speed) == pytest.approx(25.1367, abs=1e-4)
    assert float(drop_s(100.0, end)) == pytest.approx(5.6618, abs=1e-4)
    assert float(kinetic_energy_j(MASS_KG, speed)) == pytest.approx(236.94, abs=1e-2)


def test_energy_of_motion_of_a_baseball() -> None:
    # Common practice in textbooks: 0.145 kg at 40 m/s carry 116 J.
    assert float(kinetic_energy_j(0.145, 40.0)) == pytest.approx(116.0, abs=0.1)


def test_the_time_of_a_drop_as_the_formula_is_written() -> None:
    # t = (v_t / g) acosh(exp(g h / v_t²)); the product writes it otherwise so that it holds for long drops too.
    for end, height in ((10.0, 3.0), (25.0, 100.0), (40.0, 1000.0)):
        plain = end / constants.g * math.acosh(math.exp(constants.g * height / end**2))
        assert float(drop_s(height, end)) == pytest.approx(plain, rel=1e-12)
    assert float(drop_s(5000.0, 5.0)) == pytest.approx(5000.0 / 5.0, rel=1e-3)  # at terminal speed nearly all the way


@pytest.mark.parametrize("height_m", [0.5, 2.0, 10.0, 45.0, 100.0, 400.0, 3000.0])
def test_the_march_straight_down_is_the_closed_form(height_m: float) -> None:
    end = terminal_mps(MASS_KG, DRAG_AREA_M2, DENSITY_KG_M3)
    fall = fall_to_ground(MASS_KG, DRAG_AREA_M2, DENSITY_KG_M3, height_m, 0.0, 0.0, 0.0, 0.0, 0.0, 0.03)
    assert float(fall.speed_mps) == pytest.approx(float(drop_speed_mps(height_m, end)), rel=1e-6)
    assert float(fall.fall_s) == pytest.approx(float(drop_s(height_m, end)), rel=1e-6)
    assert (float(fall.x_m), float(fall.y_m)) == (0.0, 0.0)


def test_thirty_metres_forward_with_a_tailwind() -> None:
    # Design models page: 30 m, 10 m/s forward, 5 m/s tailwind at every height: drifts 24.5 m, 169.5 J.
    fall = fall_to_ground(MASS_KG, DRAG_AREA_M2, DENSITY_KG_M3, 30.0, 10.0, 0.0, 0.0, 5.0, 0.0, 0.0)
    assert float(fall.x_m) == pytest.approx(24.5, abs=0.1)
    assert float(kinetic_energy_j(MASS_KG, fall.speed_mps)) == pytest.approx(169.5, abs=0.1)


def test_without_drag_it_is_galileis_parabola() -> None:
    fall = fall_to_ground(1.0, 0.0, 1.2, 20.0, 3.0, -4.0, 5.0, 9.0, 9.0, 0.03)
    seconds = (5.0 + math.sqrt(25.0 + 2.0 * constants.g * 20.0)) / constants.g
    assert float(fall.fall_s) == pytest.approx(seconds, rel=1e-9)
    assert (float(fall.x_m), float(fall.y_m)) == pytest.approx((3.0 * seconds, -4.0 * seconds), rel=1e-9)
    assert float(fall.speed_mps) ** 2 == pytest.approx(25.0 + 25.0 + 2.0 * constants.g * 20.0, rel=1e-9)


def solved(
    mass: float, area: float, density: float, height: float, start: Array, wind: Array, roughness: float
) -> tuple[float, float, float, float]:
    """Return x, y, time, speed at the ground by scipy's eighth-order solver; stopped and begun again at 2 m."""
    drag = 0.5 * density * area / mass

    def rate(_: float, state: Array) -> Array:
        factor = math.log(max(state[2], 2.0) / roughness) / math.log(10.0 / roughness)
        air = state[3:] - np.array([wind[0] * factor, wind[1] * factor, 0.0])
        return np.concatenate([state[3:], -drag * np.linalg.norm(air) * air - np.array([0.0, 0.0, constants.g])])

    def at(level: float, way: float) -> Callable[..., float]:
        def left(_: float, state: Array) -> float:
            return float(state[2] - level)

        left.terminal, left.direction = True, way  # type: ignore[attr-defined]
        return left

    state, seconds = np.array([0.0, 0.0, height, *start]), 0.0
    high = height > 2.0
    for _ in range(6):
        events = [at(2.0, -1.0)] if high else [at(2.0, 1.0), at(0.0, -1.0)]
        run: Any = solve_ivp(rate, (0.0, 1e4), state, method="DOP853", rtol=1e-11, atol=1e-11, events=events)
        which = next(k for k, times in enumerate(run.t_events) if times.size)
        state, seconds = run.y_events[which][0], seconds + float(run.t_events[which][0])
        if not high and which == 1:
            break
        high = not high
        state[2] = 2.0 + (1e-10 if high else -1e-10)  # past the event, or it is met again at once
    return float(state[0]), float(state[1]), seconds, float(np.linalg.norm(state[3:]))


speeds = st.floats(-25.0, 25.0)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.03, 3.0), st.floats(0.003, 0.1), st.floats(0.8, 1.3), st.floats(0.5, 500.0), speeds, speeds,
       st.floats(-5.0, 8.0), st.floats(-20.0, 20.0), st.floats(-20.0, 20.0),
       st.sampled_from([0.01, 0.05, 0.3]))  # fmt: skip
def test_the_march_agrees_with_an_independent_solver(
    mass: float, area: float, density: float, height: float, east: float, north: float, climb: float,
    wind_east: float, wind_north: float, roughness: float,
) -> None:  # fmt: skip
    start, wind = np.array([east, north, climb]), np.array([wind_east, wind_north])
    x, y, seconds, speed = solved(mass, area, density, height, start, wind, roughness)
    fall = fall_to_ground(mass, area, density, height, east, north, climb, wind_east, wind_north, roughness)
    path_m = height + math.hypot(x, y)
    assert math.hypot(float(fall.x_m) - x, float(fall.y_m) - y) <= 1e-6 * path_m
    assert float(fall.fall_s) == pytest.approx(seconds, rel=1e-6)
    assert float(fall.speed_mps) == pytest.approx(speed, rel=1e-6)


def test_the_brief_s_longer_steps_are_good_to_a_ten_thousandth() -> None:
    random = np.random.default_rng(3)
    count = 2000
    ends = ((0.03, 2.0), (0.003, 0.08), (0.9, 1.25), (1.0, 400.0), (-20.0, 20.0), (-20.0, 20.0), (-5.0, 5.0),
            (-12.0, 12.0), (-12.0, 12.0))  # fmt: skip
    mass, area, density, height, east, north, up, wind_e, wind_n = (random.uniform(*each, count) for each in ends)
    fine, quick = (
        fall_to_ground(mass, area, density, height, east, north, up, wind_e, wind_n, 0.05, step_share=share)
        for share in (0.01, 0.15)
    )
    path = height + np.hypot(fine.x_m, fine.y_m)
    assert (np.hypot(quick.x_m - fine.x_m, quick.y_m - fine.y_m) / path).max() < 1e-4
    assert np.abs(quick.speed_mps / fine.speed_mps - 1.0).max() < 1e-4
    assert np.abs(quick.fall_s / fine.fall_s - 1.0).max() < 1e-4


def test_a_fall_ends_on_a_slope() -> None:
    # Geometry: no drag, 20 m over a plane that falls 1 in 2 to the east: 20 - g t²/2 meets -x/2 at x = v t.
    x = np.arange(0.0, 210.0, 10.0)
    slope = TerrainGrid(np.tile(-0.5 * x, (3, 1)).astype(np.float32), 0.0, 10.0, 10.0)
    fall = fall_to_ground(1.0, 0.0, 1.2, 20.0, 10.0, 0.0, 0.0, 0.0, 0.0, 0.03, 0.0, 0.0, slope)
    seconds = (5.0 + math.sqrt(25.0 + 2.0 * constants.g * 20.0)) / constants.g
    assert float(fall.fall_s) == pytest.approx(seconds, rel=1e-6)
    assert float(fall.x_m) == pytest.approx(10.0 * seconds, rel=1e-6)


def test_the_laws_units_are_exact() -> None:
    # scipy.constants (CODATA and the international pound and foot).
    assert pytest.approx(constants.pound, rel=1e-12) == POUND_KG
    assert pytest.approx(constants.foot * constants.pound * constants.g, rel=1e-12) == FOOT_POUND_J


def test_thresholds_are_those_of_the_laws() -> None:
    # 14 CFR 107.110(a)(1): 0.55 pounds; 107.120(a)(1): 11 foot-pounds; 107.130(a)(1): 25 foot-pounds.
    # (EU) 2019/945, annex: C0 under 250 g and 19 m/s; C1 under 900 g or 80 J (second-hand).
    held = {row.key: row.value for row in PUBLISHED}
    assert held == {
        "energy.cfr_107_110": pytest.approx(0.2495, abs=5e-5),
        "energy.cfr_107_120": pytest.approx(14.914, abs=5e-4),
        "energy.cfr_107_130": pytest.approx(33.895, abs=5e-4),
        "energy.eu_c0_mass": 0.25,
        "energy.eu_c0_speed": 19.0,
        "energy.eu_c1_mass": 0.9,
        "energy.eu_c1_energy": 80.0,
    }
    assert [row.unit for row in PUBLISHED] == ["kg", "J", "J", "kg", "m/s", "kg", "J"]
