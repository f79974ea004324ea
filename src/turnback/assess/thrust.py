"""What motors, propellers and pack give together: full output, hover output, greatest level speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.physics.air import SEA_LEVEL_PRESSURE_PA, SEA_LEVEL_TEMPERATURE_K, density_kg_m3
from turnback.physics.cell import resistance_ohm
from turnback.physics.motor import Motor, MotorState, Supply, at_output, output_for_speed
from turnback.physics.propeller import (
    rotor_speed_for_thrust_rad_s,
    static_power_coefficient,
    static_thrust_coefficient,
    thrust_constant_n_s2,
    thrust_n,
    torque_constant_nm_s2,
)
from turnback.physics.rotor import level_speed_limit_mps
from turnback.rules.chemistry import Chemistry

Array = NDArray[np.float64]

FIT_STEPS = 8  # halves the misfit each step: 0.4 % left of a factor of two
PITCH_SPEED_SHARE = 0.85  # of pitch speed: nearer to it a propeller no longer pulls (our choice)
LEAST_SHARE, MOST_SHARE = 0.4, 1.2  # of the estimate: no propeller of that shape lies outside (our choice)
BELOW_THE_FIT = 0.95  # less of the declared thrust than this was fitted: the fit met its least share
_SEA_LEVEL_KG_M3 = float(density_kg_m3(SEA_LEVEL_TEMPERATURE_K, SEA_LEVEL_PRESSURE_PA))


@dataclass(frozen=True, slots=True)
class Thrust:
    """Each array has shape ``(j,)``."""

    thrust_coefficient: Array
    most_n: Array
    """All rotors, full output, pack as it is."""
    margin_ratio: Array
    hover_output_fraction: Array
    """Above 1, or infinite, where the pack cannot hold a hover."""
    full_pack_current_a: Array
    full_motor_current_a: Array
    full_sag_v: Array
    """Rest minus loaded volts of one cell at full output."""
    most_level_mps: Array


def warm_resistance_ohm(draws: DrawSet, chemistry: Chemistry) -> Array:
    """Return the ohmic resistance of one half-full cell at the pack's temperature, shape ``(j,)``."""
    return resistance_ohm(draws["pack.resistance_ohm"], 0.5, draws["pack.temperature_c"], chemistry)


def thrust_of(draws: DrawSet, chemistry: Chemistry) -> Thrust:
    """Return the equilibrium of motors, propellers and pack in every draw.

    The propeller's thrust coefficient starts at its geometry's estimate and is fitted so that one motor on a full
    pack at sea level gives the static thrust declared, or typical of the class: small propellers stray too far from
    the estimate.
    """
    craft, cells = draws.world.aircraft, draws.world.pack.cells
    ohm = warm_resistance_ohm(draws, chemistry) * cells
    motor = Motor(
        draws["aircraft.speed_constant_rpm_per_v"],
        draws["aircraft.motor_resistance_ohm"],
        draws["aircraft.no_load_current_a"],
    )
    full = Supply(chemistry.full_v * cells, ohm, craft.rotors)
    coefficient = _fitted_coefficient(draws, motor, full)
    today = Supply(draws["pack.rest_v"] * cells, ohm, craft.rotors)
    state, k_thrust, k_torque = _full_output(draws, motor, today, coefficient, draws.density_kg_m3)
    most = craft.rotors * thrust_n(k_thrust, state.rotor_speed_rad_s) * _below_the_fit(draws, motor, full, coefficient)
    hover = rotor_speed_for_thrust_rad_s(draws.weight_n() / craft.rotors, k_thrust)
    halfway = Supply(chemistry.nominal_v * cells, ohm, craft.rotors)
    output = output_for_speed(motor, k_torque, np.minimum(hover, 12_000.0), halfway)
    if craft.thrust_curve:
        output = _bench_output(draws)
    return Thrust(
        thrust_coefficient=coefficient,
        most_n=np.asarray(most),
        margin_ratio=np.asarray(most / draws.weight_n()),
        hover_output_fraction=np.where(np.isnan(output), np.inf, output),
        full_pack_current_a=state.pack_current_a,
        full_motor_current_a=state.current_a,
        full_sag_v=draws["pack.rest_v"] - state.loaded_v / cells,
        most_level_mps=np.minimum(
            level_speed_limit_mps(most, draws.mass_kg, draws.density_kg_m3, draws["aircraft.drag_area_m2"]),
            PITCH_SPEED_SHARE * state.rotor_speed_rad_s / (2.0 * np.pi) * craft.propeller_pitch_m,
        ),
    )


def _bench_output(draws: DrawSet) -> Array:
    """Return the hover output that a declared thrust curve gives; not a number beyond its last point."""
    craft = draws.world.aircraft
    thrust = [point.thrust_n for point in craft.thrust_curve]
    output = [point.output_fraction for point in craft.thrust_curve]
    return np.asarray(np.interp(draws.weight_n() / craft.rotors, thrust, output, right=np.nan))


def _fitted_coefficient(draws: DrawSet, motor: Motor, supply: Supply) -> Array:
    craft = draws.world.aircraft
    start = float(static_thrust_coefficient(craft.propeller_diameter_m, craft.propeller_pitch_m, craft.blades))
    coefficient = np.full(draws.count, start)
    wanted = draws["aircraft.static_thrust_n"]
    for _ in range(FIT_STEPS):
        state, k_thrust, _ = _full_output(draws, motor, supply, coefficient, _SEA_LEVEL_KG_M3)
        got = thrust_n(k_thrust, state.rotor_speed_rad_s)
        coefficient = np.clip(coefficient * (wanted / got) ** 1.3, LEAST_SHARE * start, MOST_SHARE * start)
    return coefficient


def _below_the_fit(draws: DrawSet, motor: Motor, supply: Supply, coefficient: Array) -> Array:
    """Return the share of the fitted thrust that is left where less is declared than any such propeller gives.

    No propeller of that shape explains such a curve, but what was declared goes first: nobody may fly on more.
    """
    state, k_thrust, _ = _full_output(draws, motor, supply, coefficient, _SEA_LEVEL_KG_M3)
    share = draws["aircraft.static_thrust_n"] / thrust_n(k_thrust, state.rotor_speed_rad_s)
    return np.where(share < BELOW_THE_FIT, share, 1.0)


def _full_output(
    draws: DrawSet, motor: Motor, supply: Supply, coefficient: Array, density: Array | float
) -> tuple[MotorState, Array, Array]:
    diameter = draws.world.aircraft.propeller_diameter_m
    k_thrust = thrust_constant_n_s2(coefficient, density, diameter)
    power = static_power_coefficient(coefficient, draws["aircraft.figure_of_merit"])
    k_torque = torque_constant_nm_s2(power, density, diameter)
    return at_output(motor, k_torque, 1.0, supply), k_thrust, k_torque
