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
    "hearing.least_score", 0.7, "", "our-choice",
    "Set on the tuning sentences: below this, what was heard was wrong more often than it was right.",
    "none",
)  # fmt: skip
LEAST_BAG: Final = Rule(
    "hearing.least_bag", 0.55, "", "our-choice",
    "Where no phrase is met, half of what a clause tells must be words that one sign's phrases use.",
    "none",
)  # fmt: skip
SURE_LEAST: Final = Rule(
    "hearing.sure_least", 0.6, "", "our-choice",
    "Of matches near the least score 6 in 10 were right on the tuning sentences, by phrases not made for them.",
    "none",
)  # fmt: skip
SURE_MOST: Final = Rule(
    "hearing.sure_most", 0.9, "", "our-choice",
    "Of matches at and above the full score 9 in 10 were right on the tuning sentences, by phrases not made for them.",
    "none",
)  # fmt: skip
FULL_SCORE: Final = Rule(
    "hearing.full_score", 0.9, "", "our-choice",
    "From here on a higher score was no longer right more often.",
    "none",
)  # fmt: skip
DOUBT: Final = Rule(
    "hearing.doubt", 0.5, "", "our-choice",
    "Where a pilot says that he is not sure, half of what lifts his word above a coin toss is left.",
    "none",
)  # fmt: skip
TOLD_BEFORE: Final = Rule(
    "hearing.told_before", 0.1, "", "our-choice",
    "Before anything is heard, few of the book's signs are told in a text: what is right 6 times in 10 of so rare"
    " things is strong evidence. On the tuning sentences one sign in two hundred is told; this is kept well above it.",
    "none",
)  # fmt: skip

RULES: Final = (MOST_LETTERS, LEAST_SCORE, LEAST_BAG, SURE_LEAST, SURE_MOST, FULL_SCORE, DOUBT, TOLD_BEFORE)
