"""Sustained narrow-band swings of the turning rates that nobody asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.motion_axes import LEAST_ROWS, Axis
from turnback.assess.motion_events_demand import delay_of, delayed
from turnback.assess.motion_events_felt import angle_swings
from turnback.assess.signals import rows_between
from turnback.assess.vibration_spans import unbroken
from turnback.physics.spectrum import LOBE_BINS, segment_densities
from turnback.records.channel import Quantity
from turnback.records.flight_record import Series, Times
from turnback.records.happened import Event, EventKind, Flown
from turnback.rules.record_motion import (
    FOLD_RATE,
    SWING,
    SWING_DEMANDED,
    SWING_FOLDED,
    SWING_GROWS,
    SWING_HIGH,
    SWING_LOW,
    SWING_NARROW,
    SWING_PART,
    SWING_SEGMENTS,
    SWING_STICK,
)
from turnback.rules.record_vibration import ROTOR_HIGH, ROTOR_LOW

SLOW_SEGMENT_S: Final = 2.0
FAST_SEGMENT_S: Final = 0.5
SLOW_RATE_HZ: Final = 64.0
SPREAD: Final = 3.0  # power is compared within this factor of the frequency
SAME_BINS: Final = 2
LEAST_BINS: Final = 3
SAME_RATIO: Final = 0.15
ROTOR_NEAR_HZ: Final = 4.0
ROTOR_SPREAD_HZ: Final = 20.0  # a line that wanders farther is not narrow
ROTOR_ORDERS: Final = 4
FOLDS: Final = 30
MOST_EVENTS: Final = 10
USABLE: Final = 0.45  # of the rate of fresh values


@dataclass(frozen=True, slots=True, eq=False)
class _Swing:
    """One run of stretches of one axis that swing at one frequency."""

    axis: Axis
    start_s: float
    end_s: float
    frequency_hz: float
    amplitudes: NDArray[np.float64]
    demanded: str


@dataclass(frozen=True, slots=True, eq=False)
class _Stretches:
    """The strongest line of each stretch: its bin, its amplitude, and whether it is narrow; shape (k,)."""

    step_hz: float
    peaks: NDArray[np.intp]
    amplitudes: NDArray[np.float64]
    narrow: NDArray[np.bool_]


def swings(axes: tuple[Axis, ...], flown: Flown) -> tuple[list[Event], bool]:
    """Return oscillations, and whether some swing may as well have been a rotor's line.

    Lines at multiples of a rotor's speed, or where these fold to in a slow record, are none, unless the angle swings
    too.
    """
    rotors = tuple(each for each in flown.record.all_of(Quantity.ROTOR_SPEED) if each.t_s.size > LEAST_ROWS)
    found: list[_Swing] = []
    delay_s = delay_of(axes, flown)
    for axis in axes:
        for span in flown.aloft():
            for rows in unbroken(axis.t_s, span, axis.rate.rate_hz):
                found += _in_rows(axis, rows, delay_s)
    told = [(each, _swings(each, rotors, flown)) for each in found]
    unsure = any(swings is None for _, swings in told)
    found = [each for each, swings in told if swings]
    found.sort(key=lambda each: each.start_s)
    events = []
    while found:
        lead = found[0]
        same = [each for each in found if _alike(lead, each)]
        found = [each for each in found if not _alike(lead, each)]
        events.append(_event(same))
    return events[:MOST_EVENTS], unsure


def _swings(swing: _Swing, rotors: tuple[Series, ...], flown: Flown) -> bool | None:
    """Tell whether the aircraft swings; None where it may be a rotor's line that a slow record folds."""
    felt = angle_swings(swing.axis, flown.record, swing.frequency_hz, swing.start_s, swing.end_s)
    if felt is None and _of_rotor(swing, rotors):
        return False if rotors else None
    return felt is not False


