"""Thresholds that tell an aircraft whose own thrust pulls it over as it lifts from one that turns the wrong way."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

PULL_LEAVES: Final = Threshold(
    "record.signs.pull_leaves_share", 0.42, "", "our-choice",
    "Of roll's and pitch's acceleration at lift: a weight off the middle or a weak corner, which the outputs hold "
    "against, leaves a fifth unexplained, where it scrapes the ground two; a corner that pushes down leaves half.",
)  # fmt: skip
PULL_GAINS: Final = Threshold(
    "record.signs.pull_gains_share", 0.15, "", "our-choice",
    "What turns the wrong way needs no pull to explain it: less than a tenth.",
)  # fmt: skip
PULL: Final = Threshold(
    "record.signs.pull_ratio", 0.2, "", "our-choice",
    "All outputs together turn it by a fifth of what their difference would: a tenth of an arm is as much, and less is "
    "held level by the board.",
)  # fmt: skip
TOWARD_CORNER: Final = Threshold(
    "record.signs.toward_corner_rad", 0.09, "rad", "our-choice",
    "Five degrees off the line through two corners: a weak corner pulls along it within three.",
)  # fmt: skip

RULES: Final = (PULL_LEAVES, PULL_GAINS, PULL, TOWARD_CORNER)
