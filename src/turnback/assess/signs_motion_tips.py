"""Whether it tips over as it lifts, told by attitude alone: for records without turning rates."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import held_at, rows_between
from turnback.assess.signs_outputs_flight import Seen, most_asked
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_motion import LIFT_STICK, TILT_EXTREME

Floats = NDArray[np.float64]
SIGN: Final = "rates-run-away-toward-corner"
GROUP: Final = "rates at lift"
NEEDS: Final = (Quantity.ROLL, Quantity.PITCH)
LEAST_HZ: Final = 3.0
LEAST_ROWS: Final = 5
WITHIN_S: Final = 2.0
"""After lift-off: half a second of turning over, and what a lift is found too early by without outputs."""
BEFORE_S: Final = 0.1
TIPS_SURE: Final = 0.92
NO_STICKS_SURE: Final = 0.8


def tips_over(seen: Seen, tell: Telling) -> None:
    """Tell whether its upright axis falls over within moments of the lift, with the sticks centred."""
    found = [each for each in map(seen.record.get, NEEDS) if each is not None]
    if len(found) < len(NEEDS):
        tell.missed(WhyNot.NO_CHANNEL, SIGN, needs=needing(*NEEDS))
        return
    roll, pitch = found
    if min(each.fresh_hz or each.rate_hz for each in found) < LEAST_HZ:
        tell.missed(WhyNot.TOO_SLOW, SIGN)
        return
    lift = seen.lift
    if lift is None:
        tell.missed(WhyNot.TOO_SHORT, SIGN)
        return
    end_s = lift.lift_s + WITHIN_S
    t_s = roll.t_s[rows_between(roll.t_s, lift.up_s - BEFORE_S, end_s)]
    if t_s.size < LEAST_ROWS:
        tell.missed(WhyNot.TOO_SHORT, SIGN)
        return
    turned = from_first(np.asarray(roll.values[rows_between(roll.t_s, t_s[0], end_s)], np.float64),
                        held_at(pitch.t_s, pitch.values, t_s))  # fmt: skip
    most = float(turned.max())
    score = most / TILT_EXTREME.value
    over = np.flatnonzero(turned >= TILT_EXTREME.value)
    asked = most_asked(seen, ("roll", "pitch"), lift.up_s - BEFORE_S, float(t_s[over[0]]) if over.size else end_s)
    if asked is not None and score > 1.0:
        score = min(score, LIFT_STICK.value / max(asked, 1e-3))
    tell.scored(
        SIGN, GROUP, max(score, 0.05), most=NO_STICKS_SURE if asked is None else TIPS_SURE,
        span=(float(t_s[0]), float(t_s[-1])), channels=(roll.channel, pitch.channel),
        values={"lean_rad": most, "limit_rad": TILT_EXTREME.value},
    )  # fmt: skip


def from_first(roll_rad: Floats, pitch_rad: Floats) -> Floats:
    """Return the angle between its upright axis and where that pointed at first, rad.

    Parameters
    ----------
    roll_rad, pitch_rad : ndarray
        Shape ``(n,)``.
    """
    cos = np.cos(pitch_rad)
    up = np.stack([-np.sin(pitch_rad), np.sin(roll_rad) * cos, np.cos(roll_rad) * cos])
    return np.asarray(np.arccos(np.clip(up[:, 0] @ up, -1.0, 1.0)))
