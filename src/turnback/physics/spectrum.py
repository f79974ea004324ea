"""Power spectral densities by Welch's method, and lines that stand above their surroundings.

Welch, The use of fast Fourier transform for the estimation of power spectra, IEEE Trans. Audio Electroacoustics 15(2),
1967, p. 70: segments that overlap by half, each without its mean and under a Hann window, their squares averaged.
One-sided: the sum of a density times the width of its bins is the mean square of the samples (Parseval).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]

BATCH_SAMPLES = 1 << 18  # transformed at once: a few megabytes, however long the record
LOBE_BINS = 2  # half the width of the main lobe of a Hann window


@dataclass(frozen=True, slots=True, eq=False)
class Density:
    """A one-sided power spectral density.

    Parameters
    ----------
    frequency_hz : ndarray, shape (m,)
    values : ndarray, shape (m,) or (k, m)
        Unit of the samples squared per hertz; a row per segment where segments were not averaged.
    """

    frequency_hz: Floats
    values: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Line:
    """A narrow peak.

    Parameters
    ----------
    frequency_hz : float
        Centre of its power.
    amplitude : float
        Of the sine that has its power.
    prominence_ratio : float
        Its highest density over the running median around it.
    """

    frequency_hz: float
    amplitude: float
    prominence_ratio: float


@dataclass(frozen=True, slots=True, eq=False)
class EvenSamples:
    """Samples on an even clock; row i is at `start_s` + i / `rate_hz`."""

    start_s: float
    rate_hz: float
    values: Floats


def segment_densities(values: Floats, rate_hz: float, segment_s: float) -> Density:
    """Return the density of each segment: halves overlap, means are taken off, Hann window.

    Parameters
    ----------
    values : ndarray, shape (n,)
        Samples on an even clock, without NaN.
    rate_hz : float
    segment_s : float
        Rounded to whole samples, at least 8 of them.

    Returns
    -------
    Density
        `values` of shape (k, m); k is 0 where the samples do not fill one segment. A tail that fills none is left out.

    Notes
    -----
    Welch 1967; the window is the periodic Hann window, a density is scaled by the sum of its squares.
    """
    size = max(8, round(segment_s * rate_hz))
    frequency_hz = np.fft.rfftfreq(size, 1.0 / rate_hz)
    if values.size < size:
        return Density(frequency_hz, np.empty((0, frequency_hz.size)))
    window = 0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(size) / size)
    segments = np.lib.stride_tricks.sliding_window_view(values, size)[:: max(1, size - size // 2)]
    scale = np.full(frequency_hz.size, 2.0 / (rate_hz * float(window @ window)))
    scale[0] /= 2.0
    if size % 2 == 0:  # the highest frequency has no mirror image
        scale[-1] /= 2.0
    densities = np.empty((len(segments), frequency_hz.size))
    step = max(1, BATCH_SAMPLES // size)
    for first in range(0, len(segments), step):
        batch = segments[first : first + step].astype(np.float64)
        batch -= batch.mean(axis=1, keepdims=True)
        batch *= window
        transformed = np.fft.rfft(batch, axis=1)
        densities[first : first + step] = (transformed.real**2 + transformed.imag**2) * scale
    return Density(frequency_hz, densities)


def welch(values: Sequence[Floats], rate_hz: float, segment_s: float) -> Density:
    """Return one density averaged over every segment of several spans; no segment reaches across a gap.

    Parameters
    ----------
    values : sequence of ndarray
        Each the samples of one span on an even clock. Spans shorter than a segment are left out.
    rate_hz, segment_s : float
        As in `segment_densities`.

    Returns
    -------
    Density
        `values` of shape (m,); all NaN where no span fills a segment.

    Notes
    -----
    Welch 1967.
    """
    size = max(8, round(segment_s * rate_hz))
    frequency_hz = np.fft.rfftfreq(size, 1.0 / rate_hz)
    total, count = np.zeros(frequency_hz.size), 0
    whole = max(1, BATCH_SAMPLES // size) * (size - size // 2)
    for span in values:
        for first in range(0, span.size - size + 1, whole):  # a batch ends where the next begins
            part = segment_densities(span[first : first + whole + size // 2], rate_hz, segment_s).values
            total += part.sum(axis=0)
            count += len(part)
    return Density(frequency_hz, total / count if count else np.full(frequency_hz.size, np.nan))


def floor_under(density: Density, width_hz: float) -> Density:
    """Return the running median of a density: its level without narrow lines.

    Parameters
    ----------
    density : Density
        Of shape (m,).
    width_hz : float
        Of the running window; at the ends it is cut short on both sides alike, so a slope there tilts nothing.

    Notes
    -----
    A median over more than twice the bins of a line does not see the line (Tukey 1977, running medians).
    """
    level = density.values
    step_hz = float(density.frequency_hz[1])
    half = max(1, min(round(width_hz / step_hz / 2.0), (level.size - 1) // 2))
    medians = np.empty(level.size)
    medians[half : level.size - half] = np.median(np.lib.stride_tricks.sliding_window_view(level, 2 * half + 1), axis=1)
    for place in range(half):
        medians[place] = np.median(level[: 2 * place + 1])
        medians[level.size - 1 - place] = np.median(level[level.size - 1 - 2 * place :])
    return Density(density.frequency_hz, medians)


def line_near(density: Density, floor: Density, low_hz: float, high_hz: float) -> Line:
    """Return the most prominent line whose peak lies between two frequencies.

    Parameters
    ----------
    density, floor : Density
        Of shape (m,), the floor by `floor_under`.
    low_hz, high_hz : float

    Returns
    -------
    Line
        Its power is what the main lobe holds above the floor; NaN where no bin lies between the frequencies.

    Notes
    -----
    A sine of amplitude A has the power A²/2, all but 1e-3 of it within two bins of its peak under a Hann window
    (Harris, On the use of windows for harmonic analysis, Proc. IEEE 66(1), 1978, p. 51).
    """
    first, after = np.searchsorted(density.frequency_hz, [low_hz, high_hz * (1.0 + 1e-12)])
    if first >= after:
        return Line(float("nan"), float("nan"), float("nan"))
    ratios = density.values[first:after] / np.maximum(floor.values[first:after], np.finfo(float).tiny)
    peak = int(first + np.argmax(ratios))
    lobe = slice(max(0, peak - LOBE_BINS), peak + LOBE_BINS + 1)
    above = np.maximum(density.values[lobe] - floor.values[lobe], 0.0)
    power = float(above.sum()) * float(density.frequency_hz[1])
    weight = float(above.sum())
    centre_hz = (
        float(density.frequency_hz[lobe] @ above) / weight if weight > 0.0 else float(density.frequency_hz[peak])
    )
    return Line(centre_hz, float(np.sqrt(2.0 * power)), float(ratios[peak - first]))


def jitter_ratio(t_s: Floats) -> float:
    """Return how uneven a clock is: the mean distance of its steps from their median, in median steps.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
        Increasing; n at least 3. The greatest hundredth of the steps (rows that are missing) does not count.

    Notes
    -----
    0 for an even clock; about 0.5 for times that come as it happens.
    """
    steps_s = np.diff(t_s)
    middle_s = float(np.median(steps_s))
    off_s = np.abs(steps_s - middle_s)
    least = max(1, int(off_s.size * 0.99))
    return float(np.partition(off_s, least - 1)[:least].mean()) / middle_s


def evenly(t_s: Floats, values: Floats, rate_hz: float) -> EvenSamples:
    """Lay samples on an even clock by straight lines between them.

    Parameters
    ----------
    t_s, values : ndarray, shape (n,)
        Times increase; n at least 2.
    rate_hz : float

    Notes
    -----
    Half-way between samples a sine of a quarter of their rate keeps cos(π/4) = 0.71 of its amplitude, one of an eighth
    0.92: after an uneven clock was laid even, only the lowest quarter of the rate is worth reading.
    """
    count = int((float(t_s[-1]) - float(t_s[0])) * rate_hz + 1e-6) + 1
    start_s = float(t_s[0])
    return EvenSamples(start_s, rate_hz, np.interp(start_s + np.arange(count) / rate_hz, t_s, values))
