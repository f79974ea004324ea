"""Shares with their intervals, scores of a forecast, and what they are held against."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import stats

Array = NDArray[np.float64]

RESAMPLES: Final = 2000
RESAMPLE_SEED: Final = 11


@dataclass(frozen=True)
class Share:
    """So many of so many, with the ends of 95 % (Clopper and Pearson 1934: exact, rather wide than narrow)."""

    count: int
    of: int

    @property
    def value(self) -> float:
        """The share itself; NaN of nothing."""
        return self.count / self.of if self.of else math.nan

    @property
    def ends(self) -> tuple[float, float]:
        """Lower and upper end."""
        k, n = self.count, self.of
        low = 0.0 if k == 0 else float(stats.beta.ppf(0.025, k, n - k + 1))
        high = 1.0 if k == n else float(stats.beta.ppf(0.975, k + 1, n - k))
        return low, high

    def __str__(self) -> str:
        """Percent with ends, and the counts."""
        if not self.of:
            return "none"
        low, high = self.ends
        return f"{100 * self.value:.1f} % ({100 * low:.1f} to {100 * high:.1f}; {self.count} of {self.of})"


def share(hits: Sequence[bool] | NDArray[np.bool_]) -> Share:
    """Return the share of true ones."""
    return Share(int(np.sum(hits)), len(hits))


def brier(said: Array, home: Array) -> float:
    """Return the mean squared distance between what was said and what came (Brier 1950): 0 is best."""
    return float(np.mean((said - home) ** 2))


def brier_gain(said: Array, instead: Array, home: Array) -> tuple[float, float, float]:
    """Return by how much the score falls against another forecast, with ends of 95 % by resampling plans."""
    gain = (instead - home) ** 2 - (said - home) ** 2
    chance = np.random.default_rng(RESAMPLE_SEED)
    means = [float(gain[chance.integers(0, gain.size, gain.size)].mean()) for _ in range(RESAMPLES)]
    low, high = np.quantile(means, [0.025, 0.975])
    return float(gain.mean()), float(low), float(high)


def frequencies(groups: NDArray[np.bool_], home: Array) -> Array:
    """Return, for each plan, how often plans of its group came home: a yes-or-no rule, told the answer."""
    yes = float(home[groups].mean()) if groups.any() else 0.5
    no = float(home[~groups].mean()) if (~groups).any() else 0.5
    return np.where(groups, yes, no)
