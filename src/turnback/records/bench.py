"""The bench: how an aircraft may be put together, what was seen of it, and what that leaves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from turnback.records.aircraft import Rotation


class At(Enum):
    """The corners, in the one order that arrays have."""

    FRONT_LEFT = "front-left"
    FRONT_RIGHT = "front-right"
    REAR_LEFT = "rear-left"
    REAR_RIGHT = "rear-right"


class Slip(Enum):
    """Elementary assembly errors; which corner or pair is said beside it."""

    PROPELLER_DIRECTION = "propeller of the wrong direction"  # at 1 to 4 corners
    PROPELLER_UPSIDE_DOWN = "propeller upside down"  # at 1 to 4 corners
    MOTOR_DIRECTION = "motor turning the wrong way"  # at 1 to 4 corners
    SCHEME = "all four motors and propellers against the declared scheme"
    ORDER = "motor order crossed"  # the corners that get each other's output
    BOARD_TURNED = "flight board turned"  # quarter turns clockwise seen from above: 1, 2, 3
    BOARD_UPSIDE_DOWN = "flight board upside down"
    SOMETHING_ELSE = "something else than the assembly"


class Saw(Enum):
    """What can be seen of an aircraft without a record; some are seen at or toward a corner or a side."""

    HOVERS_WELL = "hovers-well"
    FLIPS_AT_ONCE = "flips-at-once"  # toward: a corner, a side (front, rear, left, right) or not told
    LIFTS_THEN_FLIPS = "lifts-then-flips"  # toward as above
    SPINS = "spins"  # lifts and turns about the upright axis
    STAYS_DOWN = "stays-down"  # full throttle, level, no lift
    WEAK_LOUD = "weak-and-loud"  # flies, but loud, weak, hot; at: a corner, or not told
    RUNS_UP_WITHOUT_PROPELLERS = "runs-up-without-propellers"
    MOTOR_TURNS = "motor-turns"  # a corner, and clockwise or anticlockwise seen from above
    WRONG_CORNER_TURNS = "wrong-corner-turns"  # another corner turns than the one asked for
    TILT_SHOWN_WRONG = "tilt-shown-wrong"  # the shown tilt is not how it is held


class Toward(Enum):
    """Where to it tips."""

    FRONT_LEFT = "front-left"
    FRONT_RIGHT = "front-right"
    REAR_LEFT = "rear-left"
    REAR_RIGHT = "rear-right"
    FRONT = "front"
    REAR = "rear"
    LEFT = "left"
    RIGHT = "right"
    NOT_TOLD = "not told"


class BenchCheck(Enum):
    """Checks of the bench; the result is right or wrong, for each corner or for the whole."""

    PROPELLER_DIRECTION = "propeller-direction"  # look; by corner: right, wrong
    PROPELLER_FACE = "propeller-face"  # look; by corner: up, down
    BOARD_ARROW = "board-arrow"  # look; forward, left, right, rear, upside-down
    MOTOR_DIRECTION = "motor-direction"  # powered; by corner: right, wrong
    MOTOR_ORDER = "motor-order"  # powered; right, or the corners that answered crosswise
    HAND_TILT = "hand-tilt"  # powered; right, wrong


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing that was seen, or the result of one check.

    Parameters
    ----------
    what : Saw or BenchCheck
    at : At, optional
        The corner it is about.
    toward : Toward
    result : str
        For a check and for `Saw.MOTOR_TURNS`: as beside the enums above.
    said : str
        As it was given, for the chain.
    """

    what: Saw | BenchCheck
    at: At | None = None
    toward: Toward = Toward.NOT_TOLD
    result: str = ""
    said: str = ""


@dataclass(frozen=True, slots=True)
class SlipFound:
    """One assembly error with its chance, alone or beside others."""

    slip: Slip
    at: tuple[At, ...]
    """The corners it is about, in the order of `At`; empty for the whole aircraft."""
    quarter_turns: int
    """Of a turned board, clockwise seen from above."""
    chance: float


