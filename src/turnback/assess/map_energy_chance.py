"""The chance that both margins hold, compiled: `turnback.assess.flight_energy.chance_above_zero` by walking.

A stronger hand asks for more, so along the shares of the hand the strongest wind that is stood only falls: the wind is
walked down once for all of them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import HANDS
from turnback.base.kernels import kernel
from turnback.physics.normal import normal_cdf, normal_quantile
from turnback.rules.typical import typical

Array = NDArray[np.float64]

TABLED = 1600  # steps between the first and the last wind: to 1e-6


class Chances(NamedTuple):
    """What a chance is counted over."""

    wind_z: Array
    """``(w,)``, ascending."""
    middle: int
    """Which of them is the middle wind."""
    hand_ratio: Array
    """``(h,)``: energy at the nodes of the hand over that of the middle one."""
    hand: NDArray[np.int64]
    """``(n,)``: the node below each equal share of the hand."""
    part: Array
    """``(n,)``: of the way to the next node."""
    cdf: Array
    """The normal distribution at even steps from the first wind to the last."""
    most: float
    """The chance of no more wind than the last."""


def chances_of(nodes: Nodes) -> Chances:
    """Return what chances are counted over, for the nodes of a brief."""
    z = normal_quantile((np.arange(HANDS) + 0.5) / HANDS)
    hand = np.clip(np.searchsorted(nodes.hand_z, z) - 1, 0, nodes.hand_z.size - 2)
    part = (z - nodes.hand_z[hand]) / (nodes.hand_z[hand + 1] - nodes.hand_z[hand])
    cdf = normal_cdf(np.linspace(nodes.wind_z[0], nodes.wind_z[-1], TABLED + 1))
    middle = int(np.argmin(np.abs(nodes.wind_z)))
    ratio = np.exp(typical("chance")["handling_sd"].value * nodes.hand_z)
    return Chances(nodes.wind_z.copy(), middle, ratio, hand, part, cdf, float(cdf[-1]))


@kernel
def _between(low: float, high: float, part: float) -> float:  # pragma: no cover - compiled
    if math.isinf(low) or math.isinf(high):
        return -math.inf
    return low * (1.0 - part) + high * part


@kernel
def _windiest_z(margin: Array, wind_z: Array, hand: int, part: float, start: int) -> tuple[int, float]:
    """Return the last wind of those up to `start` that a margin stands, and where between it and the next it fails.

    `margin` is ``(w, h)`` and falls with wind.
    """
    w = start
    while w >= 0:
        here = _between(margin[w, hand], margin[w, hand + 1], part)
        if here >= 0.0:
            if w == wind_z.size - 1:
                return w, wind_z[w]
            after = _between(margin[w + 1, hand], margin[w + 1, hand + 1], part)
            if after >= 0.0 or math.isinf(after):
                return w, wind_z[w]
            return w, wind_z[w] + here / (here - after) * (wind_z[w + 1] - wind_z[w])
        w -= 1
    return -1, -math.inf


@kernel
def chance_kernel(margins: Array, chances: Chances) -> float:  # pragma: no cover - compiled
    """Return the chance that both margins ``(2, w, h)`` are above zero; they are made to fall with wind, in place."""
    wind_z = chances.wind_z
    for half in range(2):
        for w in range(1, wind_z.size):
            for h in range(margins.shape[2]):
                margins[half, w, h] = min(margins[half, w, h], margins[half, w - 1, h])
    first = wind_z[0]
    per_z = (chances.cdf.size - 1) / (wind_z[-1] - first)
    charge_w = volts_w = wind_z.size - 1
    total = 0.0
    for n in range(chances.hand.size):
        hand, part = chances.hand[n], chances.part[n]
        charge_w, charge_z = _windiest_z(margins[0], wind_z, hand, part, charge_w)
        if charge_w < 0:
            break
        volts_w, volts_z = _windiest_z(margins[1], wind_z, hand, part, volts_w)
        if volts_w < 0:
            break
        at = (min(charge_z, volts_z) - first) * per_z
        k = min(int(at), chances.cdf.size - 2)
        total += chances.cdf[k] + (at - k) * (chances.cdf[k + 1] - chances.cdf[k])
    return total / chances.hand.size
