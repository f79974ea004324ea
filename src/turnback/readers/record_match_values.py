"""How well the values of a column fit each quantity in each unit.

Every score is the logarithm of how much likelier such values are of that quantity in that unit than of a column of
unknown meaning, whose level and spread may lie anywhere on `DECADES` decades.
"""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_features import Features
from turnback.readers.record_units import UNITS, Unit
from turnback.records.channel import RATE_DEMANDS, RATES, SWITCHES, Quantity

Floats = NDArray[np.float64]
DECADES: Final = 9.0  # from a millionth to a thousand: what numbers of unknown meaning spread over
OUTSIDE: Final = -14.0  # a hundredth of all values lies where none can
SPIKE: Final = -1.5  # only the very least or greatest does
LEAST, MOST = -16.0, 9.0
SAME_AS: Final[dict[Quantity, Quantity]] = {
    **dict.fromkeys((*RATES, *RATE_DEMANDS), Quantity.ROLL_RATE),
    Quantity.ACCELERATION_Y: Quantity.ACCELERATION_X,
    **dict.fromkeys((Quantity.PITCH, Quantity.ROLL_DEMAND, Quantity.PITCH_DEMAND), Quantity.ROLL),
    **dict.fromkeys((Quantity.COURSE, Quantity.BEARING_LAUNCH), Quantity.HEADING),
    **dict.fromkeys((Quantity.MAGNETIC_Y, Quantity.MAGNETIC_Z), Quantity.MAGNETIC_X),
    **dict.fromkeys((Quantity.PITCH_STICK, Quantity.YAW_STICK), Quantity.ROLL_STICK),
    **dict.fromkeys(SWITCHES, Quantity.ARMED),
    Quantity.BOARD_TEMPERATURE: Quantity.PACK_TEMPERATURE,
    **dict.fromkeys((Quantity.LINK_LEVEL_BACK, Quantity.VIDEO_LEVEL), Quantity.LINK_LEVEL),
    Quantity.LINK_QUALITY_BACK: Quantity.LINK_QUALITY, Quantity.AIRSPEED: Quantity.GROUND_SPEED,
    Quantity.VELOCITY_EAST: Quantity.VELOCITY_NORTH,
}  # fmt: skip
COUNTED: Final = frozenset({"mV", "10 mV", "0.1 V", "mA", "10 mA", "0.1 A"})  # written in whole numbers, for room
UNSTEADY: Final = frozenset(
    {Quantity.POWER, Quantity.CURRENT, Quantity.ROLL_RATE, Quantity.ACCELERATION_X, Quantity.ACCELERATION_Z,
     Quantity.OUTPUT, Quantity.THROTTLE, Quantity.ROTOR_SPEED, Quantity.ROLL_STICK, Quantity.GROUND_SPEED}
)  # fmt: skip
WHOLE_FROM: Final = 120.0  # counts on a range this long, and longer ones, are whole numbers
FASTEST_S: Final = 1.1e-4  # steps of a clock: no flight is recorded faster, nor slower than the next
SLOWEST_S: Final = 50.0
LONGEST_S: Final = 86_400.0  # no pack lasts a day
NEVER_CLOCK: Final = -12.0
ENOUGH_ROWS: Final = 400.0
LEAST_TURNING: Final = 0.02  # of full output: an aircraft that is armed idles above it, one that is not has nought
BOUNDED: Final = frozenset({Quantity.OUTPUT, Quantity.THROTTLE, Quantity.ROLL_STICK, Quantity.LINK_QUALITY})


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One quantity in one unit."""

    quantity: Quantity
    unit: Unit


@cache
def hypotheses() -> tuple[Hypothesis, ...]:
    """Return every quantity in every of its units, in one order."""
    return tuple(Hypothesis(quantity, unit) for quantity, units in UNITS.items() for unit in units)


@cache
def quantities() -> tuple[Quantity, ...]:
    """Return every quantity that has a hypothesis."""
    return tuple(UNITS)


@cache
def quantity_places() -> NDArray[np.intp]:
    """Return the place in `quantities` of each of `hypotheses`."""
    place_of = {quantity: place for place, quantity in enumerate(quantities())}
    return np.array([place_of[each.quantity] for each in hypotheses()], np.intp)


@cache
def usual_rows() -> dict[Quantity, dict[str, Any]]:
    """Return what is usual of each quantity."""
    text = files("turnback.readers").joinpath("record_match_values.toml").read_text(encoding="utf-8")
    rows = {Quantity(key): row for key, row in tomllib.loads(text).items()}
    return {quantity: rows[SAME_AS.get(quantity, quantity)] for quantity in UNITS}


def value_scores(features: Features) -> tuple[Floats, Floats]:
    """Return the scores of each column under each of `hypotheses`.

    Returns
    -------
    firm, soft : ndarray, shape (columns, hypotheses)
        What can hardly be otherwise (ranges, exact ends, steady growth), and what is only usual (level and spread).
        Zero of columns without numbers.
    """
    with np.errstate(all="ignore"):
        firm = np.column_stack([_firm(features, each) for each in hypotheses()])
        soft = np.column_stack([_soft(features, each) for each in hypotheses()])
    firm, soft = (np.clip(np.nan_to_num(each, nan=0.0), LEAST, MOST) for each in (firm, soft))
    firm[features.count == 0] = 0.0
    soft[features.count == 0] = 0.0
    return firm, soft


def _soft(features: Features, each: Hypothesis) -> Floats:
    usual = usual_rows()[each.quantity]
    return _level(features, each, usual) + _spread(features, each, usual)


def _firm(features: Features, each: Hypothesis) -> Floats:
    usual = usual_rows()[each.quantity]
    scale, offset = each.unit.scale, each.unit.offset
    ends = np.sort(features.quantiles[:, [0, 3, 6]] * scale + offset, axis=1)
    far = np.sort(np.column_stack([features.low, features.high]) * scale + offset, axis=1)
    low, high = usual["range"]
    slack = 1e-9 * max(abs(low), abs(high))
    total = np.where((ends[:, 0] < low - slack) | (ends[:, 2] > high + slack), OUTSIDE, 0.0)
    total += np.where((far[:, 0] < low - slack) | (far[:, 1] > high + slack), SPIKE, 0.0)
    return np.asarray(total + _traits(features, each))


def _normal(x: Floats, mean: float, sd: float) -> Floats:
    """Log density with heavy tails: Student's t of four degrees of freedom."""
    score = (x - mean) / sd
    return np.asarray(math.log(0.375 / sd) - 2.5 * np.log1p(score * score / 4.0))


