"""Whether it leaned or turned as the sticks asked, to the end, from a record of a few rows a second without demands.

A radio's record has no rate demands, and its rows come too seldom for turning rates. But with self-level a stick asks
for an angle, and without it for a turning rate, which two attitudes and the heading give between two rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signs_outputs_flight import Seen
from turnback.assess.signs_outputs_tell import Telling, needing
from turnback.records.channel import Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import EventKind, WhyNot
from turnback.rules.record_signs_sticks import CLOSED

Floats = NDArray[np.float64]
FOLLOWS: Final = "follows-its-pilot-to-the-end"
GROUP: Final = "sticks and attitude in flight"
NEEDS: Final = (Quantity.ROLL, Quantity.PITCH, Quantity.ROLL_STICK, Quantity.PITCH_STICK)
LEAST_ROWS: Final = 25
LIFT_S: Final = 0.5  # the first moment after lift-off is the ground's
DELAYS_S: Final = np.arange(0.0, 0.5, 0.05)  # what lies between a thumb and a row
TURN_S: Final = 0.2  # between the two attitudes of one turning rate
LAST_S: Final = 2.5
BLOW_S: Final = 0.4  # rows of the blow itself may come before it is told
CLOSES_S: Final = 1.5
CLOSES_FROM, CARRIES = 0.7, 0.15
"""Share of its throttle that still is open; and a throttle that carries anything."""
CLEAR, FAINT = 0.8, 0.5
"""Share of an axis's movement that its stick explains: one axis clearly, the other at least faintly."""
WHOLE: Final = 0.65
"""Share of both axes' turning that their sticks explain, all flight and in its end; with a dead rotor it is half."""
LAST_ROWS: Final = 8
SILENT_S: Final = 1.0  # a radio that hears nothing for longer before the end of its record saw no crash
LITTLE_RAD: Final = 0.07  # 4 degrees
LITTLE_RAD_S: Final = 0.45
SEEN_SURE, NOT_SURE = 0.85, 0.75


@dataclass(frozen=True, slots=True)
class Explained:
    """How well a stick explains one axis.

    Parameters
    ----------
    share : float
        Of the variance before the last moments.
    last : float
        Of the movement in the last moments; 1 where too little is left over to matter.
    """

    share: float
    last: float


