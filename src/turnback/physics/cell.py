"""Cell: rest volts, resistance, and the march of one cell through a profile of current or power.

An equivalent circuit (Thevenin): rest volts of a state of charge, an ohmic resistance that depends on charge,
temperature and age, and two RC pairs whose resistances follow the ohmic one. Heat is lumped: what the overpotential
loses, i (OCV - V), warms the cell (Bernardi's irreversible heat), and moving air cools it.

What it leaves out: hysteresis, reversible heat, self-discharge, charging, and cells that differ within a pack.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import GAS_CONSTANT_J_PER_MOL_K, ZERO_CELSIUS_K
from turnback.base.errors import bad_input
from turnback.base.ranges import within
from turnback.physics.cell_kernel import CANNOT_DELIVER, EMPTY, FINE, NUMBERS, profile_kernel

Array = NDArray[np.float64]

STEP_S: Final = 5.0
"""Longest step of a march (our choice): within 1 mV of the converged answer on flights, see tests."""


class CellTraits(Protocol):
    """What a kind of cell is, whatever its size: a chemistry of the rules serves, so does `Traits`."""

    @property
    def ocv_soc(self) -> tuple[float, ...]: ...  # noqa: D102
    @property
    def ocv_v(self) -> tuple[float, ...]: ...  # noqa: D102
    @property
    def resistance_soc(self) -> tuple[float, ...]: ...  # noqa: D102
    @property
    def resistance_ratio(self) -> tuple[float, ...]: ...  # noqa: D102
    @property
    def r1_ratio(self) -> float: ...  # noqa: D102
    @property
    def tau1_s(self) -> float: ...  # noqa: D102
    @property
    def r2_ratio(self) -> float: ...  # noqa: D102
    @property
    def tau2_s(self) -> float: ...  # noqa: D102
    @property
    def arrhenius_j_per_mol(self) -> float: ...  # noqa: D102
    @property
    def reference_c(self) -> float: ...  # noqa: D102
    @property
    def heat_capacity_j_per_kg_k(self) -> float: ...  # noqa: D102
    @property
    def heat_loss_w_per_kg_k(self) -> float: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Traits:
    """Traits of a cell given by hand, such as one fitted to a record. Tables ascend; states of charge span 0 to 1."""

    ocv_soc: tuple[float, ...]
    ocv_v: tuple[float, ...]
    resistance_soc: tuple[float, ...] = (0.0, 1.0)
    resistance_ratio: tuple[float, ...] = (1.0, 1.0)
    r1_ratio: float = 0.0
    tau1_s: float = 1.0
    r2_ratio: float = 0.0
    tau2_s: float = 1.0
    arrhenius_j_per_mol: float = 0.0
    reference_c: float = 25.0
    heat_capacity_j_per_kg_k: float = 1000.0
    heat_loss_w_per_kg_k: float = 0.0


class Load(Enum):
    """What a profile holds constant over each row."""

    CURRENT = "current"
    POWER = "power"


class Failure(Enum):
    """Why a march ended early."""

    NONE = "none"
    CANNOT_DELIVER = "cannot deliver"
    EMPTY = "empty"


@dataclass(frozen=True, slots=True)
class CellMarch:
    """One cell through a profile; every array has one value per row, at the row's end, NaN from the failed row on."""

    volts_v: Array
    """Loaded, at the end of the row."""
    loaded_low_v: Array
    """Least loaded volts within the row."""
    rest_v: Array
    """What the cell would read after a long rest: open-circuit volts of its charge."""
    soc: Array
    temperature_c: Array
    current_a: Array
    """At the end of the row."""
    current_high_a: Array
    """Greatest within the row."""
    lag_v: Array
    """Volts over both RC pairs."""
    energy_j: Array
    """Given at the terminals within the row."""
    failed_row: int | None
    """First row that could not be carried to its end."""
    failure: Failure


_FAILURES: Final = {FINE: Failure.NONE, CANNOT_DELIVER: Failure.CANNOT_DELIVER, EMPTY: Failure.EMPTY}


def _volts(name: str, value: Any) -> Array:
    return within(name, value, 0.0, 5.0, "V", "enter volts of one cell, not of the pack")


