"""What a change of velocity tells of roll, pitch and heading: thrust that is tilted pushes it to where it is tilted.

Level, the horizontal push is g times the tangent of the tilt: nose down pushes ahead, right side down to the right.
Held against how the velocity changes, window by window, each axis gives a slope near one, signed as it counts.
Where no angles are kept the rates are summed over some seconds, where no heading is kept it is taken to fly nose first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.record_corners_fit import mean_score, nats_of_t, window_slopes
from turnback.assess.record_sense_grid import SMALL, Floats, Grid
from turnback.assess.record_sense_lasting import lasting_score
from turnback.assess.record_sense_told import NEAR_LEVEL, SOFT, Told, leaky, leaky_off, often_enough
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import Quantity
from turnback.rules.record_sense import MOST_CHANCE_NATS, PUSH_LEAST, PUSH_MOST

KNOWN_NATS: Final = 3.0
SHRINK: Final = 1.0
LEAST_TOLD: Final = 0.3
"""Share of the velocity's changes that the tilt must account for."""
LEAST_MPS: Final = 0.5
NOSE_FIRST_MPS: Final = 1.5
MOST_LATE_S: Final = 0.8
"""A fix comes late by up to this."""
ANGLES: Final = (Quantity.ROLL, Quantity.PITCH)
RATES: Final = (Quantity.ROLL_RATE, Quantity.PITCH_RATE)


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """How well tilts account for a change of velocity.

    Parameters
    ----------
    left_over : ndarray, shape (w,)
        Of each window, as a share of the mean window's change.
    scores : ndarray, shape (2,)
        How surely roll and pitch count right, as normal scores.
    slopes : ndarray, shape (2,)
        Over all windows; near 1 or -1.
    by_share : ndarray, shape (2,)
        Log odds of the sign of each slope by what would be left over without it: half the windows that count, times
        the log of how much more that is (likelihood ratio of normal errors, one to a window).
    """

    left_over: Floats
    scores: Floats
    slopes: Floats
    by_share: Floats

    def share(self) -> float:
        """Return the share of the change that is accounted for."""
        return 1.0 - float(self.left_over.mean())

    def nats(self, axis: int) -> float:
        """Return the log odds that roll (0) or pitch (1) counts right; 0 where it moves it far less or more than g."""
        if not PUSH_LEAST.value <= abs(float(self.slopes[axis])) <= PUSH_MOST.value:
            return 0.0
        by_windows, by_share = nats_of_t(float(self.scores[axis])), float(self.by_share[axis])
        if by_windows * by_share < 0.0:
            return 0.0
        return by_windows if abs(by_windows) > abs(by_share) else by_share


def pushed(grid: Grid, told: Told, velocity_mps: tuple[Floats, Floats], window: int) -> None:
    """Tell roll, pitch and heading together, or the rates in place of angles that are not kept.

    Parameters
    ----------
    grid : Grid
        The slow one.
    told : Told
    velocity_mps : tuple of ndarray
        North and east.
    window : int
        Steps.
    """
    of = ANGLES if all(grid.of(each) is not None for each in ANGLES) else RATES
    roll, pitch = (grid.of(each) for each in of)
    if roll is None or pitch is None:
        return
    if of is RATES:
        if not all(often_enough(grid, each) for each in of):
            return
        roll, pitch = leaky(roll, grid.step_s), leaky(pitch, grid.step_s)
    heading = grid.of(Quantity.HEADING)
    ways: tuple[float, ...] = (1.0, -1.0)
    if heading is None:
        speed = np.hypot(*velocity_mps)
        heading, ways = np.where(speed > NOSE_FIRST_MPS, np.arctan2(velocity_mps[1], velocity_mps[0]), np.nan), (1.0,)
    level = (np.abs(roll) <= NEAR_LEVEL) & (np.abs(pitch) <= NEAR_LEVEL)
    right, ahead = np.where(level, np.tan(roll), np.nan), np.where(level, -np.tan(pitch), np.nan)
    actual = [leaky_off(grid.slope(_smooth(each)), grid.step_s) for each in velocity_mps]
    for each, values in zip(actual, velocity_mps, strict=True):
        each[~np.isfinite(values)] = np.nan
    said = [_pushes(right, ahead, way * heading, grid.step_s) for way in ways]
    fits = _best_fits(said, actual, window, round(MOST_LATE_S * grid.rate_hz))
    if not fits or max(each.share() for each in fits) < LEAST_TOLD:
        return
    top = int(np.argmax([each.share() for each in fits]))
    nats = np.zeros((2, 2, len(ways)))
    for way, fit in enumerate(fits):
        apart = fit.left_over - fits[top].left_over
        behind = min(MOST_CHANCE_NATS.value, SOFT * 0.5 * max(mean_score(apart), 0.0) ** 2) if way != top else 0.0
        half = 0.5 * SOFT * np.array([fit.nats(0), fit.nats(1)])
        nats[:, :, way] = np.array([[half[0]], [-half[0]]]) + np.array([[half[1], -half[1]]]) - behind
    if len(ways) > 1:
        told.joint.append(((*of, Quantity.HEADING), nats))
    else:
        told.joint.append((of, nats[:, :, 0]))


