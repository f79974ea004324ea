"""Thresholds of what a record teaches of pack, aircraft and site, and of what it is held against."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

RECORDED_LEAST: Final = Threshold(
    "record.learn.recorded_least", 4.0, "", "our-choice",
    "Fewer stations than these in the air are a take-off and a landing: nothing to hold a model against.",
)  # fmt: skip
SENSOR_SHARE: Final = Threshold(
    "record.learn.sensor_share", 0.1, "", "our-choice",
    "Nine current sensors in ten that nobody calibrated read within a tenth: +10 % moves capacity by +9 %.",
)  # fmt: skip
RESISTANCE_CLAIM: Final = Threshold(
    "record.learn.resistance_claim", 0.15, "", "our-choice",
    "Half width of what least squares may claim on real records, however well it fits: sensors, lags, uneven cells.",
)  # fmt: skip
FULL_V: Final = Threshold(
    "record.learn.full_v", 0.05, "V", "our-choice",
    "A charged cell rests at most this far below its full volts; further below, nobody knows how full it was.",
)  # fmt: skip
REST_LOAD: Final = Threshold(
    "record.learn.rest_load", 0.12, "", "our-choice",
    "Board and radios alone: below this share of the flight's mean current the pack counts as resting.",
)  # fmt: skip
REST_START_S: Final = Threshold(
    "record.learn.rest_start_s", 2.0, "s", "our-choice",
    "A pack that was plugged in and not yet flown rests; some readings of it are enough.",
)  # fmt: skip
REST_END_S: Final = Threshold(
    "record.learn.rest_end_s", 20.0, "s", "our-choice",
    "After a flight a pack's volts rise for a minute; after twenty seconds what is left is known to some hundredths.",
)  # fmt: skip
DRAINED_LEAST: Final = Threshold(
    "record.learn.drained_least", 0.3, "", "our-choice",
    "Of a pack that gave less than a third, rest volts hardly tell how much that was.",
)  # fmt: skip
HOVER_MPS: Final = Threshold(
    "record.learn.hover_mps", 3.0, "m/s", "our-choice",
    "Slower than this over ground, and not climbing, it hovers.",
)  # fmt: skip
CRUISE_SHARE: Final = Threshold(
    "record.learn.cruise_share", 0.3, "", "our-choice",
    "Steady flight within this share of the plan's cruise speed tells what cruise takes.",
)  # fmt: skip
LEVEL_MPS: Final = Threshold(
    "record.learn.level_mps", 1.0, "m/s", "our-choice",
    "Climbing or sinking faster than this, power goes into height.",
)  # fmt: skip
STEADY_MPS2: Final = Threshold(
    "record.learn.steady_mps2", 1.5, "m/s²", "our-choice",
    "Speeding up or turning harder than this, power goes into that.",
)  # fmt: skip
SEGMENT_S: Final = Threshold(
    "record.learn.segment_s", 8.0, "s", "our-choice",
    "So much steady flight in all outlasts single gusts and corrections.",
)  # fmt: skip
FAST_SHARE: Final = Threshold(
    "record.learn.fast_share", 0.9, "", "our-choice",
    "From about cruise speed on the body's drag is a part of the power that stands out of its error.",
)  # fmt: skip
MODEL_SHARE: Final = Threshold(
    "record.learn.model_share", 0.06, "", "our-choice",
    "How far a ratio of two powers of one aircraft strays from momentum theory: 90 % half width.",
)  # fmt: skip
POSSIBLE_RATIO: Final = Threshold(
    "record.learn.possible_ratio", 4.0, "", "our-choice",
    "A number this many times above or below what the plan holds possible comes from a wrong channel or unit.",
)  # fmt: skip
LINK_PATTERN: Final = Threshold(
    "record.learn.link_pattern_db", 1.0, "dB", "our-choice",
    "A flight sees its antennas from steep to flat; what their patterns are off is taken for loss: 90 % half width.",
)  # fmt: skip
LINK_SLOPE: Final = Threshold(
    "record.learn.link_slope", 0.3, "", "our-choice",
    "What is near and what is far of one site differs by chance, which looks like a slope: 90 % half width.",
)  # fmt: skip
LINK_FLAT: Final = Threshold(
    "record.learn.link_flat", 2.0, "", "our-choice",
    "Nearer than so many times its height the antennas look at each other's nulls: that tells nothing of distance.",
)  # fmt: skip
SAME_GROUND: Final = Threshold(
    "record.learn.same_ground", 0.9, "", "our-choice",
    "Share of the error of a link's loss that comes back in the next flight over the same ground.",
)  # fmt: skip
LINK_POORER: Final = Threshold(
    "record.learn.link_poorer", 2.0, "", "our-choice",
    "A flight whose loss is known with twice the variance of another's, or more, adds nothing to it.",
)  # fmt: skip
RULES: Final = (
    RECORDED_LEAST, SENSOR_SHARE, RESISTANCE_CLAIM, FULL_V, REST_LOAD, REST_START_S, REST_END_S, DRAINED_LEAST,
    HOVER_MPS, CRUISE_SHARE, LEVEL_MPS, STEADY_MPS2, SEGMENT_S, FAST_SHARE, MODEL_SHARE, POSSIBLE_RATIO,
    LINK_FLAT, LINK_PATTERN, LINK_SLOPE, SAME_GROUND, LINK_POORER,
)  # fmt: skip
