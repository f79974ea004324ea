"""Factors between columns as written: of a change and its rate, of two values, of a speed and the way it makes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.record_read import RawTable

Floats = NDArray[np.float64]
MOST_ROWS: Final = 8192
WINDOWS: Final = (4, 12, 40, 120)  # sampled rows: a noisy rate shows its angle over longer ones
LEAST_TOGETHER: Final = 0.7  # correlation below which a factor says nothing
LEAST_WAY_M: Final = 3.0  # well above the noise of a position fix over a few rows
LEAST_TRAVELLING: Final = 60  # rows
STRAIGHT: Final = 0.9
FINEST: Final = 0.03  # natural logarithms: no factor of two columns is trusted further


@dataclass(frozen=True, slots=True)
class Slope:
    """A factor (positive: directions are settled elsewhere) and how exactly it is known, in natural logarithms."""

    factor: float
    exact: float


class Sample:
    """Some thousand rows, evenly spaced, with every column filled in between its values."""

    def __init__(self, table: RawTable, clock: int) -> None:
        every = max(1, table.rows // MOST_ROWS)
        self.table = table
        self.rows = np.arange(0, table.rows, every)
        self._kept: dict[int, Floats] = {}
        self.times = self.at(clock) if clock >= 0 else np.zeros(0)

    def at(self, row: int) -> Floats:
        """Return a column at the sampled rows."""
        if row not in self._kept:
            values = self.table.columns[row].values
            picked = values[self.rows].astype(float)
            if not np.isfinite(picked).all():
                filled = np.flatnonzero(np.isfinite(values))
                if filled.size > 4 * MOST_ROWS:
                    filled = filled[:: filled.size // (4 * MOST_ROWS)]
                if filled.size:
                    picked = np.interp(self.rows, filled, values[filled].astype(float))
            self._kept[row] = picked
        return self._kept[row]


def slope_of_values(x: Floats, y: Floats) -> Slope | None:
    """Return the factor from `x` to `y`, up to a constant; None where they do not go together."""
    good = np.isfinite(x) & np.isfinite(y)
    if good.sum() < 16:
        return None
    x, y = x[good] - x[good].mean(), y[good] - y[good].mean()
    # Sums, not dot products: those wake a pool of threads for a few thousand numbers.
    xx, yy = float((x * x).sum()), float((y * y).sum())
    if xx <= 0.0 or yy <= 0.0:
        return None
    together = abs(float((x * y).sum())) / math.sqrt(xx * yy)
    if together < LEAST_TOGETHER:
        return None
    # Noise makes either variance too large: how much, nobody knows; half of what is not in common is the allowance.
    return Slope(math.sqrt(yy / xx), max(FINEST, 0.5 * math.sqrt(1.0 - min(together, 1.0) ** 2)))


def slope_of_changes(sample: Sample, whole: int, rate: int, circle: float) -> Slope | None:
    """Return the factor from the change of one column with time, as written, to another.

    Parameters
    ----------
    sample : Sample
    whole, rate : int
    circle : float
        A full turn of `whole` as written, where it begins again; 0 where it does not.
    """
    t, angle, speed = sample.times, sample.at(whole), sample.at(rate)
    steps = np.diff(t)
    if not (np.isfinite(steps).all() and np.isfinite(angle).all() and np.isfinite(speed).all()):
        return None
    steps = np.where((steps > 0.0) & (steps < 20.0 * np.median(steps)), steps, 0.0)
    made = np.concatenate([[0.0], np.cumsum(steps * (speed[1:] + speed[:-1]) / 2.0)])
    made -= np.linspace(0.0, made[-1], made.size) if circle else 0.0
    best: Slope | None = None
    for width in WINDOWS:
        if angle.size <= 2 * width:
            break
        turned = angle[width:] - angle[:-width]
        if circle:
            turned = turned - circle * np.round(turned / circle)
        found = slope_of_values(turned, made[width:] - made[:-width])
        if found is not None and (best is None or found.exact < best.exact):
            best = found
    return best


def direction_of_travel(sample: Sample, row: int, north: Floats, east: Floats, turn: float) -> float | None:
    """Return how well a column goes with the direction of travel over ground, from 0 to 1; None on a short way.

    Parameters
    ----------
    sample : Sample
    row : int
    north, east : ndarray, shape (rows,)
        Metres.
    turn : float
        Radians of one unit of the column.
    """
    for width in WINDOWS:
        if north.size <= 2 * width:
            break
        x, y = north[width:] - north[:-width], east[width:] - east[:-width]
        far = np.hypot(x, y) > LEAST_WAY_M
        here = sample.at(row)[width // 2 :][: x.size][far] * turn
        if far.sum() >= LEAST_TRAVELLING and np.isfinite(here).all():
            off = np.arctan2(y[far], x[far]) - here
            if np.abs(np.exp(1j * here).mean()) > STRAIGHT:
                return None  # a straight flight: anything that does not change goes with it
            return float(np.cos(off).mean())
    return None


def speed_over_ground(sample: Sample, row: int, north: Floats, east: Floats | None) -> Slope | None:
    """Return the factor from metres made good in one written unit of time to a speed as written.

    Without `east`, of the speed along one axis, with its sign.
    """
    t, speed = sample.times, sample.at(row)
    steps = np.diff(t)
    if not (np.isfinite(steps).all() and np.isfinite(speed).all() and np.isfinite(north).all()):
        return None
    way = np.concatenate([[0.0], np.cumsum(np.maximum(steps, 0.0) * (speed[1:] + speed[:-1]) / 2.0)])
    best: Slope | None = None
    for width in WINDOWS:
        if t.size <= 2 * width:
            break
        made = north[width:] - north[:-width]
        if east is not None:
            made = np.hypot(made, east[width:] - east[:-width])
        found = slope_of_values(made, way[width:] - way[:-width])
        if found is not None and (best is None or found.exact < best.exact):
            best = found
    return best
