"""From observations to how well each hypothesis tells them: pooling, shared error, copies.

1. Everything said of one sign is pooled into one log odds: repeats that agree count as the surest of them, those that
   contradict are subtracted, and a second kind of source counts by half. Saying a thing twice thus moves nothing.
2. Signs of one group share a chance of being wrong together; if wrong, each of them says nothing (one half).
3. Of signs of one group that are nearly one sign and were told the same way, the surest counts in full and each other
   one by what it is unlike those: a copy, however unsure, neither adds nor waters down.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.belief_tables import Tables
from turnback.base.errors import Fault, InputError
from turnback.knowledge.book import Book
from turnback.records.belief import Observation, Told
from turnback.rules import belief as rules

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

WRONG: Final = {
    Told.WORDS: rules.WRONG_WORDS,
    Told.RECORD: rules.WRONG_RECORD,
    Told.CHECK: rules.WRONG_ANSWER,
}
SOURCE_ORDER: Final = (Told.CHECK, Told.RECORD, Told.WORDS)
"""Where two kinds of source are equally sure, the sign belongs to the group of the first."""

GroupKey = tuple[Told, str]


@dataclass(frozen=True, slots=True)
class Pooled:
    """All that was observed of one sign.

    Attributes
    ----------
    sign : str
    log_odds : float
        Natural, of seen against not seen; infinite for hard evidence, 0 where it says nothing.
    group : tuple of Told and str
        Whose error it shares: that of its surest source.
    """

    sign: str
    log_odds: float
    group: GroupKey

    @property
    def seen(self) -> bool:
        """True where it speaks for the sign."""
        return self.log_odds > 0.0

    @property
    def chance(self) -> float:
        """Chance that it was seen, where both were equally likely before."""
        return 1.0 / (1.0 + math.exp(-self.log_odds)) if math.isfinite(self.log_odds) else float(self.seen)


@dataclass(frozen=True, slots=True, eq=False)
class Grouped:
    """Pooled signs, those that share their error beside each other.

    Attributes
    ----------
    signs : tuple of Pooled
    columns : ndarray
        Shape ``(signs,)``: of the book.
    weights : ndarray
        Shape ``(signs,)``: what each counts beside near copies, up to 1.
    begin : ndarray
        Shape ``(groups + 1,)``: where each group begins.
    wrong : ndarray
        Shape ``(groups,)``: chance that it misleads.
    """

    signs: tuple[Pooled, ...]
    columns: Ints
    weights: Floats
    begin: Ints
    wrong: Floats


def faults_of(book: Book, observations: Iterable[Observation]) -> list[Fault]:
    """Return what keeps observations from being used with a book."""
    known = {sign.key for sign in book.signs}
    faults = []
    for number, told in enumerate(observations, start=1):
        where = f"observation {number}"
        if told.sign not in known:
            faults.append(Fault(where, f"the book has no sign {told.sign!r}", "take a key of the book's signs"))
        if not 0.5 <= told.sure <= 1.0:
            faults.append(Fault(where, f"sure is {told.sure}, not 0.5 to 1", "say 0.5 for a guess and 1 for certain"))
    return faults


def pooled(book: Book, observations: Sequence[Observation]) -> tuple[Pooled, ...]:
    """Return one pooled observation per sign, sorted by sign; those that say nothing are left out.

    Raises
    ------
    InputError
        For a sign that the book does not have, and for `sure` out of range.
    """
    faults = faults_of(book, observations)
    if faults:
        raise InputError(*faults)
    groups: dict[GroupKey, set[str]] = {}
    for told in observations:
        groups.setdefault((told.told, told.group), set()).add(told.sign)
    found = []
    for sign in sorted({told.sign for told in observations}):
        one = _pool(sign, [told for told in observations if told.sign == sign], groups)
        if one.log_odds != 0.0:
            found.append(one)
    return tuple(found)


def _pool(sign: str, observations: Sequence[Observation], groups: dict[GroupKey, set[str]]) -> Pooled:
    by_source = []
    for rank, told in enumerate(SOURCE_ORDER):
        own = [one for one in observations if one.told is told]
        if own:
            by_source.append((_net(own), -rank, told))
    first = max(by_source, key=lambda row: (abs(row[0]), row[1]))
    odds = first[0]
    if math.isfinite(odds):
        odds += rules.SECOND_SOURCE.value * sum(row[0] for row in by_source if row is not first)
    elif any(row[0] == -odds for row in by_source):
        odds = 0.0  # two sources, each certain, that contradict each other: neither says anything
    surest = max((one.sure for one in observations if one.told is first[2]), default=0.5)
    homes = {(one.told, one.group) for one in observations if one.told is first[2] and one.sure == surest}
    return Pooled(sign, odds, min(homes, key=lambda home: (-len(groups[home]), home[1])))


def _net(observations: Sequence[Observation]) -> float:
    yes = max((_log_odds(one.sure) for one in observations if one.seen), default=0.0)
    no = max((_log_odds(one.sure) for one in observations if not one.seen), default=0.0)
    return 0.0 if yes == no else yes - no


def _log_odds(sure: float) -> float:
    return math.inf if sure >= 1.0 else math.log(sure / (1.0 - sure))


def likeness(tables: Tables, columns: Ints) -> Floats:
    """Return how much signs are one sign under two names.

    Parameters
    ----------
    tables : Tables
    columns : ndarray
        Of the signs.

    Returns
    -------
    ndarray
        Shape ``(signs, signs)``, 1 on the diagonal: 1 where the log chances of seen and of not seen differ by less than
        a rule under the leak alone and under every single cause, 0 beyond another rule, straight in between.
    """
    hidden = tables.leak[columns, None] - 1.0
    alone = np.concatenate([np.ones((len(columns), 1)), tables.hides[columns, : tables.causes]], axis=1)
    absent = np.clip(-hidden * alone, 1e-300, 1.0)
    logs = np.concatenate([np.log(absent), np.log(np.maximum(1.0 - absent, 1e-300))], axis=1)
    apart = np.max(np.abs(logs[:, None, :] - logs[None, :, :]), axis=2)
    span = rules.OTHER_SIGN.value - rules.SAME_SIGN.value
    result: Floats = np.clip((rules.OTHER_SIGN.value - apart) / span, 0.0, 1.0)
    return result


def shares(alike: Floats, log_odds: Floats) -> Floats:
    """Return what each sign of a group counts beside its near copies.

    Parameters
    ----------
    alike : ndarray
        Shape ``(signs, signs)``, of `likeness`.
    log_odds : ndarray
        Shape ``(signs,)``. Copies that were told the other way are no copies of what was told; they count in full.

    Returns
    -------
    ndarray
        Shape ``(signs,)``, 0 to 1: one less the greatest likeness to a sign that was told more surely.
    """
    counts = np.ones(log_odds.size)
    order = np.argsort(-np.abs(log_odds), kind="stable")
    for rank, row in enumerate(order):
        surer = order[:rank]
        surer = surer[np.sign(log_odds[surer]) == np.sign(log_odds[row])]
        counts[row] = 1.0 - alike[row, surer].max(initial=0.0)
    return counts


def grouped(tables: Tables, observations: Sequence[Observation]) -> Grouped:
    """Return what was observed, pooled by sign and grouped by shared error.

    Raises
    ------
    InputError
        For a sign that the book does not have, and for `sure` out of range.
    """
    signs = sorted(pooled(tables.book, observations), key=lambda one: (one.group[0].value, one.group[1], one.sign))
    columns = np.array([tables.sign_index[one.sign] for one in signs], dtype=np.int64)
    keys = [one.group for one in signs]
    begin = [row for row, key in enumerate(keys) if row == 0 or keys[row - 1] != key]
    weights = np.ones(len(signs))
    ends = [*begin[1:], len(signs)]
    for first, end in zip(begin, ends, strict=False):
        odds = np.array([one.log_odds for one in signs[first:end]])
        weights[first:end] = shares(likeness(tables, columns[first:end]), odds)
    wrong = np.array([WRONG[keys[row][0]].value for row in begin])
    return Grouped(tuple(signs), columns, weights, np.array([*begin, len(signs)], dtype=np.int64), wrong)
