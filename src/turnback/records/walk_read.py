"""What was read of a range walk, and how it was taken: the readings, and what has to be told about them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.walk import Walk


class FloorFrom(Enum):
    """How the receiver's floor is known."""

    DECLARED = "declared"
    DETECTED = "detected"
    """Many readings share the very lowest level."""
    NONE = "none"


@dataclass(frozen=True, slots=True, eq=False)
class WalkRead:
    """A range walk as it was read.

    Attributes
    ----------
    walk : Walk
        Its readings. Where nothing came at all and no floor is known, the level is not a number: whoever knows the
        receiver says below which level nothing comes.
    bearing_known : ndarray of bool, shape (n,)
        False for a spot of which only the distance is known; it is then laid due north.
    rows : tuple of str
        Where each reading stands: file and line, or the number of the spot.
    floor_dbm : float or None
    floor_share : float
        Part of the readings at that floor.
    lost : int
        Readings where nothing came.
    packets : int
        Readings at which too many packets were lost for their level to be the true one.
    other : int
        Readings of the other link or the other end, left out.
    columns : tuple of (str, str)
        How the record's columns were understood: its name, what it was taken for. Empty for spots.
    unused : tuple of str
        Columns that nobody understood.
    power_varies : bool
        The power changes within the record.
    """

    walk: Walk
    bearing_known: NDArray[np.bool_]
    rows: tuple[str, ...]
    floor_dbm: float | None
    floor_from: FloorFrom
    floor_share: float
    lost: int
    packets: int
    other: int
    columns: tuple[tuple[str, str], ...]
    unused: tuple[str, ...]
    power_varies: bool
