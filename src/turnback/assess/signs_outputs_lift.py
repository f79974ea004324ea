"""What the outputs do as it lifts: one corner at full, a diagonal pair at full, all high and no lift."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.signals import rows_between, spans_where
from turnback.assess.signs_motion_whirl import over_s
from turnback.assess.signs_outputs_flight import CORNERS, Lift, Seen, most_asked, smoothed
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_motion import LIFT_STICK
from turnback.rules.record_signs_outputs import (
    CORNER_LIKE,
    DIAGONAL,
    DIAGONAL_HELD,
    FULL,
    GROUND_FELT,
    IDLE_BAND,
    NO_LIFT,
    NO_LIFT_OUTPUT,
    SATURATES,
    SPEED_FOLLOWS,
)

GROUP: Final = "outputs at lift"
LOOK_S: Final = 1.0
AFTER_TURN_S: Final = 0.5
PAIR_S: Final = 4.0
LEAST_ROWS, ALONE = 2, 0.3
LAG_S: Final = 0.25
SPEED_HZ: Final = 20.0
OPPOSITE: Final = (3, 2, 1, 0)
UNSURE: Final = 0.85  # where no stick shows that nobody asked for it
CORNERS_UNKNOWN: Final = 0.85
OF_LIFT: Final = ("corner-saturates-at-lift", "diagonal-pair-saturates", "outputs-high-no-lift")
DRIVEN_TIMES: Final = 4.0
LOW_M: Final = 0.8
BEFORE_S, EDGE_S, FELT_S, LEAST_FELT = 2.0, 0.1, 0.5, 3
GAINED_MPS: Final = 1.0
TUMBLES_RAD: Final = 0.7
DRIVEN_A: Final = 0.5  # what a board alone draws
FOLLOWS: Final = "speed-follows-at-saturated-corner"


def at_lift(seen: Seen, tell: Telling) -> None:
    """Tell the signs of the lift."""
    outputs = seen.outputs
    if outputs is None or len(outputs.channels) != CORNERS:
        why = WhyNot.NO_CHANNEL if outputs is None else WhyNot.CORNERS_UNKNOWN
        needs = needing(Quantity.OUTPUT)
        tell.missed(why, *OF_LIFT[:2], needs=needs)
        _by_throttle(seen, tell)
        tell.missed(why, FOLLOWS, needs=(*needs, *needing(Quantity.ROTOR_SPEED)))
        return
    if seen.lift is None:
        tell.missed(WhyNot.TOO_SHORT, *OF_LIFT, FOLLOWS)
        return
    corner, rows = _corner(seen, outputs, seen.lift, tell)
    _follows(seen, corner, rows, tell)
    _diagonal(seen, outputs, seen.lift, tell)
    _no_lift(seen, outputs, seen.lift, tell)


def _span(seen: Seen, lift: Lift) -> tuple[float, float]:
    """Return when to look: until a moment after it turned, or after the lift."""
    if lift.turned_s is not None:
        return lift.up_s - 0.1, lift.turned_s + AFTER_TURN_S
    end_s = lift.lift_s + LOOK_S if lift.aloft else lift.end_s
    return lift.up_s - 0.1, max(min(end_s, seen.ended_s), lift.up_s + LOOK_S)


def _corner(seen: Seen, outputs: Columns, lift: Lift, tell: Telling) -> tuple[int | None, slice]:
    """Tell whether one corner runs to full and the opposite one to idle; return that corner and the rows."""
    start_s, end_s = _span(seen, lift)
    rows = rows_between(outputs.t_s, start_s, end_s)
    out = np.stack([np.asarray(values[rows], np.float64) for values in outputs.values])
    if out.shape[1] < 3:
        tell.missed(WhyNot.TOO_SHORT, OF_LIFT[0])
        return None, rows
    step_s = (end_s - start_s) / out.shape[1]
    ends = (out.max(axis=0) >= FULL.value) & (out.min(axis=0) <= seen.idle + IDLE_BAND.value)
    held_s = float(ends.sum()) * step_s
    highest = int(np.argmax(out[:, ends].mean(axis=1))) if ends.any() else int(np.argmax(out.max(axis=1)))
    like = _corner_like(out[:, ends] if ends.any() else out, outputs.corners_known())
    reach = float((out.max(axis=0) - out.min(axis=0)).max()) / (FULL.value - seen.idle - IDLE_BAND.value)
    least_s = max(SATURATES.value, LEAST_ROWS * step_s)
    score = min(held_s / least_s, like / CORNER_LIKE.value) if ends.any() else min(reach**2, 0.95)
    asked = most_asked(seen, ("roll", "pitch"), start_s, end_s)
    if asked is not None:
        score = min(score, LIFT_STICK.value / max(asked, 1e-3)) if score > 1.0 else score
    most = 0.97 if asked is not None and outputs.corners_known() else UNSURE
    found = tell.scored(
        OF_LIFT[0], GROUP, score, most=most, span=(start_s, end_s), channels=outputs.channels,
        values={"held_s": held_s, "corner_share": like, "limit_s": least_s},
    )  # fmt: skip
    return (highest if found else None), slice(rows.start + int(np.argmax(ends)), rows.stop)


def _corner_like(out: NDArray[np.float64], known: bool) -> float:
    """Return how far a difference points to one corner: 1 where roll and pitch parts are alike, 0 for a side.

    Of a corner far above all others the diagonal part says nothing: it may be held against a whirl as well.
    """
    off = out - out.mean(axis=0)
    if known:
        roll, pitch, pair = (np.abs(PARTS[name] @ off) for name in ("left-right", "front-rear", "diagonal"))
        order = np.sort(out, axis=0)
        pair = np.where(order[-1] - order[-2] >= ALONE, 0.0, pair)
        least, most = np.minimum(roll, pitch), np.maximum(np.maximum(roll, pitch), pair)
        return float(least.mean() / max(float(most.mean()), 1e-9))
    order = np.sort(out.mean(axis=1))
    gaps = np.array([order[3] - order[2], order[1] - order[0]])
    return float(gaps.min() / max(0.5 * (order[3] - order[0]), 1e-9))


def _follows(seen: Seen, corner: int | None, rows: slice, tell: Telling) -> None:
    """Tell whether the rotor of the saturated corner runs up; only a corner that saturates can show it."""
    outputs, speeds = seen.outputs, seen.speeds
    if speeds is None or outputs is None:
        tell.missed(WhyNot.NO_CHANNEL, FOLLOWS, needs=needing(Quantity.ROTOR_SPEED))
        return
    if corner is None:
        tell.missed(WhyNot.LOAD_TOO_STEADY, FOLLOWS)
        return
    channel = outputs.channels[corner]
    place = next((k for k, each in enumerate(speeds.channels)
                  if (each.at, each.number) == (channel.at, channel.number)), None)  # fmt: skip
    if place is None or len(speeds.channels) < 3:
        tell.missed(WhyNot.CORNERS_UNKNOWN, FOLLOWS, needs=needing(Quantity.ROTOR_SPEED))
        return
    start_s = float(outputs.t_s[rows.start])
    part = rows_between(speeds.t_s, start_s, start_s + LAG_S)
    rate_hz = (part.stop - part.start) / LAG_S
    if rate_hz < SPEED_HZ:
        tell.missed(WhyNot.TOO_SLOW, FOLLOWS)
        return
    own = np.asarray(speeds.values[place][part], np.float64)
    others = np.median([values[part] for k, values in enumerate(speeds.values) if k != place], axis=0)
    ratio = float((own / np.maximum(others, 1.0)).max())
    tell.scored(
        FOLLOWS, "rotor speeds at lift", ratio**2 / SPEED_FOLLOWS.value**2, most=0.95,
        span=(start_s, start_s + LAG_S), values={"siblings_ratio": ratio, "limit_ratio": SPEED_FOLLOWS.value},
        channels=(speeds.channels[place], channel),
    )  # fmt: skip


def _diagonal(seen: Seen, outputs: Columns, lift: Lift, tell: Telling) -> None:
    """Tell whether one diagonal pair runs to full and the other to idle soon after the lift."""
    sign = OF_LIFT[1]
    end_s = min(lift.lift_s + PAIR_S, max(seen.ended_s, lift.lift_s + LOOK_S))
    if lift.turned_s is not None:
        end_s = min(end_s, lift.turned_s + AFTER_TURN_S)
    end_s = min(end_s, max(over_s(seen.axes, lift.up_s, end_s), lift.up_s + DIAGONAL_HELD.value))
    rows = rows_between(outputs.t_s, lift.up_s, end_s)
    out = np.stack([np.asarray(values[rows], np.float64) for values in outputs.values])
    if out.shape[1] < 3:
        tell.missed(WhyNot.TOO_SHORT, sign)
        return
    step_s = (end_s - lift.up_s) / out.shape[1]
    width = max(1, round(0.05 / step_s))
    if outputs.corners_known():
        parts = [PARTS[name] @ out / CORNERS for name in ("diagonal", "left-right", "front-rear")]
    else:
        parts = _unnamed_parts(out)
    pair, roll, pitch = (np.abs(smoothed(each, width)) for each in parts)
    alone = pair >= 2.0 * np.maximum(roll, pitch)
    size = _held(np.where(alone, pair, 0.0), outputs.t_s[rows])
    asked = most_asked(seen, ("yaw",), lift.up_s, end_s)
    score = size / DIAGONAL.value
    if asked is not None and asked > LIFT_STICK.value and score > 1.0:
        score = 1.0 / score
    most = 0.97 if asked is not None and outputs.corners_known() else CORNERS_UNKNOWN
    tell.scored(
        sign, GROUP, score, most=most, span=(lift.up_s, end_s), channels=outputs.channels,
        values={"pair_share": size, "limit_share": DIAGONAL.value},
    )  # fmt: skip


def _unnamed_parts(out: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Return how far two outputs lie above the two others, for the pairing that does so most, and for the others."""
    pairs = [np.array(each) for each in ((1.0, -1.0, -1.0, 1.0), (1.0, -1.0, 1.0, -1.0), (1.0, 1.0, -1.0, -1.0))]
    parts = [each @ out / CORNERS for each in pairs]
    return sorted(parts, key=lambda each: -float(np.abs(each).max()))


