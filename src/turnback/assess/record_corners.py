"""Settle which corner a numbered output is, by how it turns the aircraft: the left ones roll it to the right.

What turns it, and how surely, is measured in `record_corners_turn`; here the likeliest of the 24 ways is taken where
it leads far enough, its axes count in a known direction, and the corners that are named already keep their places.
Rotor speeds and outputs of one corner move together, so those of either tell those of the other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.record_corners_fit import SMALL, Floats, log_chance_positive, mean_score
from turnback.assess.record_corners_turn import FOUR, WAYS, Witness, smooth, witnesses
from turnback.assess.record_sense_grid import Grid
from turnback.records.bench import At
from turnback.records.channel import RATES, Channel, Quantity
from turnback.records.flight_record import CornerFound, FlightRecord, Series
from turnback.rules.record_sense import CORNER_LAG_S, CORNER_SPARE, CORNER_WINDOW_S, CORNER_WINDOWS, FAST_HZ, SURE

CORNERS: Final = tuple(At)
SMOOTH_S: Final = 0.1
LEAST_ALIKE: Final = 0.3
"""Mean correlation of a rotor speed with the output of its corner."""
NOT_KNOWN: Final = 0.5
CHOSEN: Final = 0.3
"""What the best of a few partly alike normal scores has before one of them."""
PAIR: Final = (Quantity.OUTPUT, Quantity.ROTOR_SPEED)
OTHER: Final = dict(zip(PAIR, reversed(PAIR), strict=True))


@dataclass(frozen=True, slots=True)
class Assigned:
    """The likeliest way in which four numbered columns stand at four corners."""

    corners: tuple[At, ...]
    chance: float


def settle_corners(record: FlightRecord) -> FlightRecord:
    """Return the record with numbered outputs and rotor speeds put to their corners where that is sure.

    Parameters
    ----------
    record : FlightRecord
        With its senses settled.

    Returns
    -------
    FlightRecord
        Below the chance `SURE` the numbers stay. Corners that the file or the user names are never moved.
    """
    missing = tuple(each for each in PAIR if any(one.channel.at is None for one in record.all_of(each)))
    if not missing:
        return record
    grid = Grid(record, min(FAST_HZ.value, max(record.clock.rate_hz, 1.0)))
    found: dict[Quantity, Assigned | None] = {}
    for quantity in (*missing, *missing[:1]):  # the first again: the second may have told it
        known = record.corners_of(OTHER[quantity])
        if quantity in found and (_sure(found[quantity]) or known is None):
            continue
        columns = record.all_of(quantity)
        found[quantity] = by_movement(record, grid, columns)
        if known is not None and not _sure(found[quantity]):
            found[quantity] = _agreed(found[quantity], by_others(record, grid, columns, known))
        record = _renamed(record, quantity, found[quantity])
    return record


def _sure(found: Assigned | None) -> bool:
    return found is not None and found.chance >= SURE.value


def _agreed(one: Assigned | None, other: Assigned | None) -> Assigned | None:
    """Return the second way where the first, as far as it tells, is the same; else nothing that is sure."""
    if one is None or other is None:
        return other or one
    return other if other.corners == one.corners or one.chance < NOT_KNOWN else one


def by_movement(record: FlightRecord, grid: Grid, columns: tuple[Series, ...]) -> Assigned | None:
    """Return the corners of four outputs by how they turn the aircraft; None where nothing tells.

    Parameters
    ----------
    record : FlightRecord
    grid : Grid
        Of the record.
    columns : tuple of Series
        Outputs or rotor speeds.
    """
    told = witnesses(grid, columns)
    if not told:
        return None
    senses = {each.channel.quantity: each.chance for each in record.senses}
    roll, roll_chance, roll_alone = _axis(told, 0, senses)
    pitch, pitch_chance, pitch_alone = _axis(told, 1, senses)
    yaw = np.sum([each.fits()[2] for each in told], axis=0) / math.sqrt(len(told))
    total = np.where(_allowed(columns), roll + pitch + yaw, -np.inf)
    best = int(np.argmax(total))
    lead = min(float(total[best] - np.partition(total, -2)[-2]), float(roll[best]), float(pitch[best]))
    # shaking comes back in the outputs even where rates are kept often, so alone they must lead by more
    spare = CORNER_SPARE.value * (2.0 if roll_alone or pitch_alone else 1.0)
    chance = 0.5 * math.erfc((spare - lead) / math.sqrt(2.0))
    return Assigned(tuple(CORNERS[corner] for corner in WAYS[best]), chance * roll_chance * pitch_chance)


def _axis(told: tuple[Witness, ...], axis: int, senses: dict[Quantity, float]) -> tuple[Floats, float, bool]:
    """Return how well each of the 24 ways suits one axis, the chance that it counts right, and if only rates tell.

    Of channels whose direction is known where there are some. They are partly of one mind, so each further one adds
    less; where one of them tells more than all together it counts, less what the choice of it may add.
    """
    known = [each for each in told if senses.get(each.quantities[axis], NOT_KNOWN) >= SURE.value]
    use = known or list(told)
    each_fits = np.array([each.fits()[axis] for each in use])
    fits = np.maximum(each_fits.sum(axis=0) / math.sqrt(len(use)), each_fits.max(axis=0) - CHOSEN)
    chance = max(senses.get(each.quantities[axis], NOT_KNOWN) for each in use)
    return fits, chance, all(each.quantities[0] is RATES[0] for each in use)


def by_others(
    record: FlightRecord, grid: Grid, columns: tuple[Series, ...], known: tuple[Series, Series, Series, Series]
) -> Assigned | None:
    """Return the corners of four rotor speeds by the outputs that they follow, or of outputs by rotor speeds.

    Parameters
    ----------
    record : FlightRecord
    grid : Grid
    columns : tuple of Series
    known : tuple of Series
        Of the other quantity, by corner.
    """
    if len(columns) != FOUR or any(each.values.size < 2 for each in (*columns, *known)):
        return None
    width, lag = round(SMOOTH_S * grid.rate_hz), round(CORNER_LAG_S.value * grid.rate_hz)
    there = _apart(np.array([smooth(grid.put(each), width) for each in known]))
    here = _apart(np.array([smooth(grid.put(each), width) for each in columns]))
    if lag:  # a motor takes some time to reach the speed that its output asks for
        speeds_known = known[0].channel.quantity is Quantity.ROTOR_SPEED
        there, here = (there[:, lag:], here[:, :-lag]) if speeds_known else (there[:, :-lag], here[:, lag:])
    like = _likeness(here, there, max(round(CORNER_WINDOW_S.value * grid.rate_hz), 16))
    if like.shape[0] < CORNER_WINDOWS.value:
        return None
    fits = np.array([sum(like[:, column, corner] for column, corner in enumerate(way)) for way in WAYS])
    top = int(np.argmax(fits.mean(axis=1)))
    if float(fits[top].mean()) < LEAST_ALIKE * FOUR:
        return None
    scores = np.array([0.0 if way == top else mean_score(fits[top] - fits[way]) for way in range(len(WAYS))])
    total = log_chance_positive(-scores) - log_chance_positive(scores)
    total = np.where(_allowed(columns), total, -np.inf)
    weight = np.exp(total - total.max())
    best = int(np.argmax(weight))
    told = [each.chance for each in record.corners if each.quantity is known[0].channel.quantity]
    chance = float(weight[best] / weight.sum()) * min(told, default=1.0)
    return Assigned(tuple(CORNERS[corner] for corner in WAYS[best]), chance)


def _likeness(speeds: Floats, outputs: Floats, window: int) -> Floats:
    """Return the correlation of each speed with each output in each window that moves, shape ``(w, 4, 4)``."""
    count = outputs.shape[1] // window
    cut = count * window
    one = speeds[:, :cut].reshape(FOUR, count, window)
    other = outputs[:, :cut].reshape(FOUR, count, window)
    one, other = one - one.mean(axis=2, keepdims=True), other - other.mean(axis=2, keepdims=True)
    here, there = np.sqrt(np.sum(one**2, axis=2)).T, np.sqrt(np.sum(other**2, axis=2)).T
    norm = here[:, :, None] * there[:, None]
    moves = np.isfinite(norm).all(axis=(1, 2)) & (norm > SMALL).all(axis=(1, 2))
    return np.asarray(np.einsum("iwt,jwt->wij", one[:, moves], other[:, moves]) / norm[moves])


def _apart(outputs: Floats) -> Floats:
    """Return what each output has beyond the mean of the four."""
    return np.asarray(outputs - outputs.mean(axis=0))


def _allowed(columns: tuple[Series, ...]) -> NDArray[np.bool_]:
    """Return which of the 24 ways keep the corners that are known."""
    allowed = np.ones(len(WAYS), dtype=bool)
    for place, each in enumerate(columns):
        if each.channel.at is not None:
            allowed &= WAYS[:, place] == CORNERS.index(each.channel.at)
    return allowed


def _renamed(record: FlightRecord, quantity: Quantity, found: Assigned | None) -> FlightRecord:
    """Return the record with its numbered columns at their corners where that is sure, and what is known of each."""
    open_ones = [each.channel for each in record.all_of(quantity) if each.channel.at is None]
    corner_of = (
        dict(zip((each.channel for each in record.all_of(quantity)), found.corners, strict=True)) if found else {}
    )
    renamed = {each: Channel(quantity, corner_of[each]) for each in open_ones} if _sure(found) else {}
    chance = found.chance if found else 0.0
    known = [each for each in record.corners if each.quantity is not quantity or each.at is not None]
    for each in open_ones:
        at = renamed[each].at if each in renamed else None
        known.append(CornerFound(quantity, each.number if each.number is not None else 0, at, at is not None, chance))
    series = {
        renamed.get(channel, channel): replace(one, channel=renamed[channel]) if channel in renamed else one
        for channel, one in record.series.items()
    }
    return replace(record, series=series, corners=tuple(known))
