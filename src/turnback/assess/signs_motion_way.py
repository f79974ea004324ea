"""How it is turned against its way and the ground: heading, lean in hover, tilt and shaking while it sinks."""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import rows_between, spans_where
from turnback.assess.signs_motion_blocks import Blocks, climb_at
from turnback.assess.signs_motion_lean import tell_current_by_lean
from turnback.assess.signs_motion_wash import in_own_wash
from turnback.assess.signs_outputs_flight import STEADY, Seen, most_asked
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.assess.signs_place_field import field_left, heading_turned
from turnback.assess.signs_place_seen import place_seen
from turnback.assess.signs_volts_told import sure_of as sure_beyond
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import PhaseKind, WhyNot
from turnback.rules.record_signs_motion import (
    FIELD_CHANGES,
    FIELD_CURRENT,
    HEADING_CURRENT,
    HEADING_OFF,
    LEANS,
    SINKS,
    TILT_EXTREME,
)

Floats = NDArray[np.float64]
CURRENT_NEEDS = (Quantity.HEADING, Quantity.CURRENT, Quantity.YAW_RATE)
WITH_CURRENT, OFF, LEAN, TILT = (
    "heading-error-with-current", "heading-off-by-one-angle", "leans-in-hover", "tilt-extreme-while-sinking",
)  # fmt: skip
STEP_S: Final = 0.1
LEAST_SPEED_MPS: Final = 4.0
COURSES: Final = 8
LEAST_PER_COURSE: Final = 15
ONE_WAY: Final = 2.0  # on one course alone wind may turn the way by as much as the limit
LEAN_S, TILT_S = 2.0, 0.3
ASKED: Final = 0.6
FAST_S: Final = 8.0
TURN_HZ: Final = 100.0
LEAST_STEPS: Final = 150
LEAST_LOAD: Final = 1.3


def on_the_way(seen: Seen, blocks: Blocks | None, tell: Telling) -> None:
    """Tell the signs of heading, lean and sinking."""
    _heading_off(seen, tell)
    _heading_with_current(seen, tell)
    _leans(seen, tell)
    _tilt(seen, tell)
    in_own_wash(seen, blocks, tell)


def _steps(seen: Seen, *kinds: PhaseKind) -> Floats:
    """Return times a tenth of a second apart in some phases, before anything failed."""
    spans = seen.steady(*kinds)
    return np.concatenate([np.empty(0), *(np.arange(a, b - STEP_S, STEP_S) for a, b in spans)])


def _angle_at(series: Series, at_s: Floats) -> Floats:
    """Return an angle at some times, by its nearest value before."""
    return np.asarray(series.values[np.maximum(np.searchsorted(series.t_s, at_s, side="right") - 1, 0)], np.float64)


def _way(seen: Seen, at_s: Floats) -> tuple[Floats, Floats] | None:
    """Return course and speed over ground at some times."""
    north, east = seen.record.get(Quantity.VELOCITY_NORTH), seen.record.get(Quantity.VELOCITY_EAST)
    if north is not None and east is not None:
        vn, ve = np.interp(at_s, north.t_s, north.values), np.interp(at_s, east.t_s, east.values)
        return np.arctan2(ve, vn), np.hypot(vn, ve)
    course, speed = seen.record.get(Quantity.COURSE), seen.record.get(Quantity.GROUND_SPEED)
    if course is None or speed is None:
        return None
    return _angle_at(course, at_s), np.interp(at_s, speed.t_s, speed.values)


def _heading_off(seen: Seen, tell: Telling) -> None:
    """Tell whether the nose points off the way by the same angle: by what lean does, else on courses far apart."""
    heading = seen.record.get(Quantity.HEADING)
    lean = [seen.record.get(each) for each in (Quantity.ROLL, Quantity.PITCH)]
    if heading is not None and all(lean):
        place = place_seen(seen.looked)
        turned, field = heading_turned(place), field_left(place)
        if turned is None:
            blind = place.no_speed()
            tell.missed(blind.why if blind else WhyNot.TOO_SHORT, OFF, needs=blind.needs if blind else ())
            return
        beyond = (abs(turned.off_rad) - HEADING_OFF.value) / math.hypot(max(turned.sd_rad, 0.02), 0.06)
        if field is not None:  # what goes with the current is no fitting
            beyond = min(beyond, (0.5 * FIELD_CURRENT.value - field.by_current) / 0.04 + 1.0)
        tell.told(
            OFF, "heading", beyond > 0.0, sure_beyond(beyond, 0.95), channels=(heading.channel,),
            values={"off_rad": abs(turned.off_rad), "limit_rad": HEADING_OFF.value},
        )  # fmt: skip
        return
    _heading_by_courses(seen, heading, tell)


