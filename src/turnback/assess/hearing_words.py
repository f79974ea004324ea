"""From text to words: sentences, short forms, endings, slips of the pen, words of one meaning."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from turnback.knowledge.said import Said

WORD: Final = re.compile(r"[^\W\d_]+(?:['’`´][^\W\d_]+)*|\d+(?:[.,]\d+)*|[.!?…\n;:,()–—]+")
ENDS: Final = re.compile(r"[.!?…\n]")
SOFT_ENDS: Final = re.compile(r"[;:,()–—]")
BREAKS: Final = frozenset(
    ["but", "however", "although", "though", "then", "because", "so", "while", "whereas", "until", "yet"]
)
STARTS: Final = frozenset(
    ["it", "i", "he", "she", "they", "we", "the", "my", "now", "just", "then", "only", "no", "not"]
)
ARTICLES: Final = frozenset(["a", "an", "the", "my", "your", "his", "its", "our", "their", "this", "that"])
FORMS: Final = ("ing", "ed")
VOWELS: Final = frozenset("aeiouy")
LONGEST_WORD: Final = 24
SHORTEST_SLIP: Final = 4
LONG_WORD: Final = 8
MOST_WORDS: Final = 60


@dataclass(slots=True)
class Word:
    """One word of a text, or an expression that stands for one.

    Parameters
    ----------
    text : str
        As it is compared: small letters, short forms written out.
    start, end : int
        Where in the text.
    clause : int
        Counted within its sentence.
    meaning : str
        The group it belongs to, or its base form; empty for a word that tells nothing by itself.
    denied : bool
    denies : bool
        It is itself a denial.
    """

    text: str
    start: int
    end: int
    clause: int = 0
    meaning: str = ""
    denied: bool = False
    denies: bool = field(default=False, compare=False)


@lru_cache(maxsize=20_000)
def stem(word: str) -> str:
    """Return a word without its English endings: flips, flipped and flipping are flip.

    Rough, and the same for phrases and texts.
    """
    if len(word) <= 3:
        return word
    base = word
    if base.endswith("ies") and len(base) > 4:
        base = base[:-3] + "y"
    elif base.endswith(("sses", "shes", "ches", "xes", "zes")):
        base = base[:-2]
    elif base.endswith("s") and not base.endswith(("ss", "us", "is")):
        base = base[:-1]
    for ending in ("ing", "ed", "ly"):
        rest = base[: -len(ending)]
        if base.endswith(ending) and len(rest) >= 3 and VOWELS & set(rest):
            base = rest
            if len(base) > 3 and base[-1] == base[-2] and base[-1] not in "lsz":
                base = base[:-1]
            break
    if len(base) > 3 and base.endswith("e"):
        base = base[:-1]
    return base


class Meanings:
    """Finds the meaning of words: forms, groups, and slips of the pen against a vocabulary.

    Parameters
    ----------
    said : Said
    """

    def __init__(self, said: Said) -> None:
        self.said = said
        self.forms = dict(said.irregular)
        self.empty = {self.base(word) for word in said.empty} | set(said.empty)
        self.groups: dict[tuple[str, ...], str] = {}
        for group, members in said.alike.items():
            for member in members:
                if " " not in member and member.endswith(FORMS):
                    continue  # "freezing" is cold, and "froze" is not
                words = [self.base(word.text) for word in self.plain_words(member)]
                self.groups[tuple(word for word in words if word not in ARTICLES)] = f"={group}"
        self.exact = {member: f"={group}" for group, rows in said.alike.items() for member in rows if " " not in member}
        self.first: dict[str, int] = {}
        for key in self.groups:
            self.first[key[0]] = max(len(key), self.first.get(key[0], 0))
        self.known: set[str] = (
            set(said.empty) | set(said.soft) | set(said.plain) | set(said.irregular) | set(said.irregular.values())
        )
        for rows in (said.deny, said.doubt, said.idioms, said.wishes, *said.alike.values()):
            self.known |= {part for row in rows for part in row.split()}
        self.worth: tuple[str, ...] = ()
        self._mended: dict[str, str] = {}

    def learn(self, words: set[str]) -> None:
        """Take words of the book as known: what slips of the pen are mended to."""
        self.known |= words
        worth = {part for rows in self.said.alike.values() for row in rows for part in row.split()} | words
        self.worth = tuple(sorted(w for w in worth if len(w) >= SHORTEST_SLIP and w.isalpha()))
        self.stems = {self.base(word) for word in self.known}
        self._mended.clear()

    def base(self, word: str) -> str:
        """Return the base form of a word."""
        return stem(self.forms.get(word, word))

    def plain_words(self, text: str) -> list[Word]:
        """Return the words of a text with short forms written out; marks are left out."""
        return [word for row in self.sentences(text) for word in row]

    def sentences(self, text: str) -> list[list[Word]]:
        """Return the words of each sentence, their clauses counted."""
        rows: list[list[Word]] = [[]]
        clause = 0
        for match in WORD.finditer(text):
            part = match[0]
            if not (part[0].isalnum()):
                if ENDS.search(part):
                    rows.append([])
                    clause = 0
                else:
                    clause += 1
                continue
            if len(rows[-1]) >= MOST_WORDS:
                rows.append([])
                clause = 0
            for word in self._written_out(part):
                joined = bool(rows[-1]) and rows[-1][-1].text in {"and", "or"}
                if word in BREAKS or (joined and word in STARTS):
                    clause += 1
                rows[-1].append(Word(word, match.start(), match.end(), clause))
        return [row for row in rows if row]

    def _written_out(self, part: str) -> Iterator[str]:
        word = unicodedata.normalize("NFKD", part[: 2 * LONGEST_WORD]).casefold()
        word = "".join(letter for letter in word if letter.isalnum() or letter in ".,")[:LONGEST_WORD]
        word = self.said.spelling.get(word, word)
        yield from self.said.short.get(word, word).split()

    def mended(self, word: str) -> str:
        """Return a word without its slip of the pen, where just one known word is that near."""
        if len(word) < SHORTEST_SLIP or not word.isalpha() or word in self.known or self.base(word) in self.stems:
            return word
        if word not in self._mended:
            if len(self._mended) > 5_000:
                self._mended.clear()
            self._mended[word] = self._nearest(word)
        return self._mended[word]

    def _nearest(self, word: str) -> str:
        from rapidfuzz import process  # noqa: PLC0415 - only texts with slips pay for it
        from rapidfuzz.distance import OSA  # noqa: PLC0415

        far = 2 if len(word) >= LONG_WORD else 1
        near = process.extract(word, self.worth, scorer=OSA.distance, score_cutoff=far, limit=4)
        near = [row for row in near if row[0][0] == word[0] or (len(word) > SHORTEST_SLIP and row[1] == 1)]
        return str(near[0][0]) if near else word

    def give(self, row: list[Word]) -> list[Word]:
        """Return the words of a sentence with their meanings; an expression of several words becomes one."""
        words = [word for word in row if word.text not in ARTICLES]
        bases = [self.base(self.mended(word.text)) for word in words]
        out: list[Word] = []
        at = 0
        while at < len(words):
            one = words[at]
            length, group = self._longest(bases, at)
            if length <= 1 and one.text in self.exact:
                length, group = 1, self.exact[one.text]
            if length:
                one.end = words[at + length - 1].end
                one.meaning = group
                one.denies = False
            else:
                one.meaning = "" if one.text in self.said.empty or bases[at] in self.empty else bases[at]
                length = 1
            out.append(one)
            at += length
        return out

    def _longest(self, bases: list[str], at: int) -> tuple[int, str]:
        for length in range(min(self.first.get(bases[at], 0), len(bases) - at), 0, -1):
            group = self.groups.get(tuple(bases[at : at + length]))
            if group is not None:
                return length, group
        return 0, ""
