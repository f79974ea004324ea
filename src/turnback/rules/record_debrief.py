"""Thresholds of a debrief: until when something can be a cause, and where a lost aircraft is looked for."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

FLIES_ON: Final = Threshold(
    "record.debrief.flies_on_s", 3.0, "s", "our-choice",
    "Who flies on this long after a blow or a fall has not ended there.",
)  # fmt: skip
FALL_TELLS: Final = Threshold(
    "record.debrief.fall_tells_s", 1.0, "s", "our-choice",
    "What begins a fall shows in its first second; later everything spins and says nothing of the cause.",
)  # fmt: skip
RULES: Final = (FLIES_ON, FALL_TELLS)
