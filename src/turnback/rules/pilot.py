"""Rules on pilot and aircraft: what a flight asks of its pilot, and what has to be shown before moving on.

A demand's ``do`` names nothing to mend; the finding that follows from all demands does.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from turnback.rules.rule import Rule

DEMAND_FLIGHT: Final = Rule(
    "pilot.demand_flight", 1, "", "common-practice",
    "Sticks are learned where a crash costs nothing: on a simulator.",
    "none",
)  # fmt: skip
DEMAND_OPEN: Final = Rule(
    "pilot.demand_open", 1, "", "common-practice",
    "Propellers without ducts cut; the first landings belong to a small ducted aircraft.",
    "none",
)  # fmt: skip
DEMAND_MASS: Final = Rule(
    "pilot.demand_mass", 0.25, "kg", "our-choice",
    "From a quarter of a kilogram on, with the pack, a fall can hurt badly; the European rules draw their lightest "
    "class there too.",
    "none",
)  # fmt: skip
DEMAND_ENERGY: Final = Rule(
    "pilot.demand_energy", 15.0, "J", "our-choice",
    "About where the first published threshold of energy lies (14 CFR 107.120: 14.9 J); a ducted micro has less than "
    "one joule at cruise.",
    "none",
)  # fmt: skip
DEMAND_THRUST: Final = Rule(
    "pilot.demand_thrust", 5.0, "", "our-choice",
    "With five times its weight in thrust, a tenth of the stick's way is half its weight: a startled thumb sends it up "
    "out of sight.",
    "none",
)  # fmt: skip
DEMAND_CRUISE: Final = Rule(
    "pilot.demand_cruise", 8.0, "m/s", "our-choice",
    "A beginner needs two or three seconds to see what is wrong; at 8 m/s that is 20 m.",
    "none",
)  # fmt: skip
DEMAND_LEVEL_SPEED: Final = Rule(
    "pilot.demand_level_speed", 30.0, "m/s", "our-choice",
    "At 30 m/s it is past the distance at which its direction can be told within five seconds.",
    "none",
)  # fmt: skip
DEMAND_GOGGLES: Final = Rule(
    "pilot.demand_goggles", 1, "", "common-practice",
    "In goggles a pilot sees neither the sky around nor who walks in, and has to work with an observer.",
    "none",
)  # fmt: skip
DEMAND_FAR: Final = Rule(
    "pilot.demand_far", 1.0, "m", "our-choice",
    "Where nobody can tell which way it points, nobody flies it home by eye: whoever goes there has rehearsed the loss "
    "of picture and of control. The distance is that of the observer's rule.",
    "none",
)  # fmt: skip
DEMAND_HIDDEN: Final = Rule(
    "pilot.demand_hidden", 1, "", "our-choice",
    "Behind ground nobody sees it, and a lost link is to be expected: whoever goes there has rehearsed it.",
    "none",
)  # fmt: skip
DEMAND_RATE_MODE: Final = Rule(
    "pilot.demand_rate_mode", 1, "", "common-practice",
    "In rate mode it does not level itself: letting go of the sticks keeps it turned over.",
    "none",
)  # fmt: skip
DEMAND_OBSTACLES: Final = Rule(
    "pilot.demand_obstacles", 10.0, "m", "our-choice",
    "Trees or rising ground this close below the route leave a beginner's height error, some metres, no room.",
    "none",
)  # fmt: skip
RISES: Final = Rule(
    "pilot.obstacle_rises", 2.0, "m", "our-choice",
    "A low flight over open level ground has no obstacle below it: only what stands higher than this above "
    "launch counts.",
    "none",
)  # fmt: skip
UNKNOWN: Final = Rule(
    "pilot.unknown", 1, "", "our-choice",
    "This flight asks for more than the first steps, and nobody said what the pilot has shown.",
    "say_what_was_shown",
)  # fmt: skip
MODE_OPEN: Final = Rule(
    "pilot.mode_open", 1, "", "our-choice",
    "Nobody said in which mode it is flown, and rate mode was not shown: it holds in self-level only.",
    "keep_self_level",
)  # fmt: skip
ONE_STEP_SHORT: Final = Rule(
    "pilot.one_step_short", 1.0, "", "our-choice",
    "One new thing at a time: a flight may teach one step, with somebody beside who has it.",
    "practise_next",
)  # fmt: skip
TOO_STRONG: Final = Rule(
    "pilot.too_strong", 2.0, "", "our-choice",
    "Two new things at once are where beginners crash: the second comes while they still think about the first.",
    "smaller_steps",
)  # fmt: skip
FAR_THRUST: Final = Rule(
    "pilot.far_thrust", 6.0, "", "our-choice",
    "Above six weights of thrust it is a racing aircraft: no first open aircraft, however short the step.",
    "smaller_steps",
)  # fmt: skip
FAR_ENERGY: Final = Rule(
    "pilot.far_energy", 22.0, "J", "our-choice",
    "More than a 3-inch carries at a brisk cruise: the way from ducts to this goes over a smaller open aircraft.",
    "smaller_steps",
)  # fmt: skip

RULES: Final[tuple[Rule, ...]] = tuple(value for value in dict(globals()).values() if isinstance(value, Rule))


@dataclass(frozen=True, slots=True)
class Criterion:
    """What has to be shown before moving on from a step: so many of so many, none left out.

    Parameters
    ----------
    skill : str
        The step, as a plan writes it.
    tries : int
        All of these in a row have to succeed.
    within_m : float
        Size of what has to be met, in metres: a landing circle's radius, a gap's half width; said in the words.
    source : str
        Citation key.
    why : str
        The reason, one sentence.
    """

    skill: str
    tries: int
    within_m: float
    source: str
    why: str


CRITERIA: Final = (
    Criterion("simulator", 20, 3.0, "our-choice", "Tries cost nothing there, so that twenty can be asked for."),
    Criterion("ducted in self-level", 5, 1.0, "our-choice", "One battery a try: an afternoon's work."),
    Criterion("self-level in sight", 5, 3.0, "our-choice", "Nose toward the pilot is where beginners lose it."),
    Criterion("goggles with observer", 5, 3.0, "our-choice", "Coming down at a word is worth more than a fine line."),
    Criterion("radio-loss drill", 5, 10.0, "our-choice", "It has to come without thinking; five rehearsals settle it."),
    Criterion("rate mode", 5, 10.0, "our-choice", "Height above empty ground is the time to put a mistake right."),
    Criterion("obstacles", 20, 1.0, "our-choice", "One touch in twenty is what a gap still costs a good pilot."),
)
"""In the order of the graded way."""

CONFIDENCE: Final = 0.95
"""Of the lower bound that a row of successes is said to prove."""
EXAMPLE_TRIALS: Final = ((5, 5), (20, 20))
"""Rows of successes whose bound is told to explain the others."""
FIRST_STEPS: Final = ("simulator", "ducted in self-level")
"""Steps toward flying at all: whoever has shown a later one has left them behind."""
SMALLER_CLASS: Final = {
    "ducted micro": "",
    "3-inch": "ducted micro",
    "5-inch, 4 cells": "3-inch",
    "5-inch, 6 cells": "3-inch",
    "7-inch": "5-inch, 4 cells",
}
"""The next smaller class of each class: what a crash is set beside."""
SMALLEST_CLASS: Final = "ducted micro"