def _soc(name: str, value: Any) -> Array:
    return within(name, value, 0.0, 1.0, "", "enter a share: 90 % is 0.9")


def open_circuit_v(soc: Any, traits: CellTraits) -> Array:
    """Return rest volts of a state of charge, 0 to 1: a straight line between the nodes of the traits' table."""
    return np.asarray(np.interp(_soc("soc", soc), traits.ocv_soc, traits.ocv_v))


def soc_at_rest_v(rest_v: Any, traits: CellTraits) -> Array:
    """Return the state of charge of a rested cell: the inverse of `open_circuit_v`.

    Above the table's top the cell is full (1), below its foot it is empty (0); a meter that reads 4.21 V is no fault.
    """
    return np.asarray(np.interp(_volts("rest_v", rest_v), traits.ocv_v, traits.ocv_soc))


def chen_rincon_mora_v(soc: Any) -> Array:
    """Return rest volts of one published cell, -1.031 e^(-35 s) + 3.685 + 0.2156 s - 0.1178 s² + 0.3201 s³.

    s is the state of charge, 0 to 1.

    Chen and Rincon-Mora, IEEE Trans. Energy Conversion 21(2), 2006, p. 504 (second-hand). It tops out at 4.103 V, so a
    cell charged to 4.20 V needs its own table. For comparison only.
    """
    s = _soc("soc", soc)
    return np.asarray(-1.031 * np.exp(-35.0 * s) + 3.685 + s * (0.2156 + s * (-0.1178 + s * 0.3201)))


def resistance_ohm(r0_ohm: Any, soc: Any, temperature_c: Any, traits: CellTraits) -> Array:
    """Return ohmic resistance of a cell at a state of charge and temperature.

    Parameters
    ----------
    r0_ohm : array_like
        At the traits' reference temperature, where their ratio is 1; 0.0001 to 1 Ω.
    soc : array_like
        0 to 1.
    temperature_c : array_like
        -40 to 100 °C.

    Notes
    -----
    R = R0 · ratio(s) · exp(E / R_gas (1/T - 1/T_ref)) (Arrhenius).
    """
    r0 = within("r0_ohm", r0_ohm, 1e-4, 1.0, "Ω", "enter ohms of one cell, not milliohms")
    kelvin = within("temperature_c", temperature_c, -40.0, 100.0, "°C", "enter degrees Celsius") + ZERO_CELSIUS_K
    ratio = np.interp(_soc("soc", soc), traits.resistance_soc, traits.resistance_ratio)
    slope = traits.arrhenius_j_per_mol / GAS_CONSTANT_J_PER_MOL_K
    return np.asarray(r0 * ratio * np.exp(slope * (1.0 / kelvin - 1.0 / (traits.reference_c + ZERO_CELSIUS_K))))


def aged_resistance_ratio(capacity_fraction: Any, at_80_ratio: Any) -> Array:
    """Return resistance over that of a new cell, a straight line through 1 when new and `at_80_ratio` at 80 %.

    Parameters
    ----------
    capacity_fraction : array_like
        Capacity left over first capacity, 0.3 to 1.
    at_80_ratio : array_like
        1 to 5; about 2, from a weak source.
    """
    lost = 1.0 - within("capacity_fraction", capacity_fraction, 0.3, 1.0, "", "enter a share: 90 % is 0.9")
    return np.asarray(1.0 + lost / 0.2 * (within("at_80_ratio", at_80_ratio, 1.0, 5.0, "") - 1.0))


def constant_power_current_a(open_v: Any, resistance_ohm: Any, power_w: Any) -> Array:
    """Return the current that delivers a power, i = (E - sqrt(E² - 4 R P)) / (2 R); NaN where no current does.

    Parameters
    ----------
    open_v : array_like
        Behind the resistance: rest volts less the volts of the RC pairs; 0 to 100 V.
    resistance_ohm : array_like
        0 to 10 Ω.
    power_w : array_like
        0 to 20,000 W.

    Notes
    -----
    A source of E behind R delivers E² / 4R at most (matched load). Beyond it the root is negative: the answer is NaN,
    never the nearest current. Written as 2 P / (E + sqrt(…)), which loses no digits for small loads.
    """
    volts = within("open_v", open_v, 0.0, 100.0, "V")
    ohm = within("resistance_ohm", resistance_ohm, 0.0, 10.0, "Ω", "enter ohms, not milliohms")
    power = within("power_w", power_w, 0.0, 20_000.0, "W")
    with np.errstate(invalid="ignore", divide="ignore"):
        amps = 2.0 * power / (volts + np.sqrt(volts * volts - 4.0 * ohm * power))
    return np.asarray(np.where(power == 0.0, 0.0, np.where(volts > 0.0, amps, np.nan)))


