"""Words cut short: ``altit``, ``vrtcl``, ``thrtl``. What they may stand for, and how surely.

People shorten in few ways: they keep the beginning, or they drop vowels and doubled letters and keep the rest, or both.
A short form counts for every known word that it may come from; the more letters it has and the fewer meanings it may
have, the surer it is.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from rapidfuzz.distance import DamerauLevenshtein, LCSseq

FEWEST_LETTERS: Final = 3
LONGEST: Final = 20
SURE: Final = {3: 0.55, 4: 0.75, 5: 0.85}
"""How often a short form of so many letters is one at all, and not a word of its own (our choice)."""
SURE_LONG: Final = 0.92
SAME_BONES, BEGINNING, FIRST_BONES, SOME_LETTERS, SLIP = 1.0, 0.9, 0.7, 0.4, 0.8
COVERED: Final = 0.7  # share of a word's consonants that must be there
LEAST_SLIP: Final = 6  # letters from which one wrong, missing, doubled or swapped letter is forgiven
LEAST_SURE: Final = 0.08
MOST_MEANINGS: Final = 4
_VOWELS: Final = frozenset("aeiouyäöüáéíóúàèìòùâêîôûœæ")

Rows = tuple[tuple[tuple[str, ...], float], ...]


def bones(word: str) -> str:
    """Return a word without its vowels after the first letter, and without doubled letters."""
    kept = word[0]
    for letter in word[1:]:
        if letter not in _VOWELS and letter != kept[-1]:
            kept += letter
    return kept


def by_first_letter(known: Mapping[str, Rows]) -> dict[str, list[tuple[str, str]]]:
    """Return known words of four letters and more with their bones, by their first letter."""
    found: dict[str, list[tuple[str, str]]] = {}
    for word in known:
        if len(word) > FEWEST_LETTERS and word.isalpha():
            found.setdefault(word[0], []).append((word, bones(word)))
    return found


def short_for(token: str, known: Mapping[str, Rows], of_letter: Mapping[str, list[tuple[str, str]]]) -> Rows:
    """Return what a word that is not known may mean, and how surely; nothing where it is like none.

    Parameters
    ----------
    token : str
        In small letters.
    known : mapping of str to rows of meaning and sureness
    of_letter : mapping
        From `by_first_letter`.
    """
    if not FEWEST_LETTERS <= len(token) <= LONGEST or not token.isalpha():
        return ()
    own = bones(token)
    groups: dict[Rows, float] = {}
    for word, word_bones in of_letter.get(token[0], ()):
        like = _like(token, own, word, word_bones)
        if like > 0.0:
            groups[known[word]] = max(groups.get(known[word], 0.0), like)
    if not groups:
        return ()
    alone = max(groups.values())
    sure = SURE.get(len(token), SURE_LONG) * alone
    share: dict[tuple[str, ...], float] = {}
    total = sum(groups.values())
    for rows, like in groups.items():
        for meaning, own_sure in rows:
            share[meaning] = min(share.get(meaning, 0.0) + like / total * own_sure, 1.0)
    ordered = sorted(share.items(), key=lambda each: (-each[1], each[0]))[:MOST_MEANINGS]
    return tuple((meaning, part * sure) for meaning, part in ordered if part * sure >= LEAST_SURE)


def _like(token: str, own: str, word: str, word_bones: str) -> float:
    if len(word) <= len(token):
        near = len(token) >= LEAST_SLIP and len(word) >= LEAST_SLIP
        return SLIP if near and DamerauLevenshtein.distance(token, word, score_cutoff=1) <= 1 else 0.0
    if word.startswith(token):
        return BEGINNING
    if LCSseq.similarity(token, word) == len(token):  # every letter of it, in their order
        if own == word_bones:
            return SAME_BONES
        if len(own) >= FEWEST_LETTERS and word_bones.startswith(own):
            return FIRST_BONES
        covered = LCSseq.similarity(own, word_bones) / len(word_bones)
        return SOME_LETTERS if len(own) >= FEWEST_LETTERS and covered >= COVERED else 0.0
    near = len(token) >= LEAST_SLIP and DamerauLevenshtein.distance(token, word, score_cutoff=1) <= 1
    return SLIP if near else 0.0
