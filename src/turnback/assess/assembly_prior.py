"""How likely each way to put an aircraft together is before anything was seen: independent errors, from rules/bench.py.

An error turns the correctness of some corners around; two that meet at a corner cancel. The pattern of corners that
independent errors leave is the convolution of theirs over "either, not both".
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from turnback.assess.assembly_ways import ALL_WRONG, DIAGONALS, MOVED, MOVED_OF, ORDERS, PATTERNS, pattern_of
from turnback.rules import bench as rules

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Prior:
    """The prior by its independent parts; their product is the prior of a way, given that nothing else is wrong.

    Attributes
    ----------
    turning : ndarray
        Shape ``(16, 16)``: propeller directions by motor directions, together, for the scheme may hold both.
    face : ndarray
        Shape ``(16,)``.
    order : ndarray
        Shape ``(24,)``.
    board : ndarray
        Shape ``(8,)``.
    something_else : float
        Chance that it is put together right and something else is wrong.
    """

    turning: Floats
    face: Floats
    order: Floats
    board: Floats
    something_else: float


@cache
def prior() -> Prior:
    """Return the prior of the rules; every part adds up to one."""
    propeller = _together(
        *_each(rules.PROPELLER_ONE, range(4)),
        *_pairs(rules.PROPELLER_PAIR, diagonal=False),
        *_pairs(rules.PROPELLER_DIAGONAL, diagonal=True),
        (rules.PROPELLER_ALL, ALL_WRONG),
    )
    motor = _together(*_each(rules.MOTOR_ONE, range(4)), (rules.MOTOR_ALL, ALL_WRONG))
    face = _together(*_each(rules.UPSIDE_DOWN_ONE, range(4)), (rules.UPSIDE_DOWN_ALL, ALL_WRONG))
    plain, other = np.outer(propeller, motor), np.outer(propeller[::-1], motor[::-1])
    scheme = rules.SCHEME.value
    return Prior(
        turning=(1.0 - scheme) * plain + scheme * other,
        face=face,
        order=_orders(),
        board=_boards(),
        something_else=rules.SOMETHING_ELSE.value,
    )


def _each(row: rules.Row, corners: range) -> list[tuple[rules.Row, int]]:
    return [(row, pattern_of((corner,))) for corner in corners]


def _pairs(row: rules.Row, *, diagonal: bool) -> list[tuple[rules.Row, int]]:
    pairs = [pair for pair in MOVED if len(pair) == 2 and (pair in DIAGONALS) is diagonal]
    return [(row, pattern_of(pair)) for pair in pairs]


def _together(*errors: tuple[rules.Row, int]) -> Floats:
    """Return the chance of every pattern, shape ``(16,)``, where errors come independently."""
    chance = np.zeros(PATTERNS)
    chance[0] = 1.0
    for row, pattern in errors:
        chance = (1.0 - row.value) * chance + row.value * chance[np.arange(PATTERNS) ^ pattern]
    return chance


def _orders() -> Floats:
    chance = np.full(len(ORDERS), rules.ORDER_OTHER.value)
    for place, order in enumerate(ORDERS):
        moved = len(MOVED[MOVED_OF[place]])
        if moved == 2:
            chance[place] = rules.ORDER_TWO.value
        elif moved == 4 and all(order[order[corner]] == corner for corner in order):
            chance[place] = rules.ORDER_TWICE.value
    chance[0] = 1.0 - chance[1:].sum()
    return chance


def _boards() -> Floats:
    turned, over = rules.BOARD_TURNED.value, rules.BOARD_UPSIDE_DOWN.value
    turns = np.array([1.0 - 3.0 * turned, turned, turned, turned])
    return np.concatenate([(1.0 - over) * turns, over * turns])
