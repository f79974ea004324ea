"""Settle which way the channels of a record count: x forward, y right, z down, and what follows from it.

Each relation between channels gives log odds (`record_sense_told`, `record_sense_way`); the usual sets of axes are a
weak prior that no direction is settled by alone. All are put together exactly: every way in which the directions can
be is weighed, and each channel gets the chance that it counts as the canonical one.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.record_corners_fit import nats_of_t
from turnback.assess.record_corners_turn import witnesses
from turnback.assess.record_sense_grid import Coarser, Grid
from turnback.assess.record_sense_prior import log_prior
from turnback.assess.record_sense_told import SOFT, Told, gravity, tilting, turning, using
from turnback.assess.record_sense_way import over_ground
from turnback.records.channel import ACCELERATIONS, ANGLES, RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.flight_record import FlightRecord, SenseBy, SenseFound, Series
from turnback.records.record_read import ColumnMatch, MatchedBy
from turnback.rules.record_sense import FAST_HZ, MOST_CHANCE_NATS, SLOW_HZ, SLOW_WINDOW_S, SURE

Floats = NDArray[np.float64]
MIXED: Final = (
    *RATES, *ACCELERATIONS, *ANGLES, *RATE_DEMANDS, Quantity.ROLL_DEMAND, Quantity.PITCH_DEMAND, Quantity.ROLL_STICK,
    Quantity.PITCH_STICK, Quantity.YAW_STICK,
)  # fmt: skip
ALONE: Final = (
    Quantity.COURSE, Quantity.CLIMB_RATE, Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST, Quantity.VELOCITY_DOWN,
    Quantity.CURRENT,
)  # fmt: skip
AS_NAMED: Final = 0
"""Of the 24 ways, the one in which columns in the order of the corners are at their corners."""
BY_NAME: Final = frozenset({Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST, Quantity.COURSE})
"""North, east and clockwise are in the meaning of the word: nobody counts a velocity north southward."""
NAMED_NATS: Final = 3.2
"""25 to 1, by the name alone."""
LEAST_STEPS: Final = 10
FULL_TURN: Final = 2.0 * np.pi


def settle_senses(record: FlightRecord) -> FlightRecord:
    """Return the record with its directions turned to the canonical ones where that is sure, and what is known of each.

    Parameters
    ----------
    record : FlightRecord

    Returns
    -------
    FlightRecord
        A channel is turned round only where the chance for it reaches `SURE`; one whose direction nothing tells stays
        as it is, with chance 0.5.
    """
    told = evidence(record)
    found = [each for each in (*MIXED, *ALONE) if record.get(each) is not None]
    matches = {each.taken.channel.quantity: each for each in record.matches if each.taken is not None}
    said = {each: _said(matches.get(each)) for each in found}
    chances = chance_as_is(told, tuple(each for each in found if each in MIXED), said)
    for quantity in found:
        if quantity not in chances:
            chances[quantity] = float(1.0 / (1.0 + np.exp(-told.alone.get(quantity, 0.0) - said[quantity])))
    senses = tuple(_sense(quantity, chances[quantity], told, matches.get(quantity)) for quantity in found)
    turned = {
        each.channel for each in senses if each.negative is not _negative_told(matches.get(each.channel.quantity))
    }
    series = {
        channel: _turned(one) if channel in turned else one for channel, one in record.series.items()
    }  # fmt: skip
    return replace(record, series=series, senses=senses)


def evidence(record: FlightRecord) -> Told:
    """Return what all relations between the channels tell of their directions."""
    fast = Grid(record, min(FAST_HZ.value, max(record.clock.rate_hz, 1.0)))
    slow = Coarser(fast, SLOW_HZ.value)
    told = Told()
    window = max(4, round(SLOW_WINDOW_S.value * slow.rate_hz))
    if slow.t_s.size < LEAST_STEPS:
        told.gravity_odd = True
        return told
    gravity(slow, told)
    turning(fast, told)
    tilting(slow, told, window)
    over_ground(slow, told, window)
    using(slow, told)
    by_corners(record, fast, told)
    return told


def by_corners(record: FlightRecord, grid: Grid, told: Told) -> None:
    """Tell roll and pitch by outputs or rotor speeds whose corners are named: the left ones roll it to the right.

    Parameters
    ----------
    record : FlightRecord
    grid : Grid
        The fast one.
    told : Told
    """
    columns = record.corners_of(Quantity.OUTPUT) or record.corners_of(Quantity.ROTOR_SPEED)
    if columns is None:
        return
    for witness in witnesses(grid, columns):
        for quantity, fits in zip(witness.quantities, witness.fits()[:2], strict=True):
            if abs(float(fits[AS_NAMED])) >= float(np.max(np.abs(fits))):
                told.of(quantity, SOFT * nats_of_t(float(fits[AS_NAMED])))


def chance_as_is(told: Told, quantities: tuple[Quantity, ...], said: dict[Quantity, float]) -> dict[Quantity, float]:
    """Return the chance that each channel counts as the canonical one, over all ways in which they can count.

    Parameters
    ----------
    told : Told
    quantities : tuple of Quantity
        At most 17.
    said : dict
        Log odds by what the user or the format says.
    """
    if not quantities:
        return {}
    axis = {quantity: place for place, quantity in enumerate(quantities)}
    total = np.zeros((2,) * len(quantities))

    def along(values: Floats, *of: Quantity) -> Floats:
        places = [axis[each] for each in of]
        order = np.argsort(places)
        shape = [2 if place in places else 1 for place in range(len(quantities))]
        return np.transpose(values, order).reshape(shape)

    for quantity in quantities:
        nats = told.alone.get(quantity, 0.0) + said.get(quantity, 0.0)
        total += along(np.array([0.5 * nats, -0.5 * nats]), quantity)
    for (first, second), nats in told.pairs.items():
        if first in axis and second in axis:
            total += along(0.5 * nats * np.array([[1.0, -1.0], [-1.0, 1.0]]), first, second)
    for several, nats_of in told.joint:
        total += along(nats_of, *several)
    total += log_prior(quantities)
    weight = np.exp(total - total.max())
    weight /= weight.sum()
    every = range(len(quantities))
    return {each: float(weight.sum(axis=tuple(a for a in every if a != axis[each]))[0]) for each in quantities}


def _negative_told(match: ColumnMatch | None) -> bool:
    """Whether the user says that the record counts this column the other way round."""
    return match is not None and match.negative_told is True


def _said(match: ColumnMatch | None) -> float:
    """Return the log odds that a channel counts right by what the user or the format says."""
    if match is None:
        return 0.0
    if match.by is MatchedBy.FORMAT or match.negative_told is not None:
        return MOST_CHANCE_NATS.value
    return NAMED_NATS if match.taken is not None and match.taken.channel.quantity in BY_NAME else 0.0


def _sense(quantity: Quantity, as_is: float, told: Told, match: ColumnMatch | None) -> SenseFound:
    """Return what is known of one direction."""
    negative_told = _negative_told(match)
    channel = Channel(quantity)
    if max(as_is, 1.0 - as_is) < SURE.value:
        return SenseFound(channel, negative_told, SenseBy.ASSUMED, 0.5)
    turned = as_is < 0.5
    by = SenseBy.MOTION
    if quantity is Quantity.ACCELERATION_Z and not told.gravity_odd:
        by = SenseBy.GRAVITY
    if quantity in BY_NAME and not turned and quantity not in told.alone:
        by = SenseBy.FORMAT
    if match is not None and not turned:
        by = SenseBy.FORMAT if match.by is MatchedBy.FORMAT else by
        by = SenseBy.TOLD if match.negative_told is not None else by  # who tells a meaning alone tells no direction
    return SenseFound(channel, negative_told is not turned, by, max(as_is, 1.0 - as_is))


def _turned(series: Series) -> Series:
    """Return a channel that counts the other way."""
    values = -series.values
    if series.channel.quantity in (Quantity.HEADING, Quantity.COURSE):
        values = np.mod(values, values.dtype.type(FULL_TURN))
    return replace(series, values=values)
