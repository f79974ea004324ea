"""Whether the aircraft itself swings: its angles then swing too, and what only shakes the sensor leaves them still.

A rate that swings by A at the frequency f swings the angle by A / (2 pi f). A rotor's line at hundreds of hertz that a
slow record folds to f shakes the angle a hundred times less.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import AXES, Axis
from turnback.assess.signals import rows_between
from turnback.records.channel import Quantity
from turnback.records.flight_record import FlightRecord, Times
from turnback.rules.record_motion import SWING_FELT

ANGLES: Final = (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING)
PER_SWING: Final = 4.0  # values of an angle that follow it
SEGMENT_S: Final = 2.0
LEAST_ROWS: Final = 8
SURELY_NOT: Final = 0.6  # of the threshold
SAME_RAD: Final = 1e-5


def angle_swings(axis: Axis, record: FlightRecord, at_hz: float, start_s: float, end_s: float) -> bool | None:
    """Tell whether the angle of an axis swings as its rate says; None where no angle is there, or too coarse a one."""
    angle = record.get(ANGLES[AXES.index(axis.name)])
    if angle is None or (angle.fresh_hz or angle.rate_hz) < PER_SWING * at_hz:
        return None
    rows = rows_between(angle.t_s, start_s, end_s)
    turned = np.unwrap(np.asarray(angle.values[rows], np.float64))
    steps = np.abs(np.diff(turned))
    steps = steps[steps > SAME_RAD]
    turn = _amplitude(axis.t_s, axis.rate.values, at_hz, start_s, end_s)
    if not steps.size or turn is None:
        return None
    expected = turn / (2.0 * np.pi * at_hz)
    seen = _amplitude(angle.t_s[rows], turned, at_hz, start_s, end_s)
    if seen is None or float(steps.min()) > expected:
        return None
    if seen >= SWING_FELT.value * expected:
        return True
    return False if seen < SURELY_NOT * SWING_FELT.value * expected else None


def _amplitude(t_s: Times, values: NDArray[Any], at_hz: float, start_s: float, end_s: float) -> float | None:
    """Return the median amplitude at one frequency over stretches of two seconds, each under a Hann window."""
    found = []
    for begin_s in np.arange(start_s, max(end_s - 0.75 * SEGMENT_S, start_s + 1e-9), SEGMENT_S):
        rows = rows_between(t_s, float(begin_s), min(float(begin_s) + SEGMENT_S, end_s))
        part = np.asarray(values[rows], np.float64)
        if part.size < LEAST_ROWS:
            continue
        window = np.hanning(part.size)
        line = np.polyfit(np.arange(part.size), part, 1)
        part -= np.polyval(line, np.arange(part.size))
        found.append(2.0 * abs(np.sum(window * part * np.exp(-2j * np.pi * at_hz * t_s[rows]))) / window.sum())
    return float(np.median(found)) if found else None
