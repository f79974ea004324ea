"""From one value per draw of the unknowns to a best estimate with ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.records.finding import Spread
from turnback.rules.chance import BAND_HIGH, BAND_LOW

Array = NDArray[np.float64]


def spread(values: Array) -> Spread:
    """Return the median and the ends over the unknowns, of a figure or of a chance."""
    low, mid, high = np.quantile(values, [BAND_LOW.value, 0.5, BAND_HIGH.value])
    return Spread(float(mid), float(low), float(high))


def expected(chances: Array) -> Spread:
    """Return what a chance is on the whole, with its ends over the unknowns.

    How often a thing happens where many worlds are possible is the mean over them, not the chance of the middle world:
    one world in ten in which it surely fails takes a tenth from the mean, and nothing from the median. The ends reach
    at least to the mean.
    """
    mean = float(np.mean(chances))
    low, high = np.quantile(chances, [BAND_LOW.value, BAND_HIGH.value])
    return Spread(mean, min(float(low), mean), max(float(high), mean))


def bands_along(values: Array) -> tuple[Array, Array, Array]:
    """Return median, low and high over the unknowns (axis 0) of values along a route."""
    low, mid, high = np.quantile(values, [BAND_LOW.value, 0.5, BAND_HIGH.value], axis=0)
    return mid, low, high
