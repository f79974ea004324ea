"""Thresholds of a step between the halves' outputs in mid-flight."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

SHORT_STEP: Final = Threshold(
    "record.signs.short_step_share", 0.19, "", "our-choice",
    "Of the mean output, within a second or two: a sway or a gust stays below, a pack that slides by a sixth of an arm "
    "gives more.",
)  # fmt: skip
STEP_MOST: Final = Threshold(
    "record.signs.step_most_share", 0.55, "", "our-choice",
    "Of the mean output: what drives the outputs further apart is a rotor that fails or a blow, no weight on a strap.",
)  # fmt: skip

RULES: Final = (SHORT_STEP, STEP_MOST)
