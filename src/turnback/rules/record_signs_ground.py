"""Thresholds of what the corner outputs show of a board on the ground, before the run-up."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

GROUND_HALVES: Final = Threshold(
    "record.signs.ground_halves_share", 0.065, "", "our-choice",
    "Between halves, of full output: a level eight degrees off gives five hundredths at most, a board on its head more "
    "than eight.",
)  # fmt: skip
GROUND_STICK: Final = Threshold(
    "record.signs.ground_stick", 0.06, "", "our-choice",
    "A stick this far out asks for a lean itself; sticks that are let go lie within half of that.",
)  # fmt: skip

RULES: Final = (GROUND_HALVES, GROUND_STICK)
