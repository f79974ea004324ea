"""Thresholds of events of place and of blows: impact, free fall, wind, launch point, return, where a record ends."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

IMPACT_FORCE: Final = Threshold(
    "record.impact.force_mps2", 60.0, "m/s²", "our-choice",
    "A rise of six times gravity within a twentieth of a second: thrust builds up slower, a firm landing stays below.",
)  # fmt: skip
IMPACT_NOISE: Final = Threshold(
    "record.impact.noise_ratio", 8.0, "", "our-choice",
    "A blow stands out of the shake before it: eight times its root mean square comes by chance in no flight.",
)  # fmt: skip
IMPACT_RATE: Final = Threshold(
    "record.impact.rate_hz", 50.0, "1/s", "our-choice",
    "A blow lasts hundredths of a second: rarer rows may step over it.",
)  # fmt: skip
IMPACT_NEAR: Final = Threshold(
    "record.impact.near_s", 1.5, "s", "our-choice",
    "Later bumps come from hands.",
)  # fmt: skip
IMPACT_APART: Final = Threshold(
    "record.impact.apart_s", 0.5, "s", "our-choice",
    "Blows closer together are one landing or one crash with its bounces.",
)  # fmt: skip
CLIPS: Final = Threshold(
    "record.impact.clip_share", 0.9999, "", "our-choice",
    "Several rows equal to the largest value that an axis ever shows: the sensor was at its end.",
)  # fmt: skip
STOP_SPEED: Final = Threshold(
    "record.impact.stop_from_mps", 5.0, "m/s", "our-choice",
    "Nobody lands faster than this on purpose.",
)  # fmt: skip
STOPPED: Final = Threshold(
    "record.impact.stopped_mps", 1.0, "m/s", "our-choice",
    "The speed of a satellite fix at rest, with some room.",
)  # fmt: skip
STOP_RATE: Final = Threshold(
    "record.impact.stop_rate_hz", 0.9, "1/s", "our-choice",
    "With rows further apart than a second, a braking aircraft looks like one that hit something.",
)  # fmt: skip
FREE_FORCE: Final = Threshold(
    "record.fall.free_mps2", 3.4, "m/s²", "our-choice",
    "A third of gravity: neither thrust nor much air carries it.",
)  # fmt: skip
FREE_LEAST: Final = Threshold(
    "record.fall.free_s", 0.3, "s", "our-choice",
    "Shorter is a bump: in 0.3 s from rest it falls 0.44 m.",
)  # fmt: skip
WIND_CHANGE: Final = Threshold(
    "record.wind.change_mps2", 1.5, "m/s²", "our-choice",
    "While it speeds up or turns hard, its speed through the air is not the one it holds.",
)  # fmt: skip
WIND_SPEED: Final = Threshold(
    "record.wind.ground_speed_mps", 3.0, "m/s", "our-choice",
    "Slower, the course of a satellite fix is noise.",
)  # fmt: skip
WIND_COURSES: Final = Threshold(
    "record.wind.courses_rad", 2.0, "rad", "our-choice",
    "Courses must differ by 115 degrees or more: with less, wind and airspeed cannot be told apart.",
)  # fmt: skip
WIND_WIDTH: Final = Threshold(
    "record.wind.width_mps", 2.5, "m/s", "our-choice",
    "A wind known no better helps nobody to plan.",
)  # fmt: skip
WIND_HOLDS: Final = Threshold(
    "record.wind.holds_share", 0.15, "", "our-choice",
    "Thumbs and boards hold a speed through the air no better than this from one course to the other.",
)  # fmt: skip
WIND_LEAN: Final = Threshold(
    "record.wind.lean_rad", 0.026, "rad", "our-choice",
    "A level that is off by a degree and a half feigns a wind.",
)  # fmt: skip
WIND_TIME: Final = Threshold(
    "record.wind.together_s", 5.0, "s", "our-choice",
    "Gusts and a pilot's thumbs hold on for some seconds: rows closer together tell nothing new.",
)  # fmt: skip
WIND_PRIOR: Final = Threshold(
    "record.wind.likely_mps", 6.0, "m/s", "our-choice",
    "Small aircraft seldom fly in more than twice this wind; it only steadies a direction that nothing tells.",
)  # fmt: skip
WIND_LEAST: Final = Threshold(
    "record.wind.least_mps", 1.0, "m/s", "our-choice",
    "Less is still air to a pilot.",
)  # fmt: skip
LAUNCH_OFF: Final = Threshold(
    "record.launch.off_m", 10.0, "m", "our-choice",
    "A good fix is right within a few metres; an automatic return that lands ten metres off may land on somebody.",
)  # fmt: skip
LAUNCH_UNCERTAIN: Final = Threshold(
    "record.launch.uncertain_ratio", 3.0, "", "our-choice",
    "A launch point off by less than three times the uncertainty of the fix may be the fix alone.",
)  # fmt: skip
LAUNCH_FAR: Final = Threshold(
    "record.launch.far_m", 25.0, "m", "our-choice",
    "Nearer, a bearing to the launch point turns with every metre of error.",
)  # fmt: skip
LAUNCH_TIME: Final = Threshold(
    "record.launch.least_s", 5.0, "s", "our-choice",
    "A distance that is off for a moment is a late value.",
)  # fmt: skip
RETURN_ANGLE: Final = Threshold(
    "record.return.off_rad", 0.52, "rad", "our-choice",
    "Thirty degrees: wind and a wide turn stay below, a compass that is wrong does not.",
)  # fmt: skip
RETURN_TIME: Final = Threshold(
    "record.return.least_s", 4.0, "s", "our-choice",
    "It may first turn round or stop.",
)  # fmt: skip
RETURN_SPEED: Final = Threshold(
    "record.return.speed_mps", 2.0, "m/s", "our-choice",
    "Slower, its course says nothing.",
)  # fmt: skip
RETURN_NEAR: Final = Threshold(
    "record.return.near_m", 15.0, "m", "our-choice",
    "This near to the launch point it circles or sets down.",
)  # fmt: skip
ENDS_ALOFT: Final = Threshold(
    "record.end.aloft", 1.0, "", "our-choice",
    "The last row is in the air: what came after is not in this record.",
)  # fmt: skip
LAST_VALUE: Final = Threshold(
    "record.end.last_value_s", 5.0, "s", "our-choice",
    "An older value is not where it was at the end.",
)  # fmt: skip
JUMP: Final = Threshold(
    "record.position.jump_m", 15.0, "m", "our-choice",
    "More than a fix wanders from one row to the next, beyond what its speed explains.",
)  # fmt: skip
JUMP_SPEED: Final = Threshold(
    "record.position.fastest_mps", 70.0, "m/s", "our-choice",
    "Without a channel of speed: faster than any of these aircraft flies.",
)  # fmt: skip
UNCERTAIN: Final = Threshold(
    "record.position.uncertain_m", 20.0, "m", "our-choice",
    "With a fix no better, an automatic return may not find the field.",
)  # fmt: skip
UNCERTAIN_TIME: Final = Threshold(
    "record.position.uncertain_s", 1.0, "s", "our-choice",
    "A single bad fix is smoothed away.",
)  # fmt: skip

RULES: Final = (
    IMPACT_FORCE, IMPACT_NOISE, IMPACT_RATE, IMPACT_NEAR, IMPACT_APART, CLIPS, STOP_SPEED, STOPPED, STOP_RATE,
    FREE_FORCE, FREE_LEAST, WIND_CHANGE, WIND_SPEED, WIND_COURSES, WIND_WIDTH, WIND_HOLDS, WIND_LEAN, WIND_TIME,
    WIND_PRIOR, WIND_LEAST, LAUNCH_OFF, LAUNCH_UNCERTAIN, LAUNCH_FAR, LAUNCH_TIME, RETURN_ANGLE, RETURN_TIME,
    RETURN_SPEED, RETURN_NEAR, ENDS_ALOFT, LAST_VALUE, JUMP, JUMP_SPEED, UNCERTAIN, UNCERTAIN_TIME,
)  # fmt: skip
