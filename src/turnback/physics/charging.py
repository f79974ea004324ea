"""How long a charger takes: constant current up to the full volts, then constant volts while the current falls."""

from __future__ import annotations

from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from turnback.base.ranges import within

Array = NDArray[np.float64]

TAPER_STEPS = 48  # equal steps of the logarithm of the current: the rest volts are straight lines between their nodes


class ChargeTraits(Protocol):
    """What charging needs to know of a chemistry."""

    @property
    def full_v(self) -> float:
        """The charger's end, V."""

    @property
    def ocv_soc(self) -> tuple[float, ...]:
        """State of charge, ascending."""

    @property
    def ocv_v(self) -> tuple[float, ...]:
        """Rest volts, ascending, V."""


def charge_time_s(
    from_soc: Any,
    current_a: Any,
    capacity_ah: Any,
    resistance_ohm: Any,
    end_current_fraction: float,
    traits: ChargeTraits,
) -> Array:
    """Return the time from a state of charge to full.

    Parameters
    ----------
    from_soc : array_like
        0 to 1.
    current_a : array_like
        Of the constant-current part, 0.001 to 500 A.
    capacity_ah : array_like
        0.01 to 100 Ah.
    resistance_ohm : array_like
        Of one cell, after minutes of load; 0.0001 to 2 Ω.
    end_current_fraction : float
        The charger ends where the current has fallen to this share of `current_a`; 0.01 to 0.5.
    traits : ChargeTraits

    Raises
    ------
    InputError
        If an argument lies outside its range.

    Notes
    -----
    Textbook constant current, constant voltage: with E(s) the rest volts, the current is I₀ until E(s) + I₀ R meets the
    full volts V; from there I = (V - E(s)) / R, and since ds = I dt / C, the time is the sum of C R s'(E) over dln I.
    Nothing for balancing, which is slower than the cells.
    """
    start = within("from_soc", from_soc, 0.0, 1.0, "")
    current = within("current_a", current_a, 1e-3, 500.0, "A")
    charge_as = within("capacity_ah", capacity_ah, 0.01, 100.0, "Ah", "enter Ah, not mAh") * 3600.0
    ohm = within("resistance_ohm", resistance_ohm, 1e-4, 2.0, "Ω", "enter ohms of one cell, not milliohms")
    share = float(within("end_current_fraction", end_current_fraction, 0.01, 0.5, ""))

    def soc(volts: Array) -> Array:
        return np.asarray(np.interp(volts, traits.ocv_v, traits.ocv_soc))

    met = soc(traits.full_v - current * ohm)  # where the charger's volts are first met
    steady_s = np.maximum(met - start, 0.0) * charge_as / current
    begins_a = np.minimum(current, (traits.full_v - np.interp(start, traits.ocv_soc, traits.ocv_v)) / ohm)
    ends_a = share * current
    falls = np.maximum(begins_a / ends_a, 1.0)  # a pack that is full already takes less than the end current
    along = np.linspace(0.0, 1.0, TAPER_STEPS + 1).reshape((-1,) + (1,) * np.ndim(falls))
    amperes = ends_a * falls ** (1.0 - along)
    filled = np.diff(soc(traits.full_v - amperes * ohm), axis=0)
    between_a = (amperes[:-1] - amperes[1:]) / np.log(np.where(falls > 1.0, amperes[:-1] / amperes[1:], np.e))
    taper_s = np.where(falls > 1.0, (filled / np.maximum(between_a, 1e-12)).sum(axis=0) * charge_as, 0.0)
    return np.asarray(steady_s + taper_s)
