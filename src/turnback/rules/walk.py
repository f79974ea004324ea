"""Rules on a range walk: what it must have, and what it points to."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Rule

FEW_READINGS: Final = Rule(
    "walk.few_readings", 8, "", "our-choice",
    "Fewer readings than this above the floor hardly move what was thought before the walk.",
    "walk_more",
)  # fmt: skip
DISTANCE_RATIO: Final = Rule(
    "walk.distance_ratio", 3.0, "", "our-choice",
    "Readings at nearly one distance cannot tell a weak transmitter from a level that falls too fast.",
    "walk_farther",
)  # fmt: skip
CENSORED: Final = Rule(
    "walk.censored", 0.5, "", "our-choice",
    "Where most readings stood at the receiver's floor, the walk says how much is lost at least, and hardly how much.",
    "walk_nearer",
)  # fmt: skip
POWER_LOW: Final = Rule(
    "walk.power_low", 3.0, "dB", "our-choice",
    "Half the power missing at every distance is more than antennas and hands explain: a setting, a cable, an antenna.",
    "inspect_power_and_antenna",
)  # fmt: skip
FALLS_FAST: Final = Rule(
    "walk.falls_fast", 0.5, "", "our-choice",
    "Five decibels more lost in every tenfold of distance: something stands in the way that the ground's grid lacks.",
    "look_for_what_stands_between",
)  # fmt: skip
SAID: Final = Rule(
    "walk.said", 0.8, "", "our-choice",
    "A cause is named when the walk makes it four times as likely as not.",
    "none",
)  # fmt: skip

SPREAD_MOST: Final = Rule(
    "walk.spread_most", 2.0, "", "our-choice",
    "More than twice the model's spread is a walk that went wrong, not a place: wide enough, it makes a broken link "
    "look better.",
    "none",
)  # fmt: skip

RULES: Final = (FEW_READINGS, DISTANCE_RATIO, CENSORED, POWER_LOW, FALLS_FAST, SAID, SPREAD_MOST)
