"""Levels against those of healthy flights of the same aircraft, or of the plan: lower in every direction, by a step."""

from __future__ import annotations

from typing import Final

import numpy as np

from turnback.assess.link_events_parts import thinned
from turnback.assess.signs_link_fit import fit_distance
from turnback.assess.signs_link_parts import Teller, sure_of
from turnback.assess.signs_link_power import Apart, power_fell
from turnback.assess.signs_link_view import FEWEST, link_frame
from turnback.records.channel import Quantity
from turnback.records.debrief import Compare, Compared, Looked
from turnback.records.happened import RecordAnswer, WhyNot
from turnback.rules.record_signs_link import FIXED_STEP_DB, LOWER_DB, ONE_WAY_DB, USUAL_BACK_DB

GROUP: Final = "link level against before"
SIGNS: Final = ("level-low-every-direction", "level-low-fixed-step", "video-deficit-constant")
WAYS: Final = (Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK)
OF_COMPARED: Final = {Compare.LEVEL: Quantity.LINK_LEVEL, Compare.LEVEL_BACK: Quantity.LINK_LEVEL_BACK}
PLAN_SD_DB: Final = 4.0
"""A plan knows antennas and powers by their data sheets."""
FAR_M: Final = 30.0
FEW_STATIONS: Final = 8


def tell_against_earlier(looked: Looked, apart: Apart | None, teller: Teller) -> None:
    """Tell the signs that need an earlier flight, or a plan, beside this one.

    Parameters
    ----------
    looked : Looked
    apart : Apart or None
        Both ways side by side.
    teller : Teller
    """
    record = looked.answer.flown.record
    if not any(record.get(each) for each in WAYS):
        for sign in SIGNS[:2]:
            teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.LINK_LEVEL)
    else:
        _tell_lower(looked, apart, teller)
    _tell_video(looked, teller)


def _offsets(looked: Looked) -> dict[Quantity, tuple[float, float]]:
    """Return, for each direction, how much higher the level is than before, in dB, and what that is uncertain by."""
    found: dict[Quantity, tuple[float, float]] = {}
    if power_fell(looked):
        return found  # weak from the start, or since it fell: the whole flight's level does not tell
    for way in WAYS:
        own = _at_100_m(looked, way)
        before = [each for each in (_at_100_m(_as_looked(one), way) for one in looked.earlier) if each is not None]
        if own is not None and before:
            spread = float(np.std(before)) if len(before) > 2 else 2.0
            found[way] = own - float(np.median(before)), max(1.5, spread)
    if not found and looked.against is not None:
        for compared in looked.against.compared:
            end = OF_COMPARED.get(compared.what)
            if end is not None and (off := _off_plan(looked, compared, end)) is not None:
                found[end] = off
    return found


def _off_plan(looked: Looked, compared: Compared, way: Quantity) -> tuple[float, float] | None:
    """Return recorded less planned where the distance rules the level, and what a plan is uncertain by."""
    frame = link_frame(looked, way)
    if frame is None or frame.away_m is None or np.count_nonzero(frame.keep) < FEWEST:
        return None
    far = frame.keep & (frame.away_m > FAR_M)
    if np.count_nonzero(far) < FEWEST:
        return None
    span = float(frame.t_s[far][0]), float(frame.t_s[far][-1])
    off = (compared.recorded - compared.predicted)[(compared.t_s >= span[0]) & (compared.t_s <= span[1])]
    off = off[np.isfinite(off)]
    if off.size < FEW_STATIONS:
        return None
    half = 0.5 * (compared.residual.high - compared.residual.low) / 1.645
    return float(np.median(off)), max(PLAN_SD_DB, half)


def _as_looked(answer: RecordAnswer) -> Looked:
    phases = answer.flown.phases
    return Looked(answer, phases[-1].end_s if phases else 0.0)


def _at_100_m(looked: Looked, way: Quantity) -> float | None:
    """Return a level's own line at 100 m."""
    frame = link_frame(looked, way)
    if frame is None or frame.away_m is None or np.count_nonzero(frame.keep) < FEWEST:
        return None
    return fit_distance(frame).offset_dbm


def _tell_lower(looked: Looked, apart: Apart | None, teller: Teller) -> None:
    offsets = _offsets(looked)
    if not offsets:
        for sign in SIGNS[:2]:
            teller.cannot(sign, WhyNot.NO_CHANNEL)
        return
    lower = {way: -offset for way, (offset, _) in offsets.items()}
    unsure = max(each for _, each in offsets.values())
    values = {f"apart_{way.value}_db": -value for way, value in lower.items()}
    planned = not looked.earlier
    most = 0.85 if planned else 0.95
    every = (min(lower.values()) - LOWER_DB.value) / max(2.0, 0.8 * unsure)
    step = (max(lower.values()) - FIXED_STEP_DB.value) / max(1.5, 0.8 * unsure)
    if len(lower) > 1:
        step = min(step, (max(lower.values()) - min(lower.values()) - FIXED_STEP_DB.value) / 1.5)
    elif apart is not None:  # both ways are recorded and one was known before: antennas weaken both alike
        one_way = (float(np.median(apart.db)) - USUAL_BACK_DB.value - ONE_WAY_DB.value) / 1.8
        every, step = min(every, -one_way), min(step, one_way)
    else:  # which of both it is, one direction alone does not tell
        every, step = min(every, 0.6), min(step, 0.3, (LOWER_DB.value + 3.0 - max(lower.values())) / 2.0)
    teller.by(SIGNS[0], every, GROUP, most=most, channels=tuple(lower), values=values)
    teller.by(SIGNS[1], step, GROUP, most=most, channels=tuple(lower), values=values)


def _tell_video(looked: Looked, teller: Teller) -> None:
    """Tell whether the video link lies further below the control link than in earlier flights."""
    sign = SIGNS[2]
    record = looked.answer.flown.record
    if record.get(Quantity.VIDEO_LEVEL) is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.VIDEO_LEVEL)
        return
    own = _video_less_control(looked.answer)
    before = [each for each in map(_video_less_control, looked.earlier) if each is not None]
    if own is None or not before:
        teller.cannot(sign, WhyNot.NO_CHANNEL)
        return
    lower = float(np.median(before)) - own
    teller.say(sign, lower > 7.0, sure_of((lower - 7.0) / 2.0, 0.9), GROUP, channels=(Quantity.VIDEO_LEVEL,),
               lower_db=lower)  # fmt: skip


def _video_less_control(answer: RecordAnswer) -> float | None:
    """Return how far the video level lies above that of the control link, typically."""
    video, level = answer.flown.record.get(Quantity.VIDEO_LEVEL), answer.flown.record.get(Quantity.LINK_LEVEL)
    if video is None or level is None or min(video.t_s.size, level.t_s.size) < FEWEST:
        return None
    (t_s, seen), (t_c, control) = thinned(video, 5.0), thinned(level, 5.0)
    return float(np.median(seen - np.interp(t_s, t_c, control)))
