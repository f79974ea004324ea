"""Rules on chances: what a go needs, and what a go with limits needs."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

GO_CHANCE: Final = Rule(
    "chance.go", 0.99, "", "our-choice",
    "One flight in a hundred not coming home is the most a careful instructor would sign for a beginner.",
    "none",
)  # fmt: skip
LIMIT_CHANCE: Final = Rule(
    "chance.limit", 0.95, "", "our-choice",
    "Between one in twenty and one in a hundred a flight may go with limits said; above one in twenty it may not.",
    "shorten",
)  # fmt: skip
BAND_LOW: Final = Rule(
    "chance.band_low", 0.05, "", "our-choice",
    "The unfavourable end of what is not known: nineteen of twenty worlds that fit the plan are kinder.",
    "none",
)  # fmt: skip
BAND_HIGH: Final = Rule(
    "chance.band_high", 0.95, "", "our-choice",
    "The favourable end of what is not known.",
    "none",
)  # fmt: skip
LANDING_CHANCE: Final = Rule(
    "energy.landing_chance", 0.99, "", "our-choice",
    "Landing above the land-by volts over the whole route and return.",
    "shorten_or_charge",
)  # fmt: skip
CONTROL_CHANCE: Final = Rule(
    "link.control_chance", 0.99, "", "our-choice",
    "The control link must hold over the whole route and return.",
    "shorten_or_climb",
)  # fmt: skip
VIDEO_CHANCE: Final = Rule(
    "link.video_chance", 0.99, "", "our-choice",
    "Without the picture a pilot in goggles flies blind; losing it must be as rare as losing control.",
    "shorten_or_climb",
)  # fmt: skip

RULES: Final = (GO_CHANCE, LIMIT_CHANCE, BAND_LOW, BAND_HIGH, LANDING_CHANCE, CONTROL_CHANCE, VIDEO_CHANCE)
