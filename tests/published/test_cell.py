"""Cell, held against two libraries run beside it with the same numbers, scipy, and textbook circuits."""

import math
from dataclasses import replace
from decimal import Decimal, localcontext

import numpy as np
import pytest
from scipy import constants, integrate, interpolate, optimize
from tests.published import cell_peers as peers
from tests.published.cell_peers import CURRENT, FULL, POWER, REFERENCE, Array, Cell, PeerMarch

from turnback.physics.cell import (
    STEP_S,
    CellMarch,
    Failure,
    Load,
    Traits,
    aged_resistance_ratio,
    chen_rincon_mora_v,
    constant_power_current_a,
    march_cell,
    open_circuit_v,
    resistance_ohm,
    soc_at_rest_v,
)
from turnback.rules.chemistry import chemistry

pytestmark = pytest.mark.published

PEERS = {"thevenin": peers.run_thevenin, "pybamm": peers.run_pybamm}
LOADS = {CURRENT: Load.CURRENT, POWER: Load.POWER}
# A flight of this project's making: climb, cruise, throttle punches, a rest, the way back. Amperes of one cell.
FLIGHT_A = [18.0, 11.0, 9.5, 32.0, 9.5, 0.0, 12.0, 45.0, 10.0, 14.0, 8.0, 26.0, 9.0, 7.0]
FLIGHT_S = [12.0, 40.0, 25.0, 2.0, 30.0, 8.0, 35.0, 1.5, 28.0, 22.0, 40.0, 3.0, 33.5, 20.0]


def ours(cell: Cell, load: str, amounts: list[float], seconds: list[float], step_s: float = STEP_S) -> CellMarch:
    """Return our march of a peer's cell."""
    return march_cell(
        LOADS[load], amounts, seconds, cell.traits, cell.r0_ohm, cell.capacity_ah, cell.soc, cell.start_c, cell.start_c,
        cell.mass_kg, step_s,
    )  # fmt: skip


def apart(march: CellMarch, said: PeerMarch, name: str) -> float:
    """Return how far one column of ours is from the peer's, at most."""
    return float(np.abs(getattr(march, name) - getattr(said, name)).max())


# --- the reference cell of the design, 15 A for 300 s -------------------------------------------------------------


@pytest.mark.parametrize("peer", PEERS)
@pytest.mark.parametrize("step_s", [STEP_S, 300.0])
def test_reference_cell_at_constant_current(peer: str, step_s: float) -> None:
    amounts, seconds = [15.0] * 30, [10.0] * 30
    march, said = ours(REFERENCE, CURRENT, amounts, seconds, step_s), PEERS[peer](REFERENCE, CURRENT, amounts, seconds)
    assert march.failure is Failure.NONE
    assert apart(march, said, "volts_v") < 1e-8  # the design asks for 1e-5 V; the step is exact at constant current
    assert apart(march, said, "soc") < 1e-12
    assert apart(march, said, "lag_v") < 1e-8


@pytest.mark.parametrize("peer", PEERS)
def test_reference_cell_in_one_row_of_300_s(peer: str) -> None:
    march, said = ours(REFERENCE, CURRENT, [15.0], [300.0], 600.0), PEERS[peer](REFERENCE, CURRENT, [15.0], [300.0])
    assert apart(march, said, "volts_v") < 1e-8


@pytest.mark.parametrize("peer", PEERS)
def test_reference_cell_at_constant_power(peer: str) -> None:
    march, said = ours(REFERENCE, POWER, [50.0], [300.0], 1.0), PEERS[peer](REFERENCE, POWER, [50.0], [300.0])
    assert apart(march, said, "volts_v") < 1e-5
    assert apart(march, said, "current_a") < 1e-5
    assert apart(march, said, "soc") < 1e-5


# --- flights, with every trait at work ----------------------------------------------------------------------------


