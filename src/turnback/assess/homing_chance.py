"""Chances over all draws at one place, compiled: fast forms of what a brief works out exactly."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

Single = NDArray[np.float32]

ONE = np.float32(1.0)
HALF = np.float32(0.5)
ROOT_HALF = np.float32(math.sqrt(0.5))
A1, A2, A3 = np.float32(0.0705230784), np.float32(0.0422820123), np.float32(0.0092705272)
A4, A5, A6 = np.float32(0.0001520143), np.float32(0.0002765672), np.float32(0.0000430638)


@kernel
def normal_kernel(score: np.float32) -> np.float32:  # pragma: no cover - compiled
    """Return Phi(score) within 1e-6: Abramowitz and Stegun 7.1.28, erf = 1 - (1 + a1 x + ... + a6 x^6)^-16."""
    x = abs(score) * ROOT_HALF
    p = ONE + x * (A1 + x * (A2 + x * (A3 + x * (A4 + x * (A5 + x * A6)))))
    p = p * p
    p = p * p
    p = p * p
    p = p * p
    tail = HALF / p
    return ONE - tail if score > np.float32(0.0) else tail


@kernel
def quantile_kernel(values: Single, work: Single, at: float) -> float:  # pragma: no cover - compiled
    """Return a quantile as `numpy.quantile` has it; `work` is overwritten."""
    work[:] = values
    work.sort()
    place = (values.size - 1) * at
    k = min(int(place), values.size - 2)
    share = place - k
    return float(work[k]) * (1.0 - share) + float(work[k + 1]) * share
