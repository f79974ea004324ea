"""What one sample of a ray does to the links in every draw, compiled.

The loops over draws are plain sums and products of single numbers, which the compiler does many at a time.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.homing_chance import NOUGHT, ONE, SURE
from turnback.assess.homing_links import LinkTables
from turnback.base.kernels import kernel

Array = NDArray[np.float64]
Single = NDArray[np.float32]

CLEAR_RATIO: Final = 0.6
"""Share of the first Fresnel zone above which nothing grazes, as in `reception`."""
FULL_LEAVES_DB: Final = 6.0
"""Loss among trees from which their whole scatter counts, as in `reception`."""
FALLS: Final = np.float32(4096.0)
"""Whole numbers in one, by which the greatest fall of a score is told; beyond `SURE` none counts."""
DEEP: Final = np.float32(1.5)
SIXTEENTH: Final = np.float32(0.0625)
HALF, THIRD, QUARTER = np.float32(0.5), np.float32(1.0 / 3.0), np.float32(0.25)


@kernel
def pattern_kernel(pattern_db: Array, elevation_rad: float) -> float:  # pragma: no cover - compiled
    """Return what a link's patterns take at an elevation: a straight line in their table."""
    place = (elevation_rad / math.pi + 0.5) * (pattern_db.size - 1)
    k = min(max(int(place), 0), pattern_db.size - 2)
    share = place - k
    return float(pattern_db[k] * (1.0 - share) + pattern_db[k + 1] * share)


@kernel
def common_kernel(
    links: LinkTables, losses: Array, distance_m: float, above_antenna_m: float, common: Array
) -> None:  # pragma: no cover - compiled
    """Fill what a sample takes from the levels of all draws alike, and what each draw's `place` takes a part of."""
    slant_m = max(math.hypot(distance_m, above_antenna_m), 0.1)
    elevation = math.atan2(above_antenna_m, distance_m)
    spread_db = 20.0 * math.log10(slant_m)
    for f in range(losses.shape[0]):
        low = min(losses[f, 0], losses[f, 1])
        common[f, 0] = links.free_space_db[f] + spread_db + pattern_kernel(links.pattern_db[f], elevation) + low
        common[f, 1] = max(losses[f, 0], losses[f, 1]) - low


@kernel
def fold_kernel(
    links: LinkTables,
    losses: Array,
    under_m: Array,
    distance_m: float,
    above_antenna_m: float,
    depth_m: Single,
    loss: Single,
    least: Single,
    common: Array,
) -> float:  # pragma: no cover - compiled
    """Lower ``least[f, j]``, the running least score, by one sample; return by how much one fell at most.

    ``losses[f]`` is the sample's row of `sweep_ray`, ``under_m`` its path below each canopy. ``common[f]`` becomes what
    the sample takes from the levels of all draws alike, what each draw's `place` takes a part of, and whether there is
    more: that is ``loss[f, j]``.
    """
    common_kernel(links, losses, distance_m, above_antenna_m, common)
    trees = links.canopies_m.size > 0 and under_m[under_m.size - 1] > 0.0
    if trees:
        depths_kernel(links, under_m, depth_m)
    fell = 0
    for f in range(losses.shape[0]):
        common[f, 2] = 1.0 if trees or links.measured[f] else 0.0
        fixed_db = np.float32(common[f, 0])
        between_db = np.float32(common[f, 1])
        seen = links.sigma_db[0] if losses[f, 2] >= CLEAR_RATIO else links.sigma_db[1]
        sigma = seen if losses[f, 2] > 0.0 else links.sigma_db[2]
        if common[f, 2] > 0.0:
            loss[f] = NOUGHT
        if links.measured[f]:
            walked_kernel(links, f, distance_m, loss[f])
        if trees:
            fall = trees_kernel(
                links.level_db[f], links.place, links.steady[f], fixed_db, between_db, np.float32(sigma * sigma),
                np.float32(links.leaf_db_per_m[f] / links.leaf_most_db[f]), np.float32(links.leaf_most_db[f]),
                np.float32((links.sigma_db[3] / FULL_LEAVES_DB) ** 2), np.float32(FULL_LEAVES_DB), depth_m, loss[f],
                least[f],
            )  # fmt: skip
        else:
            flat = np.float32(1.0 / sigma)
            if links.measured[f]:
                fall = lower_kernel(
                    links.level_db[f], links.place, links.steady[f], fixed_db, between_db, flat, loss[f], least[f]
                )
            else:
                fall = bare_kernel(links.level_db[f], links.place, fixed_db, between_db, flat, least[f])
        fell = max(fell, fall)
    return fell / float(FALLS)


