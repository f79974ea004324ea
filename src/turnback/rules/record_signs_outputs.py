"""Thresholds that part a sign of the corner outputs and rotor speeds from what a sound flight shows."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

SURE_WIDTH: Final = Threshold(
    "record.signs.sure_width", 0.35, "", "our-choice",
    "A value that is four tenths beyond its limit is told with about 0.86, twice the limit with 0.95.",
)  # fmt: skip
SURE_MOST: Final = Threshold(
    "record.signs.sure_most", 0.97, "", "our-choice",
    "One channel alone may be wrong in ways that its own values do not show.",
)  # fmt: skip
RUN_UP: Final = Threshold(
    "record.signs.run_up_share", 0.06, "", "our-choice",
    "Motors that give this much more than at idle are being run up to lift.",
)  # fmt: skip
FULL: Final = Threshold(
    "record.signs.full_output", 0.95, "", "our-choice",
    "Limits are often set a few percent below full output.",
)  # fmt: skip
IDLE_BAND: Final = Threshold(
    "record.signs.idle_band", 0.05, "", "our-choice",
    "An output this near its idle gives next to no thrust.",
)  # fmt: skip
SATURATES: Final = Threshold(
    "record.signs.saturates_s", 0.02, "s", "our-choice",
    "A take-off that goes well never brings one corner to full and the opposite one to idle; what throws itself over "
    "is down in a tenth of a second. Two values of a record at the least.",
)  # fmt: skip
CORNER_LIKE: Final = Threshold(
    "record.signs.corner_like", 0.4, "", "our-choice",
    "Roll and pitch parts of the outputs at least this alike point to a corner; else to a side.",
)  # fmt: skip
DIAGONAL: Final = Threshold(
    "record.signs.diagonal_share", 0.15, "", "our-choice",
    "Diagonal pairs that lie a third of full output apart leave little for roll and pitch; a wanted turn takes less.",
)  # fmt: skip
DIAGONAL_HELD: Final = Threshold(
    "record.signs.diagonal_s", 0.2, "s", "our-choice",
    "Longer than a start of a turn takes.",
)  # fmt: skip
SPEED_FOLLOWS: Final = Threshold(
    "record.signs.speed_follows_ratio", 1.15, "", "our-choice",
    "A rotor that is given full output turns clearly faster than its siblings within a few tenths of a second.",
)  # fmt: skip
NO_LIFT_OUTPUT: Final = Threshold(
    "record.signs.no_lift_output", 0.7, "", "our-choice",
    "Any multirotor that can be flown lifts at far less.",
)  # fmt: skip
GROUND_FELT: Final = Threshold(
    "record.signs.ground_felt_mps2", 0.8, "m/s²", "our-choice",
    "A twelfth of the weight: what lifts a multirotor is more, and what its rotors shake averages out to less.",
)  # fmt: skip
NO_LIFT: Final = Threshold(
    "record.signs.no_lift_s", 0.5, "s", "our-choice",
    "Motors and frame have answered long before.",
)  # fmt: skip
ONE_HARDER: Final = Threshold(
    "record.signs.one_harder_share", 0.1, "", "our-choice",
    "Motors and propellers of one kind differ by a few percent; a tenth more at one corner is that corner's own.",
)  # fmt: skip
LONE: Final = Threshold(
    "record.signs.lone_fit", 0.8, "", "our-choice",
    "How far the difference is that of one corner alone; a weight off the middle gives 0.82 at most.",
)  # fmt: skip
HALVES: Final = Threshold(
    "record.signs.halves_share", 0.1, "", "our-choice",
    "As the book has it: a tenth of the output.",
)  # fmt: skip
HALVES_STEP: Final = Threshold(
    "record.signs.halves_step_share", 0.08, "", "our-choice",
    "Gusts and moves average out over three seconds to less than this.",
)  # fmt: skip
SPEED_LOW: Final = Threshold(
    "record.signs.speed_low_share", 0.05, "", "our-choice",
    "Motors of one kind lie within two or three percent of one another at the same output.",
)  # fmt: skip
SPEED_HIGH: Final = Threshold(
    "record.signs.speed_high_share", 0.1, "", "our-choice",
    "As the book has it: a tenth.",
)  # fmt: skip
SPEED_JUMP: Final = Threshold(
    "record.signs.speed_jump_ratio", 1.15, "", "our-choice",
    "A shaft without its propeller runs up by far more than any gust unloads a rotor.",
)  # fmt: skip
COMES_BACK: Final = Threshold(
    "record.signs.comes_back_s", 2.5, "s", "our-choice",
    "A motor that fell out of step starts anew within a second or two, or not at all.",
)  # fmt: skip
BARELY_ASKED: Final = Threshold(
    "record.signs.barely_asked", 0.04, "", "our-choice",
    "An output no more than this above idle is a closed throttle.",
)  # fmt: skip
MEAN_BARELY: Final = Threshold(
    "record.signs.mean_barely", 0.075, "", "our-choice",
    "Of all corners together, above idle: what is held level adds to a closed throttle, at some corners more.",
)  # fmt: skip
HOVER_LOW: Final = Threshold(
    "record.signs.hover_low_output", 0.2, "", "our-choice",
    "As the book has it: a fifth of full output.",
)  # fmt: skip
HOVER_HIGHER: Final = Threshold(
    "record.signs.hover_higher_ratio", 1.12, "", "our-choice",
    "Air of 15 percent less density takes about eight percent more speed; an eighth more output is no change of a day.",
)  # fmt: skip
EVENLY: Final = Threshold(
    "record.signs.evenly_share", 0.12, "", "our-choice",
    "Air and ice act on all corners alike.",
)  # fmt: skip
RISES: Final = Threshold(
    "record.signs.rises_share", 0.08, "", "our-choice",
    "Output times volts, so that an emptying pack is left out, rises by this from the first to the last third.",
)  # fmt: skip
RISES_LENGTH: Final = Threshold(
    "record.signs.rises_s", 40.0, "s", "our-choice",
    "Ice and dirt gather over minutes; less than forty seconds aloft shows no trend.",
)  # fmt: skip
GROWS: Final = Threshold(
    "record.signs.vibration_grows_ratio", 1.4, "", "our-choice",
    "Rotor speed that rises by a tenth makes a line about a fifth larger; more has another reason.",
)  # fmt: skip
SWINGS: Final = Threshold(
    "record.signs.outputs_swing_share", 0.06, "", "our-choice",
    "Root mean square of what the outputs do within a tenth of a second: gusts and noise of a sensor stay below.",
)  # fmt: skip
GUST_BURSTS: Final = Threshold(
    "record.signs.gust_bursts", 3.0, "", "our-choice",
    "One or two touches of a limit are a stick move; more, in level flight, are air that takes all there is.",
)  # fmt: skip
GIVES_FULL: Final = Threshold(
    "record.signs.gives_full", 0.93, "", "our-choice",
    "An output that is at its end but for the mixer's own margin.",
)  # fmt: skip
GIVES_ABOVE: Final = Threshold(
    "record.signs.gives_above", 0.25, "", "our-choice",
    "So far above the mean of the others it is no full throttle.",
)  # fmt: skip
GIVES_ALONE: Final = Threshold(
    "record.signs.gives_alone", 0.18, "", "our-choice",
    "A corner that gives way is alone at its end: the next highest output lies clearly below.",
)  # fmt: skip
GIVES_APART: Final = Threshold(
    "record.signs.gives_apart_share", 0.24, "", "our-choice",
    "Of the mean output, at the corner that differs most: a weight that moves changes two corners alike, and by less.",
)  # fmt: skip
GIVES_OPENS: Final = Threshold(
    "record.signs.gives_opens_rise", 0.25, "", "our-choice",
    "From a closed throttle to near a hover takes a third of the scale; less leaves it closed.",
)  # fmt: skip
GIVES_HARD: Final = Threshold(
    "record.signs.gives_hard_rise", 0.3, "", "our-choice",
    "All corners together rise by three tenths of the scale in a third of a second: a burst of throttle.",
)  # fmt: skip
GIVES_WAY: Final = Threshold(
    "record.signs.gives_way_rad", 0.37, "rad", "our-choice",
    "Some twenty degrees toward a corner that gives all it has: no gust and no move of the sticks does that.",
)  # fmt: skip

RULES: Final = (
    SURE_WIDTH, SURE_MOST, RUN_UP, FULL, IDLE_BAND, SATURATES, CORNER_LIKE, DIAGONAL, DIAGONAL_HELD, SPEED_FOLLOWS,
    NO_LIFT_OUTPUT, GROUND_FELT, NO_LIFT, ONE_HARDER, LONE, HALVES, HALVES_STEP, SPEED_LOW, SPEED_HIGH, SPEED_JUMP,
    COMES_BACK, BARELY_ASKED, MEAN_BARELY, HOVER_LOW, HOVER_HIGHER, EVENLY, RISES, RISES_LENGTH, GROWS, SWINGS,
    GUST_BURSTS, GIVES_FULL, GIVES_ABOVE, GIVES_ALONE, GIVES_APART, GIVES_OPENS, GIVES_HARD, GIVES_WAY,
)  # fmt: skip
