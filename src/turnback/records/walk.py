"""A range walk: link levels measured on site, and what they teach about the predicted reception."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.finding import Spread

Array = NDArray[np.float64]


class WalkMode(Enum):
    """How the levels were taken."""

    ON_FOOT = "on foot"
    """Unarmed, propellers off, carried or set down."""
    IN_FLIGHT = "in flight"
    """On a first short flight."""


class WalkEnd(Enum):
    """Which end of the link read the level."""

    AIRCRAFT = "aircraft"
    GROUND = "ground"


@dataclass(frozen=True, slots=True, eq=False)
class Walk:
    """Readings of one link, cleaned: arrays of shape ``(n,)``.

    Attributes
    ----------
    link : str
        ``"control"`` or ``"video"``.
    x_m, y_m : ndarray
        East and north of the launch point.
    above_ground_m : ndarray
        Height of the aircraft above the ground there.
    level_dbm : ndarray
        The reading; for a censored one the floor itself.
    censored : ndarray of bool
        The level stood at the receiver's floor, or packets were lost: the true level is at or below it.
    power_dbm : ndarray
        Transmit power while each reading was taken.
    """

    link: str
    mode: WalkMode
    read_at: WalkEnd
    x_m: Array
    y_m: Array
    above_ground_m: Array
    level_dbm: Array
    censored: NDArray[np.bool_]
    power_dbm: Array
    source: str

    @property
    def from_launch_m(self) -> Array:
        """Horizontal distance of each reading."""
        return np.hypot(self.x_m, self.y_m)


@dataclass(frozen=True, slots=True, eq=False)
class WalkFit:
    """What a walk teaches about one link; excess over the model: ``offset + 10 exponent log10(d / reference)``.

    Attributes
    ----------
    offset_db : Spread
        Loss beyond the model at the reference distance; positive where less arrives than predicted.
    excess_exponent : Spread
        How much faster than the model the level falls: 0 as predicted, 1 is 10 dB more in every tenfold of distance.
    sigma_db : Spread
        Spread of single readings about the corrected model.
    sigma_ratio : Spread
        The same over the model's own sigma at those places.
    reference_m : float
        Median distance of the readings.
    walked_m : float
        Farthest distance that was walked: beyond it the band widens.
    correlation_m : float
        Distance over which neighbouring readings repeat each other, estimated.
    readings, censored, effective : float
        How many readings, how many of them censored, and how many independent ones they are worth.
    power_or_antenna, falls_too_fast : float
        Chance that everything is at least 3 dB low (of power, antenna, connector), and that the level falls faster
        than the model by at least half an exponent (obstruction, noise).
    outliers : float
        Share of the readings that the heavy tail took.
    """

    link: str
    mode: WalkMode
    offset_db: Spread
    excess_exponent: Spread
    sigma_db: Spread
    sigma_ratio: Spread
    reference_m: float
    walked_m: float
    correlation_m: float
    readings: int
    censored: int
    effective: float
    power_or_antenna: float
    falls_too_fast: float
    outliers: float
    distance_m: Array
    predicted_dbm: Array
    measured_dbm: Array
    """Of each reading, for drawing; censored ones at their floor."""
    was_censored: NDArray[np.bool_]