@dataclass(frozen=True, slots=True)
class SlipSet:
    """Assembly errors that are there together and no other; empty is "put together right"."""

    slips: tuple[SlipFound, ...]
    chance: float


@dataclass(frozen=True, slots=True)
class BenchNext:
    """A check worth doing next."""

    check: BenchCheck
    at: tuple[At, ...]
    """At which corners; empty for the whole aircraft."""
    bits: float
    minutes: float
    powered: bool


class MendStep(Enum):
    """One step of a mend; what happens to the propeller is always among the steps where a motor is reversed."""

    UNPLUG = "unplug the pack"
    PROPELLERS_OFF = "all four propellers off"
    FIT_PROPELLER = "fit a propeller that lifts in the declared direction of this corner"
    SWAP_PROPELLERS = "let the propellers change places, front with front and rear with rear, or along one side"
    TURN_PROPELLER_OVER = "turn the propeller over; its direction stays"
    REVERSE_MOTOR = "reverse the motor"
    KEEP_PROPELLER = "the propeller stays only if it lifts in the declared direction"
    CHANGE_PROPELLER_TOO = "a motor that is reversed needs a propeller of the other direction, too"
    DECLARE_SCHEME = "or leave the motors, declare the scheme the other way, and let every propeller match its motor"
    EXCHANGE_OUTPUTS = "give each corner its own output"
    TURN_BOARD = "turn the board, or tell the board software how it is mounted"
    TURN_BOARD_OVER = "turn the board over, or tell the board software that it is upside down"
    LOOK_AT_ALL = "look at every corner and at the board once more before the propellers go on"
    LOOK_ELSEWHERE = "what was seen has another reason than the assembly: look for it before flying"


@dataclass(frozen=True, slots=True)
class Mend:
    """How one assembly error is mended, step by step."""

    slip: Slip
    at: tuple[At, ...]
    """The corners it is about; empty for the whole aircraft."""
    steps: tuple[MendStep, ...]


@dataclass(frozen=True, slots=True)
class Gains:
    """What decides how fast the outputs wind up with no propellers; the pilot's own, from the set-up sheet."""

    integral_gain: float
    """Output a second, in shares of full output, for one radian a second of tracking error."""
    attitude_gain: float
    """Rate demand, in radians a second, for one radian of tilt."""
    limit: float
    """Where integral action stops, as share of full output."""
    tilt_deg: float
    """How far it stands from level."""


@dataclass(frozen=True, slots=True)
class WindUp:
    """Why an armed aircraft without propellers runs its motors up: integral action with nothing to answer it."""

    seconds: float | None
    """Until the outputs stand at their limit; none where no gain was given."""
    tilt_deg: float
    integral_gain: float
    attitude_gain: float
    limit: float
    from_gains: bool
    """The pilot's own gains, not typical ones."""


@dataclass(frozen=True, slots=True)
class BenchAnswer:
    """What the bench says.

    Parameters
    ----------
    front_left : Rotation
        Declared scheme: how the front-left motor should turn, seen from above.
    scheme_assumed : bool
    seen : tuple of Seen
        The chain, oldest first.
    taken_back : tuple of Seen
        What was said and taken back.
    right : float
        Chance that it is put together right.
    slips : tuple of SlipFound
        Most likely first.
    sets : tuple of SlipSet
        At most 10, most likely first.
    survivors : tuple of SlipSet
        Sets that the signs do not separate from the most likely one.
    next_checks : tuple of BenchNext
        Best first; looking before powering.
    wind_up : WindUp or None
        Where motors ran up without propellers.
    surprised : bool
        What was seen does not fit any way of putting it together: something else, or a slip of the tongue.
    """

    front_left: Rotation
    scheme_assumed: bool
    seen: tuple[Seen, ...]
    taken_back: tuple[Seen, ...]
    right: float
    slips: tuple[SlipFound, ...]
    sets: tuple[SlipSet, ...]
    survivors: tuple[SlipSet, ...]
    next_checks: tuple[BenchNext, ...]
    wind_up: WindUp | None
    surprised: bool
    mends: tuple[Mend, ...] = ()
    """For the `slips`, in their order."""