def _held(values: NDArray[Any], t_s: NDArray[np.float64]) -> float:
    """Return the value that is passed for `DIAGONAL_HELD` at a stretch."""
    for level in np.linspace(float(values.max(initial=0.0)), 0.0, 25):
        if len(spans_where(values >= level, t_s, least_s=DIAGONAL_HELD.value)):
            return float(level)
    return 0.0


def _no_lift(seen: Seen, outputs: Columns, lift: Lift, tell: Telling) -> None:
    """Tell whether the mean output is high for a while and it stays where it is."""
    sign = OF_LIFT[2]
    end_s = _no_lift_until(seen, lift, float(outputs.t_s[-1]))
    rows = rows_between(outputs.t_s, lift.up_s, end_s)
    mean = np.mean([values[rows] for values in outputs.values], axis=0)
    t_s = outputs.t_s[rows]
    high = spans_where(mean >= NO_LIFT_OUTPUT.value, t_s, bridge_s=0.1)
    held_s = float(max((t_s[min(b, t_s.size - 1)] - t_s[a] for a, b in high), default=0.0))
    score = held_s / NO_LIFT.value
    if score >= 1.0 and lift.turned_s is not None and lift.turned_s < end_s:  # it tumbles: no lift is a consequence
        score = 1.0 / (1.0 + score)
    tell.scored(
        sign, GROUP, max(score, 0.05), most=0.95, span=(lift.up_s, end_s), channels=outputs.channels,
        values={"held_s": held_s, "limit_share": NO_LIFT_OUTPUT.value},
    )  # fmt: skip


