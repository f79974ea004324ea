"""What all hypotheses say together: each in proportion to how well it explains the walk.

Scatter, the share of it that is alone to each reading, and the length over which the rest repeats itself are not known.
They are laid out on a fixed grid, finer where it matters, and nothing is drawn at random: the same walk gives the same
answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.walk_fit_laplace import STILL, Climbed, Hypotheses, Priors, climb, priors_of
from turnback.assess.walk_fit_places import Placed
from turnback.assess.walk_fit_tails import Tail
from turnback.physics.normal import normal_cdf, normal_quantile
from turnback.records.finding import Spread
from turnback.rules.chance import BAND_HIGH, BAND_LOW

Array = NDArray[np.float64]

LENGTHS: Final = np.linspace(-1.0, 1.0, 7)
"""Correlation lengths laid out, in units of twice the prior's standard deviation of the logarithm."""
ALONE: Final = np.array([0.0, 0.15, 0.4, 0.75])
ALONE_WEIGHT: Final = np.array([0.08, 0.2, 0.26, 0.21])
"""Shares of the variance alone to each reading, and what is put on each; the rest, `ALL_ALONE`, is on all of it."""
ALL_ALONE: Final = 0.25
COARSE: Final = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])
FINE: Final = np.array([-0.15, 0.0, 0.15])
LAST: Final = np.arange(-3.0, 4.0)
"""Logarithms of the sigma ratio: laid out first, then about the best, then in standard deviations about the best."""
LEFT_OUT: Final = 7.0
"""Shapes that explain the walk this many e-folds worse than the best are dropped: each weighs under a thousandth."""
COARSE_STILL: Final = 0.05
"""E-folds: how well a climb must end while it is only looked where to lay out."""
NODES: Final = 101


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """A mixture: weights ``(g,)`` of hypotheses, and what each says.

    `width` is the spacing of the logarithm of sigma ratio about each node; `length_m` the correlation length of each.
    """

    weight: Array
    trial: Hypotheses
    climbed: Climbed
    width: Array
    length_m: Array

    def mean_of(self, values: Array) -> float:
        """Return the mean over the hypotheses."""
        return float(self.weight @ values)

    def normal(self, which: int) -> Spread:
        """Return median and ends of offset (0) or exponent (1)."""
        mean, deviation = self.climbed.mean[:, which], np.sqrt(self.climbed.covariance[:, which, which])
        low, high = (mean - 6.0 * deviation).min(), (mean + 6.0 * deviation).max()

        def below(at: Array) -> Array:
            return np.asarray(normal_cdf((at[:, None] - mean) / deviation) @ self.weight)

        return _spread(below, float(low), float(high))

    def ratio(self) -> Spread:
        """Return median and ends of sigma over the model's: each node stands for its stretch of the logarithm."""
        middle = np.log(self.trial.ratio)

        def below(at: Array) -> Array:
            return np.asarray(np.clip((at[:, None] - middle) / self.width + 0.5, 0.0, 1.0) @ self.weight)

        found = _spread(below, float((middle - self.width).min()), float((middle + self.width).max()))
        return Spread(*(float(np.exp(value)) for value in (found.mid, found.low, found.high)))

    def exceeds(self, least_db: float, slopes: tuple[float, ...]) -> float:
        """Return the chance that the excess is at least so much at all of some slopes (places)."""
        z = normal_quantile((np.arange(NODES) + 0.5) / NODES)
        mean, covariance = self.climbed.mean, self.climbed.covariance
        spread = np.sqrt(covariance[:, 1, 1])
        exponent = mean[:, 1:] + spread[:, None] * z
        offset = mean[:, :1] + (covariance[:, 0, 1] / spread)[:, None] * z
        left = np.sqrt(np.maximum(covariance[:, 0, 0] - np.square(covariance[:, 0, 1] / spread), 1e-12))
        needed = np.max([least_db - exponent * slope for slope in slopes], axis=0)
        return self.mean_of(normal_cdf((offset - needed) / left[:, None]).mean(axis=1))

    def steeper(self, least: float) -> float:
        """Return the chance that the exponent is at least so much."""
        deviation = np.sqrt(self.climbed.covariance[:, 1, 1])
        return self.mean_of(normal_cdf((self.climbed.mean[:, 1] - least) / deviation))


def posterior(
    placed: Placed, deviations: Array, ratio_sd: float, length_m: float, length_sd: float, tail: Tail, far: float
) -> Posterior:
    """Return what a walk says.

    Parameters
    ----------
    placed : Placed
        The readings.
    deviations : ndarray, shape (2,)
        Prior standard deviations of offset (dB) and exponent.
    ratio_sd, length_sd : float
        Prior standard deviations of the logarithms of sigma over the model's, and of the correlation length.
    length_m : float
        Prior median of the correlation length.
    tail : Tail
        The law of errors alone to a reading.
    far : float
        Scales from which on a reading counts as far.
    """
    lengths_m = length_m * np.exp(2.0 * length_sd * LENGTHS)
    priors = priors_of(placed, deviations, lengths_m)
    alone = np.append(np.repeat(ALONE, LENGTHS.size), 1.0)
    length = np.append(np.tile(np.arange(LENGTHS.size), ALONE.size), 0)
    by_length = np.exp(-2.0 * np.square(LENGTHS))
    shape = np.append(np.outer(ALONE_WEIGHT, by_length / by_length.sum()).ravel(), ALL_ALONE)
    search = _Search(placed, priors, alone, length, np.log(shape), ratio_sd, tail, far)
    return search.run(lengths_m)


