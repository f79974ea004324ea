"""In what way the level falls: with distance, attitude or time, by a step, raggedly, or beside somebody's body."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from turnback.assess.link_events_parts import inside, odd_width
from turnback.assess.signs_link_dips import DIPS, tell_dips
from turnback.assess.signs_link_fit import AttitudeFit, DistanceFit, fit_attitude, fit_distance
from turnback.assess.signs_link_parts import Teller, events_of, lost_links, position_jumps_of
from turnback.assess.signs_link_plan import plan_at_worst, worn_s
from turnback.assess.signs_link_power import Apart, power_falls
from turnback.assess.signs_link_steps import largest_step, tell_height, tell_step
from turnback.assess.signs_link_view import FEWEST, Floats, LinkFrame, link_frame
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_signs_link import (
    ATTITUDE_DB,
    ATTITUDE_SHARE,
    BELOW_PLAN,
    DECADE_LEAST,
    EVENLY,
    FADES_DB,
    FADES_SHARE,
    GROUND_TAKES,
    HIGH_LEVEL,
    ONCE_SHARE,
    RAGGED_DB,
    STEADY_MPS,
    STEP_DB,
    STEP_STAYS_S,
)

GROUP: Final = "link level"
POWER: Final = "link power"
"""Told between both ways, or by the power itself: what errs about the path does not err there."""
FADE_LEAST_S: Final = 20.0
TURNS_OFTEN: Final = 2
LAST_S: Final = 1.0
BY_PLACE: Final = (
    "level-falls-at-one-place", "level-dips-at-moments", "level-dips-with-attitude", "level-falls-with-distance",
    "level-dips-slow-and-ragged", "level-comes-back-with-height", "level-dips-aircraft-steady",
)  # fmt: skip
SURELY: Final = 1.0
SHAPES: Final = (
    "level-falls-with-distance", "level-dips-with-attitude", "level-fades-with-time", "level-steps-down",
    "level-comes-back-with-height", "level-dips-slow-and-ragged", *DIPS,
)  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """One level with all that was fitted to it; `rest_db` is what distance and attitude leave."""

    frame: LinkFrame
    distance: DistanceFit
    attitude: AttitudeFit | None
    rest_db: Floats


def shape_of(looked: Looked, level: Quantity) -> Shape | None:
    """Return a level's shape; None where there is too little of it.

    Parameters
    ----------
    looked : Looked
    level : Quantity
    """
    frame = link_frame(looked, level)
    if frame is None:
        return None
    distance = fit_distance(frame)
    attitude = fit_attitude(frame, distance.rest_db)
    return Shape(frame, distance, attitude, distance.rest_db)


def control_shape(looked: Looked) -> Shape | None:
    """Return the shape of the level at the aircraft, or of the one at the radio where that alone was heard all along.

    What a radio records of the aircraft's own level stands still while the aircraft is not heard: its own does not.

    Parameters
    ----------
    looked : Looked
    """
    there, back = (shape_of(looked, each) for each in (Quantity.LINK_LEVEL, Quantity.LINK_LEVEL_BACK))
    if there is None or back is None:
        return there or back
    lost = [(each.start_s, each.end_s) for each in lost_links(looked)]
    return back if _heard_s(back.frame, lost) > _heard_s(there.frame, lost) + LAST_S else there


def low_at_one_place(looked: Looked) -> bool:
    """Tell whether the level is low where it passes a second time, too.

    Parameters
    ----------
    looked : Looked
    """
    shape = control_shape(looked)
    if shape is None or shape.frame.away_m is None or position_jumps_of(looked):
        return False
    teller = Teller()
    tell_dips(shape.frame, shape.distance.rest_db, shape.attitude, teller)
    return DIPS[0] in teller.signs and teller.signs[DIPS[0]].seen


def _heard_s(frame: LinkFrame, spans: list[tuple[float, float]]) -> float:
    """Return for how long there is a level in some spans."""
    return float(np.count_nonzero(inside(frame.t_s, spans)) * np.median(np.diff(frame.t_s)))


def tell_shapes(looked: Looked, apart: Apart | None, teller: Teller) -> None:
    """Tell the signs of a level's shape.

    Parameters
    ----------
    looked : Looked
    apart : Apart or None
        Both ways side by side.
    teller : Teller
    """
    record = looked.answer.flown.record
    shape = control_shape(looked)
    if shape is None:
        has = record.get(Quantity.LINK_LEVEL) or record.get(Quantity.LINK_LEVEL_BACK)
        for sign in SHAPES:
            if has:
                teller.cannot(sign, WhyNot.TOO_SHORT)
            else:
                teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.LINK_LEVEL)
        return
    if shape.frame.away_m is None:
        # without the distance no shape can be told from flying off and coming back; a sudden deep dip still can
        for sign in SHAPES:
            teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.LATITUDE, Quantity.LONGITUDE)
        _tell_by_dips(looked, shape.frame, teller)
        power = power_falls(looked, apart)
        if power is not None:
            teller.by("level-fades-with-time", power[0], POWER, channels=power[2], values=power[1])
        return
    step = largest_step(shape.frame, shape.distance.rest_db)
    _tell_distance(looked, shape, teller)
    _tell_attitude(shape, teller)
    _tell_time(looked, shape, apart, teller)
    tell_step(shape.frame, step, teller)
    tell_height(shape.frame, shape.distance.rest_db, teller)
    _tell_ragged(shape, teller)
    tell_dips(shape.frame, shape.distance.rest_db, shape.attitude, teller)
    planned = plan_at_worst(looked, shape.frame)
    if planned is not None and planned.ground_db > GROUND_TAKES.value:
        teller.signs.pop("level-dips-at-moments", None)  # the plan's ground explains it
        teller.cannot("level-dips-at-moments", WhyNot.TOO_SHORT)
    power = power_falls(looked, apart)
    # what hangs on the place is not known where the place is not; where power falls, it is not the path that does it
    if position_jumps_of(looked) or (power is not None and power[0] > SURELY):
        for sign in BY_PLACE:
            teller.signs.pop(sign, None)
            teller.cannot(sign, WhyNot.TOO_SHORT)


def _tell_by_dips(looked: Looked, frame: LinkFrame, teller: Teller) -> None:
    """Tell a step down by the dips that the record's finder of events tells: they stand out without a distance."""
    dips = [each for each in events_of(looked, EventKind.LEVEL_DIP) if each.words.get("link") != "video"]
    if not dips:
        teller.say("level-steps-down", False, 0.8, GROUP, channels=(frame.series.channel,))
        return
    deepest = max(dips, key=lambda each: each.values["depth_db"])
    depth_db, lasts_s = deepest.values["depth_db"], deepest.end_s - deepest.start_s
    beyond = min((depth_db - STEP_DB.value) / 3.0, (lasts_s - STEP_STAYS_S.value + 0.5) / 0.8)
    teller.by("level-steps-down", beyond, GROUP, most=0.8, span=(deepest.start_s, deepest.end_s),
              channels=deepest.channels, depth_db=depth_db)  # fmt: skip


