"""Rotor, held against textbook momentum theory, another library, and a flight simulator flown here."""

import math

import numpy as np
import pytest
from aerosandbox.library.propulsion_propeller import propeller_shaft_power_from_thrust
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor
from scipy import constants, optimize
from scipy.spatial.transform import Rotation

from turnback.physics.rotor import (
    disc_area_m2,
    flight_power,
    hover_induced_mps,
    hover_power_w,
    induced_mps,
    level_speed_limit_mps,
)

pytestmark = pytest.mark.published

WEIGHT_N = 0.7 * constants.g
FOUR_FIVES_M2 = 0.050671
RHO = 1.225
DRAG_AREA_M2 = 0.017


def test_area_of_four_discs_of_five_inches() -> None:
    assert float(disc_area_m2(5.0 * constants.inch, 4)) == pytest.approx(FOUR_FIVES_M2, abs=5e-7)


def test_hover_by_momentum_theory() -> None:
    # sqrt(T / 2 ρ A) = 7.4361 m/s and T^1.5 / sqrt(2 ρ A) = 51.05 W for 0.7 kg on four 5-inch discs (by hand).
    assert float(hover_induced_mps(WEIGHT_N, RHO, FOUR_FIVES_M2)) == pytest.approx(7.4361, abs=1e-4)
    assert float(hover_power_w(WEIGHT_N, RHO, FOUR_FIVES_M2)) == pytest.approx(51.05, abs=5e-3)
    # Figure of merit 0.52, efficiency 0.75 (definitions): 51.05 / 0.52 = 98.17 W, / 0.75 = 130.9 W.
    assert float(hover_power_w(WEIGHT_N, RHO, FOUR_FIVES_M2, 0.52)) == pytest.approx(98.17, abs=0.01)
    still = flight_power(0.7, 0.0, 0.0, RHO, FOUR_FIVES_M2, DRAG_AREA_M2, 0.52, 0.75, 0.16)
    assert float(still.shaft_w) == pytest.approx(98.17, abs=0.01)
    assert float(still.electrical_w) == pytest.approx(130.9, abs=0.05)


@pytest.mark.parametrize("climb_mps", [1.0, 4.0, 10.0])
def test_climb_by_the_dynamic_actuator_disc(climb_mps: float) -> None:
    peer = propeller_shaft_power_from_thrust(6.8647, FOUR_FIVES_M2, climb_mps, RHO, 1.0)
    ours = 6.8647 * (climb_mps + induced_mps(6.8647, RHO, FOUR_FIVES_M2, climb_mps, 0.0))
    assert float(ours) == pytest.approx(float(peer), rel=1e-9)
    if climb_mps == 10.0:
        assert float(ours) == pytest.approx(95.836, abs=1e-3)
    flown = flight_power(6.8647 / constants.g, 0.0, climb_mps, RHO, FOUR_FIVES_M2, 0.0, 1.0, 1.0, 0.16)
    assert float(flown.shaft_w) == pytest.approx(float(peer), rel=1e-9)


def test_glauert_in_level_flight() -> None:
    # v_i / v_h = sqrt(sqrt(x⁴ / 4 + 1) - x² / 2), x = V / v_h (Leishman, section 2.14): 0.78615 at 1, 0.48587 at 2.
    hover = float(hover_induced_mps(WEIGHT_N, RHO, FOUR_FIVES_M2))
    x = np.array([0.0, 0.5, 1.0, 2.0, 5.0])
    ours = induced_mps(WEIGHT_N, RHO, FOUR_FIVES_M2, 0.0, x * hover) / hover
    assert ours == pytest.approx(np.sqrt(np.sqrt(x**4 / 4.0 + 1.0) - x**2 / 2.0), rel=1e-9)
    assert ours[[2, 3]] == pytest.approx([0.78615, 0.48587], abs=1e-5)


def _by_scipy(mass_kg: float, airspeed: float, climb: float, duct: float) -> tuple[float, float, float, float]:
    """Return thrust, tilt, induced velocity and power: forces and Glauert's equation written as vectors, by scipy."""

    def miss(unknown: np.ndarray, air: np.ndarray) -> np.ndarray:
        needed = np.array([0.0, mass_kg * constants.g]) + 0.5 * RHO * DRAG_AREA_M2 * math.hypot(*air) * air
        thrust, tilt, induced = unknown
        normal = np.array([math.sin(tilt), math.cos(tilt)])
        plane = np.array([math.cos(tilt), -math.sin(tilt)])
        through, along = air @ normal, air @ plane
        turned = duct * RHO * FOUR_FIVES_M2 * (through + induced) * along
        balance = thrust * normal - turned * plane - needed
        flow = 2.0 * RHO * FOUR_FIVES_M2 * induced * math.hypot((1.0 - duct) * along, through + induced)
        return np.array([balance[0], balance[1], flow - thrust])

    found = np.array([mass_kg * constants.g, 0.0, 7.4])
    for share in np.linspace(0.0, 1.0, 21):  # from hover up, so that scipy stays on the branch that is flown
        found = optimize.fsolve(miss, found, args=(share * np.array([airspeed, climb]),), xtol=1e-11)
    thrust, tilt, induced = (float(value) for value in found)
    through = airspeed * math.sin(tilt) + climb * math.cos(tilt)
    along = airspeed * math.cos(tilt) - climb * math.sin(tilt)
    hover = thrust**1.5 / math.sqrt(2.0 * RHO * FOUR_FIVES_M2)
    tip_square = thrust / (RHO * FOUR_FIVES_M2 * 0.16 * 4.0 / math.pi**3)
    profile = (1.0 / 0.52 - 1.15) * hover * (1.0 + 4.65 * along**2 / tip_square)
    return thrust, tilt, induced, thrust * (through + 1.15 * induced) + profile