def _in_rows(axis: Axis, rows: slice, delay_s: float) -> list[_Swing]:
    """Return the swings of one unbroken stretch.

    Where a demand is recorded, what the rate does beside it is looked at; and the rate itself where sticks could tell
    that nobody asked for a swing of the demand.
    """
    top_hz = min(SWING_HIGH.value, USABLE * axis.fresh_hz)
    rate = axis.rate.values[rows]
    beside = axis.demand is not None and axis.same_way
    looked: list[tuple[NDArray[Any], tuple[str, ...]]] = []
    if beside:
        looked.append((rate - delayed(axis, rows, delay_s), ("not", "too", "unknown")))
    if not beside or axis.stick is not None:
        looked.append((rate, ("too",) if beside else ("not", "too", "unknown")))
    found = []
    for values, accepted in looked:
        runs = _runs(axis, rows, values, SLOW_SEGMENT_S, SWING_LOW.value, min(SWING_PART.value, top_hz))
        runs += _runs(axis, rows, values, FAST_SEGMENT_S, SWING_PART.value, top_hz)
        found += [each for each in runs if each.demanded in accepted]
    return found


def _thinned(axis: Axis, part: NDArray[Any], segment_s: float) -> tuple[NDArray[Any], float]:
    """Return rows for one pass: means of a few rows where only slow swings are looked for."""
    rate_hz = axis.rate.rate_hz
    few = max(1, int(rate_hz / SLOW_RATE_HZ)) if segment_s == SLOW_SEGMENT_S else 1
    if few == 1:
        return part, rate_hz
    return part[: part.size // few * few].reshape(-1, few).mean(axis=1), rate_hz / few


def _stretches(
    values: NDArray[Any], rate_hz: float, segment_s: float, low_hz: float, high_hz: float
) -> _Stretches | None:
    """Return the strongest line of each stretch between two frequencies; None where there are too few stretches."""
    density = segment_densities(values, rate_hz, segment_s)
    at_hz, power = density.frequency_hz, density.values
    first, after = np.searchsorted(at_hz[:-1], [low_hz - 1e-9, high_hz])
    if len(power) < SWING_SEGMENTS.value or after - first < LEAST_BINS:
        return None
    peaks = first + np.argmax(power[:, first:after], axis=1)
    sums = np.cumsum(np.pad(power, ((0, 0), (1, 0))), axis=1)
    each = np.arange(len(power))
    below = np.maximum(np.round(peaks / SPREAD).astype(int), 1)
    above = np.minimum((peaks * SPREAD).astype(int) + 1, at_hz.size)
    around = sums[each, above] - sums[each, below]
    lobe = sums[each, np.minimum(peaks + LOBE_BINS + 1, at_hz.size)] - sums[each, np.maximum(peaks - LOBE_BINS, 1)]
    top = (power[each, peaks] >= power[each, peaks - 1]) & (power[each, peaks] >= power[each, peaks + 1])
    step_hz = float(at_hz[1])
    return _Stretches(step_hz, peaks, _amplitudes(power, peaks, step_hz), (lobe >= SWING_NARROW.value * around) & top)


def _runs(
    axis: Axis, rows: slice, part: NDArray[Any], segment_s: float, low_hz: float, high_hz: float
) -> list[_Swing]:  # fmt: skip
    """Return runs of stretches that swing between two frequencies."""
    values, rate_hz = _thinned(axis, part, segment_s)
    seen = _stretches(values, rate_hz, segment_s, low_hz, high_hz)
    if seen is None:
        return []
    amplitudes = seen.amplitudes
    found = []
    for start, stop in _same_runs((amplitudes >= SWING.value) & seen.narrow, seen.peaks):
        mean_hz = float(np.average(seen.peaks[start:stop], weights=amplitudes[start:stop])) * seen.step_hz
        half = round(segment_s * rate_hz) - round(segment_s * rate_hz) // 2
        start_s = float(axis.t_s[rows.start]) + start * half / rate_hz
        end_s = float(axis.t_s[rows.start]) + (stop - 1) * half / rate_hz + segment_s
        within = rows_between(axis.t_s[rows], start_s, end_s)
        whole = slice(rows.start + within.start, rows.start + within.stop)
        demanded = _demanded(axis, whole, part[within], mean_hz, segment_s)
        if demanded != "demanded":
            near = rows_between(axis.t_s[rows], start_s - 1.0 / mean_hz, start_s + 2.0 * segment_s)
            level = 0.5 * float(amplitudes[min(start + 1, stop - 1)])
            envelope = _envelope(axis.t_s[rows][near], part[near], mean_hz, axis.rate.rate_hz)
            rising = np.flatnonzero(envelope >= level)
            onset_s = float(axis.t_s[rows][near][rising[0]]) if rising.size else start_s
            found.append(_Swing(axis, onset_s, end_s, mean_hz, amplitudes[start:stop], demanded))
    return found


def _amplitudes(power: NDArray[np.float64], peaks: NDArray[np.intp], step_hz: float) -> NDArray[np.float64]:
    """Return the amplitude of the line at each row's peak."""
    places = np.clip(peaks[:, None] + np.arange(-LOBE_BINS, LOBE_BINS + 1), 0, power.shape[1] - 1)
    return np.asarray(np.sqrt(2.0 * step_hz * np.take_along_axis(power, places, axis=1).sum(axis=1)))


def _same_runs(swinging: NDArray[np.bool_], peaks: NDArray[np.intp]) -> list[tuple[int, int]]:
    """Return runs of at least `SWING_SEGMENTS` stretches that swing at nearly one frequency."""
    goes_on = swinging[1:] & swinging[:-1] & (np.abs(np.diff(peaks)) <= SAME_BINS)
    edges = np.flatnonzero(np.diff(np.r_[False, goes_on, False]))
    pairs = edges.reshape(-1, 2)
    return [(int(a), int(b) + 1) for a, b in pairs if b + 1 - a >= SWING_SEGMENTS.value]


def _demanded(axis: Axis, rows: slice, swing: NDArray[Any], at_hz: float, segment_s: float) -> str:
    """Return whether the demand swings too: "not", "unknown", "too" where no stick moves it, or "demanded".

    `swing` holds the swinging values in the same rows.
    """
    if axis.demand is None and axis.stick is None:
        return "unknown"
    if axis.demand is not None and _shared(axis, axis.demand[rows], swing, at_hz, segment_s) < SWING_DEMANDED.value:
        return "not"
    if axis.stick is None or _amplitude_at(axis, axis.stick, rows, at_hz, segment_s) >= SWING_STICK.value:
        return "demanded"
    return "unknown" if axis.demand is None else "too"


def _shared(axis: Axis, asked: NDArray[Any], swing: NDArray[Any], at_hz: float, segment_s: float) -> float:
    """Return how much of the demand moves in step with a swing, over the swing: what moves out of step averages away.

    The gain of one on the other at one frequency (Bendat and Piersol, Random Data, section 6.1: from memory).
    """
    lines = []
    for part in (asked, swing):
        values, rate_hz = _thinned(axis, part, segment_s)
        size = round(segment_s * rate_hz)
        turn = np.hanning(size) * np.exp(-2j * np.pi * at_hz / rate_hz * np.arange(size))
        segments = np.lib.stride_tricks.sliding_window_view(values, size)[:: max(1, size // 2)]
        lines.append((segments - segments.mean(axis=1, keepdims=True)) @ turn)
    return float(np.abs(np.vdot(lines[1], lines[0])) / max(float(np.vdot(lines[1], lines[1]).real), 1e-30))


def _amplitude_at(axis: Axis, values: NDArray[Any], rows: slice, at_hz: float, segment_s: float) -> float:
    """Return the median amplitude of a channel near one frequency."""
    part, rate_hz = _thinned(axis, values[rows], segment_s)
    density = segment_densities(part, rate_hz, segment_s)
    if not len(density.values):
        return 0.0
    peaks = np.full(len(density.values), round(at_hz / float(density.frequency_hz[1])), np.intp)
    return float(np.median(_amplitudes(density.values, peaks, float(density.frequency_hz[1]))))


def _envelope(t_s: Times, values: NDArray[Any], at_hz: float, rate_hz: float) -> NDArray[np.float64]:
    """Return the amplitude at one frequency, under a Hann window of two swings centred on each row.

    Where a swing sets in at once it reaches half of its size in that row.
    """
    width = 2 * max(2, round(rate_hz / at_hz)) + 1
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(width) / (width - 1))
    turned = (values - np.mean(values)) * np.exp(-2j * np.pi * at_hz * (t_s - t_s[0]))
    found = np.convolve(turned, window / window.sum())[width // 2 : width // 2 + values.size]
    return np.asarray(2.0 * np.abs(found))


def _of_rotor(swing: _Swing, rotors: tuple[Series, ...]) -> bool:
    """Tell whether a line is, or may be, a multiple of a rotor's speed or what such a one folds to at this rate."""
    rate_hz = swing.axis.fresh_hz
    for rotor in rotors:
        speeds = rotor.values[rows_between(rotor.t_s, swing.start_s, swing.end_s)]
        if not speeds.size:
            continue
        low_hz, high_hz = np.quantile(speeds, [0.1, 0.9]).tolist()
        for order in range(1, ROTOR_ORDERS + 1):
            turns = round(order * 0.5 * (low_hz + high_hz) / rate_hz)
            near_hz = ROTOR_NEAR_HZ + min(0.5 * order * (high_hz - low_hz), ROTOR_SPREAD_HZ)
            folded_hz = abs(order * 0.5 * (low_hz + high_hz) - rate_hz * turns)
            if abs(folded_hz - swing.frequency_hz) <= near_hz:
                return True
    seldom = swing.frequency_hz < SWING_PART.value and rate_hz >= FOLD_RATE.value
    if rotors or seldom or float(swing.amplitudes.max()) >= SWING_FOLDED.value:
        return False
    unfolded_hz = [turns * rate_hz + side * swing.frequency_hz for turns in range(1, FOLDS + 1) for side in (-1, 1)]
    return any(ROTOR_LOW.value <= each_hz <= ROTOR_HIGH.value for each_hz in unfolded_hz)


def _alike(one: _Swing, other: _Swing) -> bool:
    """Tell whether two axes swing together."""
    apart_hz = abs(one.frequency_hz - other.frequency_hz)
    overlap = other.start_s < one.end_s and one.start_s < other.end_s
    return one is other or (overlap and apart_hz <= SAME_RATIO * one.frequency_hz)


def _event(same: list[_Swing]) -> Event:
    """Return one event of axes that swing together."""
    lead = max(same, key=lambda each: float(each.amplitudes.max()))
    third = max(1, len(lead.amplitudes) // 3)
    grows = lead.amplitudes[-third:].mean() >= SWING_GROWS.value * lead.amplitudes[:third].mean()
    values = {
        "frequency_hz": lead.frequency_hz,
        "amplitude_rad_s": float(np.median(lead.amplitudes)),
        "most_rad_s": float(lead.amplitudes.max()),
        "growing": float(grows),
        "duration_s": max(each.end_s for each in same) - min(each.start_s for each in same),
    }
    names = sorted({each.axis.name for each in same}, key=("roll", "pitch", "yaw").index)
    channels = tuple(dict.fromkeys(each.axis.rate.channel for each in same))
    return Event(
        EventKind.OSCILLATION, min(each.start_s for each in same), max(each.end_s for each in same), channels,
        SWING.key, values, (), {"axis": lead.axis.name, "axes": " ".join(names), "demand": lead.demanded},
    )  # fmt: skip