def _tell_distance(looked: Looked, shape: Shape, teller: Teller) -> None:
    """Tell whether the level fell evenly to where the link went or wore thin, at about the greatest distance."""
    sign, frame, fit = "level-falls-with-distance", shape.frame, shape.distance
    if frame.away_m is None:
        teller.cannot(sign, WhyNot.NO_CHANNEL, Quantity.DISTANCE_LAUNCH)
        return
    worn_at_s = worn_s(looked)
    if worn_at_s is None:
        teller.say(sign, False, 0.95, GROUP, channels=(frame.series.channel,), slope_db=fit.slope_db)
        return
    if fit.decades < 0.3:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    before = np.flatnonzero((frame.t_s <= worn_at_s) & (frame.t_s > worn_at_s - 3.0))
    if not before.size:
        before = np.flatnonzero(frame.t_s <= worn_at_s)[-10:]
    if not before.size:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    rest_db = float(np.median(fit.rest_db[before]))
    far = float(np.median(frame.away_m[before])) / max(float(frame.away_m.max()), 1.0)
    level_dbm = float(np.median(frame.level_dbm[before]))
    # a fall in the last moment is none of distance, however even the way there
    last = (frame.t_s > worn_at_s - LAST_S) & (frame.t_s < worn_at_s + 0.5 * LAST_S)
    least_db = float(np.min(fit.rest_db[last])) if last.any() else rest_db
    beyond = min((HIGH_LEVEL.value - 2.0 - level_dbm) / 2.5, (far - 0.75) / 0.1)
    planned = plan_at_worst(looked, frame)
    if planned is not None:
        # the plan knows how its level falls over its ground: nearer than any line through the level itself
        taken_db = max(planned.ground_db - GROUND_TAKES.value + BELOW_PLAN.value, planned.below_db)
        beyond = min(beyond, (BELOW_PLAN.value - taken_db) / 1.5)
    else:
        beyond = min(
            beyond,
            (rest_db + EVENLY.value) / 2.5,
            (least_db + 1.5 * EVENLY.value) / 2.0,
            (fit.slope_db - DECADE_LEAST.value) / 3.0,
        )
    teller.by(sign, beyond, GROUP, span=(float(frame.t_s[0]), worn_at_s), channels=(frame.series.channel,),
              slope_db=fit.slope_db, rest_db=rest_db, distance_m=float(np.median(frame.away_m[before])))  # fmt: skip


