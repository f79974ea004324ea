"""What rotor speeds tell beside the outputs: too slow, too fast, jumps, collapses, and what comes back."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.signals import held_at, rows_between, spans_where
from turnback.assess.signs_outputs_flight import CORNERS, FLIES_ON_S, STEADY, Seen, barely_asked, turns_quietly
from turnback.assess.signs_outputs_tell import Telling, needing, sure_of
from turnback.records.channel import Quantity
from turnback.records.happened import Event, EventKind, WhyNot
from turnback.rules.record_outputs import SPEED_RATE, STEP
from turnback.rules.record_signs_outputs import BARELY_ASKED, COMES_BACK, MEAN_BARELY, SPEED_HIGH, SPEED_JUMP, SPEED_LOW

Floats = NDArray[np.float64]
GROUP: Final = "rotor speeds"
LOW, HIGH, JUMP = "speed-low-for-output", "speed-high-for-output", "speed-jumps-up"
AFTER_STEP, STEADILY = "speed-collapses-after-step", "speed-collapses-in-steady-flight"
BACK, STALLS = "speed-comes-back", "speed-stalls-at-low-throttle"
STANDS, STANDS_LEAST_HZ, STANDS_S, STANDS_SURE, BACK_SURE = 0.25, 15.0, 0.06, 0.93, 0.85
OF_BOTH: Final = (LOW, HIGH, JUMP, AFTER_STEP, STEADILY, BACK, STALLS)
BLOCK_S: Final = 0.5
LEAST_BLOCKS: Final = 8
LEAST_OUTPUT: Final = 0.04
POWERS: Final = (0.4, 1.0)
BEFORE_S: Final = 0.5
BEFORE_COLLAPSE_S: Final = 0.06
NEAR_END_S: Final = 0.3
BACK_RATIO: Final = 0.7
NOT_SEEN: Final = 0.9
CLOSES_S: Final = 0.15  # a rotor that stalls falls behind while the throttle closes
CLOSING: Final = 0.5
CLOSING_BEFORE_S, CLOSING_S = (-0.2, -0.1), (0.0, 0.1)
STEP_BEFORE_S: Final = 0.25  # a hard throttle takes a tenth of a second, a rotor that slips another


def of_speeds(seen: Seen, tell: Telling) -> None:
    """Tell the signs of rotor speeds."""
    outputs, speeds = seen.outputs, seen.speeds
    if speeds is None or len(speeds.channels) < 3:
        tell.missed(WhyNot.NO_CHANNEL, *OF_BOTH, needs=needing(Quantity.ROTOR_SPEED))
        return
    if not seen.looked.answer.flown.aloft():
        tell.missed(WhyNot.NOT_ALOFT, *OF_BOTH)
        return
    _collapses(seen, tell)
    if outputs is None or len(outputs.channels) != CORNERS or len(speeds.channels) != CORNERS:
        tell.missed(WhyNot.NO_CHANNEL, *OF_BOTH, needs=needing(Quantity.OUTPUT))
        return
    jumped = _jumps(seen, tell)
    _steady(seen, outputs, speeds, jumped, tell)


def _paired(outputs: Columns, speeds: Columns) -> list[int] | None:
    """Return the place of the output of each rotor; None where they cannot be paired."""
    keys = [(each.at, each.number) for each in outputs.channels]
    found = [(each.at, each.number) for each in speeds.channels]
    return [keys.index(each) for each in found] if set(found) <= set(keys) else None


def ratios_of(outputs: Columns, speeds: Columns, spans: list[tuple[float, float]]) -> Floats | None:
    """Return each rotor's speed for its output over the median of its siblings', shape (4,); None where too little.

    Notes
    -----
    In half-second means the logarithm of speed is the rotor's own level, plus a power of its output, plus what all
    share in that block (a sagging pack). The power is that of least squares with both levels taken out.
    """
    places = _paired(outputs, speeds)
    if places is None:
        return None
    xs: list[Floats] = []
    ys: list[Floats] = []
    for start_s, end_s in spans:
        edges_s = start_s + BLOCK_S * np.arange(int((end_s - start_s) / BLOCK_S) + 1)
        if edges_s.size < 2:
            continue
        for into, columns, order in ((xs, outputs, places), (ys, speeds, range(len(places)))):
            edges = np.searchsorted(columns.t_s, edges_s)
            if (np.diff(edges) <= 0).any():
                return None
            last = int(edges[-1])
            means = [np.add.reduceat(columns.values[k][:last], edges[:-1], dtype=np.float64) for k in order]
            into.append(np.stack(means) / np.diff(edges))
    if not xs:
        return None
    asked, turned = np.concatenate(xs, axis=1), np.concatenate(ys, axis=1)
    keep = (asked > LEAST_OUTPUT).all(axis=0) & (turned > 1.0).all(axis=0)
    if int(keep.sum()) < LEAST_BLOCKS:
        return None
    x, y = np.log(asked[:, keep]), np.log(turned[:, keep])
    inner = x - x.mean(axis=0) - x.mean(axis=1, keepdims=True) + x.mean()
    spread = float(np.square(inner).sum())
    slope = float((inner * y).sum()) / spread if spread > 1e-4 * inner.size else 0.7
    power = min(max(slope, POWERS[0]), POWERS[1])
    level = np.median(y - power * x - np.median(y - power * x, axis=0), axis=1)
    others = np.array([np.median(np.delete(level, k)) for k in range(level.size)])
    return np.asarray(np.exp(level - others))


def _steady(seen: Seen, outputs: Columns, speeds: Columns, jumped: Event | None, tell: Telling) -> None:
    """Tell whether one rotor turns slower or faster than its siblings at the same output, before anything failed."""
    spans = seen.steady(*STEADY)
    ratios = ratios_of(outputs, speeds, spans)
    if ratios is None:
        tell.missed(WhyNot.TOO_SHORT, LOW, *(() if jumped else (HIGH,)))
        if jumped is None:
            return
    else:
        slow, fast = int(np.argmin(ratios)), int(np.argmax(ratios))
        span = (spans[0][0], spans[-1][1])
        tell.scored(
            LOW, GROUP, (1.0 - float(ratios[slow])) / SPEED_LOW.value, span=span, channels=(speeds.channels[slow],),
            values={"siblings_ratio": float(ratios[slow]), "limit_ratio": 1.0 - SPEED_LOW.value},
        )  # fmt: skip
        tell.scored(
            HIGH, GROUP, (float(ratios[fast]) - 1.0) / SPEED_HIGH.value, span=span, channels=(speeds.channels[fast],),
            values={"siblings_ratio": float(ratios[fast]), "limit_ratio": 1.0 + SPEED_HIGH.value},
        )  # fmt: skip
    if jumped is not None:
        ratio = jumped.values["mean_ratio"]
        tell.scored(
            HIGH, GROUP, (ratio - 1.0) / SPEED_HIGH.value, span=(jumped.start_s, jumped.end_s),
            values={"siblings_ratio": ratio, "limit_ratio": 1.0 + SPEED_HIGH.value}, channels=jumped.channels,
        )  # fmt: skip


def _jumps(seen: Seen, tell: Telling) -> Event | None:
    """Tell whether a rotor's speed jumps up; return the excess, if there is one before the flight's end."""
    if any(each.kind is EventKind.SPEED_EXCESS for each in seen.looked.answer.not_told):
        tell.missed(WhyNot.TOO_SLOW, JUMP)
        return None
    first = next(iter(seen.events(EventKind.SPEED_COLLAPSE, EventKind.RATE_RUN_AWAY)), None)
    limit_s = seen.ended_s if first is None else min(seen.ended_s, first.start_s + NEAR_END_S)
    found = [each for each in seen.events(EventKind.SPEED_EXCESS, until_s=limit_s)
             if _aloft_before(seen, each.start_s)
             and not barely_asked(seen.outputs, seen.idle, each.start_s)
             and not _closing(seen.outputs, each.start_s)]  # fmt: skip
    if not found:
        tell.told(JUMP, GROUP, False, NOT_SEEN)
        return None
    event = found[0]
    excess = (event.values["mean_ratio"] - 1.0) / (SPEED_JUMP.value - 1.0)
    tell.scored(
        JUMP, GROUP, excess, span=(event.start_s, event.end_s), channels=event.channels,
        values={"siblings_ratio": event.values["mean_ratio"], "limit_ratio": SPEED_JUMP.value},
    )  # fmt: skip
    return event


def _closing(outputs: Columns | None, at_s: float) -> bool:
    """Tell whether the throttle is being closed: rotors slow down by themselves then, and not all alike."""
    if outputs is None:
        return False
    mean = np.mean(outputs.values, axis=0)
    before, after = (mean[rows_between(outputs.t_s, at_s + a, at_s + b)] for a, b in (CLOSING_BEFORE_S, CLOSING_S))
    return bool(before.size and after.size) and float(after.mean()) < CLOSING * float(before.mean())


def _aloft_before(seen: Seen, at_s: float) -> bool:
    """Tell whether it had been in the air for a moment."""
    return any(start_s + BEFORE_S <= at_s <= end_s for start_s, end_s in seen.looked.answer.flown.aloft())


def _collapses(seen: Seen, tell: Telling) -> None:
    """Tell what the first rotor that collapses does, if one does before the end."""
    untold = [each for each in seen.looked.answer.not_told if each.kind is EventKind.SPEED_COLLAPSE]
    if untold:
        tell.missed(untold[0].why, AFTER_STEP, STEADILY, BACK, STALLS, needs=untold[0].needs)
        return
    gone = [each for each in seen.events(EventKind.RATE_RUN_AWAY) if seen.ended_s - each.end_s < FLIES_ON_S]
    limit_s = min(seen.ended_s, gone[0].start_s + NEAR_END_S) if gone else seen.ended_s
    found = [each for each in seen.events(EventKind.SPEED_COLLAPSE, until_s=limit_s)
             if each.values["least_ratio"] < STANDS or not _closing(seen.outputs, each.start_s)]  # fmt: skip
    if not found:
        for sign in (AFTER_STEP, STEADILY, BACK):
            tell.told(sign, GROUP, False, NOT_SEEN)
        if _throttle_closed(seen):
            where = _stands_still(seen)
            tell.told(STALLS, GROUP, where is not None, STANDS_SURE if where else NOT_SEEN, span=where)
            if where is not None:  # it stood for a moment only
                tell.told(BACK, GROUP, where[1] < seen.ended_s - 0.3, BACK_SURE, span=where)
        else:
            tell.missed(WhyNot.LOAD_TOO_STEADY, STALLS)
        return
    _collapse(seen, found[0], tell)


def _stands_still(seen: Seen) -> tuple[float, float] | None:
    """Return when one rotor stands while its siblings turn, throttle closed just before; None where none does."""
    speeds, outputs = seen.speeds, seen.outputs
    if speeds is None or outputs is None or len(speeds.values) < 3:
        return None
    mean = np.mean(outputs.values, axis=0)  # one alone at idle is the mixer's work
    for start_s, end_s in seen.steady(*STEADY, until_s=seen.ended_s):
        rows = rows_between(speeds.t_s, start_s + 1.0, end_s)
        part = np.sort(np.stack([values[rows] for values in speeds.values]), axis=0)
        middle = np.median(part[1:], axis=0) if part.size else part
        still = (part[0] < STANDS * middle) & (middle > STANDS_LEAST_HZ) if part.size else np.zeros(0, np.bool_)
        t_s = speeds.t_s[rows]
        for first, after in spans_where(still, t_s, least_s=STANDS_S):
            before = mean[rows_between(outputs.t_s, float(t_s[first]) - 0.6, float(t_s[first]) + 0.05)]
            asks_little = before.size and float(before.min()) < seen.idle + MEAN_BARELY.value
            if asks_little and turns_quietly(seen, float(t_s[first])):
                return float(t_s[first]), float(t_s[min(after, t_s.size - 1)])
    return None


def _collapse(seen: Seen, event: Event, tell: Telling) -> None:
    """Tell the signs of one collapse."""
    group = f"rotor speeds {event.start_s:.0f} s"
    span = (event.start_s, event.end_s)
    values = dict(event.values)
    depth = sure_of(0.6 / max(event.values["least_ratio"], 0.05), 0.96)
    asked = _asked_before(seen, event)
    if asked is None:
        tell.missed(WhyNot.NO_CHANNEL, AFTER_STEP, STEADILY, STALLS, needs=needing(Quantity.OUTPUT))
    else:
        low, rise = asked
        closed = low < BARELY_ASKED.value or any(
            barely_asked(seen.outputs, seen.idle, event.start_s + later_s) for later_s in (0.0, CLOSES_S)
        )
        stalls = closed and rise < STEP.value and turns_quietly(seen, event.start_s, or_as_asked=True)
        tell.told(
            STALLS, group, stalls, depth if stalls else NOT_SEEN, span=span, values=values, channels=event.channels
        )
        after = rise / STEP.value
        step = sure_of(after, 0.95)
        if after >= 1.0 and _closing(seen.outputs, event.start_s):  # the rise was taken back before the rotor fell
            tell.missed(WhyNot.LOAD_TOO_STEADY, AFTER_STEP, STEADILY)
            _comes_back(seen, event, group, tell)
            return
        tell.told(AFTER_STEP, group, after >= 1.0, step, span=span, values=values, channels=event.channels)
        tell.told(
            STEADILY, group, after < 1.0 and not stalls, min(step, depth), span=span, values=values,
            channels=event.channels,
        )  # fmt: skip
    _comes_back(seen, event, group, tell)


def _asked_before(seen: Seen, event: Event) -> tuple[float, float] | None:
    """Return the output above idle as a rotor begins to fall, and by how much it rose just before."""
    output = next((each for each in event.channels if each.quantity is Quantity.OUTPUT), None)
    series = None if output is None else seen.record.series.get(output)
    if series is None:
        return None
    before = series.values[rows_between(series.t_s, event.start_s - STEP_BEFORE_S, event.start_s + 1e-3)]
    if not before.size:
        return None
    near = series.values[rows_between(series.t_s, event.start_s - BEFORE_COLLAPSE_S, event.start_s + 1e-3)]
    rise = float(np.max(before - np.minimum.accumulate(before)))
    level = float(np.median(near if near.size else before)) - seen.idle
    return level, max(rise, event.values.get("step_share", 0.0))


def _comes_back(seen: Seen, event: Event, group: str, tell: Telling) -> None:
    """Tell whether the rotor turns again; where the flight ends too soon for that nobody knows."""
    speed = seen.record.series.get(event.channels[0])
    if speed is None:
        tell.missed(WhyNot.NO_CHANNEL, BACK, needs=needing(Quantity.ROTOR_SPEED))
        return
    rows = rows_between(speed.t_s, event.end_s - 0.02, event.end_s + 0.5)
    others = [held_at(each.t_s, each.values, speed.t_s[rows]) for each in seen.record.all_of(Quantity.ROTOR_SPEED)
              if each.channel != speed.channel]  # fmt: skip
    lasted_s = event.end_s - event.start_s
    if event.end_s < seen.ended_s - 0.1 and rows.stop > rows.start and others:
        share = float(np.median(speed.values[rows])) / max(float(np.median(others)), 1.0)
        tell.scored(
            BACK, group, share / BACK_RATIO, most=0.95, span=(event.end_s, event.end_s + 0.5),
            values={"siblings_ratio": share, "duration_s": lasted_s}, channels=event.channels,
        )  # fmt: skip
        return
    left_s = seen.ended_s - event.start_s
    if left_s < SPEED_RATE.value / 40.0:
        tell.missed(WhyNot.TOO_SHORT, BACK)
        return
    tell.told(BACK, group, False, sure_of(max(left_s / COMES_BACK.value, 1.0) * 1.05, 0.9), channels=event.channels)


def _throttle_closed(seen: Seen) -> bool:
    """Tell whether the throttle was closed in the air for a moment, before anything failed."""
    outputs = seen.outputs
    if outputs is None:
        return False
    mean = np.mean(outputs.values, axis=0)
    return any(
        bool((mean[rows_between(outputs.t_s, a + 1.0, b - 1.0)] < seen.idle + MEAN_BARELY.value).mean() > 0.001)
        for a, b in seen.steady(*STEADY) if b - a > 3.0
    )  # fmt: skip
