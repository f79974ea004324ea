"""Corner outputs of a record on one clock."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from turnback.assess.signals import held_at, rows_between
from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.flight_record import FlightRecord, Series, Times
from turnback.records.happened import Flown

LEAST_ROWS = 8


@dataclass(frozen=True, slots=True, eq=False)
class Columns:
    """Channels of one quantity against the clock of the first of them."""

    t_s: Times
    channels: tuple[Channel, ...]
    values: tuple[NDArray[Any], ...]

    def at(self, place: int) -> tuple[At, ...]:
        """Return the corner of one channel, if it is known."""
        corner = self.channels[place].at
        return () if corner is None else (corner,)

    def corners_known(self) -> bool:
        """Tell whether these are the four corners, in the order of `At`."""
        return tuple(channel.at for channel in self.channels) == tuple(At)


def columns_of(record: FlightRecord, quantity: Quantity) -> Columns | None:
    """Return every channel of a quantity of corners; None where there is none with more than a few rows."""
    return on_one_clock(tuple(each for each in record.all_of(quantity) if each.t_s.size >= LEAST_ROWS))


def on_one_clock(series: tuple[Series, ...]) -> Columns | None:
    """Return channels against the clock of the first; None without channels."""
    if not series:
        return None
    t_s = series[0].t_s
    values = tuple(held_at(each.t_s, each.values, t_s) for each in series)
    return Columns(t_s, tuple(each.channel for each in series), values)


def aloft_rows(flown: Flown, t_s: Times) -> NDArray[np.bool_]:
    """Return which rows of a clock lie in the air."""
    aloft = np.zeros(t_s.size, np.bool_)
    for start_s, end_s in flown.aloft():
        aloft[rows_between(t_s, start_s, end_s)] = True
    return aloft