def _heading_by_courses(seen: Seen, heading: Series | None, tell: Telling) -> None:
    """Tell it where no lean is recorded."""
    at_s = _steps(seen, PhaseKind.CRUISE, PhaseKind.HOVER, PhaseKind.ALOFT)
    way = _way(seen, at_s) if heading is not None and at_s.size else None
    if heading is None or (way is None and at_s.size):
        needs = needing(Quantity.HEADING, Quantity.COURSE, Quantity.GROUND_SPEED)
        tell.missed(WhyNot.NO_CHANNEL, OFF, needs=needs)
        return
    if way is None:
        tell.missed(WhyNot.NOT_ALOFT, OFF)
        return
    course, speed = way
    moving = speed >= LEAST_SPEED_MPS
    off = np.exp(1j * (_angle_at(heading, at_s) - course))[moving]
    sector = np.floor(np.mod(course[moving], 2.0 * np.pi) / (2.0 * np.pi) * COURSES).astype(int) % COURSES
    means = {k: off[sector == k].mean() for k in range(COURSES) if int((sector == k).sum()) >= LEAST_PER_COURSE}
    opposite = [k for k in means if any((k - other) % COURSES in (3, 4, 5) for other in means)]
    if not means:
        tell.missed(WhyNot.TOO_SHORT, OFF)
        return
    alone = not opposite
    opposite = opposite or list(means)
    # wind turns the way to one side on one course and to the other on the opposite one: their mean is without it
    together = np.array([means[k] for k in opposite]).mean()
    angle = abs(float(np.angle(together)))
    steady = float(np.abs(together))
    score = min(angle / HEADING_OFF.value / (ONE_WAY if alone else 1.0), (steady / 0.7) ** 2)
    tell.scored(
        OFF, "heading", score, most=0.85 if alone else 0.95, span=(float(at_s[0]), float(at_s[-1])),
        channels=(heading.channel,),
        values={"off_rad": angle, "limit_rad": HEADING_OFF.value},
    )  # fmt: skip


def _heading_with_current(seen: Seen, tell: Telling) -> None:
    """Tell whether the field goes with the current; without a field, whether the heading leaves the turning rates."""
    field = field_left(place_seen(seen.looked))
    if field is not None and seen.record.get(Quantity.CURRENT) is not None:
        changes = (field.current_share - FIELD_CHANGES.value) / 0.03
        beyond = min((field.by_current - FIELD_CURRENT.value) / 0.04, changes)
        tell.told(
            WITH_CURRENT, "heading", beyond > 0.0, sure_beyond(beyond, 0.97),
            channels=(Channel(Quantity.MAGNETIC_X), Channel(Quantity.CURRENT)),
            values={"explains": field.by_current, "field_share": field.current_share},
        )  # fmt: skip
        return
    heading, current, yaw = seen.record.get(Quantity.HEADING), seen.record.get(Quantity.CURRENT), seen.axes.get("yaw")
    if heading is None or current is None or yaw is None:
        if heading is None or current is None or not tell_current_by_lean(seen, tell, WITH_CURRENT):
            tell.missed(WhyNot.NO_CHANNEL, WITH_CURRENT, needs=needing(*CURRENT_NEEDS))
        return
    at_s = _steps(seen, *STEADY, PhaseKind.TAKE_OFF)
    if at_s.size < LEAST_STEPS:
        why = WhyNot.TOO_SHORT if seen.looked.answer.flown.aloft() else WhyNot.NOT_ALOFT
        tell.missed(why, WITH_CURRENT)
        return
    clock_s, rate = _upright_rate(seen)
    turned = np.interp(at_s, clock_s, np.cumsum(rate * np.gradient(clock_s)))
    error = np.unwrap(_angle_at(heading, at_s) - turned)
    load = np.interp(at_s, current.t_s, current.values)
    width = round(FAST_S / STEP_S)
    error, load_off = _without_slow(error, width), _without_slow(_mean(load, 10), width)
    low, high = np.quantile(_mean(load, 10), [0.1, 0.9])
    if high < LEAST_LOAD * max(low, 1e-3):
        tell.missed(WhyNot.LOAD_TOO_STEADY, WITH_CURRENT)
        return
    error = _mean(error, 10)
    slope = float(load_off @ error) / max(power := float(load_off @ load_off), 1e-9)
    fit = abs(slope) * float(np.sqrt(power)) / max(float(np.linalg.norm(error)), 1e-9)
    angle = abs(slope) * float(high - low)
    score = min(angle / HEADING_CURRENT.value, (fit / 0.3) ** 2)
    tell.scored(
        WITH_CURRENT, "heading", score, most=0.92, span=(float(at_s[0]), float(at_s[-1])),
        values={"turn_rad": angle, "fit_ratio": fit, "limit_rad": HEADING_CURRENT.value},
        channels=(heading.channel, current.channel),
    )  # fmt: skip


