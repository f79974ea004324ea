"""Thresholds on vibration in a flight record: what can be told at which rate, and what is strong."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

RATE_FACTOR: Final = Threshold(
    "record.vibration.rate_factor", 2.0, "", "shannon-1949",
    "A line above half the rate shows up at a false frequency: nothing is said of vibration then.",
)  # fmt: skip
JITTER: Final = Threshold(
    "record.vibration.jitter", 0.1, "", "our-choice",
    "Times that are off by more than a tenth of a step smear fast lines; the samples are laid even by straight lines, "
    "and only half of the band is read.",
)  # fmt: skip
SPAN: Final = Threshold(
    "record.vibration.span_s", 1.5, "s", "our-choice",
    "Shorter stretches hold less than two segments of one second.",
)  # fmt: skip
LENGTH: Final = Threshold(
    "record.vibration.length_s", 4.0, "s", "our-choice",
    "Eight blocks of half a second: from fewer, a mean of line power is uncertain by more than a third.",
)  # fmt: skip
MOST: Final = Threshold(
    "record.vibration.most_s", 120.0, "s", "our-choice",
    "Two minutes, spread over the phase, average more than 200 segments: more moves nothing and costs time.",
)  # fmt: skip
APART: Final = Threshold(
    "record.vibration.apart_bins", 2.5, "", "harris-1978",
    "The main lobe of a Hann window is two bins wide on each side: nearer lines of two corners run into one another.",
)  # fmt: skip
PROMINENCE: Final = Threshold(
    "record.vibration.prominence", 4.0, "", "our-choice",
    "Six decibels above its surroundings, averaged over at least eight blocks, is no accident of noise.",
)  # fmt: skip
SIBLINGS: Final = Threshold(
    "record.vibration.siblings_ratio", 2.5, "", "our-choice",
    "Corners of one aircraft are built alike: a line two and a half times that of the others is that corner's own.",
)  # fmt: skip
REV_RATE: Final = Threshold(
    "record.vibration.once_per_rev_rad_s", 0.5, "rad/s", "our-choice",
    "About 30 degrees a second of shake at rotor frequency is more than a balanced propeller gives.",
)  # fmt: skip
REV_RATE_LEAST: Final = Threshold(
    "record.vibration.once_per_rev_least_rad_s", 0.1, "rad/s", "our-choice",
    "Below about 6 degrees a second a line harms nothing, however it compares.",
)  # fmt: skip
REV_FORCE: Final = Threshold(
    "record.vibration.once_per_rev_mps2", 10.0, "m/s²", "our-choice",
    "Shake of about one g at rotor frequency is more than a balanced propeller gives.",
)  # fmt: skip
REV_FORCE_LEAST: Final = Threshold(
    "record.vibration.once_per_rev_least_mps2", 2.0, "m/s²", "our-choice",
    "Below a fifth of g a line harms nothing, however it compares.",
)  # fmt: skip
PASS_RATE: Final = Threshold(
    "record.vibration.blade_pass_rad_s", 1.0, "rad/s", "our-choice",
    "Every propeller has some blade pass; about 60 degrees a second of it is strong.",
)  # fmt: skip
PASS_FORCE: Final = Threshold(
    "record.vibration.blade_pass_mps2", 20.0, "m/s²", "our-choice",
    "Every propeller has some blade pass; two g of it is strong.",
)  # fmt: skip
FLOOR_RATE: Final = Threshold(
    "record.vibration.floor_rad_s_per_rt_hz", 0.02, "rad/s/√Hz", "our-choice",
    "Ten times what a sensor on a sound frame shows aloft; loose parts and worn bearings lift the whole band.",
)  # fmt: skip
FLOOR_FORCE: Final = Threshold(
    "record.vibration.floor_mps2_per_rt_hz", 0.5, "m/s²/√Hz", "our-choice",
    "Ten times what a sensor on a sound frame shows aloft; loose parts and worn bearings lift the whole band.",
)  # fmt: skip
FLOOR_LOW: Final = Threshold(
    "record.vibration.floor_low_hz", 40.0, "Hz", "our-choice",
    "Below this, flying and the control loop fill the band.",
)  # fmt: skip
ROTOR_LOW: Final = Threshold(
    "record.vibration.rotor_low_hz", 150.0, "Hz", "our-choice",
    "Rotors of small multirotors turn at 150 to 600 revolutions a second aloft: where lines are looked for when no "
    "rotor speed is recorded.",
)  # fmt: skip
ROTOR_HIGH: Final = Threshold(
    "record.vibration.rotor_high_hz", 600.0, "Hz", "our-choice",
    "Upper end of the same range.",
)  # fmt: skip

RULES: Final = (
    RATE_FACTOR, JITTER, SPAN, LENGTH, MOST, APART, PROMINENCE, SIBLINGS, REV_RATE, REV_RATE_LEAST, REV_FORCE,
    REV_FORCE_LEAST, PASS_RATE, PASS_FORCE, FLOOR_RATE, FLOOR_FORCE, FLOOR_LOW, ROTOR_LOW, ROTOR_HIGH,
)  # fmt: skip
