"""Lines at multiples of each corner's own rotor speed: how strong, how prominent, whose."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.vibration_kernel import SUBS, turned_back
from turnback.assess.vibration_spans import Group, fresh_rows
from turnback.records.flight_record import Series
from turnback.rules.record_vibration import APART, LENGTH

BLOCK_S: Final = 0.5
NEAR: Final = (0, 1, -1)  # bins of a line: a Hann window spreads a steady one over these
BESIDE: Final = (*range(4, 21), *range(-20, -3))  # wide enough that siblings' lines do not fill half of it
LOBE: Final = 1.5  # power of a steady line in the three bins, over that in its own: 1 + 1/4 + 1/4
LEAST_BLOCKS: Final = int(LENGTH.value / BLOCK_S)
LEAST_RATE_HZ: Final = SUBS / BLOCK_S


@dataclass(frozen=True, slots=True)
class CornerLine:
    """One line of one corner over one group.

    Parameters
    ----------
    rotor : Series
    order : int
        Multiple of rotor speed.
    frequency_hz : float
        Mean over the group.
    amplitude : float
        Of all axes together.
    prominence : float
        Power at the line over the power beside it.
    own : bool
        Told apart from the other corners; else another corner's line may be in it.
    """

    rotor: Series
    order: int
    frequency_hz: float
    amplitude: float
    prominence: float
    own: bool


def corner_lines(
    axes: tuple[Series, ...], rotors: tuple[Series, ...], group: Group, orders: tuple[int, ...]
) -> tuple[CornerLine, ...]:
    """Return the lines of every rotor at every order, rotors first.

    Parameters
    ----------
    axes : tuple of Series
        Channels of one quantity's axes on one clock; their powers are added.
    rotors : tuple of Series
    group : Group
    orders : tuple of int
        Increasing.
    """
    t_s = axes[0].t_s
    first, after = _blocks(axes[0], group)
    if not first.size:
        return ()
    rows = np.concatenate([np.arange(a, b) for a, b in zip(first, after, strict=True)])
    bounds = np.cumsum(np.r_[0, after - first])
    at_s = t_s[rows]
    speeds = np.empty((len(rotors), rows.size))
    for place, rotor in enumerate(rotors):
        speeds[place] = np.interp(at_s, *fresh_rows(rotor))
    values = np.stack([np.asarray(axis.values[rows], np.float64) for axis in axes])
    parts = turned_back(at_s, speeds, values, bounds[:-1], bounds[1:], BLOCK_S, np.array(orders))
    means_hz = np.add.reduceat(speeds, bounds[:-1], axis=1) / np.diff(bounds)
    return _judged(_power(parts), means_hz, rotors, orders)


def _blocks(axis: Series, group: Group) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return first and last rows of blocks of `BLOCK_S` that lie whole within unbroken stretches."""
    first, after = [], []
    for rows in group.rows(axis.t_s, axis.rate_hz):
        part_s = axis.t_s[rows]
        count = int((part_s[-1] - part_s[0]) / BLOCK_S + 1e-6)
        edges = np.searchsorted(part_s, part_s[0] + BLOCK_S * np.arange(count + 1) - 1e-9) + rows.start
        first += edges[:-1].tolist()
        after += edges[1:].tolist()
    return np.array(first, np.intp), np.array(after, np.intp)


def _power(parts: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Return power by block, rotor, order and bin, axes added; a steady line of amplitude A has A² in bin 0."""
    window = 1.0 - np.cos(2.0 * np.pi * (np.arange(SUBS) + 0.5) / SUBS)
    transformed = np.fft.fft(parts * window, axis=-1) / SUBS
    return np.asarray(4.0 * (transformed.real**2 + transformed.imag**2).sum(axis=3))


def _judged(
    power: NDArray[np.float64], means_hz: NDArray[np.float64], rotors: tuple[Series, ...], orders: tuple[int, ...]
) -> tuple[CornerLine, ...]:
    """Return the lines, each over the blocks where its corner stands apart, or over all where too few do."""
    whole = np.isfinite(power).all(axis=(1, 2, 3))
    lines = []
    for rotor, series in enumerate(rotors):
        gaps_hz = np.abs(np.delete(means_hz, rotor, axis=0) - means_hz[rotor])
        nearest_hz = gaps_hz.min(axis=0) if len(gaps_hz) else np.full(means_hz.shape[1], np.inf)
        for place, order in enumerate(orders):
            apart = whole & (nearest_hz * order * BLOCK_S >= APART.value)
            own = int(apart.sum()) >= LEAST_BLOCKS
            blocks = apart if own else whole
            if int(blocks.sum()) < LEAST_BLOCKS:
                continue
            mean = power[blocks, rotor, place].mean(axis=0)
            beside = float(np.median(mean[list(BESIDE)]))
            near = float(mean[list(NEAR)].sum())
            amplitude = float(np.sqrt(max(near - len(NEAR) * beside, 0.0) / LOBE))
            prominence = near / max(len(NEAR) * beside, 1e-30)
            mean_hz = float(means_hz[rotor].mean())
            lines.append(CornerLine(series, order, mean_hz * order, amplitude, prominence, own))
    return tuple(lines)