def _no_lift_until(seen: Seen, lift: Lift, last_s: float) -> float:
    """Return until when it stands: the lift, or the end where what looked like a lift was none."""
    if not lift.aloft:
        return last_s
    if not _stays_low(seen, lift):
        return lift.lift_s
    return last_s if seen.record.get(Quantity.HEIGHT_LAUNCH) is not None else min(last_s, seen.ended_s)


def _stays_low(seen: Seen, lift: Lift) -> bool:
    """Tell whether its height over the launch point never leaves the ground, whatever else looked like a lift.

    Notes
    -----
    Without heights the accelerometer tells: what stands feels the same force whatever its rotors do, for the ground
    gives what they do not. What rises has felt more, and the speed that this makes stays.
    """
    height = seen.record.get(Quantity.HEIGHT_LAUNCH)
    if height is None:
        return _feels_the_ground(seen, lift)
    rows = rows_between(height.t_s, lift.up_s, float(height.t_s[-1]) + 1.0)
    first = float(np.median(height.values[: max(rows.start, 3)]))
    return rows.stop > rows.start and float(np.quantile(height.values[rows], 0.95)) - first < LOW_M


def _feels_the_ground(seen: Seen, lift: Lift) -> bool:
    """Tell whether the force along its upright axis stays as it was before the run-up, in half seconds."""
    felt = seen.record.get(Quantity.ACCELERATION_Z)
    if felt is None:
        return False
    before = felt.values[rows_between(felt.t_s, lift.up_s - BEFORE_S, lift.up_s - EDGE_S)]
    rows = rows_between(felt.t_s, lift.up_s, seen.ended_s)
    size = max(1, round(FELT_S * felt.rate_hz))
    count = (rows.stop - rows.start) // size
    if before.size < size or count < LEAST_FELT:
        return False
    part = np.asarray(felt.values[rows], np.float64)[: count * size].reshape(count, size).mean(axis=1)
    off = part - float(np.median(before))
    gained = np.cumsum(off) * FELT_S
    return float(np.quantile(np.abs(off), 0.95)) < GROUND_FELT.value and float(np.abs(gained).max()) < GAINED_MPS