def _tell_attitude(shape: Shape, teller: Teller) -> None:
    sign, fit = "level-dips-with-attitude", shape.attitude
    if fit is None:
        needs = (Quantity.HEADING,) if shape.frame.toward is None else ()
        teller.cannot(sign, WhyNot.NO_CHANNEL if needs else WhyNot.TOO_SHORT, *needs)
        return
    over = fit.share - ATTITUDE_SHARE.value
    # a blind end that is no short dipole's leaves more unexplained: that it is none is told less surely
    beyond = min((fit.depth_db - ATTITUDE_DB.value) / 2.0, over / (0.08 if over > 0.0 else 0.15))
    if beyond > 0.0 and fit.times < TURNS_OFTEN:
        # it turned into it once: anything that began then would fit, unless hardly anything is left to explain
        beyond = min(beyond, (fit.share - ONCE_SHARE.value) / 0.05)
        if beyond <= 0.0:
            teller.cannot(sign, WhyNot.TOO_SHORT)
            return
    teller.by(sign, beyond, GROUP, channels=(shape.frame.series.channel, Quantity.HEADING), depth_db=fit.depth_db,
              share=fit.share, times=float(fit.times))  # fmt: skip


def _tell_time(looked: Looked, shape: Shape, apart: Apart | None, teller: Teller) -> None:
    """Tell whether one direction's level fades with time: against the other way, else by its own slope."""
    sign, power = "level-fades-with-time", power_falls(looked, apart)
    if power is not None:
        teller.by(sign, power[0], POWER, channels=power[2], values=power[1])
        return
    rows = np.flatnonzero(shape.frame.keep)
    if rows.size < FEWEST or shape.frame.t_s[rows[-1]] - shape.frame.t_s[rows[0]] < FADE_LEAST_S:
        teller.cannot(sign, WhyNot.TOO_SHORT)
        return
    drop_db, share = _fade(shape, rows)
    beyond = min((drop_db - FADES_DB.value) / 1.5, (share - FADES_SHARE.value) / 0.12)
    teller.by(sign, beyond, GROUP, most=0.85, channels=(shape.frame.series.channel,), drop_db=drop_db, share=share)


def _fade(shape: Shape, rows: np.ndarray) -> tuple[float, float]:
    """Return the fall over the whole time and the share of it in the rest, the blind direction fitted beside it."""
    frame = shape.frame
    t_s = frame.t_s[rows]
    whole_s = float(t_s[-1] - t_s[0])
    columns = [np.ones(rows.size), (t_s - t_s[0]) / whole_s]
    if shape.attitude is not None and shape.attitude.depth_db > 3.0:
        columns.append(shape.attitude.part_db)
    y = shape.distance.rest_db[rows]
    design = np.stack(columns, axis=1)
    found = np.linalg.lstsq(design, y, rcond=None)[0]
    others = np.delete(design, 1, axis=1)
    without = y - others @ np.linalg.lstsq(others, y, rcond=None)[0]
    left = y - design @ found
    share = 1.0 - float(left @ left) / max(float(without @ without), 1e-9)
    return -float(found[1]), share


def _tell_ragged(shape: Shape, teller: Teller) -> None:
    """Tell how far the level falls below its own slow line while it moves, what a blind end takes left out."""
    frame = shape.frame
    moves = frame.keep if frame.speed_mps is None else frame.keep & (frame.speed_mps > STEADY_MPS.value)
    if np.count_nonzero(moves) < 60:
        teller.cannot("level-dips-slow-and-ragged", WhyNot.TOO_SHORT)
        return
    rest_db = shape.distance.rest_db.copy()
    if shape.attitude is not None and shape.attitude.depth_db > 5.0:
        rest_db[frame.keep] -= shape.attitude.part_db
    rest_db = rest_db[moves]
    # the same in whole seconds: what is left of noise from row to row does not count
    width = odd_width(frame.t_s[moves], 0.7, 3)
    smooth = np.convolve(rest_db, np.ones(width) / width, mode="valid")
    below_db = np.minimum(smooth - np.percentile(smooth, 60.0), 0.0)
    spread_db = float(np.sqrt(2.0 * np.mean(below_db * below_db)))
    beyond = (spread_db - RAGGED_DB.value) / 0.5
    teller.by("level-dips-slow-and-ragged", beyond, GROUP, most=0.95, channels=(frame.series.channel,),
              spread_db=spread_db)  # fmt: skip
