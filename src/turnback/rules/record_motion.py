"""Thresholds on turning rates and what was asked of them in a flight record."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

RATE_LEAST: Final = Threshold(
    "record.motion.rate_least_hz", 20.0, "Hz", "our-choice",
    "A small multirotor turns over within a few tenths of a second: slower records do not show how.",
)  # fmt: skip
SWING_LOW: Final = Threshold(
    "record.motion.swing_low_hz", 1.5, "Hz", "our-choice",
    "Slower swings are flown by hand or by gusts.",
)  # fmt: skip
SWING_PART: Final = Threshold(
    "record.motion.swing_part_hz", 8.0, "Hz", "our-choice",
    "Below, two-second stretches are needed to tell a swing from flying; above, half a second holds four swings.",
)  # fmt: skip
SWING_HIGH: Final = Threshold(
    "record.motion.swing_high_hz", 80.0, "Hz", "our-choice",
    "Control loops of multirotors swing below this; above, rotors shake.",
)  # fmt: skip
SWING: Final = Threshold(
    "record.motion.swing_rad_s", 0.35, "rad/s", "our-choice",
    "A swing of 20 degrees a second is seen and heard.",
)  # fmt: skip
SWING_NARROW: Final = Threshold(
    "record.motion.swing_narrow_share", 0.7, "", "our-choice",
    "Seven tenths of the power within a factor of three in frequency lie in one line: gusts spread theirs.",
)  # fmt: skip
SWING_SEGMENTS: Final = Threshold(
    "record.motion.swing_segments", 3.0, "", "our-choice",
    "Three stretches in a row, which overlap by half, swing at one frequency: an accident does so once.",
)  # fmt: skip
SWING_DEMANDED: Final = Threshold(
    "record.motion.swing_demanded_ratio", 0.5, "", "our-choice",
    "Where the demand swings at least half as much, the aircraft may only do as it is told.",
)  # fmt: skip
SWING_STICK: Final = Threshold(
    "record.motion.swing_stick", 0.05, "", "our-choice",
    "Sticks that move less than a twentieth of their travel at that frequency do not make the swing.",
)  # fmt: skip
SWING_FOLDED: Final = Threshold(
    "record.motion.swing_folded_rad_s", 2.0, "rad/s", "our-choice",
    "Where neither rotor speed nor angle tells, and the rate is so slow that a rotor's line may show up in the band, "
    "only swings of 115 degrees a second count: at 300 turns a second that would be 19 g at an arm of 5 cm.",
)  # fmt: skip
SWING_FELT: Final = Threshold(
    "record.motion.swing_felt_ratio", 0.5, "", "our-choice",
    "An angle swings by its rate over two pi times the frequency; half of that allows for how angles are smoothed, and "
    "a rotor's line that a slow record folds into the band gives a twentieth at most.",
)  # fmt: skip
FOLD_RATE: Final = Threshold(
    "record.motion.fold_rate_hz", 250.0, "Hz", "our-choice",
    "One rotor line in five folds to below 8 Hz at 80 rows a second; one in sixteen at 250, and hardly any stays.",
)  # fmt: skip
SWING_GROWS: Final = Threshold(
    "record.motion.swing_grows_ratio", 1.5, "", "our-choice",
    "The last third is half as large again as the first: it grows.",
)  # fmt: skip
OPPOSITE_DEMAND: Final = Threshold(
    "record.motion.opposite_demand_rad_s", 1.0, "rad/s", "our-choice",
    "Demands under about 60 degrees a second drown in gusts.",
)  # fmt: skip
OPPOSITE_RATE: Final = Threshold(
    "record.motion.opposite_rate_rad_s", 0.5, "rad/s", "our-choice",
    "It turns the other way by at least half of the least demand that counts.",
)  # fmt: skip
OPPOSITE: Final = Threshold(
    "record.motion.opposite_s", 0.2, "s", "our-choice",
    "Longer than a sound aircraft takes to answer, with the motors' lag and the radio's.",
)  # fmt: skip
RUN_AWAY: Final = Threshold(
    "record.motion.run_away_rad_s", 3.0, "rad/s", "our-choice",
    "170 degrees a second beyond anything demanded lately: no tracking error of a sound aircraft is that large.",
)  # fmt: skip
RUN_AWAY_HELD: Final = Threshold(
    "record.motion.run_away_s", 0.1, "s", "our-choice",
    "An overshoot is over within a tenth of a second.",
)  # fmt: skip
LATELY: Final = Threshold(
    "record.motion.lately_s", 0.2, "s", "our-choice",
    "What was demanded this long ago may still be on its way through motors and frame.",
)  # fmt: skip
FOLLOWS: Final = Threshold(
    "record.motion.follows_rad_s", 0.6, "rad/s", "our-choice",
    "A tracking error of about 35 degrees a second over a fifth of a second is what gusts and turbulent descents give.",
)  # fmt: skip
FOLLOWS_RATIO: Final = Threshold(
    "record.motion.follows_ratio", 0.5, "", "our-choice",
    "In a hard manoeuvre the error may be half of what is demanded while the aircraft still does as it is told.",
)  # fmt: skip
FOLLOWS_LAST: Final = Threshold(
    "record.motion.follows_last_s", 2.0, "s", "our-choice",
    "What decides a flight's end happens in its last two seconds.",
)  # fmt: skip
FOLLOWS_LOST: Final = Threshold(
    "record.motion.follows_lost_share", 0.05, "", "our-choice",
    "A twentieth of the last two seconds off its demand is a bump; more is not following.",
)  # fmt: skip
TROUBLE_LAST: Final = Threshold(
    "record.motion.trouble_last_s", 10.0, "s", "our-choice",
    "What began more than ten seconds before the end was flown through.",
)  # fmt: skip
QUIET_LEAST: Final = Threshold(
    "record.motion.quiet_least_s", 1.0, "s", "our-choice",
    "From less than a second before it nobody knows what was usual.",
)  # fmt: skip
QUIET_MARGIN: Final = Threshold(
    "record.motion.quiet_margin", 0.6, "", "our-choice",
    "The band from the 1st to the 99th percentile, widened by six tenths on both sides: ordinary noise leaves it about "
    "once in three million values.",
)  # fmt: skip
IMPACT: Final = Threshold(
    "record.motion.impact_mps2", 60.0, "m/s²", "our-choice",
    "About six g at the end of a flight is a blow.",
)  # fmt: skip

RULES: Final = (
    RATE_LEAST, SWING_LOW, SWING_PART, SWING_HIGH, SWING, SWING_NARROW, SWING_SEGMENTS, SWING_DEMANDED,
    SWING_STICK, SWING_FOLDED, SWING_FELT, FOLD_RATE, SWING_GROWS, OPPOSITE_DEMAND, OPPOSITE_RATE, OPPOSITE,
    RUN_AWAY, RUN_AWAY_HELD, LATELY, FOLLOWS, FOLLOWS_RATIO, FOLLOWS_LAST, FOLLOWS_LOST, TROUBLE_LAST,
    QUIET_LEAST, QUIET_MARGIN, IMPACT,
)  # fmt: skip
