"""Rules on hearing a pilot's words: how near a known phrase they must come, and how surely they are then right."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

MOST_LETTERS: Final = Rule(
    "hearing.most_letters", 20_000, "", "our-choice",
    "Ten pages are more than anybody tells of one flight; longer texts are files pasted by mistake.",
    "none",
)  # fmt: skip
LEAST_SCORE: Final = Rule(
    "hearing.least_score", 0.66, "", "our-choice",
    "Set on the tuning sentences: below this, what was heard was wrong more often than it was right.",
    "none",
)  # fmt: skip
SURE_LEAST: Final = Rule(
    "hearing.sure_least", 0.75, "", "our-choice",
    "Share of matches near the least score that were right on the tuning sentences, rounded down.",
    "none",
)  # fmt: skip
SURE_MOST: Final = Rule(
    "hearing.sure_most", 0.95, "", "our-choice",
    "Share of the best matches that were right on the tuning sentences, rounded down; words are never hard evidence.",
    "none",
)  # fmt: skip
DOUBT: Final = Rule(
    "hearing.doubt", 0.5, "", "our-choice",
    "Where a pilot says that he is not sure, half of what lifts his word above a coin toss is left.",
    "none",
)  # fmt: skip

RULES: Final = (MOST_LETTERS, LEAST_SCORE, SURE_LEAST, SURE_MOST, DOUBT)
