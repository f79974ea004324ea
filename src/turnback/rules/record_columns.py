"""Thresholds of understanding the columns of a record."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

TAKE: Final = Threshold(
    "record.columns.take", 0.985, "", "our-choice",
    "A column is taken without asking only where all other ways to read it have less than 15 chances in 1000 together; "
    "a column read wrongly in silence spoils every sentence that rests on it.",
)  # fmt: skip
TAKE_STRANGE: Final = Threshold(
    "record.columns.take_strange", 0.998, "", "our-choice",
    "A word that is only guessed or not known may say which end, which axis or which radio, so a name with one in it "
    "must leave less than 2 chances in 1000 to anything else.",
)  # fmt: skip
ASK: Final = Threshold(
    "record.columns.ask", 0.003, "", "our-choice",
    "Where the chance that it is a channel at all is smaller, asking costs more of the user's time than it gives.",
)  # fmt: skip
TWICE: Final = Threshold(
    "record.columns.twice", 0.9, "", "our-choice",
    "Two columns of one channel that correlate so well, with spans alike, are one measurement written twice.",
)  # fmt: skip
APART: Final = Threshold(
    "record.columns.apart", 5.0, "", "our-choice",
    "Where no unit is written, a column is taken only if every other unit of that channel is at least 150 times (e to "
    "the fifth) worse by ranges, relations to other columns and sizes that can be; how usual a unit is counts 20 times "
    "at most.",
)  # fmt: skip

RULES: Final[tuple[Threshold, ...]] = tuple(value for value in dict(globals()).values() if isinstance(value, Threshold))
