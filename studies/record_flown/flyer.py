"""Fly one design; the log has a row a millisecond."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from studies.record_flown import columns as at
from studies.record_flown.design import Design
from studies.record_flown.loop import fly

AFTER_S = 45.0
"""How long a flight may last beyond its plan: an automatic return takes longer."""


@dataclass(frozen=True, slots=True, eq=False)
class Flight:
    """One flight flown.

    Parameters
    ----------
    design : Design
    log : ndarray, shape (n, columns.WIDTH)
        Row i is at i milliseconds.
    """

    design: Design
    log: NDArray[np.float32]

    @property
    def t_s(self) -> NDArray[np.float64]:
        """Times of the rows."""
        return np.arange(len(self.log), dtype=np.float64) * 1e-3


def fly_one(design: Design) -> Flight:
    """Fly one design."""
    rows = int((design.plan.end + AFTER_S) * 1000)
    rng = np.random.default_rng([design.seed, 11])
    noise = rng.standard_normal((rows, 14), dtype=np.float32)
    log = np.zeros((rows, at.WIDTH), np.float32)
    done = fly(design.craft, design.plan, design.faults, noise, log)
    return Flight(design, log[:done])
