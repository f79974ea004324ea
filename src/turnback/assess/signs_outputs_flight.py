"""What the signs of outputs and of motion are read from: channels on their clocks, the lift, the first failure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis, axes_of
from turnback.assess.output_columns import Columns, columns_of
from turnback.assess.signals import rows_between, spans_where
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord, Series, Times
from turnback.records.happened import Event, EventKind, Flown, PhaseKind
from turnback.rules.record_signs_motion import LIFT_QUIET, LIFT_RATE
from turnback.rules.record_signs_outputs import MEAN_BARELY, RUN_UP, SPEED_JUMP

Floats = NDArray[np.float64]
CORNERS: Final = 4
IDLE: Final = 0.05
UP_HELD_S: Final = 0.1
BEGINS_S: Final = 0.3
SMOOTH_S: Final = 0.02
AFTER_LIFT_S: Final = 2.0
NO_LIFT_S: Final = 15.0
EARLY_S: Final = 0.5
CLOSED_S: Final = 0.1
STEADY: Final = (PhaseKind.HOVER, PhaseKind.CRUISE, PhaseKind.RETURN, PhaseKind.ALOFT)
BREAKS: Final = frozenset({EventKind.RATE_RUN_AWAY, EventKind.SPEED_COLLAPSE, EventKind.ARM_SWITCH_OFF_ALOFT,
                           EventKind.RESTART})  # fmt: skip
FALLS: Final = frozenset({EventKind.IMPACT, EventKind.FREE_FALL})
SHAKES_S: Final = 5.0  # nothing runs away or strikes for so long and still flies: the sensor shakes
QUIET_S, TUMBLES_RAD_S, AS_ASKED = (0.35, 0.05), 2.5, 0.8
FLIES_ON_S: Final = 4.0  # what it flies on from for so long was no end: it was caught, or flown through


@dataclass(frozen=True, slots=True)
class Lift:
    """The first run-up of a record.

    Parameters
    ----------
    up_s : float
        The motors are run up.
    lift_s : float
        It is first seen in the air; without that `up_s`.
    aloft : bool
    quiet_s, turned_s : float or None
        When it was last quiet before it turned fast, and when it did, soon after the lift.
    end_s : float
        Until when the lift is looked at.
    """

    up_s: float
    lift_s: float
    aloft: bool
    quiet_s: float | None
    turned_s: float | None
    end_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Seen:
    """Everything the tellers share."""

    looked: Looked
    record: FlightRecord
    outputs: Columns | None
    speeds: Columns | None
    axes: dict[str, Axis]
    lift: Lift | None
    failed_s: float
    """Of the first failure or fall, or the end."""
    broke_s: float
    """Of the first failure that is no fall and no blow."""
    idle: float

    @property
    def ended_s(self) -> float:
        """Until when something can be a cause."""
        return self.looked.ended_s

    def events(self, *kinds: EventKind, until_s: float = np.inf) -> list[Event]:
        """Return events of some kinds that begin before a time."""
        return [each for each in self.looked.answer.events if each.kind in kinds and each.start_s <= until_s]

    def steady(self, *kinds: PhaseKind, until_s: float | None = None) -> list[tuple[float, float]]:
        """Return spans of phases, cut off at the first failure."""
        end_s = self.failed_s if until_s is None else until_s
        cut = [(each.start_s, min(each.end_s, end_s)) for each in self.looked.answer.flown.phases if each.kind in kinds]
        return [span for span in cut if span[1] > span[0]]


def seen_of(looked: Looked) -> Seen:
    """Return what the signs are read from."""
    flown = looked.answer.flown
    outputs = columns_of(flown.record, Quantity.OUTPUT)
    axes = {axis.name: axis for axis in axes_of(flown.record)}
    idle = _idle(flown, outputs)
    lift = _lift(flown, outputs, axes, idle)
    broke_s = _broke_s(looked, outputs, idle)
    return Seen(
        looked, flown.record, outputs, columns_of(flown.record, Quantity.ROTOR_SPEED), axes, lift,
        min(broke_s, _fell_s(looked)), broke_s, idle,
    )  # fmt: skip


def _broke_s(looked: Looked, outputs: Columns | None, idle: float) -> float:
    """Return when the first thing failed: what outputs and rates do later is a consequence."""
    times = [looked.ended_s]
    for event in looked.answer.events:
        jumps = event.kind is EventKind.SPEED_EXCESS and event.values["mean_ratio"] >= SPEED_JUMP.value
        jumps = jumps and not barely_asked(outputs, idle, event.start_s)
        flies_on = looked.ended_s - event.end_s >= FLIES_ON_S or event.end_s - event.start_s > SHAKES_S
        caught = event.kind is EventKind.RATE_RUN_AWAY and flies_on
        if (event.kind in BREAKS and not caught) or jumps:
            times.append(event.start_s)
    return min(times)


def barely_asked(outputs: Columns | None, idle: float, at_s: float) -> bool:
    """Tell whether the throttle is closed at a time: what speeds do at so little output, no other output tells."""
    if outputs is None:
        return False
    rows = rows_between(outputs.t_s, at_s - CLOSED_S, at_s + CLOSED_S)
    mean = np.mean([values[rows] for values in outputs.values], axis=0)
    return bool(mean.size) and float(np.median(mean)) < idle + MEAN_BARELY.value


def _fell_s(looked: Looked) -> float:
    """Return when it first fell or hit something without flying on."""
    until_s = looked.ended_s - FLIES_ON_S
    blows = [event for event in looked.answer.events if event.kind in FALLS]
    found = [(each.start_s, each.end_s) for each in blows
             if each.kind is not EventKind.IMPACT or each.end_s - each.start_s <= SHAKES_S]  # fmt: skip
    found += [(each.start_s, each.end_s) for each in looked.answer.flown.phases if each.kind is PhaseKind.FALL]
    return min((start_s for start_s, end_s in found if end_s > until_s), default=np.inf)


def _idle(flown: Flown, outputs: Columns | None) -> float:
    """Return the output of motors that only turn."""
    if outputs is None:
        return IDLE
    parts = []
    for phase in flown.phases:
        if phase.kind is PhaseKind.ARMED_ON_GROUND:
            rows = rows_between(outputs.t_s, phase.start_s, phase.end_s)
            parts += [values[rows] for values in outputs.values]
    turning = np.concatenate(parts) if parts else np.empty(0)
    turning = turning[(turning > 0.005) & (turning < 0.15)]
    return float(np.median(turning[:: max(1, turning.size // 5000)])) if turning.size else IDLE


def _load(flown: Flown, outputs: Columns | None) -> tuple[Times, NDArray[Any]] | None:
    """Return the output that all corners but one reach, or the throttle.

    The mean of a board that pushes one side as it stands would look like a run-up.
    """
    if outputs is not None:
        return outputs.t_s, np.sort(outputs.values, axis=0)[min(1, len(outputs.values) - 1)]
    throttle = flown.record.get(Quantity.THROTTLE)
    return None if throttle is None else (throttle.t_s, throttle.values)


def _lift(flown: Flown, outputs: Columns | None, axes: dict[str, Axis], idle: float) -> Lift | None:
    """Return the first run-up; None where the record begins in the air or holds none."""
    spans = flown.aloft()
    aloft_s = spans[0][0] if spans else None
    if aloft_s is not None and aloft_s < BEGINS_S:
        return None
    load = _load(flown, outputs)
    up_s = aloft_s
    if load is not None:
        runs = spans_where(load[1] > idle + RUN_UP.value, load[0], least_s=UP_HELD_S, bridge_s=UP_HELD_S)
        if not len(runs):
            return None
        up_s = float(load[0][runs[0, 0]]) if aloft_s is None else min(float(load[0][runs[0, 0]]), aloft_s)
        if up_s - float(load[0][0]) < 0.05:
            return None
    if up_s is None:
        return None
    end_s = up_s + NO_LIFT_S if aloft_s is None else aloft_s + AFTER_LIFT_S
    lift_s = up_s if aloft_s is None else aloft_s
    quiet_s, turned_s = _turned(axes, up_s - EARLY_S, end_s)
    return Lift(up_s, lift_s, aloft_s is not None, quiet_s, turned_s, end_s)


def leaning_rate(axes: dict[str, Axis], start_s: float, end_s: float) -> tuple[Times, Floats] | None:
    """Return how fast it rolls and pitches between two times, smoothed over a fiftieth of a second."""
    if not {"roll", "pitch"} <= set(axes):
        return None
    roll, pitch = axes["roll"].rate, axes["pitch"].rate
    rows = rows_between(roll.t_s, start_s, end_s)
    if rows.stop - rows.start < 3:
        return None
    other = rows_between(pitch.t_s, start_s, end_s)
    across = pitch.values[other] if pitch.t_s is roll.t_s else np.interp(roll.t_s[rows], pitch.t_s, pitch.values)
    width = max(1, round(SMOOTH_S * roll.rate_hz))
    return roll.t_s[rows], np.hypot(smoothed(roll.values[rows], width), smoothed(across, width))


def turns_quietly(seen: Seen, at_s: float, *, or_as_asked: bool = False) -> bool:
    """Tell whether it does not tumble just before a time: it leans slowly, or as it is asked where that will do.

    Of what tumbles one output at idle is the mixer's work, and no closed throttle.
    """
    found = leaning_rate(seen.axes, at_s - QUIET_S[0], at_s - QUIET_S[1])
    if found is None or float(np.median(found[1])) < TUMBLES_RAD_S:
        return True
    if not or_as_asked:
        return False
    turned, asked = [], []
    for axis in (seen.axes["roll"], seen.axes["pitch"]):
        rows = rows_between(axis.t_s, at_s - QUIET_S[0], at_s - QUIET_S[1])
        if axis.demand is None or not axis.same_way:
            return False
        turned.append(float(np.mean(axis.rate.values[rows])))
        asked.append(float(np.mean(axis.demand[rows])))
    both = float(np.linalg.norm(turned) * np.linalg.norm(asked))
    return float(np.dot(turned, asked)) > AS_ASKED * max(both, 1e-9)


def smoothed(values: NDArray[Any], width: int) -> Floats:
    """Return means over `width` rows around each."""
    if width < 2:
        return np.asarray(values, np.float64)
    sums = np.cumsum(np.r_[0.0, np.asarray(values, np.float64)])
    rows = np.arange(values.size)
    first = np.maximum(rows - width // 2, 0)
    after = np.minimum(rows - width // 2 + width, values.size)
    return np.asarray((sums[after] - sums[first]) / (after - first))


def _turned(axes: dict[str, Axis], start_s: float, end_s: float) -> tuple[float | None, float | None]:
    """Return when it was last quiet before it first turned fast, and when it did."""
    found = leaning_rate(axes, start_s, end_s)
    if found is None:
        return None, None
    t_s, rate = found
    fast = np.flatnonzero(rate >= LIFT_RATE.value)
    if not fast.size:
        return None, None
    quiet = np.flatnonzero(rate[: fast[0]] < LIFT_QUIET.value)
    return float(t_s[quiet[-1] if quiet.size else 0]), float(t_s[fast[0]])


def hand(seen: Seen, name: str) -> Series | None:
    """Return the stick of an axis, if it is recorded."""
    places = {"roll": Quantity.ROLL_STICK, "pitch": Quantity.PITCH_STICK, "yaw": Quantity.YAW_STICK}
    return seen.record.get(places[name])


def most_asked(seen: Seen, names: tuple[str, ...], start_s: float, end_s: float) -> float | None:
    """Return the greatest mean deflection of some sticks between two times; None where none is recorded."""
    found = []
    for name in names:
        stick = hand(seen, name)
        if stick is not None:
            part = stick.values[rows_between(stick.t_s, start_s, end_s)]
            found.append(float(np.abs(part).mean()) if part.size else 0.0)
    return max(found, default=None)
