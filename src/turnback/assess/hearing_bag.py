"""Signs told in words that no phrase has together: by the rare words that only their phrases use."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.assess.hearing_phrases import Phrases
from turnback.assess.hearing_words import Word

UNSAID_BAG: Final = 0.37
"""Missing from every bag, of the weight of a word that one sign alone has: few words tell little."""
LEAST_TOLD: Final = 1.1
"""So much must be told by words of the sign, of the same: two rare words, or more common ones."""
AHEAD: Final = 1.2
"""By so much the words must tell one sign rather than another."""
LEAST_WORDS: Final = 2


@dataclass(frozen=True, slots=True)
class Bag:
    """A sign that a clause's words point to.

    Parameters
    ----------
    sign : str
    score : float
        Share of the clause's weight that words of the sign have, less where they weigh little.
    words : tuple of int
        Which of the sentence's words.
    seen : bool
    """

    sign: str
    score: float
    words: tuple[int, ...]
    seen: bool


def bags(said: list[Word], weights: list[float], phrases: Phrases) -> list[Bag]:
    """Return at most one sign for each clause of a sentence."""
    clauses: dict[int, list[int]] = {}
    for at, word in enumerate(said):
        clauses.setdefault(word.clause, []).append(at)
    found = [_bag(places, said, weights, phrases) for places in clauses.values()]
    return [bag for bag in found if bag is not None]


def _bag(places: list[int], said: list[Word], weights: list[float], phrases: Phrases) -> Bag | None:
    nats: dict[str, float] = {}
    words: dict[str, list[int]] = {}
    once: set[str] = set()
    for at in places:
        meaning = said[at].meaning
        if meaning in once:
            continue
        once.add(meaning)
        for sign in phrases.users.get(meaning, ()):
            nats[sign] = nats.get(sign, 0.0) + weights[at]
            words.setdefault(sign, []).append(at)
    best = sorted(nats, key=lambda sign: -nats[sign])[:2]
    if not best or nats[best[0]] < LEAST_TOLD * phrases.rarest or len(words[best[0]]) < LEAST_WORDS:
        return None
    if len(best) > 1 and nats[best[0]] < AHEAD * nats[best[1]]:
        return None
    whole = sum(weights[at] for at in places)
    score = nats[best[0]] / whole * nats[best[0]] / (nats[best[0]] + UNSAID_BAG * phrases.rarest)
    denied = any(said[at].denied for at in words[best[0]])
    return Bag(best[0], score, tuple(words[best[0]]), not denied)
