"""How it turns as it lifts, and how it stands and is held before: signs of the turning rates and acceleration."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.output_events_balance import HALVES as PARTS
from turnback.assess.signals import held_at, rows_between, spans_where
from turnback.assess.signs_motion_fit import BIN_S, binned, crosswise
from turnback.assess.signs_motion_pulled import CORNER, SIDE, pulled_over
from turnback.assess.signs_motion_tips import tips_over
from turnback.assess.signs_motion_whirl import ASKED_MOST_RAD_S, HEADING_HZ, whirl_of
from turnback.assess.signs_outputs_flight import Lift, Seen, leaning_rate, most_asked, smoothed
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import RATES, Quantity
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_motion import RATE_LEAST
from turnback.rules.record_signs_motion import (
    CROSSWISE,
    LIFT_QUIET,
    LIFT_RATE,
    LIFT_STICK,
    LIFT_WITHIN,
    UPRIGHT_RATE,
)
from turnback.rules.record_signs_outputs import FULL

Floats = NDArray[np.float64]
GROUP: Final = "rates at lift"
AWAY, DIVERGES, UPRIGHT = "rates-run-away-toward-corner", "diverges-after-lift", "turns-about-upright-axis"
NO_STICKS: Final = 0.85
FIT_HZ: Final = 50.0
FIT_S: Final = 4.0
TUMBLES_RAD_S: Final = 14.0
AGAINST: Final = 0.4
EXPLAINS: Final = 0.2
HELD_S: Final = 0.2
FIRST_S: Final = 0.3
RECOVERS: Final = 0.6
STRAINS, APART = 0.5, 0.6
FLIES_ON_S: Final = 3.0
SOON_S: Final = 1.2  # what pushes the wrong way is over by then, with however soft a board


def at_lift(seen: Seen, tell: Telling) -> None:
    """Tell how it turns as it lifts."""
    if not {"roll", "pitch"} <= set(seen.axes):
        tell.missed(WhyNot.NO_CHANNEL, DIVERGES, SIDE, CORNER, needs=needing(*RATES))
        tips_over(seen, tell)
        _by_heading(seen, tell)
        return
    if min(axis.fresh_hz for axis in seen.axes.values()) < 0.99 * RATE_LEAST.value:
        tell.missed(WhyNot.TOO_SLOW, AWAY, DIVERGES, UPRIGHT, SIDE, CORNER)
        return
    if seen.lift is None:
        tell.missed(WhyNot.TOO_SHORT, AWAY, DIVERGES, UPRIGHT, SIDE, CORNER)
        return
    pulled = pulled_over(seen, seen.lift, tell)
    _away(seen, seen.lift, pulled, tell)
    _upright(seen, seen.lift, tell)
    _diverges(seen, seen.lift, pulled, tell)


def _away(seen: Seen, lift: Lift, pulled: bool, tell: Telling) -> None:
    """Tell whether it turned toward a corner or side at once, with the sticks centred.

    Where its own thrust pulls it over against its outputs, how soon it does says nothing of what runs away.
    """
    if lift.turned_s is None or lift.quiet_s is None:
        found = leaning_rate(seen.axes, lift.up_s, min(lift.end_s, max(seen.ended_s, lift.up_s + FIRST_S)))
        most = 0.0 if found is None else float(found[1].max(initial=0.0))
        tell.scored(AWAY, GROUP, min(most / LIFT_RATE.value, 0.95), values={"rate_rad_s": most})
        return
    from_s = lift.quiet_s if not lift.aloft else max(lift.quiet_s, lift.lift_s - 0.2)
    after_s = max(lift.turned_s - from_s, 0.02) if not lift.aloft else max(lift.turned_s - lift.lift_s, 0.02)
    score = min(2.0, LIFT_WITHIN.value / max(after_s, 0.05))
    asked = most_asked(seen, ("roll", "pitch"), lift.quiet_s - 0.1, lift.turned_s)
    if asked is not None and score > 1.0:
        score = min(score, LIFT_STICK.value / max(asked, 1e-3))
    if score > RECOVERS and recovers(seen, lift):
        score = RECOVERS
    if score >= 1.0 and pulled:
        tell.missed(WhyNot.TOO_SHORT, AWAY)
        return
    found = leaning_rate(seen.axes, lift.turned_s, lift.turned_s + FIRST_S)
    most = LIFT_RATE.value if found is None else float(found[1].max())
    tell.scored(
        AWAY, GROUP, min(score, (most / LIFT_RATE.value) ** 2 + 0.1), most=NO_STICKS if asked is None else 0.97,
        span=(from_s, lift.turned_s), values={"after_s": after_s, "rate_rad_s": most, "limit_s": LIFT_WITHIN.value},
        channels=tuple(seen.axes[name].rate.channel for name in ("roll", "pitch")),
    )  # fmt: skip


def recovers(seen: Seen, lift: Lift) -> bool:
    """Tell whether it is quiet again a moment after it turned, and flies on."""
    if lift.turned_s is None or not lift.aloft or seen.ended_s < lift.turned_s + FLIES_ON_S:
        return False
    found = leaning_rate(seen.axes, lift.turned_s + 0.7, lift.turned_s + FLIES_ON_S)
    return found is not None and float(np.median(found[1])) < LIFT_QUIET.value and not _strains(seen, lift.turned_s)


def _strains(seen: Seen, turned_s: float) -> bool:
    """Tell whether a corner stays at full, far above another, after it turned: what lies or scrapes is no flight."""
    outputs = seen.outputs
    if outputs is None:
        return False
    rows = rows_between(outputs.t_s, turned_s + 0.7, turned_s + FLIES_ON_S)
    out = np.stack([np.asarray(values[rows], np.float64) for values in outputs.values])
    if not out.size:
        return False
    ends = (out.max(axis=0) >= FULL.value) & (np.ptp(out, axis=0) >= APART)
    return float(ends.mean()) > STRAINS


def _upright(seen: Seen, lift: Lift, tell: Telling) -> None:
    """Tell whether it turns about its upright axis against what is asked."""
    yaw = seen.axes.get("yaw")
    if yaw is None:
        tell.missed(WhyNot.NO_CHANNEL, UPRIGHT, needs=needing(Quantity.YAW_RATE))
        return
    end_s = min(lift.lift_s + FIT_S, max(seen.ended_s, lift.lift_s + FIRST_S))
    rows = rows_between(yaw.t_s, lift.up_s, end_s)
    if rows.stop - rows.start < 3:
        tell.missed(WhyNot.TOO_SHORT, UPRIGHT)
        return
    rate = np.asarray(yaw.rate.values[rows], np.float64)
    demanded = yaw.demand is not None and yaw.same_way
    error = rate - np.asarray(yaw.demand)[rows] if demanded else rate
    width = max(1, round(0.1 * yaw.rate.rate_hz))
    beyond = np.minimum(np.abs(smoothed(error, width)), np.abs(smoothed(rate, width)))
    leaning = leaning_rate(seen.axes, lift.up_s, end_s)
    across = np.zeros(beyond.size) if leaning is None else held_at(leaning[0], leaning[1], yaw.t_s[rows])
    alone = np.where(beyond > 1.5 * smoothed(across, width), beyond, 0.0)
    size = _held(alone, yaw.t_s[rows])
    asked = most_asked(seen, ("yaw",), lift.up_s, end_s)
    score = size / UPRIGHT_RATE.value / (1.0 if demanded else 1.5)
    if asked is not None and asked > LIFT_STICK.value and not demanded:
        score = min(score, 0.9)
    tell.scored(
        UPRIGHT, GROUP, score, most=0.97 if demanded else NO_STICKS, span=(lift.lift_s, end_s),
        values={"rate_rad_s": size, "limit_rad_s": UPRIGHT_RATE.value}, channels=(yaw.rate.channel,),
    )  # fmt: skip


def _by_heading(seen: Seen, tell: Telling) -> None:
    """Tell from headings, a few in a second, whether it turns about its upright axis although nobody asks for it."""
    heading = seen.record.get(Quantity.HEADING)
    if heading is None or not heading.fresh_hz or heading.fresh_hz < HEADING_HZ:
        why = WhyNot.NO_CHANNEL if heading is None else WhyNot.TOO_SLOW
        tell.missed(why, UPRIGHT, needs=needing(Quantity.YAW_RATE))
        return
    lift = seen.lift
    if lift is None:
        tell.missed(WhyNot.TOO_SHORT, UPRIGHT)
        return
    whirl = whirl_of(seen.record, lift.up_s, min(lift.lift_s + FIT_S, max(seen.ended_s, lift.lift_s + 1.0)))
    if whirl is None:
        tell.missed(WhyNot.TOO_SHORT, UPRIGHT)
        return
    score = whirl.most_rad_s / UPRIGHT_RATE.value / 1.2
    if whirl.asked is not None and whirl.asked > LIFT_STICK.value:  # a stick asks for less than this
        score = whirl.most_rad_s / ASKED_MOST_RAD_S
    tell.scored(
        UPRIGHT, GROUP, max(score, 0.05), most=0.92 if whirl.asked is not None else NO_STICKS,
        span=(lift.lift_s, whirl.ends_s),
        values={"rate_rad_s": whirl.most_rad_s, "limit_rad_s": UPRIGHT_RATE.value}, channels=(heading.channel,),
    )  # fmt: skip


def _held(values: Floats, t_s: Floats) -> float:
    """Return the value that is passed for `HELD_S` at a stretch."""
    for level in np.linspace(float(values.max(initial=0.0)), 0.0, 25):
        if level > 0.0 and len(spans_where(values >= level, t_s, least_s=HELD_S)):
            return float(level)
    return 0.0


def _diverges(seen: Seen, lift: Lift, pulled: bool, tell: Telling) -> None:
    """Tell whether it turns against or across what the outputs ask, or swings that grow set in with the lift.

    What its own thrust pulls over, while the outputs hold against it, does not; nor what first flies as it should.
    """
    outputs = seen.outputs
    if outputs is None or not outputs.corners_known():
        why = WhyNot.NO_CHANNEL if outputs is None else WhyNot.CORNERS_UNKNOWN
        tell.missed(why, DIVERGES, needs=needing(Quantity.OUTPUT))
        return
    rate_hz = min(outputs.t_s.size / max(float(outputs.t_s[-1] - outputs.t_s[0]), 1e-6),
                  *(axis.fresh_hz for axis in seen.axes.values()))  # fmt: skip
    if rate_hz < FIT_HZ * 0.98:
        tell.missed(WhyNot.TOO_SLOW, DIVERGES)
        return
    span = _span(seen, lift)
    fit = crosswise(seen, outputs, span)
    if fit is None:
        tell.missed(WhyNot.TOO_SHORT, DIVERGES)
        return
    share, explained = fit
    against = _against(seen, outputs, span)
    grows = [each for each in seen.events(EventKind.OSCILLATION, until_s=lift.lift_s + FIT_S)
             if each.values["growing"] > 0.0 and each.values["frequency_hz"] < 12.0]  # fmt: skip
    score = max(min(share / CROSSWISE.value, _soon(lift)), 1.3 if grows and lift.turned_s is not None else 0.0)
    score = max(score, min(against / AGAINST, _soon(lift)) if lift.turned_s is not None else 0.0)
    score = min(score, RECOVERS) if pulled or (lift.turned_s is not None and recovers(seen, lift)) else score
    most = 0.95 if explained >= EXPLAINS else 0.7
    tell.scored(
        DIVERGES, GROUP, max(score, 0.05), most=most, span=span,
        values={"crosswise_share": share, "explained_share": explained, "against_share": against,
                "limit_share": CROSSWISE.value},
        channels=(*(axis.rate.channel for axis in seen.axes.values()), *outputs.channels),
    )  # fmt: skip


def _soon(lift: Lift) -> float:
    """Return the most that turning crosswise or backwards counts: it flew as it should where it turns late."""
    late_s = 0.0 if lift.turned_s is None or not lift.aloft else lift.turned_s - lift.lift_s
    return float("inf") if late_s <= SOON_S else (SOON_S / late_s) ** 2


def _span(seen: Seen, lift: Lift) -> tuple[float, float]:
    """Return when to hold turning against outputs: from the run-up until it tumbles."""
    start_s = lift.up_s if not lift.aloft else lift.lift_s - FIRST_S
    end_s = min(lift.lift_s + FIT_S, max(seen.ended_s, lift.lift_s + FIRST_S))
    if lift.turned_s is not None:
        found = leaning_rate(seen.axes, lift.turned_s, lift.turned_s + 2.0)
        fast = np.empty(0, np.intp) if found is None else np.flatnonzero(found[1] > TUMBLES_RAD_S)
        tumbles_s = lift.turned_s + FIRST_S if found is None or not fast.size else float(found[0][fast[0]]) + BIN_S
        start_s, end_s = max(start_s, lift.turned_s - 1.5), max(min(end_s, tumbles_s), lift.turned_s)
    return start_s, end_s


def _against(seen: Seen, outputs: Columns, span: tuple[float, float]) -> float:
    """Return how far the outputs push along with an error of roll or pitch instead of against it: 1 altogether."""
    edges_s = np.arange(span[0], span[1] + 1e-9, BIN_S)
    out = np.stack([binned(outputs.t_s, values, edges_s) for values in outputs.values])
    worst, power = 0.0, 0.0
    for name, part in (("roll", "left-right"), ("pitch", "front-rear")):
        axis = seen.axes[name]
        asked = np.asarray(axis.demand) if axis.demand is not None and axis.same_way else np.zeros(1)
        error = binned(axis.t_s, asked - axis.rate.values, edges_s)
        push = PARTS[part] @ out
        size = float(np.square(push).sum())
        if np.isfinite(error).all() and size > power:
            worst = -float(push @ error) / max(float(np.linalg.norm(push) * np.linalg.norm(error)), 1e-9)
            power = size
    return max(worst, 0.0)
