"""The bench as data: how often an aircraft is put together wrongly, how sights mislead, what an action costs.

Corners are written in the order front-left, front-right, rear-left, rear-right.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Row:
    """One value with its source key (``base/sources.py``) and its reason."""

    value: float
    source: str
    why: str


@dataclass(frozen=True, slots=True)
class Shares:
    """Shares that belong together, by name; they add up to one unless the reason says otherwise."""

    values: dict[str, float]
    source: str
    why: str


# --- how often: chance of each error in an aircraft that is brought to the bench; errors come independently -----------

PROPELLER_ONE: Final = Row(
    0.02, "common-practice", "At each corner: the commonest error of all, four propellers look nearly the same."
)
PROPELLER_PAIR: Final = Row(
    0.01, "common-practice", "Each front, rear, left or right pair: two propellers changed places, both are then wrong."
)
PROPELLER_DIAGONAL: Final = Row(
    0.001,
    "our-choice",
    "Each diagonal pair: both turn the same way, so changing places does nothing; it takes two errors.",
)
PROPELLER_ALL: Final = Row(
    0.02, "common-practice", "The aircraft was built to the other rotation scheme than its propellers were fitted for."
)
UPSIDE_DOWN_ONE: Final = Row(
    0.01, "common-practice", "At each corner: the raised letters belong on top, and a beginner does not know it yet."
)
UPSIDE_DOWN_ALL: Final = Row(0.003, "our-choice", "All four, by one who never learned which face is the upper one.")
MOTOR_ONE: Final = Row(
    0.015, "common-practice", "At each corner: a motor's wires soldered the other way around, and never tried."
)
MOTOR_ALL: Final = Row(
    0.015, "common-practice", "All four set for the other rotation scheme than the board software has."
)
SCHEME: Final = Row(
    0.03, "common-practice", "Motors and propellers agree with each other, and the board software has the other scheme."
)
ORDER_TWO: Final = Row(
    0.006,
    "common-practice",
    "Each pair of motors that get each other's output: two wires crossed, or a pin order mistaken.",
)
ORDER_TWICE: Final = Row(
    0.003, "our-choice", "Each of the three ways to cross two pairs: an order counted from another corner or mirrored."
)
ORDER_OTHER: Final = Row(0.0004, "our-choice", "Each of the fourteen other orders takes at least two errors.")
BOARD_TURNED: Final = Row(
    0.01,
    "common-practice",
    "Each of three quarter turns: the arrow on the board points aside and nobody told the software.",
)
BOARD_UPSIDE_DOWN: Final = Row(
    0.01, "common-practice", "Boards are mounted upside down to reach a plug, and the software is not told."
)
SOMETHING_ELSE: Final = Row(
    0.02, "our-choice", "Put together right, with trouble of another kind: a gain, a speed control, a bent shaft."
)

# --- what is uncertain of the aircraft itself -------------------------------------------------------------------------

THRUST_MARGIN: Final = Shares(
    {"3": 0.3, "4": 0.3, "5": 0.25, "6": 0.15},
    "our-choice", "Greatest thrust over weight of small multirotors, 3 to 6; beginners' builds lie in the lower half.",
)  # fmt: skip
REVERSE_SHARE: Final = Shares(
    {"0.3": 0.25, "0.4": 0.5, "0.5": 0.25},
    "our-choice", "A propeller driven against its direction pushes with 0.3 to 0.5 of its thrust.",
)  # fmt: skip

# --- how a flight of a second looks: rows are what it does, columns what is seen --------------------------------------

LOOKS_LIKE: Final[dict[str, Shares]] = {
    "hovers-well": Shares(
        {"hovers-well": 0.988, "flips-at-once": 0.002, "lifts-then-flips": 0.004, "spins": 0.003, "stays-down": 0.003},
        "our-choice", "A good hover is hard to mistake; what a stick makes of a good aircraft is something else.",
    ),
    "flips-at-once": Shares(
        {"hovers-well": 0.005, "flips-at-once": 0.85, "lifts-then-flips": 0.10, "spins": 0.02, "stays-down": 0.025},
        "our-choice", "It takes a tenth of a second: one in ten believes that it lifted first.",
    ),
    "lifts-then-flips": Shares(
        {"hovers-well": 0.015, "flips-at-once": 0.15, "lifts-then-flips": 0.75, "spins": 0.065, "stays-down": 0.02},
        "our-choice", "The lift is short: one in seven believes that it flipped at once.",
    ),
    "spins": Shares(
        {"hovers-well": 0.01, "flips-at-once": 0.04, "lifts-then-flips": 0.14, "spins": 0.80, "stays-down": 0.01},
        "our-choice", "A fast spin ends in a tumble, and the tumble is what is remembered.",
    ),
    "stays-down": Shares(
        {"hovers-well": 0.005, "flips-at-once": 0.08, "lifts-then-flips": 0.03, "spins": 0.035, "stays-down": 0.85},
        "our-choice", "Grass and cautious throttle look like no lift; uneven ground tips what only scrapes.",
    ),
}  # fmt: skip
ELSE_LOOKS_LIKE: Final = Shares(
    {"hovers-well": 0.20, "flips-at-once": 0.20, "lifts-then-flips": 0.20, "spins": 0.20, "stays-down": 0.20},
    "our-choice", "Trouble of another kind may look like anything; it says nothing of where it tips.",
)  # fmt: skip
ELSE_VARIES: Final = Row(
    0.5,
    "our-choice",
    "Trouble of another kind may look otherwise in each flight: half of it does, so words may disagree.",
)
TOWARD_SEEN: Final = Shares(
    {"0": 0.78, "1": 0.07, "2": 0.02, "3": 0.01, "4": 0.02},
    "our-choice", "How often a tip is seen that many eighths of a turn beside where it went (each side; all eight add "
    "up to one): a corner is easily taken for its side, and the aircraft's left for one's own.",
)  # fmt: skip
TOWARD_SAID: Final = Shares(
    {"0": 0.90, "1": 0.03, "2": 0.01, "3": 0.005, "4": 0.01},
    "our-choice", "How often what was seen is said that many eighths beside (each side; all eight add up to one).",
)  # fmt: skip
SAID_AS: Final[dict[str, Shares]] = {
    "hovers-well": Shares(
        {"hovers-well": 0.98, "flips-at-once": 0.005, "lifts-then-flips": 0.005, "spins": 0.005, "stays-down": 0.005},
        "our-choice", "A slip of the tongue.",
    ),
    "flips-at-once": Shares(
        {"hovers-well": 0.01, "flips-at-once": 0.83, "lifts-then-flips": 0.12, "spins": 0.02, "stays-down": 0.02},
        "our-choice", "The two ways to flip are said for each other, and both may be said of one flight.",
    ),
    "lifts-then-flips": Shares(
        {"hovers-well": 0.01, "flips-at-once": 0.12, "lifts-then-flips": 0.77, "spins": 0.08, "stays-down": 0.02},
        "our-choice", "The two ways to flip are said for each other, and what spins on its way over is said to spin.",
    ),
    "spins": Shares(
        {"hovers-well": 0.01, "flips-at-once": 0.03, "lifts-then-flips": 0.08, "spins": 0.87, "stays-down": 0.01},
        "our-choice", "What spins until it falls over is said to flip.",
    ),
    "stays-down": Shares(
        {"hovers-well": 0.01, "flips-at-once": 0.03, "lifts-then-flips": 0.02, "spins": 0.01, "stays-down": 0.93},
        "our-choice", "A slip of the tongue, or a tip on uneven ground.",
    ),
}  # fmt: skip
"""Which words come for what was seen: all words for one flight come from one sight, so repeating it tells little."""
WEAK_WHEN: Final = Shares(
    {"hovers-well": 1.0, "flips-at-once": 0.1, "lifts-then-flips": 0.2, "spins": 0.4, "stays-down": 0.5},
    "our-choice", "How well weak and loud fits what was seen of the flight (each against a hover; they do not add up): "
    "it means that it flies, if badly.",
)  # fmt: skip
WEAK_SEEN: Final = Row(0.6, "our-choice", "A propeller upside down lifts weakly, loud and hot: most people notice.")
WEAK_ELSEWHERE: Final = Row(0.02, "our-choice", "It is noticed, and one of the other corners is blamed, each of them.")
WEAK_FALSELY: Final = Row(
    0.01, "our-choice", "A new pilot finds a good aircraft weak and loud; where a corner is named, a quarter at each."
)
WELL_THOUGH_UPSIDE_DOWN: Final = Row(
    0.3, "our-choice", "With a propeller upside down it may hover, and is still called well by one who has no measure."
)

# --- how surely a result is right -------------------------------------------------------------------------------------

LOOK_ERRS: Final = Row(
    0.002,
    "our-choice",
    "One look in 500 is told the wrong way around: who finds something wrong looks twice.",
)
POWERED_ERRS: Final = Row(0.02, "our-choice", "One powered trial in fifty is read or said the wrong way around.")
TURNING_ERRS: Final = Row(
    0.08, "our-choice", "A turning motor seen in passing is easily taken for the other direction."
)
PASSING_ERRS: Final = Row(
    0.02, "our-choice", "Something odd that is told unasked is there: one in fifty is mistaken, as one look in fifty."
)
ELSE_ERRS: Final = Row(
    0.04,
    "our-choice",
    "Where something else is wrong, results are mistaken about twice as often: one does not know what to look for.",
)
TURNED_ON_PURPOSE: Final = Row(
    0.05,
    "common-practice",
    "Boards are turned to reach a plug and the software is told: the arrow then proves nothing.",
)

# --- what an action costs, in minutes of work -------------------------------------------------------------------------

MINUTES_LOOK_CORNER: Final = Row(
    0.5, "our-choice", "Unplug, turn one propeller by hand and look at its leading edge or letters."
)
MINUTES_LOOK_FURTHER: Final = Row(0.15, "our-choice", "Each further corner, once one has bent down.")
MINUTES_ARROW: Final = Row(0.5, "our-choice", "Find the arrow on the board; a cover may have to come off.")
MINUTES_POWERED: Final = Row(
    4.0, "our-choice", "Propellers off, aircraft held down, pack plugged in for seconds, propellers on."
)
MINUTES_POWERED_CORNER: Final = Row(0.3, "our-choice", "Each motor turned for a moment at idle.")

# --- what is said -----------------------------------------------------------------------------------------------------

TELLS_BITS: Final = Row(
    0.05, "our-choice", "An action that tells less than a twentieth of a yes-or-no answer is not asked for."
)
SURVIVES_RATIO: Final = Row(
    0.1, "our-choice", "What is less than ten times less likely than the likeliest stays on the list."
)
SHOWN_CHANCE: Final = Row(0.005, "our-choice", "An error in fewer than one in two hundred such aircraft is not listed.")
SURPRISED_CHANCE: Final = Row(0.5, "our-choice", "Something else is more likely than every way to put it together.")
SURPRISED_FIT: Final = Row(
    0.05,
    "our-choice",
    "Even the way that fits best would be seen so less than a twentieth as often as what it shows best.",
)

# --- why motors run up without propellers: typical gains --------------------------------------------------------------

INTEGRAL_GAIN: Final = Row(
    0.1, "common-practice", "Output a second for a radian a second of tracking error; a middling value."
)
ATTITUDE_GAIN: Final = Row(6.0, "common-practice", "Rate demand for a radian of tilt; a middling value.")
INTEGRAL_LIMIT: Final = Row(0.4, "common-practice", "Integral action is held to some 0.4 of full output.")
BENCH_TILT_DEG: Final = Row(2.0, "our-choice", "A bench, or a frame on its strap, is seldom nearer to level.")
