"""Blocks of samples of a ray, each held between two parallel lines, so that most of them need not be opened, compiled.

Blocks of 8, 64 and 512 samples: the block k of a level holds the samples ``k size + 1`` to ``(k + 1) size``, and its
lines also the sample before, for the stretch of ground that leads into it. A line runs along the chord from that
sample to the last; ``lines[level, k] = (slope, lowest intercept, highest intercept)`` of the heights.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

Array = NDArray[np.float64]

LEVELS = 3
SMALLEST_BITS = 3
STEP_BITS = 3
FORGIVEN = 1e-12
"""Rounding of the intercepts, as a share of a height: no block is passed over for it."""


@kernel
def block_lines(count: int) -> Array:  # pragma: no cover - compiled
    """Return room for the lines of a ray of so many samples."""
    return np.empty((LEVELS, (count >> SMALLEST_BITS) + 1, 3))


@kernel
def close_blocks(lines: Array, distance_km: Array, height_m: Array, new: int) -> None:  # pragma: no cover - compiled
    """Lay the lines of every block that ends with a sample."""
    for level in range(LEVELS):
        bits = SMALLEST_BITS + STEP_BITS * level
        if new & ((1 << bits) - 1):
            return
        start = new - (1 << bits)
        slope = (height_m[new] - height_m[start]) / (distance_km[new] - distance_km[start])
        lowest = np.inf
        highest = -np.inf
        for j in range(start, new + 1):
            intercept = height_m[j] - slope * distance_km[j]
            lowest = min(lowest, intercept)
            highest = max(highest, intercept)
        k = (new >> bits) - 1
        lines[level, k, 0] = slope
        lines[level, k, 1] = lowest - FORGIVEN * abs(lowest)
        lines[level, k, 2] = highest + FORGIVEN * abs(highest)


@kernel
def largest_block(first: int, known: int) -> int:  # pragma: no cover - compiled
    """Return the level of the largest closed block that starts with a sample; -1 for none."""
    before = first - 1
    level = LEVELS - 1
    while level >= 0:
        size = 1 << (SMALLEST_BITS + STEP_BITS * level)
        if before & (size - 1) == 0 and before + size <= known:
            return level
        level -= 1
    return -1


@kernel
def sample_before(distance_km: Array, last: int, at_km: float) -> int:  # pragma: no cover - compiled
    """Return the last of the samples 0 to `last` no farther than a distance; first guess: even spacing."""
    j = min(max(int(at_km / distance_km[last] * last), 0), last)
    while j < last and distance_km[j + 1] <= at_km:
        j += 1
    while j > 0 and distance_km[j] > at_km:
        j -= 1
    return j
