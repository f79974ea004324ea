"""Whether its own thrust pulls it over as it lifts: a weight off the middle, or a corner that lifts too little.

Both push it over the more, the more thrust it gives, and the outputs hold against it and do slow it. Where outputs or
turning go the wrong way (a motor order crossed, a board turned, a propeller that pushes down) they make it worse.
A weak corner pulls exactly toward itself, a weight toward wherever it sits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.output_columns import Columns
from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.signs_motion_fit import BIN_S, LAGS_S, Floats, binned, followed
from turnback.assess.signs_outputs_flight import Lift, Seen, leaning_rate
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_pulled import PULL, PULL_GAINS, PULL_LEAVES, TOWARD_CORNER

GROUP: Final = "rates at lift"
SIDE, CORNER = "thrust-pulls-it-to-a-side", "thrust-pulls-it-to-a-corner"
AXES: Final = (("roll", "left-right"), ("pitch", "front-rear"))
BEFORE_S: Final = 0.5
AFTER_S: Final = 0.3
LEAST_S: Final = 0.1
TOUCHES_S: Final = 0.08
"""Before the end: it touches the ground a little before a blow is told."""
LEAST_BINS: Final = 6
TUMBLES_RAD_S: Final = 14.0
STRAIGHT_SURE: Final = 0.8
DIAGONAL_DEG: Final = 45.0


@dataclass(frozen=True, slots=True)
class Pull:
    """How far its thrust pulls it over.

    Parameters
    ----------
    explained : float
        Of roll's and pitch's acceleration, by their own parts of the outputs and all outputs together: 1 altogether.
    gained : float
        Of that, what their own parts do not explain without.
    offset : float
        Of the pull beside what the own part does, both for as much output: 1 as far out as an arm's half reach.
    off_diagonal_deg : float
        Between the pull and the nearest line through two corners, 0 to 45.
    """

    explained: float
    gained: float
    offset: float
    off_diagonal_deg: float


def pulled_over(seen: Seen, lift: Lift, tell: Telling) -> bool:
    """Tell whether its thrust pulls it over to a side, or to a corner, as it lifts; return whether it does."""
    outputs = seen.outputs
    if outputs is None or not outputs.corners_known():
        why = WhyNot.NO_CHANNEL if outputs is None else WhyNot.CORNERS_UNKNOWN
        tell.missed(why, SIDE, CORNER, needs=needing(Quantity.OUTPUT))
        return False
    if lift.turned_s is None:
        tell.told(SIDE, GROUP, False, STRAIGHT_SURE)
        tell.told(CORNER, GROUP, False, STRAIGHT_SURE)
        return False
    start_s = max(lift.up_s, lift.turned_s - BEFORE_S)
    end_s = min(_tumbles_s(seen, lift.turned_s), max(seen.ended_s - TOUCHES_S, lift.turned_s + LEAST_S))
    edges_s = np.arange(start_s, end_s + 1e-9, BIN_S)
    if edges_s.size < LEAST_BINS + 2:
        tell.missed(WhyNot.TOO_SHORT, SIDE, CORNER)
        return False
    found = pull_of(seen, outputs, edges_s)
    if found is None:
        tell.missed(WhyNot.TOO_SLOW, SIDE, CORNER)
        return False
    score = min(
        PULL_LEAVES.value / max(1.0 - found.explained, 1e-3), found.gained / PULL_GAINS.value, found.offset / PULL.value
    )
    toward = TOWARD_CORNER.value / max(math.radians(found.off_diagonal_deg), 1e-3)
    channels = (*(seen.axes[name].rate.channel for name, _ in AXES), *outputs.channels)
    for sign, way in ((CORNER, toward), (SIDE, 1.0 / toward)):
        if sign == SIDE and min(score, toward) >= 1.0:  # a weight may sit there as well as anywhere
            tell.missed(WhyNot.TOO_SHORT, SIDE)
            continue
        tell.scored(
            sign, GROUP, max(min(score, way), 0.05), span=(start_s, end_s), channels=channels,
            values={"left_share": 1.0 - found.explained, "limit_share": PULL_LEAVES.value},
        )  # fmt: skip
    return score >= 1.0


def _tumbles_s(seen: Seen, from_s: float) -> float:
    """Return when it first turns so fast that it tumbles, at the latest some tenths of a second after it turned."""
    found = leaning_rate(seen.axes, from_s, from_s + AFTER_S)
    fast = np.empty(0, np.intp) if found is None else np.flatnonzero(found[1] > TUMBLES_RAD_S)
    return from_s + AFTER_S if found is None or not fast.size else float(found[0][fast[0]])


def pull_of(seen: Seen, outputs: Columns, edges_s: Floats) -> Pull | None:
    """Return how far its thrust pulls it over; None where a bin is empty.

    Parameters
    ----------
    seen : Seen
    outputs : Columns
        With their corners.
    edges_s : ndarray
        Shape ``(n,)``.

    Notes
    -----
    Angular acceleration about an axis is fitted by its own part of the outputs and by their mean, behind a first-order
    lag; that of the lags which explains most counts. The mean's factor over the part's is the pull. Thrust goes
    straight or square with an output, by how motors are driven.
    """
    out = np.stack([binned(outputs.t_s, values, edges_s) for values in outputs.values])
    turn = np.stack([binned(seen.axes[n].t_s, seen.axes[n].rate.values, edges_s) for n, _ in AXES])
    if not (np.isfinite(out).all() and np.isfinite(turn).all()):
        return None
    accel = np.diff(turn, axis=1) / BIN_S
    power = max(float(np.square(accel).sum()), 1e-9)
    best: Pull | None = None
    for lag_s in LAGS_S:
        behind = followed(out, lag_s)
        for thrust in (behind, np.square(np.maximum(behind, 0.0))):
            one = _pull_behind(thrust, accel, power)
            if best is None or one.explained > best.explained:
                best = one
    return best


def _pull_behind(out: Floats, accel: Floats, power: float) -> Pull:
    """Return the pull for one lag; nothing is explained where an axis turns against its part."""
    mean = out.mean(axis=0)
    left, alone, ways = 0.0, 0.0, []
    for axis, (_, part) in enumerate(AXES):
        own = PARTS[part] @ out
        design = np.stack([0.5 * (each[1:] + each[:-1]) for each in (own, mean)], axis=1)
        fit, *_ = np.linalg.lstsq(design, accel[axis], rcond=1e-6)
        only, *_ = np.linalg.lstsq(design[:, :1], accel[axis], rcond=1e-6)
        left += float(np.square(accel[axis] - design @ fit).sum())
        alone += float(np.square(accel[axis] - design[:, :1] @ only).sum())
        ways.append((float(fit[0]), float(fit[1])))
    if min(gain for gain, _ in ways) <= 0.0:
        return Pull(0.0, 0.0, 0.0, DIAGONAL_DEG)
    roll, pitch = (abs(pull / gain) for gain, pull in ways)
    off = abs(math.degrees(math.atan2(roll, pitch)) - DIAGONAL_DEG)
    return Pull(1.0 - left / power, (alone - left) / power, math.hypot(roll, pitch), off)
