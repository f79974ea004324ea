"""How far a single reading may lie from where its place puts it: heavy tails, and readings that met the floor.

A reading is off by more than a normal distribution grants whenever a person stands in the way, the aircraft is turned
over, or a row of the record is wrong. Student's distribution with four degrees of freedom lets such a reading lie where
it lies, instead of pulling all others towards it; with four its distribution function is a plain formula.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MATCH: Final = 2.131846786 / 1.644853627
"""Student (4) over normal, 95 % quantiles: a scale of sigma / MATCH holds nine readings of ten within 1.645 sigma."""
INFORMATION: Final = 5.0 / 7.0 * MATCH**2
"""What one reading tells of a level over what a normal one of that sigma tells: (dof + 1) / (dof + 3) / scale²."""
_LOG_TOP: Final = math.log(3.0 / 8.0)  # the density at nought


@dataclass(frozen=True, slots=True)
class Terms:
    """Of each reading, in units of its scale: log-likelihood, its slope and bend in the level, and a safe bend.

    `bend` is minus the second derivative, and may be negative far out. `safe` is a bend that bounds the function from
    below everywhere (a majorising parabola touches it), so that steps made with it never lose.
    """

    log: Array
    slope: Array
    bend: Array
    safe: Array


@dataclass(frozen=True, slots=True)
class Tail:
    """A law of errors: terms of readings, by how far they lie above the level; and of readings known only to lie above.

    `match` is sigma over the law's own scale.
    """

    seen: Callable[[Array], Terms]
    above: Callable[[Array], Terms]
    match: float


def student_seen(z: Array) -> Terms:
    """Return the terms of Student's density, four degrees of freedom, ``3/8 (1 + z²/4)^(-5/2)``."""
    square = z * z
    wide = 4.0 + square
    weight = 5.0 / wide
    log = _LOG_TOP - 2.5 * np.log1p(0.25 * square)
    return Terms(log, weight * z, weight * (4.0 - square) / wide, weight)


def student_above(z: Array) -> Terms:
    """Return the terms of the chance that an error lies above `z`, Student's distribution of four degrees of freedom.

    With ``u = z / sqrt(4 + z²)`` the chance is ``(1 - u)² (2 + u) / 4``: the integral of the density, without the loss
    of digits far out. The safe bend is the greatest bend of the density's own logarithm: what is not seen can only take
    from it.
    """
    root = np.sqrt(4.0 + z * z)
    # 1 - u = 4 / (root (root + z)): for z far below nought root + z loses its digits, and 1 - u is 2 there.
    rest = np.where(z > 0.0, 4.0 / (root * (root + np.abs(z))), 1.0 - z / root)
    chance = 0.25 * rest * rest * (3.0 - rest)
    density = 0.375 * (2.0 / root) ** 5
    hazard = density / chance
    return Terms(np.log(chance), hazard, hazard * (hazard - 5.0 * z / (root * root)), np.full_like(z, 1.25))


STUDENT: Final = Tail(student_seen, student_above, MATCH)
