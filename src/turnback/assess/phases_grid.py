"""Channels of any rate on one clock of at most 50 steps a second."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from turnback.assess.phases_kernel import windowed_mean
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.rules.record_phases import STALE, STEP

Floats = NDArray[np.float64]
_MOST_STEPS = 400_000


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """Equal steps from 0 to the end of the record.

    Parameters
    ----------
    step_s : float
    steps : int
    places : dict
        First rows of each step, by the identity of a channel's array of times; filled on the way.
    """

    step_s: float
    steps: int
    places: dict[int, NDArray[np.intp]] = field(default_factory=dict)

    @property
    def mid_s(self) -> Floats:
        """Middle of each step."""
        return np.asarray((np.arange(self.steps) + 0.5) * self.step_s, np.float64)

    def first_rows(self, series: Series) -> NDArray[np.intp]:
        """Return the first row of each step and, last, the row after the last step; shape (steps + 1,)."""
        found = self.places.get(id(series.t_s))
        if found is None:
            edges_s = np.arange(self.steps + 1) * self.step_s
            edges_s[-1] = np.inf
            found = np.searchsorted(series.t_s, edges_s, side="left")
            self.places[id(series.t_s)] = found
        return found

    def mean(self, series: Series, *, squared: bool = False, stepped: bool = False) -> Floats:
        """Return a channel's mean in each step; between slower samples a straight line; NaN where it is stale.

        Parameters
        ----------
        series : Series
        squared : bool
            The mean square of what changes from row to row instead.
        stepped : bool
            Hold the last value between samples instead of a line (switches, words).
        """
        t_s, values = series.t_s, series.values
        if not t_s.size:
            return np.full(self.steps, np.nan)
        rows = self.first_rows(series)
        counts = np.diff(rows)
        if squared:
            steps = np.diff(values, prepend=values[:1])
            values = steps * steps
        if series.rate_hz * self.step_s > 1.5:
            safe = np.minimum(rows[:-1], t_s.size - 1)
            means: Floats = np.add.reduceat(values, safe).astype(np.float64) / np.maximum(counts, 1)
            means[counts == 0] = np.nan
            return self._bridged(means) if (counts == 0).any() else means
        mid_s = self.mid_s
        # a switch thrown within a step counts from that step on
        held = values[np.maximum(rows[1:] - 1, 0)].astype(np.float64)
        made: Floats = held if stepped else np.interp(mid_s, t_s, values)
        before = np.clip(rows[1:] - 1, 0, t_s.size - 1)
        after = np.minimum(before + 1, t_s.size - 1)
        limit_s = max(STALE.value, 3.0 / series.rate_hz if series.rate_hz > 0.0 else 0.0)
        near_s = np.minimum(np.abs(mid_s - t_s[before]), np.abs(t_s[after] - mid_s))
        if not stepped:
            made[near_s > limit_s] = np.nan
        return made

    def _bridged(self, made: Floats) -> Floats:
        """Fill short holes with a straight line."""
        there = np.flatnonzero(~np.isnan(made))
        if not there.size:
            return made
        every = np.arange(made.size)
        filled = np.interp(every, there, made[there])
        before = there[np.clip(np.searchsorted(there, every, side="right") - 1, 0, there.size - 1)]
        after = there[np.clip(np.searchsorted(there, every, side="left"), 0, there.size - 1)]
        near = np.minimum(np.abs(every - before), np.abs(after - every)) * self.step_s
        filled[near > STALE.value / 2.0] = np.nan
        return filled

    def smooth(self, values: Floats, window_s: float) -> Floats:
        """Return the mean over a window around each step, of what is there; NaN where nothing is."""
        half = max(0, round(window_s / self.step_s / 2.0))
        if half == 0:
            return values
        made: Floats = windowed_mean(np.ascontiguousarray(values, np.float64), half)
        return made

    def slope(self, values: Floats, window_s: float) -> Floats:
        """Return the change a second over a window around each step."""
        half = max(1, round(window_s / self.step_s / 2.0))
        made = np.full(values.size, np.nan)
        if values.size > 1:
            first = np.maximum(np.arange(values.size) - half, 0)
            last = np.minimum(np.arange(values.size) + half, values.size - 1)
            made = (values[last] - values[first]) / ((last - first) * self.step_s)
        return made


def grid_of(record: FlightRecord) -> Grid:
    """Return the clock for a record's phases."""
    length_s = max(record.clock.length_s, 0.0)
    rates = [each.rate_hz for each in record.series.values() if each.channel.quantity is not Quantity.OTHER]
    fastest_hz = max([*rates, 0.0])
    step_s = max(STEP.value, 1.0 / fastest_hz if fastest_hz > 0.0 else STEP.value, length_s / _MOST_STEPS)
    return Grid(step_s, max(1, int(np.floor(length_s / step_s + 1e-6)) + (1 if length_s <= 0 else 0)))
