"""Put together what was thought of a number and what a flight measured of it, errors that both share counted once.

Everything is in natural logarithms. A current sensor that reads high does so in every flight: a second flight with it
is no second witness. How much of an earlier band came from such flights is read off the plan's band without them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.draws import Z_BAND
from turnback.records.finding import Spread

STRETCH_Z: Final = 2.0
"""Measured and thought are further apart than both allow: from so many deviations on both bands are widened."""
APART_Z: Final = 3.5
"""From here on what was thought is not of this thing: the measured value stands alone."""


@dataclass(frozen=True, slots=True)
class Normal:
    """A number's logarithm: mean and variance."""

    mean: float
    variance: float


@dataclass(frozen=True, slots=True)
class Measured:
    """What one flight measured of a number's logarithm.

    Parameters
    ----------
    mean : float
    own, shared : float
        Variance of this flight alone, and of what is the same in every flight of this aircraft.
    """

    mean: float
    own: float
    shared: float

    @property
    def variance(self) -> float:
        """Of both."""
        return self.own + self.shared


@dataclass(frozen=True, slots=True)
class Thought:
    """What was thought before.

    Parameters
    ----------
    now : Normal
        With what earlier flights taught.
    plain : Normal
        Without; the same where none did.
    """

    now: Normal
    plain: Normal

    @property
    def taught_share(self) -> float:
        """How much of the present band rests on earlier flights, 0 to 1."""
        return float(np.clip(1.0 - self.now.variance / max(self.plain.variance, 1e-12), 0.0, 1.0))


def normal_of(band: Spread) -> Normal:
    """Return mean and variance of the logarithm of a band: two half-normals that meet at its middle."""
    up = max(float(np.log(band.high / band.mid)) / Z_BAND, 1e-6)
    down = max(float(np.log(band.mid / band.low)) / Z_BAND, 1e-6)
    shift = (up - down) / float(np.sqrt(2.0 * np.pi))
    return Normal(float(np.log(band.mid)) + shift, 0.5 * (up * up + down * down) - shift * shift)


def band_of(found: Normal) -> Spread:
    """Return the 90 % band of a logarithm."""
    reach = Z_BAND * float(np.sqrt(found.variance))
    return Spread(float(np.exp(found.mean)), float(np.exp(found.mean - reach)), float(np.exp(found.mean + reach)))


def fused(thought: Thought, measured: Measured) -> Normal:
    """Return the best of both: the linear estimate of least variance, its correlation counted.

    Parameters
    ----------
    thought : Thought
    measured : Measured

    Notes
    -----
    With variances a and b and covariance c: weight (a - c) / (a + b - 2 c) on the measured one, variance
    (a b - c^2) / (a + b - 2 c) (best linear unbiased estimate of two correlated values). c is the shared variance
    times the share of the earlier band that rests on flights, never more than either.
    """
    a, b = thought.now.variance, measured.variance
    c = min(thought.taught_share * measured.shared, a, b)
    apart = (measured.mean - thought.now.mean) / float(np.sqrt(max(a + b - 2.0 * c, 1e-12)))
    if abs(apart) > APART_Z:
        return Normal(measured.mean, b)
    weight = float(np.clip((a - c) / max(a + b - 2.0 * c, 1e-12), 0.0, 1.0))
    variance = weight**2 * b + (1.0 - weight) ** 2 * a + 2.0 * weight * (1.0 - weight) * c
    mean = thought.now.mean + weight * (measured.mean - thought.now.mean)
    return Normal(mean, variance * max(1.0, (apart / STRETCH_Z) ** 2))


def deviation(half_width_share: float) -> float:
    """Return the standard deviation of a logarithm whose 90 % half width is a share."""
    return float(np.log1p(half_width_share)) / Z_BAND
