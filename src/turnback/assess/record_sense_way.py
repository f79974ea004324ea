"""What the way over ground tells of directions: tracks bend the way it rolls and turns, and it flies nose first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.record_corners_fit import nats_of_t, spread_of, window_slopes
from turnback.assess.record_sense_grid import SMALL, Floats, Grid, Pairing, Votes, votes
from turnback.assess.record_sense_push import KNOWN_NATS, dragged, pushed
from turnback.assess.record_sense_told import Told
from turnback.base.constants import EARTH_RADIUS_KM
from turnback.records.channel import Quantity

MOVES_MPS: Final = 3.0
"""Slower, the direction of a track is noise of the position."""
COURSE_MPS: Final = 1.5
AGREES: Final = 0.7
LEANS: Final = 0.15
PRESSURE_PA_PER_M: Final = 12.0
"""Fall of pressure with height near the ground; only its sign counts here."""


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """Velocity over ground, from positions: north, east, speed, direction of travel without breaks."""

    north_mps: Floats
    east_mps: Floats
    speed_mps: Floats
    course_rad: Floats
    moves: NDArray[np.bool_]


def way_of(grid: Grid) -> Way | None:
    """Return the way over ground; None without positions."""
    latitude, longitude = grid.of(Quantity.LATITUDE), grid.of(Quantity.LONGITUDE)
    if latitude is None or longitude is None or not np.isfinite(latitude).any():
        return None
    metres = 1000.0 * EARTH_RADIUS_KM * np.pi / 180.0
    north = grid.slope(_smooth(latitude * metres))
    east = grid.slope(_smooth(longitude * metres * np.cos(np.radians(np.nanmean(latitude)))))
    speed = np.hypot(north, east)
    course = np.arctan2(east, north)
    held = np.where(np.isfinite(course), course, 0.0)
    return Way(north, east, speed, np.where(np.isfinite(course), np.unwrap(held), np.nan), speed > MOVES_MPS)


def _smooth(values: Floats) -> Floats:
    """Return the mean of each value and its two neighbours on both sides."""
    padded = np.pad(values, 2, mode="edge")
    return np.asarray(np.mean([padded[k : k + values.size] for k in range(5)], axis=0))


def over_ground(grid: Grid, told: Told, window: int) -> None:
    """Tell velocities, course, heading, roll, pitch and yaw rate by the way over ground, and climb by height."""
    _upright(grid, told, window)
    way = way_of(grid)
    if way is not None:
        _along(grid, told, way, window)
    velocity = velocity_of(grid, told, way)
    if velocity is not None:
        pushed(grid, told, velocity, window // 2)
        dragged(grid, told, velocity, window)


def _along(grid: Grid, told: Told, way: Way, window: int) -> None:
    """Tell velocities, course, heading and yaw rate by the way that the positions show."""
    lag = round(grid.rate_hz)
    direct = Pairing(window // 2, -lag, lag, 0.5, 0.5, one_to_one=True)
    for quantity, velocity in ((Quantity.VELOCITY_NORTH, way.north_mps), (Quantity.VELOCITY_EAST, way.east_mps)):
        values = grid.of(quantity)
        if values is not None:
            told.of(quantity, _same(velocity, values, direct))
    course, heading, yaw = (grid.of(each) for each in (Quantity.COURSE, Quantity.HEADING, Quantity.YAW_RATE))
    if course is not None:
        told.of(Quantity.COURSE, leaning(course, way, window // 2, COURSE_MPS).nats(1.0, 1))
    if heading is not None:
        told.of(Quantity.HEADING, leaning(heading, way, window, MOVES_MPS).nats(0.8, 3))
    bend = grid.slope(way.course_rad)
    if yaw is not None:
        told.of(Quantity.YAW_RATE, votes(yaw, bend, Pairing(window, -lag, lag, 0.1, 0.1), way.moves).nats(0.8, 3))


def velocity_of(grid: Grid, told: Told, way: Way | None) -> tuple[Floats, Floats] | None:
    """Return velocity north and east: as recorded, else by speed and course, else by the positions.

    Receivers measure speed far better than the positions tell it, and positions may be written to few digits.

    Parameters
    ----------
    grid : Grid
    told : Told
    way : Way or None
        By the positions.
    """
    found = []
    for quantity in (Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST):
        values, nats = grid.of(quantity), told.alone.get(quantity, 0.0)
        if values is not None and (way is None or abs(nats) >= KNOWN_NATS):
            found.append(-values if nats < 0.0 else values)
    if len(found) == 2:
        return found[0], found[1]
    speed, course, nats = grid.of(Quantity.GROUND_SPEED), grid.of(Quantity.COURSE), told.alone.get(Quantity.COURSE, 0.0)
    if speed is not None and course is not None and (way is None or abs(nats) >= KNOWN_NATS):
        return speed * np.cos(course), np.copysign(speed, nats) * np.sin(course)
    return None if way is None else (way.north_mps, way.east_mps)


def _same(first: Floats, second: Floats, pairing: Pairing) -> float:
    """Return the log odds that two channels of one thing count the same way."""
    here = votes(first, second, pairing).nats(1.5, 2)
    if spread_of(first) < 0.5 * pairing.least_first or spread_of(second) < 0.5 * pairing.least_second:
        return here
    score = window_slopes(second[None], first[None], pairing.window)
    other = 0.0 if score is None else nats_of_t(float(score[0, 0]))
    return here if abs(here) > abs(other) else other


def leaning(angle: Floats, way: Way, window: int, least_mps: float) -> Votes:
    """Let windows vote on whether an angle from north goes round the same way as the track.

    Turned round, an angle keeps its cosine: where the cosines agree it flies nose first, and the sines then tell.

    Parameters
    ----------
    angle : ndarray, shape (n,)
        rad.
    way : Way
    window : int
        Steps.
    least_mps : float
        A window counts where it is faster throughout.
    """
    count = angle.size // window
    cut = slice(0, count * window)
    track = way.course_rad[cut].reshape(count, window)
    moves = (way.speed_mps[cut] > least_mps).reshape(count, window).all(axis=1) if count else np.zeros(0, dtype=bool)
    here = angle[cut].reshape(count, window)
    one, other = np.sin(here), np.sin(track)
    sines = np.sum(one * other, axis=1) / np.maximum(np.sqrt(np.sum(one**2, axis=1) * np.sum(other**2, axis=1)), SMALL)
    cosines = np.mean(np.cos(here) * np.cos(track), axis=1)
    aside = np.minimum(np.mean(one**2, axis=1), np.mean(other**2, axis=1)) > LEANS**2
    forward = moves & (cosines > LEANS) & aside
    return Votes(int(np.sum(sines[forward] > AGREES)), int(np.sum(sines[forward] < -AGREES)))


def _upright(grid: Grid, told: Told, window: int) -> None:
    """Tell climb rate and velocity downward by the height or the pressure."""
    height = grid.of(Quantity.HEIGHT_LAUNCH)
    height = grid.of(Quantity.HEIGHT_SEA_LEVEL) if height is None else height
    pressure = grid.of(Quantity.PRESSURE)
    if height is None and pressure is not None:
        height = -pressure / PRESSURE_PA_PER_M
    if height is None:
        return
    climb = grid.slope(_smooth(height))
    lag = round(grid.rate_hz)
    pairing = Pairing(window // 2, -lag, lag, 0.2, 0.2, one_to_one=True)
    for quantity, sign in ((Quantity.CLIMB_RATE, 1.0), (Quantity.VELOCITY_DOWN, -1.0)):
        values = grid.of(quantity)
        if values is not None:
            told.of(quantity, sign * _same(climb, values, pairing))
