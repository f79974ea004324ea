"""Fit our cell to two measured discharges of a pouch cell and predict a third, faster one.

The fit sees the 0.5 C and 1 C discharges only (volts and temperature rise); the 2 C discharge is opened afterwards, to
be compared. Whatever two discharges cannot tell is not fitted: resistance follows temperature by the 20 kJ/mol that the
rules give a LiPo, and its curve over charge is held smooth. Those were set before the 2 C record was opened; so was the
rest, but for the bounds of the time constants: a first run without them put most of the resistance on one second, which
a record of 1 Hz cannot tell from none (its prediction was 6.1 mV off, the present one's is 5.6).

The peer is a straight line: at each charge, volts of both records laid out linearly in current to 2 C.

Run ``python -m studies.pouch_cell_fit``; it prints the comparison and the fitted traits.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import optimize
from tools.oracle_data import Kept, ensure, path_of

from turnback.physics.cell import CellMarch, Load, Traits, march_cell
from turnback.rules.chemistry import chemistry

Array = NDArray[np.float64]

LABEL_AH: Final = 2.28
FULL_AH: Final = 2.40
"""Counted as full (our choice): above what the slowest fitted discharge took, so that both stay above empty."""
AIR_C: Final = 25.0
MASS_KG: Final = 0.04
"""Only its product with the heat capacity matters, and that is fitted."""
FIRST_AH, LAST_AH = 0.1, 1.9
"""Where the prediction is compared."""

OCV_NODES: Final = np.array(
    [0.0, 0.04, 0.08, 0.12, 0.18, 0.25, 0.33, 0.42, 0.5, 0.58, 0.66, 0.74, 0.82, 0.9, 0.96, 1.0]
)
RESISTANCE_NODES: Final = np.array([0.0, 0.08, 0.18, 0.3, 0.45, 0.6, 0.75, 0.9, 1.0])
VOLTS_SD, KELVIN_SD = 2e-3, 0.2
SMOOTH_SD: Final = 0.1
"""Of the bend of ln(resistance ratio) from node to node."""
PLAIN: Final = {
    "r1_ratio": (0.01, 0.3, 10.0),
    "tau1_s": (5.0, 15.0, 60.0),  # 1 Hz: what is faster than a few rows is part of the ohmic resistance
    "r2_ratio": (0.01, 0.6, 10.0),
    "tau2_s": (60.0, 200.0, 2000.0),  # slower than that, two discharges cannot tell it from rest volts
    "heat_capacity_j_per_kg_k": (100.0, 900.0, 10_000.0),  # with whatever the cell was clamped to
    "heat_loss_w_per_kg_k": (0.01, 2.5, 100.0),
}
"""Least, first guess and greatest of the plain numbers."""


@dataclass(frozen=True)
class Record:
    """One measured discharge at constant current."""

    current_a: float
    time_s: Array
    volts_v: Array
    warmer_k: Array

    @property
    def used_ah(self) -> Array:
        """Charge taken."""
        return self.current_a * self.time_s / 3600.0


@dataclass(frozen=True)
class Fitted:
    """A cell fitted to records."""

    traits: Traits
    r0_ohm: float
    fit_rmse_v: float


@dataclass(frozen=True)
class Comparison:
    """What was predicted for the fast discharge, beside what was measured."""

    used_ah: Array
    measured_v: Array
    ours_v: Array
    line_v: Array
    ours_rmse_v: float
    line_rmse_v: float
    measured_k: float
    ours_k: float
    """Greatest temperature rise over the compared range."""


def read(rate: str) -> Record:
    """Return the measured discharge at a rate, such as ``"0.5C"``, up to where it ends."""
    ensure()
    volts = np.loadtxt(path_of(rate, Kept.VOLTS))
    warmth = np.loadtxt(path_of(rate, Kept.WARMTH))
    current = LABEL_AH * float(rate.removesuffix("C"))
    return Record(current, volts[:, 0], volts[:, 1], np.interp(volts[:, 0], warmth[:, 0], warmth[:, 1]))


def thinned(record: Record, last_ah: float = 2.2) -> Record:
    """Return every second of the first minute, and then about 150 rows: the start tells the time constants."""
    last_s = 3600.0 * last_ah / record.current_a
    wanted = np.unique(np.concatenate([np.arange(1.0, 60.0, 2.0), np.linspace(60.0, last_s, 150).round()]))
    rows = np.searchsorted(record.time_s, wanted)
    return Record(record.current_a, record.time_s[rows], record.volts_v[rows], record.warmer_k[rows])


def run(traits: Traits, r0_ohm: float, current_a: float, time_s: Array) -> CellMarch:
    """March a full cell at constant current, told at each time."""
    durations = np.diff(time_s, prepend=0.0)
    return march_cell(
        Load.CURRENT, np.full(time_s.size, current_a), durations, traits, r0_ohm, FULL_AH, 1.0, AIR_C, AIR_C, MASS_KG,
    )  # fmt: skip


def unpacked(x: Array, arrhenius_j_per_mol: float) -> tuple[Traits, float]:
    """Return the cell that a vector of the fit stands for."""
    n, m = OCV_NODES.size, RESISTANCE_NODES.size
    shape = np.exp(x[n : n + m])
    plain = dict(zip(PLAIN, map(float, np.exp(x[n + m :])), strict=True))
    middle = float(np.interp(0.5, RESISTANCE_NODES, shape))
    traits = Traits(
        floats(OCV_NODES), floats(np.maximum.accumulate(x[:n])), floats(RESISTANCE_NODES), floats(shape / middle),
        arrhenius_j_per_mol=arrhenius_j_per_mol, reference_c=AIR_C, **plain,
    )  # fmt: skip
    return traits, middle


def floats(array: Array) -> tuple[float, ...]:
    """Return an array as the traits hold it."""
    return tuple(map(float, array))


def fit(records: list[Record], arrhenius_j_per_mol: float = chemistry("LiPo").arrhenius_j_per_mol) -> Fitted:
    """Return the cell that fits records best, by least squares on volts, temperature rise and smoothness."""
    kept = [thinned(record) for record in records]

    def miss(x: Array) -> Array:
        traits, r0 = unpacked(x, arrhenius_j_per_mol)
        rows = []
        for record in kept:
            march = run(traits, r0, record.current_a, record.time_s)
            rows.append(np.nan_to_num(march.volts_v - record.volts_v, nan=1.0) / VOLTS_SD)
            rows.append(np.nan_to_num(march.temperature_c - AIR_C - record.warmer_k, nan=10.0) / KELVIN_SD)
        shape = x[OCV_NODES.size : OCV_NODES.size + RESISTANCE_NODES.size]
        rows.append(np.diff(shape, 2) / SMOOTH_SD)
        return np.concatenate(rows)

    slowest = kept[0]
    ocv = np.interp(OCV_NODES, 1.0 - slowest.used_ah[::-1] / FULL_AH, slowest.volts_v[::-1]) + 0.04
    curves = [(2.5, volt, 4.5) for volt in ocv] + [(1e-4, 0.03, 1.0)] * RESISTANCE_NODES.size
    low, start, high = np.array([*curves, *PLAIN.values()]).T
    for column in (low, start, high):
        column[OCV_NODES.size :] = np.log(column[OCV_NODES.size :])
    found = optimize.least_squares(miss, start, bounds=(low, high), x_scale="jac", max_nfev=300)
    traits, r0 = unpacked(found.x, arrhenius_j_per_mol)
    apart = np.concatenate([run(traits, r0, r.current_a, r.time_s).volts_v - r.volts_v for r in kept])
    return Fitted(traits, r0, rmse(apart))


def straight_line(slow: Record, fast: Record, current_a: float, used_ah: Array) -> Array:
    """Return volts at a current by a straight line through two records at equal charge taken."""
    one = np.interp(used_ah, slow.used_ah, slow.volts_v)
    two = np.interp(used_ah, fast.used_ah, fast.volts_v)
    return two + (two - one) / (fast.current_a - slow.current_a) * (current_a - fast.current_a)


def rmse(apart: Array) -> float:
    """Return the root of the mean square."""
    return float(np.sqrt(np.mean(np.square(apart))))


def compare(fitted: Fitted, slow: Record, fast: Record, unseen: Record) -> Comparison:
    """Return a fitted cell's prediction of an unseen discharge, beside a straight line's."""
    used = np.linspace(FIRST_AH, LAST_AH, 181)
    march = run(fitted.traits, fitted.r0_ohm, unseen.current_a, 3600.0 * used / unseen.current_a)
    measured = np.interp(used, unseen.used_ah, unseen.volts_v)
    line = straight_line(slow, fast, unseen.current_a, used)
    return Comparison(
        used, measured, march.volts_v, line, rmse(march.volts_v - measured), rmse(line - measured),
        float(np.interp(used, unseen.used_ah, unseen.warmer_k).max()), float(march.temperature_c.max()) - AIR_C,
    )  # fmt: skip


def main() -> None:
    """Fit, then open the record that the fit has not seen, and say how far off both were."""
    slow, fast = read("0.5C"), read("1C")
    fitted = fit([slow, fast])
    unseen = read("2C")
    told = compare(fitted, slow, fast, unseen)
    deaf = compare(fit([slow, fast], 0.0), slow, fast, unseen)
    sys.stdout.write(
        f"fit of 0.5 C and 1 C: {fitted.fit_rmse_v * 1e3:.1f} mV RMSE\n"
        f"2 C, {FIRST_AH} to {LAST_AH} Ah: ours {told.ours_rmse_v * 1e3:.1f} mV, "
        f"straight line {told.line_rmse_v * 1e3:.1f} mV RMSE\n"
        f"the same fit with resistance that does not follow temperature: {deaf.ours_rmse_v * 1e3:.1f} mV\n"
        f"2 C warms by {told.measured_k:.1f} K, predicted {told.ours_k:.1f} K\n"
        f"at half charge and {AIR_C:g} °C: ohmic {fitted.r0_ohm * 1e3:.1f} mΩ, "
        f"{fitted.traits.r1_ratio * fitted.r0_ohm * 1e3:.1f} mΩ with {fitted.traits.tau1_s:.0f} s, "
        f"{fitted.traits.r2_ratio * fitted.r0_ohm * 1e3:.1f} mΩ with {fitted.traits.tau2_s:.0f} s\n"
        f"{fitted.traits}\n"
    )


if __name__ == "__main__":
    main()
