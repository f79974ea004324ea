"""What the sizes of values rule out: no aircraft of this kind turns, climbs or draws so much."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_features import Features
from turnback.readers.record_match_values import SAME_AS, hypotheses, usual_rows
from turnback.records.channel import Quantity

Floats = NDArray[np.float64]
RESTS: Final = frozenset(
    {Quantity.ROLL_RATE, Quantity.ACCELERATION_X, Quantity.ROLL, Quantity.HEADING, Quantity.ROLL_STICK,
     Quantity.GROUND_SPEED, Quantity.CLIMB_RATE, Quantity.VELOCITY_NORTH, Quantity.VELOCITY_DOWN,
     Quantity.HEIGHT_LAUNCH, Quantity.DISTANCE_LAUNCH, Quantity.THROTTLE,
     Quantity.LINK_QUALITY, Quantity.CHARGE_USED, Quantity.CURRENT, Quantity.FIX_UNCERTAINTY}
)  # fmt: skip
"""Quantities (one of those alike) that are small for as long as the aircraft rests, however small."""


RESTING: Final = 1.0 / 3.0  # of what small values would say


def sizes_off(features: Features) -> Floats:
    """Return the log of how much the size of each column speaks against each of `hypotheses`, from 0.

    Levels and spreads within one and a half of the usual spread say nothing; beyond, two for each further one. Small
    spreads, and small levels of quantities that may rest, count a third of that.
    """
    usual = _size_rows()
    with np.errstate(all="ignore"):
        spread = np.log10(np.maximum(features.spread[:, None] * usual.size, 1e-15))
        off = np.where(features.spread[:, None] > 0.0, (spread - usual.spread) / usual.spread_sd, 0.0)
        total = np.maximum(_beyond(off), RESTING * _beyond(-off))
        size = features.quantiles[:, 4:5] * usual.size
        log_off = np.where(size > 0.0, (np.log10(np.maximum(size, 1e-12)) - usual.level) / usual.level_sd, 0.0)
        here = features.quantiles[:, 3:4] * usual.scale + usual.offset
        lin_off = np.abs(np.where(usual.both, np.abs(here), here) - usual.level) / usual.level_sd
        of_log = np.maximum(_beyond(log_off), usual.rests * _beyond(-log_off))
        of_lin = np.where(usual.level != 0.0, usual.rests, 1.0) * _beyond(lin_off)
        level = np.where(usual.log, of_log, of_lin)
    return np.nan_to_num(np.fmax(total, level))


@dataclass(frozen=True, slots=True)
class _Rows:
    """What is usual of each hypothesis, as rows; NaN where nothing is."""

    scale: Floats
    offset: Floats
    spread: Floats
    spread_sd: Floats
    level: Floats
    level_sd: Floats
    log: NDArray[np.bool_]
    both: NDArray[np.bool_]
    rests: Floats

    @property
    def size(self) -> Floats:
        return np.abs(self.scale)


@cache
def _size_rows() -> _Rows:
    rows = []
    for each in hypotheses():
        usual = usual_rows()[each.quantity]
        kind, level, level_sd = usual.get("level", ("flat", math.nan, math.nan))
        if kind == "flat":
            level = level_sd = math.nan
        rests = RESTING if SAME_AS.get(each.quantity, each.quantity) in RESTS else 1.0
        rows.append((
            each.unit.scale, each.unit.offset, *usual.get("spread", (math.nan, math.nan)), level, level_sd,
            kind == "log", kind == "both", rests,
        ))  # fmt: skip
    data = np.array(rows, float).T
    scale, offset, spread, spread_sd, level, level_sd, log, both, resting = data
    return _Rows(scale, offset, spread, spread_sd, level, level_sd, log > 0.0, both > 0.0, resting)


def _beyond(off: Floats) -> Floats:
    return np.asarray(2.0 * (np.clip(off, 1.5, 4.5) - 1.5))
