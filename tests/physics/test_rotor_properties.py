"""Properties of flight power: energy balances, and more of what costs costs more."""

import numba
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from turnback.base.errors import InputError
from turnback.physics.rotor import (
    FlightPower,
    flight_power,
    hover_induced_mps,
    hover_power_w,
    induced_mps,
    level_speed_limit_mps,
)
from turnback.physics.rotor_kernel import flight_kernel

AREA_M2 = 0.0507
masses = st.floats(0.2, 2.0)
airspeeds = st.floats(0.0, 30.0)
climbs = st.floats(-10.0, 10.0)
densities = st.floats(0.7, 1.35)
drags = st.floats(0.0, 0.05)
merits = st.floats(0.3, 0.75)
ducts = st.floats(0.0, 1.0)


def _power(mass: float, air: float, climb: float, rho: float, drag: float, merit: float, duct: float) -> FlightPower:
    return flight_power(mass, air, climb, rho, AREA_M2, drag, merit, 0.75, 0.16, duct)


@pytest.fixture(autouse=True, scope="module")
def _compiled() -> None:
    """Compile, or load, the kernels before any deadline runs."""
    _power(0.7, 5.0, 1.0, 1.2, 0.02, 0.5, 0.5)
    induced_mps(5.0, 1.2, AREA_M2, 1.0, 1.0)


def test_one_compilation_serves_every_input() -> None:
    frozen = np.linspace(0.3, 0.9, 8)
    frozen.flags.writeable = False
    grid = np.ones((3, 8))
    flight_power(frozen, 5.0, 0.0, 1.2, AREA_M2, 0.02, 0.5, 0.75, 0.16)
    flight_power(grid, frozen, grid[:, :1], 1.2, AREA_M2, frozen / 50.0, 0.5, 0.75, 0.16)
    flight_power(grid[:, ::-1], np.asfortranarray(grid), 0.0, 1.2, AREA_M2, 0.02, 0.5, 0.75, 0.16)
    assert len(getattr(flight_kernel, "signatures")) == 1  # noqa: B009 - a compiled kernel's own attribute


@given(st.floats(0.0, 40.0), densities, st.floats(-15.0, 40.0), st.floats(0.0, 40.0))
def test_momentum_balances(thrust: float, rho: float, through: float, in_plane: float) -> None:
    found = float(induced_mps(thrust, rho, AREA_M2, through, in_plane))
    hover = float(hover_induced_mps(thrust, rho, AREA_M2))
    assert found * np.hypot(in_plane, through + found) == pytest.approx(hover**2, rel=1e-9, abs=1e-9)


@given(masses, airspeeds, st.floats(0.0, 10.0), densities, drags, ducts)
def test_ideal_power_is_work_on_aircraft_and_air(
    mass: float, air: float, climb: float, rho: float, drag: float, duct: float
) -> None:
    # With no losses: thrust times the air through it = induced work + climb + body drag (+ the duct's own drag).
    state = _power(mass, air, climb, rho, drag, 1.0, duct)
    body = 0.5 * rho * drag * np.hypot(air, climb) ** 3
    useful = mass * 9.80665 * climb + body
    thrust, tilt = float(state.thrust_n), float(state.tilt_rad)
    along = air * np.cos(tilt) - climb * np.sin(tilt)
    turned = duct * rho * AREA_M2 * max(float(state.through_mps + state.induced_mps), 0.0) * along
    assert thrust * float(state.through_mps) == pytest.approx(useful + turned * along, rel=1e-6, abs=1e-6)
    assert float(state.shaft_w) == pytest.approx(thrust * float(state.induced_mps + state.through_mps), rel=1e-9)


@given(masses, airspeeds, climbs, densities, drags, merits, ducts)
def test_forces_balance(
    mass: float, air: float, climb: float, rho: float, drag: float, merit: float, duct: float
) -> None:
    state = _power(mass, air, climb, rho, drag, merit, duct)
    tilt = float(state.tilt_rad)
    along = air * np.cos(tilt) - climb * np.sin(tilt)
    turned = duct * rho * AREA_M2 * max(float(state.through_mps + state.induced_mps), 0.0) * along
    body = 0.5 * rho * drag * np.hypot(air, climb) * np.array([air, climb])
    lift = float(state.thrust_n) * np.array([np.sin(tilt), np.cos(tilt)])
    left = lift - turned * np.array([np.cos(tilt), -np.sin(tilt)]) - body - np.array([0.0, mass * 9.80665])
    assert np.abs(left).max() < 1e-6 * max(float(state.thrust_n), 1.0) + 1e-6


@given(masses, st.floats(1.0, 1.5), airspeeds, densities, drags, merits)
def test_level_power_grows_with_mass(
    mass: float, more: float, air: float, rho: float, drag: float, merit: float
) -> None:
    light = _power(mass, air, 0.0, rho, drag, merit, 0.0)
    heavy = _power(mass * more, air, 0.0, rho, drag, merit, 0.0)
    assert float(heavy.shaft_w) >= float(light.shaft_w) * (1.0 - 1e-9)
    assert float(heavy.thrust_n) >= float(light.thrust_n)


