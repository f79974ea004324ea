"""Thresholds on corner outputs and rotor speeds of a flight record."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

CEILING: Final = Threshold(
    "record.outputs.ceiling", 0.985, "", "our-choice",
    "Within one and a half percent of full output nothing is left to give; scales and rounding take that much.",
)  # fmt: skip
CEILING_HELD: Final = Threshold(
    "record.outputs.ceiling_held_s", 0.05, "s", "our-choice",
    "A record whose highest output is lower but stands still there this long has its ceiling there.",
)  # fmt: skip
CEILING_LEAST: Final = Threshold(
    "record.outputs.ceiling_least", 0.8, "", "our-choice",
    "A limit set lower than this is taken for the highest output that was asked for, not for a ceiling.",
)  # fmt: skip
FLOOR_BAND: Final = Threshold(
    "record.outputs.floor_band", 0.01, "", "our-choice",
    "Idle speed is held to about one percent of full output.",
)  # fmt: skip
FLOOR_MOST: Final = Threshold(
    "record.outputs.floor_most", 0.15, "", "our-choice",
    "Idle output is below this; a lowest output above it is no idle.",
)  # fmt: skip
SATURATED: Final = Threshold(
    "record.outputs.saturated_s", 0.1, "s", "our-choice",
    "Gusts and stick moves take an output to its end for less than a tenth of a second; longer, control is lost there.",
)  # fmt: skip
BRIDGE: Final = Threshold(
    "record.outputs.bridge_s", 0.02, "s", "our-choice",
    "Noise that leaves the end of the scale for less than this does not part one saturation in two.",
)  # fmt: skip
MOST_EVENTS: Final = Threshold(
    "record.outputs.most_events", 20.0, "", "our-choice",
    "Nobody reads a longer list for one corner; the longest are kept and the number of all is said.",
)  # fmt: skip
COLLAPSE: Final = Threshold(
    "record.outputs.collapse_ratio", 0.6, "", "our-choice",
    "A rotor that turns at less than six tenths of what its siblings do at the same output gives about a third of its "
    "thrust.",
)  # fmt: skip
COLLAPSE_FROM: Final = Threshold(
    "record.outputs.collapse_from", 0.9, "", "our-choice",
    "Sound rotors of one aircraft lie within a few percent of one another: below nine tenths the fall has begun.",
)  # fmt: skip
COLLAPSE_WITHIN: Final = Threshold(
    "record.outputs.collapse_within_s", 0.1, "s", "our-choice",
    "A motor out of step stops within a few turns; slower falls have other reasons, a hot or weak motor among them.",
)  # fmt: skip
STEP: Final = Threshold(
    "record.outputs.step_share", 0.2, "", "our-choice",
    "A rise of the output by a fifth of the scale at once is steep; motors fall out of step after such rises.",
)  # fmt: skip
STEP_WITHIN: Final = Threshold(
    "record.outputs.step_within_s", 0.15, "s", "our-choice",
    "A rise that makes a motor fall out of step does so before the motor has followed it.",
)  # fmt: skip
EXCESS: Final = Threshold(
    "record.outputs.excess_ratio", 1.1, "", "our-choice",
    "A tenth faster than its siblings at the same output is more than motors of one kind differ: less load.",
)  # fmt: skip
EXCESS_HELD: Final = Threshold(
    "record.outputs.excess_s", 0.3, "s", "our-choice",
    "Shorter is unrest of the speed itself.",
)  # fmt: skip
RUNS_DOWN: Final = Threshold(
    "record.outputs.runs_down_s", 0.15, "s", "our-choice",
    "A rotor runs down slower than it is driven up: no faster than the highest output of this while asks, it only "
    "runs down.",
)  # fmt: skip
STANDS: Final = Threshold(
    "record.outputs.stands_share", 0.5, "", "our-choice",
    "No driven rotor turns slower than it idles on the ground; half of that is no longer driven.",
)  # fmt: skip
SPREADS: Final = Threshold(
    "record.outputs.speed_spreads", 4.0, "", "our-choice",
    "Where outputs swing faster than the record shows, speeds scatter: a rotor must stand out by four spreads.",
)  # fmt: skip
SPEED_RATE: Final = Threshold(
    "record.outputs.speed_rate_hz", 20.0, "Hz", "our-choice",
    "A fall within a tenth of a second takes two values in it to be seen.",
)  # fmt: skip
IMBALANCE: Final = Threshold(
    "record.outputs.imbalance_share", 0.15, "", "our-choice",
    "A pack two centimetres off the middle of a small frame moves the shares in hover by about this much.",
)  # fmt: skip
IMBALANCE_LENGTH: Final = Threshold(
    "record.outputs.imbalance_s", 2.0, "s", "our-choice",
    "A mean over less than two seconds of hover is still a mean over moves.",
)  # fmt: skip
IMBALANCE_STEP: Final = Threshold(
    "record.outputs.imbalance_step_share", 0.12, "", "our-choice",
    "More than gusts and a moving pack change the shares of the corners from one moment to the next for good.",
)  # fmt: skip
STEP_SIDE: Final = Threshold(
    "record.outputs.imbalance_step_side_s", 3.0, "s", "our-choice",
    "Before and after a step that stays there are at least three seconds; less is a manoeuvre.",
)  # fmt: skip
STEP_NOISE: Final = Threshold(
    "record.outputs.imbalance_step_noise", 3.0, "", "our-choice",
    "A step stands out by three times the spread of one-second means before and after it.",
)  # fmt: skip

RULES: Final = (
    CEILING, CEILING_HELD, CEILING_LEAST, FLOOR_BAND, FLOOR_MOST, SATURATED, BRIDGE, MOST_EVENTS, COLLAPSE,
    COLLAPSE_FROM, COLLAPSE_WITHIN, STEP, STEP_WITHIN, EXCESS, EXCESS_HELD, RUNS_DOWN, STANDS, SPREADS, SPEED_RATE,
    IMBALANCE, IMBALANCE_LENGTH, IMBALANCE_STEP, STEP_SIDE, STEP_NOISE,
)  # fmt: skip
