"""What one sample of a ray does to the links in every draw, compiled."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.assess.homing_links import LinkTables
from turnback.base.kernels import kernel

Array = NDArray[np.float64]
Single = NDArray[np.float32]

CLEAR_RATIO = 0.6
"""Share of the first Fresnel zone above which nothing grazes, as in `reception`."""
FULL_LEAVES_DB = 6.0
"""Loss among trees from which their whole scatter counts, as in `reception`."""


@kernel
def pattern_kernel(pattern_db: Array, elevation_rad: float) -> float:  # pragma: no cover - compiled
    """Return what a link's patterns take at an elevation: a straight line in their table."""
    place = (elevation_rad / math.pi + 0.5) * (pattern_db.size - 1)
    k = min(max(int(place), 0), pattern_db.size - 2)
    share = place - k
    return float(pattern_db[k] * (1.0 - share) + pattern_db[k + 1] * share)


@kernel
def fold_kernel(
    links: LinkTables,
    losses: Array,
    under_m: Array,
    distance_m: float,
    above_antenna_m: float,
    loss: Single,
    least: Single,
) -> None:  # pragma: no cover - compiled
    """Fill ``loss[f, j]``, what the sample takes from each level, and lower ``least[f, j]``, the running least score.

    ``losses[f]`` is the sample's row of `sweep_ray`, ``under_m`` its path below each canopy.
    """
    slant_m = max(math.hypot(distance_m, above_antenna_m), 0.1)
    elevation = math.atan2(above_antenna_m, distance_m)
    for f in range(losses.shape[0]):
        fixed = links.free_space_db[f] + 20.0 * math.log10(slant_m) + pattern_kernel(links.pattern_db[f], elevation)
        low = min(losses[f, 0], losses[f, 1])
        between = np.float32(max(losses[f, 0], losses[f, 1]) - low)
        fixed_db = np.float32(fixed + low)
        ratio = losses[f, 2]
        seen = links.sigma_db[0] if ratio >= CLEAR_RATIO else links.sigma_db[1]
        sigma = seen if ratio > 0.0 else links.sigma_db[2]
        for j in range(loss.shape[1]):
            loss[f, j] = fixed_db + links.place[j] * between
        if links.measured[f]:
            along_m = max(distance_m, 1.0)
            near = np.float32(10.0 * math.log10(along_m / links.reference_m[f]))
            far = np.float32(10.0 * math.log10(max(along_m / links.walked_m[f], 1.0)))
            for j in range(loss.shape[1]):
                loss[f, j] += links.excess_exponent[f, j] * near + links.beyond_exponent[f, j] * far
        if links.canopies_m.size > 0 and under_m[under_m.size - 1] > 0.0:
            trees_kernel(links, f, under_m, sigma, loss[f], least[f])
        else:
            flat = np.float32(1.0 / sigma)
            for j in range(loss.shape[1]):
                score = (links.level_db[f, j] - loss[f, j]) * links.steady[f, j] * flat
                least[f, j] = min(least[f, j], score)


@kernel
def trees_kernel(
    links: LinkTables, f: int, under_m: Array, sigma_db: float, loss: Single, least: Single
) -> None:  # pragma: no cover - compiled
    """Add what trees take to a sample's losses, and lower the running least score."""
    most_db = links.leaf_most_db[f]
    for k in range(links.bins.size - 1):
        low_m = 0.0 if k == 0 else under_m[k - 1]
        rise_m = under_m[k] - low_m
        for j in range(links.bins[k], links.bins[k + 1]):
            depth_m = links.leaves[j] * (low_m + rise_m * links.share[j])
            trees_db = -most_db * math.expm1(-depth_m * links.leaf_db_per_m[f] / most_db)
            loss[j] += np.float32(trees_db)
            sigma = math.hypot(sigma_db, links.sigma_db[3] * min(trees_db / FULL_LEAVES_DB, 1.0))
            score = (links.level_db[f, j] - loss[j]) * links.steady[f, j] * np.float32(1.0 / sigma)
            least[j] = min(least[j], score)
