"""The upper convex hull of the samples walked so far, as a stack of their indices, compiled.

Seen from a place to the right of all samples, the steepest sample lies on that hull, and so does the highest above any
straight line: both are found by halving, since along a hull the answer rises and then falls.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

Array = NDArray[np.float64]
Indices = NDArray[np.int64]


@kernel
def push_hull(hull: Indices, size: int, distance_km: Array, height_m: Array, new: int) -> int:  # pragma: no cover
    """Add the next sample outward; return how many samples stand on the hull then."""
    at_km = distance_km[new]
    at_m = height_m[new]
    while size >= 2:
        a = hull[size - 2]
        b = hull[size - 1]
        run_km = distance_km[b] - distance_km[a]
        if (height_m[b] - height_m[a]) * (at_km - distance_km[a]) > (at_m - height_m[a]) * run_km:
            break
        size -= 1
    hull[size] = new
    return size + 1


@kernel
def steepest_behind(
    hull: Indices, size: int, distance_km: Array, height_m: Array, at_km: float, at_m: float
) -> int:  # pragma: no cover - compiled
    """Return the sample of the steepest slope up from a place that lies farther out than all samples."""
    low = 0
    high = size - 1
    while low < high:
        middle = (low + high) >> 1
        a = hull[middle]
        b = hull[middle + 1]
        if (height_m[b] - at_m) * (at_km - distance_km[a]) > (height_m[a] - at_m) * (at_km - distance_km[b]):
            low = middle + 1
        else:
            high = middle
    found: int = hull[low]
    return found


@kernel
def highest_above(
    hull: Indices, size: int, distance_km: Array, height_m: Array, slope: float
) -> int:  # pragma: no cover - compiled
    """Return the sample that stands highest above any straight line of that slope, m/km."""
    low = 0
    high = size - 1
    while low < high:
        middle = (low + high) >> 1
        a = hull[middle]
        b = hull[middle + 1]
        if height_m[b] - height_m[a] > slope * (distance_km[b] - distance_km[a]):
            low = middle + 1
        else:
            high = middle
    found: int = hull[low]
    return found


@kernel
def nearest_to_sight(
    hull: Indices, size: int, distance_km: Array, height_m: Array, from_m: float, slope: float, path_km: float
) -> int:  # pragma: no cover - compiled
    """Return the sample of the hull with the greatest nu where all of them stand below the ray.

    nu √λ is, but for a factor of the path, clearance over √(d1 d2). Where it is negative, the places at which the
    hull exceeds a given value lie together, for the hull is concave and the ellipse of that value convex.
    """
    low = 0
    high = size - 1
    while low < high:
        middle = (low + high) >> 1
        a = hull[middle]
        b = hull[middle + 1]
        below_a = from_m + slope * distance_km[a] - height_m[a]
        below_b = from_m + slope * distance_km[b] - height_m[b]
        weight_a = distance_km[a] * (path_km - distance_km[a])
        weight_b = distance_km[b] * (path_km - distance_km[b])
        if below_b * below_b * weight_a < below_a * below_a * weight_b:
            low = middle + 1
        else:
            high = middle
    found: int = hull[low]
    return found
