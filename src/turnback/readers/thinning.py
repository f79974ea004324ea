"""Fewer points for the same line: the points kept are the file's own, and how far the rest lie off it is known."""

from __future__ import annotations

import heapq

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def thinned(points_m: Floats, most: int) -> tuple[NDArray[np.intp], float]:
    """Return which points of a polyline to keep, and how far the others lie from the line through those.

    Parameters
    ----------
    points_m : ndarray
        Shape ``(n, k)``, in metres.
    most : int
        Points to keep at most, two or more.

    Returns
    -------
    tuple
        Rising indices, first and last point among them, and the greatest distance in metres of a point left out from
        the piece that passes it.

    Notes
    -----
    Douglas and Peucker, Algorithms for the reduction of the number of points required to represent a digitized line
    or its caricature, Cartographica 10(2), 1973; the piece with the greatest distance is split first, so that the work
    is at most `most` passes over the points.
    """
    count = len(points_m)
    if count <= most:
        return np.arange(count), 0.0
    kept = {0, count - 1}
    worst = [_farthest(points_m, 0, count - 1)]
    while len(kept) < most and -worst[0][0] > 0.0:
        _, middle, start, end = heapq.heappop(worst)
        kept.add(middle)
        heapq.heappush(worst, _farthest(points_m, start, middle))
        heapq.heappush(worst, _farthest(points_m, middle, end))
    return np.array(sorted(kept), dtype=np.intp), -worst[0][0]


def _farthest(points_m: Floats, start: int, end: int) -> tuple[float, int, int, int]:
    """Minus the distance of the point farthest from one piece, its index, and the piece."""
    if end - start < 2:
        return 0.0, start, start, end
    between = points_m[start + 1 : end] - points_m[start]
    piece = points_m[end] - points_m[start]
    square = float(piece @ piece)
    share = np.clip(between @ piece / square, 0.0, 1.0) if square > 0.0 else np.zeros(len(between))
    away = np.linalg.norm(between - share[:, None] * piece, axis=1)
    worst = int(away.argmax())
    return -float(away[worst]), start + 1 + worst, start, end
