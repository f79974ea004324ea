"""Thresholds on sticks, arming and mode in a flight record."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

REVERSAL_HZ: Final = Threshold(
    "record.sticks.reversal_rate", 1.4, "1/s", "our-choice",
    "A person who over-corrects sways to and fro one and a half to three times a second; steering is slower.",
)  # fmt: skip
REVERSAL_SWING: Final = Threshold(
    "record.sticks.reversal_swing", 0.3, "", "our-choice",
    "From one turn to the next, of the way from stop to middle: smaller moves are fine steering.",
)  # fmt: skip
REVERSAL_LEAST: Final = Threshold(
    "record.sticks.reversal_least", 5.0, "", "our-choice",
    "Five turns in a row, more than a second of it, are no single correction.",
)  # fmt: skip
STICK_HZ: Final = Threshold(
    "record.sticks.rate", 10.0, "1/s", "our-choice",
    "Two swings a second take five readings each to be seen with their size.",
)  # fmt: skip
AT_STOP: Final = Threshold(
    "record.sticks.at_stop", 0.98, "", "our-choice",
    "Ends of stick ways are set to about one in a hundred.",
)  # fmt: skip
AT_STOP_S: Final = Threshold(
    "record.sticks.at_stop_s", 2.0, "s", "our-choice",
    "Turns over fully held sticks take a second; longer is a pilot who fights, or a stick that is stuck.",
)  # fmt: skip
FULL_THROTTLE_S: Final = Threshold(
    "record.sticks.full_throttle_s", 5.0, "s", "our-choice",
    "Full throttle takes several times the power of hover: held this long, it shortens the flight noticeably.",
)  # fmt: skip
CUT: Final = Threshold(
    "record.sticks.cut", 0.03, "", "our-choice",
    "Throttle at its lower stop.",
)  # fmt: skip
CUT_FULL: Final = Threshold(
    "record.sticks.cut_full", 0.95, "", "our-choice",
    "Throttle at its upper stop.",
)  # fmt: skip
CUT_RISE_S: Final = Threshold(
    "record.sticks.cut_rise_s", 0.6, "s", "our-choice",
    "From stop to stop in half a second is a fright or a catch, and the hardest that motors are asked.",
)  # fmt: skip
CUT_LEAST_S: Final = Threshold(
    "record.sticks.cut_least_s", 0.2, "s", "our-choice",
    "The throttle was really let go.",
)  # fmt: skip
OFF_ALOFT: Final = Threshold(
    "record.sticks.off_aloft", 0.12, "", "our-choice",
    "On the ground throttle is let go before disarming; above an eighth of it, something was being held up.",
)  # fmt: skip
OFF_HEIGHT_M: Final = Threshold(
    "record.sticks.off_height", 3.0, "m", "our-choice",
    "Higher than the wander of a pressure height in one flight's end.",
)  # fmt: skip
MODE_CHANGES: Final = Threshold(
    "record.sticks.mode_changes", 1.0, "", "our-choice",
    "Every change of mode aloft is told.",
)  # fmt: skip

RULES: Final = (
    REVERSAL_HZ, REVERSAL_SWING, REVERSAL_LEAST, STICK_HZ, AT_STOP, AT_STOP_S, FULL_THROTTLE_S, CUT, CUT_FULL,
    CUT_RISE_S, CUT_LEAST_S, OFF_ALOFT, OFF_HEIGHT_M, MODE_CHANGES,
)  # fmt: skip
