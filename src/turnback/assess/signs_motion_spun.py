"""What is left to read of a flight in which it spins like a top: what came before."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from turnback.assess.signals import rows_between
from turnback.assess.signs_outputs_flight import Seen
from turnback.records.happened import EventKind
from turnback.rules.record_signs_motion import SPINS

LEAST_S: Final = 1.0


def spins_s(seen: Seen) -> float:
    """Return when it begins to spin about its upright axis, unasked and to one side; infinity where it does not."""
    yaw = seen.axes.get("yaw")
    if yaw is None:
        return float("inf")
    for event in seen.events(EventKind.RATE_RUN_AWAY, until_s=seen.ended_s):
        end_s = min(event.end_s, seen.ended_s)
        part = yaw.rate.values[rows_between(yaw.t_s, event.start_s, end_s)]
        if event.words.get("axis") != "yaw" or end_s - event.start_s < LEAST_S or not part.size:
            continue
        if abs(float(np.mean(part, dtype=np.float64))) >= SPINS.value:  # of a sensor that is shaken it is nothing
            return event.start_s
    return float("inf")


def before_spin(seen: Seen) -> Seen:
    """Return what is seen until it spins: a turning body swings across its axis by itself, and the loop fights that.

    Parameters
    ----------
    seen : Seen

    Returns
    -------
    Seen
        Failed and broken when the spin begins, if not before. However long it spins on, what its rates and outputs do
        meanwhile are consequences.
    """
    start_s = spins_s(seen)
    if start_s >= seen.failed_s and start_s >= seen.broke_s:
        return seen
    return replace(seen, failed_s=min(seen.failed_s, start_s), broke_s=min(seen.broke_s, start_s))
