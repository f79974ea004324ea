"""Columns that belong together: three axes of one sensor, four outputs, the cells of one pack.

Members of a family are of one kind and one unit, so what one of them says of the unit counts for all.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.readers.record_match_values import hypotheses
from turnback.readers.record_names import Named
from turnback.records.channel import ACCELERATIONS, RATE_DEMANDS, RATES, Quantity

Floats = NDArray[np.float64]
AXES: Final = frozenset({"x", "y", "z", "roll", "pitch", "yaw", "heading", "lat", "lon", "north", "east", "down",
                         "number", "corner"})  # fmt: skip
_KINDS: Final = (
    RATES, RATE_DEMANDS, ACCELERATIONS, (Quantity.ROLL, Quantity.PITCH, Quantity.HEADING),
    (Quantity.ROLL_DEMAND, Quantity.PITCH_DEMAND),
    (Quantity.MAGNETIC_X, Quantity.MAGNETIC_Y, Quantity.MAGNETIC_Z), (Quantity.OUTPUT,), (Quantity.ROTOR_SPEED,),
    (Quantity.ROLL_STICK, Quantity.PITCH_STICK, Quantity.YAW_STICK), (Quantity.CELL_VOLTS,),
    (Quantity.LATITUDE, Quantity.LONGITUDE), (Quantity.LAUNCH_LATITUDE, Quantity.LAUNCH_LONGITUDE),
    (Quantity.VELOCITY_NORTH, Quantity.VELOCITY_EAST, Quantity.VELOCITY_DOWN),
)  # fmt: skip
KIND_OF: Final[dict[Quantity, int]] = {quantity: kind for kind, row in enumerate(_KINDS) for quantity in row}
SHARED: Final = 0.6
"""How much of what the others say counts: they saw the same flight, so they are not independent."""
LARGEST: Final = 12.0
"""Most that the others can say, either way."""


def families_of(named: tuple[Named, ...], said: tuple[str, ...]) -> tuple[tuple[int, ...], ...]:
    """Return the families of two or more columns, as places in the table."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, (each, text) in enumerate(zip(named, said, strict=True)):
        rest = []
        axes = 0
        for word, meanings in zip(each.words, each.meanings, strict=True):
            if not meanings:
                rest.append(word)
                continue
            left = tuple(part for part in meanings[0][0] if part not in AXES)
            axes += len(left) < len(meanings[0][0])
            rest += left or ()
        if axes:
            groups.setdefault((tuple(rest), text.lower()), []).append(place)
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
        if len(members) != 3 or numbers not in ([0, 1, 2], [1, 2, 3]):
            continue
        for place in members:
            axis = "xyz"[(named[place].number or 0) - numbers[0]]
            meanings = (*named[place].meanings[:-1], (*named[place].meanings[-1], ((axis,), 0.6)))
            found[place] = replace(named[place], meanings=meanings)
    return tuple(found)


def pooled(scores: Floats, families: tuple[tuple[int, ...], ...]) -> Floats:
    """Return the scores with what the members of each family say of kind and unit to one another.

    Parameters
    ----------
    scores : ndarray, shape (columns, hypotheses)
        Log odds against being none of our channels.
    families : tuple of tuple of int
    """
    every = hypotheses()
    keys = sorted({(KIND_OF[each.quantity], each.unit.key) for each in every if each.quantity in KIND_OF})
    place_of = {key: place for place, key in enumerate(keys)}
    of = np.array([place_of.get((KIND_OF.get(each.quantity, -1), each.unit.key), -1) for each in every])
    added = np.array(scores)
    for family in families:
        says = np.full((len(family), len(keys) + 1), -40.0)
        for row, member in enumerate(family):
            for key in range(len(keys)):
                says[row, key] = np.logaddexp.reduce(scores[member, of == key])
            says[row, -1] = np.logaddexp(0.0, np.logaddexp.reduce(scores[member, of < 0]))
        says -= np.logaddexp.reduce(says, axis=1)[:, None]  # log chance of each kind and unit, "anything else" last
        says = np.maximum(says, -LARGEST)
        for row, member in enumerate(family):
            heard = SHARED * (np.delete(says, row, axis=0).sum(axis=0))
            heard = np.clip(heard - heard[-1], -LARGEST, LARGEST)
            added[member] += np.where(of >= 0, heard[np.maximum(of, 0)], 0.0)
    return added
