"""Outputs that ring: a loop of too much gain swings at one pitch of its own, long before it swings to its stops."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.signals import rows_between
from turnback.rules.record_signs_ring import RINGS, RINGS_ABOVE, RINGS_ALONE

Floats = NDArray[np.float64]
BLOCK_S: Final = 1.0
LEAST_BLOCKS: Final = 5
LEAST_HZ: Final = 150.0
FAST_HZ: Final = (8, 60)  # slower is flying, faster is rotors
PEAK_HZ: Final = (10, 57)
WIDE_HZ: Final = 3  # each way
BELOW: Final = (0.45, 0.7)  # where the level beside it is taken, over its own frequency
ROTOR_HZ: Final = 5.0


@dataclass(frozen=True, slots=True)
class Ringing:
    """What outputs do at the one pitch at which they do most.

    Parameters
    ----------
    frequency_hz : float
    level : float
        Root mean square over the flight, of an output's full range.
    above : float
        Amplitude over what is beside it, slower.
    alone : float
        Its share of all that is fast, in squares, in the median second.
    """

    frequency_hz: float
    level: float
    above: float
    alone: float

    @property
    def score(self) -> float:
        """How far beyond its limits it lies; 1 at the limit."""
        return min(self.level / RINGS.value, self.above / RINGS_ABOVE.value, self.alone / RINGS_ALONE.value)

    @property
    def drowns(self) -> bool:
        """Whether it hides what else the outputs and rates do fast, ringing of the loop or not."""
        return self.level >= RINGS.value and self.alone >= RINGS_ALONE.value


def ringing_of(outputs: Columns, spans: list[tuple[float, float]], speeds: Columns | None = None) -> Ringing | None:
    """Return the pitch at which all outputs swing most; None where too little is recorded, or a rotor turns so fast.

    Parameters
    ----------
    outputs : Columns
    spans : list of tuple
        (s).
    speeds : Columns, optional
        A line of a slow rotor gets into the outputs too, and is no ringing.

    Notes
    -----
    Wind, a pilot and noise of a sensor drive all frequencies alike. A loop at the edge of its stability answers each of
    them at one frequency only, whatever the throttle does. So it is looked for in the mean spectrum of whole seconds of
    the flight, of the median output: one corner alone is a motor's.
    """
    rate_hz = (outputs.t_s.size - 1) / max(float(outputs.t_s[-1] - outputs.t_s[0]), 1e-6) if outputs.t_s.size else 0.0
    if rate_hz < LEAST_HZ:
        return None
    size = round(BLOCK_S * rate_hz)
    window = np.hanning(size)
    parts = []
    for span in spans:
        rows = rows_between(outputs.t_s, *span)
        count = (rows.stop - rows.start) // size
        if count:
            whole = np.stack([each[rows][: count * size].reshape(count, size) for each in outputs.values])
            whole = (whole - whole.mean(axis=2, keepdims=True)) * window
            power = np.abs(np.fft.rfft(whole, axis=2)[:, :, : 2 * FAST_HZ[1]]) ** 2
            parts.append(np.median(power, axis=0) * 2.0 / (rate_hz * float(window @ window)))
    power = np.concatenate(parts) if parts else np.empty((0, 1))
    if len(power) < LEAST_BLOCKS:
        return None
    mean = power.mean(axis=0)
    sums = np.convolve(mean, np.ones(2 * WIDE_HZ + 1), mode="same")
    peak = PEAK_HZ[0] + int(np.argmax(sums[PEAK_HZ[0] : PEAK_HZ[1] + 1]))
    if _turns_so_fast(speeds, spans, peak):
        return None
    near = slice(peak - WIDE_HZ, peak + WIDE_HZ + 1)
    beside = float(np.median(mean[int(BELOW[0] * peak) : max(int(BELOW[1] * peak), int(BELOW[0] * peak) + 1)]))
    fast = power[:, FAST_HZ[0] : FAST_HZ[1] + 1].sum(axis=1)
    alone = float(np.median(power[:, near].sum(axis=1) / np.maximum(fast, 1e-18)))
    above = float(np.sqrt(mean[near].mean() / max(beside, 1e-18)))
    return Ringing(float(peak), float(np.sqrt(sums[peak])), above, min(alone, 1.0))


def _turns_so_fast(speeds: Columns | None, spans: list[tuple[float, float]], frequency_hz: float) -> bool:
    """Tell whether a rotor turns about so fast."""
    if speeds is None:
        return False
    found = [np.median(each[rows_between(speeds.t_s, *span)]) for span in spans for each in speeds.values
             if span[1] - span[0] >= BLOCK_S]  # fmt: skip
    return any(abs(float(each) - frequency_hz) < ROTOR_HZ for each in found)