@given(masses, densities, merits)
def test_hover_power_goes_with_one_over_the_root_of_density(mass: float, rho: float, merit: float) -> None:
    power = hover_power_w(mass * 9.80665, np.array([rho, rho / 4.0 + 0.3]), AREA_M2, merit)
    assert power[1] / power[0] == pytest.approx(np.sqrt(rho / (rho / 4.0 + 0.3)), rel=1e-9)


@given(masses, airspeeds, st.floats(-10.0, 9.0), st.floats(0.01, 1.0), densities, drags, merits)
def test_power_never_falls_with_climb(
    mass: float, air: float, climb: float, more: float, rho: float, drag: float, merit: float
) -> None:
    # Steep fast descents of a draggy body may need power to push it down; body drag is left out of this one.
    lower = _power(mass, air, climb, rho, 0.0 if climb < 0.0 else drag, merit, 0.0)
    higher = _power(mass, air, climb + more, rho, 0.0 if climb < 0.0 else drag, merit, 0.0)
    assert float(higher.shaft_w) >= float(lower.shaft_w) * (1.0 - 1e-6)


@given(masses, airspeeds, st.floats(-10.0, -0.01), densities, drags, merits, ducts)
def test_descent_gives_no_energy_back(
    mass: float, air: float, climb: float, rho: float, drag: float, merit: float, duct: float
) -> None:
    down = float(_power(mass, air, climb, rho, drag, merit, duct).shaft_w)
    level = float(_power(mass, air, 0.0, rho, drag, merit, duct).shaft_w)
    hover = float(hover_power_w(mass * 9.80665, rho, AREA_M2, merit))
    assert down >= min(level, 0.8 * hover) * (1.0 - 1e-9)


@settings(max_examples=40)
@given(masses, densities, st.floats(0.005, 0.05), st.floats(0.3, 0.7))
def test_power_over_speed_is_one_bucket(mass: float, rho: float, drag: float, merit: float) -> None:
    power = flight_power(mass, np.linspace(0.0, 40.0, 161), 0.0, rho, AREA_M2, drag, merit, 0.75, 0.16).shaft_w
    rises = np.diff(power) > 0.0
    assert rises[-1]
    assert not np.any(rises[:-1] & ~rises[1:])  # once it rises it goes on rising


@given(masses, airspeeds, climbs, densities, drags, merits)
def test_electrical_power_is_shaft_power_over_efficiency(
    mass: float, air: float, climb: float, rho: float, drag: float, merit: float
) -> None:
    state = _power(mass, air, climb, rho, drag, merit, 0.0)
    assert float(state.electrical_w) * 0.75 == pytest.approx(float(state.shaft_w), rel=1e-12)


@given(masses, st.floats(1.05, 8.0), densities, st.floats(0.005, 0.05))
def test_limit_speed_takes_all_the_thrust(mass: float, margin: float, rho: float, drag: float) -> None:
    thrust = margin * mass * 9.80665
    speed = float(level_speed_limit_mps(thrust, mass, rho, drag))
    if speed <= 60.0:
        assert float(_power(mass, speed, 0.0, rho, drag, 0.5, 0.0).thrust_n) == pytest.approx(thrust, rel=1e-9)
    assert float(level_speed_limit_mps(0.9 * mass * 9.80665, mass, rho, drag)) == 0.0


def test_same_bytes_for_one_thread_and_all() -> None:
    rng = np.random.default_rng(5)
    fields = (rng.uniform(0.4, 1.0, 5000), rng.uniform(0.0, 25.0, 5000), rng.uniform(-4.0, 4.0, 5000))
    many = flight_power(*fields, 1.2, AREA_M2, 0.02, 0.5, 0.75, 0.16, 0.5)
    threads = numba.get_num_threads()
    numba.set_num_threads(1)
    try:
        one = flight_power(*fields, 1.2, AREA_M2, 0.02, 0.5, 0.75, 0.16, 0.5)
    finally:
        numba.set_num_threads(threads)
    assert all(a.tobytes() == b.tobytes() for a, b in zip(many, one, strict=True))


def test_shapes_broadcast_and_scalars_stay_scalar() -> None:
    state = flight_power(np.full((4, 1), 0.6), np.linspace(0.0, 10.0, 3), 0.0, 1.2, AREA_M2, 0.02, 0.5, 0.75, 0.16)
    assert all(row.shape == (4, 3) for row in state)
    single = flight_power(0.6, 5.0, 0.0, 1.2, AREA_M2, 0.02, 0.5, 0.75, 0.16)
    assert single.shaft_w.shape == ()
    assert float(single.shaft_w) == float(state.shaft_w[0, 1])


@pytest.mark.parametrize(
    ("change", "word"),
    [({"mass_kg": 600.0}, "grams"), ({"drag_area_m2": 170.0}, "centimetres"), ({"figure_of_merit": 52.0}, "0.52")],
)
def test_likely_slips_are_named(change: dict[str, float], word: str) -> None:
    given_values = {
        "mass_kg": 0.6, "airspeed_mps": 5.0, "climb_mps": 0.0, "density_kg_m3": 1.2, "disc_area_m2": AREA_M2,
        "drag_area_m2": 0.02, "figure_of_merit": 0.5, "electrical_efficiency": 0.75, "thrust_coefficient": 0.16,
    }  # fmt: skip
    with pytest.raises(InputError, match=word):
        flight_power(**{**given_values, **change})
