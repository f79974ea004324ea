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
FIX_SD: Final = Threshold(
    "record.debrief.fix_sd_m", 3.0, "m", "our-choice",
    "A satellite fix in the open is this good; beside walls and under trees it is worse.",
)  # fmt: skip
LAST_WITHIN: Final = Threshold(
    "record.debrief.last_within_s", 2.0, "s", "our-choice",
    "A place this fresh is where it ended.",
)  # fmt: skip
TOLD_DISTANCE_SHARE: Final = Threshold(
    "record.debrief.told_distance_share", 0.2, "", "our-choice",
    "A distance that somebody remembers is off by a fifth easily.",
)  # fmt: skip
TOLD_BEARING_SD: Final = Threshold(
    "record.debrief.told_bearing_sd_deg", 15.0, "°", "our-choice",
    "Who says north-east means one of eight directions, and knows north only roughly.",
)  # fmt: skip
TOLD_HEIGHT_SHARE: Final = Threshold(
    "record.debrief.told_height_share", 0.3, "", "our-choice",
    "Heights are remembered worse than distances.",
)  # fmt: skip
TOLD_HIGHEST: Final = Threshold(
    "record.debrief.told_highest_m", 120.0, "m", "our-choice",
    "Where no height is known, any up to this; higher is seldom lawful for hobby flying.",
)  # fmt: skip
STOPS_AFTER: Final = Threshold(
    "record.debrief.stops_after_s", 1.5, "s", "our-choice",
    "From the last row to motors off: a fifth of a second to this; the board waits before it acts.",
)  # fmt: skip
HELD_FOR: Final = Threshold(
    "record.debrief.held_for_s", 1.0, "s", "our-choice",
    "A place that stands still to the last digit for this long, in the air, is held: nothing new came.",
)  # fmt: skip
HELD_STOPS_AFTER: Final = Threshold(
    "record.debrief.held_stops_after_s", 5.0, "s", "our-choice",
    "Where only the way back fell silent, commands may have reached it for some seconds more before motors off.",
)  # fmt: skip
FLIES_LONGEST: Final = Threshold(
    "record.debrief.flies_longest_s", 90.0, "s", "our-choice",
    "How long it may have flown on where nothing stopped it; beyond that the area says little.",
)  # fmt: skip
VEERS_SD: Final = Threshold(
    "record.debrief.veers_sd_deg_s", 6.0, "°/s", "our-choice",
    "Nobody flies dead straight with sticks that are held: so fast its course turns.",
)  # fmt: skip
TERMINAL_LOW: Final = Threshold(
    "record.debrief.terminal_low_mps", 14.0, "m/s", "our-choice",
    "A light aircraft with ducts that tumbles; where no plan tells mass and drag.",
)  # fmt: skip
TERMINAL_HIGH: Final = Threshold(
    "record.debrief.terminal_high_mps", 36.0, "m/s", "our-choice",
    "A heavy aircraft that falls edge on; where no plan tells mass and drag.",
)  # fmt: skip
WIND_NOT_TOLD: Final = Threshold(
    "record.debrief.wind_not_told_mps", 4.0, "m/s", "our-choice",
    "Where no wind is known, any direction and about this much at flying height.",
)  # fmt: skip
WIND_SHARE: Final = Threshold(
    "record.debrief.wind_share", 0.3, "", "our-choice",
    "A wind that was told or read off a record varies by this share from gust to gust.",
)  # fmt: skip
DESCENDS: Final = Threshold(
    "record.debrief.descends_mps", 2.0, "m/s", "our-choice",
    "How fast boards let down where they are; half to twice this.",
)  # fmt: skip
RETURN_SPEED: Final = Threshold(
    "record.debrief.return_mps", 8.0, "m/s", "our-choice",
    "How fast boards fly home by themselves; half to twice this.",
)  # fmt: skip
NOT_KNOWN_FALLS: Final = Threshold(
    "record.debrief.not_known_falls_share", 0.6, "", "our-choice",
    "Where nobody knows what it does without its pilot, most fall; the others fly on, come down slowly, or return.",
)  # fmt: skip
FAST_HZ: Final = Threshold(
    "record.debrief.fast_hz", 100.0, "1/s", "our-choice",
    "Motion that comes this often was written by a flight board; radios and trackers tell it a few times a second.",
)  # fmt: skip
TOLD_APART: Final = Threshold(
    "record.debrief.told_apart_decibans", 10.0, "", "our-choice",
    "Ten to one by words or a check parts two causes that a record cannot.",
)  # fmt: skip
ALIKE_MOST: Final = Threshold(
    "record.debrief.alike_most", 0.7, "", "our-choice",
    "Of flown cases whose likeliest cause has look-alikes and was given more than this, it was true in two of three, "
    "whatever the chance said: what tells such causes apart in one generator does not in the other.",
)  # fmt: skip
RULES: Final = (
    FAST_HZ, TOLD_APART, ALIKE_MOST, FLIES_ON, FALL_TELLS, FIX_SD, LAST_WITHIN, TOLD_DISTANCE_SHARE, TOLD_BEARING_SD,
    TOLD_HEIGHT_SHARE, TOLD_HIGHEST,
    STOPS_AFTER, HELD_FOR, HELD_STOPS_AFTER, FLIES_LONGEST, VEERS_SD, TERMINAL_LOW, TERMINAL_HIGH, WIND_NOT_TOLD,
    WIND_SHARE, DESCENDS, RETURN_SPEED, NOT_KNOWN_FALLS,
)  # fmt: skip