@pytest.mark.parametrize("peer", PEERS)
@pytest.mark.parametrize("cell", [REFERENCE, FULL], ids=["reference", "every trait"])
@pytest.mark.parametrize("load", LOADS)
def test_flight_with_short_steps(peer: str, cell: Cell, load: str) -> None:
    amounts = FLIGHT_A if load == CURRENT else [3.5 * amount for amount in FLIGHT_A]
    march, said = ours(cell, load, amounts, FLIGHT_S, 0.1), PEERS[peer](cell, load, amounts, FLIGHT_S)
    assert march.failure is Failure.NONE
    assert apart(march, said, "volts_v") < 1e-5
    assert apart(march, said, "current_a") < 1e-5
    assert apart(march, said, "soc") < 1e-6
    assert apart(march, said, "temperature_c") < 1e-3
    assert apart(march, said, "lag_v") < 1e-5


@pytest.mark.parametrize("load", LOADS)
def test_flight_with_the_steps_we_fly_is_within_a_millivolt(load: str) -> None:
    amounts = FLIGHT_A if load == CURRENT else [3.5 * amount for amount in FLIGHT_A]
    march, said = ours(FULL, load, amounts, FLIGHT_S), peers.run_pybamm(FULL, load, amounts, FLIGHT_S)
    assert apart(march, said, "volts_v") < 1e-3  # what the docstring of STEP_S says
    assert apart(march, said, "temperature_c") < 0.1


@pytest.mark.parametrize("load", LOADS)
def test_extremes_and_energy_of_a_row(load: str) -> None:
    # thevenin's run of one row, looked at every half second: ours must find the same extremes and the same energy.
    amount, seconds = (20.0, 120.0) if load == CURRENT else (65.0, 120.0)
    march = ours(FULL, load, [amount], [seconds], 0.1)
    every = peers.run_thevenin(FULL, load, [amount] * 240, [0.5] * 240)
    assert float(march.loaded_low_v[0]) == pytest.approx(every.volts_v.min(), abs=1e-5)
    assert float(march.current_high_a[0]) == pytest.approx(every.current_a.max(), abs=1e-4)
    energy = np.trapezoid(every.volts_v * every.current_a, dx=0.5) + 0.25 * (
        every.volts_v[0] * every.current_a[0] + float(ours(FULL, load, [amount], [1e-9]).volts_v[0]) * amount
    )
    assert float(march.energy_j[0]) == pytest.approx(amount * seconds if load == POWER else energy, rel=1e-4)


def test_rest_volts_of_a_march_are_those_of_the_peers_charge() -> None:
    march, said = ours(FULL, CURRENT, FLIGHT_A, FLIGHT_S), peers.run_pybamm(FULL, CURRENT, FLIGHT_A, FLIGHT_S)
    line = interpolate.make_interp_spline(FULL.traits.ocv_soc, FULL.traits.ocv_v, k=1)
    assert march.rest_v == pytest.approx(line(said.soc), abs=1e-9)


# --- where a march ends -------------------------------------------------------------------------------------------


def test_an_empty_cell_ends_the_march_at_its_ampere_hours() -> None:
    # 0.98 of 1.5 Ah at 15 A last 352.8 s (definition of the ampere-hour).
    assert ours(REFERENCE, CURRENT, [15.0], [352.7]).failure is Failure.NONE
    march = ours(REFERENCE, CURRENT, [15.0, 15.0], [352.9, 1.0])
    assert (march.failure, march.failed_row) == (Failure.EMPTY, 0)


def test_a_power_beyond_the_matched_load_cannot_be_delivered() -> None:
    # Matched load: E² / 4R at once. 0.98 of charge rests at 3.3 + 0.9 · 0.98 = 4.182 V: 4.182² / 0.024 = 728.71 W.
    assert ours(REFERENCE, POWER, [728.6], [1e-6]).failure is Failure.NONE
    march = ours(REFERENCE, POWER, [30.0, 728.8, 30.0], [1e-6, 1.0, 1.0])
    assert (march.failure, march.failed_row) == (Failure.CANNOT_DELIVER, 1)
    assert np.isnan(march.volts_v).tolist() == [False, True, True]


