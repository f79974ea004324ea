"""What words faintly point to, where no known way of saying a thing was heard: weak evidence, for what to ask next.

A phrase of the book of which a sentence has less than is needed to hear it still makes its sign likelier. Of each
sentence the few signs that most of its yet unexplained words point to count, as weakly as a rule says, and share
their error.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from turnback.assess.hearing import ready
from turnback.assess.hearing_denied import deny, not_told
from turnback.assess.hearing_phrases import Phrases
from turnback.assess.hearing_words import Word
from turnback.knowledge.book import Book
from turnback.records.debrief import RecordSign
from turnback.records.heard import Heard
from turnback.rules.told import FAINT_COVER, FAINT_MOST, FAINT_SURE, FAINT_WEIGHT


def faint_signs(text: str, book: Book, heard: Sequence[Heard]) -> tuple[RecordSign, ...]:
    """Return the signs that words point to without telling them; none that was heard, and each once.

    Parameters
    ----------
    text : str
        Of bounded length.
    book : Book
    heard : sequence of Heard
        Of the same text: words of theirs point to nothing else.
    """
    phrases = ready(book)
    known = {one.sign for one in heard}
    spans = [(one.start, one.end) for one in heard]
    found: dict[str, RecordSign] = {}
    for number, row in enumerate(phrases.meanings.sentences(text)):
        asked = text[row[-1].end :].lstrip()[:1] == "?"
        if not_told(row, phrases.meanings, asked):
            continue
        deny(row, phrases.meanings)
        said = [word for word in phrases.meanings.give(row) if word.meaning and not word.denies]
        left = [word for word in said if not any(start <= word.start < end for start, end in spans)]
        for sign in _pointed_at(left, phrases)[: int(FAINT_MOST.value)]:
            if sign not in known and sign not in found:
                found[sign] = RecordSign(sign, True, FAINT_SURE.value, f"faint words {number + 1}")
    return tuple(found.values())


def _pointed_at(words: Sequence[Word], phrases: Phrases) -> list[str]:
    """Return the signs with the best phrases that some of the words are in, best first."""
    here = sorted({word.meaning for word in words if not word.denied and word.meaning in phrases.postings})
    if not here:
        return []
    which = np.concatenate([phrases.postings[meaning] for meaning in here])
    share = np.concatenate([phrases.share[meaning] for meaning in here])
    covered = np.bincount(which, share, len(phrases.rows))
    totals = np.array([row.total for row in phrases.rows])
    weight = covered * totals
    best: dict[str, float] = {}
    for at in np.flatnonzero((covered >= FAINT_COVER.value) & (weight >= FAINT_WEIGHT.value * phrases.rarest)):
        row = phrases.rows[int(at)]
        if row.there and not row.denied:
            best[row.sign] = max(best.get(row.sign, 0.0), float(weight[at] * covered[at]))
    return sorted(best, key=lambda sign: (-best[sign], sign))
