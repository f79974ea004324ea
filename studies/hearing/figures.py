"""How many of the signs heard are right, how many of the signs told are heard, and how often the polarity is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from math import sqrt

from studies.hearing.sentences import Sentence

Ear = Callable[[str], Iterable[tuple[str, bool]]]
"""From a text to the signs heard, each with whether it is seen."""


@dataclass(frozen=True, slots=True)
class Score:
    """Counts over sentences.

    Parameters
    ----------
    sentences : int
    told : int
        Signs that the sentences tell.
    heard : int
        Signs heard, those that need not be heard left out.
    right : int
        Heard, told, and of the right polarity.
    turned : int
        Heard and told, with the wrong polarity.
    clean : int
        Sentences that tell nothing and in which nothing was heard.
    empty : int
        Sentences that tell nothing.
    """

    sentences: int
    told: int
    heard: int
    right: int
    found: int
    turned: int
    clean: int
    empty: int


@dataclass(frozen=True, slots=True)
class Faults:
    """What went wrong in one sentence."""

    text: str
    missed: tuple[str, ...]
    wrong: tuple[str, ...]


def judge(sentence: Sentence, heard: Iterable[tuple[str, bool]]) -> tuple[int, int, int, int, Faults]:
    """Return signs heard that count, right, told things found, turned ones, and the faults."""
    said = set(heard)
    right = {one for one in said for told in sentence.told if one[0] in told.signs and one[1] == told.seen}
    turned = {one for one in said - right for told in sentence.told if one[0] in told.signs and one[1] != told.seen}
    counted = {one for one in said if one in right or one in turned or one[0] not in sentence.also}
    found = [told for told in sentence.told if any(one[0] in told.signs and one[1] == told.seen for one in said)]
    missed = tuple("/".join(sorted(told.signs)) + ("" if told.seen else " (not)") for told in sentence.told
                   if told not in found)  # fmt: skip
    wrong = tuple(f"{sign}{'' if seen else ' (not)'}" for sign, seen in sorted(counted - right))
    return len(counted), len(right), len(found), len(turned), Faults(sentence.text, missed, wrong)


def score(sentences: Iterable[Sentence], ear: Ear) -> tuple[Score, tuple[Faults, ...]]:
    """Return the counts of an ear over sentences, and its faults."""
    rows = [(sentence, judge(sentence, ear(sentence.text))) for sentence in sentences]
    empty = [row for row in rows if not row[0].told]
    whole = Score(
        len(rows),
        sum(len(sentence.told) for sentence, _ in rows),
        sum(row[0] for _, row in rows),
        sum(row[1] for _, row in rows),
        sum(row[2] for _, row in rows),
        sum(row[3] for _, row in rows),
        sum(1 for _, row in empty if row[0] == 0),
        len(empty),
    )
    return whole, tuple(row[4] for _, row in rows if row[4].missed or row[4].wrong)


def interval(count: int, of: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (Wilson 1927, without continuity correction)."""
    if of == 0:
        return 0.0, 1.0
    z, share = 1.959964, count / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return max(0.0, middle - half), min(1.0, middle + half)
