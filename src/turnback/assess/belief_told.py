"""How well every set of causes tells what was observed, and the same with any one sign left out; compiled."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_kernel import MOST_HIDDEN
from turnback.base.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@kernel
def product_without(told: Floats, begin: int, end: int, left_out: int, whole: float) -> float:
    """Return the product of a group's signs but one; `whole` is that of all."""
    if told[left_out] > 1e-9:
        return float(whole / told[left_out])
    product = 1.0
    for sign in range(begin, end):
        if sign != left_out:
            product *= told[sign]
    return product


@kernel
def told_by_sets(
    members: Ints, prior: Floats, own: Floats, hides: Floats, leak: Floats, chance: Floats, weight: Floats,
    begin: Ints, wrong: Floats, without_each: bool,
) -> tuple[Floats, Floats, Floats]:  # fmt: skip
    """Return likelihoods of sets, and what they add up to with each sign left out.

    Each sign counts twice its likelihood, so that one that says nothing counts 1 and hundreds neither vanish nor
    overflow.

    Parameters
    ----------
    members : ndarray
        Shape ``(sets, 3)``; the last row of `hides` stands for no member.
    prior, own : ndarray
        Shape ``(sets,)``: with all ways to fill a set up, and of exactly this set.
    hides : ndarray
        Shape ``(atoms + 1, signs)``.
    leak, chance, weight : ndarray
        Shape ``(signs,)``: chance that the sign was seen by what was told; the exponent for near copies.
    begin : ndarray
        Shape ``(groups + 1,)``: where each group begins among the signs.
    wrong : ndarray
        Shape ``(groups,)``.
    without_each : bool
        False: `holding` and `bare` stay empty, at a third of the time.

    Returns
    -------
    likelihood : ndarray
        Shape ``(sets,)``.
    holding : ndarray
        Shape ``(atoms + 1, signs)``: joint chance that an atom is there, without that sign.
    bare : ndarray
        Shape ``(4, signs)``: without that sign, the sum over all sets with `prior`; then over sets of none (likelihood
        alone), one and two members with `own`.
    """
    signs, groups = leak.size, wrong.size
    likelihood = np.zeros(prior.size)
    holding, bare = np.zeros((hides.shape[0], signs)), np.zeros((4, signs))
    told, without, right = np.empty(signs), np.empty(signs), np.empty(groups)
    none = hides.shape[0] - 1
    copies = np.flatnonzero(weight < 1.0)
    for row in range(prior.size):
        if prior[row] == 0.0:
            continue
        first, second, third = members[row]
        size = (first != none) + (second != none) + (third != none)
        for sign in range(signs):
            absent = (1.0 - leak[sign]) * hides[first, sign] * hides[second, sign] * hides[third, sign]
            absent = min(absent, MOST_HIDDEN)
            told[sign] = 2.0 * chance[sign] + absent * (2.0 - 4.0 * chance[sign])
        for place in range(copies.size):
            told[copies[place]] **= weight[copies[place]]
        whole = 1.0
        for group in range(groups):
            product = 1.0
            for sign in range(begin[group], begin[group + 1]):
                product *= told[sign]
            right[group] = product
            whole *= (1.0 - wrong[group]) * product + wrong[group]
        likelihood[row] = whole
        if not without_each:
            continue
        for group in range(groups):
            others = whole / ((1.0 - wrong[group]) * right[group] + wrong[group])
            for sign in range(begin[group], begin[group + 1]):
                rest = product_without(told, begin[group], begin[group + 1], sign, right[group])
                without[sign] = others * ((1.0 - wrong[group]) * rest + wrong[group])
        for sign in range(signs):
            joint = without[sign] * prior[row]
            holding[first, sign] += joint
            holding[second, sign] += joint
            holding[third, sign] += joint
            bare[0, sign] += joint
        if size < 3:
            share = own[row] if size > 0 else 1.0
            for sign in range(signs):
                bare[1 + size, sign] += without[sign] * share
    return likelihood, holding, bare
