"""How far the ray to a receiver runs below the top of trees, by blocks of samples, compiled.

The path is that of `clutter.canopy_kernel`: straight where it is clear, else along the horizon slope from either end to
where they meet. A block that the ray passes wholly above the canopy adds nothing, one wholly below its whole length;
only the others are opened. All canopies are measured on one walk.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel
from turnback.physics.sweep_blocks import SMALLEST_BITS, STEP_BITS, largest_block, sample_before

Array = NDArray[np.float64]


@kernel
def ascending(canopy_m: Array) -> NDArray[np.int64]:  # pragma: no cover - compiled
    """Return the canopies' places in rising order; they are few."""
    order = np.arange(canopy_m.size)
    for i in range(1, canopy_m.size):
        at = order[i]
        j = i - 1
        while j >= 0 and canopy_m[order[j]] > canopy_m[at]:
            order[j + 1] = order[j]
            j -= 1
        order[j + 1] = at
    return order


@kernel
def add_stretch(
    canopy_m: Array, c: int, length: float, gap_a: float, gap_b: float, whole: Array, part: Array
) -> None:  # pragma: no cover - compiled
    """Add a stretch of ray whose height above the ground runs from one gap to another.

    ``whole[c]`` counts for the canopy c and all taller ones, ``part[c]`` for itself; `canopy_m` ascends, and those
    before the given `c` are known to lie below.
    """
    low = min(gap_a, gap_b)
    high = max(gap_a, gap_b)
    while c < canopy_m.size and canopy_m[c] <= low:
        c += 1
    while c < canopy_m.size and canopy_m[c] < high:
        part[c] += length * (canopy_m[c] - low) / (high - low)
        c += 1
    if c < canopy_m.size:
        whole[c] += length


@kernel
def walk_line(
    distance_km: Array,
    flat_m: Array,
    lines: Array,
    known: int,
    first: int,
    last: int,
    over_m: float,
    slope: float,
    canopy_m: Array,
    whole: Array,
    part: Array,
) -> None:  # pragma: no cover - compiled
    """Add the kilometres of a line ``over_m + slope d`` on the stretches that end with the samples first to last."""
    tallest = canopy_m[canopy_m.size - 1]
    j = first
    while j <= last:
        level = largest_block(j, min(known, last))
        end = j
        c = 0
        while level >= 0:
            bits = SMALLEST_BITS + STEP_BITS * level
            k = (j - 1) >> bits
            end = j + (1 << bits) - 1
            tilt = slope - lines[level, k, 0]
            at_a = over_m + tilt * distance_km[j - 1]
            at_b = over_m + tilt * distance_km[end]
            low = min(at_a, at_b) - lines[level, k, 2]
            if low >= tallest:
                break
            high = max(at_a, at_b) - lines[level, k, 1]
            c = 0
            while canopy_m[c] <= low:
                c += 1
            if canopy_m[c] >= high:
                whole[c] += distance_km[end] - distance_km[j - 1]
                break
            level -= 1
        if level < 0:
            gap_a = over_m + slope * distance_km[j - 1] - flat_m[j - 1]
            while j <= end:
                gap_b = over_m + slope * distance_km[j] - flat_m[j]
                if gap_a < tallest or gap_b < tallest:
                    add_stretch(canopy_m, c, distance_km[j] - distance_km[j - 1], gap_a, gap_b, whole, part)
                gap_a = gap_b
                j += 1
        j = end + 1


@kernel
def gather(unit_m: float, whole: Array, part: Array, total_m: Array) -> None:  # pragma: no cover - compiled
    """Move what was counted into metres per canopy, so many metres of ray to a kilometre along the ground."""
    length = 0.0
    for c in range(total_m.size):
        length += whole[c]
        total_m[c] += unit_m * (length + part[c])
        whole[c] = 0.0
        part[c] = 0.0


