"""What a sentence denies, doubts, asks or wishes: the scope of "not" and its like."""

from __future__ import annotations

from functools import cache
from typing import Final

from turnback.assess.hearing_words import Meanings, Word

REACH: Final = 7
"""A denial reaches this many words ahead inside its clause."""
LIGHT: Final = frozenset(
    ["come", "came", "appear", "appeared", "happen", "happened", "show", "work", "be", "go", "sound"]
)
ASKING: Final = frozenset(
    ["is", "are", "should", "can", "could", "may", "do", "does", "would", "will", "how", "what", "where"]
)
STOPS: Final = frozenset(["stop", "stops", "stopped", "stoped", "stopping"])
LISTS: Final = frozenset(["no", "without", "never", "neither"])


def deny(row: list[Word], meanings: Meanings) -> None:
    """Set `Word.denied` for the words that a denial of their clause reaches; two denials lift each other.

    Parameters
    ----------
    row : list of Word
        A sentence before expressions are joined.
    meanings : Meanings
    """
    texts = [word.text for word in row]
    quiet = {
        at + step
        for words in _split(meanings.said.idioms)
        for at in _places(texts, words)
        for step in range(len(words))
    }
    denials: list[tuple[int, int]] = []
    for words in sorted(_split(meanings.said.deny), key=len, reverse=True):
        for at in _places(texts, words):
            if at not in quiet:
                denials.append((at, at + len(words) - 1))
                quiet |= set(range(at, at + len(words)))
    for at, text in enumerate(texts[:-1]):
        after = texts[at + 1] if texts[at + 1] not in {"the", "all", "its"} or at + 2 >= len(texts) else texts[at + 2]
        if text in STOPS and after.endswith("ing"):
            denials.append((at, at))
    for first, last in denials:
        for word in row[first : last + 1]:
            word.denies = True
        for word in _reached(row, first, last):
            word.denied = not word.denied


def _reached(row: list[Word], first: int, last: int) -> list[Word]:
    begin = row[first]
    ahead = []
    for at, word in enumerate(row[last + 1 : last + 1 + REACH], last + 1):
        if word.clause != begin.clause:
            break
        if word.text == "and" and begin.text not in LISTS:
            break
        ahead.append(row[at])
    empty = all(word.text in LIGHT for word in ahead)
    if empty:  # "a warning did not come": what is denied stands before
        back = [word for word in row[max(0, first - REACH) : first] if word.clause == begin.clause]
        return back + ahead
    return ahead


def doubtful(row: list[Word], meanings: Meanings) -> bool:
    """Return whether a sentence says that its pilot is not sure."""
    texts = [word.text for word in row]
    return any(_places(texts, words) for words in _split(meanings.said.doubt))


def not_told(row: list[Word], meanings: Meanings, asked: bool) -> bool:
    """Return whether a sentence asks or wishes, and tells nothing that happened."""
    texts = [word.text for word in row]
    if asked and texts[0] in ASKING:
        return True
    return any(at <= 1 for words in _split(meanings.said.wishes) for at in _places(texts, words))


@cache
def _split(rows: tuple[str, ...]) -> list[list[str]]:
    return [row.split() for row in rows]


def _places(texts: list[str], words: list[str]) -> list[int]:
    if words[0] not in texts:
        return []
    return [at for at in range(len(texts) - len(words) + 1) if texts[at : at + len(words)] == words]
