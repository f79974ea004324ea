"""Half-second blocks of flight: how much the rates shake in each, between which frequencies, and what else holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signs_outputs_flight import STEADY, Seen
from turnback.records.channel import ACCELERATIONS, RATES, Quantity
from turnback.records.flight_record import Series
from turnback.records.happened import PhaseKind

Floats = NDArray[np.float64]
BLOCK_S: Final = 0.5
MOST_BLOCKS: Final = 240
WASH_HZ: Final = (4.0, 60.0)
FLOOR_HZ: Final = 60.0
LEAST_RATE_HZ: Final = 130.0
LEAST_FLOOR_HZ: Final = 240.0
FELT_STEP_S: Final = 0.1
FELT_S: Final = 16.0


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Half-second blocks of flight before its end.

    Parameters
    ----------
    starts_s : ndarray, shape (k,)
    wash : ndarray, shape (k,)
        Root mean square of roll and pitch rate from 4 to 60 Hz.
    floor, force_floor : ndarray or None, shape (k,)
        Root of the median density of rates and of acceleration above 60 Hz; lines do not move it.
    """

    starts_s: Floats
    wash: Floats
    floor: Floats | None
    force_floor: Floats | None

    def mean_of(self, series: Series) -> Floats:
        """Return a channel's mean in each block; NaN where it has no row."""
        first = np.searchsorted(series.t_s, self.starts_s)
        after = np.searchsorted(series.t_s, self.starts_s + BLOCK_S)
        low = int(first.min(initial=0))
        sums = np.cumsum(np.r_[0.0, np.asarray(series.values[low : int(after.max(initial=0))], np.float64)])
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.asarray((sums[after - low] - sums[first - low]) / (after - first))


def blocks_of(seen: Seen) -> Blocks | None:
    """Return the blocks; None where the rates are too slow for any of it, or there are none."""
    axes = [seen.axes[name].rate for name in ("roll", "pitch", "yaw") if name in seen.axes]
    axes = [each for each in axes if each.t_s is axes[0].t_s]
    if len(axes) < len(RATES) - 1 or min(each.fresh_hz or each.rate_hz for each in axes) < LEAST_RATE_HZ:
        return None
    starts = [
        a + BLOCK_S * np.arange(int((b - a) / BLOCK_S))
        for a, b in seen.steady(*STEADY, PhaseKind.FALL, until_s=seen.ended_s)
    ]
    starts_s = np.concatenate([np.empty(0), *starts])
    starts_s = starts_s[:: max(1, -(-starts_s.size // MOST_BLOCKS))]
    size = round(BLOCK_S * axes[0].rate_hz)
    first = np.searchsorted(axes[0].t_s, starts_s)
    whole = first + size <= axes[0].t_s.size
    starts_s, first = starts_s[whole], first[whole]
    if starts_s.size < 4:
        return None
    frequency_hz = np.fft.rfftfreq(size, 1.0 / axes[0].rate_hz)
    power = [_power(each.values, first, size, axes[0].rate_hz) for each in axes]
    band = (frequency_hz >= WASH_HZ[0]) & (frequency_hz < WASH_HZ[1])
    wash = np.sqrt((power[0] + power[1])[:, band].sum(axis=1) * frequency_hz[1])
    fast = axes[0].rate_hz >= LEAST_FLOOR_HZ
    floor = _floor(np.stack(power), frequency_hz) if fast else None
    forces = [each for each in map(seen.record.get, ACCELERATIONS) if each is not None and each.t_s is axes[0].t_s]
    felt = [_power(each.values, first, size, axes[0].rate_hz) for each in forces] if fast else []
    return Blocks(starts_s, wash, floor, _floor(np.stack(felt), frequency_hz) if felt else None)


def _power(values: NDArray[Any], first: NDArray[np.intp], size: int, rate_hz: float) -> Floats:
    """Return the one-sided density of each block under a Hann window, shape (k, m)."""
    parts = np.asarray(values[first[:, None] + np.arange(size)], np.float32)
    window = np.hanning(size).astype(np.float32)
    parts = (parts - parts.mean(axis=1, keepdims=True)) * window
    turned = np.fft.rfft(parts, axis=1)
    return np.asarray((turned.real**2 + turned.imag**2) * (2.0 / (rate_hz * float(window @ window))), np.float64)


def _floor(power: NDArray[Any], frequency_hz: NDArray[Any]) -> Floats:
    """Return the root of the median density above the frequencies of flying."""
    high = frequency_hz >= FLOOR_HZ
    return np.asarray(np.sqrt(np.median(np.sum(power, axis=0)[:, high], axis=1)))


def climb_of(seen: Seen) -> Series | None:
    """Return the climb rate, or the speed downward, whichever is there."""
    return seen.record.get(Quantity.CLIMB_RATE) or seen.record.get(Quantity.VELOCITY_DOWN)


def climb_at(seen: Seen, at_s: Floats) -> Floats | None:
    """Return the climb rate at some times, from a rate or from heights a second apart; None without any of them."""
    series = climb_of(seen)
    if series is not None:
        values = np.interp(at_s, series.t_s, series.values)
        return np.asarray(-values if series.channel.quantity is Quantity.VELOCITY_DOWN else values)
    height = seen.record.get(Quantity.HEIGHT_LAUNCH) or seen.record.get(Quantity.HEIGHT_SEA_LEVEL)
    if height is None:
        return None
    ahead, behind = (np.interp(at_s + half_s, height.t_s, height.values) for half_s in (0.4, -0.4))
    return np.asarray((ahead - behind) / 0.8)


def climb_felt(seen: Seen, starts_s: Floats) -> Floats | None:
    """Return about how fast it climbs in each block, from acceleration and lean; None without them.

    Notes
    -----
    Upward acceleration is summed up in half seconds; what is slower than `FELT_S` is taken away, for a sensor's error
    grows with time. A descent of some seconds stays.
    """
    forces = [seen.record.get(each) for each in ACCELERATIONS]
    roll, pitch = seen.record.get(Quantity.ROLL), seen.record.get(Quantity.PITCH)
    if roll is None or pitch is None or any(each is None for each in forces) or not starts_s.size:
        return None
    edges_s = np.arange(float(starts_s[0]), float(starts_s[-1]) + BLOCK_S + FELT_STEP_S, FELT_STEP_S)
    x, y, z = (_between(each, edges_s) for each in forces if each is not None)
    phi, theta = _between(roll, edges_s), _between(pitch, edges_s)
    down = -np.sin(theta) * x + np.cos(theta) * (np.sin(phi) * y + np.cos(phi) * z)
    up = np.nan_to_num(-(down - np.nanmedian(down)))
    climb = np.cumsum(up) * FELT_STEP_S
    width = min(round(FELT_S / FELT_STEP_S), climb.size)
    kept = np.convolve(np.ones(climb.size), np.ones(width), "same")
    climb -= np.convolve(climb, np.ones(width), "same") / kept
    return np.asarray(np.interp(starts_s + 0.5 * BLOCK_S, edges_s[1:], climb))


def _between(series: Series, edges_s: Floats) -> Floats:
    """Return a channel's means between edges; NaN where it has no row."""
    edges = np.searchsorted(series.t_s, edges_s)
    sums = np.cumsum(np.r_[0.0, np.asarray(series.values[edges[0] : edges[-1]], np.float64)])
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.diff(sums[edges - edges[0]]) / np.diff(edges))
