"""What the signs of one record say together, beyond what each says alone: weights fitted in flown cases.

A noisy-OR takes signs for independent where a cause is given. Many signs of one record are not: a link that fades
shows in five of them, and a motor that stops in ten. The weights here are fitted jointly (a softmax over the causes
flown, with every sign at once), so what two signs share counts once. They move the odds of the causes before the signs
are looked at one by one (decision 0020). ``study_together.csv`` is written by ``python -m studies.debrief_flown.run``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.knowledge.look_alikes import Kit, look_alikes

Floats = NDArray[np.float64]

FILE: Final = Path(__file__).parent / "study_together.csv"
NOTHING_WRONG: Final = "nothing-wrong"
"""Key of the column for flights in which nothing was wrong."""
TENTHS: Final = 10.0
"""Weights are written in tenths of a deciban."""


@dataclass(frozen=True, slots=True, eq=False)
class Together:
    """Weights of signs for causes, fitted together.

    Parameters
    ----------
    signs, causes : tuple of str
        Keys of the book; causes that were flown, and `NOTHING_WRONG`.
    decibans : ndarray
        Shape ``(signs, causes)``: what a sign that is surely seen adds for a cause, and surely not seen takes; only
        differences between causes mean anything.
    like : mapping of str to tuple of str
        Causes that were not flown, each with flown ones that such a record cannot tell from it.
    """

    signs: tuple[str, ...]
    causes: tuple[str, ...]
    decibans: Floats
    like: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def of(self, kit: Kit, keys: Iterable[str]) -> Together:
        """Return the same, for records with these channels and for all causes of a book.

        Parameters
        ----------
        kit : Kit
        keys : iterable of str
            Of the causes.
        """
        flown = set(self.causes)
        like = {
            key: tuple(one for one in look_alikes(key, kit, has_plan=True) if one in flown)
            for key in keys
            if key not in flown
        }
        return replace(self, like={key: found for key, found in like.items() if found})

    def weighed(self, told: Mapping[str, float], keys: Sequence[str]) -> Floats:
        """Return what each sign adds for each cause.

        A cause that was not flown stands or falls with the flown one that is like it and gains most; without such a
        one, nothing is added.

        Parameters
        ----------
        told : mapping of str to float
            By sign: 1 where it is surely seen, -1 where surely not, 0 where nobody can say.
        keys : sequence of str
            Of causes, or `NOTHING_WRONG`.

        Returns
        -------
        ndarray
            Shape ``(told, keys)``, decibans.
        """
        row_of = {sign: row for row, sign in enumerate(self.signs)}
        rows = np.zeros((len(told), len(self.causes) + 1))  # the last stands for causes of which nothing is known
        for place, (sign, surely) in enumerate(told.items()):
            if sign in row_of:
                rows[place, :-1] = surely * self.decibans[row_of[sign]]
        total = rows.sum(axis=0)
        column_of = {cause: column for column, cause in enumerate(self.causes)}

        def column(key: str) -> int:
            like = (column_of[one] for one in self.like.get(key, ()))
            return column_of[key] if key in column_of else max(like, key=lambda one: float(total[one]), default=-1)

        found: Floats = rows[:, [column(key) for key in keys]]
        return found


def read_together(text: str) -> Together:
    """Return the weights that a table holds.

    Parameters
    ----------
    text : str
        Comma-separated: a head of ``sign`` and the causes, then one row per sign, in tenths of a deciban.
    """
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    causes = tuple(lines[0].split(",")[1:])
    cells = [line.split(",") for line in lines[1:]]
    numbers = np.array([row[1:] for row in cells], dtype=np.float64).reshape(len(cells), len(causes))
    return Together(tuple(row[0] for row in cells), causes, numbers / TENTHS)


@cache
def bundled_together() -> Together | None:
    """Return the weights beside this module; None where none were made."""
    return read_together(FILE.read_text(encoding="utf-8")) if FILE.exists() else None
