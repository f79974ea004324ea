"""How every way of putting an aircraft together flies, for every thrust margin and reverse thrust it may have.

That depends on nothing that is seen, so it is worked out once and kept beside this module (``assembly_table.npz``, made
by ``tools/assembly_table.py``; a test holds it against `made`). The rotation scheme does not matter to it: the other
scheme is the same aircraft in a mirror that turns every yaw around, which changes neither where it tips nor whether it
is stable.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import product
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.assembly_flown import KINDS as FLOWN_KINDS
from turnback.assess.assembly_flown import TOWARDS, FlownKind, flown
from turnback.assess.assembly_signs import AROUND, KINDS, NOWHERE
from turnback.assess.assembly_ways import COUNT, scheme, ways
from turnback.records.aircraft import Rotation
from turnback.records.bench import Saw
from turnback.rules import bench as rules

KEPT: Final = "assembly_table.npz"
CHUNK: Final = 1 << 16
SEEN_AS: Final = {
    FlownKind.HOLDS: Saw.HOVERS_WELL,
    FlownKind.FLIPS_AT_ONCE: Saw.FLIPS_AT_ONCE,
    FlownKind.LIFTS_THEN_FLIPS: Saw.LIFTS_THEN_FLIPS,
    FlownKind.SPINS: Saw.SPINS,
    FlownKind.STAYS_DOWN: Saw.STAYS_DOWN,
}


@dataclass(frozen=True, slots=True, eq=False)
class FlownTable:
    """How ways fly.

    Attributes
    ----------
    row : ndarray of int
        Shape ``(786432,)``: for every way its row of `flown`; few different rows are there.
    flown : ndarray of int
        Shape ``(rows, margins)``: what it does and where it tips toward, as one index into a likelihood of shape
        ``(5 kinds, 9 sides)``.
    share : ndarray
        Shape ``(margins,)``: how likely each pair of thrust margin and reverse thrust is; adds up to one.
    """

    row: NDArray[np.uint16]
    flown: NDArray[np.uint8]
    share: NDArray[np.float64]


def margins() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the pairs of thrust margin and reverse thrust, shape ``(margins, 2)``, and how likely each is."""
    margin, reverse = rules.THRUST_MARGIN.values, rules.REVERSE_SHARE.values
    pairs = np.array([(float(a), float(b)) for a, b in product(margin, reverse)])
    share = np.outer(list(margin.values()), list(reverse.values())).ravel()
    return pairs, share / share.sum()


@cache
def flown_table() -> FlownTable:
    """Return the table as it is kept, or made anew where the rules carry other margins than it was made for."""
    pairs, share = margins()
    kept = resources.files("turnback.assess").joinpath(KEPT)
    with kept.open("rb") as file, np.load(file) as arrays:
        if np.array_equal(arrays["pairs"], pairs):
            return FlownTable(arrays["row"], arrays["flown"], share)
    return made()


def made() -> FlownTable:
    """Work the table out: half a minute, and the same bytes each time."""
    pairs, share = margins()
    every = np.column_stack([flown_index(np.arange(COUNT), *pair) for pair in pairs])
    different, row = np.unique(every, axis=0, return_inverse=True)
    return FlownTable(row.ravel().astype(np.uint16), different, share)


def flown_index(
    index: NDArray[np.int64], thrust_margin: float, reverse_share: float, front_left: Rotation = Rotation.CLOCKWISE
) -> NDArray[np.uint8]:
    """Return what ways do and where they tip toward, as one number, shape ``(n,)``."""
    found = np.empty(len(index), dtype=np.uint8)
    for start in range(0, len(index), CHUNK):
        part = slice(start, start + CHUNK)
        these: Any = ways(index[part], front_left)
        done = flown(these, scheme(front_left), thrust_margin, reverse_share)
        found[part] = _KIND[done.kind] * (NOWHERE + 1) + _SIDE[done.toward]
    return found


_KIND: Final = np.array([KINDS.index(SEEN_AS[kind]) for kind in FLOWN_KINDS], dtype=np.uint8)
_SIDE: Final = np.array([AROUND.index(side) if side in AROUND else NOWHERE for side in TOWARDS], dtype=np.uint8)
