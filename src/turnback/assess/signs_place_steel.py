"""Whether the heading shown turns with the height above the ground, nobody turning: for records without a field."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.link_events_parts import Floats
from turnback.assess.signals import held_at
from turnback.assess.signs_place_seen import HZ, PlaceSeen
from turnback.records.channel import Quantity
from turnback.records.flight_record import Series

NEAR_M: Final = (2.0, 4.0, 7.0)
"""Steel under a place bends the field over some metres of height."""
STICK_STILL: Final = 0.04
STILL_S: Final = 1.0
SLOW_MPS: Final = 2.5
"""Faster, an aircraft turns itself into its way."""
LEAST_S: Final = 1.5
BEGINS_S: Final = 1.0
LOW_M, LEAST_RISE_M, HIGH_M = 6.0, 3.0, 25.0
LEAST_POWER: Final = 1e-3


@dataclass(frozen=True, slots=True)
class TurnsWithHeight:
    """How the shown heading goes with the height, over every climb from the ground and every way down to it.

    Parameters
    ----------
    turn_rad : float
        From the ground to far above it; the least of all climbs, 0 where they do not agree.
    share : float
        Of the heading's unrest that the height explains, the least of all.
    times : int
        Climbs and ways down.
    start_s, end_s : float
    """

    turn_rad: float
    share: float
    times: int
    start_s: float
    end_s: float


def turns_with_height(seen: PlaceSeen) -> TurnsWithHeight | None:
    """Return how the shown heading turns with the height while the yaw stick rests; None where it cannot be told.

    A board that holds its heading turns by itself, with what it takes for its heading, only where the field is another
    one. It turns the other way as it comes down.

    Parameters
    ----------
    seen : PlaceSeen
    """
    heading, stick = (seen.record.get(each) for each in (Quantity.HEADING, Quantity.YAW_STICK))
    if heading is None or stick is None or seen.height_m is None or min(heading.t_s.size, stick.t_s.size) < 10:
        return None
    shown = np.unwrap(held_at(heading.t_s, heading.values, seen.t_s).astype(np.float64))
    height_m = np.maximum(seen.height_m, 0.0)
    edges = np.flatnonzero(np.diff(_nobody_turns(seen, stick).view(np.int8), prepend=np.int8(0), append=np.int8(0)))
    halves = [half for first, after in edges.reshape(-1, 2) for half in _halves(height_m, int(first), int(after))]
    spans = [
        (first, after) for first, after in halves
        if after - first >= LEAST_S * HZ
        and float(np.ptp(height_m[first:after])) > LEAST_RISE_M and float(height_m[first:after].min()) < LOW_M
    ]  # fmt: skip
    fits = [_fits([(height_m[a:b], shown[a:b]) for a, b in spans], near_m) for near_m in NEAR_M]
    best = max(filter(None, fits), key=lambda each: float(np.mean([share for _, share in each])), default=None)
    if best is None:
        return None
    turns = np.array([turn for turn, _ in best])
    agree = bool(np.all(np.sign(turns) == np.sign(turns[0])))
    return TurnsWithHeight(
        float(np.min(np.abs(turns))) if agree else 0.0, min(share for _, share in best), len(best),
        float(seen.t_s[spans[0][0]]), float(seen.t_s[spans[-1][1] - 1]),
    )  # fmt: skip


def _nobody_turns(seen: PlaceSeen, stick: Series) -> NDArray[np.bool_]:
    """Rows in the air near the ground, slow, in which the yaw stick has rested for a second."""
    off = np.abs(np.interp(seen.t_s, stick.t_s, stick.values - np.median(stick.values))) > STICK_STILL
    around = round(STILL_S * HZ)
    moved = np.convolve(off, np.ones(2 * around + 1))[around : around + off.size]  # as long as the record
    rests = moved < 0.5
    begins_s = float(seen.t_s[np.argmax(seen.aloft)]) - BEGINS_S if seen.aloft.any() else np.inf
    speed = seen.speed_mps()
    slow = np.ones(seen.t_s.size, np.bool_) if speed is None else speed < SLOW_MPS
    height_m = np.zeros(seen.t_s.size) if seen.height_m is None else seen.height_m
    inside = (seen.t_s >= begins_s) & (seen.t_s <= seen.looked.ended_s) & (height_m < HIGH_M)
    result: NDArray[np.bool_] = rests & slow & inside & ~seen.falls & ~seen.returns
    return result


def _halves(height_m: Floats, first: int, after: int) -> list[tuple[int, int]]:
    """Return the climb up to the highest point of a span, and the way down from there."""
    top = first + int(np.argmax(height_m[first:after]))
    return [(first, top + 1), (top, after)]


def _fits(parts: list[tuple[Floats, Floats]], near_m: float) -> list[tuple[float, float]]:
    """Return the turn and the share that it explains, of each part in which the field would change at all."""
    found = []
    for height_m, shown in parts:
        near = np.exp(-height_m / near_m)
        near, turned = near - near.mean(), shown - shown.mean()
        power, whole = float(near @ near), float(turned @ turned)
        if power < LEAST_POWER:
            continue
        turn = float(near @ turned) / power
        found.append((turn, turn * turn * power / max(whole, 1e-9)))
    return found
