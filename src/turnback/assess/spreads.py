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


def bands_along(values: Array) -> tuple[Array, Array, Array]:
    """Return median, low and high over the unknowns (axis 0) of values along a route."""
    low, mid, high = np.quantile(values, [BAND_LOW.value, 0.5, BAND_HIGH.value], axis=0)
    return mid, low, high
