"""What a level owes to distance, to attitude and to time: fits by least squares, dips weighed down."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np

from turnback.assess.signs_link_view import NEAREST_M, Floats, LinkFrame

FREE_SPACE: Final = 20.0
"""Decibels a decade (ITU-R P.525)."""
SLOPE_SD: Final = 6.0
LEVEL_SD: Final = 3.0
WIDE_DB: Final = 10.0
DEPTHS_DB: Final = (6.0, 12.0, 24.0)
MOST_GAIN: Final = 3.0
HUBER_DB: Final = 4.0
ROUNDS: Final = 10
TAKEN: Final = 0.2
LEAST_SPREAD_DB: Final = 3.0
AXES: Final = 60


@dataclass(frozen=True, slots=True, eq=False)
class DistanceFit:
    """A level against the logarithm of distance.

    Parameters
    ----------
    slope_db : float
        Fall in every tenfold of distance.
    offset_dbm : float
        Of the line, at 100 m.
    rest_db : ndarray, shape (n,)
        Level less the line, at every row of the frame.
    decades : float
        Between the nearest and the farthest twentieth.
    """

    slope_db: float
    offset_dbm: float
    rest_db: Floats
    decades: float


def fit_distance(frame: LinkFrame) -> DistanceFit:
    """Return the line of a level over distance, Huber's weights, lower ones below it, loose belief in free space.

    Parameters
    ----------
    frame : LinkFrame
        Without a distance the line is flat.
    """
    if frame.away_m is None or np.count_nonzero(frame.keep) < 20:
        middle = float(np.median(frame.level_dbm))
        return DistanceFit(0.0, middle, frame.level_dbm - middle, 0.0)
    x = np.log10(np.maximum(frame.away_m, NEAREST_M) / 100.0)
    # nearly overhead an upright antenna hears less than on its line, and never more
    used = frame.away_m > NEAREST_M
    kept, y, steep = x[used], frame.level_dbm[used], ~frame.keep[used]
    weight = np.ones(kept.size)
    slope, offset = -FREE_SPACE, float(np.median((y + FREE_SPACE * kept)[~steep]))
    effective = max(1.0, kept.size / 30.0) / kept.size  # rows within three seconds say the same
    for _ in range(ROUNDS):
        w = weight * effective / LEVEL_SD**2
        total, sx = float(w.sum()), float(w @ kept)
        sxx = float(w @ (kept * kept)) + 1.0 / SLOPE_SD**2
        sy, sxy = float(w @ y), float(w @ (kept * y)) - FREE_SPACE / SLOPE_SD**2
        det = total * sxx - sx * sx
        slope, offset = (total * sxy - sx * sy) / det, (sxx * sy - sx * sxy) / det
        off_db = y - offset - slope * kept
        # what stands in the way, or a blind end, only takes away: the line is that of the open part of the way
        below = np.where(steep, 0.0, TAKEN)
        weight = np.where(off_db < 0.0, below, 1.0) * HUBER_DB / np.maximum(np.abs(off_db), HUBER_DB)
    ends = np.percentile(x[frame.keep], [5.0, 95.0])
    return DistanceFit(-slope, offset, frame.level_dbm - offset - slope * x, float(ends[1] - ends[0]))


@dataclass(frozen=True, slots=True, eq=False)
class AttitudeFit:
    """The one blind direction that explains a level best.

    Parameters
    ----------
    depth_db : float
        Between the well turned tenth of the flight and the worst turned of thirty parts.
    share : float
        Of what distance does not explain.
    part_db : ndarray, shape (n,)
        What attitude takes, at each row kept, 0 and below.
    times : int
        How often it turned into the blind direction and out of it.
    """

    depth_db: float
    share: float
    part_db: Floats
    times: int


@cache
def _axes() -> Floats:
    """Directions over the whole sphere, evenly (a spiral of Fibonacci)."""
    place = np.arange(AXES) + 0.5
    z = 1.0 - 2.0 * place / AXES
    around = np.pi * (1.0 + np.sqrt(5.0)) * place
    flat = np.sqrt(1.0 - z * z)
    spiral = np.stack([flat * np.cos(around), flat * np.sin(around), z], axis=1)
    return np.concatenate([spiral, np.eye(3), -np.eye(3)])


def losses_toward(toward: Floats, axes: Floats, deepest_db: float) -> Floats:
    """Return what blind ends along axes cost, in dB, 0 and above, capped: a short dipole's null, one end and both.

    Parameters
    ----------
    toward : ndarray, shape (n, 3)
    axes : ndarray, shape (k, 3)
    deepest_db : float
        A low cap makes the blind end wide.

    Returns
    -------
    ndarray, shape (n, 2 k)
        First with one blind end each, then with both. Gain of a short dipole goes with the square of the sine.
    """
    along = toward @ axes.T
    lost = np.minimum(-10.0 * np.log10(np.maximum(1.0 - along * along, 1e-3)), deepest_db)
    return np.concatenate([np.where(along > 0.0, lost, 0.0), lost], axis=1)


@cache
def _beside() -> Floats:
    """Small turns of an axis: none, and two rings."""
    ring = np.linspace(0.0, 2.0 * np.pi, 8, endpoint=False)
    rings = [np.stack([size * np.cos(ring), size * np.sin(ring)], axis=1) for size in (0.12, 0.27)]
    return np.concatenate([np.zeros((1, 2)), *rings])


def _axes_beside(axis: Floats) -> Floats:
    """Return axes around one, up to 15 degrees off."""
    least = np.eye(3)[int(np.argmin(np.abs(axis)))]
    first = np.cross(axis, least)
    first /= np.linalg.norm(first)
    turned = axis + _beside() @ np.stack([first, np.cross(axis, first)])
    result: Floats = turned / np.linalg.norm(turned, axis=1)[:, None]
    return result


def fit_attitude(frame: LinkFrame, rest_db: Floats) -> AttitudeFit | None:
    """Return how well one blind direction explains what distance leaves; None without attitudes.

    Distance may take its share anew: both are fitted together (Frisch and Waugh 1933).

    Parameters
    ----------
    frame : LinkFrame
    rest_db : ndarray, shape (n,)
    """
    if frame.toward is None or frame.away_m is None or np.count_nonzero(frame.keep) < 40:
        return None
    y = rest_db[frame.keep]
    toward = frame.toward[frame.keep]
    x = np.log10(np.maximum(frame.away_m[frame.keep], NEAREST_M))
    basis = np.linalg.qr(np.stack([np.ones(y.size), x], axis=1))[0]
    bare_y = y - basis @ (basis.T @ y)
    axes = _axes()
    best = _best(losses_toward(toward, axes, WIDE_DB), basis, bare_y)
    if best is None:
        return AttitudeFit(0.0, 0.0, np.zeros(y.size), 0)
    found, beside = best[:2], _axes_beside(axes[best[2] % len(axes)])
    for deepest_db in DEPTHS_DB:
        finer = _best(losses_toward(toward, beside, deepest_db), basis, bare_y)
        if finer is not None and finer[0] < found[0]:
            found = finer[:2]
    part_db = found[1]
    ends = np.percentile(part_db, [3.0, 90.0])
    depth_db = float(ends[1] - ends[0])
    share = 1.0 - found[0] / max(float(bare_y @ bare_y), 1e-9)
    return AttitudeFit(depth_db, share, part_db, _times_blind(part_db, depth_db))


def _best(losses: Floats, basis: Floats, bare_y: Floats) -> tuple[float, Floats, int] | None:
    """Return what the best of some losses leaves, what it takes, and its place; None where none of them varies."""
    power_of = losses.max(axis=0) - losses.min(axis=0)
    useful = np.flatnonzero(power_of > LEAST_SPREAD_DB)
    if not useful.size:
        return None
    losses = losses[:, useful]
    bare = losses - basis @ (basis.T @ losses)
    power = np.einsum("ij,ij->j", bare, bare)
    along = bare.T @ bare_y
    gain = np.clip(-along / np.maximum(power, 1e-9), 0.0, MOST_GAIN)
    cost = float(bare_y @ bare_y) + 2.0 * gain * along + gain**2 * power
    best = int(np.argmin(cost))
    return float(cost[best]), -gain[best] * losses[:, best], int(useful[best])


def _times_blind(part_db: Floats, depth_db: float) -> int:
    """Return how often it went from well turned to badly turned and back, with a dead band between."""
    if depth_db < 1.0:
        return 0
    least = float(part_db.min())
    marks = np.where(part_db < least + 0.35 * depth_db, -1, 0)
    marks[part_db > least + 0.65 * depth_db] = 1
    return int(np.count_nonzero(np.diff(marks[marks != 0])))
