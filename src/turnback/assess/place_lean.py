"""How an aircraft that holds its place leans: into the wind."""

from __future__ import annotations

import numpy as np

from turnback.assess.signals import held_at, rows_between
from turnback.records.channel import Quantity
from turnback.records.happened import Flown, PhaseKind

_STEPS = 400
_LEAST_S = 3.0


def lean_in_hover(flown: Flown) -> dict[str, float]:
    """Return ``lean_rad`` and ``lean_from_rad`` (the side it leans to, where wind comes from) over hovers.

    A hover turned about the upright axis keeps its lean into the wind while roll and pitch change places.
    """
    angles = [flown.record.get(each) for each in (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING)]
    hovers = [phase for phase in flown.phases if phase.kind is PhaseKind.HOVER]
    if any(each is None or not each.t_s.size for each in angles) or not hovers:
        return {}
    north, east = [], []
    for phase in hovers:
        if phase.end_s - phase.start_s < _LEAST_S:
            continue
        first = angles[0]
        if first is None or not first.t_s[rows_between(first.t_s, phase.start_s, phase.end_s)].size:
            continue
        at_s = np.linspace(phase.start_s, phase.end_s, _STEPS, endpoint=False)
        roll, pitch, heading = (
            held_at(each.t_s, each.values, at_s).astype(float) for each in angles if each is not None
        )
        # nose down leans forward, right side down leans to the right
        ahead, right = -np.sin(pitch), np.sin(roll) * np.cos(pitch)
        north.append(ahead * np.cos(heading) - right * np.sin(heading))
        east.append(ahead * np.sin(heading) + right * np.cos(heading))
    if not north:
        return {}
    n, e = float(np.mean(np.concatenate(north))), float(np.mean(np.concatenate(east)))
    return {
        "lean_rad": float(np.arcsin(min(np.hypot(n, e), 1.0))),
        "lean_from_rad": float(np.remainder(np.arctan2(e, n), 2.0 * np.pi)),
    }