def _leans_over(seen: Seen, start_s: float, end_s: float) -> bool:
    """Tell whether it comes to lean far from how it stood."""
    for quantity in (Quantity.ROLL, Quantity.PITCH):
        angle = seen.record.get(quantity)
        if angle is not None:
            stood = angle.values[rows_between(angle.t_s, start_s - BEFORE_S, start_s)]
            later = angle.values[rows_between(angle.t_s, start_s, end_s)]
            if stood.size and later.size and float(np.abs(later - np.median(stood)).max()) > TUMBLES_RAD:
                return True
    return False


def _by_throttle(seen: Seen, tell: Telling) -> None:
    """Tell from throttle and current, where no outputs are recorded, whether it is driven hard and stays."""
    sign = OF_LIFT[2]
    throttle, current, lift = seen.record.get(Quantity.THROTTLE), seen.record.get(Quantity.CURRENT), seen.lift
    if throttle is None or current is None:
        tell.missed(WhyNot.NO_CHANNEL, sign, needs=needing(Quantity.OUTPUT))
        return
    if lift is None:
        tell.missed(WhyNot.TOO_SHORT, sign)
        return
    end_s = _no_lift_until(seen, lift, float(throttle.t_s[-1]))
    rows = rows_between(throttle.t_s, lift.up_s, end_s)
    drawn = np.interp(throttle.t_s[rows], current.t_s, current.values)
    at_rest = float(np.median(current.values[rows_between(current.t_s, 0.0, lift.up_s)])) if lift.up_s > 0.3 else 0.0
    high = (throttle.values[rows] >= NO_LIFT_OUTPUT.value) & (drawn > DRIVEN_TIMES * max(at_rest, DRIVEN_A))
    t_s = throttle.t_s[rows]
    held = spans_where(high, t_s, bridge_s=0.2)
    held_s = float(max((t_s[min(b, t_s.size - 1)] - t_s[a] for a, b in held), default=0.0))
    score = held_s / NO_LIFT.value / 2.0
    if score >= 1.0 and _leans_over(seen, lift.up_s, float(t_s[-1])):  # it tumbles: no lift is a consequence
        score = 1.0 / (1.0 + score)
    tell.scored(
        sign, GROUP, max(score, 0.05), most=0.92, span=(lift.up_s, end_s),
        channels=(throttle.channel, current.channel),
        values={"held_s": held_s, "limit_share": NO_LIFT_OUTPUT.value},
    )  # fmt: skip
