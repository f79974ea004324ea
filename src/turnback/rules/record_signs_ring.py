"""Thresholds of outputs that ring at one pitch of their own."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

RINGS: Final = Threshold(
    "record.signs.rings_share", 0.022, "", "our-choice",
    "Root mean square of an output in seven hertz about its peak: of sound flights it is below a hundredth.",
)  # fmt: skip
RINGS_ABOVE: Final = Threshold(
    "record.signs.rings_above", 6.0, "", "our-choice",
    "Amplitude over that of slower frequencies: wind and a pilot ask more of slow ones, and no sound loop lifts one.",
)  # fmt: skip
RINGS_ALONE: Final = Threshold(
    "record.signs.rings_alone_share", 0.5, "", "our-choice",
    "Half of all that an output does fast, in squares, lies in seven hertz: noise spreads over fifty.",
)  # fmt: skip

RULES: Final = (RINGS, RINGS_ABOVE, RINGS_ALONE)
