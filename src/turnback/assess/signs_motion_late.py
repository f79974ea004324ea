"""How late it turns as it is asked while it swings: slow gains and its own levelling drive each other then."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis, rolling_rms
from turnback.assess.signals import rows_between
from turnback.rules.record_signs_motion import ASKS_MUCH, SWINGS_ALIKE

Floats = NDArray[np.float64]
FRAME_HZ: Final = 50.0
OVER_S: Final = 1.5
LEAST_S: Final = 2.0
MOST_S: Final = 0.6
ASKS_FAINTLY: Final = 0.5
"""Alike enough for the second axis, which swings less."""


def swings_late(axes: list[Axis], start_s: float, end_s: float) -> float | None:
    """Return by how much roll and pitch rate lag behind what is asked, wherever much is asked; None if they do not.

    The lag at which demand and rate are most alike. Rates that nothing steers any more are like no demand, however
    late; those of a loop that is set too slow are like it to a few hundredths.

    Parameters
    ----------
    axes : list of Axis
        With demands.
    start_s, end_s : float
        From when to when.

    Returns
    -------
    float or None
        Mean of the axes, s.
    """
    found = [each for axis in axes if (each := _lag(axis, start_s, end_s)) is not None]
    if not found or max(alike for _, alike in found) < SWINGS_ALIKE.value:
        return None
    if min(alike for _, alike in found) < ASKS_FAINTLY:
        return None
    return float(np.mean([lag_s for lag_s, _ in found]))


def _lag(axis: Axis, start_s: float, end_s: float) -> tuple[float, float] | None:
    """Return the lag of the best likeness, and the likeness; None where too little is asked."""
    rows = rows_between(axis.t_s, start_s, end_s)
    few = max(1, round(axis.rate.rate_hz / FRAME_HZ))
    frame_hz = axis.rate.rate_hz / few
    asked, turned = (_thinned(each[rows], few) for each in (np.asarray(axis.demand), axis.rate.values))
    width = round(OVER_S * frame_hz)
    if asked.size < width + LEAST_S * frame_hz:
        return None
    much = rolling_rms(np.roll(asked, -(width // 2)), width) > ASKS_MUCH.value
    if np.count_nonzero(much) < LEAST_S * frame_hz:
        return None
    best = (0.0, -1.0)
    for shift in range(round(MOST_S * frame_hz)):
        keep = much[: asked.size - shift]
        first, second = asked[: asked.size - shift][keep], turned[shift:][keep]
        if first.size < LEAST_S * frame_hz or min(float(first.std()), float(second.std())) < 1e-6:
            continue
        alike = float(np.corrcoef(first, second)[0, 1])
        if alike > best[1]:
            best = (shift / frame_hz, alike)
    return best


def _thinned(values: NDArray[np.floating], few: int) -> Floats:
    count = values.size // few
    return np.asarray(values[: count * few].reshape(count, few).mean(axis=1), np.float64)
