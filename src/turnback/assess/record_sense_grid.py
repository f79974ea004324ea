"""Channels on one even grid of times, and windows that vote on whether two of them move the same way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord, Series
from turnback.rules.record_sense import AGREE, ALIKE, GAIN_LEAST, GAIN_MOST, MOST_CHANCE_NATS

Floats = NDArray[np.float64]
TURNS: Final = frozenset({Quantity.ROLL, Quantity.PITCH, Quantity.HEADING, Quantity.COURSE})
MOST_HOLE_S: Final = 1.0
"""Across a longer hole nothing is put in."""
MOST_STEPS: Final = 250_000
RENEWED: Final = 0.7
SMALL: Final = 1e-12


class Grid:
    """The channels of one record on one even grid, made when they are asked for."""

    def __init__(self, record: FlightRecord, rate_hz: float) -> None:
        self.record = record
        self.rate_hz = rate_hz
        self.step_s = 1.0 / rate_hz
        steps = min(max(record.clock.length_s * rate_hz, 1.0), MOST_STEPS)  # an hour tells as much as a week
        self.t_s: Floats = np.arange(int(np.ceil(steps)), dtype=np.float64) * self.step_s
        self._made: dict[Quantity, Floats | None] = {}
        self._edges: dict[int, NDArray[np.intp]] = {}

    def of(self, quantity: Quantity) -> Floats | None:
        """Return one channel on the grid, NaN where it has no value near; None where the record has none."""
        if quantity not in self._made:
            series = self.record.get(quantity)
            self._made[quantity] = None if series is None or series.values.size < 2 else self.put(series)
        return self._made[quantity]

    def put(self, series: Series) -> Floats:
        """Return a series on the grid: the mean of a step's values where there are several, else in between."""
        t_s, values = series.t_s, series.values
        turns = series.channel.quantity in TURNS
        if t_s.size > 2 * self.t_s.size:
            edges = self._edges_of(t_s)
            count = np.diff(edges)
            if turns:  # the mean of directions on both sides of north would be south
                near = np.unwrap(np.asarray(values[np.minimum(edges[:-1], t_s.size - 1)], dtype=np.float64))
                return np.where(count > 0, near, np.nan)
            sums = np.add.reduceat(values[: edges[-1]], np.minimum(edges[:-1], edges[-1] - 1), dtype=np.float64)
            return np.where(count > 0, sums / np.maximum(count, 1), np.nan)
        if series.rate_hz > 0.0 and series.fresh_hz < RENEWED * series.rate_hz:
            fresh = np.r_[True, values[1:] != values[:-1]]
            wait = np.searchsorted(t_s, t_s[fresh] + MOST_HOLE_S * 0.9) - 1  # a value that stays is a value, too
            keep = np.unique(np.r_[np.flatnonzero(fresh), wait, t_s.size - 1])
            t_s, values = t_s[keep], values[keep]
        flat = np.unwrap(np.asarray(values, dtype=np.float64)) if turns else values
        put = np.interp(self.t_s, t_s, flat, left=np.nan, right=np.nan)
        after = np.minimum(np.searchsorted(t_s, self.t_s), t_s.size - 1)
        hole = t_s[after] - t_s[np.maximum(after - 1, 0)]
        put[hole > max(MOST_HOLE_S, 3.0 / max(series.rate_hz, SMALL))] = np.nan
        return np.asarray(put)

    def _edges_of(self, t_s: Floats) -> NDArray[np.intp]:
        """Return the first row of each step and the row after the last; channels of one clock share them."""
        if id(t_s) not in self._edges:
            borders = np.append(self.t_s, self.t_s[-1] + self.step_s) - 0.5 * self.step_s
            self._edges[id(t_s)] = np.searchsorted(t_s, borders)
        return self._edges[id(t_s)]

    def slope(self, values: Floats) -> Floats:
        """Return the derivative on the grid."""
        return np.gradient(values, self.step_s) if values.size > 2 else np.zeros_like(values)


