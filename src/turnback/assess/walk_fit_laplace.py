"""Many hypotheses on scatter and correlation at once: for each the likeliest levels, and how much it explains.

Under one hypothesis the excess of a reading is

    offset + exponent * slope + sigma * sqrt(1 - alone) * shadow[place] + sigma * sqrt(alone) * error,

with shadow normal and correlated by distance (exponential), and error alone to each reading, of heavy tails. The shadow
of a place is the mean over its readings; what their own shadows differ from it counts as error. The law of offset,
exponent and shadow is taken as normal about its highest point (Laplace's approximation; Rasmussen and Williams,
Gaussian Processes for Machine Learning, 2006, section 3.4; from memory).
"""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.walk_fit_places import Placed
from turnback.assess.walk_fit_tails import Tail, Terms

Array = NDArray[np.float64]

MOST_STEPS: Final = 40
SAFE_SHARE: Final = 0.55
"""Of the safe bend: above a half, a step still gains wherever the safe parabola holds."""
STILL: Final = 3e-4
"""Enough for numbers that are told, in e-folds of probability."""


@dataclass(frozen=True, slots=True, eq=False)
class Hypotheses:
    """Shapes ``(g,)``: the ratio of sigma to the model's, the share of variance alone to each reading, which length."""

    ratio: Array
    alone: Array
    length: NDArray[np.intp]

    def take(self, which: NDArray[np.intp]) -> Hypotheses:
        """Return some of them."""
        return Hypotheses(self.ratio[which], self.alone[which], self.length[which])


@dataclass(frozen=True, slots=True, eq=False)
class Priors:
    """Of offset and exponent; and of the shadows at the places, for each length, as inverse correlations.

    `deviations` has shape ``(2,)``, `inverse` ``(lengths, m, m)``, `log_inverse` (log-determinants) ``(lengths,)``, and
    `left` ``(lengths, n)``: of a reading's shadow, the share of variance that its place's mean does not hold.
    """

    deviations: Array
    inverse: Array
    log_inverse: Array
    left: Array


@dataclass(frozen=True, slots=True, eq=False)
class Climbed:
    """For each hypothesis: evidence, offset and exponent with their covariance, and the share of far readings.

    Shapes ``(g,)``, ``(g, 2)``, ``(g, 2, 2)``, ``(g,)``; `state` ``(g, 2 + m)`` is where the next climb may start.
    """

    log_evidence: Array
    mean: Array
    covariance: Array
    far_share: Array
    state: Array


def priors_of(placed: Placed, deviations: Array, lengths_m: Array) -> Priors:
    """Return the priors for some correlation lengths, in metres: exponential correlation (Gudmundson 1991)."""
    first, counts = placed.first, placed.counts
    correlation = np.empty((lengths_m.size, first.size, first.size))
    for mean, length_m in zip(correlation, lengths_m, strict=True):
        sums = np.add.reduceat(np.add.reduceat(np.exp(-placed.apart_m / length_m), first, axis=0), first, axis=1)
        mean[:] = sums / counts / counts[:, None]
    diagonal = np.arange(first.size)
    left = np.repeat(np.maximum(1.0 - correlation[:, diagonal, diagonal], 0.0), counts, axis=1)
    correlation[:, diagonal, diagonal] += 1e-9  # places may all but coincide
    inverse = np.linalg.inv(correlation)
    return Priors(deviations, 0.5 * (inverse + inverse.transpose(0, 2, 1)), -np.linalg.slogdet(correlation)[1], left)


