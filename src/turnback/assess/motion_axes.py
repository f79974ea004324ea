"""The turning axes of a record: rate, demand and stick on one clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import held_at
from turnback.records.channel import RATE_DEMANDS, RATES, Quantity
from turnback.records.flight_record import FlightRecord, Series, Times

AXES: Final = ("roll", "pitch", "yaw")
STICK: Final = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK)
LEAST_ROWS: Final = 32


@dataclass(frozen=True, slots=True, eq=False)
class Axis:
    """One axis; demand and stick are None where they are not recorded.

    `same_way` tells whether rate and demand are known to count the same way round.
    """

    name: str
    rate: Series
    demand: NDArray[Any] | None
    demand_series: Series | None
    stick: NDArray[Any] | None
    same_way: bool
    rate_known: bool

    @property
    def t_s(self) -> Times:
        """The clock of the rate."""
        return self.rate.t_s

    @property
    def fresh_hz(self) -> float:
        """How often the rate brings a new value."""
        return self.rate.fresh_hz or self.rate.rate_hz


def axes_of(record: FlightRecord) -> tuple[Axis, ...]:
    """Return the axes whose rate is recorded."""
    found = []
    for name, rate, demand, stick in zip(AXES, RATES, RATE_DEMANDS, STICK, strict=True):
        turning = record.get(rate)
        if turning is None or turning.t_s.size < LEAST_ROWS:
            continue
        asked, hand = record.get(demand), record.get(stick)
        found.append(
            Axis(
                name, turning,
                None if asked is None else held_at(asked.t_s, asked.values, turning.t_s), asked,
                None if hand is None else held_at(hand.t_s, hand.values, turning.t_s),
                record.sense_known(rate) and record.sense_known(demand), record.sense_known(rate),
            )
        )  # fmt: skip
    return tuple(found)


def highest_lately(values: NDArray[Any], rows: int) -> NDArray[Any]:
    """Return the highest of each value and the `rows` before it.

    Doubling: the highest of two overlapping stretches is that of both together, so a few passes do.
    """
    found = values.copy()
    rows = min(rows, found.size - 1)
    reach = 1
    while reach < rows + 1:
        step = min(reach, rows + 1 - reach)
        found[step:] = np.maximum(found[step:], found[:-step])
        reach += step
    return found


def rolling_rms(values: NDArray[Any], rows: int) -> NDArray[np.float64]:
    """Return the root mean square of each value and the `rows` - 1 before it; shorter at the start."""
    sums = np.cumsum(np.r_[0.0, np.square(values, dtype=np.float64)])
    after = np.arange(1, values.size + 1)
    first = np.maximum(after - rows, 0)
    return np.asarray(np.sqrt(np.maximum(sums[after] - sums[first], 0.0) / (after - first)))