@kernel
def walked_kernel(links: LinkTables, f: int, distance_m: float, loss: Single) -> None:  # pragma: no cover - compiled
    """Add what a range walk found beyond the model at a distance."""
    along_m = max(distance_m, 1.0)
    near = np.float32(10.0 * math.log10(along_m / links.reference_m[f]))
    far = np.float32(10.0 * math.log10(max(along_m / links.walked_m[f], 1.0)))
    for j in range(loss.size):
        loss[j] += links.excess_exponent[f, j] * near + links.beyond_exponent[f, j] * far


@kernel
def bare_kernel(
    level: Single, place: Single, fixed: np.float32, between: np.float32, flat: np.float32, least: Single
) -> int:  # pragma: no cover - compiled
    """Lower the running least score where no tree stands and nobody walked; return the greatest fall, in `FALLS`."""
    most = np.int32(0)
    for j in range(least.size):
        score = (level[j] - fixed - place[j] * between) * flat
        before = least[j]
        after = score if score < before else before
        least[j] = after
        fall = np.int32((min(max(before, -SURE), SURE) - min(max(after, -SURE), SURE)) * FALLS)
        most = max(most, fall)
    return int(most)


@kernel
def lower_kernel(
    level: Single,
    place: Single,
    steady: Single,
    fixed: np.float32,
    between: np.float32,
    flat: np.float32,
    loss: Single,
    least: Single,
) -> int:  # pragma: no cover - compiled
    """As `bare_kernel`, with what a range walk found."""
    most = np.int32(0)
    for j in range(least.size):
        score = (level[j] - fixed - place[j] * between - loss[j]) * steady[j] * flat
        before = least[j]
        after = score if score < before else before
        least[j] = after
        fall = np.int32((min(max(before, -SURE), SURE) - min(max(after, -SURE), SURE)) * FALLS)
        most = max(most, fall)
    return int(most)


@kernel
def depths_kernel(links: LinkTables, under_m: Array, depth_m: Single) -> None:  # pragma: no cover - compiled
    """Fill the metres of leaves on the path in every draw."""
    for k in range(links.bins.size - 1):
        low_m = np.float32(0.0 if k == 0 else under_m[k - 1])
        rise_m = np.float32(under_m[k]) - low_m
        for j in range(links.bins[k], links.bins[k + 1]):
            depth_m[j] = links.leaves[j] * (low_m + rise_m * links.share[j])


@kernel
def trees_kernel(
    level: Single,
    place: Single,
    steady: Single,
    fixed: np.float32,
    between: np.float32,
    square: np.float32,
    per_most: np.float32,
    most_db: np.float32,
    scatter: np.float32,
    full: np.float32,
    depth_m: Single,
    loss: Single,
    least: Single,
) -> int:  # pragma: no cover - compiled
    """Add what trees take and lower the running least score; return the greatest fall, in `FALLS`.

    ``1 - exp(-x)`` by the sixteenth power of a short series: within 1e-5.
    """
    most = np.int32(0)
    for j in range(least.size):
        y = depth_m[j] * per_most * SIXTEENTH
        y = y if y < DEEP else DEEP  # so that no rest is too small a number to be quick
        p = ONE + y * (ONE + y * HALF * (ONE + y * THIRD * (ONE + y * QUARTER)))
        p = p * p
        p = p * p
        p = p * p
        p = p * p
        trees = most_db * (ONE - ONE / p)
        part = trees if trees < full else full
        taken = loss[j] + trees
        loss[j] = taken
        sigma = np.sqrt(square + scatter * part * part)
        score = (level[j] - fixed - place[j] * between - taken) * steady[j] / sigma
        before = least[j]
        after = score if score < before else before
        least[j] = after
        fall = np.int32((min(max(before, -SURE), SURE) - min(max(after, -SURE), SURE)) * FALLS)
        most = max(most, fall)
    return int(most)
