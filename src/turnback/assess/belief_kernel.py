"""What every check of a book would tell, compiled: for each, the chance of its outcomes and their information."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.base.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_HIDDEN = 0.999
"""Several causes that each keep a usual sign away do not make it impossible."""


@kernel
def exactly_three(exact: Floats, place: Ints, odds: Floats, first: int, second: int, third: int) -> float:
    """Return the chance that exactly three atoms are there."""
    none = exact.shape[0] - 1
    product = 1.0
    low, middle, high = place[first], place[second], place[third]
    if low < 0:
        product, low = product * odds[first], none
    if middle < 0:
        product, middle = product * odds[second], none
    if high < 0:
        product, high = product * odds[third], none
    low, middle = min(low, middle), max(low, middle)
    middle, high = min(middle, high), max(middle, high)
    low, middle = min(low, middle), max(low, middle)
    return float(exact[low, middle, high] * product)


@kernel
def information(chance: float) -> float:
    """Return x log2 x, 0 at 0."""
    return float(chance * np.log2(chance)) if chance > 0.0 else 0.0


@kernel
def add_class(joint: Floats, hidden: Floats, sure: Floats, signs: int, mass: float, wrong: float) -> None:
    """Add to `joint` the chance of each outcome with a set of causes that hides each sign with some chance."""
    for outcome in range(1 << signs):
        told = 1.0
        for sign in range(signs):
            seen = 1.0 - hidden[sign]
            if sure[sign] != 0.5:
                seen = seen * sure[sign] / (seen * sure[sign] + hidden[sign] * (1.0 - sure[sign]))
            told *= seen if outcome >> sign & 1 else 1.0 - seen
        joint[outcome] += mass * ((1.0 - wrong) * told + wrong / (1 << signs))


@kernel
def exact_masses(
    atoms: Ints, causes: int, one: Floats, two: Floats, exact: Floats, place: Ints, odds: Floats
) -> Floats:
    """Return the chance that of some atoms exactly these are there.

    `atoms` are causes, then one that stands for none, at place `causes`, then levels of something else. The result has
    their places in rising order, filled up with that of none: (i, j, k), (i, j, none), (i, none, level) and so on.
    """
    count = atoms.size
    mass, pairs, singles = np.zeros((count, count, count)), np.zeros((count, count)), np.zeros(count)
    rest = 1.0
    for i in range(count):
        for j in range(i + 1, count):
            for k in range(j + 1, count):
                if causes != i and causes != j and causes != k:  # noqa: PLR1714 - compiles faster
                    chance = exactly_three(exact, place, odds, atoms[i], atoms[j], atoms[k])
                    mass[i, j, k] = chance
                    pairs[i, j] += chance
                    pairs[i, k] += chance
                    pairs[j, k] += chance
                    singles[i] -= chance
                    singles[j] -= chance
                    singles[k] -= chance
                    rest -= chance
    for i in range(count):
        if i != causes:
            singles[i] += one[atoms[i]]
        for j in range(i + 1, count):
            if causes != i and causes != j:  # noqa: PLR1714
                chance = max(two[atoms[i], atoms[j]] - pairs[i, j], 0.0)
                mass[i, min(j, causes), max(j, causes)] = chance
                singles[i] -= chance
                singles[j] -= chance
                rest -= chance
    for i in range(count):
        if i != causes:
            chance = max(singles[i], 0.0)
            mass[min(i, causes), causes, max(i, causes)] = chance
            rest -= chance
    mass[causes, causes, causes] = max(rest, 0.0)
    return mass


@kernel
def finish(joint: Floats, outcome: Floats) -> float:
    """Add one set of causes to the outcomes, clear it, and return its share of the information."""
    total, bits = 0.0, 0.0
    if joint[0] == 0.0:
        return 0.0
    for number in range(joint.size):
        total += joint[number]
        bits += information(joint[number])
        outcome[number] += joint[number]
        joint[number] = 0.0
    return float(bits - information(total))


@kernel
def hide(hidden: Floats, leak: Floats, hides: Floats, i: int, j: int, k: int) -> None:
    """Write to `hidden` the chance that neither the leak nor any of three members shows a sign."""
    for sign in range(leak.size):
        hidden[sign] = min(leak[sign] * hides[sign, i] * hides[sign, j] * hides[sign, k], MOST_HIDDEN)


@kernel
def one_check(
    causes: int, hides: Floats, leak: Floats, sure: Floats, wrong: float, outcome: Floats, mass: Floats
) -> float:
    """Fill in the outcomes of one check, and return its bits; places are those of `exact_masses`."""
    signs = leak.size
    joint, hidden = np.zeros(outcome.size), np.empty(signs)
    bits = 0.0
    for i in range(causes + 1):
        for j in range(min(i + 1, causes), causes + 1):
            for k in range(min(j + 1, causes), causes + 1):
                hide(hidden, leak, hides, i, j, k)
                add_class(joint, hidden, sure, signs, mass[i, j, k], wrong)
                bits += finish(joint, outcome)
            for level in range(causes + 1, mass.shape[0]):
                hide(hidden, leak, hides, i, j, level)
                add_class(joint, hidden, sure, signs, mass[i, j, level], wrong)
            bits += finish(joint, outcome)
    for number in range(outcome.size):
        bits -= information(outcome[number])
    return float(max(bits, 0.0))


@kernel
def outcomes_and_bits(
    columns: Ints, spoken: Ints, begin: Ints, sure: Floats, leak: Floats, hides: Floats, causes: int,
    one: Floats, two: Floats, exact: Floats, place: Ints, odds: Floats, wrong: float,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Return the outcomes of every check, shape ``(checks, 16)``, and its bits, shape ``(checks,)``.

    Bit b of an outcome's number says that the b-th sign that is not certain already was seen.
    """
    rows = columns.shape[0]
    levels = odds.size - causes
    outcome, bits = np.zeros((rows, 16)), np.zeros(rows)
    for row in range(rows):
        told = np.empty(4, np.int64)
        signs = 0
        for column in columns[row]:
            if column >= 0 and 0.0 < sure[column] < 1.0:
                told[signs] = column
                signs += 1
        if signs == 0:
            continue
        own = begin[row + 1] - begin[row]
        atoms = np.full(own + 1 + levels, -1, np.int64)
        atoms[:own] = spoken[begin[row] : begin[row + 1]]
        for level in range(levels):
            atoms[own + 1 + level] = causes + level
        local, hidden, known = np.ones((signs, atoms.size)), np.empty(signs), np.empty(signs)
        for sign in range(signs):
            hidden[sign] = 1.0 - leak[told[sign]]
            known[sign] = sure[told[sign]]
            for atom in range(atoms.size):
                if atom != own:
                    local[sign, atom] = hides[told[sign], atoms[atom]]
        mass = exact_masses(atoms, own, one, two, exact, place, odds)
        bits[row] = one_check(own, local, hidden, known, wrong, outcome[row, : 1 << signs], mass)
    return outcome, bits
