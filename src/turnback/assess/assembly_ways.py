"""Every way to put an aircraft together, as one array: what is wrong against the declared scheme, corner by corner.

A way is propeller direction (16) x motor direction (16) x way up (16) x motor order (24) x board mounting (8), in this
order of axes: 786,432 ways. A pattern of corners is a number whose bit c is set where corner c (in the order of
`turnback.records.bench.At`) is wrong; 0 is right everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations, permutations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.aircraft import Rotation
from turnback.records.bench import At

Ints = NDArray[np.int64]

CORNERS: Final = tuple(At)
PATTERNS: Final = 16
ALL_WRONG: Final = 15
SHAPE: Final = (PATTERNS, PATTERNS, PATTERNS, 24, 8)
"""Propeller direction, motor direction, way up, motor order, board mounting."""
COUNT: Final = int(np.prod(SHAPE))
DIAGONALS: Final = ((0, 3), (1, 2))
ORDERS: Final = tuple(permutations(range(4)))
"""``ORDERS[i][c]``: whose output corner c gets; the first is the right one."""
MOVED: Final = ((), *combinations(range(4), 2), *combinations(range(4), 3), tuple(range(4)))
"""The sets of corners that can have a wrong output; the first is none."""
MOVED_OF: Final = tuple(MOVED.index(tuple(c for c in range(4) if order[c] != c)) for order in ORDERS)
"""For each order, which corners have a wrong output (an index of `MOVED`)."""
QUARTER_TURNS: Final = (0, 1, 2, 3, 0, 1, 2, 3)
UPSIDE_DOWN: Final = (False, False, False, False, True, True, True, True)
"""Of each board mounting: quarter turns clockwise seen from above, and whether it is upside down."""


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """Some ways, as arrays; directions are +1 clockwise and -1 anticlockwise seen from above.

    Attributes
    ----------
    propeller, motor : ndarray
        Shape ``(n, 4)``: direction in which a propeller lifts, and in which a motor turns.
    upside_down : ndarray of bool
        Shape ``(n, 4)``.
    order : ndarray
        Shape ``(n, 4)``: whose output a corner gets.
    turns : ndarray
        Shape ``(n,)``: quarter turns of the board, clockwise seen from above.
    flipped : ndarray of bool
        Shape ``(n,)``: board upside down.
    """

    propeller: NDArray[np.int8]
    upside_down: NDArray[np.bool_]
    motor: NDArray[np.int8]
    order: NDArray[np.int8]
    turns: NDArray[np.int8]
    flipped: NDArray[np.bool_]


def scheme(front_left: Rotation) -> NDArray[np.int8]:
    """Return the declared direction of each corner, shape ``(4,)``: diagonal corners turn the same way."""
    first = 1 if front_left is Rotation.CLOCKWISE else -1
    return np.array([first, -first, -first, first], dtype=np.int8)


def ways(index: Ints, front_left: Rotation) -> Ways:
    """Return ways by their index, 0 to `COUNT`; 0 is put together right.

    Parameters
    ----------
    index : ndarray of int
        Shape ``(n,)``, into the flattened `SHAPE`.
    front_left : Rotation
        The declared scheme.
    """
    propeller, motor, face, order, board = np.unravel_index(index, SHAPE)
    declared = scheme(front_left)
    return Ways(
        propeller=np.where(wrong_corners()[propeller], -declared, declared).astype(np.int8),
        upside_down=wrong_corners()[face],
        motor=np.where(wrong_corners()[motor], -declared, declared).astype(np.int8),
        order=np.array(ORDERS, dtype=np.int8)[order],
        turns=np.array(QUARTER_TURNS, dtype=np.int8)[board],
        flipped=np.array(UPSIDE_DOWN)[board],
    )


@cache
def wrong_corners() -> NDArray[np.bool_]:
    """Return which corners are wrong in each pattern, shape ``(16, 4)``."""
    return (np.arange(PATTERNS)[:, None] >> np.arange(4) & 1).astype(np.bool_)


def at_corners(pattern: int) -> tuple[At, ...]:
    """Return the wrong corners of a pattern."""
    return tuple(corner for place, corner in enumerate(CORNERS) if pattern >> place & 1)


def pattern_of(corners: tuple[int, ...]) -> int:
    """Return the pattern in which these corners, by their place in `At`, are wrong."""
    return sum(1 << corner for corner in corners)
