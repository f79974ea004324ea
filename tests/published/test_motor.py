"""Motor, held against another library's motor and scipy's roots of the circuit."""

import math

import numpy as np
import pytest
from aerosandbox.library.propulsion_electric import motor_electric_performance
from scipy import optimize

from turnback.physics.motor import (
    Motor,
    Supply,
    at_output,
    current_at_speed_a,
    output_at_current_limit,
    output_for_speed,
    thrust_margin_ratio,
)

pytestmark = pytest.mark.published

MOTOR = Motor(1900.0, 0.075, 1.1)
TORQUE_K = 1.4e-8
PACK = Supply(24.6, 0.030, 4.0, 0.5)
CASES = [
    (MOTOR, TORQUE_K, PACK),
    (Motor(2450.0, 0.06, 1.2), 1.2e-8, Supply(16.4, 0.022, 4.0, 0.6)),
    (Motor(19_000.0, 0.25, 0.35), 2.5e-11, Supply(4.1, 0.045, 4.0, 0.7)),
]


def _circuit(motor: Motor, torque_k: float, output: float, supply: Supply) -> tuple[float, float, float]:
    """Return rotor speed, motor current and loaded volts: the circuit's equations as they stand, by scipy."""
    volts_per_rad_s = 60.0 / (2.0 * math.pi * motor.speed_constant_rpm_per_v)

    def miss(unknown: np.ndarray) -> list[float]:
        speed, amps, volts = unknown[0] * 1000.0, unknown[1], unknown[2]
        pack = supply.motors * output * amps + supply.other_current_a
        return [
            output * volts - motor.resistance_ohm * amps - volts_per_rad_s * speed,
            (amps - motor.no_load_current_a) * volts_per_rad_s * 1e3 - torque_k * speed**2 * 1e3,
            supply.open_v - supply.resistance_ohm * pack - volts,
        ]

    guess = [0.7 * output * supply.open_v / volts_per_rad_s / 1000.0, 5.0, supply.open_v]
    speed, amps, volts = optimize.fsolve(miss, guess, xtol=1e-11)
    return float(speed) * 1000.0, float(amps), float(volts)


@pytest.mark.parametrize("output", [0.25, 0.6, 1.0])
@pytest.mark.parametrize("case", range(len(CASES)))
def test_closed_form_against_scipy(case: int, output: float) -> None:
    motor, torque_k, supply = CASES[case]
    speed, amps, volts = _circuit(motor, torque_k, output, supply)
    ours = at_output(motor, torque_k, output, supply)
    assert float(ours.rotor_speed_rad_s) == pytest.approx(speed, rel=1e-8)
    assert float(ours.current_a) == pytest.approx(amps, rel=1e-8)
    assert float(ours.loaded_v) == pytest.approx(volts, rel=1e-8)
    assert float(ours.pack_current_a) == pytest.approx(4.0 * output * amps + supply.other_current_a, rel=1e-8)
    assert float(output_for_speed(motor, torque_k, speed, supply)) == pytest.approx(output, rel=1e-7)


@pytest.mark.parametrize("volts", [6.0, 14.8, 24.0])
def test_another_librarys_motor(volts: float) -> None:
    # aerosandbox: at the terminal voltage and our rotor speed its current, torque and efficiency must be ours.
    ours = at_output(MOTOR, TORQUE_K, 1.0, Supply(volts))
    rpm = float(ours.rotor_speed_rad_s) * 30.0 / math.pi
    peer = motor_electric_performance(voltage=volts, rpm=rpm, kv=1900.0, resistance=0.075, no_load_current=1.1)
    assert float(ours.current_a) == pytest.approx(peer["current"], rel=1e-9)
    assert float(ours.torque_nm) == pytest.approx(peer["torque"], rel=1e-9)
    assert float(ours.shaft_w) == pytest.approx(peer["shaft power"], rel=1e-9)
    assert float(ours.efficiency) == pytest.approx(peer["efficiency"], rel=1e-9)
    assert float(ours.torque_nm) == pytest.approx(TORQUE_K * float(ours.rotor_speed_rad_s) ** 2, rel=1e-12)


def test_current_at_a_speed_by_another_library() -> None:
    torque = TORQUE_K * 2200.0**2
    peer = motor_electric_performance(
        rpm=2200.0 * 30.0 / math.pi, torque=torque, kv=1900.0, resistance=0.075, no_load_current=1.1
    )
    assert float(current_at_speed_a(MOTOR, TORQUE_K, 2200.0)) == pytest.approx(peer["current"], rel=1e-12)


def test_best_efficiency_of_the_textbook() -> None:
    # A motor of three constants is best at I = sqrt(V I0 / R), where its efficiency is (1 - sqrt(I0 R / V))²
    # (textbook; Drela's motor theory). At 14.8 V: 14.73 A and 85.6 %.
    states = at_output(MOTOR, np.geomspace(1e-11, 1e-6, 20_001), 1.0, Supply(14.8))
    best = int(states.efficiency.argmax())
    assert float(states.efficiency[best]) == pytest.approx((1.0 - math.sqrt(1.1 * 0.075 / 14.8)) ** 2, abs=1e-6)
    assert float(states.current_a[best]) == pytest.approx(math.sqrt(14.8 * 1.1 / 0.075), rel=2e-3)
    assert float(states.efficiency[best]) == pytest.approx(0.856, abs=5e-4)


def test_current_limit_against_scipy() -> None:
    motor, torque_k, supply = CASES[0]
    least = float(_circuit(motor, torque_k, 1.0, supply)[1])
    assert least > 25.0
    found = optimize.brentq(lambda u: _circuit(motor, torque_k, u, supply)[1] - 25.0, 0.2, 1.0, xtol=1e-10)
    assert float(output_at_current_limit(motor, torque_k, 25.0, supply)) == pytest.approx(found, abs=1e-7)
    assert float(output_at_current_limit(motor, torque_k, 400.0, supply)) == 1.0


def test_thrust_margin_of_the_definition() -> None:
    # Common practice: four times 1.2 kgf on 0.8 kg is a margin of six.
    assert float(thrust_margin_ratio(4.0 * 1.2 * 9.80665, 0.8 * 9.80665)) == pytest.approx(6.0, rel=1e-12)
