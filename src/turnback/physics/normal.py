"""The standard normal distribution, vectorised and light (no scientific library to load)."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

_SQRT_HALF = math.sqrt(0.5)
_SQRT_TAU = math.sqrt(2.0 * math.pi)


@kernel
def _cdf(z: NDArray[np.float64], out: NDArray[np.float64]) -> None:
    for i in range(z.size):
        out[i] = 0.5 * math.erfc(-z[i] * _SQRT_HALF)


@kernel
def _quantile(p: NDArray[np.float64], out: NDArray[np.float64]) -> None:
    # A rational start in t = sqrt(-2 ln p) (Abramowitz and Stegun 26.2.23, error 4.5e-4), then two Halley steps.
    for i in range(p.size):
        tail = min(p[i], 1.0 - p[i])
        if tail <= 0.0:
            out[i] = -math.inf if p[i] < 0.5 else math.inf
            continue
        t = math.sqrt(-2.0 * math.log(tail))
        top = 2.515517 + t * (0.802853 + t * 0.010328)
        x = -(t - top / (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))))
        for _ in range(3):
            error = 0.5 * math.erfc(-x * _SQRT_HALF) - tail
            step = error * _SQRT_TAU * math.exp(0.5 * x * x)
            x -= step / (1.0 + 0.5 * x * step)
        out[i] = x if p[i] < 0.5 else -x


def normal_cdf(z: Any) -> NDArray[np.float64]:
    """Return the standard normal distribution function.

    Parameters
    ----------
    z : array_like
        Scores, any shape; infinities allowed.

    Returns
    -------
    ndarray
        Probabilities, shape of `z`.

    Notes
    -----
    Phi(z) = erfc(-z / sqrt 2) / 2, NIST Digital Library of Mathematical Functions 7.2.2.
    """
    score = np.asarray(z, dtype=np.float64)
    out = np.empty(score.size)
    _cdf(np.ascontiguousarray(score.ravel()), out)
    return out.reshape(score.shape)


def normal_quantile(probability: Any) -> NDArray[np.float64]:
    """Return the score below which a share of the standard normal lies.

    Parameters
    ----------
    probability : array_like
        0 to 1, any shape; 0 gives minus infinity, 1 infinity.

    Returns
    -------
    ndarray
        Scores, shape of `probability`; within 1e-9 of the exact value.

    Notes
    -----
    Abramowitz and Stegun 26.2.23 as a start, then Halley's iteration on the distribution function.
    """
    share = np.asarray(probability, dtype=np.float64)
    out = np.empty(share.size)
    _quantile(np.ascontiguousarray(share.ravel()), out)
    return out.reshape(share.shape)