def test_power_fails_when_scipys_circuit_fails() -> None:
    # The circuit's equations as they stand, by scipy; its event is the root that turns negative.
    def volts_behind(soc: float, lag1: float, lag2: float) -> float:
        return 3.3 + 0.9 * soc - lag1 - lag2

    def rates(_time: float, state: Array) -> list[float]:
        volts = volts_behind(*state)
        amps = (volts - math.sqrt(max(volts * volts - 4.0 * 0.02 * 150.0, 0.0))) / 0.04
        return [-amps / 5400.0, -state[1] / 3.0 + amps * 0.01 / 3.0, -state[2] / 40.0 + amps * 0.04 / 3.0 / 40.0]

    def root(_time: float, state: Array) -> float:
        return volts_behind(*state) ** 2 - 4.0 * 0.02 * 150.0

    root.terminal = True  # type: ignore[attr-defined]
    run = integrate.solve_ivp(rates, (0.0, 100.0), [0.9, 0.0, 0.0], events=root, rtol=1e-10, atol=1e-12, max_step=0.01)
    fails_s = float(run.t_events[0][0])
    assert 0.5 < fails_s < 50.0
    tired = replace(REFERENCE, r0_ohm=0.02, soc=0.9)
    assert ours(tired, POWER, [150.0], [fails_s - 0.02], 0.001).failure is Failure.NONE
    assert ours(tired, POWER, [150.0], [fails_s + 0.02], 0.001).failure is Failure.CANNOT_DELIVER


# --- heat, against the exact solutions of a lumped body (textbook) ------------------------------------------------


@pytest.mark.parametrize("ambient_c", [-10.0, 22.0, 45.0])
@pytest.mark.parametrize("amps", [0.0, 25.0])
def test_warming_and_cooling_of_a_lumped_body(ambient_c: float, amps: float) -> None:
    # m c dT/dt = i² R - m k (T - T_air): an exponential toward T_air + i² R / (m k) with time constant c / k.
    traits = Traits((0.0, 1.0), (3.3, 4.2), heat_capacity_j_per_kg_k=1000.0, heat_loss_w_per_kg_k=5.0)
    march = march_cell(Load.CURRENT, [amps] * 4, [30.0] * 4, traits, 0.006, 1.5, 0.99, 10.0, ambient_c, 0.04, 0.5)
    toward = ambient_c + amps**2 * 0.006 / (0.04 * 5.0)
    expected = toward + (10.0 - toward) * np.exp(-np.arange(30.0, 121.0, 30.0) * 5.0 / 1000.0)
    assert march.temperature_c == pytest.approx(expected, abs=1e-4)


# --- single formulas ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["LiPo", "high-voltage LiPo", "Li-ion"])
def test_rest_volts_against_scipys_line_and_root(name: str) -> None:
    law = chemistry(name)
    line = interpolate.make_interp_spline(law.ocv_soc, law.ocv_v, k=1)
    charges = np.linspace(0.0, 1.0, 37)
    assert open_circuit_v(charges, law) == pytest.approx(line(charges), abs=1e-12)
    for volts in np.linspace(law.ocv_v[0] + 1e-3, law.ocv_v[-1] - 1e-3, 11):
        root = optimize.brentq(lambda s, v=volts: float(line(s)) - v, 0.0, 1.0, xtol=1e-12)
        assert float(soc_at_rest_v(volts, law)) == pytest.approx(root, abs=1e-9)


def test_rest_volts_of_a_lipo_as_the_trade_knows_them() -> None:
    # Common practice (from memory): full 4.20 V, storage 3.80-3.85 V is 40-60 %, 3.7 V or less is under 20 %.
    law = chemistry("LiPo")
    assert float(open_circuit_v(1.0, law)) == pytest.approx(4.20)
    assert 0.35 <= float(soc_at_rest_v(3.80, law)) <= 0.60
    assert float(soc_at_rest_v(3.85, law)) <= 0.65
    assert float(soc_at_rest_v(3.70, law)) < 0.25
    assert soc_at_rest_v([4.23, 2.5], law).tolist() == [1.0, 0.0]