@kernel
def straight_under(
    distance_km: Array,
    flat_m: Array,
    lines: Array,
    last: int,
    from_m: float,
    at_m: float,
    alpha: float,
    beta: float,
    unit_m: float,
    canopy_m: Array,
    counts: Array,
) -> None:  # pragma: no cover - compiled
    """Measure a clear ray; ``counts`` holds whole, part and total.

    The ray stands at least -α d and at least -β (D - d) above the samples between, so only a stretch in the middle
    can run below the tallest canopy, and the two stretches at the ends.
    """
    path_km = distance_km[last]
    slope = (at_m - from_m) / path_km
    tallest = canopy_m[canopy_m.size - 1]
    far_km = path_km if -alpha * path_km <= tallest else tallest / -alpha
    near_km = 0.0 if -beta * path_km <= tallest else path_km - tallest / -beta
    first = max(sample_before(distance_km, last, near_km), 1)
    first = (((first - 1) >> SMALLEST_BITS) << SMALLEST_BITS) + 1
    end = sample_before(distance_km, last, far_km) + 1
    end = min((((end - 1) >> SMALLEST_BITS) + 1) << SMALLEST_BITS, last - 1)
    if first > 1:
        walk_line(
            distance_km, flat_m, lines, last - 1, 1, 1, from_m, slope, canopy_m, counts[0], counts[1]
        )  # the stretch from the antenna itself
    walk_line(distance_km, flat_m, lines, last - 1, first, end, from_m, slope, canopy_m, counts[0], counts[1])
    walk_line(distance_km, flat_m, lines, last - 1, last, last, from_m, slope, canopy_m, counts[0], counts[1])
    gather(unit_m, counts[0], counts[1], counts[2])


@kernel
def bent_under(
    distance_km: Array,
    flat_m: Array,
    lines: Array,
    last: int,
    from_m: float,
    at_m: float,
    forward: float,
    backward: float,
    apex_km: float,
    bend: float,
    canopy_m: Array,
    counts: Array,
) -> None:  # pragma: no cover - compiled
    """Measure a blocked ray along both horizon slopes (flattened) that meet at the apex.

    `bend` is 500 D / a: with it a flattened slope becomes that of the path.
    """
    path_km = distance_km[last]
    over_m = at_m + backward * path_km
    turn = min(max(sample_before(distance_km, last, apex_km), 1), last - 1)
    known = last - 1
    walk_line(distance_km, flat_m, lines, known, 1, turn, from_m, forward, canopy_m, counts[0], counts[1])
    gather(math.hypot(1000.0, forward + bend), counts[0], counts[1], counts[2])
    near = distance_km[turn]
    far = distance_km[turn + 1]
    ray_a = min(from_m + forward * near, over_m - backward * near)
    ray_b = min(from_m + forward * far, over_m - backward * far)
    length = math.hypot(1000.0 * (far - near), ray_b - ray_a + bend * (far - near))
    add_stretch(canopy_m, 0, length, ray_a - flat_m[turn], ray_b - flat_m[turn + 1], counts[0], counts[1])
    gather(1.0, counts[0], counts[1], counts[2])
    walk_line(distance_km, flat_m, lines, known, turn + 2, last, over_m, -backward, canopy_m, counts[0], counts[1])
    gather(math.hypot(1000.0, backward - bend), counts[0], counts[1], counts[2])


@kernel
def under_canopies(
    distance_km: Array,
    flat_m: Array,
    lines: Array,
    last: int,
    blocked: bool,
    from_m: float,
    forward: float,
    at_m: float,
    backward: float,
    apex_km: float,
    bend: float,
    canopy_m: Array,
    counts: Array,
) -> None:  # pragma: no cover - compiled
    """Add the metres under each canopy, ascending, to ``counts[2]``; the rest of `counts` is left at nought."""
    if blocked:
        bent_under(distance_km, flat_m, lines, last, from_m, at_m, forward, backward, apex_km, bend, canopy_m, counts)
        return
    slope = (at_m - from_m) / distance_km[last]
    straight_under(
        distance_km, flat_m, lines, last, from_m, at_m, forward - slope, backward + slope,
        math.hypot(1000.0, slope + bend), canopy_m, counts,
    )  # fmt: skip
