"""Whether it whirls about its upright axis, by headings alone, when that begins, and until when it stands upright."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import Axis
from turnback.assess.signals import held_at, rows_between
from turnback.records.channel import Quantity
from turnback.records.debrief import Looked
from turnback.records.flight_record import FlightRecord
from turnback.rules.record_signs_motion import LIFT_STICK, UPRIGHT_RATE

Floats = NDArray[np.float64]
HEADING_HZ: Final = 3.0
TURNS_ROWS: Final = 5
TURNS_S: Final = 0.8
"""A field of the leads turns the shown heading as they begin to carry current; it does not go on turning."""
UPRIGHT_COS: Final = 0.7
ASKED_MOST_RAD_S: Final = 14.0
BEFORE_S: Final = 1.0
LOOKED_S: Final = 4.0
LAST_ROWS: Final = 10
OVER_RAD: Final = 0.5


@dataclass(frozen=True, slots=True)
class Whirl:
    """How fast it turns about its upright axis.

    Parameters
    ----------
    most_rad_s : float
        Over a few rows; a turn of more than half a round between two rows looks slower, so it is the least it can be.
    begins_s : float
        When it first is as fast as nobody asks for; where it never is, the first row.
    ends_s : float
        The last row before it tumbles.
    asked : float or None
        How far the yaw stick asks for the turn as that begins; None where no stick is recorded. Later it says nothing:
        whoever sees it whirl pushes the stick to and fro against it.
    """

    most_rad_s: float
    begins_s: float
    ends_s: float
    asked: float | None


def whirl_of(record: FlightRecord, start_s: float, end_s: float) -> Whirl | None:
    """Return how fast it turns between two times; None without headings, or with too few before it tumbles."""
    heading = record.get(Quantity.HEADING)
    if heading is None:
        return None
    rows = rows_between(heading.t_s, start_s, end_s)
    t_s, angle = heading.t_s[rows], np.asarray(heading.values[rows], np.float64)
    lean = [each for each in map(record.get, (Quantity.ROLL, Quantity.PITCH)) if each is not None]
    if len(lean) == 2:  # of a tumble, and of what comes after, the heading says nothing
        upright = np.prod([np.cos(held_at(each.t_s, each.values, t_s)) for each in lean], axis=0) > UPRIGHT_COS
        t_s, angle = (each[np.logical_and.accumulate(upright)] for each in (t_s, angle))
    width = max(TURNS_ROWS, round(TURNS_S * (heading.fresh_hz or heading.rate_hz)))
    if t_s.size:
        fresh = np.diff(angle, prepend=np.inf) != 0.0  # a radio holds each heading over some rows
        t_s, angle = t_s[fresh], angle[fresh]
    if t_s.size < width + 1:
        return None
    turned = np.angle(np.exp(1j * np.diff(angle)))
    rate = np.abs(turned) / np.maximum(np.diff(t_s), 1e-3)
    held = np.lib.stride_tricks.sliding_window_view(rate, width)
    middle: Floats = np.median(held, axis=1)  # one jump is no turning
    first = int(np.argmax(middle >= UPRIGHT_RATE.value))  # 0 where none is
    first += int(np.argmax(rate[first : first + width] >= UPRIGHT_RATE.value))
    last = min(first + width // 2, t_s.size - 1)
    stick, asked = record.get(Quantity.YAW_STICK), None
    if stick is not None:
        part = stick.values[rows_between(stick.t_s, float(t_s[first]), float(t_s[last]))]
        # as it begins: once it turns by more than half a round between rows, its way is not known
        way = np.sign(turned[max(first - 1, 0) : first + 1].sum())
        asked = max(float((way * part).mean()), 0.0) if part.size else 0.0
    return Whirl(float(middle.max()), float(t_s[first]), float(t_s[-1]), asked)


def whirls_s(looked: Looked) -> float:
    """Return when it begins to whirl from lift-off on, unasked; infinity where it does not, or no heading tells."""
    spans, heading = looked.answer.flown.aloft(), looked.answer.flown.record.get(Quantity.HEADING)
    if not spans or heading is None or not heading.fresh_hz or heading.fresh_hz < HEADING_HZ:
        return float("inf")
    lifts_s = spans[0][0]
    whirl = whirl_of(looked.answer.flown.record, lifts_s - BEFORE_S, min(lifts_s + LOOKED_S, looked.ended_s))
    if whirl is None or whirl.most_rad_s < 1.2 * UPRIGHT_RATE.value:
        return float("inf")
    return float("inf") if whirl.asked is None or whirl.asked > LIFT_STICK.value else whirl.begins_s


def whirls_on_s(looked: Looked) -> float:
    """Return when it begins to whirl from lift-off on, unasked, and does so to its last headings; else infinity."""
    begins_s, heading = whirls_s(looked), looked.answer.flown.record.get(Quantity.HEADING)
    if heading is None or not np.isfinite(begins_s):
        return float("inf")
    rows = rows_between(heading.t_s, begins_s, looked.ended_s)
    t_s, angle = heading.t_s[rows], np.asarray(heading.values[rows], np.float64)
    fresh = np.diff(angle, prepend=np.inf) != 0.0
    t_s, angle = t_s[fresh][-LAST_ROWS:], angle[fresh][-LAST_ROWS:]
    if t_s.size < LAST_ROWS:
        return begins_s
    rate = np.abs(np.angle(np.exp(1j * np.diff(angle)))) / np.maximum(np.diff(t_s), 1e-3)
    return begins_s if float(np.median(rate)) > UPRIGHT_RATE.value else float("inf")


def over_s(axes: dict[str, Axis], start_s: float, end_s: float) -> float:
    """Return when it has rolled and pitched far over since a time; infinity where it does not, or no rate tells.

    Notes
    -----
    From then on it turns about no upright axis: what a diagonal pair of outputs does is a consequence.
    """
    if not {"roll", "pitch"} <= set(axes):
        return float("inf")
    t_s = axes["roll"].t_s
    t_s = t_s[rows_between(t_s, start_s, end_s)]
    if t_s.size < 2:
        return float("inf")
    rates = np.stack([np.interp(t_s, axes[n].t_s, axes[n].rate.values) for n in ("roll", "pitch")])
    turned = np.cumsum(rates * np.gradient(t_s), axis=1)
    over = np.flatnonzero(np.hypot(turned[0], turned[1]) >= OVER_RAD)
    return float(t_s[over[0]]) if over.size else float("inf")
