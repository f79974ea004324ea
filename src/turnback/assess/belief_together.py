"""The odds of causes after what the signs of a record say together (`knowledge.together`)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_tables import Tables, elementary
from turnback.knowledge.together import NOTHING_WRONG
from turnback.records.belief import Observation, Told

Floats = NDArray[np.float64]
Weighed = dict[str, Floats]
"""By sign: what it adds for each cause, something else last, decibans."""


def with_together(tables: Tables, observations: Sequence[Observation]) -> tuple[Tables, Weighed]:
    """Return tables with odds moved by what signs of a record say together, and what each sign adds.

    The odds keep their sum, so that sets of two and three are as common as before; what is gained or lost in all moves
    the chance that nothing is wrong. A sign that a check has told does not count here: the check's word stands instead.

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
    rows = np.concatenate([found[:, :-1], np.zeros((len(told), 1))], axis=1)
    lift = rows.sum(axis=0)
    of_atom = np.concatenate([lift[:-1], np.full(tables.odds.size - tables.causes, lift[-1])])
    odds = tables.odds * 10.0 ** ((of_atom - of_atom.max()) / 10.0)
    gain = odds.sum() / tables.odds.sum()
    sound = tables.nothing_wrong * 10.0 ** ((found[:, -1].sum() - of_atom.max()) / 10.0)
    odds /= gain
    one_else = np.append(odds[: tables.causes], odds[tables.causes :].sum())
    nothing_wrong = sound / (sound + (1.0 - tables.nothing_wrong) * gain)
    lifted = replace(tables, odds=odds, share=sum(elementary(one_else)), nothing_wrong=nothing_wrong)
    return lifted, dict(zip(told, rows, strict=True))


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
