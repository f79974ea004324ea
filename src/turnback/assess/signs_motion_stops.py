"""Whether a blow stops it out of quiet flight, at height or at speed: a branch, a wall, a line."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.signals import rows_between
from turnback.assess.signs_motion_blocks import climb_at
from turnback.assess.signs_outputs_flight import Seen, leaning_rate
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.assess.signs_outputs_unrest import LEAST_HZ, rate_of, swing_of
from turnback.records.channel import ACCELERATIONS, Quantity
from turnback.records.happened import Event, EventKind, PhaseKind, WhyNot
from turnback.rules.record_signs_motion import STOPS_DEAD, STRIKES_AGAIN
from turnback.rules.record_signs_outputs import SWINGS

STOPS: Final = "stops-dead-from-quiet-flight"
QUIET_S: Final = (0.6, 0.05)
QUIET_RAD_S: Final = 3.0
QUIET_SWINGS: Final = 2.0 * SWINGS.value  # an aircraft whose outputs swing from stop to stop flies into something too
SWING_S: Final = (2.1, 0.05)
HIGH_M: Final = 3.0
FAST_MPS: Final = 3.0
FALLS_ON_S: Final = 0.1
"""A fall that is over so long before the blow was caught: it flew again."""
AGAIN_S: Final = (0.9, 4.0)
"""When the ground follows: it takes 0.9 s to fall four metres."""


def stops(seen: Seen, tell: Telling) -> None:
    """Tell whether a blow comes out of quiet flight.

    Parameters
    ----------
    seen : Seen
    tell : Telling
    """
    answer = seen.looked.answer
    untold = [each for each in answer.not_told if each.kind is EventKind.IMPACT]
    blows = [each for each in seen.events(EventKind.IMPACT) if _in_flight(seen, each)]
    if not blows:
        if untold:
            tell.missed(untold[0].why, STOPS, needs=untold[0].needs)
        elif any(each.kind is EventKind.ENDS_ALOFT for each in answer.events):
            tell.missed(WhyNot.TOO_SHORT, STOPS)
        elif all(seen.record.get(each) is None for each in ACCELERATIONS):  # few places a second miss most blows
            tell.missed(WhyNot.NO_CHANNEL, STOPS, needs=needing(*ACCELERATIONS))
        else:
            tell.told(STOPS, "blow", False, 0.92)
        return
    blow = blows[0]
    peak = blow.values.get("peak_mps2", blow.values.get("deceleration_mps2", STOPS_DEAD.value))
    found = leaning_rate(seen.axes, blow.start_s - QUIET_S[0], blow.start_s - QUIET_S[1])
    turning = 0.0 if found is None else float(np.quantile(found[1], 0.8))
    swings = swing_before(seen, blow.start_s)
    score = min(peak / STOPS_DEAD.value, QUIET_RAD_S / max(turning, 1e-3), QUIET_SWINGS / max(swings, 1e-3), 4.0)
    broken = seen.broke_s < blow.start_s - 0.05
    falling = any(each.kind is PhaseKind.FALL and each.start_s < blow.start_s - FALLS_ON_S <= each.end_s
                  for each in answer.flown.phases)  # fmt: skip
    if (broken or falling) and score > 1.0:
        tell.told(STOPS, "blow", False, 0.92, channels=blow.channels)
        return
    tell.scored(
        STOPS, "blow", score, most=0.95 if found is not None else 0.85, span=(blow.start_s, blow.end_s),
        channels=blow.channels,
        values={"peak_mps2": peak, "turning_rad_s": turning, "limit_mps2": STOPS_DEAD.value, "swing_share": swings},
    )  # fmt: skip


def swing_before(seen: Seen, at_s: float) -> float:
    """Return how far all outputs swing fast in the two seconds before a time; 0 where that is not recorded."""
    outputs = seen.outputs
    if outputs is None or outputs.t_s.size < 2:
        return 0.0
    rate_hz = rate_of(outputs)
    rows = rows_between(outputs.t_s, at_s - SWING_S[0], at_s - SWING_S[1])
    if rate_hz < LEAST_HZ:
        return 0.0
    found = np.median([swing_of(values[rows], rate_hz) for values in outputs.values], axis=0)
    return float(found.max()) if found.size else 0.0


def _in_flight(seen: Seen, blow: Event) -> bool:
    """Tell whether a blow hits it in flight, high or fast over ground; a hard landing is none."""
    if blow.start_s > seen.ended_s + 0.1 or not any(
        a + 1.0 <= blow.start_s <= b + 0.3 for a, b in seen.looked.answer.flown.aloft()
    ):
        return False
    before_s = np.array([blow.start_s - 0.2])
    height = seen.record.get(Quantity.HEIGHT_LAUNCH)
    speed = seen.record.get(Quantity.GROUND_SPEED)
    north, east = seen.record.get(Quantity.VELOCITY_NORTH), seen.record.get(Quantity.VELOCITY_EAST)
    if height is not None and float(np.interp(before_s, height.t_s, height.values)[0]) > HIGH_M:
        return True
    over = None
    if speed is not None:
        over = float(np.interp(before_s, speed.t_s, speed.values)[0])
    elif north is not None and east is not None:
        over = float(np.hypot(*(np.interp(before_s, each.t_s, each.values)[0] for each in (north, east))))
    climb = climb_at(seen, before_s)
    if over is not None:
        return over > FAST_MPS and (climb is None or over > -float(climb[0]))
    if "before_mps" not in blow.values:
        return _falls_and_strikes(seen, blow)
    before = blow.values["before_mps"]
    return before > FAST_MPS and (climb is None or float(climb[0]) > -0.6 * before)


def _falls_and_strikes(seen: Seen, blow: Event) -> bool:
    """Tell whether it strikes again a second or more later, and harder: it was high, and what came then was the ground.

    What bounces off the ground strikes it again more softly than before.
    """
    first = blow.values.get("peak_mps2", 0.0)
    return any(
        AGAIN_S[0] <= each.start_s - blow.start_s <= AGAIN_S[1]
        and each.values.get("peak_mps2", 0.0) > STRIKES_AGAIN.value * first
        for each in seen.looked.answer.events
        if each.kind is EventKind.IMPACT
    )
