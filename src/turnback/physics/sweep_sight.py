"""The sample that rules a path, the one of greatest nu, found by blocks of samples instead of by all of them, compiled.

For the path to a receiver at D, nu √λ = N √(0.002 D) / √(d (D - d)), with N the height of the sample above the ray. All
below is in ``v = N |N| / (d (D - d))``, which orders samples as nu does and needs no roots. Heights are flattened:
``G = g - 500 d² / a``; N is the same in either picture.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel
from turnback.physics.sweep_blocks import SMALLEST_BITS, STEP_BITS, largest_block, sample_before
from turnback.physics.sweep_hull import nearest_to_sight

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

WIDER = 1e-9
"""Share by which the stretch that is looked at is widened, for rounding."""


@kernel
def may_beat(
    over_m: float, slope: float, from_km: float, to_km: float, path_km: float, best: float
) -> bool:  # pragma: no cover - compiled
    """Return whether a line above the ray's foot, `over_m` + `slope` d, exceeds v = `best` between two distances.

    The line over √(d (D - d)): where it is positive, its square over d (D - d) is greatest at an end. Where it is
    negative it may rise and fall: ``line² + best d (D - d)`` is then a parabola, and 4 line(0) line(D) < -best D²
    says that it dips below nought.
    """
    at_from = over_m + slope * from_km
    at_to = over_m + slope * to_km
    if at_from * abs(at_from) > best * from_km * (path_km - from_km):
        return True
    if at_to * abs(at_to) > best * to_km * (path_km - to_km):
        return True
    if best >= 0.0:
        return False
    if 4.0 * over_m * (over_m + slope * path_km) >= -best * path_km * path_km:
        return False
    curve = 2.0 * (slope * slope - best)
    foot = -(2.0 * over_m * slope + best * path_km)
    return curve * from_km < foot < curve * to_km


@kernel
def value_of(
    distance_km: Array, flat_m: Array, j: int, from_m: float, slope: float, path_km: float
) -> float:  # pragma: no cover - compiled
    """Return v of one sample."""
    above_m = flat_m[j] - from_m - slope * distance_km[j]
    value: float = above_m * abs(above_m) / (distance_km[j] * (path_km - distance_km[j]))
    return value


@kernel
def open_blocks(
    distance_km: Array,
    flat_m: Array,
    lines: Array,
    known: int,
    first: int,
    last: int,
    from_m: float,
    slope: float,
    path_km: float,
    best: float,
    ruling: int,
) -> tuple[float, int]:  # pragma: no cover - compiled
    """Return the greatest v of the samples from `first` to `last` and its sample, or what was given if none beats it.

    The samples 1 to `known` are closed into blocks; only blocks that can beat the best so far are opened.
    """
    j = first
    while j <= last:
        level = largest_block(j, known)
        end = j
        while level >= 0:
            bits = SMALLEST_BITS + STEP_BITS * level
            k = (j - 1) >> bits
            end = j + (1 << bits) - 1
            if not may_beat(
                lines[level, k, 2] - from_m, lines[level, k, 0] - slope, distance_km[j], distance_km[end], path_km, best
            ):
                break
            level -= 1
        if level < 0:
            while j <= end:
                above_m = flat_m[j] - from_m - slope * distance_km[j]
                weight = distance_km[j] * (path_km - distance_km[j])
                if above_m * abs(above_m) > best * weight:
                    best = above_m * abs(above_m) / weight
                    ruling = j
                j += 1
        j = end + 1
    return best, ruling


@kernel
def stretch(alpha: float, beta: float, path_km: float, best: float) -> tuple[float, float]:  # pragma: no cover
    """Return between which distances a sample can exceed v = `best`, where N is at most α d and at most β (D - d).

    Empty, the first beyond the second, where none can.
    """
    room = abs(best)
    near = alpha * alpha
    far = beta * beta
    if best < 0.0:
        return path_km * far / (far + room) * (1.0 - WIDER), path_km * room / (near + room) * (1.0 + WIDER)
    return path_km * room / (near + room) * (1.0 - WIDER), path_km * far / (far + room) * (1.0 + WIDER)


@kernel
def ruling_sample(
    distance_km: Array,
    flat_m: Array,
    lines: Array,
    hull: Indices,
    size: int,
    known: int,
    from_m: float,
    at_m: float,
    path_km: float,
    ahead: int,
    behind: int,
    before: int,
    least: float,
) -> tuple[float, int]:  # pragma: no cover - compiled
    """Return the greatest v of the samples 1 to `known` and its sample, or `least` and `before` if none exceeds it.

    `at_m` is the flattened height of the receiver, `ahead` and `behind` are the horizons seen from the antenna and
    from the receiver, `before` is a sample that may be a good guess (that of the receiver before), `least` the
    negative v below which nothing matters. Good guesses first, then only the blocks that can beat them.
    """
    slope = (at_m - from_m) / path_km
    alpha = (flat_m[ahead] - from_m) / distance_km[ahead] - slope
    beta = (flat_m[behind] - at_m) / (path_km - distance_km[behind]) + slope
    if alpha <= 0.0:
        best = least
        near_km, far_km = stretch(alpha, beta, path_km, best)
        if near_km > far_km:
            return best, before
        guess = nearest_to_sight(hull, size, distance_km, flat_m, from_m, slope, path_km)
    else:
        best = value_of(distance_km, flat_m, ahead, from_m, slope, path_km)
        apex_km = path_km * beta / (alpha + beta) if beta > 0.0 else 0.0
        guess = max(sample_before(distance_km, known, apex_km), 1)
    ruling = ahead if alpha > 0.0 else before
    for j in (behind, guess, before):
        value = value_of(distance_km, flat_m, j, from_m, slope, path_km)
        if value > best:
            best = value
            ruling = j
    near_km, far_km = stretch(alpha, beta, path_km, best)
    if near_km > far_km:
        return best, ruling
    first = max(sample_before(distance_km, known, near_km), 1)
    last = max(sample_before(distance_km, known, far_km), 1)
    first = (((first - 1) >> SMALLEST_BITS) << SMALLEST_BITS) + 1  # so that whole blocks can be passed over
    return open_blocks(distance_km, flat_m, lines, known, first, last, from_m, slope, path_km, best, ruling)


@kernel
def crossing(
    from_m: float, forward: float, at_m: float, backward: float, distance_km: Array, last: int
) -> float:  # pragma: no cover - compiled
    """Return where the two horizon slopes (flattened) meet, held between the samples for rays that only graze."""
    total = forward + backward
    near_km = (at_m - from_m + backward * distance_km[last]) / total if total != 0.0 else 0.0
    held_km: float = min(max(near_km, distance_km[1]), distance_km[last - 1])
    return held_km
