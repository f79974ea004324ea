"""Properties of motor and pack: energy is conserved, more output turns faster, the inverse undoes it."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.physics.motor import (
    Motor,
    Supply,
    at_output,
    current_at_speed_a,
    output_at_current_limit,
    output_for_speed,
)
from turnback.physics.propeller import (
    rotor_speed_for_thrust_rad_s,
    static_power_coefficient,
    static_thrust_coefficient,
    thrust_constant_n_s2,
    thrust_n,
    torque_constant_nm_s2,
)

motors = st.builds(Motor, st.floats(1000.0, 4000.0), st.floats(0.03, 0.2), st.floats(0.3, 2.0))
supplies = st.builds(Supply, st.floats(10.0, 26.0), st.floats(0.0, 0.08), st.just(4.0), st.floats(0.0, 1.5))
torques = st.floats(1e-9, 5e-8)
outputs = st.floats(0.3, 1.0)


@given(motors, torques, outputs, supplies)
def test_energy_is_conserved(motor: Motor, torque_k: float, output: float, supply: Supply) -> None:
    state = at_output(motor, torque_k, output, supply)
    from_pack = supply.open_v * state.pack_current_a
    sag_heat = supply.resistance_ohm * state.pack_current_a**2
    others = state.loaded_v * supply.other_current_a
    copper = motor.resistance_ohm * state.current_a**2
    friction = motor.no_load_current_a * state.rotor_speed_rad_s * 30.0 / np.pi / motor.speed_constant_rpm_per_v
    assert float(from_pack) == pytest.approx(
        float(sag_heat + others + 4.0 * (copper + friction + state.shaft_w)), rel=1e-9
    )
    assert 0.0 < float(state.efficiency) < 1.0
    assert float(state.loaded_v) <= supply.open_v


@given(motors, torques, outputs, supplies)
def test_no_pack_resistance_keeps_the_volts(motor: Motor, torque_k: float, output: float, supply: Supply) -> None:
    stiff = supply._replace(resistance_ohm=0.0)
    state = at_output(motor, torque_k, output, stiff)
    assert float(state.loaded_v) == pytest.approx(supply.open_v, rel=1e-12)
    sagging = at_output(motor, torque_k, output, supply)
    assert float(sagging.rotor_speed_rad_s) <= float(state.rotor_speed_rad_s) * (1.0 + 1e-12)
    same = at_output(motor, torque_k, output, stiff._replace(open_v=sagging.loaded_v))
    assert float(same.rotor_speed_rad_s) == pytest.approx(float(sagging.rotor_speed_rad_s), rel=1e-9)


@given(motors, torques, st.floats(0.3, 0.95), st.floats(0.001, 0.05), supplies)
def test_more_output_turns_faster_on_a_stiff_supply(
    motor: Motor, torque_k: float, output: float, more: float, supply: Supply
) -> None:
    stiff = supply._replace(resistance_ohm=0.0)
    less, greater = (at_output(motor, torque_k, u, stiff) for u in (output, output + more))
    assert float(greater.rotor_speed_rad_s) > float(less.rotor_speed_rad_s)
    assert float(greater.current_a) > float(less.current_a)


@given(motors, torques, st.floats(100.0, 1500.0), supplies)
def test_output_for_a_speed_gives_that_speed(motor: Motor, torque_k: float, speed: float, supply: Supply) -> None:
    output = float(output_for_speed(motor, torque_k, speed, supply))
    if np.isfinite(output) and output <= 1.0:
        state = at_output(motor, torque_k, output, supply)
        assert float(state.rotor_speed_rad_s) == pytest.approx(speed, rel=1e-8)
        assert float(state.current_a) == pytest.approx(float(current_at_speed_a(motor, torque_k, speed)), rel=1e-8)


@given(motors, torques, st.floats(3.0, 60.0), supplies)
def test_current_limit_is_kept(motor: Motor, torque_k: float, limit: float, supply: Supply) -> None:
    output = float(output_at_current_limit(motor, torque_k, limit, supply))
    assert 0.0 <= output <= 1.0
    assert float(at_output(motor, torque_k, output, supply).current_a) <= limit * (1.0 + 1e-8)


@given(st.floats(0.3, 1.0), st.floats(1.01, 1.3))
def test_heavier_hovers_at_more_output(mass_kg: float, more: float) -> None:
    coefficient = static_thrust_coefficient(0.127, 0.109, 3)
    lift = thrust_constant_n_s2(coefficient, 1.225, 0.127)
    turn = torque_constant_nm_s2(static_power_coefficient(coefficient, 0.52), 1.225, 0.127)
    speeds = rotor_speed_for_thrust_rad_s(np.array([mass_kg, mass_kg * more]) * 9.80665 / 4.0, lift)
    motor, supply = Motor(1900.0, 0.075, 1.1), Supply(24.0, 0.03, 4.0, 0.5)
    outputs_needed = output_for_speed(motor, turn, speeds, supply)
    assert 0.0 < outputs_needed[0] < outputs_needed[1] < 1.0
    hover = at_output(motor, turn, outputs_needed, supply)
    assert thrust_n(lift, hover.rotor_speed_rad_s) * 4.0 == pytest.approx(
        np.array([mass_kg, mass_kg * more]) * 9.80665, rel=1e-8
    )


def test_pack_that_cannot_deliver_is_not_a_number() -> None:
    weak = Supply(15.0, 0.5, 4.0, 0.0)
    assert np.isnan(float(output_for_speed(Motor(2450.0, 0.06, 1.2), 1.2e-8, 2500.0, weak)))
    assert float(output_for_speed(Motor(2450.0, 0.06, 1.2), 1.2e-8, 3800.0, Supply(15.0))) > 1.0


def test_motor_with_no_output_stands() -> None:
    state = at_output(Motor(2450.0, 0.06, 1.2), 1.2e-8, np.array([0.0, 0.003]), Supply(15.0, 0.02, 4.0, 0.5))
    assert state.rotor_speed_rad_s == pytest.approx([0.0, 0.0])
    assert state.efficiency == pytest.approx([0.0, 0.0])
    assert state.pack_current_a[0] == pytest.approx(0.5)
    assert state.loaded_v[0] == pytest.approx(15.0 - 0.02 * 0.5)


def test_limit_below_the_no_load_current_allows_nothing() -> None:
    assert float(output_at_current_limit(Motor(2450.0, 0.06, 1.2), 1.2e-8, 1.0, Supply(15.0))) == 0.0


def test_shapes_broadcast() -> None:
    motor = Motor(np.full((3, 1), 2000.0), 0.06, 1.0)
    state = at_output(motor, np.full(4, 1.2e-8), 0.5, Supply(16.0, 0.02, 4.0, 0.5))
    assert all(row.shape == (3, 4) for row in state)


def test_milliohms_are_caught() -> None:
    with pytest.raises(InputError, match="milliohms"):
        at_output(Motor(2000.0, 60.0, 1.0), 1.2e-8, 0.5, Supply(16.0))
