"""A mark for each step: which kind of phase it is in, and which threshold told."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from turnback.records.happened import PhaseKind
from turnback.rules.rule import Threshold


@dataclass(slots=True, eq=False)
class Marks:
    """Marks of all steps.

    Parameters
    ----------
    place : ndarray of int8, shape (n,)
        Place in `known`, from 1; 0 where not marked yet.
    known : list of (PhaseKind, Threshold)
    """

    place: NDArray[np.int8]
    known: list[tuple[PhaseKind, Threshold]]

    def mark(self, steps: slice | NDArray[np.bool_], kind: PhaseKind, rule: Threshold) -> None:
        """Mark steps, over what they were."""
        if (kind, rule) not in self.known:
            self.known.append((kind, rule))
        self.place[steps] = self.known.index((kind, rule)) + 1

    def kind_at(self, step: int) -> PhaseKind:
        """Return what a step is marked as."""
        return self.known[int(self.place[step]) - 1][0]

    def pieces(self) -> list[tuple[PhaseKind, Threshold, int, int]]:
        """Return pieces of one kind: kind, threshold of its greater part, first step, step after the last."""
        cuts = np.flatnonzero(np.diff(self.place)) + 1
        edges = [0, *(int(cut) for cut in cuts), self.place.size]
        made: list[tuple[PhaseKind, Threshold, int, int]] = []
        longest = 0
        for first, after in pairwise(edges):
            kind, rule = self.known[self.place[first] - 1]
            if made and made[-1][0] is kind:
                before = made[-1]
                made[-1] = (kind, rule if after - first > longest else before[1], before[2], after)
                longest = max(longest, after - first)
            else:
                made.append((kind, rule, first, after))
                longest = after - first
        return made
