"""Motor: three constants against a propeller's torque, at a voltage or on a pack that sags.

The circuit, for one of n equal motors at an output fraction u (the speed control chops the pack's voltage, and gives
u V at the motor while drawing u I from the pack):

    u V = ω / K + R I,   I = I₀ + K Q,   Q = k_Q ω²,   V = E - R_p (n u I + I_b)

with K in rad/s per volt. It is a quadratic in ω with one root of use. First-order motor model: Drela, First-Order DC
Electric Motor Model, MIT, 2007. What it leaves out: speed-control losses (part of the resistance, or of the electrical
efficiency of `turnback.physics.rotor`), iron losses that grow with speed, warm windings, and inflow in fast flight.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within

Array = NDArray[np.float64]


class Motor(NamedTuple):
    """Three constants of one motor; arrays that broadcast with the rest."""

    speed_constant_rpm_per_v: Any
    resistance_ohm: Any
    """Winding, speed control and leads."""
    no_load_current_a: Any


class Supply(NamedTuple):
    """What feeds the motors; arrays that broadcast with the rest.

    With a resistance of 0, `open_v` is the loaded voltage.
    """

    open_v: Any
    """Volts of the whole pack behind its resistance."""
    resistance_ohm: Any = 0.0
    """Of the whole pack and its leads."""
    motors: Any = 1.0
    other_current_a: Any = 0.0
    """Board, camera and radios, from the pack."""


class MotorState(NamedTuple):
    """Equilibrium; every array has the broadcast shape."""

    rotor_speed_rad_s: Array
    torque_nm: Array
    """Of one propeller."""
    current_a: Array
    """Of one motor."""
    pack_current_a: Array
    loaded_v: Array
    """Of the whole pack."""
    shaft_w: Array
    """Of one motor."""
    efficiency: Array
    """Shaft power over power into the motor; 0 at rest."""


def _motor(motor: Motor) -> tuple[Array, Array, Array]:
    """Return K in rad/s per volt, resistance and no-load current, verified."""
    constant = within("speed_constant_rpm_per_v", motor.speed_constant_rpm_per_v, 50.0, 60_000.0, "rpm/V")
    ohm = within("resistance_ohm", motor.resistance_ohm, 1e-4, 10.0, "ohm", "enter ohms, not milliohms")
    idle = within("no_load_current_a", motor.no_load_current_a, 0.0, 20.0, "A", "enter amperes, not milliamperes")
    return constant * (np.pi / 30.0), ohm, idle


def _supply(supply: Supply) -> tuple[Array, Array, Array, Array]:
    """Return volts behind pack resistance and other loads, pack resistance, motors, other current, verified."""
    volts = within("open_v", supply.open_v, 0.5, 120.0, "V", "enter volts of the whole pack")
    ohm = within("supply.resistance_ohm", supply.resistance_ohm, 0.0, 10.0, "ohm", "enter ohms, not milliohms")
    count = within("motors", supply.motors, 1.0, 16.0, "")
    other = within("other_current_a", supply.other_current_a, 0.0, 50.0, "A")
    return volts - ohm * other, ohm, count, other


def _torque_constant(value: Any) -> Array:
    return within("torque_constant_nm_s2", value, 1e-14, 1.0, "N m s²/rad²")


def at_output(motor: Motor, torque_constant_nm_s2: Any, output_fraction: Any, supply: Supply) -> MotorState:
    """Return where motor, propeller and pack settle at an output fraction.

    Parameters
    ----------
    motor : Motor
        50 to 60,000 rpm/V, 0.0001 to 10 ohm, 0 to 20 A.
    torque_constant_nm_s2 : array_like
        k of Q = k ω², see `turnback.physics.propeller.torque_constant_nm_s2`.
    output_fraction : array_like
        0 to 1.
    supply : Supply
        0.5 to 120 V, 0 to 10 ohm.

    Raises
    ------
    InputError
        Outside those ranges.

    Notes
    -----
    (R + u² n R_p) K k_Q ω² + ω / K - (u E - (R + u² n R_p) I₀) = 0, from the module's circuit, in the form of the root
    that loses no digits. Where the voltage cannot overcome the no-load current the motor stands.
    """
    constant, ohm, idle = _motor(motor)
    volts, pack_ohm, count, other = _supply(supply)
    torque_k = _torque_constant(torque_constant_nm_s2)
    output = within("output_fraction", output_fraction, 0.0, 1.0, "", "enter a share: 40 % is 0.4")
    path = ohm + output**2 * count * pack_ohm
    drive = np.maximum(output * volts - path * idle, 0.0)
    inverse = 1.0 / constant
    speed = 2.0 * drive / (inverse + np.sqrt(inverse**2 + 4.0 * path * constant * torque_k * drive))
    torque = torque_k * speed**2
    current = np.where(speed > 0.0, idle + constant * torque, np.maximum(output * volts, 0.0) / path)
    pack_current = count * output * current + other
    motor_w = current * (speed * inverse + ohm * current)
    shaft = speed * torque
    efficiency = np.divide(shaft, motor_w, out=np.zeros_like(shaft), where=speed > 0.0)
    # The other loads' sag is in `volts` already.
    return _shaped(speed, torque, current, pack_current, volts - pack_ohm * (pack_current - other), shaft, efficiency)


def _shaped(*arrays: Array) -> MotorState:
    return MotorState(*(np.array(array) for array in np.broadcast_arrays(*arrays)))


def current_at_speed_a(motor: Motor, torque_constant_nm_s2: Any, rotor_speed_rad_s: Any) -> Array:
    """Return the current of one motor that holds a rotor speed, I₀ + K k_Q ω² (the module's circuit)."""
    constant, _, idle = _motor(motor)
    speed = within("rotor_speed_rad_s", rotor_speed_rad_s, 0.0, 12_000.0, "rad/s", "enter radians per second, not rpm")
    return np.asarray(idle + constant * _torque_constant(torque_constant_nm_s2) * speed**2)


def output_for_speed(motor: Motor, torque_constant_nm_s2: Any, rotor_speed_rad_s: Any, supply: Supply) -> Array:
    """Return the output fraction at which the propellers turn at a rotor speed: hover output, for one.

    Parameters
    ----------
    motor, torque_constant_nm_s2, supply
        As for `at_output`.
    rotor_speed_rad_s : array_like
        See `turnback.physics.propeller.rotor_speed_for_thrust_rad_s`.

    Returns
    -------
    ndarray
        Above 1 where the voltage is too low for it; NaN where the pack's resistance lets no output reach it.

    Notes
    -----
    n R_p I u² - E u + (ω / K + R I) = 0, from the module's circuit, the lower root.
    """
    constant, ohm, _ = _motor(motor)
    volts, pack_ohm, count, _ = _supply(supply)
    current = current_at_speed_a(motor, torque_constant_nm_s2, rotor_speed_rad_s)
    needed = np.asarray(rotor_speed_rad_s, dtype=np.float64) / constant + ohm * current
    square = volts**2 - 4.0 * count * pack_ohm * current * needed
    reached = (square >= 0.0) & (volts > 0.0)
    root = np.where(reached, volts + np.sqrt(np.maximum(square, 0.0)), 1.0)
    return np.where(reached, 2.0 * needed / root, np.nan)


def output_at_current_limit(motor: Motor, torque_constant_nm_s2: Any, current_limit_a: Any, supply: Supply) -> Array:
    """Return the greatest output fraction, 1 at most, that keeps each motor within a current limit.

    Parameters
    ----------
    motor, torque_constant_nm_s2, supply
        As for `at_output`.
    current_limit_a : array_like
        Of one motor or its speed control, 0.01 to 500 A; at or below the no-load current the answer is 0.

    Notes
    -----
    ω = sqrt((I - I₀) / (K k_Q)), then `output_for_speed` (the module's circuit).
    """
    constant, _, idle = _motor(motor)
    limit = within("current_limit_a", current_limit_a, 0.01, 500.0, "A", "enter amperes of one motor")
    torque_k = _torque_constant(torque_constant_nm_s2)
    speed = np.minimum(np.sqrt(np.maximum(limit - idle, 0.0) / (constant * torque_k)), 12_000.0)
    output = output_for_speed(motor, torque_constant_nm_s2, speed, supply)
    return np.where(limit <= idle, 0.0, np.minimum(np.where(np.isnan(output), 1.0, output), 1.0))


def thrust_margin_ratio(thrust_n: Any, weight_n: Any) -> Array:
    """Return the greatest thrust of all propellers over weight (definition, common practice).

    Parameters
    ----------
    thrust_n : array_like
        Of all propellers at full, or current-limited, output and the voltage that is then left; 0 to 5000 N.
    weight_n : array_like
        0.05 to 500 N.
    """
    thrust = within("thrust_n", thrust_n, 0.0, 5000.0, "N", "enter newtons, not grams")
    return np.asarray(thrust / within("weight_n", weight_n, 0.05, 500.0, "N", "enter newtons, not kilograms"))