def _upright_rate(seen: Seen) -> tuple[Floats, Floats]:
    """Return how fast the heading turns by the turning rates, and by the lean where it is recorded, with its times."""
    yaw, pitch = seen.axes["yaw"], seen.axes.get("pitch")
    few = max(1, int(yaw.rate.rate_hz / TURN_HZ))
    t_s = _thinned(yaw.t_s, few)
    rate = _thinned(yaw.rate.values, few)
    roll_rad, pitch_rad = seen.record.get(Quantity.ROLL), seen.record.get(Quantity.PITCH)
    if pitch is None or roll_rad is None or pitch_rad is None or pitch.t_s.size != yaw.t_s.size:
        return t_s, rate
    lean, nose = _angle_at(roll_rad, t_s), _angle_at(pitch_rad, t_s)
    upright = np.maximum(np.cos(nose), 0.3)
    return t_s, np.asarray((_thinned(pitch.rate.values, few) * np.sin(lean) + rate * np.cos(lean)) / upright)


def _thinned(values: NDArray[Any], few: int) -> Floats:
    """Return means of a few rows."""
    count = values.size // few
    return np.asarray(values[: count * few].reshape(count, few).mean(axis=1), np.float64)


def _mean(values: Floats, width: int) -> Floats:
    """Return means over `width` steps."""
    return np.convolve(
        np.pad(values, (width // 2, width - 1 - width // 2), mode="edge"), np.ones(width) / width, "valid"
    )


def _without_slow(values: Floats, width: int) -> Floats:
    """Return a channel without what is slower than `width` steps."""
    return np.asarray(values - _mean(values, min(width, values.size)))


def _leans(seen: Seen, tell: Telling) -> None:
    """Tell how far it leans to stay in place."""
    roll, pitch = seen.record.get(Quantity.ROLL), seen.record.get(Quantity.PITCH)
    if roll is None or pitch is None:
        tell.missed(WhyNot.NO_CHANNEL, LEAN, needs=needing(Quantity.ROLL, Quantity.PITCH))
        return
    spans = [span for span in seen.steady(PhaseKind.HOVER) if span[1] - span[0] >= LEAN_S]
    if not spans:
        tell.missed(WhyNot.TOO_SHORT if seen.looked.answer.flown.aloft() else WhyNot.NOT_ALOFT, LEAN)
        return
    leans = []
    for span in spans:
        sideways = float(np.median(roll.values[rows_between(roll.t_s, *span)]))
        nose = float(np.median(pitch.values[rows_between(pitch.t_s, *span)]))
        leans.append(float(np.arccos(np.cos(sideways) * np.cos(nose))))
    most = max(leans)
    tell.scored(
        LEAN, "lean", most / LEANS.value, span=spans[int(np.argmax(leans))], channels=(roll.channel, pitch.channel),
        values={"lean_rad": most, "limit_rad": LEANS.value},
    )  # fmt: skip


def _tilt(seen: Seen, tell: Telling) -> None:
    """Tell whether it is tilted far while it sinks, and nobody asks for a figure."""
    roll, pitch = seen.record.get(Quantity.ROLL), seen.record.get(Quantity.PITCH)
    if roll is None or pitch is None:
        tell.missed(WhyNot.NO_CHANNEL, TILT, needs=needing(Quantity.ROLL, Quantity.PITCH))
        return
    end_s = min(seen.ended_s, seen.broke_s)
    spans = [(a, min(b, end_s)) for a, b in seen.looked.answer.flown.aloft() if a < end_s]
    at_s = np.concatenate([np.empty(0), *(np.arange(a, b, 0.02) for a, b in spans)])
    climb = climb_at(seen, at_s) if at_s.size else None
    if climb is None:
        why = WhyNot.NOT_ALOFT if not at_s.size else WhyNot.NO_CHANNEL
        tell.missed(why, TILT, needs=() if not at_s.size else needing(Quantity.CLIMB_RATE))
        return
    tilt = np.arccos(np.clip(np.cos(_angle_at(roll, at_s)) * np.cos(_angle_at(pitch, at_s)), -1.0, 1.0))
    sinking = climb < -SINKS.value
    beyond = spans_where(sinking & (tilt >= TILT_EXTREME.value), at_s, bridge_s=0.1)
    held = [(float(at_s[a]), float(at_s[min(b, at_s.size - 1)])) for a, b in beyond]
    most = float(np.max(tilt, where=sinking, initial=0.0))
    score = min(most / TILT_EXTREME.value, 0.95)
    where = None
    for start_s, stop_s in held:
        asked = most_asked(seen, ("roll", "pitch"), start_s - 0.4, start_s + 0.1)
        calm = 1.0 if asked is None else ASKED / max(asked, 1e-3)
        value = min((stop_s - start_s) / TILT_S, calm)
        if value > score:
            score, where = value, (start_s, stop_s)
    tell.scored(
        TILT, "lean", score, most=0.93, span=where, channels=(roll.channel, pitch.channel),
        values={"tilt_rad": most, "limit_rad": TILT_EXTREME.value},
    )  # fmt: skip
