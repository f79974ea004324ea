"""Why an armed aircraft without propellers runs its motors up: integral action that nothing answers. It is normal.

The board sees a small tilt, asks for a turning rate that would level it, and none comes. The integral of that tracking
error grows until its limit: t = limit / (integral gain x attitude gain x tilt).
"""

from __future__ import annotations

from math import radians

from turnback.records.bench import Gains, WindUp
from turnback.rules import bench as rules


def wind_up(gains: Gains | None) -> WindUp:
    """Return how long it takes, with the pilot's own gains or with typical ones.

    Parameters
    ----------
    gains : Gains, optional
        Where a gain or the tilt is nothing, it never winds up, and no time is given.
    """
    used = gains or Gains(
        rules.INTEGRAL_GAIN.value, rules.ATTITUDE_GAIN.value, rules.INTEGRAL_LIMIT.value, rules.BENCH_TILT_DEG.value
    )
    answers = used.integral_gain * used.attitude_gain * used.tilt_deg > 0.0
    seconds = used.limit / (used.integral_gain * used.attitude_gain * radians(used.tilt_deg)) if answers else None
    return WindUp(
        seconds, used.tilt_deg, used.integral_gain, used.attitude_gain, used.limit, from_gains=gains is not None
    )
