"""Draw worlds: what is not known, by stratified draws; what chance does, on fixed nodes.

One draw is one world. Its unknowns (aircraft, pack, radios, site) are fixed along out and back. Chance, given these
unknowns, is integrated on nodes: the wind of this flight against the forecast, and the pilot's hand. The links' own
chance (shadowing) is exact given the unknowns and needs no nodes. See docs/decisions/0001.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.base.streams import stream
from turnback.physics.normal import normal_quantile
from turnback.records.world import Band

Array = NDArray[np.float64]

Z_BAND = 1.6448536269514722  # the 95 % point of the standard normal: `low` and `high` of a band
Z_MOST = 2.5  # draws beyond this are cut: no one believes in them, and they would rule the tails


@dataclass(frozen=True, slots=True)
class Nodes:
    """Fixed nodes of what chance does to the energy of one flight.

    Parameters
    ----------
    wind_z : ndarray, shape (w,)
        Standard normal scores of the flight's wind, ascending.
    hand_z, hand_weight : ndarray, shape (h,)
        Nodes and weights of the pilot's hand (Gauss-Hermite for the standard normal).
    """

    wind_z: Array
    hand_z: Array
    hand_weight: Array

    @property
    def count(self) -> int:
        """Chance nodes of one draw of the unknowns."""
        return self.wind_z.size * self.hand_z.size


def chance_nodes() -> Nodes:
    """Return 8 x 5 nodes: dense where a go is decided, at the windy end."""
    x, weight = np.polynomial.hermite_e.hermegauss(5)
    return Nodes(np.array([-2.0, -0.8, 0.0, 0.8, 1.5, 2.0, 2.7, 4.0]), x, weight / weight.sum())


def draw_unknowns(bands: Sequence[Band], count: int, seed: int) -> dict[str, Array]:
    """Draw every band `count` times, each from its own named stream, stratified (Latin hypercube).

    Returns
    -------
    dict of str to ndarray, shape (count,)
        By the band's key, in its unit.
    """
    return {band.key: spread_over(band, _strata(count, seed, band.key)) for band in bands}


def _strata(count: int, seed: int, key: str) -> Array:
    generator = stream(seed, key)
    order = generator.permutation(count)
    return (order + generator.random(count)) / count


def spread_over(band: Band, uniform: Array) -> Array:
    """Map uniform numbers to a band's values: rising, `low` at 0.05, `value` at 0.5, `high` at 0.95.

    Two half-normals meet at the best estimate; in logarithms where the band is wide and can only be positive. A
    direction that spans the circle is uniform.
    """
    if band.unit == "°" and band.high - band.low >= 300.0:
        return band.low + (band.high - band.low) * uniform
    z = np.clip(normal_quantile(uniform), -Z_MOST, Z_MOST) / Z_BAND
    if band.low > 0.0 and band.high > 1.5 * band.low and band.unit not in {"°C", "dB", "dBi", "dBm", "°"}:
        up, down = np.log(band.high / band.value), np.log(band.value / band.low)
        return np.asarray(band.value * np.exp(z * np.where(z > 0.0, up, down)))
    spread = band.value + z * np.where(z > 0.0, band.high - band.value, band.value - band.low)
    return np.asarray(np.maximum(spread, 0.0) if band.low >= 0.0 and band.unit not in {"°C", "dBi", "dBm"} else spread)
