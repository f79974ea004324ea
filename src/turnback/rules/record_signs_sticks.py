"""Thresholds by which sticks, modes and arming in a record show a sign of the book."""

from __future__ import annotations

from typing import Final

from turnback.rules.rule import Threshold

FREEZE_S: Final = Threshold(
    "record.signs_sticks.freeze_s", 0.3, "s", "our-choice",
    "Thumbs tremble: sticks off their middle stand exactly still for this long only where nothing arrives.",
)  # fmt: skip
FREEZES: Final = Threshold(
    "record.signs_sticks.freezes", 2.0, "", "our-choice",
    "A loose contact comes and goes: once may be chance.",
)  # fmt: skip
TO_AND_FRO_HZ: Final = Threshold(
    "record.signs_sticks.to_and_fro", 1.4, "1/s", "our-choice",
    "A hand that over-corrects; steering is slower.",
)  # fmt: skip
CLOSED: Final = Threshold(
    "record.signs_sticks.closed", 0.04, "", "our-choice",
    "Throttle at its lower stop, to the spread of stick ends.",
)  # fmt: skip
CLOSED_S: Final = Threshold(
    "record.signs_sticks.closed_s", 0.8, "s", "our-choice",
    "In a second of free fall it gains 10 m/s: letting go on purpose is shorter, or higher up.",
)  # fmt: skip
CARRIES: Final = Threshold(
    "record.signs_sticks.carries", 0.15, "", "our-choice",
    "With its throttle open so far it is held up in part: no multirotor hovers with much less than twice of it.",
)  # fmt: skip
FLEW_ON_LONG: Final = Threshold(
    "record.signs_sticks.flew_on_long_s", 45.0, "s", "our-choice",
    "Who flies on this long after a cut got away with it; nobody writes about that cut, however deep it fell.",
)  # fmt: skip
GIVEN_UP: Final = Threshold(
    "record.signs_sticks.given_up_s", 0.3, "s", "our-choice",
    "A throttle closed for this long in the air, and up to the end, was closed by its pilot: motors stop as asked.",
)  # fmt: skip
OPENED: Final = Threshold(
    "record.signs_sticks.opened", 0.8, "", "our-choice",
    "Thumbs in a hurry stop short of the upper stop.",
)  # fmt: skip
OPENED_WITHIN_S: Final = Threshold(
    "record.signs_sticks.opened_within_s", 1.5, "s", "our-choice",
    "From closed to full in one go.",
)  # fmt: skip
RATE_SHARE: Final = Threshold(
    "record.signs_sticks.rate_share", 0.25, "", "our-choice",
    "Stick and turning rate go together by this much more than stick and tilt: rate mode.",
)  # fmt: skip
UPSET_TIMES: Final = Threshold(
    "record.signs_sticks.upset_times", 3.0, "", "our-choice",
    "A turn that nobody asked for, so many times that of nine in ten moments of this flight.",
)  # fmt: skip
REACTION_S: Final = Threshold(
    "record.signs_sticks.reaction_s", 1.2, "s", "our-choice",
    "People answer to a fright within a third of a second to a second.",
)  # fmt: skip
REACTION_STICK: Final = Threshold(
    "record.signs_sticks.reaction_stick", 0.9, "", "our-choice",
    "Nearly at the stop.",
)  # fmt: skip
STOPS_S: Final = Threshold(
    "record.signs_sticks.stops_s", 1.5, "s", "our-choice",
    "A full roll or loop takes a second of held stick.",
)  # fmt: skip
JUST_BEFORE_S: Final = Threshold(
    "record.signs_sticks.just_before_s", 5.0, "s", "our-choice",
    "A mode that surprises does so within seconds.",
)  # fmt: skip
PULSE: Final = Threshold(
    "record.signs_sticks.pulse", 0.55, "", "our-choice",
    "One stick goes more than half of its way and comes back, alone.",
)  # fmt: skip
PULSE_TIMES: Final = Threshold(
    "record.signs_sticks.pulse_times", 3.0, "", "our-choice",
    "And so much further than in the rest of this flight.",
)  # fmt: skip
FULL: Final = Threshold(
    "record.signs_sticks.full", 0.97, "", "our-choice",
    "Throttle at its upper stop, to the spread of stick ends.",
)  # fmt: skip
FIX_M: Final = Threshold(
    "record.signs_sticks.fix_m", 5.0, "m", "common-practice",
    "A fix that is good to a few metres can be flown home to.",
)  # fmt: skip
FIX_SATELLITES: Final = Threshold(
    "record.signs_sticks.fix_satellites", 6.5, "", "common-practice",
    "Four give a position, seven and more a good one.",
)  # fmt: skip
RETURN_NEAR_M: Final = Threshold(
    "record.signs_sticks.return_near_m", 25.0, "m", "our-choice",
    "Over the launch point, to the error of two fixes and the turn of an arrival.",
)  # fmt: skip
MOVED_IN_RETURN: Final = Threshold(
    "record.signs_sticks.moved_in_return", 0.3, "", "our-choice",
    "A stick that goes this far from where it was asks for something.",
)  # fmt: skip
KEPT_S: Final = Threshold(
    "record.signs_sticks.kept_s", 1.0, "s", "our-choice",
    "Sticks exactly still for a second are not held by a hand.",
)  # fmt: skip
OFF_CENTRE: Final = Threshold(
    "record.signs_sticks.off_centre", 0.03, "", "common-practice",
    "Springs bring a stick back to within one or two hundredths; dead bands are set to that.",
)  # fmt: skip
THROTTLE_UP: Final = Threshold(
    "record.signs_sticks.throttle_up", 0.05, "", "common-practice",
    "Boards refuse to arm above about a twentieth.",
)  # fmt: skip
ACTS: Final = Threshold(
    "record.signs_sticks.acts", 0.6, "", "our-choice",
    "Correlation of quick changes: a stick that acts on a channel reaches nearly one, another one stays near nought.",
)  # fmt: skip
LET_GO: Final = Threshold(
    "record.signs_sticks.let_go", 0.07, "", "our-choice",
    "Roll and pitch stick within this of their middle: let go, and the tremble of a thumb.",
)  # fmt: skip
LET_GO_S: Final = Threshold(
    "record.signs_sticks.let_go_s", 0.7, "s", "our-choice",
    "A self-levelling aircraft is level again half a second after the sticks are let go.",
)  # fmt: skip
BANK_DEG: Final = Threshold(
    "record.signs_sticks.bank_deg", 20.0, "°", "our-choice",
    "Further over than wind and drift need.",
)  # fmt: skip
HELD_STEADY: Final = Threshold(
    "record.signs_sticks.held_steady", 0.85, "", "our-choice",
    "Short of its stop: a lean that one holds, and no roll or loop on purpose.",
)  # fmt: skip
HELD_OVER_S: Final = Threshold(
    "record.signs_sticks.held_over_s", 0.62, "s", "our-choice",
    "A lean is held; a turn in rate mode is asked for with a push that is over sooner.",
)  # fmt: skip
HELD_OVER_DEG: Final = Threshold(
    "record.signs_sticks.held_over", 80.0, "°", "our-choice",
    "No self-level lets it lean so far, and nobody who expects self-level means it.",
)  # fmt: skip
WORSE_STICK: Final = Threshold(
    "record.signs_sticks.worse_stick", 0.7, "", "our-choice",
    "Far out: what steers a take-off stays well below.",
)  # fmt: skip
WORSE_OVER_DEG: Final = Threshold(
    "record.signs_sticks.worse_over", 60.0, "°", "our-choice",
    "It is going over.",
)  # fmt: skip
WORSE_GROW_S: Final = Threshold(
    "record.signs_sticks.worse_grow_s", 0.8, "s", "our-choice",
    "A thumb that wants to go somewhere gets there within half a second; a loop that drives itself takes longer.",
)  # fmt: skip
WORSE_SOON_S: Final = Threshold(
    "record.signs_sticks.worse_soon_s", 7.2, "s", "our-choice",
    "A tilt that doubles within a second is at its stop a few seconds after lift-off.",
)  # fmt: skip
WORSE_LATE_S: Final = Threshold(
    "record.signs_sticks.worse_late_s", 8.4, "s", "our-choice",
    "In calm air there is little to answer: the loop takes a second more to begin.",
)  # fmt: skip
WORSE_SHARE: Final = Threshold(
    "record.signs_sticks.worse_share", 0.48, "", "our-choice",
    "Mean of a stick on its way out, to where it ends: growth by its own size gives two fifths, a straight way more.",
)  # fmt: skip
TOGETHER: Final = Threshold(
    "record.signs_sticks.together", 0.93, "", "our-choice",
    "Correlation of a stick and its tilt while both grow: in one loop nothing else moves them.",
)  # fmt: skip
TOGETHER_OVER: Final = Threshold(
    "record.signs_sticks.together_over", 0.75, "", "our-choice",
    "The same in rate mode, where the tilt lags the stick.",
)  # fmt: skip
YAW_ANSWERS: Final = Threshold(
    "record.signs_sticks.yaw_answers", 0.8, "", "our-choice",
    "Correlation of the yaw stick with a tilt, against it: nobody answers a tilt with yaw.",
)  # fmt: skip
YAW_LOCKED_S: Final = Threshold(
    "record.signs_sticks.yaw_locked_s", 4.0, "s", "our-choice",
    "In step for so long up to the end is one loop: what is hit or broken is down sooner, or out of step.",
)  # fmt: skip
YAW_LOCKED_TURNS: Final = Threshold(
    "record.signs_sticks.yaw_locked_turns", 3.5, "", "our-choice",
    "To and fro so often: a turn flown with a bank is one push of yaw, or two.",
)  # fmt: skip
YAW_SWINGS_STICK: Final = Threshold(
    "record.signs_sticks.yaw_swings_stick", 0.5, "", "our-choice",
    "Half of its way to one side and then to the other: yaw is steered with a fraction of that.",
)  # fmt: skip
YAW_SWINGS: Final = Threshold(
    "record.signs_sticks.yaw_swings", 1.5, "", "our-choice",
    "So often within four seconds: once may be a turn that is ended.",
)  # fmt: skip
YAW_SWINGS_OTHER: Final = Threshold(
    "record.signs_sticks.yaw_swings_other", 0.3, "", "our-choice",
    "One of the other sticks stays as quiet as yaw is steered else: it is in its place.",
)  # fmt: skip
YAW_SWINGS_OBEYED: Final = Threshold(
    "record.signs_sticks.yaw_swings_obeyed", 0.45, "", "our-choice",
    "Correlation of the yaw stick with the turn: it turns as asked; the heading of a few rows a second blurs it.",
)  # fmt: skip
FAR_OUT: Final = Threshold(
    "record.signs_sticks.far_out", 0.7, "", "our-choice",
    "A stick near its stop.",
)  # fmt: skip
FAR_OUT_TILT_DEG: Final = Threshold(
    "record.signs_sticks.far_out_tilt", 15.0, "°", "our-choice",
    "And the aircraft leans that way: it follows.",
)  # fmt: skip
FAR_OUT_S: Final = Threshold(
    "record.signs_sticks.far_out_s", 2.2, "s", "our-choice",
    "A hand that brakes or turns takes the stick back within one or two seconds.",
)  # fmt: skip
STOP_SWINGS: Final = Threshold(
    "record.signs_sticks.stop_swings", 8.5, "", "our-choice",
    "From stop to stop so often within twelve seconds: each answer comes too late and is too large.",
)  # fmt: skip
FOLLOWS: Final = Threshold(
    "record.signs_sticks.follows", 0.93, "", "our-choice",
    "Correlation of a stick and its tilt up to a third of a second later: the aircraft goes where it is told.",
)  # fmt: skip

