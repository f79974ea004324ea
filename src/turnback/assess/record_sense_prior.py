"""How the directions of a record's channels usually hang together: the usual sets of axes, as a prior.

A record that is at odds with a set in one channel is common, one that is at odds in all channels of one axis at once is
rare. So no direction is settled by the prior alone, and not by two channels that agree with each other; three that
agree with a usual set are.
"""

from __future__ import annotations

from functools import reduce
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.channel import ACCELERATIONS, Quantity

Floats = NDArray[np.float64]
Axis = tuple[Quantity, ...]
ROLL_AXIS: Final = (
    Quantity.ROLL_RATE, Quantity.ROLL_RATE_DEMAND, Quantity.ROLL_STICK, Quantity.ROLL, Quantity.ROLL_DEMAND,
    Quantity.ACCELERATION_Y,
)  # fmt: skip
PITCH_AXIS: Final = (
    Quantity.PITCH_RATE, Quantity.PITCH_RATE_DEMAND, Quantity.PITCH_STICK, Quantity.PITCH, Quantity.PITCH_DEMAND,
    Quantity.ACCELERATION_X,
)  # fmt: skip
YAW_AXIS: Final = (Quantity.YAW_RATE, Quantity.YAW_RATE_DEMAND, Quantity.YAW_STICK, Quantity.HEADING)
UPRIGHT_AXIS: Final = (Quantity.ACCELERATION_Z,)
AXES: Final[tuple[Axis, ...]] = (ROLL_AXIS, PITCH_AXIS, YAW_AXIS, UPRIGHT_AXIS)
PITCH_TURNS: Final = frozenset({Quantity.PITCH_RATE, Quantity.PITCH_RATE_DEMAND, Quantity.PITCH, Quantity.PITCH_DEMAND})
YAW_TURNS: Final = frozenset({Quantity.YAW_RATE, Quantity.YAW_RATE_DEMAND})
LEFT_UP: Final = PITCH_TURNS | YAW_TURNS | {Quantity.ACCELERATION_Y, Quantity.ACCELERATION_Z}
STICKS_TOO: Final = frozenset({Quantity.PITCH_STICK, Quantity.YAW_STICK})
GRAVITY: Final = frozenset(ACCELERATIONS)
HALF_TURN: Final = frozenset(
    {Quantity.ROLL_RATE, Quantity.PITCH_RATE, Quantity.ACCELERATION_X, Quantity.ACCELERATION_Y}
)
SETS: Final[tuple[tuple[float, frozenset[Quantity]], ...]] = (
    (0.61, frozenset()),  # forward, right, down; specific force
    (0.10, LEFT_UP),  # forward, left, up
    (0.10, LEFT_UP | STICKS_TOO),
    (0.085, GRAVITY),  # gravity instead of specific force
    (0.005, LEFT_UP ^ GRAVITY),
    (0.005, (LEFT_UP | STICKS_TOO) ^ GRAVITY),
    (0.04, PITCH_TURNS | {Quantity.PITCH_STICK}),  # nose down counts positive
    (0.02, PITCH_TURNS),
    (0.03, YAW_TURNS | {Quantity.YAW_STICK}),  # turns to the left count positive
    (0.005, HALF_TURN),  # a sensor that is mounted half a turn round
)
"""How usual each set is (our own guess, weak on purpose), and what counts the other way round in it."""
ODD_ONE: Final = 0.2
"""Chance that one channel is not as in its set."""
ODD_OF: Final = {Quantity.HEADING: 0.07, Quantity.PITCH_STICK: 0.4}
ODD_AXIS: Final = 0.005
"""Chance that all channels of one axis are not as in their set."""


def log_prior(quantities: tuple[Quantity, ...]) -> Floats:
    """Return the log chance of each way in which channels can count; along each axis first as is, then turned.

    Parameters
    ----------
    quantities : tuple of Quantity
        In the order of the result's axes, at most 17.

    Returns
    -------
    ndarray, shape (2, ..., 2)
    """
    members = [tuple(each for each in axis if each in quantities) for axis in AXES]
    order = [each for axis in members for each in axis]
    prior = np.zeros((2,) * len(order))
    for chance, turned in SETS:
        parts = [_of_axis(axis, turned) for axis in members]
        prior += chance * reduce(np.multiply.outer, parts)
    return np.log(np.transpose(prior, [order.index(each) for each in quantities]))


def _of_axis(axis: Axis, turned: frozenset[Quantity]) -> Floats:
    """Return the chance of each way in which the channels of one axis can count, within one set."""
    usual, other = np.ones(()), np.ones(())
    for quantity in axis:
        odd = ODD_OF.get(quantity, ODD_ONE)
        as_is = np.array([odd, 1.0 - odd] if quantity in turned else [1.0 - odd, odd])
        usual, other = np.multiply.outer(usual, as_is), np.multiply.outer(other, as_is[::-1])
    return np.asarray((1.0 - ODD_AXIS) * usual + ODD_AXIS * other)