class Climb:
    """The readings under some hypotheses. Arrays are ``(g, n)`` over readings, ``(g, 2 + m)`` over what is sought."""

    def __init__(self, placed: Placed, priors: Priors, trial: Hypotheses, tail: Tail) -> None:
        self.placed, self.tail = placed, tail
        self.sigma = trial.ratio[:, None] * placed.sigma_db
        alone = trial.alone[:, None] + (1.0 - trial.alone[:, None]) * priors.left[trial.length]
        self.scale = np.maximum(np.sqrt(alone) * self.sigma, placed.least_db) / tail.match
        self.shadow = np.sqrt(1.0 - trial.alone)[:, None] * self.sigma
        self.seen, self.hidden = np.flatnonzero(~placed.censored), np.flatnonzero(placed.censored)
        size = 2 + placed.first.size
        self.precision = np.zeros((trial.ratio.size, size, size))
        self.precision[:, [0, 1], [0, 1]] = 1.0 / np.square(priors.deviations)
        self.precision[:, 2:, 2:] = priors.inverse[trial.length]
        self.log_prior = priors.log_inverse[trial.length] - 2.0 * np.log(priors.deviations).sum()

    def off(self, state: Array) -> Array:
        """Return how far each reading's excess lies above what a state says, in scales, ``(g, n)``."""
        shadow = self.shadow * np.repeat(state[:, 2:], self.placed.counts, axis=1)
        level = state[:, :1] + state[:, 1:2] * self.placed.slope + shadow
        return np.asarray((self.placed.excess_db - level) / self.scale)

    def terms(self, z: Array) -> Terms:
        """Return the terms of all readings; logarithms are of densities over decibels where the level was read."""
        out = [np.empty_like(z) for _ in range(4)]
        for law, which in ((self.tail.seen, self.seen), (self.tail.above, self.hidden)):
            if which.size:
                found = law(z[:, which])
                for whole, part in zip(out, (found.log, found.slope, found.bend, found.safe), strict=True):
                    whole[:, which] = part
        out[0][:, self.seen] -= np.log(self.scale[:, self.seen])
        return Terms(*out)

    def gradient(self, terms: Terms, state: Array) -> Array:
        """Return the slope of the log-posterior, ``(g, 2 + m)``."""
        slope = terms.slope / self.scale
        out = np.empty_like(state)
        out[:, 0] = slope.sum(axis=1)
        out[:, 1] = (slope * self.placed.slope).sum(axis=1)
        out[:, 2:] = np.add.reduceat(slope * self.shadow, self.placed.first, axis=1)
        return out - (self.precision @ state[:, :, None])[:, :, 0]

    def information(self, bend: Array) -> Array:
        """Return prior precision plus what readings of such bends tell, ``(g, 2 + m, 2 + m)``."""
        weight = bend / np.square(self.scale)
        sloped, shaded = weight * self.placed.slope, weight * self.shadow
        out = self.precision.copy()
        out[:, 0, 0] += weight.sum(axis=1)
        out[:, 1, 1] += (sloped * self.placed.slope).sum(axis=1)
        cross = sloped.sum(axis=1)
        out[:, 0, 1] += cross
        out[:, 1, 0] += cross
        for row, values in ((0, shaded), (1, shaded * self.placed.slope)):
            sums = np.add.reduceat(values, self.placed.first, axis=1)
            out[:, row, 2:] += sums
            out[:, 2:, row] += sums
        places = np.arange(2, out.shape[1])
        out[:, places, places] += np.add.reduceat(shaded * self.shadow, self.placed.first, axis=1)
        return out

    def top(self, state: Array, still: float) -> Array:
        """Climb to the highest point of each hypothesis.

        A step's bend is the true one, but never less than just over half the safe one: then no step loses, however far
        out it starts, and near the top most steps are Newton's. Who has arrived is left out of the next step.
        """
        state, left, on = state.copy(), np.arange(state.shape[0]), self
        for _ in range(MOST_STEPS):
            terms = on.terms(on.off(state[left]))
            gradient = on.gradient(terms, state[left])
            bend = np.maximum(terms.bend, SAFE_SHARE * terms.safe)
            step = np.linalg.solve(on.information(bend), gradient[:, :, None])[:, :, 0]
            state[left] += step
            moving = (step * gradient).sum(axis=1) > still
            if not moving.any():
                break
            if not moving.all():
                left, on = left[moving], on.of(moving)
        return state

    def of(self, moving: NDArray[np.bool_]) -> Climb:
        """Return the same of some of the hypotheses."""
        some = copy(self)
        some.sigma, some.scale, some.shadow = self.sigma[moving], self.scale[moving], self.shadow[moving]
        some.precision, some.log_prior = self.precision[moving], self.log_prior[moving]
        return some


def climb(
    placed: Placed, priors: Priors, trial: Hypotheses, tail: Tail, state: Array, far: float, still: float = STILL
) -> Climbed:
    """Return what each hypothesis says and how well it explains the readings.

    Parameters
    ----------
    placed : Placed
        The readings.
    priors : Priors
        Of offset, exponent and shadows.
    trial : Hypotheses
        ``g`` of them.
    tail : Tail
        The law of errors alone to a reading.
    state : ndarray, shape (g, 2 + m)
        Where to start.
    far : float
        Scales from which on a reading counts as far.
    still : float
        The climb ends where no step gains more, in e-folds of probability.
    """
    on = Climb(placed, priors, trial, tail)
    state = on.top(state, still)
    z = on.off(state)
    terms = on.terms(z)
    information = on.information(terms.bend)
    sign, log_information = np.linalg.slogdet(information)
    sides = np.zeros((state.shape[1], 2))
    sides[0, 0] = sides[1, 1] = 1.0
    covariance = np.linalg.solve(information, np.broadcast_to(sides, (*state.shape, 2)))[:, :2]
    lost = (sign <= 0.0) | (covariance[:, [0, 1], [0, 1]] <= 0.0).any(axis=1)
    if lost.any():  # a saddle between two tops: the safe bend stands in
        careful = on.information(np.maximum(terms.bend, SAFE_SHARE * terms.safe))[lost]
        log_information[lost] = np.linalg.slogdet(careful)[1]
        covariance[lost] = np.linalg.solve(careful, np.broadcast_to(sides, (careful.shape[0], *sides.shape)))[:, :2]
    held = (state[:, None] @ on.precision @ state[:, :, None])[:, 0, 0]
    evidence = terms.log.sum(axis=1) - 0.5 * held + 0.5 * (on.log_prior - log_information)
    covariance = 0.5 * (covariance + covariance.transpose(0, 2, 1))
    far_share = (np.abs(z) > far)[:, on.seen].sum(axis=1) / z.shape[1]
    return Climbed(evidence, state[:, :2].copy(), covariance, far_share, state)
