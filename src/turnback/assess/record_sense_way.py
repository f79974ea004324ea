"""What the way over ground tells of directions: tracks bend the way it rolls and turns, and it flies nose first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.record_corners_fit import mean_score, nats_of_t, spread_of, window_slopes
from turnback.assess.record_sense_grid import SMALL, Floats, Grid, Pairing, Votes, votes
from turnback.assess.record_sense_told import NEAR_LEVEL, SOFT, Told, leaky_off
from turnback.base.constants import EARTH_RADIUS_KM, GRAVITY_MPS2
from turnback.records.channel import Quantity
from turnback.rules.record_sense import MOST_CHANCE_NATS

MOVES_MPS: Final = 3.0
"""Slower, the direction of a track is noise of the position."""
COURSE_MPS: Final = 1.5
AGREES: Final = 0.7
KNOWN_NATS: Final = 3.0
LEAST_WINDOWS: Final = 5
PUSH_ALIKE: Final = 0.5
WAYS: Final = tuple((a, b, c) for a in (1.0, -1.0) for b in (1.0, -1.0) for c in (1.0, -1.0))
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
    if way is None:
        return
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
    roll, pitch = grid.of(Quantity.ROLL), grid.of(Quantity.PITCH)
    if roll is not None and pitch is not None and heading is not None:
        _pushed(grid, told, _best_velocity(grid, told, way), (roll, pitch, heading), window)
        return
    if roll is not None:
        pairing = Pairing(window, -lag, lag, 0.05, 0.5)
        told.of(Quantity.ROLL, votes(roll, bend * way.speed_mps, pairing, way.moves).nats(0.8, 3))
    if pitch is not None:
        pairing = Pairing(window, -lag, lag, 0.05, 0.4)
        told.of(Quantity.PITCH, -votes(pitch, grid.slope(way.speed_mps), pairing, way.moves).nats(0.8, 4))


def _best_velocity(grid: Grid, told: Told, way: Way) -> tuple[Floats, Floats]:
    """Return velocity north and east: as recorded where its direction is known, else by the positions."""
    found = []
    for quantity, other in ((Quantity.VELOCITY_NORTH, way.north_mps), (Quantity.VELOCITY_EAST, way.east_mps)):
        values, nats = grid.of(quantity), told.alone.get(quantity, 0.0)
        found.append(other if values is None or abs(nats) < KNOWN_NATS else np.sign(nats) * values)
    return found[0], found[1]


def _pushed(
    grid: Grid, told: Told, velocity_mps: tuple[Floats, Floats], angles: tuple[Floats, Floats, Floats], window: int
) -> None:
    """Tell roll, pitch and heading together: thrust that is tilted pushes it over ground to where it is tilted.

    Each of the eight ways in which the three can count says where to it is pushed; the one that agrees best with how
    the velocity changes is held against the others, window by window.
    """
    actual = [leaky_off(grid.slope(_smooth(each)), grid.step_s) for each in velocity_mps]
    level = (np.abs(angles[0]) <= NEAR_LEVEL) & (np.abs(angles[1]) <= NEAR_LEVEL)
    level &= np.isfinite(actual[0]) & np.isfinite(actual[1]) & np.isfinite(angles[2])
    said = [_push(angles, signs, grid.step_s) for signs in WAYS]
    best, like = -1.0, np.zeros((len(WAYS), 0))
    for lag in range(0, round(0.8 * grid.rate_hz) + 1):
        here = np.array([_alike(each, actual, level, lag, window) for each in said])
        score = float(np.nanmax(here.sum(axis=1))) if here.size else -1.0
        if score > best:
            best, like = score, here
    if like.shape[1] < LEAST_WINDOWS:
        return
    top = int(np.argmax(like.sum(axis=1)))
    if float(like[top].mean()) < PUSH_ALIKE:
        return
    nats = np.zeros(len(WAYS))
    for way in range(len(WAYS)):
        score = mean_score(like[top] - like[way]) if way != top else 0.0
        nats[way] = -min(MOST_CHANCE_NATS.value, SOFT * 0.5 * max(score, 0.0) ** 2)
    told.joint.append(((Quantity.ROLL, Quantity.PITCH, Quantity.HEADING), nats.reshape(2, 2, 2)))


def _push(
    angles: tuple[Floats, Floats, Floats], signs: tuple[float, float, float], step_s: float
) -> tuple[Floats, Floats]:
    """Return the push north and east, m/s² less slow changes: nose down is forward, right side down to the right."""
    right, back, heading = np.tan(signs[0] * angles[0]), np.tan(signs[1] * angles[1]), signs[2] * angles[2]
    north = GRAVITY_MPS2 * (-back * np.cos(heading) - right * np.sin(heading))
    east = GRAVITY_MPS2 * (-back * np.sin(heading) + right * np.cos(heading))
    return leaky_off(north, step_s), leaky_off(east, step_s)


def _alike(
    said: tuple[Floats, Floats], actual: list[Floats], level: NDArray[np.bool_], lag: int, window: int
) -> Floats:
    """Return how closely a push and the change of velocity `lag` steps later agree in each window (-1 to 1)."""
    size = level.size - lag
    count = size // window
    cut = slice(0, count * window)
    whole = (level[:size] & level[lag:])[cut].reshape(count, window).all(axis=1)
    one = np.hstack([each[:size][cut].reshape(count, window)[whole] for each in said])
    other = np.hstack([each[lag:][cut].reshape(count, window)[whole] for each in actual])
    norm = np.sqrt(np.sum(one**2, axis=1) * np.sum(other**2, axis=1))
    return np.asarray(np.sum(one * other, axis=1) / np.maximum(norm, SMALL))


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
