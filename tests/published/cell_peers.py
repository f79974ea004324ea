"""The same cell in two libraries, for tests and benchmarks: PyPI `thevenin` and PyPI `pybamm`.

Only plain numbers are taken from our side; every formula (tables, Arrhenius, RC pairs, heat) is written again here, in
the peer's own terms. Both solvers are adaptive and run at tolerances far below what is held against them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pybamm
import thevenin
from numpy.typing import NDArray

from turnback.physics.cell import Traits

Array = NDArray[np.float64]

GAS_CONSTANT, ZERO_C = 8.31446261815324, 273.15  # CODATA 2018, exact

CURRENT, POWER = "current", "power"


@dataclass(frozen=True)
class Cell:
    """One cell, as plain numbers."""

    traits: Traits
    r0_ohm: float = 0.006
    capacity_ah: float = 1.5
    soc: float = 0.98
    start_c: float = 25.0
    mass_kg: float = 0.04


@dataclass(frozen=True)
class PeerMarch:
    """What a peer says at the end of every row."""

    volts_v: Array
    current_a: Array
    soc: Array
    temperature_c: Array
    lag_v: Array


# The reference cell of the design: 1.5 Ah, 6 mΩ, 3 mΩ with 1000 F, 4 mΩ with 10 kF, rest volts a straight line.
REFERENCE = Cell(
    Traits(
        ocv_soc=(0.0, 1.0), ocv_v=(3.3, 4.2), r1_ratio=3.0 / 6.0, tau1_s=3e-3 * 1000.0, r2_ratio=4.0 / 6.0,
        tau2_s=4e-3 * 10_000.0,
    )
)  # fmt: skip

# A cell that uses every trait: bent tables, resistance that falls as it warms, heat lost to air.
FULL = Cell(
    replace(
        REFERENCE.traits, ocv_soc=(0.0, 0.1, 0.5, 0.8, 1.0), ocv_v=(3.2, 3.62, 3.8, 4.0, 4.2),
        resistance_soc=(0.0, 0.15, 0.4, 1.0), resistance_ratio=(1.9, 1.25, 1.0, 1.05), arrhenius_j_per_mol=20_000.0,
        reference_c=25.0, heat_capacity_j_per_kg_k=1000.0, heat_loss_w_per_kg_k=2.5,
    ),
    start_c=8.0,
)  # fmt: skip


def thevenin_simulation(cell: Cell) -> Any:
    """Return thevenin's model of the cell, rested."""
    traits = cell.traits

    def ohm(soc: float, kelvin: float) -> float:
        shape = float(np.interp(soc, traits.resistance_soc, traits.resistance_ratio))
        return cell.r0_ohm * shape * math.exp(
            traits.arrhenius_j_per_mol / GAS_CONSTANT * (1.0 / kelvin - 1.0 / (traits.reference_c + ZERO_C))
        )  # fmt: skip

    return thevenin.Simulation({
        "num_RC_pairs": 2, "soc0": cell.soc, "capacity": cell.capacity_ah, "ce": 1.0, "gamma": 0.0,
        "mass": cell.mass_kg, "isothermal": False, "Cp": traits.heat_capacity_j_per_kg_k,
        "T_inf": cell.start_c + ZERO_C, "h_therm": traits.heat_loss_w_per_kg_k, "A_therm": cell.mass_kg,
        "ocv": lambda soc: float(np.interp(soc, traits.ocv_soc, traits.ocv_v)), "M_hyst": lambda soc: 0.0, "R0": ohm,
        "R1": lambda soc, kelvin: traits.r1_ratio * ohm(soc, kelvin),
        "C1": lambda soc, kelvin: traits.tau1_s / (traits.r1_ratio * ohm(soc, kelvin)),
        "R2": lambda soc, kelvin: traits.r2_ratio * ohm(soc, kelvin),
        "C2": lambda soc, kelvin: traits.tau2_s / (traits.r2_ratio * ohm(soc, kelvin)),
    })  # fmt: skip


