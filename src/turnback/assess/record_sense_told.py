"""What tells which way a channel counts: gravity, a rate and its angle, a response and its demand, the way over ground.

Body axes are x forward, y right, z down (ISO 1151). Specific force follows the tilt: in steady motion its x part is g
times the sine of the pitch angle, its y part minus g times the sine of the roll angle; while it speeds up it lags
behind them by the time constant of its drag, but never goes the other way. An angle's derivative is the rate (near
level). A rate follows its demand about one to one wherever the aircraft stays under control for long; a response that
goes against its demand for a second or two may be a fault, so a few windows never tell.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from turnback.assess.record_corners_fit import nats_of_t, spread_of, window_slopes
from turnback.assess.record_sense_grid import Floats, Grid, Pairing, votes
from turnback.assess.record_sense_lasting import lasting_score
from turnback.base.constants import GRAVITY_MPS2
from turnback.records.channel import Quantity
from turnback.rules.record_sense import FAST_WINDOW_S, GRAVITY_LEAST, GRAVITY_MOST, MOST_CHANCE_NATS, SUM_HZ

NEAR_LEVEL: Final = 0.9
"""Radians; beyond, the derivative of an angle is no longer the rate."""
FIRST_PART: Final = 5
BEGIN_S: Final = 1.0
HELD_SHARE: Final = 0.7
LEAK_S: Final = 4.0
SOFT: Final = 0.8
"""Share of the log odds that counts where something else may move both channels."""
SHRINK: Final = 0.3
"""Windows in which a cause moves little count less."""
WEAK_NATS: Final = 3.0
"""Where votes tell less, slopes are asked, too."""
FOLLOW_STEPS: Final = 100
"""Of the fast grid: two seconds at its full rate."""
STILL: Final = 1e-3
DRAG_LAG_S: Final = 0.6
"""Specific force along the body lags behind the tilt by up to some seconds; a part of that suits slow and fast ones."""
SPEEDING_S: Final = 2.0
"""Time in which a speed follows the tilt that makes it; drag, which is felt, follows the speed."""
TILT_LEAST: Final = 0.01
FORCE_LEAST_MPS2: Final = 0.03
CURRENT_LEAST_A: Final = 0.5
CURRENT_SHARE: Final = 0.95


@dataclass(slots=True)
class Told:
    """Log odds that a channel counts as the canonical one, alone, and that two count the same way.

    Parameters
    ----------
    alone : dict of Quantity to float
    pairs : dict of (Quantity, Quantity) to float
    gravity_odd : bool
        The accelerometer does not carry gravity along z: its axes are others, or gravity is taken off.
    """

    alone: dict[Quantity, float] = field(default_factory=dict)
    pairs: dict[tuple[Quantity, Quantity], float] = field(default_factory=dict)
    gravity_odd: bool = False
    joint: list[tuple[tuple[Quantity, ...], Floats]] = field(default_factory=list)
    """Log chance of each way in which several channels can count: shape ``(2, ...)``, as is first, then turned."""

    def of(self, quantity: Quantity, nats: float) -> None:
        """Add what one relation tells of one channel."""
        if nats:
            self.alone[quantity] = self.alone.get(quantity, 0.0) + nats

    def both(self, first: Quantity, second: Quantity, nats: float) -> None:
        """Add what one relation tells of two channels."""
        if nats:
            self.pairs[first, second] = self.pairs.get((first, second), 0.0) + nats


AXES: Final = (
    (Quantity.ROLL_RATE, Quantity.ROLL_RATE_DEMAND, Quantity.ROLL_STICK, Quantity.ROLL, Quantity.ROLL_DEMAND),
    (Quantity.PITCH_RATE, Quantity.PITCH_RATE_DEMAND, Quantity.PITCH_STICK, Quantity.PITCH, Quantity.PITCH_DEMAND),
    (Quantity.YAW_RATE, Quantity.YAW_RATE_DEMAND, Quantity.YAW_STICK, Quantity.HEADING, None),
)


def gravity(grid: Grid, told: Told) -> None:
    """Tell the sense of the upright axis: thrust and ground push upward, so specific force along z is negative."""
    z = grid.of(Quantity.ACCELERATION_Z)
    if z is None or not np.isfinite(z).any():
        told.gravity_odd = True
        return
    z = z[np.isfinite(z)]
    middle = float(np.median(z))
    if not GRAVITY_LEAST.value * GRAVITY_MPS2 <= abs(middle) <= GRAVITY_MOST.value * GRAVITY_MPS2:
        told.gravity_odd = True
        return
    agree = float(np.mean(np.sign(z) == np.sign(middle)))
    first = float(np.median(z[: max(1, z.size // FIRST_PART)]))
    begin = float(np.median(z[: max(1, round(BEGIN_S * grid.rate_hz))]))
    if min(first * middle, begin * middle) < 0.0:  # it may lie on its back for the rest of the record
        agree = 0.0
    told.of(Quantity.ACCELERATION_Z, -np.sign(middle) * (MOST_CHANCE_NATS.value if agree > HELD_SHARE else 1.0))


def turning(grid: Grid, told: Told) -> None:
    """Tell rates against angles, demands, sticks."""
    window = round(FAST_WINDOW_S.value * grid.rate_hz)
    roll, pitch = grid.of(Quantity.ROLL), grid.of(Quantity.PITCH)
    level = np.ones(grid.t_s.size, dtype=bool)
    for angle in (roll, pitch):
        if angle is not None:
            level &= ~(np.abs(angle) > NEAR_LEVEL)
    lag = max(1, round(0.16 * grid.rate_hz))
    for rate_of, demand_of, stick_of, angle_of, angle_demand_of in AXES:
        rate, demand, stick, angle = (grid.of(each) for each in (rate_of, demand_of, stick_of, angle_of))
        if rate is not None and angle is not None:
            slope = np.where(level, grid.slope(angle), np.nan)
            by_votes = votes(slope, rate, Pairing(window, -lag, lag, 0.05, 0.05, one_to_one=True)).nats(1.5, 1)
            told.both(angle_of, rate_of, by_votes)
            if abs(by_votes) < WEAK_NATS:
                _follows(told, angle_of, slope, rate_of, rate, None, share=SOFT)
        if rate is not None and demand is not None:
            pairing = Pairing(window, 0, lag, 0.1, 0.1, one_to_one=True)
            by_votes = votes(demand, rate, pairing).nats(1.0, 3)
            told.both(demand_of, rate_of, by_votes)
            if abs(by_votes) < WEAK_NATS:
                _follows(told, demand_of, demand, rate_of, rate, None, share=SOFT, late=lag // 2)
        if stick is not None and demand is not None:
            _follows(told, stick_of, stick, demand_of, demand, angle)
        elif stick is not None and rate is not None:
            _follows(told, stick_of, stick, rate_of, rate, angle, share=SOFT, late=lag // 2)
        if angle_demand_of is not None:
            _wanted(grid, told, (angle_demand_of, angle_of, stick_of), window)


def _wanted(grid: Grid, told: Told, of: tuple[Quantity, Quantity, Quantity], window: int) -> None:
    """Tell a wanted angle against the angle and against the stick."""
    wanted, angle, stick = (grid.of(each) for each in of)
    if wanted is None:
        return
    lag = max(1, round(0.16 * grid.rate_hz))
    if angle is not None:
        pairing = Pairing(2 * window, 0, 3 * lag, 0.03, 0.03, one_to_one=True)
        by_votes = votes(wanted, angle, pairing).nats(1.0, 3)
        told.both(of[0], of[1], by_votes)
        if abs(by_votes) < WEAK_NATS:
            _follows(told, of[0], wanted, of[1], angle, None, share=SOFT, late=lag)
    if stick is not None:
        _follows(told, of[2], stick, of[0], wanted, None)


def _follows(
    told: Told, cause_of: Quantity, cause: Floats, effect_of: Quantity, effect: Floats, angle: Floats | None,
    share: float = 1.0, late: int = 0,
) -> None:  # fmt: skip
    """Tell two channels of which one is made from the other, beside the tilt that a self-levelling board takes off."""
    causes = [cause] if angle is None else [cause, angle]
    if spread_of(cause) < STILL or spread_of(effect) < STILL:
        return
    late_effect = np.append(effect[late:], np.full(late, np.nan))
    score = window_slopes(late_effect[None], np.array(causes), FOLLOW_STEPS, SHRINK)
    if score is not None:
        told.both(cause_of, effect_of, share * nats_of_t(float(score[0, 0])))


def tilting(grid: Grid, told: Told, window: int) -> None:
    """Tell accelerations along x and y against the tilt, or against the integral of the rates where no angle is kept.

    Parameters
    ----------
    grid : Grid
        The slow one.
    told : Told
    window : int
        Steps.
    """
    if told.gravity_odd:
        return
    roll, pitch = grid.of(Quantity.ROLL), grid.of(Quantity.PITCH)
    upright, yaw = grid.of(Quantity.ACCELERATION_Z), grid.of(Quantity.YAW_RATE)
    late = round(DRAG_LAG_S * grid.rate_hz)
    for along, angle, angle_of, rate_of, sign in (
        (Quantity.ACCELERATION_X, pitch, Quantity.PITCH, Quantity.PITCH_RATE, 1.0),
        (Quantity.ACCELERATION_Y, roll, Quantity.ROLL, Quantity.ROLL_RATE, -1.0),
    ):
        force, rate = grid.of(along), grid.of(rate_of)
        summed = angle is None and often_enough(grid, rate_of)
        if force is None or upright is None or not (angle is not None or summed):
            continue
        if angle is not None:
            tilt = np.where(np.abs(angle) <= NEAR_LEVEL, np.sin(angle), np.nan)
        else:
            tilt = leaky(rate if rate is not None else force, grid.step_s)
            force = leaky_off(force, grid.step_s)
        if spread_of(tilt) < TILT_LEAST or spread_of(force) < FORCE_LEAST_MPS2:
            continue
        # a thrust that stands askew moves with the upright force; a turn of the nose makes speed ahead speed aside
        beside = [upright] if yaw is None else [upright, leaky(yaw, grid.step_s)]
        first = angle_of if angle is not None else rate_of
        if angle is not None:
            score = lasting_score(force, np.array([_speeding(tilt, grid.step_s), *beside]), round(1.5 * window))
            told.both(first, along, sign * SOFT * nats_of_t(score))
            continue
        slopes = window_slopes(force[None, late:], np.array([tilt, *beside])[:, : tilt.size - late], window // 2)
        if slopes is not None:
            told.both(first, along, sign * SOFT * nats_of_t(float(slopes[0, 0])))


def often_enough(grid: Grid, rate_of: Quantity) -> bool:
    """Whether a turning rate is kept often enough that its sum is an angle.

    Parameters
    ----------
    grid : Grid
    rate_of : Quantity
    """
    rate = grid.record.get(rate_of)
    return rate is not None and rate.rate_hz >= SUM_HZ.value


def _speeding(tilt: Floats, step_s: float) -> Floats:
    """Return the speed that a tilt makes, but for its scale: it follows within the time constant of its drag."""
    steps = np.arange(round(5.0 * SPEEDING_S / step_s)) * step_s
    full = np.nan_to_num(tilt)
    speed = np.convolve(full, np.exp(-steps / SPEEDING_S) * step_s / SPEEDING_S)[: full.size]
    return np.where(np.isfinite(tilt), speed, np.nan)


def leaky(rate: Floats, step_s: float) -> Floats:
    """Return the integral of a rate less its slow drift.

    Parameters
    ----------
    rate : ndarray, shape (n,)
    step_s : float
    """
    return leaky_off(np.cumsum(np.nan_to_num(rate)) * step_s, step_s)


def leaky_off(values: Floats, step_s: float) -> Floats:
    """Return values less their moving mean over some seconds.

    Parameters
    ----------
    values : ndarray, shape (n,)
    step_s : float
    """
    width = 2 * round(LEAK_S / step_s) + 1
    full = np.nan_to_num(values)
    sums = np.concatenate([[0.0], np.cumsum(np.pad(full, width // 2, mode="edge"))])
    return np.asarray(values - (sums[width:] - sums[:-width]) / width)


def using(grid: Grid, told: Told) -> None:
    """Tell the direction of current and charge: a flight takes charge out of the pack."""
    current = grid.of(Quantity.CURRENT)
    if current is not None:
        strong = current[np.isfinite(current)]
        strong = strong[np.abs(strong) > max(CURRENT_LEAST_A, 0.1 * float(np.max(np.abs(strong), initial=0.0)))]
        share = float(np.mean(strong > 0.0)) if strong.size else 0.5
        if max(share, 1.0 - share) >= CURRENT_SHARE:
            told.of(Quantity.CURRENT, MOST_CHANCE_NATS.value * (1.0 if share > 0.5 else -1.0))
