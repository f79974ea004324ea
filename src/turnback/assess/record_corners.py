"""Settle which corner a numbered output is, by how the board uses it: it raises the left ones to roll to the right.

The outputs are made by the board from what it wants less what it measures. So an output that rises with wanted roll is
on the left, one that rises with wanted pitch is in front, as the board believes - whatever the aircraft then does: a
motor that is crossed or dead changes the flight, not this. Where no demand is recorded, moves of the sticks stand in.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import permutations
from typing import Final

import numpy as np

from turnback.assess.record_corners_fit import (
    SMALL,
    Floats,
    log_chance_positive,
    mean_score,
    spread_of,
    window_slopes,
)
from turnback.assess.record_sense_grid import Grid
from turnback.physics.allocation import FORWARD, RIGHT
from turnback.records.bench import At
from turnback.records.channel import RATE_DEMANDS, RATES, Channel, Quantity
from turnback.records.flight_record import CornerFound, FlightRecord, Series
from turnback.rules.record_sense import CORNER_WINDOW_S, CORNER_WINDOWS, FAST_HZ, SURE

CORNERS: Final = tuple(At)
FOUR: Final = len(CORNERS)
WAYS: Final = np.array(list(permutations(range(FOUR))))
"""Each of the 24 ways: the corner of each output."""
SIDES: Final = (-RIGHT, FORWARD)
STILL: Final = 1e-3
LEAST_ALIKE: Final = 0.3
"""Mean correlation of a rotor speed with the output of its corner."""
LEAST_FIT: Final = 4.0
"""Standard errors of all four outputs and both axes together."""
STICK_OF: Final = (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK)


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
    for quantity, assign in ((Quantity.OUTPUT, by_board), (Quantity.ROTOR_SPEED, by_outputs)):
        open_ones = [each for each in record.all_of(quantity) if each.channel.at is None]
        if not open_ones:
            continue
        found = assign(record, record.all_of(quantity))
        record = _put(record, quantity, open_ones, found)
    return record


def by_board(record: FlightRecord, outputs: tuple[Series, ...]) -> Assigned | None:
    """Return the corners of four outputs by how they answer wanted roll and pitch; None where nothing tells.

    Parameters
    ----------
    record : FlightRecord
    outputs : tuple of Series
    """
    if len(outputs) != FOUR or any(each.values.size < 2 for each in outputs):
        return None
    scores = _scores(record, outputs)
    if scores is None:
        return None
    total, fit = _weighed(record, scores)
    if float(fit[np.argmax(total)]) < LEAST_FIT * np.sqrt(2.0 * FOUR):
        return None  # outputs that have nothing to do with wanted roll and pitch fit one of 24 ways by chance
    if by_demand(record):
        # shaking of the sensor comes back in the outputs at any phase; the demand's own changes are free of it
        again = _scores(record, outputs, moves=True)
        if again is None or int(np.argmax(_aligned(again))) != int(np.argmax(_aligned(scores))):
            return None
    return _likeliest(total, outputs)


def _aligned(scores: tuple[Floats, Floats]) -> Floats:
    """Return how well the scores of both axes suit each of the 24 ways."""
    return np.asarray(sum((side[WAYS] * score).sum(axis=1) for score, side in zip(scores, SIDES, strict=True)))


def _weighed(record: FlightRecord, scores: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
    """Return the log chance of each of the 24 ways, and how far all scores together stand from chance."""
    total, fit = np.zeros(len(WAYS)), np.zeros(len(WAYS))
    for axis, (score, side) in enumerate(zip(scores, SIDES, strict=True)):
        chance = sense_chance(record, axis)
        for_it = log_chance_positive(score) - log_chance_positive(-score)
        fits = np.where(side[WAYS] > 0.0, 0.5 * for_it, -0.5 * for_it).sum(axis=1)
        fit += np.abs((side[WAYS] * score).sum(axis=1))
        # the sense of the axis may be wrong: then each output answers the other way
        total += np.logaddexp(np.log(chance) + fits, np.log(max(1.0 - chance, 1e-6)) - fits)
    return total, fit


def by_outputs(record: FlightRecord, speeds: tuple[Series, ...]) -> Assigned | None:
    """Return the corners of four rotor speeds by the outputs that they follow; else as if they were outputs.

    Parameters
    ----------
    record : FlightRecord
    speeds : tuple of Series
    """
    outputs = record.corners_of(Quantity.OUTPUT)
    if len(speeds) != FOUR:
        return None
    if outputs is None:
        return by_board(record, speeds)
    grid = _grid(record)
    asked = _apart(np.array([grid.put(each) for each in outputs]))
    turn = _apart(np.array([grid.put(each) for each in speeds]))
    like = _likeness(turn, asked, _window(grid))
    if like.shape[0] < CORNER_WINDOWS.value:
        return None
    fits = np.array([sum(like[:, speed, corner] for speed, corner in enumerate(way)) for way in WAYS])
    top = int(np.argmax(fits.mean(axis=1)))
    if float(fits[top].mean()) < LEAST_ALIKE * FOUR:
        return None
    scores = np.array([0.0 if way == top else mean_score(fits[top] - fits[way]) for way in range(len(WAYS))])
    total = log_chance_positive(-scores) - log_chance_positive(scores)
    chance = min((each.chance for each in record.corners if each.quantity is Quantity.OUTPUT), default=1.0)
    found = _likeliest(total, speeds)
    return replace(found, chance=found.chance * chance)


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


def sense_chance(record: FlightRecord, axis: int) -> float:
    """Return the chance that what the outputs are held against counts right along roll (0) or pitch (1).

    Parameters
    ----------
    record : FlightRecord
    axis : int
    """
    known = {each.channel.quantity: each.chance for each in record.senses}
    if not by_demand(record):
        return known.get(STICK_OF[axis], 0.5)
    return min(known.get(RATES[axis], 0.5), known.get(RATE_DEMANDS[axis], 0.5))


def _grid(record: FlightRecord) -> Grid:
    return Grid(record, min(FAST_HZ.value, max(record.clock.rate_hz, 1.0)))


def _window(grid: Grid) -> int:
    return max(round(CORNER_WINDOW_S.value * grid.rate_hz), 16)


def _apart(outputs: Floats) -> Floats:
    """Return what each output has beyond the mean of the four."""
    return np.asarray(outputs - outputs.mean(axis=0))


def _scores(record: FlightRecord, outputs: tuple[Series, ...], *, moves: bool = False) -> tuple[Floats, Floats] | None:
    """Return how surely each output rises with wanted roll and with wanted pitch, as normal scores, shape ``(4,)``.

    Parameters
    ----------
    record : FlightRecord
    outputs : tuple of Series
    moves : bool
        Hold them against how the demand changes instead of demand less rate.
    """
    grid = _grid(record)
    causes: list[Floats] = []
    for axis, rate_of in enumerate(RATES):
        rate, demand, stick = grid.of(rate_of), grid.of(RATE_DEMANDS[axis]), grid.of(STICK_OF[axis])
        if by_demand(record) and rate is not None and demand is not None:
            causes.append(grid.slope(demand) if moves else demand - rate)
        elif not by_demand(record) and stick is not None and (axis < 2 or spread_of(stick) > STILL):
            causes.append(grid.slope(stick))
    if len(causes) < 2:
        return None
    apart = _apart(np.array([grid.put(each) for each in outputs]))
    score = window_slopes(apart, np.array(causes), _window(grid))
    return None if score is None else (score[:, 0], score[:, 1])


def by_demand(record: FlightRecord) -> bool:
    """Whether demands and rates of roll and pitch are recorded; else the outputs are held against moves of the sticks.

    A measured rate alone would not do: what shakes the sensor comes back in the outputs late, at any phase.
    """
    return all(record.get(each) is not None for each in (*RATES[:2], *RATE_DEMANDS[:2]))


def _likeliest(total: Floats, columns: tuple[Series, ...]) -> Assigned:
    """Return the likeliest of the 24 ways among those that keep the corners that are known."""
    allowed = np.ones(len(WAYS), dtype=bool)
    for place, each in enumerate(columns):
        if each.channel.at is not None:
            allowed &= WAYS[:, place] == CORNERS.index(each.channel.at)
    total = np.where(allowed, total, -np.inf)
    weight = np.exp(total - total.max())
    best = int(np.argmax(weight))
    return Assigned(tuple(CORNERS[corner] for corner in WAYS[best]), float(weight[best] / weight.sum()))


def _put(record: FlightRecord, quantity: Quantity, open_ones: list[Series], found: Assigned | None) -> FlightRecord:
    """Return the record with its numbered columns at their corners, and what is known of each."""
    columns = record.all_of(quantity)
    sure = found is not None and found.chance >= SURE.value
    corner_of = dict(zip((each.channel for each in columns), found.corners, strict=True)) if found else {}
    known = [each for each in record.corners if each.quantity is not quantity or each.at is not None]
    renamed: dict[Channel, Channel] = {}
    for each in open_ones:
        number = each.channel.number if each.channel.number is not None else 0
        at = corner_of.get(each.channel) if sure else None
        known.append(CornerFound(quantity, number, at, at is not None, found.chance if found else 0.0))
        if at is not None:
            renamed[each.channel] = Channel(quantity, at)
    series = {
        renamed.get(channel, channel): replace(one, channel=renamed[channel]) if channel in renamed else one
        for channel, one in record.series.items()
    }
    return replace(record, series=series, corners=tuple(known))