def run_thevenin(
    cell: Cell, load: str, amounts: Sequence[float], seconds: Sequence[float], rtol: float = 1e-9, atol: float = 1e-10
) -> PeerMarch:
    """Return the profile as `thevenin` runs it, one experiment per row. Give it no load that cannot be delivered.

    Its solver does not come back from one.
    """
    simulation = thevenin_simulation(cell)
    rows = []
    for amount, duration in zip(amounts, seconds, strict=True):
        experiment = thevenin.Experiment(rtol=rtol, atol=atol)
        mode = "current_A" if load == CURRENT else "power_W"
        experiment.add_step(mode, float(amount), np.array([0.0, float(duration)]))
        said = simulation.run(experiment, reset_state=False).vars
        lag = float(said["eta1_V"][-1] + said["eta2_V"][-1])
        rows.append((
            said["voltage_V"][-1], said["current_A"][-1], said["soc"][-1], said["temperature_K"][-1] - ZERO_C, lag
        ))  # fmt: skip
    return PeerMarch(*np.array(rows, dtype=np.float64).T)


def pybamm_simulation(cell: Cell, load: str, rtol: float = 1e-10, atol: float = 1e-10) -> Any:
    """Return pybamm's Thevenin model of the cell, its load an input, ready to be stepped."""
    traits = cell.traits

    def ohm(celsius: Any, current: Any, soc: Any) -> Any:
        shape = pybamm.Interpolant(np.array(traits.resistance_soc), np.array(traits.resistance_ratio), soc)
        cold = pybamm.exp(
            traits.arrhenius_j_per_mol / GAS_CONSTANT * (1.0 / (celsius + ZERO_C) - 1.0 / (traits.reference_c + ZERO_C))
        )
        return cell.r0_ohm * shape * cold

    values = pybamm.ParameterValues("ECM_Example")
    values.update(
        {
            "Initial SoC": cell.soc, "Initial temperature [K]": cell.start_c + ZERO_C,
            "Ambient temperature [K]": cell.start_c + ZERO_C, "Cell capacity [A.h]": cell.capacity_ah,
            "Nominal cell capacity [A.h]": cell.capacity_ah, "Upper voltage cut-off [V]": 4.5,
            "Lower voltage cut-off [V]": 0.5, "Entropic change [V/K]": 0.0,
            "Open-circuit voltage [V]": lambda soc: pybamm.Interpolant(
                np.array(traits.ocv_soc), np.array(traits.ocv_v), soc
            ),
            "R0 [Ohm]": ohm,
            "R1 [Ohm]": lambda celsius, current, soc: traits.r1_ratio * ohm(celsius, current, soc),
            "C1 [F]": lambda celsius, current, soc: traits.tau1_s / (traits.r1_ratio * ohm(celsius, current, soc)),
            "R2 [Ohm]": lambda celsius, current, soc: traits.r2_ratio * ohm(celsius, current, soc),
            "C2 [F]": lambda celsius, current, soc: traits.tau2_s / (traits.r2_ratio * ohm(celsius, current, soc)),
            "Element-1 initial overpotential [V]": 0.0, "Element-2 initial overpotential [V]": 0.0,
            "Cell thermal mass [J/K]": cell.mass_kg * traits.heat_capacity_j_per_kg_k,
            "Cell-jig heat transfer coefficient [W/K]": cell.mass_kg * traits.heat_loss_w_per_kg_k,
            "Jig thermal mass [J/K]": 1e12,  # its jig stands for our air: it never warms
            "Jig-air heat transfer coefficient [W/K]": 0.0,
            "Current function [A]" if load == CURRENT else "Power function [W]": "[input]",
        },
        check_already_exists=False,
    )  # fmt: skip
    model = pybamm.equivalent_circuit.Thevenin(options={"number of rc elements": 2, "operating mode": load})
    return pybamm.Simulation(model, parameter_values=values, solver=pybamm.IDAKLUSolver(rtol=rtol, atol=atol))


def run_pybamm(
    cell: Cell, load: str, amounts: Sequence[float], seconds: Sequence[float], rtol: float = 1e-10, atol: float = 1e-10
) -> PeerMarch:
    """Return the profile as pybamm's IDA solver runs it, one of its steps per row."""
    simulation = pybamm_simulation(cell, load, rtol, atol)
    name = "Current function [A]" if load == CURRENT else "Power function [W]"
    rows = []
    for amount, duration in zip(amounts, seconds, strict=True):
        said = simulation.step(float(duration), inputs={name: float(amount)}, save=False)
        lag = -(said["Element-1 overpotential [V]"].entries[-1] + said["Element-2 overpotential [V]"].entries[-1])
        rows.append((
            said["Voltage [V]"].entries[-1], said["Current [A]"].entries[-1], said["SoC"].entries[-1],
            said["Cell temperature [degC]"].entries[-1], lag,
        ))  # fmt: skip
    return PeerMarch(*np.array(rows, dtype=np.float64).T)
