"""Seconds of flight: how strongly it shakes in each, how far that wanders, and whether the rotors could beat in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.output_columns import Columns
from turnback.assess.signals import rows_between
from turnback.assess.signs_motion_lines import some_of
from turnback.assess.signs_outputs_flight import CORNERS, Seen, smoothed
from turnback.records.flight_record import Series
from turnback.rules.record_signs_motion import PARTS_TURN

Floats = NDArray[np.float64]
FAST_HZ: Final = 100.0  # means over one over that are taken away
BLOCK_S: Final = 1.0
MOST_S: Final = 48.0
EDGE_S: Final = 0.2
SMOOTH_S: Final = 0.1
LEAST_ROWS: Final = 20
LEAST_THRUST: Final = 0.2  # of its mean in a second: below that next to nothing shakes
THRUST_WANDERS: Final = 0.3
TYPICAL_HZ: Final = 150.0  # rotors of small multirotors turn so fast, or faster
SPEED_BY_OUTPUT: Final = 0.5  # thrust goes with the output, and with the square of the speed
PAIRS: Final = tuple((a, b) for a in range(CORNERS) for b in range(a))


@dataclass(frozen=True, slots=True, eq=False)
class Beats:
    """How it shakes, second by second.

    Parameters
    ----------
    power : ndarray, shape (k,)
        Mean square of roll and pitch rate faster than about 50 Hz, rad²/s².
    wanders : ndarray, shape (k,)
        Mean square of that power over the square of its mean, less one, what the thrust explains taken out.
    parted : ndarray of bool, shape (k,)
        Where the rotors turn against one another by half a turn or more and the thrust stays nearly as it is: shaking
        of several rotors beats there.
    """

    power: Floats
    wanders: Floats
    parted: NDArray[np.bool_]

    @property
    def level(self) -> float:
        """Return the root of the median power, rad/s."""
        return float(np.sqrt(np.median(self.power)))

    def wander(self, least: int) -> tuple[float, bool]:
        """Return the median wandering, and whether it is of at least some seconds in which rotors could beat."""
        known = int(self.parted.sum()) >= least
        return float(np.median(self.wanders[self.parted] if known else self.wanders)), known


def beats_of(seen: Seen, axes: list[Series], spans: list[tuple[float, float]]) -> Beats:
    """Return how it shakes in some spans.

    Parameters
    ----------
    seen : Seen
    axes : list of Series
        Roll and pitch rate on one clock.
    spans : list of tuple
        Their edges are left out.

    Notes
    -----
    Rotors whose speeds are alike to a fraction of a turn a second keep their angles to one another for seconds, and
    shake as evenly as one. Where speeds are not recorded, the differences of the outputs tell.
    """
    rate_hz = axes[0].rate_hz
    size, width = round(BLOCK_S * rate_hz), max(2, round(rate_hz / FAST_HZ))
    turning, given = _four(seen.speeds), _four(seen.outputs)
    power, wanders, parted = [], [], []
    for start_s, end_s in some_of(spans, MOST_S):
        rows = rows_between(axes[0].t_s, start_s + EDGE_S, end_s - EDGE_S)
        for k in range(max(0, rows.stop - rows.start - width) // size):
            first = rows.start + k * size
            fast = np.sum([_fast(each.values[first : first + size + width], width, size) for each in axes], axis=0)
            begins_s = float(axes[0].t_s[first])
            thrust, turned = _rotors(turning, given, begins_s, begins_s + BLOCK_S)
            even = fast / np.square(np.interp(np.arange(size) / size, np.arange(thrust.size) / thrust.size, thrust))
            power.append(float(fast.mean()))
            wanders.append(float(np.square(even).mean()) / max(float(even.mean()) ** 2, 1e-24) - 1.0)
            parted.append(turned >= PARTS_TURN.value and float(thrust.std()) < THRUST_WANDERS)
    return Beats(np.array(power), np.array(wanders), np.array(parted, np.bool_))


def _four(columns: Columns | None) -> Columns | None:
    return columns if columns is not None and len(columns.values) == CORNERS else None


def _rotors(turning: Columns | None, given: Columns | None, start_s: float, end_s: float) -> tuple[Floats, float]:
    """Return the thrust over its mean, and by how much (rad) rotors turn against one another in the mean of the pairs.

    From the speeds, else from the outputs; without both the thrust stays 1 and nothing is known to turn.
    """
    columns = turning if turning is not None else given
    if columns is None:
        return np.ones(1), 0.0
    rows = rows_between(columns.t_s, start_s, end_s)
    if rows.stop - rows.start < LEAST_ROWS:
        return np.ones(1), 0.0
    values = np.stack([np.asarray(each[rows], np.float64) for each in columns.values])
    mean = np.maximum(values.mean(axis=0), 1e-3)
    share = values / mean - 1.0
    hz = mean if turning is not None else TYPICAL_HZ * SPEED_BY_OUTPUT
    angles = 2.0 * np.pi * np.cumsum(share * hz, axis=1) * (end_s - start_s) / share.shape[1]
    turned = float(np.median([np.ptp(angles[a] - angles[b]) for a, b in PAIRS]))
    thrust = smoothed(np.square(mean) if turning is not None else mean, round(SMOOTH_S * mean.size / BLOCK_S))
    return np.maximum(thrust / max(float(thrust.mean()), 1e-9), LEAST_THRUST), turned


def _fast(values: NDArray[Any], width: int, count: int) -> Floats:
    """Return the square of what is faster than means over `width` rows, shape (count,)."""
    sums = np.cumsum(np.concatenate([[0.0], values]), dtype=np.float64)
    means = (sums[width:] - sums[:-width]) / width
    return np.asarray(np.square(values[width // 2 : width // 2 + count] - means[:count]), np.float64)
