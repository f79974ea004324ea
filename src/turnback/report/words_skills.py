"""Words of the graded way: its steps, what has to be shown, what asks for it; and of the rules on the pilot."""

from __future__ import annotations

from typing import Final

from turnback.records.aircraft import AircraftClass
from turnback.records.plan import Skill
from turnback.report.language import mark
from turnback.report.rule_words import Kind, RuleWords

SKILL_NAMES: Final[dict[Skill, str]] = {
    Skill.SIMULATOR: mark("simulator"),
    Skill.SELF_LEVEL_DUCTED: mark("small ducted aircraft in self-level"),
    Skill.SELF_LEVEL_IN_SIGHT: mark("self-level in sight"),
    Skill.GOGGLES_WITH_OBSERVER: mark("goggles with observer"),
    Skill.RADIO_LOSS_DRILL: mark("radio-loss drill"),
    Skill.RATE_MODE: mark("rate mode, high over empty ground"),
    Skill.OBSTACLES: mark("obstacles"),
}
CLASS_NAMES: Final[dict[AircraftClass, str]] = {
    AircraftClass.DUCTED_MICRO: mark("a ducted micro"),
    AircraftClass.THREE_INCH: mark("a 3-inch aircraft"),
    AircraftClass.FIVE_INCH_FOUR_CELLS: mark("a 5-inch aircraft of 4 cells"),
    AircraftClass.FIVE_INCH_SIX_CELLS: mark("a 5-inch aircraft of 6 cells"),
    AircraftClass.SEVEN_INCH: mark("a 7-inch aircraft"),
}
CRITERION_WORDS: Final[dict[Skill, str]] = {
    Skill.SIMULATOR: mark(
        "{of} simulated flights of {of}: a lap each way, landed within {within} of the mark, nothing touched."
    ),
    Skill.SELF_LEVEL_DUCTED: mark(
        "{of} flights of {of} with a small ducted aircraft: a lap each way, landed within {within} of the mark."
    ),
    Skill.SELF_LEVEL_IN_SIGHT: mark(
        "{of} flights of {of} without goggles: a figure of eight, ten seconds of hover with the nose toward the pilot, "
        "landed within {within} of the mark."
    ),
    Skill.GOGGLES_WITH_OBSERVER: mark(
        "{of} flights of {of}: out and back with the observer's calls, then down within {within} of the mark as soon "
        "as the observer says so."
    ),
    Skill.RADIO_LOSS_DRILL: mark(
        "{of} rehearsals of {of}, at a moment that the observer picks: the pilot says aloud what the aircraft does now "
        "and what to do, does it, and lands within {within} of the mark. Nobody switches a radio off in the air; the "
        "radio-loss action itself is tried on the bench, without propellers."
    ),
    Skill.RATE_MODE: mark(
        "{of} flights of {of}, high over empty ground: a lap each way, and back to level from any position with no "
        "more than {within} of height lost."
    ),
    Skill.OBSTACLES: mark("{of} passes of {of} round a pole or through a gap, {within} clear of it, nothing touched."),
}
DEMAND_NAMES: Final[dict[str, str]] = {
    "pilot.demand_flight": mark("Every flight"),
    "pilot.demand_open": mark("Propellers without ducts"),
    "pilot.demand_mass": mark("Mass with the pack"),
    "pilot.demand_energy": mark("Energy at cruise"),
    "pilot.demand_thrust": mark("Full thrust over weight"),
    "pilot.demand_cruise": mark("Cruise speed"),
    "pilot.demand_level_speed": mark("Greatest level speed"),
    "pilot.demand_goggles": mark("Flown by video"),
    "pilot.demand_far": mark("Distance from launch"),
    "pilot.demand_hidden": mark("Ground hides it"),
    "pilot.demand_rate_mode": mark("Rate mode"),
    "pilot.demand_obstacles": mark("Clear of ground and trees below the route"),
}

