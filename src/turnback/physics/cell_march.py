"""Many packs through many flights at once: one world is one cell of one pack through its own segments of pack power."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import bad_input
from turnback.base.ranges import within
from turnback.physics.cell import STEP_S, CellTraits, packed
from turnback.physics.cell_kernel import worlds_kernel

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class WorldsMarch:
    """Every world of a flight; arrays (n_worlds, n_segments) are NaN from the segment that fails on."""

    rest_v: Array
    """Rest volts of one cell at the end of each segment."""
    loaded_low_v: Array
    """Least loaded volts of one cell within each segment."""
    soc: Array
    """State of charge at the end of each segment."""
    current_a: Array
    """Greatest pack current within each segment."""
    temperature_c: Array
    """Of the cell at the end of each segment."""
    deliverable: NDArray[np.bool_]
    """(n_worlds,): carried to the end: power could be given, charge lasted, every segment ends."""


def march_worlds(
    power_w: Any,
    duration_s: Any,
    *,
    cells_in_series: int,
    r0_ohm: Any,
    capacity_ah: Any,
    start_soc: Any,
    temperature_c: Any,
    ambient_c: Any,
    cell_mass_kg: Any,
    traits: CellTraits,
    step_s: float = STEP_S,
) -> WorldsMarch:
    """March a rested pack of equal cells in series through each world's segments of constant pack power.

    Parameters
    ----------
    power_w : array_like, shape (n_worlds, n_segments)
        Of the pack, 0 to 100,000 W; NaN or infinite is a power that nothing delivers.
    duration_s : array_like, shape (n_worlds, n_segments)
        0 s and up; NaN or infinite is a leg that never ends. Broadcast against `power_w`.
    cells_in_series : int
        1 to 24.
    r0_ohm : array_like, shape (n_worlds,) or ()
        Ohmic resistance of one cell at reference, 0.0001 to 1 Ω.
    capacity_ah : array_like, shape (n_worlds,) or ()
        0.01 to 200 Ah.
    start_soc : array_like, shape (n_worlds,) or ()
        0 to 1.
    temperature_c, ambient_c : array_like, shape (n_worlds,) or ()
        Of the pack at the start, of the air; -40 to 100 °C.
    cell_mass_kg : array_like, shape (n_worlds,) or ()
        Of one cell, 0.0005 to 5 kg; sets its heat.
    traits : CellTraits
        A chemistry of the rules, or `turnback.physics.cell.Traits`.
    step_s : float
        Longest step, 0.001 to 600 s; each segment is cut into equal steps no longer than this.

    Raises
    ------
    InputError
        Outside those ranges, or shapes that do not fit.

    Notes
    -----
    Method and accuracy: `turnback.physics.cell_kernel`. Worlds do not meet, so the thread count moves no byte.
    """
    power, seconds = np.asarray(power_w, dtype=np.float64), np.asarray(duration_s, dtype=np.float64)
    if power.ndim != 2:
        raise bad_input("power_w", f"has {power.ndim} axes", "give worlds by segments")
    _verify("power_w", power, 1e5, "W")
    _verify("duration_s", seconds, 1e7, "s")
    cells = float(within("cells_in_series", cells_in_series, 1, 24, "", "enter the S of the label"))
    nodes, table, numbers = packed(traits)
    mass = within("cell_mass_kg", cell_mass_kg, 5e-4, 5.0, "kg", "enter kilograms of one cell, not grams")
    worlds = np.empty((power.shape[0], 7))
    for column, field in enumerate((
        within("r0_ohm", r0_ohm, 1e-4, 1.0, "Ω", "enter ohms of one cell, not milliohms"),
        within("capacity_ah", capacity_ah, 0.01, 200.0, "Ah", "enter ampere-hours, not mAh"),
        within("start_soc", start_soc, 0.0, 1.0, "", "enter a share: 90 % is 0.9"),
        within("temperature_c", temperature_c, -40.0, 100.0, "°C"),
        within("ambient_c", ambient_c, -40.0, 100.0, "°C"),
        mass * traits.heat_capacity_j_per_kg_k,
        mass * traits.heat_loss_w_per_kg_k,
    )):  # fmt: skip
        worlds[:, column] = field
    out = np.empty((5, *power.shape))
    deliverable = np.empty(power.shape[0], dtype=np.bool_)
    worlds_kernel(
        _ready(power, power.shape), _ready(seconds, power.shape), cells,
        float(within("step_s", step_s, 1e-3, 600.0, "s")), worlds, nodes, table, numbers, out, deliverable,
    )  # fmt: skip
    return WorldsMarch(out[0], out[1], out[2], out[3], out[4], deliverable)


def _verify(name: str, array: Array, most: float, unit: str) -> None:
    """Refuse finite numbers out of range; the rest fail by themselves. Two quick looks spare a copy."""
    low, high = np.fmin.reduce(array, axis=None, initial=0.0), np.fmax.reduce(array, axis=None, initial=0.0)
    if low < 0.0 or high > most:
        within(name, array[np.isfinite(array)], 0.0, most, unit, "power drawn and time are positive")


def _ready(array: Array, shape: tuple[int, ...]) -> Array:
    """Return an array as the kernel takes it, copied only where it must be."""
    full = np.ascontiguousarray(np.broadcast_to(array, shape))
    return full if full.flags.writeable else full.copy()  # a read-only array would be compiled for anew