def _level(features: Features, each: Hypothesis, usual: dict[str, Any]) -> Floats:
    if "level" not in usual:
        return np.zeros(features.count.size)
    kind, mean, sd = usual["level"]
    median = features.quantiles[:, 3]
    here = median * each.unit.scale + each.unit.offset
    if kind == "log":
        size = np.maximum(np.abs(features.quantiles[:, 4]) * each.unit.scale, 1e-12)  # the third quarter: in the air
        return np.where(features.quantiles[:, 4] == 0.0, 0.0, _normal(np.log10(size), mean, sd) + math.log(DECADES))
    # A level that may be zero: density per written unit, against one that is even in the logarithm of the size.
    scale = abs(each.unit.scale)
    typical = np.maximum(np.maximum(np.abs(median), features.spread), 1e-9)
    unknown = -np.log(2.0 * DECADES * math.log(10.0) * typical)
    if kind == "flat":
        inside = (here >= mean - 0.1) & (here <= sd + 0.1)
        ours = np.where(inside, -math.log(sd - mean), -20.0)
    elif kind == "both":
        ours = np.logaddexp(_normal(here, mean, sd), _normal(here, -mean, sd)) - math.log(2.0)
    else:
        wide = np.maximum(sd, 0.0) * np.ones_like(here)
        score = (here - mean) / wide
        ours = math.log(0.375) - np.log(wide) - 2.5 * np.log1p(score * score / 4.0)
    return np.asarray(np.clip(ours + math.log(scale) - unknown, -10.0, 4.0))


def _spread(features: Features, each: Hypothesis, usual: dict[str, Any]) -> Floats:
    if "spread" not in usual:
        return np.zeros(features.count.size)
    mean, sd = usual["spread"]
    spread = features.spread * abs(each.unit.scale)
    ours = _normal(np.log10(np.maximum(spread, 1e-15)), mean, sd) + math.log(DECADES)
    still = np.where(features.constant, -1.0, -0.5)  # hardly ever changes: says little
    return np.where(spread > 0.0, ours, still)


def _traits(features: Features, each: Hypothesis) -> Floats:
    quantity = each.quantity
    alike = SAME_AS.get(quantity, quantity)
    scale, offset = each.unit.scale, each.unit.offset
    total = _whole(features, each)
    if alike in BOUNDED:
        total += _bounds(features, each)
    if quantity is Quantity.TIME:
        total += _clock(features, each)
    elif quantity is Quantity.ROW:
        even = (features.rising > 0.98) & (features.whole > 0.999)
        total += np.where(even, np.where(features.step == np.round(features.step), 4.0, 1.0), -9.0)
    elif alike is Quantity.ARMED:
        two = (features.distinct <= 2) & np.isin(features.low, (0.0, 1.0)) & np.isin(features.high, (0.0, 1.0))
        total += np.where(two, 4.0, -10.0)
    elif quantity is Quantity.MODE:
        few = (features.whole > 0.999) & (features.distinct <= 24)
        total += np.where(few, 1.0, -9.0)
    elif quantity is Quantity.SATELLITES:
        total += np.where(features.whole > 0.999, 1.5, -8.0)
    elif quantity is Quantity.CHARGE_USED:
        total += np.where(features.falling < 0.02, np.where(features.rising > 0.0, 2.5, 0.0), -5.0)
    elif quantity in (Quantity.HEIGHT_LAUNCH, Quantity.DISTANCE_LAUNCH):
        total += _near_zero(features.first * scale + offset, features, scale)
    elif quantity in (Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE):
        total += np.where(features.distinct <= 8, 1.5, -2.0)
    elif quantity is Quantity.TRANSMIT_POWER:
        total += np.where(features.distinct <= 10, 1.5, -6.0)
    elif alike is Quantity.HEADING:
        turn = 2.0 * math.pi
        highest = features.high * scale
        low = features.low * scale
        whole = (highest > 0.98 * turn) & (highest < 1.001 * turn) & (low >= 0.0) & (low < 0.02 * turn)
        both = (highest > 0.98 * math.pi) & (highest < 1.001 * math.pi) & (low < -0.98 * math.pi)
        total += np.where(whole | both, 3.0, 0.0)  # it runs from end to end of one turn, and no further
        full = (highest > 0.9 * turn) | ((highest > 0.9 * math.pi) & (features.low * scale < -0.9 * math.pi))
        total += np.where(full & (highest - low > math.pi), 1.5, 0.0)
    return total