def follows_slow(seen: Seen, tell: Telling) -> None:
    """Tell whether it followed its sticks until the flight ended."""
    found = [seen.record.get(each) for each in NEEDS]
    if any(each is None for each in found):
        tell.missed(WhyNot.NO_CHANNEL, FOLLOWS, needs=needing(*NEEDS))
        return
    roll, pitch, *sticks = (each for each in found if each is not None)
    spans = seen.looked.answer.flown.aloft()
    if not spans:
        tell.missed(WhyNot.NOT_ALOFT, FOLLOWS)
        return
    start_s, end_s = spans[0][0] + LIFT_S, min(seen.ended_s, spans[-1][1])
    silent = [each.start_s for each in seen.events(EventKind.LINK_LOST) if each.end_s >= end_s - SILENT_S]
    if silent and silent[0] < end_s - SILENT_S:  # it flew on unheard: nobody knows the end
        tell.missed(WhyNot.TOO_SHORT, FOLLOWS)
        return
    told = [_up_to(seen, (roll, pitch), sticks, start_s, each) for each in (end_s, _closes_s(seen, end_s))]
    best = next((each for each in told if isinstance(each, _Told) and each.follows), told[-1])
    if isinstance(best, WhyNot):
        tell.missed(best, FOLLOWS)
        return
    tell.told(
        FOLLOWS, GROUP, best.follows, SEEN_SURE if best.follows else NOT_SURE, span=best.span,
        values={"explained_share": best.share, "last_share": max(best.last, 0.0)},
        channels=(roll.channel, pitch.channel, sticks[0].channel, sticks[1].channel),
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Told:
    """Whether it follows, when, and how much its sticks explain."""

    follows: bool
    span: tuple[float, float]
    share: float
    last: float


def _up_to(
    seen: Seen, attitude: tuple[Series, Series], sticks: list[Series], start_s: float, end_s: float
) -> _Told | WhyNot:
    """Return whether it followed up to a moment, or why that cannot be told."""
    roll, pitch = attitude
    t_s = roll.t_s[(roll.t_s >= start_s) & (roll.t_s <= end_s - BLOW_S)]
    if t_s.size < LEAST_ROWS or t_s[-1] - t_s[0] < 2.0 * LAST_S:
        return WhyNot.TOO_SHORT
    heading = seen.record.get(Quantity.HEADING)
    told = [_explained(axis, sticks[axis], (roll, pitch), heading, t_s) for axis in (0, 1)]
    clear = sorted(each.share for each in told)
    last = min(each.last for each in told)
    if (clear[1] < CLEAR or clear[0] < FAINT or last < FAINT) and heading is not None:
        whole = _as_a_whole(t_s, (roll, pitch), heading, sticks)
        if min(each.share for each in whole) >= WHOLE and min(each.last for each in whole) >= WHOLE:
            clear, last = sorted(each.share for each in whole), min(each.last for each in whole)
    if (clear[1] < CLEAR or clear[0] < FAINT) and clear[0] < WHOLE:
        return WhyNot.LOAD_TOO_STEADY
    follows = last >= FAINT and seen.broke_s >= end_s - 0.5
    return _Told(follows, (float(t_s[0]), end_s), clear[0], last)


def _closes_s(seen: Seen, end_s: float) -> float:
    """Return when a hand closes the throttle in the last moments and leaves it so: it struck the ground, or gave up.

    Without acceleration the end is told by how it lies, some rows after it struck.
    """
    throttle = seen.record.get(Quantity.THROTTLE)
    if throttle is None:
        return end_s
    late = (throttle.t_s > end_s - CLOSES_S) & (throttle.t_s <= end_s)
    values = throttle.values[late]
    if values.size < 3 or values[-1] > CLOSED.value:
        return end_s
    opened = np.flatnonzero(values > CLOSES_FROM * float(values[0]))
    return float(throttle.t_s[late][opened[-1]]) if opened.size and values[0] > CARRIES else end_s


def _explained(
    axis: int, stick: Series, attitude: tuple[Series, Series], heading: Series | None, t_s: Floats
) -> Explained:
    """Return the better of two readings: the stick asks for an angle, or for a turning rate."""
    angle = np.interp(t_s, attitude[axis].t_s, np.unwrap(attitude[axis].values))
    ways = [_best(t_s, angle, stick, LITTLE_RAD)]
    if heading is not None:
        at_s, rates = turning(t_s, *attitude, heading)
        if at_s.size >= LEAST_ROWS:
            ways.append(_best(at_s, rates[:, axis], stick, LITTLE_RAD_S))
            last = max(ways[-1].last, _afresh(at_s, rates[:, axis], stick))  # in another mode than before
            return Explained(max(each.share for each in ways), max(last, max(ways, key=lambda each: each.share).last))
    return ways[0]


def _as_a_whole(t_s: Floats, attitude: tuple[Series, Series], heading: Series, sticks: list[Series]) -> list[Explained]:
    """Return how well one line per axis explains all turning, the last moments with it.

    Who flies straight asks for nothing until it matters: then the answer to it is in the last moments alone.
    """
    at_s, rates = turning(t_s, *attitude, heading)
    late = at_s > at_s[-1] - LAST_S
    found = []
    for axis, stick in enumerate(sticks):
        best = Explained(-1.0, -1.0)
        for delay_s in DELAYS_S:
            asked = np.interp(at_s - delay_s, stick.t_s, stick.values)
            design = np.stack([asked, np.ones_like(asked)], axis=1)
            line = np.linalg.lstsq(design, rates[:, axis], rcond=None)[0]
            off, moved = rates[:, axis] - design @ line, rates[:, axis] - line[1]
            share = 1.0 - float(off.var()) / max(float(rates[:, axis].var()), 1e-12)
            if line[0] > 0.0 and share > best.share:
                best = Explained(
                    share, 1.0 - float(np.mean(off[late] ** 2)) / max(float(np.mean(moved[late] ** 2)), 1e-9)
                )
        found.append(best)
    return found


def turning(t_s: Floats, roll: Series, pitch: Series, heading: Series) -> tuple[Floats, Floats]:
    """Return turning rates about the aircraft's own roll and pitch axes between rows `TURN_S` apart.

    The rotation between two attitudes, divided by the time between them (Shuster, A survey of attitude representations,
    1993, equations 101 and 105: from memory); Euler angles alone go astray where it leans far.

    Parameters
    ----------
    t_s : ndarray
        Shape ``(n,)``.
    roll, pitch, heading : Series
        rad.

    Returns
    -------
    at_s : ndarray
        Shape ``(m,)``.
    rates : ndarray
        Shape ``(m, 2)``, rad/s.
    """
    angles = [np.interp(t_s, each.t_s, np.unwrap(each.values)) for each in (roll, pitch, heading)]
    few = max(1, round(TURN_S / float(np.median(np.diff(t_s)))))
    turn = _matrices(*angles)
    between = np.swapaxes(turn[:-few], 1, 2) @ turn[few:]
    lasts = t_s[few:] - t_s[:-few]
    around = np.stack([between[:, 2, 1] - between[:, 1, 2], between[:, 0, 2] - between[:, 2, 0]], axis=1)
    trace = np.clip((np.trace(between, axis1=1, axis2=2) - 1.0) / 2.0, -1.0, 1.0)
    by = np.arccos(trace)
    scale = np.where(by < 1e-6, 0.5, by / np.maximum(2.0 * np.sin(by), 1e-9))
    return (t_s[few:] + t_s[:-few]) / 2.0, np.asarray(around * (scale / lasts)[:, None])


def _matrices(roll: Floats, pitch: Floats, heading: Floats) -> Floats:
    """Return rotations from the aircraft's axes to north, east, down; shape ``(n, 3, 3)``."""
    (cr, sr), (cp, sp), (cy, sy) = ((np.cos(each), np.sin(each)) for each in (roll, pitch, heading))
    rows = (
        (cp * cy, sr * sp * cy - cr * sy, cr * sp * cy + sr * sy),
        (cp * sy, sr * sp * sy + cr * cy, cr * sp * sy - sr * cy),
        (-sp, sr * cp, cr * cp),
    )
    return np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)


