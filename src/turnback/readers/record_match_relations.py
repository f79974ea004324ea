"""What columns say of one another's units: an angle's slope against a rate, a height's against a climb rate, gravity.

Each relation compares a factor that is measured between two columns as written with the factor that two readings and a
unit of time would give. The score is the logarithm of how much likelier the measured factor is if the relation holds
for these units than if the factor were any number on twenty natural logarithms.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_features import Features
from turnback.readers.record_match_links import BROAD, Link, factor_ratio
from turnback.readers.record_match_slopes import (
    Sample,
    direction_of_travel,
    slope_of_changes,
    slope_of_values,
    speed_over_ground,
)
from turnback.readers.record_match_values import hypotheses
from turnback.readers.record_units import GRAVITY, HOUR
from turnback.records.channel import ACCELERATIONS, Quantity
from turnback.records.record_read import RawTable

Floats = NDArray[np.float64]
Q = Quantity
LIKELY: Final = 0.03  # below, a column is not asked about a relation
LARGEST: Final = 7.0  # most that all relations together may say of a reading
DEGREE_M: Final = 111_195.0  # metres of one degree of latitude on a sphere of 6371.0088 km, the mean radius
AIR_PA_M: Final = -11.8  # change of pressure with height in the lowest kilometre (ISO 2533)
ALONG: Final = 0.85  # mean cosine between a course and the way made over ground
MAGNETIC_UT: Final = 48.0  # strength of the earth's field: 25 to 65 µT

CHANGES: Final = (
    *((angle, rate, 1.0) for angle, rate in ((Q.ROLL, Q.ROLL_RATE), (Q.PITCH, Q.PITCH_RATE), (Q.HEADING, Q.YAW_RATE))),
    *((height, rate, 1.0) for height in (Q.HEIGHT_LAUNCH, Q.HEIGHT_SEA_LEVEL)
      for rate in (Q.CLIMB_RATE, Q.VELOCITY_DOWN)),
    (Q.CHARGE_USED, Q.CURRENT, HOUR),
    (Q.LATITUDE, Q.VELOCITY_NORTH, DEGREE_M),
)  # fmt: skip
"""A quantity, the one that is its change with time, and the factor between them."""
EQUALS: Final = (
    (Q.ROLL_RATE, Q.ROLL_RATE_DEMAND, 1.0, 0.2), (Q.PITCH_RATE, Q.PITCH_RATE_DEMAND, 1.0, 0.2),
    (Q.YAW_RATE, Q.YAW_RATE_DEMAND, 1.0, 0.2), (Q.HEIGHT_LAUNCH, Q.HEIGHT_SEA_LEVEL, 1.0, 0.05),
    (Q.HEIGHT_LAUNCH, Q.PRESSURE, -AIR_PA_M, 0.08), (Q.HEIGHT_SEA_LEVEL, Q.PRESSURE, -AIR_PA_M, 0.08),
    (Q.ROLL, Q.ROLL_DEMAND, 1.0, 0.2), (Q.PITCH, Q.PITCH_DEMAND, 1.0, 0.2), (Q.CLIMB_RATE, Q.VELOCITY_DOWN, 1.0, 0.1),
    (Q.THROTTLE, Q.OUTPUT, 1.0, 0.5),
)  # fmt: skip
"""Two quantities whose values go together, the factor between them, and how exactly (natural logarithms)."""


def related(table: RawTable, features: Features, scores: Floats) -> Floats:
    """Return what relations add to the scores of all columns.

    Parameters
    ----------
    table : RawTable
    features : Features
    scores : ndarray, shape (columns, hypotheses)
        Log odds against being none of our channels.

    Returns
    -------
    ndarray, shape (columns, hypotheses)
    """
    beliefs = _beliefs(scores)
    clock, units_s, unit_chance = _clock(beliefs)
    links = _links(table, features, beliefs, clock)
    log_chance = np.log(np.maximum(unit_chance, 1e-12))
    for link in links:
        if link.clocked:
            log_chance = log_chance + np.clip(_says_of_clock(link, beliefs, units_s), -5.0, 5.0)
    added = np.zeros_like(scores)
    if units_s.size:
        log_chance -= np.logaddexp.reduce(log_chance)
        of = _of(Q.TIME)
        added[clock, of] += np.clip(log_chance - np.log(np.maximum(unit_chance, 1e-12)), -LARGEST, LARGEST)
    for link in links:
        _say(link, beliefs, units_s, np.exp(log_chance), added)
    return np.clip(added, -LARGEST, LARGEST)


def _beliefs(scores: Floats) -> Floats:
    full = np.hstack([scores, np.zeros((scores.shape[0], 1))])
    full = np.exp(full - full.max(axis=1, keepdims=True))
    return np.asarray((full / full.sum(axis=1, keepdims=True))[:, :-1])


def _of(*quantities: Quantity) -> NDArray[np.intp]:
    return np.array([place for place, each in enumerate(hypotheses()) if each.quantity in quantities], np.intp)


def _scales(of: NDArray[np.intp]) -> Floats:
    return np.array([abs(hypotheses()[place].unit.scale) for place in of])


def _clock(beliefs: Floats) -> tuple[int, Floats, Floats]:
    """Return the likeliest clock, the lengths of its units and their chances; none where no column is one."""
    of = _of(Q.TIME)
    total = beliefs[:, of].sum(axis=1)
    row = int(np.argmax(total))
    if total[row] < 0.5:
        return -1, np.zeros(0), np.zeros(0)
    return row, _scales(of), np.asarray(beliefs[row, of] / total[row])


def _times(link: Link, units_s: Floats) -> Floats:
    """Return the likelihood ratios under each unit of time, shape (first, second, units)."""
    if not link.clocked:
        return factor_ratio(link.log_ratio, link.exact)[:, :, None]
    return factor_ratio(link.log_ratio[:, :, None] + np.log(units_s), link.exact)


def _second(link: Link, beliefs: Floats) -> Floats:
    if link.second < 0:
        return np.ones(1)
    return np.asarray(beliefs[link.second, link.of_second])


def _says_of_clock(link: Link, beliefs: Floats, units_s: Floats) -> Floats:
    first, second = beliefs[link.first, link.of_first], _second(link, beliefs)
    both = first[:, None] * second[None, :]
    ratio = (both[:, :, None] * _times(link, units_s)).sum(axis=(0, 1)) + 1.0 - both.sum()
    return np.asarray(np.log(np.maximum(ratio, 1e-9)))


def _say(link: Link, beliefs: Floats, units_s: Floats, unit_chance: Floats, added: Floats) -> None:
    times = _times(link, units_s)
    ratio = (times * unit_chance).sum(axis=-1) if link.clocked else times[:, :, 0]
    first, second = beliefs[link.first, link.of_first], _second(link, beliefs)
    added[link.first, link.of_first] += np.log(np.maximum((ratio * second).sum(axis=1) + 1.0 - second.sum(), 1e-9))
    if link.second >= 0:
        added[link.second, link.of_second] += np.log(
            np.maximum((first[:, None] * ratio).sum(axis=0) + 1.0 - first.sum(), 1e-9)
        )


def _rows(beliefs: Floats, features: Features, *quantities: Quantity, least: float = LIKELY) -> list[int]:
    chance = beliefs[:, _of(*quantities)].sum(axis=1)
    fit = (chance > least) & ~features.constant & (features.count >= 16)
    return [int(row) for row in np.flatnonzero(fit)[:12]]


def _links(table: RawTable, features: Features, beliefs: Floats, clock: int) -> list[Link]:
    links: list[Link] = []
    sample = Sample(table, clock)
    if clock >= 0 and sample.rows.size >= 64:
        for whole, change, factor in CHANGES:
            wholes = (whole, Q.COURSE) if whole is Q.HEADING else (whole,)  # a course that turns may be a heading
            for first in _rows(beliefs, features, *wholes):
                for second in _rows(beliefs, features, change):
                    links += _of_changes(sample, beliefs, (first, second), (whole, change), factor)
        links += _of_places(sample, features, beliefs)
    for one, other, factor, exact in EQUALS:
        for first in _rows(beliefs, features, one):
            for second in _rows(beliefs, features, other):
                if first != second:
                    links += _of_values(sample, (first, second), (one, other), factor, exact)
    links += _of_power(sample, features, beliefs)
    links += _of_cells(sample, features, beliefs)
    links += _of_norm(sample, features, beliefs, ACCELERATIONS, GRAVITY * 1.03, 0.12)
    links += _of_norm(sample, features, beliefs, (Q.MAGNETIC_X, Q.MAGNETIC_Y, Q.MAGNETIC_Z), MAGNETIC_UT, 0.4)
    return links


def _of_changes(
    sample: Sample, beliefs: Floats, rows: tuple[int, int], of: tuple[Quantity, Quantity], factor: float
) -> list[Link]:
    first, second = rows
    if first == second:
        return []
    a, b = _of(of[0]), _of(of[1])
    circle = 0.0
    if of[0] is Q.HEADING:
        circle = 2.0 * math.pi / _scales(a)[int(np.argmax(beliefs[first, a]))]
    found = slope_of_changes(sample, first, second, circle)
    if found is None:
        return []
    # rate * its unit = factor * change * unit of the whole / (time * unit of time)
    log_ratio = math.log(found.factor) - np.log(factor * _scales(a)[:, None] / _scales(b)[None, :])
    return [Link(first, second, a, b, log_ratio, found.exact, clocked=True)]


def _of_values(
    sample: Sample, rows: tuple[int, int], of: tuple[Quantity, Quantity], factor: float, exact: float
) -> list[Link]:
    found = slope_of_values(sample.at(rows[0]), sample.at(rows[1]))
    if found is None:
        return []
    a, b = _of(of[0]), _of(of[1])
    log_ratio = math.log(found.factor) - np.log(factor * _scales(a)[:, None] / _scales(b)[None, :])
    return [Link(*rows, a, b, log_ratio, math.hypot(exact, found.exact))]


def _sure(beliefs: Floats, features: Features, quantity: Quantity) -> tuple[int, float, float] | None:
    """Return the row of a quantity that is beyond doubt, its scale and its offset."""
    of = _of(quantity)
    if features.count.size == 0:
        return None
    row, place = np.unravel_index(int(np.argmax(beliefs[:, of])), beliefs[:, of].shape)
    if beliefs[row, of[place]] < 0.9:
        return None
    unit = hypotheses()[of[place]].unit
    return int(row), unit.scale, unit.offset


def _of_places(sample: Sample, features: Features, beliefs: Floats) -> list[Link]:
    """Return what positions over ground say of speeds and distances."""
    latitude, longitude = _sure(beliefs, features, Q.LATITUDE), _sure(beliefs, features, Q.LONGITUDE)
    if latitude is None or longitude is None:
        return []
    lat, lon = sample.at(latitude[0]) * latitude[1], sample.at(longitude[0]) * longitude[1]
    north, east = DEGREE_M * (lat - lat[0]), DEGREE_M * (lon - lon[0]) * math.cos(math.radians(float(np.median(lat))))
    links = []
    for row in _rows(beliefs, features, Q.GROUND_SPEED):
        found = speed_over_ground(sample, row, north, east)
        if found is not None:
            of = _of(Q.GROUND_SPEED)
            log_ratio = math.log(found.factor) + np.log(_scales(of))[:, None]
            links.append(Link(row, -1, of, of[:0], log_ratio, found.exact, clocked=True))
    for row in _rows(beliefs, features, Q.VELOCITY_EAST):
        found = speed_over_ground(sample, row, east, None)
        if found is not None:
            of = _of(Q.VELOCITY_EAST)
            log_ratio = math.log(found.factor) + np.log(_scales(of))[:, None]
            links.append(Link(row, -1, of, of[:0], log_ratio, found.exact, clocked=True))
    for row in _rows(beliefs, features, Q.COURSE):
        of = _of(Q.COURSE)
        goes = [direction_of_travel(sample, row, north, east, scale) for scale in _scales(of)]
        if goes[int(np.argmax(beliefs[row, of]))] is not None:  # in tiny units every way is straight
            # As if a factor were measured: it fits where the cosine of the difference is near one, else by far not.
            log_ratio = np.array([[0.0 if each is not None and each > ALONG else BROAD] for each in goes])
            links.append(Link(row, -1, of, of[:0], log_ratio, 0.2))
    for row in _rows(beliefs, features, Q.DISTANCE_LAUNCH):
        found = slope_of_values(np.hypot(north, east), sample.at(row))
        if found is not None:
            of = _of(Q.DISTANCE_LAUNCH)
            links.append(Link(row, -1, of, of[:0], math.log(found.factor) + np.log(_scales(of))[:, None], found.exact))
    return links


def _of_power(sample: Sample, features: Features, beliefs: Floats) -> list[Link]:
    volts = _sure(beliefs, features, Q.PACK_VOLTS)
    if volts is None:
        return []
    v = sample.at(volts[0]) * volts[1] + volts[2]
    links = []
    for first in _rows(beliefs, features, Q.CURRENT):
        for second in _rows(beliefs, features, Q.POWER):
            found = slope_of_values(sample.at(first) * v, sample.at(second)) if first != second else None
            if found is not None:
                a, b = _of(Q.CURRENT), _of(Q.POWER)
                log_ratio = math.log(found.factor) - np.log(_scales(a)[:, None] / _scales(b)[None, :])
                links.append(Link(first, second, a, b, log_ratio, math.hypot(0.03, found.exact)))
    return links


def _of_cells(sample: Sample, features: Features, beliefs: Floats) -> list[Link]:
    """Return what cells say of their pack: its volts are a whole number of theirs."""
    cells = _rows(beliefs, features, Q.CELL_VOLTS, least=0.5)
    links = []
    for first in cells[:1]:
        for second in _rows(beliefs, features, Q.PACK_VOLTS):
            small, large = sample.at(first), sample.at(second)
            good = np.isfinite(small) & np.isfinite(large) & (small > 0.0) & (large > 0.0)
            if first == second or good.sum() < 16:
                continue
            ratio = float(np.median(large[good] / small[good]))
            a, b = _of(Q.CELL_VOLTS), _of(Q.PACK_VOLTS)
            times = ratio * _scales(b)[None, :] / _scales(a)[:, None]
            whole = np.clip(np.round(times), 1.0, 14.0) if len(cells) < 2 else np.full_like(times, float(len(cells)))
            links.append(Link(first, second, a, b, np.log(times / whole), 0.015 if len(cells) > 1 else 0.12))
    return links


def _of_norm(
    sample: Sample, features: Features, beliefs: Floats, of: tuple[Quantity, ...], expected: float, exact: float
) -> list[Link]:
    """Return what the length of a vector says of its unit: at rest and in the mean, gravity or the earth's field."""
    rows = [max(_rows(beliefs, features, axis, least=0.3), key=lambda row: beliefs[row, _of(axis)].sum(), default=-1)
            for axis in of]  # fmt: skip
    if -1 in rows or len(set(rows)) < 3:
        return []
    length = np.sqrt(sum(sample.at(row) ** 2 for row in rows))
    length = length[np.isfinite(length)]
    if length.size < 16 or float(np.median(length)) <= 0.0:
        return []
    middle = math.log(float(np.median(length)))
    links = []
    for row, axis in zip(rows, of, strict=True):
        these = _of(axis)
        links.append(Link(row, -1, these, these[:0], middle + np.log(_scales(these) / expected)[:, None], exact))
    return links