@pytest.mark.parametrize("duct", [0.0, 0.5, 1.0])
@pytest.mark.parametrize(("airspeed", "climb"), [(5.0, 0.0), (12.0, 0.0), (20.0, 0.0), (10.0, 4.0)])
def test_flight_against_scipy(airspeed: float, climb: float, duct: float) -> None:
    thrust, tilt, induced, shaft = _by_scipy(0.7, airspeed, climb, duct)
    ours = flight_power(0.7, airspeed, climb, RHO, FOUR_FIVES_M2, DRAG_AREA_M2, 0.52, 0.75, 0.16, duct)
    assert float(ours.thrust_n) == pytest.approx(thrust, rel=1e-8)
    assert float(ours.tilt_rad) == pytest.approx(tilt, rel=1e-7)
    assert float(ours.induced_mps) == pytest.approx(induced, rel=1e-7)
    assert float(ours.shaft_w) == pytest.approx(shaft, rel=1e-7)
    assert float(ours.electrical_w) == pytest.approx(shaft / 0.75, rel=1e-7)


def test_descent_keeps_near_measured_power() -> None:
    # Leishman's fit to measured rotors in axial descent, section 2.13: v_i / v_h = 1 - 1.125 x - 1.372 x² - 1.718 x³
    # - 0.655 x⁴; power over hover is x + v_i / v_h, 0.82 to 1 down to x = -1.
    hover = float(hover_induced_mps(WEIGHT_N, RHO, FOUR_FIVES_M2))
    x = np.linspace(-1.0, 0.0, 21)
    measured = x + 1.0 - 1.125 * x - 1.372 * x**2 - 1.718 * x**3 - 0.655 * x**4
    ours = flight_power(0.7, 0.0, x * hover, RHO, FOUR_FIVES_M2, 0.0, 1.0, 1.0, 0.16).shaft_w / 51.0465
    assert measured.min() > 0.8
    assert ours == pytest.approx(measured, abs=0.15)


def test_hot_and_high_hover() -> None:
    # 1500 m at 35 °C, 0.95596 kg/m³: hover power times sqrt(1.225 / 0.95596) = 1.132 (momentum theory).
    power = hover_power_w(WEIGHT_N, np.array([1.225, 0.95596]), FOUR_FIVES_M2, 0.52)
    assert power[1] / power[0] == pytest.approx(1.132, abs=5e-4)


def _simulator(drag_area_m2: float) -> Multirotor:
    """Return rotorpy's small quad with body drag only, as our model has it."""
    half = 0.5 * RHO * drag_area_m2
    only_drag = {"c_Dx": half, "c_Dy": half, "c_Dz": half, "k_d": 0.0, "k_z": 0.0, "k_h": 0.0}
    return Multirotor({**quad_params, **only_drag}, control_abstraction="cmd_vel")


def _flown(speed_mps: float, drag_area_m2: float) -> tuple[float, float, float]:
    """Fly rotorpy until it is steady; return its speed, tilt and thrust."""
    quad = _simulator(drag_area_m2)
    state = {
        "x": np.zeros(3), "v": np.zeros(3), "q": np.array([0.0, 0.0, 0.0, 1.0]), "w": np.zeros(3), "wind": np.zeros(3),
        "rotor_speeds": np.full(4, 469.204),
    }  # fmt: skip
    for _ in range(400):
        state = quad.step(state, {"cmd_v": np.array([speed_mps, 0.0, 0.0])}, 0.01)
    up = Rotation.from_quat(state["q"]).apply([0.0, 0.0, 1.0])
    thrust = quad_params["k_eta"] * float(np.sum(state["rotor_speeds"] ** 2))
    return float(np.linalg.norm(state["v"])), math.atan2(float(np.hypot(up[0], up[1])), float(up[2])), thrust


@pytest.mark.parametrize("speed_mps", [4.0, 9.0])
def test_trim_of_a_flight_simulator(speed_mps: float) -> None:
    # rotorpy's g is 9.81: our mass is scaled so that the weights agree.
    speed, tilt, thrust = _flown(speed_mps, 0.03)
    mass = quad_params["mass"] * 9.81 / constants.g
    ours = flight_power(mass, speed, 0.0, RHO, 4.0 * math.pi * 0.01, 0.03, 0.35, 0.75, 0.12)
    assert speed > 0.8 * speed_mps
    assert float(ours.tilt_rad) == pytest.approx(tilt, rel=0.01)
    assert float(ours.thrust_n) == pytest.approx(thrust, rel=2e-3)


def test_fastest_level_flight_balances_in_a_flight_simulator() -> None:
    quad, mass = _simulator(0.03), quad_params["mass"] * 9.81 / constants.g
    speed = float(level_speed_limit_mps(9.0, mass, RHO, 0.03))
    tilt = math.acos(quad_params["mass"] * 9.81 / 9.0)
    state = {
        "x": np.zeros(3), "v": np.array([speed, 0.0, 0.0]), "q": Rotation.from_euler("y", tilt).as_quat(),
        "w": np.zeros(3), "wind": np.zeros(3), "rotor_speeds": np.full(4, math.sqrt(9.0 / 4.0 / quad_params["k_eta"])),
    }  # fmt: skip
    quad.control_abstraction = "cmd_motor_speeds"
    left = quad.statedot(state, {"cmd_motor_speeds": state["rotor_speeds"]}, 0.01)["vdot"]
    assert np.abs(left).max() < 1e-4
