"""How four outputs turn the aircraft: which of the 24 ways in which they can stand at the corners suits its movements.

Two outputs less the other two, in each of the three ways to pair them, are what rolls, pitches and yaws it (moments
r x F of four equal arms); the three do not disturb each other, so a strong turn of the nose hides no weak roll. Each is
held against the angular acceleration, window by window, and against moves of demands and sticks, which outputs that do
turn the aircraft must answer the same way. A measured rate counts only where it is kept often enough: what shakes the
sensor comes back in the outputs at any phase, and kept more seldom it looks like a movement.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations
from typing import Final

import numpy as np

from turnback.assess.record_corners_fit import Floats, spread_of, window_slopes
from turnback.assess.record_sense_grid import Grid
from turnback.physics.allocation import FORWARD, RIGHT
from turnback.records.channel import ANGLES, RATE_DEMANDS, RATES, STICKS, Quantity
from turnback.records.flight_record import Series
from turnback.rules.record_sense import CORNER_LAG_S, CORNER_LEAST_HZ, CORNER_SHAKE_HZ, CORNER_TURN_S

FOUR: Final = 4
WAYS: Final = np.array(list(permutations(range(FOUR))))
"""Each of the 24 ways: the corner of each output."""
PAIRS: Final = np.array([[1.0, 1.0, -1.0, -1.0], [1.0, -1.0, 1.0, -1.0], [1.0, -1.0, -1.0, 1.0]]) / FOUR
"""The three ways to hold two outputs against the other two."""
ROLLS, PITCHES, YAWS = (side[WAYS] @ PAIRS.T for side in (-RIGHT, FORWARD, RIGHT * FORWARD))
"""What each pairing is in each way: 1 or -1 where it is what rolls (pitches, yaws), else 0; shape ``(24, 3)``."""
STILL: Final = 1e-3
SHRINK: Final = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Witness:
    """How surely each pairing of outputs goes with each axis of one set of channels.

    Parameters
    ----------
    quantities : tuple of Quantity
        Of roll and pitch.
    scores : ndarray, shape (3, 2) or (3, 3)
        Normal scores, by pairing and axis.
    """

    quantities: tuple[Quantity, Quantity]
    scores: Floats

    def fits(self) -> tuple[Floats, Floats, Floats]:
        """Return how well each of the 24 ways suits roll, pitch and yaw (either way round); each of shape ``(24,)``."""
        yaw = self.scores[:, 2] if self.scores.shape[1] > 2 else np.zeros(3)
        return ROLLS @ self.scores[:, 0], PITCHES @ self.scores[:, 1], np.abs(YAWS) @ np.abs(yaw)


@dataclass(frozen=True, slots=True)
class Kind:
    """One set of channels, how often it is derived to be an angular acceleration, how smooth it must be made."""

    quantities: tuple[Quantity, ...]
    order: int
    smooth_s: float
    late: bool


KINDS: Final = (
    Kind(ANGLES, 2, 0.1, late=True),
    Kind(RATE_DEMANDS, 1, 0.1, late=False),
    Kind(STICKS[:3], 1, 0.1, late=False),
    Kind(RATES, 1, 0.2, late=True),
)
"""Demands and sticks are answered at once; the aircraft follows its motors, which take some time."""


def witnesses(grid: Grid, outputs: tuple[Series, ...]) -> tuple[Witness, ...]:
    """Return what all sets of channels tell about four outputs.

    Parameters
    ----------
    grid : Grid
        The fast one.
    outputs : tuple of Series
        Four outputs or rotor speeds.
    """
    if len(outputs) != FOUR or grid.rate_hz < CORNER_LEAST_HZ.value or any(each.values.size < 2 for each in outputs):
        return ()
    paired = PAIRS @ np.array([grid.put(each) for each in outputs])
    found = []
    for kind in KINDS:
        causes = _causes(grid, kind)
        if causes is None:
            continue
        width = round(kind.smooth_s * grid.rate_hz)
        effects = np.array([smooth(each, width) for each in paired])
        lag = round(CORNER_LAG_S.value * grid.rate_hz) if kind.late else 0
        if lag:
            effects, causes = effects[:, :-lag], causes[:, lag:]
        scores = window_slopes(effects, causes, max(round(CORNER_TURN_S.value * grid.rate_hz), 12), SHRINK)
        if scores is not None:
            found.append(Witness((kind.quantities[0], kind.quantities[1]), scores))
    return tuple(found)


def _causes(grid: Grid, kind: Kind) -> Floats | None:
    """Return what a set of channels says of roll, pitch and, where it moves, yaw; None without roll and pitch."""
    series = [grid.record.get(each) for each in kind.quantities[:2]]
    if any(each is None for each in series):
        return None
    if kind.quantities is RATES and min(each.rate_hz for each in series if each is not None) < CORNER_SHAKE_HZ.value:
        return None
    found: list[Floats] = []
    for place, quantity in enumerate(kind.quantities):
        values = grid.of(quantity)
        if values is None or spread_of(values) <= STILL:
            if place < 2:
                return None
            continue
        values = smooth(values, round(kind.smooth_s * grid.rate_hz))
        for _ in range(kind.order):
            values = grid.slope(values)
        found.append(values)
    return np.array(found)


def smooth(values: Floats, width: int) -> Floats:
    """Return a mean over some steps, taken twice; NaN where a value misses.

    Parameters
    ----------
    values : ndarray, shape (n,)
    width : int
        Steps; made odd.
    """
    width |= 1
    if width < 3:
        return values
    missing = ~np.isfinite(values)
    full = np.where(missing, 0.0, values)
    for _ in range(2):
        sums = np.concatenate([[0.0], np.cumsum(np.pad(full, width // 2, mode="edge"))])
        full = (sums[width:] - sums[:-width]) / width
    if missing.any():
        near = np.convolve(missing, np.ones(2 * width - 1), mode="same") > 0.5
        full = np.where(near, np.nan, full)
    return np.asarray(full)