class Coarser(Grid):
    """A grid of longer steps, each the mean of steps of a finer one."""

    def __init__(self, finer: Grid, rate_hz: float) -> None:
        self._finer = finer
        self._every = max(1, round(finer.rate_hz / rate_hz))
        super().__init__(finer.record, finer.rate_hz / self._every)
        self.t_s = finer.t_s[: finer.t_s.size // self._every * self._every : self._every]

    def put(self, series: Series) -> Floats:
        """Return a series on the grid."""
        alone = self.record.get(series.channel.quantity) is series
        fine = self._finer.of(series.channel.quantity) if alone else None
        values = self._finer.put(series) if fine is None else fine
        return np.asarray(values[: self.t_s.size * self._every].reshape(-1, self._every).mean(axis=1))


@dataclass(frozen=True, slots=True)
class Votes:
    """Windows in which two channels move the same way, and in which they move against each other."""

    same: int = 0
    against: int = 0

    def nats(self, each: float, need: int) -> float:
        """Return the log odds that they count the same way; 0 where the votes do not agree.

        Parameters
        ----------
        each : float
            Of one vote.
        need : int
            Votes that chance, or a flight out of control, may give.
        """
        total = self.same + self.against
        if total == 0 or max(self.same, self.against) < AGREE.value * total:
            return 0.0
        net = self.same - self.against
        return float(np.sign(net) * min(MOST_CHANCE_NATS.value, each * max(0, abs(net) - need)))


@dataclass(frozen=True, slots=True)
class Pairing:
    """How two channels are held against each other.

    Parameters
    ----------
    window : int
        Steps of the grid.
    first_lag, last_lag : int
        Steps by which the second may come later.
    least_first, least_second : float
        A window in which one moves less (standard deviation) does not vote.
    one_to_one : bool
        The second must move about as much as the first.
    """

    window: int
    first_lag: int
    last_lag: int
    least_first: float
    least_second: float
    one_to_one: bool = False


def votes(first: Floats, second: Floats, pairing: Pairing, where: NDArray[np.bool_] | None = None) -> Votes:
    """Let windows vote on whether two channels move the same way, at the one lag that suits most of them.

    Parameters
    ----------
    first, second : ndarray, shape (n,)
        NaN where there is no value.
    pairing : Pairing
    where : ndarray of bool, shape (n,), optional
        Only windows that lie inside count.
    """
    masked = first if where is None else np.where(where, first, np.nan)
    best, found = -1.0, Votes()
    for lag in range(pairing.first_lag, pairing.last_lag + 1):
        ahead, late = masked[max(0, -lag) : masked.size - max(0, lag)], second[max(0, lag) : second.size + min(0, lag)]
        like, gain = _likeness(ahead, late, pairing)
        votes_here = np.abs(like) >= ALIKE.value
        if pairing.one_to_one:
            votes_here &= (gain >= GAIN_LEAST.value) & (gain <= GAIN_MOST.value)
        score = float(np.sum(np.abs(like[votes_here])))
        if score > best:
            same = int(np.count_nonzero(like[votes_here] > 0.0))
            best, found = score, Votes(same, int(np.count_nonzero(votes_here)) - same)
    return found


def _likeness(first: Floats, second: Floats, pairing: Pairing) -> tuple[Floats, Floats]:
    """Return the correlation of each window that moves enough, and how much the second moves for the first."""
    count = first.size // pairing.window
    if count == 0:
        return np.zeros(0), np.zeros(0)
    one = first[: count * pairing.window].reshape(count, pairing.window)
    other = second[: count * pairing.window].reshape(count, pairing.window)
    whole = np.isfinite(one).all(axis=1) & np.isfinite(other).all(axis=1)
    one, other = one[whole], other[whole]
    one, other = one - one.mean(axis=1, keepdims=True), other - other.mean(axis=1, keepdims=True)
    spread_one, spread_other = one.std(axis=1), other.std(axis=1)
    moves = (spread_one >= pairing.least_first) & (spread_other >= pairing.least_second)
    one, other, spread_one, spread_other = one[moves], other[moves], spread_one[moves], spread_other[moves]
    like = np.mean(one * other, axis=1) / np.maximum(spread_one * spread_other, SMALL)
    return like, np.abs(like) * spread_other / np.maximum(spread_one, SMALL)
