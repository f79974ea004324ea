"""Thresholds on which way a channel counts and which corner a numbered output is."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

SURE: Final = Threshold(
    "record.sense.sure", 0.95, "", "our-choice",
    "Below this chance nothing is turned round and nothing is judged by the direction: it is asked.",
)  # fmt: skip
FAST_HZ: Final = Threshold(
    "record.sense.fast_hz", 50.0, "Hz", "our-choice",
    "Turning of an aircraft under control is slower than this; a faster grid costs time and tells no more.",
)  # fmt: skip
SLOW_HZ: Final = Threshold(
    "record.sense.slow_hz", 5.0, "Hz", "our-choice",
    "Positions and speeds come ten times a second at most, and a track bends in seconds.",
)  # fmt: skip
FAST_WINDOW_S: Final = Threshold(
    "record.sense.fast_window_s", 1.6, "s", "our-choice",
    "Long enough for one movement of a stick, short enough that a flight holds many; each window votes once.",
)  # fmt: skip
SLOW_WINDOW_S: Final = Threshold(
    "record.sense.slow_window_s", 8.0, "s", "our-choice",
    "A bend or a change of speed takes a few seconds.",
)  # fmt: skip
ALIKE: Final = Threshold(
    "record.sense.alike", 0.7, "", "our-choice",
    "A window votes where both channels move together or against each other at least this closely (correlation).",
)  # fmt: skip
AGREE: Final = Threshold(
    "record.sense.agree", 0.85, "", "our-choice",
    "Votes that do not agree to this share tell nothing, whichever way most of them go.",
)  # fmt: skip
GAIN_LEAST: Final = Threshold(
    "record.sense.gain_least", 0.4, "", "our-choice",
    "A rate follows its demand about one to one; what moves less does so on the ground, or for another reason.",
)  # fmt: skip
GAIN_MOST: Final = Threshold(
    "record.sense.gain_most", 2.5, "", "our-choice",
    "A rate follows its demand about one to one; what moves far more is out of control.",
)  # fmt: skip
MOST_CHANCE_NATS: Final = Threshold(
    "record.sense.most_nats", 9.0, "", "our-choice",
    "No single relation may count for more than odds of 8000 to 1, however often it is seen.",
)  # fmt: skip
GRAVITY_LEAST: Final = Threshold(
    "record.sense.gravity_least", 0.6, "", "our-choice",
    "In the median an accelerometer carries about one gravity along the axis that points up or down.",
)  # fmt: skip
GRAVITY_MOST: Final = Threshold(
    "record.sense.gravity_most", 2.0, "", "our-choice",
    "In the median an accelerometer carries about one gravity along the axis that points up or down.",
)  # fmt: skip
PUSH_LEAST: Final = Threshold(
    "record.sense.push_least", 0.3, "", "our-choice",
    "Level, a tilt pushes with g times its tangent; drag and a late fix take a part of that away, not most of it.",
)  # fmt: skip
PUSH_MOST: Final = Threshold(
    "record.sense.push_most", 2.5, "", "our-choice",
    "Level, a tilt pushes with g times its tangent; what moves far more is pushed by something else.",
)  # fmt: skip
SUM_HZ: Final = Threshold(
    "record.sense.sum_hz", 40.0, "Hz", "our-choice",
    "A turn takes some tenths of a second; rates kept more seldom do not add up to the angle that was turned.",
)  # fmt: skip
CORNER_WINDOW_S: Final = Threshold(
    "record.corner.window_s", 1.0, "s", "our-choice",
    "Longer than what a loop remembers, so windows count as independent of each other.",
)  # fmt: skip
CORNER_MOST_T: Final = Threshold(
    "record.corner.most_t", 4.5, "", "our-choice",
    "Beyond this many standard errors other reasons for a wrong sign are likelier than chance.",
)  # fmt: skip
CORNER_WINDOWS: Final = Threshold(
    "record.corner.windows", 6.0, "", "our-choice",
    "From fewer windows their scatter cannot be told.",
)  # fmt: skip
CORNER_TURN_S: Final = Threshold(
    "record.corner.turn_s", 1.0, "s", "our-choice",
    "Holds one turn and its stop; longer windows would be few, shorter ones mostly hold what shakes.",
)  # fmt: skip
CORNER_LAG_S: Final = Threshold(
    "record.corner.lag_s", 0.04, "s", "common-practice",
    "A motor takes 20 to 60 ms to reach another speed; outputs are held against movements this much later.",
)  # fmt: skip
CORNER_LEAST_HZ: Final = Threshold(
    "record.corner.least_hz", 20.0, "Hz", "our-choice",
    "A turn starts and stops within a tenth of a second; rows further apart miss the outputs that made it.",
)  # fmt: skip
CORNER_SHAKE_HZ: Final = Threshold(
    "record.corner.shake_hz", 240.0, "Hz", "our-choice",
    "Rotors shake the sensor 100 to 450 times a second; rates kept more seldom than this show shaking as movement.",
)  # fmt: skip
CORNER_SPARE: Final = Threshold(
    "record.corner.spare", 1.75, "", "our-choice",
    "Standard errors taken off the lead of the likeliest way: gusts and slow loops move both sides of the comparison.",
)  # fmt: skip

RULES: Final = (
    SURE, FAST_HZ, SLOW_HZ, FAST_WINDOW_S, SLOW_WINDOW_S, ALIKE, AGREE, GAIN_LEAST, GAIN_MOST, MOST_CHANCE_NATS,
    GRAVITY_LEAST, GRAVITY_MOST, PUSH_LEAST, PUSH_MOST, SUM_HZ,
    CORNER_WINDOW_S, CORNER_MOST_T, CORNER_WINDOWS,
    CORNER_TURN_S, CORNER_LAG_S, CORNER_LEAST_HZ, CORNER_SHAKE_HZ, CORNER_SPARE,
)  # fmt: skip
