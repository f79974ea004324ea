"""Spans of time in which something holds, in seconds of a flight's log."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Flags = NDArray[np.bool_]


def spans(holds: Flags, least_s: float = 0.0) -> list[tuple[float, float]]:
    """Return where a flag holds, as spans in seconds, of a log with a row a millisecond."""
    edges = np.flatnonzero(np.diff(holds.astype(np.int8), prepend=0, append=0)).reshape(-1, 2)
    return [(a * 1e-3, b * 1e-3) for a, b in edges if (b - a) * 1e-3 >= least_s]


def joined(found: list[tuple[float, float]], least_s: float) -> list[tuple[float, float]]:
    """Return spans with those that lie nearer to one another than `least_s` made one."""
    whole: list[tuple[float, float]] = []
    for a, b in found:
        if whole and a - whole[-1][1] < least_s:
            whole[-1] = (whole[-1][0], b)
        else:
            whole.append((a, b))
    return whole


def wide(found: list[tuple[float, float]], before_s: float, after_s: float) -> list[tuple[float, float]]:
    """Return spans made longer at both ends."""
    return [(a - before_s, b + after_s) for a, b in found]
