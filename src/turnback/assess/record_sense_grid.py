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
RENEWED: Final = 0.7
SMALL: Final = 1e-12


class Grid:
    """The channels of one record on one even grid, made when they are asked for."""

    def __init__(self, record: FlightRecord, rate_hz: float) -> None:
        self.record = record
        self.rate_hz = rate_hz
        self.step_s = 1.0 / rate_hz
        self.t_s: Floats = np.arange(0.0, max(record.clock.length_s, self.step_s), self.step_s)
        self._made: dict[Quantity, Floats | None] = {}

    def of(self, quantity: Quantity) -> Floats | None:
        """Return one channel on the grid, NaN where it has no value near; None where the record has none."""
        if quantity not in self._made:
            series = self.record.get(quantity)
            self._made[quantity] = None if series is None or series.values.size < 2 else self.put(series)
        return self._made[quantity]

    def put(self, series: Series) -> Floats:
        """Return a series on the grid: the mean of a step's values where there are several, else in between."""
        t_s, values = series.t_s, series.values
        if series.rate_hz > 0.0 and series.fresh_hz < RENEWED * series.rate_hz:
            fresh = np.r_[True, values[1:] != values[:-1]]
            wait = np.searchsorted(t_s, t_s[fresh] + MOST_HOLE_S * 0.9) - 1  # a value that stays is a value, too
            keep = np.unique(np.r_[np.flatnonzero(fresh), wait, t_s.size - 1])
            t_s, values = t_s[keep], values[keep]
        flat: NDArray[np.floating] = values
        if series.channel.quantity in TURNS:
            flat = np.unwrap(np.asarray(values, dtype=np.float64))
        if t_s.size > 2 * self.t_s.size:
            borders = np.append(self.t_s, self.t_s[-1] + self.step_s) - 0.5 * self.step_s
            edges = np.searchsorted(t_s, borders)
            count = np.diff(edges)
            sums = np.add.reduceat(np.r_[flat, flat[-1:]], np.minimum(edges[:-1], t_s.size), dtype=np.float64)
            mean = np.where(count > 0, sums / np.maximum(count, 1), np.nan)
            mean[-1] = np.mean(flat[edges[-2] :], dtype=np.float64) if edges[-2] < t_s.size else np.nan
            return np.asarray(mean)
        put = np.interp(self.t_s, t_s, flat, left=np.nan, right=np.nan)
        after = np.minimum(np.searchsorted(t_s, self.t_s), t_s.size - 1)
        hole = t_s[after] - t_s[np.maximum(after - 1, 0)]
        put[hole > max(MOST_HOLE_S, 3.0 / max(series.rate_hz, SMALL))] = np.nan
        return np.asarray(put)

    def slope(self, values: Floats) -> Floats:
        """Return the derivative on the grid."""
        return np.gradient(values, self.step_s) if values.size > 2 else np.zeros_like(values)


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