PILOT: Final[dict[str, RuleWords]] = {
    "pilot.demand_flight": RuleWords(mark("Every flight"), mark("Every flight asks for practice on a simulator.")),
    "pilot.demand_open": RuleWords(
        mark("Propellers without ducts"),
        mark("Its propellers have no ducts: that asks for flights with a small ducted aircraft first."),
    ),
    "pilot.demand_mass": RuleWords(
        mark("Its mass asks for practice in sight"),
        mark("Its mass asks for practice in sight with a milder aircraft."),
        mark("It weighs {value}{band}; from {limit} on it asks for practice in sight."),
    ),
    "pilot.demand_energy": RuleWords(
        mark("Its energy asks for practice in sight"),
        mark("Its energy at cruise asks for practice in sight with a milder aircraft."),
        mark("At cruise it has {value}{band}; from {limit} on it asks for practice in sight."),
    ),
    "pilot.demand_thrust": RuleWords(
        mark("Its thrust asks for practice in sight"),
        mark("Its thrust asks for practice in sight with a milder aircraft."),
        mark("Its full thrust is {value} times its weight{band}; from {limit} on it asks for practice in sight."),
    ),
    "pilot.demand_cruise": RuleWords(
        mark("Its cruise speed asks for practice in sight"),
        mark("Its cruise speed asks for practice in sight with a milder aircraft."),
        mark("It cruises at {value}{band}; from {limit} on it asks for practice in sight."),
    ),
    "pilot.demand_level_speed": RuleWords(
        mark("Its greatest speed asks for practice in sight"),
        mark("Its greatest level speed asks for practice in sight with a milder aircraft."),
        mark("It reaches {value} in level flight{band}; from {limit} on it asks for practice in sight."),
    ),
    "pilot.demand_goggles": RuleWords(
        mark("Flown by video"), mark("It is flown by video: that asks for practice in goggles with an observer.")
    ),
    "pilot.demand_far": RuleWords(
        mark("Farther than anybody can tell its direction"),
        mark("It goes farther than anybody can tell which way it points: that asks for the radio-loss drill."),
        mark("It goes {value} out{band}; from {limit} on that asks for the radio-loss drill."),
    ),
    "pilot.demand_hidden": RuleWords(
        mark("Out of sight behind ground"), mark("Ground hides it on the way: that asks for the radio-loss drill.")
    ),
    "pilot.demand_rate_mode": RuleWords(
        mark("Flown in rate mode"), mark("It is flown in rate mode: that asks for practice high over empty ground.")
    ),
    "pilot.demand_obstacles": RuleWords(
        mark("Trees or rising ground close below"),
        mark("Trees or rising ground stand close below the route: that asks for practice at obstacles."),
        mark("The route clears trees and rising ground by {value}{band}; below {limit} it asks for obstacle practice."),
    ),
    "pilot.obstacle_rises": RuleWords(
        mark("What counts as an obstacle"),
        mark("Only what stands higher than this above launch counts as an obstacle below a low flight."),
        mark("It stands {value} above launch{band}; what stands above {limit} counts as an obstacle."),
    ),
    "pilot.unknown": RuleWords(
        mark("What the pilot has shown is not known"),
        mark("This flight asks for more than the first steps, and nobody said what the pilot has shown."),
    ),
    "pilot.mode_open": RuleWords(
        mark("The mode was not said"),
        mark("Nobody said in which mode it is flown, and rate mode was not shown: this holds in self-level only."),
    ),
    "pilot.one_step_short": RuleWords(
        mark("One step beyond what was shown"),
        mark("This flight asks for one step more than the pilot has shown."),
        mark("This flight asks for {value} steps more than the pilot has shown{band}; {limit} can be taught on it."),
        kind=Kind.COUNT,
    ),
    "pilot.too_strong": RuleWords(
        mark("Too much for this pilot at once"),
        mark("This flight asks for several steps more than the pilot has shown."),
        mark("This flight asks for {value} steps more than the pilot has shown{band}; {limit} are too many at once."),
        kind=Kind.COUNT,
    ),
    "pilot.far_thrust": RuleWords(
        mark("Far too strong for a first open aircraft"),
        mark("It is far too strong for a first aircraft without ducts."),
        mark(
            "Its full thrust is {value} times its weight{band}; more than {limit} is too strong for a first aircraft "
            "without ducts."
        ),
    ),
    "pilot.far_energy": RuleWords(
        mark("Far too much energy for a first open aircraft"),
        mark("It carries far too much energy for a first aircraft without ducts."),
        mark("At cruise it has {value}{band}; more than {limit} is too much for a first aircraft without ducts."),
    ),
}
PILOT_ACTIONS: Final[dict[str, str]] = {
    "say_what_was_shown": mark(
        "Enter what the pilot has shown to somebody, step by step; nothing shown is an answer too."
    ),
    "keep_self_level": mark("Keep it in self-level for the whole flight, or enter the mode."),
    "practise_next": mark(
        "Practise that step first; or fly this as the lesson, near and over empty ground, beside somebody who has it."
    ),
    "smaller_steps": mark(
        "Take smaller steps: the next one first, with a smaller and gentler aircraft, until it has been shown."
    ),
}