class _Search:
    """Lays out the sigma ratio for each shape (share alone, length) where the walk puts it."""

    def __init__(self, placed: Placed, priors: Priors, alone: Array, length: NDArray[np.intp], log_shape: Array,
                 ratio_sd: float, tail: Tail, far: float) -> None:  # fmt: skip
        self.placed, self.priors, self.tail, self.far = placed, priors, tail, far
        self.alone, self.length, self.log_shape, self.ratio_sd = alone, length, log_shape, ratio_sd

    def at(self, shapes: NDArray[np.intp], log_ratio: Array, state: Array, still: float) -> tuple[Array, Climbed]:
        """Return log-weights of shapes ``(s,)`` at ratios ``(s, r)``, and what was climbed, of ``s r`` hypotheses."""
        every = np.repeat(shapes, log_ratio.shape[1])
        trial = Hypotheses(np.exp(log_ratio.ravel()), self.alone[every], self.length[every])
        start = np.repeat(state, log_ratio.shape[1], axis=0)
        found = climb(self.placed, self.priors, trial, self.tail, start, self.far, still)
        prior = -0.5 * np.square(log_ratio / self.ratio_sd)
        return found.log_evidence.reshape(log_ratio.shape) + prior + self.log_shape[shapes, None], found

    def run(self, lengths_m: Array) -> Posterior:
        """Lay out coarsely, then about the best, then over what is left of doubt."""
        shapes = np.arange(self.alone.size)
        state = np.zeros((shapes.size, 2 + self.placed.first.size))
        seen = ~self.placed.censored
        state[:, 0] = np.median(self.placed.excess_db[seen]) if seen.any() else 0.0
        log_ratio = np.broadcast_to(COARSE, (shapes.size, COARSE.size))
        weight, found = self.at(shapes, log_ratio, state, COARSE_STILL)
        for _ in range(2):
            best = weight.argmax(axis=1)
            kept = weight.max(axis=1) > weight.max() - LEFT_OUT - 3.0
            state = found.state.reshape(*weight.shape, -1)[np.arange(best.size), best][kept]
            top, _ = _parabola(log_ratio[kept], weight[kept], best[kept])
            shapes = shapes[kept]
            log_ratio = top[:, None] + FINE
            weight, found = self.at(shapes, log_ratio, state, COARSE_STILL)
        kept = weight[:, 1] > weight[:, 1].max() - LEFT_OUT
        state = found.state.reshape(*weight.shape, -1)[:, 1][kept]
        top, spread = _parabola(log_ratio[kept], weight[kept], np.ones(int(kept.sum()), dtype=np.intp))
        shapes = shapes[kept]
        log_ratio = top[:, None] + spread[:, None] * LAST
        weight, found = self.at(shapes, log_ratio, state, STILL)
        width = np.repeat(spread, LAST.size)
        share = np.exp(weight - weight.max()).ravel() * width
        every = np.repeat(shapes, LAST.size)
        trial = Hypotheses(np.exp(log_ratio.ravel()), self.alone[every], self.length[every])
        return Posterior(share / share.sum(), trial, found, width, lengths_m[trial.length])


def _parabola(at: Array, value: Array, best: NDArray[np.intp]) -> tuple[Array, Array]:
    """Return where the parabola through the best of each row and its neighbours peaks, and its standard deviation."""
    rows = np.arange(best.size)
    middle = np.clip(best, 1, at.shape[1] - 2)
    step = at[rows, middle] - at[rows, middle - 1]
    left, here, right = (value[rows, middle + k] for k in (-1, 0, 1))
    bend = np.maximum(2.0 * here - left - right, 1e-9) / np.square(step)
    shift = np.clip(0.5 * (right - left) / step / bend, -2.0 * step, 2.0 * step)
    return at[rows, middle] + shift, np.clip(1.0 / np.sqrt(bend), 0.03, 0.5)


def _spread(below: Callable[[Array], Array], low: float, high: float) -> Spread:
    """Return median and ends of a distribution function, by bisection of all three at once."""
    wanted = np.array([0.5, BAND_LOW.value, BAND_HIGH.value])
    under, over = np.full(3, low), np.full(3, high)
    for _ in range(44):
        middle = 0.5 * (under + over)
        short = below(middle) < wanted
        under, over = np.where(short, middle, under), np.where(short, over, middle)
    found = 0.5 * (under + over)
    return Spread(*(float(value) for value in found))