def _whole(features: Features, each: Hypothesis) -> Floats:
    """Return what whole numbers and steady growth rule out.

    Units that are small so as to need no fractions have none; a sensor of what comes and goes does not only rise.
    """
    if each.quantity in (Quantity.LATITUDE, Quantity.LONGITUDE) and each.unit.key.startswith("1e-"):
        return np.where(features.whole > 0.999, 1.0, -9.0)
    unsteady = SAME_AS.get(each.quantity, each.quantity) in UNSTEADY
    sums_up = (features.falling < 0.001) & (features.distinct > 50)
    total = np.where(sums_up, -6.0, 0.0) if unsteady else np.zeros(features.count.size)
    if each.unit.key in COUNTED:
        total += np.where(features.whole < 0.5, -4.0, 0.0)
    return total


def _bounds(features: Features, each: Hypothesis) -> Floats:
    """Return what touching an end of a range exactly says: outputs idle at one end and saturate at the other."""
    high = features.high * each.unit.scale + each.unit.offset
    low = features.low * each.unit.scale + each.unit.offset
    bottom = -1.0 if SAME_AS.get(each.quantity, each.quantity) is Quantity.ROLL_STICK else 0.0
    round_top = np.where(features.constant & (each.unit.scale == 1.0), 0.5, 2.5)
    total = np.where(np.abs(high - 1.0) < 1e-6, round_top, np.where(np.abs(high - 1.0) < 0.003, 1.0, 0.0))
    at_bottom = np.abs(low - bottom) < 1e-6
    total += np.where(at_bottom, 2.5 if each.unit.offset else 1.0, 0.0)  # a number other than nought says more
    total += np.where(at_bottom & (np.abs(high - 1.0) < 1e-6), 1.0, 0.0)
    if abs(1.0 / each.unit.scale) > WHOLE_FROM:
        total += np.where(features.whole < 0.5, -3.0, 0.0)
    if each.quantity is Quantity.OUTPUT:
        total += np.where((high > 0.0) & (high < LEAST_TURNING) & ~features.constant, -6.0, 0.0)
    if bottom == 0.0 and each.quantity in (Quantity.OUTPUT, Quantity.THROTTLE):
        total += np.where(low > 0.35, -2.5, np.where(low > 0.2, -1.0, 0.0))
        total += np.where(high < 0.15, -2.0, 0.0)
    return total


def _near_zero(first: Floats, features: Features, scale: float) -> Floats:
    """Return how well a height above launch, or a distance from it, begins at nothing."""
    near = np.abs(first)
    small = near < np.maximum(0.12 * (features.high - features.low) * scale, 0.0) + 1e-9
    return np.where(near < 4.0, 1.5, np.where(small, -0.5, -4.0))


def _clock(features: Features, each: Hypothesis) -> Floats:
    rising = np.where(features.rising > 0.9, 3.0, np.where(features.rising > 0.4, -1.0, -9.0))
    length_s = (features.high - features.low) * each.unit.scale
    step_s = features.step * each.unit.scale
    length = _normal(np.log10(np.maximum(length_s, 1e-9)), 2.3, 0.6) + math.log(DECADES)
    step = _normal(np.log10(np.maximum(step_s, 1e-12)), -1.9, 0.8) + math.log(DECADES)
    if each.unit.key == "moment":
        return rising
    most_s = (features.quantiles[:, 6] - features.quantiles[:, 0]) * each.unit.scale
    no_record = (step_s < FASTEST_S) | (step_s > SLOWEST_S) | (most_s > LONGEST_S)
    rising = rising + np.where(no_record & ~features.constant, NEVER_CLOCK, 0.0)
    enough = np.clip(features.count / ENOUGH_ROWS, 0.25, 1.0)  # a cutting of some rows has no usual length
    return np.asarray(rising + np.where(features.constant, -6.0, enough * (length + step)))
