"""Whether it followed demands that were hard: large errors are then no sign, and what the demand explains is.

A pilot who has lost orientation, or answers much too hard, asks for hundreds of degrees a second to and fro. Outputs
reach their ends and errors are large, while the aircraft still turns as it is asked. With a dead rotor it does not.
"""

from __future__ import annotations

import numpy as np

from turnback.assess.motion_axes import Axis
from turnback.assess.motion_events_demand import delay_of, delayed
from turnback.assess.signals import rows_between
from turnback.records.happened import Flown
from turnback.rules.record_motion import FOLLOWS
from turnback.rules.record_signs_motion import FOLLOWS_HARD, FOLLOWS_HARD_LAST

GAINS = (0.5, 1.3)
"""What an axis may give of what is asked; outputs at their ends give less."""

BESIDES = 0.25


def follows_hard(axes: tuple[Axis, ...], flown: Flown, end_s: float) -> float | None:
    """Return the least share of its turning that an axis's demand explains in the last moments; None where it does not.

    Parameters
    ----------
    axes : tuple of Axis
        With demands.
    flown : Flown
    end_s : float
        Until when something can be a cause.

    Returns
    -------
    float or None
        None where one axis turns otherwise than is asked, and where nothing turns much.
    """
    delay_s = delay_of(axes, flown)
    found = []
    for axis in axes:
        rows = rows_between(axis.t_s, end_s - FOLLOWS_HARD_LAST.value, end_s)
        rate, asked = axis.rate.values[rows], delayed(axis, rows, delay_s)
        if rate.size < axis.rate.rate_hz * FOLLOWS_HARD_LAST.value * 0.5:
            return None
        gain = float(np.clip(np.dot(asked, rate) / max(float(np.dot(asked, asked)), 1e-9), *GAINS))
        off = float(np.sqrt(np.mean(np.square(rate - gain * asked, dtype=np.float64))))
        turning = float(np.sqrt(np.mean(np.square(rate, dtype=np.float64))))
        found.append((off, turning, 1.0 - (off / max(turning, 1e-9)) ** 2))
    hard = [(turning, explained) for _, turning, explained in found
            if turning > FOLLOWS.value and explained >= FOLLOWS_HARD.value]  # fmt: skip
    if not hard:
        return None
    # an axis that is asked little, or has little hold, shakes along a little while another turns hard
    besides = max(0.5 * FOLLOWS.value, BESIDES * max(turning for turning, _ in hard))
    if any(off > besides and explained < FOLLOWS_HARD.value for off, _, explained in found):
        return None
    return min(explained for _, explained in hard)
