"""The odds of causes after what the signs of a record say together (`knowledge.together`)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_tables import Tables, with_odds_moved
from turnback.knowledge.together import NOTHING_WRONG
from turnback.records.belief import Observation, Told

Floats = NDArray[np.float64]
Weighed = dict[str, Floats]
"""By sign: what it adds for each cause, something else last, decibans."""


def with_together(tables: Tables, observations: Sequence[Observation]) -> tuple[Tables, Weighed]:
    """Return tables with odds moved by what signs of a record say together, and what each sign adds.

    What the odds of all causes gain or lose together moves the chance that nothing is wrong. A sign that a check has
    told does not count here: the check's word stands instead.

    Parameters
    ----------
    tables : Tables
    observations : sequence of Observation
        Only those of a record whose teller's own sureness is known count.
    """
    together = tables.book.together
    told = surely(observations)
    if together is None or not told:
        return tables, {}
    keys = (*tables.keys[:-1], NOTHING_WRONG)
    found = together.weighed(told, keys)
    lift = found.sum(axis=0)
    lifted, gain = with_odds_moved(tables, 10.0 ** (lift[:-1] / 10.0))
    sound = tables.nothing_wrong * 10.0 ** (lift[-1] / 10.0)
    nothing_wrong = float(sound / (sound + (1.0 - tables.nothing_wrong) * gain))
    found[:, -1] = 0.0  # from here on the last stands for something else, which no sign moves
    return replace(lifted, nothing_wrong=nothing_wrong), dict(zip(told, found, strict=True))


def surely(observations: Sequence[Observation]) -> dict[str, float]:
    """Return, by sign, 1 where a record surely shows it, -1 where it surely does not; the surest telling of each.

    Parameters
    ----------
    observations : sequence of Observation
    """
    checked = {one.sign for one in observations if one.told is Told.CHECK}
    found: dict[str, float] = {}
    for one in observations:
        if one.told is not Told.RECORD or one.teller_sure is None or one.sign in checked:
            continue
        says = (2.0 * one.teller_sure - 1.0) * (1.0 if one.seen else -1.0)
        if abs(says) > abs(found.get(one.sign, 0.0)):
            found[one.sign] = says
    return dict(sorted(found.items()))


def added(weighed: Weighed, signs: Sequence[str], without: Floats) -> Floats:
    """Return what each sign adds to each cause's odds for what the signs say together.

    Parameters
    ----------
    weighed : dict
        Of `with_together`.
    signs : sequence of str
    without : ndarray
        Shape ``(signs, causes + 1)``: chances without what each sign says alone.

    Returns
    -------
    ndarray
        The same shape, decibans: a cause's own weight beside the mean of its rivals', by their chances.
    """
    found = np.zeros_like(without)
    for place, sign in enumerate(signs):
        own = weighed.get(sign)
        if own is None:
            continue
        rivals = without[place].sum() - without[place]
        before = without[place] * 10.0 ** (-own / 10.0)
        fall = np.maximum(before.sum() - before, 1e-300)
        found[place] = own - 10.0 * np.log10(np.maximum(rivals, 1e-300) / fall)
    return found