RULES: Final = (
    FREEZE_S, FREEZES, TO_AND_FRO_HZ, CLOSED, CLOSED_S, OPENED, OPENED_WITHIN_S, RATE_SHARE, UPSET_TIMES, REACTION_S,
    REACTION_STICK, STOPS_S, JUST_BEFORE_S, PULSE, PULSE_TIMES, FULL, FIX_M, FIX_SATELLITES, RETURN_NEAR_M,
    MOVED_IN_RETURN, KEPT_S, OFF_CENTRE, THROTTLE_UP, ACTS, LET_GO, LET_GO_S, GIVEN_UP, CARRIES, FLEW_ON_LONG,
    BANK_DEG, HELD_STEADY, HELD_OVER_S, HELD_OVER_DEG, WORSE_STICK,
    WORSE_OVER_DEG, WORSE_GROW_S, WORSE_SOON_S, WORSE_LATE_S, WORSE_SHARE, TOGETHER, TOGETHER_OVER,
    YAW_ANSWERS, YAW_LOCKED_S, YAW_LOCKED_TURNS,
    YAW_SWINGS_STICK, YAW_SWINGS, YAW_SWINGS_OTHER, YAW_SWINGS_OBEYED, FAR_OUT, FAR_OUT_TILT_DEG, FAR_OUT_S,
    STOP_SWINGS, FOLLOWS,
)  # fmt: skip