def march_cell(
    load: Load,
    amount: Any,
    duration_s: Any,
    traits: CellTraits,
    r0_ohm: float,
    capacity_ah: float,
    start_soc: float,
    temperature_c: float,
    ambient_c: float,
    mass_kg: float,
    step_s: float = STEP_S,
) -> CellMarch:
    """March one rested cell through a profile.

    Parameters
    ----------
    load : Load
        Whether `amount` is amperes or watts of one cell.
    amount : array_like, shape (n,)
        0 to 2000 A or W, discharge positive, constant over each row.
    duration_s : array_like, shape (n,)
        0 to 1e6 s.
    traits : CellTraits
        Rest volts, shapes and ratios.
    r0_ohm : float
        Ohmic resistance at reference, 0.0001 to 1 Ω.
    capacity_ah : float
        0.01 to 200 Ah.
    start_soc : float
        0 to 1.
    temperature_c, ambient_c : float
        Of the cell at the start, of the air; -40 to 100 °C.
    mass_kg : float
        Of one cell, 0.0005 to 5 kg.
    step_s : float
        Longest step, 0.001 to 600 s.

    Raises
    ------
    InputError
        Outside those ranges, or lengths that differ. A load that cannot be delivered is no error: see `CellMarch`.
    """
    most, unit = (2000.0, "A") if load is Load.CURRENT else (10_000.0, "W")
    amounts = within("amount", amount, 0.0, most, unit, "discharge is positive; charging is not modelled").reshape(-1)
    seconds = within("duration_s", duration_s, 0.0, 1e6, "s").reshape(-1)
    if amounts.size != seconds.size:
        raise bad_input("duration_s", f"{seconds.size} durations for {amounts.size} rows", "give one for each row")
    nodes, table, numbers = packed(traits)
    mass = float(within("mass_kg", mass_kg, 5e-4, 5.0, "kg", "enter kilograms of one cell, not grams"))
    heat = np.array([
        mass * traits.heat_capacity_j_per_kg_k,
        mass * traits.heat_loss_w_per_kg_k,
        float(within("ambient_c", ambient_c, -40.0, 100.0, "°C")),
    ])  # fmt: skip
    start = np.array([
        float(_soc("start_soc", start_soc)), float(within("temperature_c", temperature_c, -40.0, 100.0, "°C")),
    ])  # fmt: skip
    out = np.empty((9, amounts.size))
    row, failed = profile_kernel(
        amounts.copy(), load is Load.POWER, seconds.copy(), float(within("step_s", step_s, 1e-3, 600.0, "s")),
        float(within("r0_ohm", r0_ohm, 1e-4, 1.0, "Ω", "enter ohms of one cell, not milliohms")),
        float(within("capacity_ah", capacity_ah, 0.01, 200.0, "Ah", "enter ampere-hours, not mAh")),
        heat, start, nodes, table, numbers, out,
    )  # fmt: skip
    return CellMarch(
        out[1], out[3], out[0], out[6], out[7], out[2], out[4], out[8], out[5],
        None if failed == FINE else int(row), _FAILURES[int(failed)],
    )  # fmt: skip


def packed(traits: CellTraits) -> tuple[Array, Array, Array]:
    """Return traits as the kernels take them: nodes, rest volts and resistance ratio at each, and the plain numbers.

    Both tables are laid on the nodes of either, which changes neither line.
    """
    nodes = np.union1d(traits.ocv_soc, traits.resistance_soc)
    table = np.stack([
        np.interp(nodes, traits.ocv_soc, traits.ocv_v),
        np.interp(nodes, traits.resistance_soc, traits.resistance_ratio),
    ])  # fmt: skip
    return nodes, table, np.array([float(getattr(traits, name)) for name in NUMBERS])
