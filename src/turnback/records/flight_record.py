"""A flight record read: canonical channels against one clock."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.bench import At
from turnback.records.channel import Channel, Quantity
from turnback.records.record_read import Clock, ColumnMatch, FlightFacts, RecordFormat

Times = NDArray[np.float64]
Values = NDArray[np.floating]


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """One channel.

    Parameters
    ----------
    channel : Channel
    t_s : ndarray of float64, shape (n,)
        Strictly increasing seconds since the record's start. Channels without empty cells share one array (the same
        object); others have their own, so that no value is NaN.
    values : ndarray, shape (n,)
        In the unit of `records.channel.UNIT_OF`; of words the place in `labels`.
    rate_hz : float
        How often it is sampled: one over the median step.
    fresh_hz : float
        How often its value changes while it changes at all; below `rate_hz` where values are only repeated.
    labels : tuple of str
    """

    channel: Channel
    t_s: Times
    values: Values
    rate_hz: float
    fresh_hz: float
    labels: tuple[str, ...] = ()


class SenseBy(Enum):
    """How the direction in which a channel counts is known."""

    TOLD = "told by the user"
    FORMAT = "said by the file"
    GRAVITY = "gravity at rest"
    MOTION = "how channels move together"
    ASSUMED = "not known: taken as the record has it"


@dataclass(frozen=True, slots=True)
class SenseFound:
    """Whether a channel counts as the canonical one does.

    Parameters
    ----------
    channel : Channel
    negative : bool
        The record's values were negated.
    by : SenseBy
    chance : float
        That it is now right; 0.5 where nothing tells.
    """

    channel: Channel
    negative: bool
    by: SenseBy
    chance: float


@dataclass(frozen=True, slots=True)
class CornerFound:
    """Which corner a numbered column is.

    Parameters
    ----------
    quantity : Quantity
    number : int
        As the record counts.
    at : At or None
        None where neither user nor physics told.
    by_physics : bool
    chance : float
        Of the whole assignment that it is part of.
    """

    quantity: Quantity
    number: int
    at: At | None
    by_physics: bool
    chance: float


@dataclass(frozen=True, slots=True, eq=False)
class FlightRecord:
    """A record as everything behind the reader sees it.

    Parameters
    ----------
    name : str
        Of the file.
    format : RecordFormat
    clock : Clock
    series : mapping of Channel to Series
        In the order of the file.
    matches : tuple of ColumnMatch
    senses : tuple of SenseFound
    corners : tuple of CornerFound
    facts : FlightFacts
    """

    name: str
    format: RecordFormat
    clock: Clock
    series: dict[Channel, Series]
    matches: tuple[ColumnMatch, ...] = ()
    senses: tuple[SenseFound, ...] = ()
    corners: tuple[CornerFound, ...] = ()
    facts: FlightFacts = field(default_factory=FlightFacts)

    def get(self, quantity: Quantity, at: At | None = None, number: int | None = None) -> Series | None:
        """Return one channel, or None."""
        return self.series.get(Channel(quantity, at, number))

    def all_of(self, quantity: Quantity) -> tuple[Series, ...]:
        """Return every channel of one quantity: corners in the order of `At`, then numbers."""
        corners = list(At)
        found = [each for each in self.series.values() if each.channel.quantity is quantity]
        return tuple(sorted(found, key=lambda each: (
            len(corners) if each.channel.at is None else corners.index(each.channel.at), each.channel.number or 0,
        )))  # fmt: skip

    def corners_of(self, quantity: Quantity) -> tuple[Series, Series, Series, Series] | None:
        """Return a quantity at all four corners in the order of `At`; None unless all four are known."""
        found = [self.get(quantity, at) for at in At]
        if any(each is None for each in found):
            return None
        return tuple(each for each in found if each is not None)  # type: ignore[return-value]

    def sense_known(self, quantity: Quantity) -> bool:
        """Tell whether the direction in which a channel counts is known well enough to judge by."""
        return any(each.channel.quantity is quantity and each.chance >= 0.95 for each in self.senses)
