"""The pack: one cell of a series of like ones, with two time constants, written anew for this study."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field
from typing import Final

LIPO_SOC: Final = (0.0, 0.01, 0.02, 0.035, 0.05, 0.075, 0.10, 0.15, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 0.90, 1.0)
LIPO_V: Final = (
    3.00,
    3.22,
    3.35,
    3.48,
    3.56,
    3.63,
    3.67,
    3.71,
    3.735,
    3.77,
    3.795,
    3.83,
    3.875,
    3.945,
    4.02,
    4.105,
    4.195,
)
"""Open-circuit volts of a lithium-polymer cell (our points, drawn by hand through the usual curve)."""
LAND_BY_V: Final = 3.5
DAMAGE_V: Final = 3.0
MOMENT_S: Final = 1.0
"""Below the damage volts for longer than this a cell is harmed."""
HEAT_J_PER_KG_K: Final = 950.0


@dataclass
class Cell:
    """State and true values of one cell."""

    capacity_ah: float
    resistance_ohm: float
    """Ohmic part at 25 °C, half full."""
    weakest_ratio: float
    curve_v: float
    knee: float
    soc: float
    temperature_c: float
    air_c: float
    mass_kg: float
    fast_v: float = field(default=0.0, init=False)
    slow_v: float = field(default=0.0, init=False)
    low_s: float = field(default=0.0, init=False)
    harmed: bool = field(default=False, init=False)
    empty: bool = field(default=False, init=False)
    least_v: float = field(default=9.0, init=False)

    def open_v(self, soc: float | None = None) -> float:
        """Return rest volts."""
        return open_v(self.soc if soc is None else soc, self.curve_v, self.knee)

    def step(self, power_w: float, step_s: float) -> None:
        """Take constant power for a while."""
        if self.empty:
            return
        warmth = math.exp(2300.0 * (1.0 / (self.temperature_c + 273.15) - 1.0 / 298.15))
        ohm = self.resistance_ohm * warmth * (1.0 + 1.2 * math.exp(-self.soc / 0.06))
        behind = self.open_v() - self.fast_v - self.slow_v
        square = behind * behind - 4.0 * ohm * power_w
        if square <= 0.0 or self.soc <= 0.0:
            self.empty = True
            self.least_v = 0.0
            return
        current = (behind - math.sqrt(square)) / (2.0 * ohm)
        self.fast_v += (current * 0.45 * ohm - self.fast_v) * (1.0 - math.exp(-step_s / 2.5))
        self.slow_v += (current * 0.60 * ohm - self.slow_v) * (1.0 - math.exp(-step_s / 45.0))
        self.soc -= current * step_s / 3600.0 / self.capacity_ah
        weakest = behind - current * ohm - (self.weakest_ratio - 1.0) * current * ohm * 2.0
        self.least_v = min(self.least_v, weakest)
        self.low_s = self.low_s + step_s if weakest < DAMAGE_V else 0.0
        self.harmed = self.harmed or self.low_s > MOMENT_S
        heat = current * current * ohm + current * (self.fast_v + self.slow_v)
        lost = 1.3 * self.mass_kg * (self.temperature_c - self.air_c)
        self.temperature_c += (heat - lost) * step_s / (self.mass_kg * HEAT_J_PER_KG_K)


def open_v(soc: float, curve_v: float = 0.0, knee: float = 1.0) -> float:
    """Return rest volts at a state of charge; `knee` stretches the empty end (below 0.15) of the curve."""
    at = min(max(soc, 0.0), 1.0)
    if at < 0.15:
        at = min(at / knee, 0.15) if at / knee < 0.10 else 0.10 + (at - 0.10 * knee) * 0.05 / (0.15 - 0.10 * knee)
        at = min(max(at, 0.0), 0.15)
    k = min(max(bisect_right(LIPO_SOC, at) - 1, 0), len(LIPO_SOC) - 2)
    share = (at - LIPO_SOC[k]) / (LIPO_SOC[k + 1] - LIPO_SOC[k])
    return LIPO_V[k] + share * (LIPO_V[k + 1] - LIPO_V[k]) + curve_v * min(1.0, max(0.0, (1.0 - soc) / 0.1))


def soc_at(rest_v: float, curve_v: float = 0.0, knee: float = 1.0) -> float:
    """Return state of charge at rest volts, by halving."""
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if open_v(middle, curve_v, knee) < rest_v else (low, middle)
    return 0.5 * (low + high)
