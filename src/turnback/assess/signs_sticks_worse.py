"""Sticks whose answer makes it worse: from lift-off on a tilt and its stick grow together, or yaw answers a tilt."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import Floats, spans_looked_at, thinned
from turnback.assess.signs_link_parts import Teller, first_upset_s
from turnback.assess.signs_sticks_yaw import NOTHING, Worse, yaw_swings
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import Series
from turnback.records.happened import WhyNot
from turnback.rules.record_signs_sticks import (
    TOGETHER,
    TOGETHER_OVER,
    WORSE_GROW_S,
    WORSE_LATE_S,
    WORSE_OVER_DEG,
    WORSE_SHARE,
    WORSE_SOON_S,
    WORSE_STICK,
    YAW_ANSWERS,
    YAW_LOCKED_S,
    YAW_LOCKED_TURNS,
)

SIGN: Final = "each-answer-makes-it-worse"
NEEDS: Final = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.ROLL, Quantity.PITCH)
FRAME_HZ: Final = 20.0
BEFORE_S: Final = 1.5
"""Lift-off is told only once it moves: what turns over at once had begun before."""
AFTER_S: Final = 1.3
"""What whirls after a short hop is taken for lying on the ground: it may still be in the air."""
LOOKED_S: Final = 16.0
FROM: Final = 0.08
"""A stick below this has not begun: the tremble of a thumb."""
GOES_OVER_S: Final = 0.3
"""Far out, and over so soon: one and the same."""
LETS_GO_S: Final = 0.2
"""Who sees it go over begins to take the stick back."""
KEPT_S: Final = 5.0
LIFTS_S: Final = 0.5
TAKES_BACK: Final = 0.67
DOWN_S: Final = 3.5


def tell_worse(looked: Looked, teller: Teller) -> float:
    """Tell whether what the hand answers to a tilt makes it worse, from lift-off on.

    A hand pushes against a tilt that it does not want. Where the stick counts the other way, tilt and stick drive each
    other and grow as an exponential does: together, the same way, without a turn between (an unstable closed loop).
    Where two channels are crossed, the push arrives as yaw, or as the other tilt: then yaw is swung to and fro, in step
    with a tilt.

    Parameters
    ----------
    looked : Looked
    teller : Teller

    Returns
    -------
    float
        When it was far out, in seconds of the record: what hands do later is its consequence; infinity where not seen.
    """
    record, spans = looked.answer.flown.record, spans_looked_at(looked.answer.flown)
    known = [series for each in NEEDS if (series := record.get(each)) is not None and series.t_s.size > 10]
    if len(known) < len(NEEDS):
        teller.cannot(SIGN, WhyNot.NO_CHANNEL, *NEEDS)
        return float("inf")
    if min(each.rate_hz for each in known) < 4.0:
        teller.cannot(SIGN, WhyNot.TOO_SLOW, *NEEDS)
        return float("inf")
    if not spans:
        teller.cannot(SIGN, WhyNot.NOT_ALOFT)
        return float("inf")
    lifts_s = spans[0][0]
    t_s = np.arange(lifts_s - BEFORE_S, min(looked.ended_s + AFTER_S, lifts_s + LOOKED_S), 1.0 / FRAME_HZ)
    if t_s.size < 1.2 * BEFORE_S * FRAME_HZ:
        teller.cannot(SIGN, WhyNot.TOO_SHORT)
        return float("inf")
    sticks, tilts = [[np.interp(t_s, *thinned(each, FRAME_HZ)) for each in pair] for pair in (known[:2], known[2:])]
    upset_s = first_upset_s(looked)
    limit_s = min(looked.ended_s, upset_s) - 0.2
    throttle = record.get(Quantity.THROTTLE)
    carries = None if throttle is None or throttle.t_s.size < 10 else np.interp(t_s, *thinned(throttle, FRAME_HZ))
    best = max((_grows(t_s, stick, tilt, _over_deg(tilts), lifts_s, _until(t_s, carries, lifts_s, limit_s))
                for stick, tilt in zip(sticks, tilts, strict=True)), default=NOTHING)  # fmt: skip
    yaw = record.get(Quantity.YAW_STICK)
    if yaw is not None and yaw.t_s.size > 10:
        rows = (t_s > lifts_s + 0.3) & (t_s < min(looked.ended_s, upset_s + 0.3, spans[-1][1]))
        given = np.interp(t_s[rows], *thinned(yaw, FRAME_HZ))
        best = max(best, _yaws(t_s[rows], given, [each[rows] for each in tilts]))
        best = max(best, _locked(t_s, lifts_s, min(looked.ended_s, spans[-1][1]), yaw, tilts))
        best = max(best, yaw_swings(record, (lifts_s, min(looked.ended_s, spans[-1][1])), upset_s))
    teller.by(SIGN, best.beyond, "sticks", span=(best.from_s, best.to_s), channels=NEEDS, tilt_deg=best.tilt_deg,
              length_s=best.to_s - best.from_s)  # fmt: skip
    return best.to_s if best.beyond > 0.0 else float("inf")


def _until(t_s: Floats, throttle: Floats | None, lifts_s: float, limit_s: float) -> float:
    """Return until when the hand still flies: who takes the throttle back to two thirds, and is soon down, gave up."""
    flies = (t_s > lifts_s + LIFTS_S) & (t_s < limit_s)
    if throttle is None or not flies.any():
        return limit_s
    back = np.flatnonzero(flies & (throttle < TAKES_BACK * float(np.median(throttle[flies]))))
    at_s = float(t_s[back[0]]) if back.size else limit_s
    return at_s if limit_s - at_s < DOWN_S else limit_s


def _over_deg(tilts: list[Floats]) -> Floats:
    upright: Floats = np.clip(np.cos(tilts[0]) * np.cos(tilts[1]), -1.0, 1.0)
    over: Floats = np.degrees(np.arccos(upright))
    return over


def _grows(t_s: Floats, stick: Floats, tilt: Floats, over_deg: Floats, lifts_s: float, limit_s: float) -> Worse:
    """Return how stick and tilt of one axis grow up to the first time that the stick is far out, or it lies over."""
    far = np.flatnonzero((np.abs(stick) >= WORSE_STICK.value) | (over_deg > WORSE_OVER_DEG.value))
    if not far.size or abs(stick[far[0]]) < 2.5 * FROM:
        return NOTHING
    end, way = int(far[0]), float(np.sign(stick[far[0]]))
    out, leans_deg = way * stick[: end + 1], way * np.degrees(tilt[: end + 1])
    small = np.flatnonzero(out < FROM)
    first = int(small[-1]) if small.size else 0
    grew, leant_deg = out[first:], leans_deg[first:]
    if grew.size < 5 or float(np.std(leant_deg)) < 0.3:
        return NOTHING
    lasts_s, at_s = (end - first) / FRAME_HZ, float(t_s[end]) - lifts_s
    against = max(0.0, -float(out.min()))
    together = float(np.corrcoef(grew, leant_deg)[0, 1])
    over = np.flatnonzero(over_deg[end : end + 1 + round(GOES_OVER_S * FRAME_HZ)] > WORSE_OVER_DEG.value)
    beyond = -3.0
    if over.size:
        back = _taken_back(grew[: -round(LETS_GO_S * FRAME_HZ)])
        lies_deg = float(way * np.degrees(tilt[end + int(over[0])]))
        beyond = min((together - TOGETHER_OVER.value) / 0.1, (lasts_s - 0.3) / 0.1, (4.0 - at_s) / 0.8,
                     (lies_deg - 30.0) / 10.0, (0.1 - back) / 0.05, (0.15 - against) / 0.05)  # fmt: skip
    if over_deg[end] <= WORSE_OVER_DEG.value:
        later = way * stick[end + 1 : end + 1 + round(KEPT_S * FRAME_HZ)]
        later = later[t_s[end + 1 : end + 1 + later.size] < limit_s]
        kept = float(np.mean(later > 0.5)) if later.size > 5 else 1.0
        far_out = min((together - TOGETHER.value) / 0.02, (lasts_s - WORSE_GROW_S.value) / 0.15, (3.6 - lasts_s) / 0.4,
                      _soon(at_s, grew), (leans_deg[end] - 14.0) / 4.0,
                      (0.08 - _taken_back(grew)) / 0.03, (0.15 - against) / 0.05, (kept - 0.75) / 0.08)  # fmt: skip
        beyond = max(beyond, far_out)
    return Worse(float(beyond), float(t_s[first]), float(t_s[end]), float(over_deg[end]))


def _soon(at_s: float, grew: Floats) -> float:
    """Return whether it came soon after lift-off; a little later counts where it grew as a loop does, by its own size.

    A hand that leans into a cruise gets there as fast at first as at last, or faster.
    """
    share = float(np.mean(grew)) / float(grew[-1])
    later = min((WORSE_LATE_S.value - at_s) / 0.5, (WORSE_SHARE.value - share) / 0.03)
    return max((WORSE_SOON_S.value - at_s) / 0.5, later)


def _taken_back(grew: Floats) -> float:
    return float(np.max(np.maximum.accumulate(grew) - grew)) if grew.size else 0.0


def _yaws(t_s: Floats, yaw: Floats, tilts: list[Floats]) -> Worse:
    """Return how closely the yaw stick goes against one tilt: nobody answers a tilt with yaw."""
    if t_s.size < 2.5 * FRAME_HZ or float(np.std(yaw)) < FROM:
        return NOTHING
    over_deg = _over_deg(tilts)
    if float(over_deg[: round(1.5 * FRAME_HZ)].max()) > 30.0:
        return NOTHING  # turned over at once: every stick answers then
    beyond = (_against(yaw, tilts) - YAW_ANSWERS.value) / 0.05
    return Worse(beyond, float(t_s[0]), float(t_s[-1]), float(over_deg.max()))


def _against(yaw: Floats, tilts: list[Floats]) -> float:
    """Return how closely the yaw stick goes against the one tilt that it follows best."""
    closest = 0.0
    for tilt in tilts:
        if float(np.degrees(np.std(tilt))) < 5.0:
            continue
        for late in (0, 2, 4, 6):
            closest = min(closest, float(np.corrcoef(tilt[: tilt.size - late], yaw[late:])[0, 1]))
    return -closest


def _locked(t_s: Floats, lifts_s: float, ends_s: float, yaw: Series, tilts: list[Floats]) -> Worse:
    """Return how closely, and how often, yaw is pushed to and fro against one tilt up to the end.

    Such a loop may swing wide within two seconds of lift-off, and be taken for an upset. It stays in step for as long
    as it flies: hands that meet with a broken aircraft swing all their sticks, and in step with nothing.
    """
    rows = (t_s > lifts_s + 0.3) & (t_s < ends_s)
    if np.count_nonzero(rows) < YAW_LOCKED_S.value * FRAME_HZ:
        return NOTHING
    given = np.interp(t_s[rows], *thinned(yaw, FRAME_HZ))
    far = given[np.abs(given) > FROM]
    if far.size < FRAME_HZ:
        return NOTHING
    turns = float(np.count_nonzero(np.diff(np.sign(far))))
    parts = [each[rows] for each in tilts]
    beyond = min((_against(given, parts) - YAW_ANSWERS.value) / 0.05, (turns - YAW_LOCKED_TURNS.value) / 0.5)
    return Worse(beyond, float(t_s[rows][0]), float(t_s[rows][-1]), float(_over_deg(parts).max()))
