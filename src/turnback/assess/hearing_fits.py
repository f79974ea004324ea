"""Whether what a phrase seems to tell fits its surroundings: who did it, what else is said, and what came before."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Final

from turnback.assess.hearing_words import Word, stem
from turnback.knowledge.said import Said
from turnback.records.heard import Heard

DEVICES: Final = frozenset(["=goggles", "=radio", "=screen", "=charger", "camera", "cam", "=friend"])
"""What is not the aircraft: of it something else is told, where no phrase names it."""
BETWEEN: Final = 2
"""So many words may stand between a device and what it did."""


def words_of(row: Iterable[Word]) -> frozenset[str]:
    """Return the words of a sentence as they stand and by their base form."""
    return frozenset(form for word in row for form in (word.text, stem(word.text)))


def fits(sign: str, here: frozenset[str], before: frozenset[str], said: Said) -> bool:
    """Return whether a sign may be told among such words.

    Parameters
    ----------
    sign : str
    here, before : frozenset of str
        Words of the sentence and of the one before it, also by their base form.
    said : Said
        Its `needs` must be met in either sentence, its `bars` not in this one.
    """
    needs = said.needs.get(sign)
    if needs is not None and needs.isdisjoint(here) and needs.isdisjoint(before):
        return False
    return said.bars.get(sign, frozenset()).isdisjoint(here)


def of_another(words: Sequence[int], said: Sequence[Word], meanings: Collection[str]) -> bool:
    """Return whether another thing than the aircraft did it: "the goggles died" is no aircraft that died.

    Parameters
    ----------
    words : sequence of int
        Places of the matched words.
    said : sequence of Word
        Of the whole sentence, in its order.
    meanings : collection of str
        Of the phrase.
    """
    first = min(words)
    for at in range(first - 1, max(first - 1 - BETWEEN, -1), -1):
        if said[at].clause != said[first].clause:
            return False
        if said[at].meaning in DEVICES:
            return said[at].meaning not in meanings
    return False


def is_outcome(sign: str, meanings: Collection[str], said: Said) -> bool:
    """Return whether a phrase tells only how it ended: that it fell, turned over, or met something."""
    return sign in said.outcome_signs and said.outcome_words.issuperset(meanings)


def without_outcomes(heard: Sequence[Heard], outcomes: Collection[int], said: Said) -> list[Heard]:
    """Return what was heard without such ends of it as follow from what was told before them.

    Most flights that go wrong end in a fall. It says something of its own only where nothing was told that it may
    follow from.

    Parameters
    ----------
    heard : sequence of Heard
    outcomes : collection of int
        Places in `heard` of those that tell only how it ended.
    said : Said
    """
    told = [
        one.start for at, one in enumerate(heard) if one.seen and at not in outcomes and one.sign not in said.background
    ]
    first = min(told, default=None)
    return [
        one for at, one in enumerate(heard) if at not in outcomes or first is None or (one.seen and one.start < first)
    ]