def dragged(grid: Grid, told: Told, velocity_mps: tuple[Floats, Floats], window: int) -> None:
    """Tell accelerations along x and y: drag, which is all that is felt there, goes against the speed along the body.

    Parameters
    ----------
    grid : Grid
        The slow one.
    told : Told
    velocity_mps : tuple of ndarray
        North and east.
    window : int
        Steps.
    """
    if told.gravity_odd:
        return
    north, east = (_smooth(each) for each in velocity_mps)
    heading = grid.of(Quantity.HEADING)
    for along in (Quantity.ACCELERATION_X, Quantity.ACCELERATION_Y):
        force = grid.of(along)
        if force is None:
            continue
        if heading is None:
            if along is Quantity.ACCELERATION_X:
                told.of(along, -SOFT * _against(force, np.hypot(north, east), window))
            continue
        nats = np.zeros((2, 2))
        for place, way in enumerate((1.0, -1.0)):
            sine, cosine = np.sin(way * heading), np.cos(way * heading)
            speed = north * cosine + east * sine if along is Quantity.ACCELERATION_X else east * cosine - north * sine
            nats[:, place] = -0.5 * SOFT * _against(force, speed, window) * np.array([1.0, -1.0])
        told.joint.append(((along, Quantity.HEADING), nats))


def _against(force: Floats, speed: Floats, window: int) -> float:
    """Return the log odds that a force rises with a speed."""
    if np.count_nonzero(np.isfinite(force) & np.isfinite(speed)) < window or np.nanstd(speed) < LEAST_MPS:
        return 0.0
    return nats_of_t(lasting_score(force, speed[None], round(1.5 * window)))


def _pushes(right: Floats, ahead: Floats, heading: Floats, step_s: float) -> tuple[tuple[Floats, Floats], ...]:
    """Return the push by roll and that by pitch, each north and east, m/s², less slow changes."""
    sine, cosine = GRAVITY_MPS2 * np.sin(heading), GRAVITY_MPS2 * np.cos(heading)
    found = []
    for north, east in ((-right * sine, right * cosine), (ahead * cosine, ahead * sine)):
        missing = ~np.isfinite(north)
        parts = tuple(leaky_off(each, step_s) for each in (north, east))
        for each in parts:
            each[missing] = np.nan
        found.append((parts[0], parts[1]))
    return tuple(found)


def _best_fits(
    said: list[tuple[tuple[Floats, Floats], ...]], actual: list[Floats], window: int, most_late: int
) -> list[Fit]:
    """Return the fit of each way to turn the heading, at the one lag that suits the best of them."""
    best: list[Fit] = []
    for late in range(most_late + 1):
        here = [_fit(each, actual, window, late) for each in said]
        fits = [each for each in here if each is not None]
        if len(fits) < len(said):
            continue
        if not best or max(each.share() for each in fits) > max(each.share() for each in best):
            best = fits
    return best


def _fit(pushes: tuple[tuple[Floats, Floats], ...], actual: list[Floats], window: int, late: int) -> Fit | None:
    """Return how well pushes account for the change of velocity `late` steps later."""
    size = actual[0].size - late
    causes = np.array([_side_by_side([part[:size] for part in push], window) for push in pushes])
    change = _side_by_side([part[late:] for part in actual], window)
    whole = np.isfinite(causes).all(axis=(0, 2)) & np.isfinite(change).all(axis=1)
    causes, change = causes[:, whole], change[whole]
    if change.shape[0] < 2:
        return None
    scores = window_slopes(change.reshape(1, -1), causes.reshape(len(pushes), -1), 2 * window, SHRINK)
    if scores is None:
        return None
    flat = causes.reshape(len(pushes), -1)
    inner = flat @ flat.T + SMALL * np.eye(len(pushes))
    slopes = np.linalg.solve(inner, flat @ change.ravel())
    left = np.sum((change - np.tensordot(slopes, causes, axes=1)) ** 2, axis=1)
    energy = np.sum(causes**2, axis=2)
    count = energy.sum(axis=1) ** 2 / np.maximum(np.sum(energy**2, axis=1), SMALL)  # of windows that matter (Kish 1965)
    alone = slopes**2 / np.diag(np.linalg.inv(inner))
    by_share = np.sign(slopes) * 0.5 * count * np.log1p(alone / max(float(left.sum()), SMALL))
    by_share = np.clip(by_share, -MOST_CHANCE_NATS.value, MOST_CHANCE_NATS.value)
    return Fit(left / max(float(np.mean(np.sum(change**2, axis=1))), SMALL), scores[0], slopes, by_share)


def _side_by_side(parts: list[Floats], window: int) -> Floats:
    """Return north and east of each window in one row, each less its mean; shape ``(w, 2 window)``."""
    count = parts[0].size // window
    cut = [each[: count * window].reshape(count, window) for each in parts]
    return np.hstack([each - each.mean(axis=1, keepdims=True) for each in cut])


def _smooth(values: Floats) -> Floats:
    """Return the mean of each value and its two neighbours on both sides."""
    padded = np.pad(values, 2, mode="edge")
    return np.asarray(np.mean([padded[k : k + values.size] for k in range(5)], axis=0))
