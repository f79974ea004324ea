"""A yaw stick that swings from side to side while another stick hardly moves, and an aircraft that turns as it asks."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from turnback.assess.link_events_parts import Floats, Span, thinned
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord
from turnback.rules.record_signs_sticks import YAW_SWINGS, YAW_SWINGS_OBEYED, YAW_SWINGS_OTHER, YAW_SWINGS_STICK

FRAME_HZ: Final = 20.0
WITHIN_S: Final = 4.0
QUICK_S: Final = 1.5
BEFORE_S: Final = 0.6
BEGINS: Final = 0.15
"""A yaw stick that has left its middle."""
FAR: Final = 0.4
"""The stick that is not still goes out this far: its tilt runs away as well."""
DRIVEN: Final = 0.1
"""Below this throttle nothing turns as it is asked."""
FEW_ROWS: Final = 15
TURN_S: Final = 0.15
LATE_S: Final = tuple(0.05 * each for each in range(12))


class Worse(NamedTuple):
    """How far beyond the limits, when, how long it grew, and how far over it was."""

    beyond: float
    from_s: float
    to_s: float
    tilt_deg: float


NOTHING: Final = Worse(-3.0, 0.0, 0.0, 0.0)


def yaw_swings(record: FlightRecord, aloft: Span, upset_s: float) -> Worse:
    """Return how far yaw is swung to and fro by its stick, with one of the other sticks nearly still.

    Nobody steers by swinging the yaw stick from one side to the other. A hand that answers a tilt or a drift does, if
    its stick arrives as yaw: each answer turns the aircraft, and the next one is wrong again. The stick that arrives
    in the place of the other channel hardly moves meanwhile. A motor that fails makes hands swing every stick, and the
    aircraft does not turn as they ask.

    Parameters
    ----------
    record : FlightRecord
    aloft : tuple of float
        From lift-off to the end, s.
    upset_s : float
        When something else began to go wrong, s.
    """
    yaw = record.get(Quantity.YAW_STICK)
    if yaw is None or yaw.t_s.size < FEW_ROWS or aloft[1] - aloft[0] < 1.0:
        return NOTHING
    t_s = np.arange(aloft[0], aloft[1], 1.0 / FRAME_HZ)
    given = np.interp(t_s, *thinned(yaw, FRAME_HZ))
    at = np.flatnonzero(np.abs(given) > YAW_SWINGS_STICK.value)
    turns = (np.diff(np.sign(given[at])) != 0.0) & (np.diff(t_s[at]) < QUICK_S)
    times = t_s[at[:-1][turns]]
    counts = np.searchsorted(times, times + WITHIN_S) - np.arange(times.size)
    counts = counts[times < upset_s]
    if not counts.size:
        return NOTHING
    first = int(np.argmax(counts))
    start_s = float(times[first])
    rows = (t_s > start_s - BEFORE_S) & (t_s < start_s + WITHIN_S)
    obeyed = _obeyed(record, t_s[rows], given[rows])
    others = _others(record, t_s[rows])
    if obeyed is None or others is None:
        return NOTHING
    beyond = min((float(counts[first]) - YAW_SWINGS.value) / 0.5, (YAW_SWINGS_OTHER.value - others[0]) / 0.05,
                 (others[1] - FAR) / 0.05, (obeyed - YAW_SWINGS_OBEYED.value) / 0.1)  # fmt: skip
    # up to where the first swing begins: what hands do from then on is its consequence
    quiet = np.flatnonzero((t_s < start_s) & (np.abs(given) < BEGINS))
    begins_s = float(t_s[quiet[-1]]) if quiet.size else start_s
    return Worse(beyond, begins_s - BEFORE_S, begins_s, 0.0)


def _others(record: FlightRecord, t_s: Floats) -> tuple[float, float] | None:
    """Return how far the roll and the pitch stick go, the lesser first."""
    sticks = [record.get(each) for each in (Quantity.ROLL_STICK, Quantity.PITCH_STICK)]
    known = [each for each in sticks if each is not None]
    if len(known) < 2 or t_s.size < FEW_ROWS:
        return None
    far = sorted(float(np.abs(np.interp(t_s, *thinned(each, FRAME_HZ))).max()) for each in known)
    return far[0], far[1]


def _obeyed(record: FlightRecord, t_s: Floats, given: Floats) -> float | None:
    """Return the correlation of the yaw stick with the turn about the upright axis a moment later."""
    rate, heading, throttle = (record.get(each) for each in (Quantity.YAW_RATE, Quantity.HEADING, Quantity.THROTTLE))
    rows = np.ones(t_s.size, dtype=bool)
    if throttle is not None:
        rows = np.interp(t_s, throttle.t_s, throttle.values) > DRIVEN
    if np.count_nonzero(rows) < FEW_ROWS or float(np.std(given[rows])) < 1e-6:
        return None
    best = -1.0
    for late_s in LATE_S:
        if rate is not None:
            turned = np.interp(t_s + late_s, *thinned(rate, FRAME_HZ))
        elif heading is None:
            return None
        else:
            angles = np.unwrap(heading.values)
            turned = np.interp(t_s + late_s + TURN_S, heading.t_s, angles)
            turned = turned - np.interp(t_s + late_s - TURN_S, heading.t_s, angles)
        if float(np.std(turned[rows])) > 1e-9:
            best = max(best, float(np.corrcoef(given[rows], turned[rows])[0, 1]))
    return best
