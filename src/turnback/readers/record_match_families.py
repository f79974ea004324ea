"""Columns that belong together: three axes of one sensor, four outputs, the cells of one pack.

Members of a family are of one kind and one unit, so what one of them says of the unit counts for all.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_values import hypotheses
from turnback.readers.record_names import Named
from turnback.records.channel import ACCELERATIONS, RATE_DEMANDS, RATES, Quantity

Floats = NDArray[np.float64]
AXES: Final = {
    **dict.fromkeys(("x", "y", "z"), "axis"), **dict.fromkeys(("roll", "pitch", "yaw", "heading"), "turn"),
    **dict.fromkeys(("lat", "lon"), "place"), **dict.fromkeys(("north", "east", "down"), "way"),
    "number": "number", "corner": "corner",
}  # fmt: skip
"""Meanings that tell the members of a family apart, and in which manner."""
_KINDS: Final = (
    RATES, RATE_DEMANDS, ACCELERATIONS, (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING),
    (Quantity.ROLL_DEMAND, Quantity.PITCH_DEMAND),
    (Quantity.MAGNETIC_X, Quantity.MAGNETIC_Y, Quantity.MAGNETIC_Z), (Quantity.OUTPUT,), (Quantity.ROTOR_SPEED,),
    (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK), (Quantity.CELL_VOLTS,),
    (Quantity.LATITUDE, Quantity.LONGITUDE), (Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE),
    (Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST, Quantity.VELOCITY_DOWN),
)  # fmt: skip
KIND_OF: Final[dict[Quantity, int]] = {quantity: kind for kind, row in enumerate(_KINDS) for quantity in row}
VECTORS: Final = frozenset({"gyro", "accel", "mag", "angular", "angle"})
"""Kinds of which three numbered columns are the axes."""
LEAST_USUAL: Final = -2.5
"""Log of how much less likely of a quantity unusual values are, at worst: a flight may be unlike any other."""
SHARED: Final = 0.6
"""How much of what the others say counts: they saw the same flight, so they are not independent."""
UNUSUAL: Final = -4.0
"""Log of how much less often a flight is far out of the usual: about 1 in 55."""
LARGEST: Final = 12.0
"""Most that the others can say, either way."""


def families_of(named: tuple[Named, ...], said: tuple[str, ...]) -> tuple[tuple[int, ...], ...]:
    """Return the families of two or more columns, as places in the table."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, (each, text) in enumerate(zip(named, said, strict=True)):
        rest: list[str] = []
        axes: set[str] = set()
        for word, meanings in zip(each.words, each.meanings, strict=True):
            if not meanings:
                rest.append(word)
                continue
            rest += (part for part in meanings[0][0] if part not in AXES)
            axes |= {AXES[part] for part in meanings[0][0] if part in AXES}
        if axes:
            groups.setdefault((tuple(sorted(axes)), tuple(rest), text.lower()), []).append(place)
    return tuple(tuple(members) for members in groups.values() if len(members) > 1)


def with_neighbours(named: tuple[Named, ...]) -> tuple[Named, ...]:
    """Return the names with what their neighbours make plain: p, q and r together, numbers that count axes."""
    found = list(named)
    alone = {each.words[0]: place for place, each in enumerate(named) if len(each.words) == 1}
    if {"p", "q", "r"} <= alone.keys():
        for word, axis in zip("pqr", ("roll", "pitch", "yaw"), strict=True):
            found[alone[word]] = replace(named[alone[word]], meanings=((((axis, "gyro"), 0.98),),))
    numbered: dict[tuple[str, ...], list[int]] = {}
    for place, each in enumerate(named):
        if each.number is not None and each.words and each.words[-1] == str(each.number):
            numbered.setdefault(each.words[:-1], []).append(place)
    for members in numbered.values():
        numbers = sorted(named[place].number or 0 for place in members)
        parts = {part for rows in named[members[0]].meanings for meaning, _ in rows for part in meaning}
        if len(members) != 3 or numbers not in ([0, 1, 2], [1, 2, 3]) or not parts & VECTORS:
            continue
        for place in members:
            axis = "xyz"[(named[place].number or 0) - numbers[0]]
            meanings = (*named[place].meanings[:-1], (((axis,), 0.98),))
            found[place] = replace(named[place], meanings=meanings)
    return tuple(found)


@cache
def kinds_and_units() -> NDArray[np.intp]:
    """Return a number for the kind and unit of each hypothesis, -1 of quantities that are alone."""
    every = hypotheses()
    keys = sorted({(KIND_OF[each.quantity], each.unit.key) for each in every if each.quantity in KIND_OF})
    place_of = {key: place for place, key in enumerate(keys)}
    return np.array([place_of.get((KIND_OF.get(each.quantity, -1), each.unit.key), -1) for each in every], np.intp)


def usual_of_families(soft: Floats, families: tuple[tuple[int, ...], ...]) -> Floats:
    """Return what is usual, in the mean of each family, and never more than a flight out of the usual forbids.

    Members of a family flew one flight: where it is calm, all of them are, so their scores are no more than one. And a
    flight may be unlike any other, so that no unit is ruled out by what is usual alone: within one quantity, no score
    is lower than `UNUSUAL` below the best.
    """
    of = kinds_and_units()
    result = np.array(soft)
    for family in families:
        means = np.zeros((len(family), int(of.max()) + 1))
        for row, member in enumerate(family):
            for key in range(means.shape[1]):
                means[row, key] = soft[member, of == key].max()
        shared = means.mean(axis=0)
        for member in family:
            result[member, of >= 0] = shared[of[of >= 0]]
    for places in _places_of_quantities():
        best = result[:, places].max(axis=1, keepdims=True)
        result[:, places] = np.maximum(result[:, places], best + UNUSUAL) + np.maximum(LEAST_USUAL - best, 0.0)
    return result


@cache
def _places_of_quantities() -> tuple[NDArray[np.intp], ...]:
    found: dict[Quantity, list[int]] = {}
    for place, each in enumerate(hypotheses()):
        found.setdefault(each.quantity, []).append(place)
    return tuple(np.array(places, np.intp) for places in found.values())


def pooled(scores: Floats, usage: Floats, families: tuple[tuple[int, ...], ...]) -> Floats:
    """Return the scores with what the members of each family say of kind and unit to one another.

    Parameters
    ----------
    scores : ndarray, shape (columns, hypotheses)
        Log odds against being none of our channels.
    usage : ndarray, shape (columns, hypotheses)
        The part of them that is only how usual a unit is: the members chose it once, together.
    families : tuple of tuple of int
    """
    of = kinds_and_units()
    keys = range(int(of.max()) + 1)
    added, own = np.array(scores), scores - usage
    for family in families:
        says = np.full((len(family), len(keys) + 1), -40.0)
        for row, member in enumerate(family):
            for key in keys:
                says[row, key] = np.logaddexp.reduce(own[member, of == key])
            says[row, -1] = np.logaddexp(0.0, np.logaddexp.reduce(own[member, of < 0]))
        says -= np.logaddexp.reduce(says, axis=1)[:, None]  # log chance of each kind and unit, "anything else" last
        says = np.maximum(says, -LARGEST)
        for row, member in enumerate(family):
            heard = SHARED * (np.delete(says, row, axis=0).sum(axis=0))
            heard = np.clip(heard - heard[-1], -LARGEST, LARGEST)
            added[member] += np.where(of >= 0, heard[np.maximum(of, 0)], 0.0)
    return added
