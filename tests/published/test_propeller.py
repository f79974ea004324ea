"""Propeller estimate, held against wind-tunnel tests of the University propeller database (Brandt et al.)."""

import numpy as np
import pytest
from rotorpy.vehicles.hummingbird_params import quad_params
from scipy import constants

from turnback.physics.propeller import (
    rotor_speed_for_thrust_rad_s,
    static_power_coefficient,
    static_thrust_coefficient,
    thrust_constant_n_s2,
    thrust_lapse,
    thrust_n,
    torque_constant_nm_s2,
    torque_nm,
)

pytestmark = pytest.mark.published

# Static tests at the highest speed of each run: diameter and pitch in inches, C_T, C_P; two blades.
STATIC = np.array(
    [
        (5.0, 4.3, 0.161965, 0.103276),
        (5.0, 3.0, 0.112450, 0.044713),
        (3.0, 3.0, 0.194753, 0.143404),
        (5.0, 3.5, 0.111783, 0.047114),
        (4.2, 4.0, 0.129241, 0.106961),
        (4.0, 2.7, 0.110782, 0.065820),
        (3.2, 2.2, 0.125828, 0.059879),
        (4.0, 2.5, 0.128118, 0.058964),
        (5.0, 4.0, 0.183602, 0.121119),
        (5.0, 3.75, 0.117500, 0.073174),
    ]
)
# Sweeps of advance: pitch over diameter, static C_T, then J and C_T.
SWEEPS = {
    "5x3": (0.6, 0.1125, [(0.062356, 0.105061), (0.186632, 0.084950), (0.310380, 0.062254), (0.436269, 0.035830),
                          (0.563314, 0.005777)]),
    "3x3": (1.0, 0.1948, [(0.087071, 0.189525), (0.233974, 0.170541), (0.380361, 0.144176), (0.527646, 0.114644),
                          (0.588285, 0.100087)]),
    "4x2.7": (0.675, 0.1108, [(0.089462, 0.098852), (0.211133, 0.077416), (0.330486, 0.048912),
                              (0.458487, 0.021238), (0.518111, 0.006366)]),
    "5x4.3": (0.86, 0.1620, [(0.603163, 0.047293), (0.676211, 0.028110), (0.749224, 0.009846)]),
}  # fmt: skip
INCH_M = constants.inch


def test_static_thrust_within_its_band() -> None:
    diameter, pitch, measured, _ = STATIC.T
    ratio = measured / static_thrust_coefficient(diameter * INCH_M, pitch * INCH_M, 2)
    assert ratio.min() > 0.70
    assert ratio.max() < 1.30
    assert ratio.mean() == pytest.approx(1.0, abs=0.05)
    assert ratio.std() < 0.16


def test_figure_of_merit_of_the_measured_ones() -> None:
    # The definition, thrust to power with measured C_T and C_P in SI, must be what the C_P of that merit gives back.
    diameter_m, _, thrust, power = STATIC.T * np.array([[INCH_M], [INCH_M], [1.0], [1.0]])
    newton = thrust * 1.225 * 150.0**2 * diameter_m**4
    watt = power * 1.225 * 150.0**3 * diameter_m**5
    merit = newton**1.5 / np.sqrt(2.0 * 1.225 * np.pi * diameter_m**2 / 4.0) / watt
    assert static_power_coefficient(thrust, merit) == pytest.approx(power, rel=1e-9)
    # 42 propellers of the database: median 0.52, 10 to 90 % 0.35 to 0.63; these ten lie about there.
    assert float(np.median(merit)) == pytest.approx(0.52, abs=0.04)
    assert merit.min() > 0.34
    assert merit.max() < 0.68


def test_three_blades_give_a_third_more() -> None:
    # Blade-element momentum theory of an ideally twisted blade (Leishman, section 3.3), lift slope 5 (low Reynolds
    # numbers), solidity 0.055 a blade, at the measured two-blade C_T 0.155 (p / D 0.86): solved here for 3 and 4.
    def coefficient(blades: int, pitch_angle: float) -> float:
        part = 0.055 * blades * 5.0 / 16.0
        inflow = part * (np.sqrt(1.0 + 2.0 * pitch_angle / part) - 1.0)
        return float(2.0 * inflow**2 * np.pi**3 / 4.0)

    angles = np.linspace(0.05, 0.6, 20_000)
    two = np.array([coefficient(2, angle) for angle in angles])
    angle = float(angles[np.abs(two - 0.155).argmin()])
    ours = static_thrust_coefficient(0.127, 0.109, np.array([2, 3, 4]))
    assert ours[1] / ours[0] == pytest.approx(coefficient(3, angle) / 0.155, rel=0.02)
    assert ours[2] / ours[0] == pytest.approx(coefficient(4, angle) / 0.155, rel=0.03)


@pytest.mark.parametrize("name", SWEEPS)
def test_thrust_falls_with_advance_as_measured(name: str) -> None:
    pitch_ratio, static, rows = SWEEPS[name]
    advance, measured = np.array(rows).T
    # J = V / (n D) with D 0.127 m and 150 revolutions per second.
    ours = thrust_lapse(advance * 150.0 * 0.127, 2.0 * np.pi * 150.0, pitch_ratio * 0.127)
    # The worst of the four, near the end of its thrust, is 0.185 off.
    assert ours == pytest.approx(measured / static, abs=0.19)


def test_constants_of_a_flight_simulators_preset() -> None:
    # rotorpy's small quad: k_eta 5.57e-6, k_m 1.36e-7, rotor radius 0.1 m, hovers at 469.204 rad/s (its g is 9.81).
    weight_n = quad_params["mass"] * 9.81
    speed = float(rotor_speed_for_thrust_rad_s(weight_n / 4.0, quad_params["k_eta"]))
    assert speed == pytest.approx(469.204, abs=5e-4)
    assert float(thrust_n(quad_params["k_eta"], 469.204)) == pytest.approx(weight_n / 4.0, rel=1e-5)
    assert float(torque_nm(quad_params["k_m"], 469.204)) == pytest.approx(1.36e-7 * 469.204**2, rel=1e-12)
    # Coefficients by their definitions, written out in revolutions per second, give its constants back.
    turns = 469.204 / (2.0 * np.pi)
    c_t = (weight_n / 4.0) / (1.225 * turns**2 * 0.2**4)
    c_p = 1.36e-7 * 469.204**3 / (1.225 * turns**3 * 0.2**5)
    assert float(thrust_constant_n_s2(c_t, 1.225, 0.2)) == pytest.approx(quad_params["k_eta"], rel=1e-5)
    assert float(torque_constant_nm_s2(c_p, 1.225, 0.2)) == pytest.approx(quad_params["k_m"], rel=1e-9)
    # Its figure of merit, 0.348, is that of the poor end of the database (0.35).
    merit = np.sqrt(2.0 / np.pi) * c_t**1.5 / c_p
    assert float(static_power_coefficient(c_t, merit)) == pytest.approx(c_p, rel=1e-9)
    assert merit == pytest.approx(0.35, abs=0.01)
