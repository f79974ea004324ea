"""Thresholds that part a sign of turning rates and acceleration from what a sound flight shows."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

LIFT_RATE: Final = Threshold(
    "record.signs.lift_rate_rad_s", 3.5, "rad/s", "our-choice",
    "As the book has it: 200 degrees a second.",
)  # fmt: skip
LIFT_QUIET: Final = Threshold(
    "record.signs.lift_quiet_rad_s", 0.7, "rad/s", "our-choice",
    "40 degrees a second: a take-off that goes well stays below.",
)  # fmt: skip
LIFT_WITHIN: Final = Threshold(
    "record.signs.lift_within_s", 0.7, "s", "our-choice",
    "Half a second, and two tenths for how the moment of lift is found.",
)  # fmt: skip
LIFT_STICK: Final = Threshold(
    "record.signs.lift_stick", 0.35, "", "our-choice",
    "A stick that stands this far out asks for a turn.",
)  # fmt: skip
CROSSWISE: Final = Threshold(
    "record.signs.crosswise_share", 0.35, "", "our-choice",
    "Of the turning that the outputs explain, the share that goes against or across what they ask for.",
)  # fmt: skip
UPRIGHT_RATE: Final = Threshold(
    "record.signs.upright_rad_s", 3.0, "rad/s", "our-choice",
    "170 degrees a second beyond what is asked: no sound aircraft turns so by itself.",
)  # fmt: skip
AT_REST_LEAN: Final = Threshold(
    "record.signs.at_rest_lean_rad", 0.06, "rad", "our-choice",
    "Three and a half degrees: grass is no floor, and fewer are nothing to mend.",
)  # fmt: skip
AT_REST_WRONG: Final = Threshold(
    "record.signs.at_rest_wrong_rad", 0.785, "rad", "our-choice",
    "An eighth of a turn: no level setting goes so far, a board on its side or its head goes further.",
)  # fmt: skip
ONCE_PER_REV: Final = Threshold(
    "record.signs.once_per_rev_ratio", 3.0, "", "our-choice",
    "As the book has it: three times its siblings.",
)  # fmt: skip
BLADE_PASS: Final = Threshold(
    "record.signs.blade_pass_ratio", 2.5, "", "our-choice",
    "Corners of one aircraft are built alike.",
)  # fmt: skip
FLIGHTS_GROW: Final = Threshold(
    "record.signs.flights_grow_ratio", 1.4, "", "our-choice",
    "Lines of a sound rotor differ by a fifth from flight to flight.",
)  # fmt: skip
NOISE_WITH_CURRENT: Final = Threshold(
    "record.signs.noise_with_current_ratio", 1.8, "", "our-choice",
    "Amplitude of the turning rates off all rotor lines at high over low current; air alone gives less.",
)  # fmt: skip
HEADING_CURRENT: Final = Threshold(
    "record.signs.heading_with_current_rad", 0.05, "rad", "our-choice",
    "Three degrees from low to high current; fits of a sound sensor give less than one.",
)  # fmt: skip
HEADING_OFF: Final = Threshold(
    "record.signs.heading_off_rad", 0.35, "rad", "our-choice",
    "Twenty degrees on all courses: declination and drift in light wind are less.",
)  # fmt: skip
FIELD_CURRENT: Final = Threshold(
    "record.signs.field_with_current_share", 0.1, "", "our-choice",
    "Of the field's unrest that height leaves, in squares; of a sound sensor the current explains a twentieth at most.",
)  # fmt: skip
FIELD_CHANGES: Final = Threshold(
    "record.signs.field_changes_share", 0.1, "", "our-choice",
    "Of the field, from low to high current: a tenth turns the heading by about six degrees.",
)  # fmt: skip
LEANS: Final = Threshold(
    "record.signs.leans_rad", 0.349, "rad", "our-choice",
    "As the book has it: 20 degrees.",
)  # fmt: skip
GLITCHES: Final = Threshold(
    "record.signs.glitches", 3.0, "", "our-choice",
    "One wild value may be the recorder's; three are the sensor's.",
)  # fmt: skip
STOPS_DEAD: Final = Threshold(
    "record.signs.stops_dead_mps2", 60.0, "m/s²", "our-choice",
    "Six g: no turn of a small multirotor, only a blow.",
)  # fmt: skip
STRIKES_AGAIN: Final = Threshold(
    "record.signs.strikes_again", 1.05, "", "our-choice",
    "The ground stops it harder than what it struck in the air, and a bounce more softly than the ground before.",
)  # fmt: skip
TILT_EXTREME: Final = Threshold(
    "record.signs.tilt_extreme_rad", 1.047, "rad", "our-choice",
    "As the book has it: 60 degrees.",
)  # fmt: skip
SINKS: Final = Threshold(
    "record.signs.sinks_mps", 1.5, "m/s", "our-choice",
    "Slower sinking does not reach a rotor's own wash.",
)  # fmt: skip
WASH: Final = Threshold(
    "record.signs.wash_rad_s", 0.2, "rad/s", "our-choice",
    "Root mean square of roll and pitch rate from 4 to 60 Hz in an upright descent: beyond noise and a steady hand.",
)  # fmt: skip
WASH_RATIO: Final = Threshold(
    "record.signs.wash_ratio", 4.0, "", "our-choice",
    "Four times what it shakes in other upright flight.",
)  # fmt: skip
OVERSHOOT: Final = Threshold(
    "record.signs.overshoot_share", 0.16, "", "our-choice",
    "Averaged over all moves of a flight a well-set loop runs past by up to an eighth.",
)  # fmt: skip
ANSWERS_LATE: Final = Threshold(
    "record.signs.answers_late_s", 0.14, "s", "our-choice",
    "Until half of a step of the demanded rate is flown: a well-set loop takes less than a tenth of a second.",
)  # fmt: skip
SWINGS_LATE: Final = Threshold(
    "record.signs.swings_late_s", 0.155, "s", "our-choice",
    "A rate that lags so far behind its demand, swing for swing, is set too slow; a sound loop stays below an eighth.",
)  # fmt: skip
SWINGS_ALIKE: Final = Threshold(
    "record.signs.swings_alike", 0.9, "", "our-choice",
    "Correlation of demand and delayed rate: late, and yet as asked. Where a rotor fails it is below two thirds.",
)  # fmt: skip
ASKS_MUCH: Final = Threshold(
    "record.signs.asks_much_rad_s", 1.0, "rad/s", "our-choice",
    "Demands of some sixty degrees a second, root mean square over a second and a half, outdo wind and noise.",
)  # fmt: skip
ALL_SHAKE: Final = Threshold(
    "record.signs.all_shake_rad_s", 0.5, "rad/s", "our-choice",
    "Root mean square of roll and pitch rate faster than about 50 Hz: a softly mounted sensor feels a third to a half.",
)  # fmt: skip
SURELY_SHAKE: Final = Threshold(
    "record.signs.surely_shake_rad_s", 0.85, "rad/s", "our-choice",
    "The roughest of sound builds come so far; what shakes more is shaken through a hard mounting.",
)  # fmt: skip
SOME_SHAKE: Final = Threshold(
    "record.signs.some_shake_rad_s", 0.3, "rad/s", "our-choice",
    "From here on, and the more the nearer it comes to strong shaking, it hides what is fainter.",
)  # fmt: skip
SPINS: Final = Threshold(
    "record.signs.spins_rad_s", 6.0, "rad/s", "our-choice",
    "A full turn a second on the mean, about the upright axis and unasked: no gust, no pilot, no noise does that.",
)  # fmt: skip
BEATS: Final = Threshold(
    "record.signs.beats_share", 0.26, "", "our-choice",
    "How far the power of the shaking wanders in seconds in which rotors turn against one another: one rotor alone "
    "shakes evenly (0, with its changes of speed a fifth), four that beat give three quarters, and less where they "
    "part little.",
)  # fmt: skip
PARTS_TURN: Final = Threshold(
    "record.signs.parts_turn_rad", 3.0, "rad", "our-choice",
    "Half a turn between most pairs of rotors within a second: what adds up at first cancels later.",
)  # fmt: skip
EVEN_SHAKE: Final = Threshold(
    "record.signs.even_shake_rad_s", 0.3, "rad/s", "our-choice",
    "Root mean square of roll and pitch rate faster than about 50 Hz: sound rotors give less than three "
    "quarters of that.",
)  # fmt: skip
EVEN_BEATS: Final = Threshold(
    "record.signs.even_beats_share", 0.26, "", "our-choice",
    "One rotor alone shakes evenly, but for its changes of speed; four, or a noise, wander by twice this.",
)  # fmt: skip
HARD: Final = Threshold(
    "record.signs.hard_ratio", 2.0, "", "our-choice",
    "Rotors at full throttle shake two to three times as strongly as in the hover: with the thrust.",
)  # fmt: skip
HANDLED: Final = Threshold(
    "record.signs.handled_rad_s", 0.35, "rad/s", "our-choice",
    "What stands on the ground does not turn; a hand turns it by more than 20 degrees a second.",
)  # fmt: skip
FOLLOWS_HARD: Final = Threshold(
    "record.signs.follows_hard_share", 0.6, "", "our-choice",
    "An aircraft whose demands explain three fifths of its turning does as it is told; with a dead rotor it is less "
    "than a third.",
)  # fmt: skip
FOLLOWS_HARD_LAST: Final = Threshold(
    "record.signs.follows_hard_last_s", 2.5, "s", "our-choice",
    "What decides a flight's end happens in its last seconds.",
)  # fmt: skip

RULES: Final = (
    LIFT_RATE, LIFT_QUIET, LIFT_WITHIN, LIFT_STICK, CROSSWISE, UPRIGHT_RATE, AT_REST_LEAN, AT_REST_WRONG,
    ONCE_PER_REV, BLADE_PASS,
    FLIGHTS_GROW, NOISE_WITH_CURRENT, HEADING_CURRENT, HEADING_OFF, FIELD_CURRENT, FIELD_CHANGES, LEANS,
    GLITCHES, STOPS_DEAD, STRIKES_AGAIN, TILT_EXTREME, SINKS,
    WASH, WASH_RATIO, OVERSHOOT, ANSWERS_LATE, ALL_SHAKE, BEATS, PARTS_TURN, EVEN_SHAKE, EVEN_BEATS, HARD, HANDLED,
    FOLLOWS_HARD, FOLLOWS_HARD_LAST,
    SWINGS_LATE, SWINGS_ALIKE, ASKS_MUCH, SURELY_SHAKE, SOME_SHAKE, SPINS,
)  # fmt: skip
