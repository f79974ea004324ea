"""What is believed of how an aircraft is put together: Bayes' rule over every way, exact, nothing left out.

The chance of a way after what was seen is its prior times how well its flight fits times how well its parts fit. Thrust
margin and reverse thrust are not known: a way's flight fits as the mean over them, by their shares.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.assembly_prior import Prior, prior
from turnback.assess.assembly_signs import Likelihood
from turnback.assess.assembly_table import FlownTable, flown_table
from turnback.assess.assembly_ways import (
    ALL_WRONG,
    MOVED,
    MOVED_OF,
    PATTERNS,
    QUARTER_TURNS,
    SHAPE,
    UPSIDE_DOWN,
    at_corners,
    pattern_of,
)
from turnback.records.bench import At, Slip, SlipFound, SlipSet
from turnback.rules import bench as rules

Floats = NDArray[np.float64]

SETS: Final = 10
_BY_MOVED: Final = np.argsort(MOVED_OF, kind="stable")
_STARTS: Final = np.searchsorted(np.array(MOVED_OF)[_BY_MOVED], np.arange(len(MOVED)))
_TOLD_SHAPE: Final = (*SHAPE[:3], len(MOVED), SHAPE[4])

_Name = tuple[Slip, tuple[At, ...], int]
"""An error, its corners, and the quarter turns of a turned board."""


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """The belief. `way` and the four parts leave something else out, and with it add up to one.

    Attributes
    ----------
    way : ndarray
        Shape `turnback.assess.assembly_ways.SHAPE`.
    turning : ndarray
        Shape ``(16, 16)``: propeller directions by motor directions.
    face, order, board : ndarray
        Shapes ``(16,)``, ``(24,)``, ``(8,)``.
    something_else : float
    fit : float
        How well the best of all ways fits, against what its like shows best (1).
    """

    way: Floats
    turning: Floats
    face: Floats
    order: Floats
    board: Floats
    something_else: float
    fit: float

    @property
    def right(self) -> float:
        """Chance that it is put together right and nothing else is wrong."""
        return float(self.way.flat[0])

    @property
    def surprised(self) -> bool:
        """True where what was seen fits no way of putting it together."""
        return self.something_else >= rules.SURPRISED_CHANCE.value or self.fit <= rules.SURPRISED_FIT.value


def believe(like: Likelihood, before: Prior | None = None, table: FlownTable | None = None) -> Posterior:
    """Return the belief after what was seen.

    Parameters
    ----------
    like : Likelihood
    before : Prior, optional
        That of the rules where none is given.
    table : FlownTable, optional
        How each way flies.
    """
    before = before or prior()
    table = table or flown_table()
    flies = (like.flight.ravel()[table.flown] @ table.share)[table.row].reshape(-1, SHAPE[3] * SHAPE[4])
    turning = like.propeller[:, None] * like.motor
    front = np.multiply.outer(turning, like.face).reshape(-1, 1)
    back = np.multiply.outer(like.order, like.board).reshape(1, -1)
    fits = flies * front * back
    best = float(fits.max())
    fits *= np.multiply.outer(before.turning, before.face).reshape(-1, 1) * (1.0 - before.something_else)
    fits *= np.multiply.outer(before.order, before.board).reshape(1, -1)
    something_else = before.something_else * like.something_else
    whole = float(fits.sum()) + something_else
    fits /= whole
    first, last = fits.sum(axis=1).reshape(SHAPE[:3]), fits.sum(axis=0).reshape(SHAPE[3:])
    return Posterior(
        way=fits.reshape(SHAPE),
        turning=first.sum(axis=2),
        face=first.sum(axis=(0, 1)),
        order=last.sum(axis=1),
        board=last.sum(axis=0),
        something_else=something_else / whole,
        fit=best / like.expected,
    )


def slips(posterior: Posterior) -> tuple[SlipFound, ...]:
    """Return every error worth naming, with its chance alone or beside others, most likely first."""
    found = [SlipFound(*name, chance) for name, chance in _alone_or_beside(posterior).items()]
    found = [each for each in found if each.chance >= rules.SHOWN_CHANCE.value]
    return tuple(sorted(found, key=lambda each: -each.chance))


def sets(posterior: Posterior) -> tuple[SlipSet, ...]:
    """Return the likeliest errors that are there together and no other, most likely first, at most 10."""
    chance_of = _alone_or_beside(posterior)
    told = np.add.reduceat(posterior.way[:, :, :, _BY_MOVED], _STARTS, axis=3).ravel()
    likeliest = np.sort(np.argpartition(told, -SETS)[-SETS:])
    found = [(_named(int(place)), float(told[place])) for place in likeliest]
    found.append((((Slip.SOMETHING_ELSE, (), 0),), posterior.something_else))
    found.sort(key=lambda each: -each[1])
    return tuple(
        SlipSet(tuple(SlipFound(*name, chance_of[name]) for name in names), chance) for names, chance in found[:SETS]
    )


def survivors(likeliest: tuple[SlipSet, ...]) -> tuple[SlipSet, ...]:
    """Return those of the likeliest sets that the signs do not separate from the first, it among them."""
    least = likeliest[0].chance * rules.SURVIVES_RATIO.value
    return tuple(each for each in likeliest if each.chance > least)


def _alone_or_beside(posterior: Posterior) -> dict[_Name, float]:
    turning, order = posterior.turning, np.add.reduceat(posterior.order[_BY_MOVED], _STARTS)
    scheme = float(turning[ALL_WRONG, ALL_WRONG])
    propeller, motor = turning.sum(axis=1), turning.sum(axis=0)
    propeller[ALL_WRONG] -= scheme
    motor[ALL_WRONG] -= scheme
    board = posterior.board.reshape(2, 4)
    found: dict[_Name, float] = {}
    for slip, chance in (
        (Slip.PROPELLER_DIRECTION, propeller),
        (Slip.MOTOR_DIRECTION, motor),
        (Slip.PROPELLER_UPSIDE_DOWN, posterior.face),
    ):
        found |= {(slip, at_corners(pattern), 0): float(chance[pattern]) for pattern in range(1, PATTERNS)}
    found |= {(Slip.ORDER, _moved(place), 0): float(order[place]) for place in range(1, len(MOVED))}
    found |= {(Slip.BOARD_TURNED, (), turn): float(board[:, turn].sum()) for turn in (1, 2, 3)}
    found[Slip.BOARD_UPSIDE_DOWN, (), 0] = float(board[1].sum())
    found[Slip.SCHEME, (), 0] = scheme
    found[Slip.SOMETHING_ELSE, (), 0] = posterior.something_else
    return found


def _named(place: int) -> tuple[_Name, ...]:
    propeller, motor, face, moved, board = (int(each) for each in np.unravel_index(place, _TOLD_SHAPE))
    whole_scheme = propeller == motor == ALL_WRONG
    found: tuple[tuple[bool, _Name], ...] = (
        (whole_scheme, (Slip.SCHEME, (), 0)),
        (propeller > 0 and not whole_scheme, (Slip.PROPELLER_DIRECTION, at_corners(propeller), 0)),
        (motor > 0 and not whole_scheme, (Slip.MOTOR_DIRECTION, at_corners(motor), 0)),
        (face > 0, (Slip.PROPELLER_UPSIDE_DOWN, at_corners(face), 0)),
        (moved > 0, (Slip.ORDER, _moved(moved), 0)),
        (QUARTER_TURNS[board] > 0, (Slip.BOARD_TURNED, (), QUARTER_TURNS[board])),
        (UPSIDE_DOWN[board], (Slip.BOARD_UPSIDE_DOWN, (), 0)),
    )
    return tuple(name for there, name in found if there)


def _moved(place: int) -> tuple[At, ...]:
    return at_corners(pattern_of(MOVED[place]))
