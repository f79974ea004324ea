"""Thresholds on the control link in a flight record."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

DIP_DB: Final = Threshold(
    "record.link.dip_db", 10.0, "dB", "our-choice",
    "Fading while turning and passing people is several decibels; a tenth of the power is more than that.",
)  # fmt: skip
DIP_SPREADS: Final = Threshold(
    "record.link.dip_spreads", 5.0, "", "our-choice",
    "A dip stands out by five times the downward spread that this very record has, smoothed over the least time.",
)  # fmt: skip
DIP_LEAST_S: Final = Threshold(
    "record.link.dip_least_s", 0.3, "s", "our-choice",
    "Shorter fades are made good by the next packets and are seen in every flight.",
)  # fmt: skip
DIP_HZ: Final = Threshold(
    "record.link.dip_rate", 2.0, "1/s", "our-choice",
    "Where no distance is recorded: from one reading a second, flying off fast looks like a dip.",
)  # fmt: skip
NEAR_LEVEL: Final = Threshold(
    "record.link.near_level", -65.0, "dBm", "our-choice",
    "Where no distance is recorded: this near the pilot, flying off costs 15 dB in a second and does no harm.",
)  # fmt: skip
QUALITY_LOW: Final = Threshold(
    "record.link.quality_low", 0.7, "", "common-practice",
    "Below seven packets in ten, commands come late and by fits.",
)  # fmt: skip
QUALITY_LOW_S: Final = Threshold(
    "record.link.quality_low_s", 1.0, "s", "our-choice",
    "Quality is counted over some tenths of a second; one lost burst is not a disturbed link.",
)  # fmt: skip
QUALITY_GOOD: Final = Threshold(
    "record.link.quality_good", 0.9, "", "common-practice",
    "Nine packets in ten and more is a sound link.",
)  # fmt: skip
LEVEL_HIGH: Final = Threshold(
    "record.link.level_high", -75.0, "dBm", "our-choice",
    "Every usual control link works 25 dB and more below this: packets lost here are not lost to range.",
)  # fmt: skip
LEVEL_MARGIN: Final = Threshold(
    "record.link.level_margin", 6.0, "dB", "our-choice",
    "Where packets came through at a level this much lower in the same record, a weak level does not explain the loss.",
)  # fmt: skip
QUALITY_NONE: Final = Threshold(
    "record.link.quality_none", 0.005, "", "our-choice",
    "Not one packet in two hundred: no link.",
)  # fmt: skip
LOST_LEAST_S: Final = Threshold(
    "record.link.lost_least_s", 0.2, "s", "our-choice",
    "A link that is back sooner was a pause that nobody feels.",
)  # fmt: skip
FLOOR_LEAST_S: Final = Threshold(
    "record.link.floor_least_s", 1.0, "s", "our-choice",
    "A level held exactly at the lowest number of the record for this long is no measurement any more.",
)  # fmt: skip
FLOOR_BELOW: Final = Threshold(
    "record.link.floor_below", 6.0, "dB", "our-choice",
    "The floor stands apart from the lowest twentieth of the levels that were measured.",
)  # fmt: skip
MISSING_S: Final = Threshold(
    "record.link.missing_s", 1.0, "s", "our-choice",
    "No reading for this long while the rest of the record goes on.",
)  # fmt: skip
FROZEN_S: Final = Threshold(
    "record.link.frozen_s", 1.0, "s", "our-choice",
    "Thumbs tremble: all sticks exactly still for a second, away from their middle, are not held by a person.",
)  # fmt: skip
FROZEN_TIMES: Final = Threshold(
    "record.link.frozen_times", 6.0, "", "our-choice",
    "Still for six times as long as nine in ten of this record's own still moments.",
)  # fmt: skip
FROZEN_COARSE: Final = Threshold(
    "record.link.frozen_coarse", 0.005, "", "our-choice",
    "Sticks recorded in steps above half a hundredth of their way hide the trembling: they must be still three times "
    "as long.",
)  # fmt: skip
FROZEN_OTHER_S: Final = Threshold(
    "record.link.frozen_other_s", 2.0, "s", "our-choice",
    "Position, volts or rates that repeat exactly for this long while the aircraft flies are not measured any more.",
)  # fmt: skip
ACTION_WITHIN_S: Final = Threshold(
    "record.link.action_within_s", 20.0, "s", "our-choice",
    "Failsafe acts within seconds of the loss; what comes later has other causes.",
)  # fmt: skip
ACTION_LEAST_S: Final = Threshold(
    "record.link.action_least_s", 0.5, "s", "our-choice",
    "A shorter loss is over before anything acts.",
)  # fmt: skip
MOTORS_STOPPED: Final = Threshold(
    "record.link.motors_stopped", 0.02, "", "our-choice",
    "Idle outputs are a few hundredths; below this the motors do not run.",
)  # fmt: skip
DESCENDS_MPS: Final = Threshold(
    "record.link.descends", 0.3, "m/s", "our-choice",
    "Steady sinking beyond the wander of a height sensor.",
)  # fmt: skip
IN_PLACE_MPS: Final = Threshold(
    "record.link.in_place", 2.5, "m/s", "our-choice",
    "Slower than this over ground it stays where it is.",
)  # fmt: skip
FALLS_G: Final = Threshold(
    "record.link.falls_g", 0.75, "", "our-choice",
    "On the ground the whole weight is carried; in the first half second without motors the air carries little of it.",
)  # fmt: skip
FALLS_MPS: Final = Threshold(
    "record.link.falls_mps", 3.0, "m/s", "our-choice",
    "A third of a second's free fall; nothing on the ground sinks that fast.",
)  # fmt: skip
RESTS_RADPS: Final = Threshold(
    "record.link.rests_radps", 0.1, "rad/s", "our-choice",
    "The noise and bias of a rate sensor at rest are some hundredths; what tumbles turns many times faster.",
)  # fmt: skip
STOPPED_SHARE: Final = Threshold(
    "record.link.stopped_share", 0.06, "", "our-choice",
    "Of what the channel has at most in flight: idling takes more, a board without motors less.",
)  # fmt: skip
RESTART_GAP_S: Final = Threshold(
    "record.link.restart_gap_s", 0.2, "s", "our-choice",
    "A flight board needs some tenths of a second to start; nothing is recorded meanwhile.",
)  # fmt: skip
RESTART_BACK_S: Final = Threshold(
    "record.link.restart_back_s", 6.0, "s", "our-choice",
    "A board that restarts aloft is back, or the aircraft is down, within this time.",
)  # fmt: skip
RESTART_RESET: Final = Threshold(
    "record.link.restart_reset", 0.5, "", "our-choice",
    "Charge used and running counts never fall by half, except where counting begins again.",
)  # fmt: skip
RESTART_VOLTS: Final = Threshold(
    "record.link.restart_volts", 0.75, "", "our-choice",
    "Volts a quarter below their usual just before the gap: the supply gave way.",
)  # fmt: skip

RULES: Final = (
    DIP_DB, DIP_SPREADS, DIP_LEAST_S, DIP_HZ, NEAR_LEVEL, QUALITY_LOW, QUALITY_LOW_S, QUALITY_GOOD, LEVEL_HIGH,
    LEVEL_MARGIN, QUALITY_NONE, LOST_LEAST_S, FLOOR_LEAST_S, FLOOR_BELOW, MISSING_S, FROZEN_S,
    FROZEN_TIMES, FROZEN_COARSE, FROZEN_OTHER_S,
    ACTION_WITHIN_S, ACTION_LEAST_S, MOTORS_STOPPED, DESCENDS_MPS, IN_PLACE_MPS, FALLS_G, FALLS_MPS, RESTS_RADPS,
    STOPPED_SHARE, RESTART_GAP_S, RESTART_BACK_S, RESTART_RESET, RESTART_VOLTS,
)  # fmt: skip
