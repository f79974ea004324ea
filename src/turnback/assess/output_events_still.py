"""A rotor that stands in the air, told by rotor speeds alone: no driven rotor turns slower than it idles."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.signals import rows_between, spans_where
from turnback.records.happened import Event, EventKind, Flown, PhaseKind
from turnback.rules.record_outputs import COLLAPSE_FROM, MOST_EVENTS, STANDS
from turnback.rules.record_phases import ROTOR_OFF

HELD_S: Final = 0.05
USUAL_S: Final = 0.5
LEAST_S: Final = 0.3
LOOK_BACK_S: Final = 1.0


def standing(speeds: Columns, aloft: NDArray[np.bool_], flown: Flown) -> list[Event] | None:
    """Return where a rotor stands while most others are driven; None where the record shows no idling to hold against.

    Parameters
    ----------
    speeds : Columns
        Of at least 3 rotors.
    aloft : ndarray of bool, shape (n,)
    flown : Flown
    """
    idle = _idle_per_s(speeds, flown)
    if idle is None:
        return None
    limit = STANDS.value * idle
    driven = [values > limit for values in speeds.values]
    most = sum(each.astype(np.int8) for each in driven) * 2 > len(driven)
    events = []
    for place, drives in enumerate(driven):
        spans = spans_where(~drives & most & aloft, speeds.t_s, least_s=HELD_S, bridge_s=HELD_S)
        for first, after in spans[: int(MOST_EVENTS.value)]:
            events.append(_event(speeds, place, int(first), int(after)))
    return events


def _idle_per_s(speeds: Columns, flown: Flown) -> float | None:
    """Return the slowest rotor's speed while it stood armed; None where it hardly did."""
    stands = [each for each in flown.phases if each.kind is PhaseKind.ARMED_ON_GROUND]
    rows = [rows_between(speeds.t_s, each.start_s, each.end_s) for each in stands]
    idles = []
    for values in speeds.values:
        turning = np.concatenate([np.empty(0), *(values[each] for each in rows)])
        turning = turning[turning > ROTOR_OFF.value]
        if turning.size * float(np.median(np.diff(speeds.t_s))) < LEAST_S:
            return None
        idles.append(float(np.quantile(turning, 0.25)))
    return min(idles)


def _event(speeds: Columns, place: int, first: int, after: int) -> Event:
    t_s, speed = speeds.t_s, speeds.values[place]
    earlier = rows_between(t_s, float(t_s[first]) - LOOK_BACK_S, float(t_s[first]))
    usual = float(np.median(speed[rows_between(t_s, float(t_s[first]) - USUAL_S, float(t_s[first]))]))
    left = np.flatnonzero(speed[earlier] >= COLLAPSE_FROM.value * usual)
    onset = earlier.start + int(left[-1]) + 1 if left.size else first
    others = [values[first:after] for other, values in enumerate(speeds.values) if other != place]
    least = float(speed[first:after].min())
    values = {
        "least_ratio": least / max(float(np.median(np.stack(others))), 1e-9),
        "before_per_s": float(speed[max(0, onset - 1)]),
        "least_per_s": least,
        "duration_s": float(t_s[min(after, t_s.size - 1)] - t_s[onset]),
        "step_share": 0.0,
    }
    return Event(
        EventKind.SPEED_COLLAPSE, float(t_s[onset]), float(t_s[min(after, t_s.size - 1)]), (speeds.channels[place],),
        STANDS.key, values, speeds.at(place),
    )  # fmt: skip
