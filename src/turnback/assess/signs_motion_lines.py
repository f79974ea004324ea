"""Lines of each rotor in acceleration, or in the turning rates, over chosen stretches of a record."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import rows_between
from turnback.assess.vibration_lines import LEAST_RATE_HZ, CornerLine, corner_lines
from turnback.assess.vibration_spans import Group, fresh_axes, high_in
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import PhaseKind, RecordAnswer
from turnback.rules.record_vibration import RATE_FACTOR

Spans = list[tuple[float, float]]
MOST_S: Final = 16.0
PIECE_S: Final = 4.0
LEAST_S: Final = 4.5
LEAST_ROTOR_HZ: Final = 10.0
LEAST_ROWS: Final = 800
LEAST_PIECES: Final = 2
MOST_ALIKE: Final = 60.0  # of the largest over the smallest spread of what is fitted


def lines_in(answer: RecordAnswer, spans: Spans, orders: tuple[int, ...] = (1,)) -> tuple[CornerLine, ...] | None:
    """Return the lines of every rotor over some spans; None where the record cannot show them.

    Parameters
    ----------
    answer : RecordAnswer
        Its spectra tell up to which frequency a channel can be read.
    spans : list of tuple
        Sixteen seconds of them are read at most.
    orders : tuple of int
    """
    rotors = tuple(each for each in answer.flown.record.all_of(Quantity.ROTOR_SPEED) if each.t_s.size > 16)
    axes, rate_hz = _axes(answer)
    group = Group(PhaseKind.ALOFT, tuple(some_of(spans)))
    if len(rotors) < 3 or not axes or group.length_s < LEAST_S:
        return None
    highest_hz = [high_in(each, group) for each in rotors]
    turning = tuple(each for each, high_hz in zip(rotors, highest_hz, strict=True) if high_hz > LEAST_ROTOR_HZ)
    if len(turning) < 3 or rate_hz < max(RATE_FACTOR.value * max(highest_hz), LEAST_RATE_HZ):
        return None
    reach = int(rate_hz / (RATE_FACTOR.value * max(highest_hz)))
    if rate_hz < min(each.rate_hz for each in axes):
        axes = fresh_axes(axes)
    return corner_lines(axes, turning, group, tuple(each for each in orders if each <= reach)) or None


def _axes(answer: RecordAnswer) -> tuple[tuple[Series, ...], float]:
    """Return the axes of the faster of acceleration and turning rates, and the rate up to half of which they tell."""
    usable_hz = {each.channel.quantity: each.rate_hz for each in answer.spectra}
    best: tuple[tuple[Series, ...], float] = ((), 0.0)
    for kind in (ACCELERATIONS, RATES):
        found = [each for each in map(answer.flown.record.get, kind) if each is not None]
        axes = tuple(each for each in found if each.channel.quantity in usable_hz and each.t_s is found[0].t_s)
        rate_hz = min((usable_hz[each.channel.quantity] for each in axes), default=0.0)
        if rate_hz > best[1]:
            best = (axes, rate_hz)
    return best


def some_of(spans: Spans, most_s: float = MOST_S) -> Spans:
    """Return pieces of spans, spread over them, of about `most_s` in all."""
    total_s = sum(b - a for a, b in spans)
    if total_s <= most_s:
        return spans
    pieces = [
        (a + PIECE_S * k, min(a + PIECE_S * (k + 1), b))
        for a, b in spans
        for k in range(max(1, int((b - a) / PIECE_S)))
    ]
    wanted = int(most_s / PIECE_S)
    step = len(pieces) / wanted
    return [pieces[int((k + 0.5) * step)] for k in range(min(wanted, len(pieces)))]


def line_levels(answer: RecordAnswer, spans: Spans) -> list[float] | None:
    """Return the amplitude of each rotor's once-per-rev line over some spans; None where nobody can tell."""
    lines = lines_in(answer, spans)
    return None if lines is None else [line.amplitude for line in lines]


def together(answer: RecordAnswer, spans: Spans) -> tuple[tuple[Series, ...], NDArray[np.float64]] | None:
    """Return the rotors, and the once-per-rev amplitude of each where their speeds lie too close for lines.

    Notes
    -----
    In stretches of four seconds acceleration is fitted by all rotors' turning at once (least squares on the cosine and
    sine of each rotor's angle, which is the sum of its speed). Stretches in which two rotors turn together all the time
    are left out: nobody could tell their shares.
    """
    rotors = tuple(each for each in answer.flown.record.all_of(Quantity.ROTOR_SPEED) if each.t_s.size > 16)
    axes, rate_hz = _axes(answer)
    if len(rotors) < 3 or not axes:
        return None
    found = []
    for start_s, end_s in some_of(spans):
        if end_s - start_s < 0.75 * PIECE_S:
            continue
        rows = rows_between(axes[0].t_s, start_s, min(end_s, start_s + PIECE_S))
        t_s = axes[0].t_s[rows]
        speeds = np.stack([np.interp(t_s, each.t_s, each.values) for each in rotors])
        if t_s.size < LEAST_ROWS or speeds.max() * RATE_FACTOR.value > rate_hz or speeds.min() < LEAST_ROTOR_HZ:
            continue
        angle = 2.0 * np.pi * np.cumsum(speeds * np.gradient(t_s), axis=1)
        turning = np.concatenate([np.cos(angle), np.sin(angle)])
        gram = turning @ turning.T / t_s.size
        if np.linalg.cond(gram) > MOST_ALIKE:
            continue
        felt = np.stack([np.asarray(axis.values[rows], np.float64) for axis in axes])
        felt -= felt.mean(axis=1, keepdims=True)
        shares = np.linalg.solve(gram, turning @ felt.T / t_s.size)
        found.append(np.square(shares).sum(axis=1).reshape(2, len(rotors)).sum(axis=0))
    return (rotors, np.sqrt(np.median(found, axis=0))) if len(found) >= LEAST_PIECES else None