def _afresh(t_s: Floats, turned: Floats, stick: Series) -> float:
    """Return how much of the last turning the stick explains, whatever came before; 0 where it turns the other way."""
    late = t_s > t_s[-1] - LAST_S
    found = 0.0
    for delay_s in DELAYS_S:
        asked = np.interp(t_s[late] - delay_s, stick.t_s, stick.values)
        spread = float(asked.std() * turned[late].std())
        if late.sum() >= LAST_ROWS and spread > 0.0:
            alike = float(np.mean((asked - asked.mean()) * (turned[late] - turned[late].mean()))) / spread
            found = max(found, alike * abs(alike))
    return found


def _best(t_s: Floats, moved: Floats, stick: Series, little: float) -> Explained:
    """Return how well a straight line through stick and movement holds, at the delay where it holds best."""
    early = t_s <= t_s[-1] - LAST_S
    best = Explained(-1.0, 0.0)
    for delay_s in DELAYS_S:
        asked = np.interp(t_s - delay_s, stick.t_s, stick.values)
        design = np.stack([asked, np.ones_like(asked)], axis=1)
        line = np.linalg.lstsq(design[early], moved[early], rcond=None)[0]
        off = moved - design @ line
        share = 1.0 - float(off[early].var()) / max(float(moved[early].var()), 1e-12)
        if share > best.share:
            left, all_of_it = (float(np.sqrt(np.mean(each[~early] ** 2))) for each in (off, moved - line[1]))
            best = Explained(share, 1.0 if left < little else 1.0 - (left / max(all_of_it, 1e-9)) ** 2)
    return best
