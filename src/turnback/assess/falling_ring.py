"""The outline of the ground that holds nine falls in ten."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SHARE: Final = 0.9
"""Of the falls that the outline holds."""
CORNERS: Final = 40
LEAST_M: Final = 1.0  # a body has a size, and nobody knows where it stands to the decimetre


def ring(x_m: Array, y_m: Array, middle_x_m: float, middle_y_m: float, share: float = SHARE) -> tuple[Array, Array]:
    """Return the least ellipse of the cloud's own shape, about a middle, that holds the share of its points.

    Parameters
    ----------
    x_m, y_m : ndarray, shape (n,)
        Where the falls end.
    middle_x_m, middle_y_m : float
        Their best estimate.
    share : float
        Of the points that it holds.

    Returns
    -------
    tuple of ndarray, shape (CORNERS + 1,)
        A closed ring drawn around the ellipse, anticlockwise: so it holds no less than the ellipse does.
    """
    centre = np.array([middle_x_m, middle_y_m])
    away = np.column_stack([x_m, y_m]) - centre
    variance, axes = np.linalg.eigh(away.T @ away / x_m.size)
    sizes = np.sqrt(np.maximum(variance, 1e-6))
    scaled = away @ axes / sizes
    last = int(np.ceil(share * (x_m.size - 1)))
    size = float(np.partition(np.hypot(scaled[:, 0], scaled[:, 1]), last)[last])
    half = np.maximum(sizes * size, LEAST_M) / np.cos(np.pi / CORNERS)
    axes[:, 0] *= np.sign(axes[0, 0] * axes[1, 1] - axes[0, 1] * axes[1, 0])  # never a mirror: one sense of turning
    turn = 2.0 * np.pi * (np.arange(CORNERS + 1) % CORNERS) / CORNERS
    points = np.column_stack([half[0] * np.cos(turn), half[1] * np.sin(turn)]) @ axes.T + centre
    return points[:, 0].copy(), points[:, 1].copy()


def between(first: tuple[Array, Array], second: tuple[Array, Array], away_m: float) -> list[tuple[Array, Array]]:
    """Return outlines on the way from one ring to the next, near enough to each other to leave no gap.

    Parameters
    ----------
    first, second : tuple of ndarray
        Two rings; their corners are matched by their direction from the middle.
    away_m : float
        Greatest distance between two outlines.
    """
    start, end = (np.column_stack(each)[:-1] for each in (first, second))
    start, end = (_by_bearing(each) for each in (start, end))
    pieces = int(np.ceil(float(np.hypot(*(end - start).T).max()) / away_m))
    found = []
    for k in range(1, pieces):
        points = start + (end - start) * k / pieces
        points = np.vstack([points, points[:1]])
        found.append((points[:, 0], points[:, 1]))
    return found


def _by_bearing(points: Array) -> Array:
    """Return a ring's corners from the one nearest to east on: so two rings of any tilt meet corner by corner."""
    middle = points.mean(axis=0)
    return np.roll(points, -int(np.argmin(np.abs(np.arctan2(*(points - middle).T[::-1])))), axis=0)


def narrow_m(outline: tuple[Array, Array]) -> float:
    """Return a ring's least half-width."""
    points = np.column_stack(outline)[:-1]
    return float(np.hypot(*(points - points.mean(axis=0)).T).min())
