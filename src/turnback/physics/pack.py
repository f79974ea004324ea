"""Pack: equal cells in series; what it stores, the most it can give, and its march through a profile.

Cells that differ are not modelled: give the weakest cell's charge and resistance, since it ends the flight.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within
from turnback.physics.cell import STEP_S, CellMarch, CellTraits, Load, march_cell

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PackMarch:
    """A pack through a profile; every array has one value per row, NaN from the failed row on."""

    volts_v: Array
    """Of the pack, loaded, at the end of the row."""
    power_w: Array
    """Of the pack, at the end of the row."""
    energy_wh: Array
    """Given at the plug from the start of the profile to the end of the row."""
    cell: CellMarch
    """Any one of its cells."""


def greatest_power_w(open_v: Any, resistance_ohm: Any, cells_in_series: Any) -> Array:
    """Return the most a pack can give for an instant, n E² / 4R: the matched load of cells in series.

    Parameters
    ----------
    open_v : array_like
        Of one cell, behind the resistance, 0 to 5 V.
    resistance_ohm : array_like
        Of one cell, 0.0001 to 1 Ω.
    cells_in_series : array_like
        1 to 24.

    Notes
    -----
    Half of it heats the cells, and volts fall to half: no pack is to be flown near it.
    """
    volts = within("open_v", open_v, 0.0, 5.0, "V", "enter volts of one cell, not of the pack")
    ohm = within("resistance_ohm", resistance_ohm, 1e-4, 1.0, "Ω", "enter ohms of one cell, not milliohms")
    return np.asarray(_cells(cells_in_series) * volts * volts / (4.0 * ohm))


def stored_energy_wh(from_soc: Any, to_soc: Any, capacity_ah: Any, cells_in_series: Any, traits: CellTraits) -> Array:
    """Return the energy between two states of charge, n Q ∫ OCV ds, exactly for a table joined by straight lines.

    Parameters
    ----------
    from_soc, to_soc : array_like
        0 to 1; positive when `from_soc` is the greater.
    capacity_ah : array_like
        0.01 to 200 Ah.
    cells_in_series : array_like
        1 to 24.

    Notes
    -----
    At rest volts: what a load takes is this less the heat of resistance.
    """
    upper = within("from_soc", from_soc, 0.0, 1.0, "", "enter a share: 90 % is 0.9")
    lower = within("to_soc", to_soc, 0.0, 1.0, "", "enter a share: 90 % is 0.9")
    capacity = within("capacity_ah", capacity_ah, 0.01, 200.0, "Ah", "enter ampere-hours, not mAh")
    return np.asarray(_cells(cells_in_series) * capacity * (_volts_below(upper, traits) - _volts_below(lower, traits)))


def march_pack(
    load: Load,
    amount: Any,
    duration_s: Any,
    cells_in_series: int,
    traits: CellTraits,
    r0_ohm: float,
    capacity_ah: float,
    start_soc: float,
    temperature_c: float,
    ambient_c: float,
    cell_mass_kg: float,
    step_s: float = STEP_S,
) -> PackMarch:
    """March a rested pack through a profile of pack current or pack power.

    Parameters
    ----------
    load : Load
        Whether `amount` is amperes or watts of the pack.
    amount : array_like, shape (n,)
        Discharge positive, constant over each row.
    cells_in_series : int
        1 to 24.
    duration_s, traits, r0_ohm, capacity_ah, start_soc, temperature_c, ambient_c, cell_mass_kg, step_s
        Of one cell, as for `turnback.physics.cell.march_cell`.

    Raises
    ------
    InputError
        Outside those ranges.
    """
    cells = float(_cells(cells_in_series))
    asked = within("amount", amount, 0.0, 2e5, "A" if load is Load.CURRENT else "W", "discharge is positive").reshape(
        -1
    )
    cell = march_cell(
        load, asked if load is Load.CURRENT else asked / cells, duration_s, traits, r0_ohm, capacity_ah, start_soc,
        temperature_c, ambient_c, cell_mass_kg, step_s,
    )  # fmt: skip
    volts = cells * cell.volts_v
    return PackMarch(volts, volts * cell.current_a, np.cumsum(cells * cell.energy_j) / 3600.0, cell)


def _cells(value: Any) -> Array:
    return within("cells_in_series", value, 1, 24, "", "enter the S of the label")


def _volts_below(soc: Array, traits: CellTraits) -> Array:
    """Return ∫ OCV ds from empty."""
    nodes, volts = np.asarray(traits.ocv_soc), np.asarray(traits.ocv_v)
    sums = np.concatenate(([0.0], np.cumsum(0.5 * (volts[1:] + volts[:-1]) * np.diff(nodes))))
    k = np.clip(np.searchsorted(nodes, soc) - 1, 0, nodes.size - 2)
    return np.asarray(sums[k] + 0.5 * (volts[k] + np.interp(soc, nodes, volts)) * (soc - nodes[k]))