def test_chen_and_rincon_mora() -> None:
    # IEEE Trans. Energy Conversion 21(2), 2006, p. 504; check values of the design, from independent codes.
    assert float(chen_rincon_mora_v(1.0)) == pytest.approx(4.1029, abs=5e-5)
    assert float(chen_rincon_mora_v(0.5)) == pytest.approx(3.803362, abs=5e-7)
    assert float(chen_rincon_mora_v(0.1)) == pytest.approx(3.674569, abs=5e-7)


def test_the_published_rest_volts_lie_near_a_lipos_table() -> None:
    # Another cell of the same kind. Above 65 % they part, since the published one tops out at 4.103 V.
    charges = np.linspace(0.15, 0.65, 11)
    assert np.abs(chen_rincon_mora_v(charges) - open_circuit_v(charges, chemistry("LiPo"))).max() < 0.05


def test_arrhenius_factor() -> None:
    # 20 kJ/mol: ×2.09 at 0 °C against 25 °C (the design, from memory); and its definition with scipy's constant.
    traits = Traits((0.0, 1.0), (3.3, 4.2), arrhenius_j_per_mol=20_000.0)
    assert float(resistance_ohm(0.006, 0.7, 0.0, traits)) / 0.006 == pytest.approx(2.09, abs=0.005)
    for celsius in (-20.0, 10.0, 25.0, 60.0):
        factor = math.exp(20_000.0 / constants.R * (1.0 / (constants.zero_Celsius + celsius) - 1.0 / 298.15))
        assert float(resistance_ohm(0.006, 0.7, celsius, traits)) == pytest.approx(0.006 * factor, rel=1e-12)


def test_resistance_follows_charge_as_scipys_line() -> None:
    line = interpolate.make_interp_spline(FULL.traits.resistance_soc, FULL.traits.resistance_ratio, k=1)
    charges = np.linspace(0.0, 1.0, 23)
    assert resistance_ohm(0.006, charges, 25.0, FULL.traits) == pytest.approx(0.006 * line(charges), rel=1e-12)


def test_aged_resistance() -> None:
    # End of life of many data sheets (common practice): 80 % of capacity, twice the resistance.
    assert aged_resistance_ratio([1.0, 0.9, 0.8], 2.0) == pytest.approx([1.0, 1.5, 2.0])
    assert aged_resistance_ratio(0.8, 1.6) == pytest.approx(1.6)


@pytest.mark.parametrize(("volts", "ohm", "power"), [(4.0, 0.02, 100.0), (3.6, 0.009, 30.0), (24.6, 0.03, 2500.0)])
def test_constant_power_against_scipys_root(volts: float, ohm: float, power: float) -> None:
    matched = volts / (2.0 * ohm)
    root = optimize.brentq(lambda i: i * (volts - i * ohm) - power, 0.0, matched, xtol=1e-13)
    assert float(constant_power_current_a(volts, ohm, power)) == pytest.approx(root, rel=1e-10)
    both = np.sort(np.roots([ohm, -volts, power]).real)
    assert float(constant_power_current_a(volts, ohm, power)) == pytest.approx(both[0], rel=1e-10)


def test_constant_power_of_the_smallest_loads_keeps_its_digits() -> None:
    for power in ("1e-9", "1e-3", "0.7"):
        volts, ohm, watts = Decimal("4.1"), Decimal("0.006"), Decimal(power)
        with localcontext(prec=60):
            exact = (volts - (volts * volts - 4 * ohm * watts).sqrt()) / (2 * ohm)
        assert float(constant_power_current_a(4.1, 0.006, float(power))) == pytest.approx(float(exact), rel=1e-14)


def test_constant_power_at_and_beyond_the_matched_load() -> None:
    # Matched load (textbook): most power E² / 4R at E / 2R; nothing beyond, and nothing asked draws nothing.
    assert float(constant_power_current_a(4.0, 0.02, 200.0)) == pytest.approx(100.0)
    assert math.isnan(float(constant_power_current_a(4.0, 0.02, 200.001)))
    assert math.isnan(float(constant_power_current_a(0.0, 0.02, 1.0)))
    assert float(constant_power_current_a(0.0, 0.02, 0.0)) == 0.0
    assert float(constant_power_current_a(4.0, 0.0, 12.0)) == pytest.approx(3.0)
