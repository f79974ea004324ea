"""Curves of a record for a page: thinned to the least and greatest in each stretch of time, so every peak stays."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.happened import Spectrum
from turnback.report.record_values import number

Array = NDArray[np.float64]

WIDE: Final = 1000.0
TALL: Final = 200.0
"""Of the drawing's own measure; it is stretched to the page."""
MOST_POINTS: Final = 600
GAP_STRETCHES: Final = 4
"""A line breaks where this many stretches in a row have no reading, and the record has some that are closer."""
LEAST_SPAN: Final = 3.0
"""An event is at least this wide, so that an instant is seen."""
TIME_STEPS_S: Final = (0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400)
MOST_TIME_TICKS: Final = 4
MOST_TICKS: Final = 5


@dataclass(frozen=True, slots=True)
class Tick:
    """One mark on an axis: where, in per cent of it from the left or the top, and what stands there."""

    at: float
    label: str


@dataclass(frozen=True, slots=True)
class Curve:
    """One line: a path in the drawing's own measure."""

    name: str
    path: str
    dashed: bool = False


@dataclass(frozen=True, slots=True)
class Shade:
    """One span of an event, in the drawing's own measure."""

    x: float
    width: float


@dataclass(frozen=True, slots=True)
class Panel:
    """One chart: a quantity against time, or a spectrum against frequency."""

    key: str
    """Unique within the page."""
    title: str
    alt: str
    curves: tuple[Curve, ...]
    ticks_x: tuple[Tick, ...]
    ticks_y: tuple[Tick, ...]
    shades: tuple[Shade, ...] = ()
    notes: tuple[str, ...] = ()
    """Sentences of the events that are shaded, or names of the lines that are drawn upright."""
    uprights: tuple[float, ...] = ()
    bands: tuple[str, ...] = ()
    """Areas under the lines: paths in the drawing's own measure."""
    band_name: str = ""


def thinned(t_s: Array, values: NDArray[np.floating], start_s: float, end_s: float) -> tuple[Array, Array]:
    """Return at most 600 points of a channel: the least and greatest of each of 300 stretches of time.

    Parameters
    ----------
    t_s, values : ndarray, shape (n,)
        `t_s` increasing.
    start_s, end_s : float
        What the chart shows.

    Returns
    -------
    t_s, values : ndarray, shape (m,)
        A place of NaN parts two lines where readings are missing between them.
    """
    if t_s.size <= MOST_POINTS:
        return np.asarray(t_s, np.float64), np.asarray(values, np.float64)
    bins = MOST_POINTS // 2
    edges = np.linspace(start_s, end_s, bins + 1)
    firsts = np.searchsorted(t_s, edges[:-1])
    full = np.flatnonzero(np.diff(np.append(firsts, t_s.size)) > 0)
    starts = firsts[full]
    low = np.minimum.reduceat(values, starts).astype(np.float64)
    high = np.maximum.reduceat(values, starts).astype(np.float64)
    step = (end_s - start_s) / bins
    times = (edges[full][:, None] + step * np.array([0.25, 0.75])).ravel()
    turned = (np.arange(full.size) % 2).astype(bool)  # the line goes up in one stretch and down in the next
    pairs = np.column_stack([np.where(turned, high, low), np.where(turned, low, high)]).ravel()
    breaks = 2 * (np.flatnonzero(np.diff(full) > GAP_STRETCHES) + 1)
    return np.insert(times, breaks, np.nan), np.insert(pairs, breaks, np.nan)


def path(x: Array, y: Array, low: float, high: float, start: float, end: float) -> str:
    """Return an SVG path of points between the ends of both axes; a NaN parts it."""
    across = (x - start) / max(end - start, 1e-12) * WIDE
    down = (high - y) / max(high - low, 1e-12) * TALL
    said, pen = [], "M"
    for right, under in zip(across.tolist(), down.tolist(), strict=True):
        if math.isnan(right) or math.isnan(under):
            pen = "M"
            continue
        said.append(f"{pen}{right:.1f} {under:.1f}")
        pen = "L"
    return "".join(said)


def ends_of(values: list[Array], *, zero: bool = False) -> tuple[float, float]:
    """Return the ends of an axis that holds all values, with some air, and nought if it is asked for."""
    found = np.concatenate([each[np.isfinite(each)] for each in values])
    low, high = (float(found.min()), float(found.max())) if found.size else (0.0, 1.0)
    if zero:
        low, high = min(low, 0.0), max(high, 0.0)
    air = 0.05 * (high - low) or max(abs(high) * 0.05, 0.5)
    return (low if zero and low == 0.0 else low - air), high + air


def value_ticks(low: float, high: float) -> tuple[Tick, ...]:
    """Return round marks between two ends, from the top."""
    raw = (high - low) / MOST_TICKS
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(each * power for each in (1.0, 2.0, 5.0, 10.0) if each * power >= raw)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return tuple(
        Tick(round((high - turn * step) / (high - low) * 100.0, 2), number(round(turn * step, decimals), decimals))
        for turn in range(first, last + 1)
    )


def time_ticks(start_s: float, end_s: float) -> tuple[Tick, ...]:
    """Return round times between two ends, as "1:30"."""
    length = max(end_s - start_s, 1e-9)
    step = next((each for each in TIME_STEPS_S if length / each <= MOST_TIME_TICKS), length / MOST_TIME_TICKS)
    turns = range(math.ceil(start_s / step - 1e-9), math.floor(end_s / step + 1e-9) + 1)
    return tuple(Tick(round((turn * step - start_s) / length * 100.0, 2), _clock(turn * step, step)) for turn in turns)


def shade(start_s: float, end_s: float, first_s: float, last_s: float) -> Shade:
    """Return where an event lies on an axis of time."""
    scale = WIDE / max(last_s - first_s, 1e-12)
    left, right = (start_s - first_s) * scale, (end_s - first_s) * scale
    width = max(right - left, LEAST_SPAN)
    return Shade(round(min(max(left, 0.0), WIDE - width), 1), round(min(width, WIDE), 1))


def thinned_spectrum(spectrum: Spectrum, most: int) -> tuple[Array, Array]:
    """Return frequencies and densities, at most so many; of several that fall on one the greatest stays, at its place.

    Raises
    ------
    ValueError
        If `most` is below one.
    """
    n = spectrum.frequency_hz.size
    if n <= most:
        return spectrum.frequency_hz, spectrum.density
    starts = np.unique(np.linspace(0, n, most, endpoint=False).astype(np.intp))
    kept = np.array([start + int(np.argmax(spectrum.density[start:stop]))
                     for start, stop in zip(starts, np.append(starts[1:], n), strict=True)])  # fmt: skip
    return spectrum.frequency_hz[kept], spectrum.density[kept]


def _clock(seconds: float, step: float) -> str:
    minutes, rest = divmod(seconds, 60.0)
    hours, minutes = divmod(int(minutes), 60)
    ending = f"{rest:04.1f}" if step < 1.0 else f"{int(rest):02d}"
    return f"{hours}:{minutes:02d}:{ending}" if hours else f"{minutes}:{ending}"
