"""The assembly errors in words: what each is called, and what to do when it is found."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from turnback.records.aircraft import Rotation
from turnback.records.bench import At, MendStep, Slip, SlipFound, SlipSet
from turnback.report.language import mark, text

CORNERS: Final[dict[At, str]] = {
    At.FRONT_LEFT: mark("front-left"),
    At.FRONT_RIGHT: mark("front-right"),
    At.REAR_LEFT: mark("rear-left"),
    At.REAR_RIGHT: mark("rear-right"),
}
ROTATIONS: Final[dict[Rotation, str]] = {
    Rotation.CLOCKWISE: mark("clockwise"),
    Rotation.ANTICLOCKWISE: mark("anticlockwise"),
}
ONE: Final[dict[Slip, str]] = {
    Slip.PROPELLER_DIRECTION: mark("a propeller of the wrong direction at {corners}"),
    Slip.PROPELLER_UPSIDE_DOWN: mark("a propeller upside down at {corners}"),
    Slip.MOTOR_DIRECTION: mark("a motor that turns the wrong way at {corners}"),
}
MANY: Final[dict[Slip, str]] = {
    Slip.PROPELLER_DIRECTION: mark("propellers of the wrong direction at {corners}"),
    Slip.PROPELLER_UPSIDE_DOWN: mark("propellers upside down at {corners}"),
    Slip.MOTOR_DIRECTION: mark("motors that turn the wrong way at {corners}"),
}
ALL_FOUR: Final[dict[Slip, str]] = {
    Slip.PROPELLER_DIRECTION: mark("all four propellers of the wrong direction"),
    Slip.PROPELLER_UPSIDE_DOWN: mark("all four propellers upside down"),
    Slip.MOTOR_DIRECTION: mark("all four motors turning the wrong way"),
}
WHOLE: Final[dict[Slip, str]] = {
    Slip.SCHEME: mark("all four motors and propellers against the declared scheme"),
    Slip.ORDER: mark("the motor order crossed"),
    Slip.BOARD_TURNED: mark("the flight board turned"),
    Slip.BOARD_UPSIDE_DOWN: mark("the flight board upside down"),
    Slip.SOMETHING_ELSE: mark("something else than the way it is put together"),
}
TURNED: Final[dict[int, str]] = {
    1: mark("the flight board turned by a quarter turn clockwise, seen from above"),
    2: mark("the flight board turned by a half turn, its arrow to the rear"),
    3: mark("the flight board turned by a quarter turn anticlockwise, seen from above"),
}
RIGHT: Final = mark("put together right")
MEND: Final[dict[Slip, str]] = {
    Slip.PROPELLER_DIRECTION: mark(
        "Unplug the pack. Fit a propeller of the direction that the portrait of its corner shows. The motor stays as "
        "it is."
    ),
    Slip.PROPELLER_UPSIDE_DOWN: mark(
        "Unplug the pack. Take the propeller off and put it on again with its other face up: the rounded edge higher, "
        "the hollow side down. It stays at its corner."
    ),
    Slip.MOTOR_DIRECTION: mark(
        "Unplug the pack. Reverse that motor: in the set-up of its speed control, or by changing over any two of its "
        "three leads. Then look at its propeller: it must be of the direction that the portrait of its corner shows. "
        "If it is not, change it too, or it will push down."
    ),
    Slip.SCHEME: mark(
        "Unplug the pack and take all propellers off. Change the declared scheme in the set-up to the way the motors "
        "turn: then each motor keeps its propeller. Or reverse all four motors and change all four propellers. Never "
        "one without the other: it would push down."
    ),
    Slip.ORDER: mark(
        "Unplug the pack and take all propellers off. Put the order of the motor outputs right in the set-up, so that "
        "the corner that is asked is the one that turns. No motor is reversed by that, so each keeps its propeller."
    ),
    Slip.BOARD_TURNED: mark(
        "Unplug the pack and turn the flight board until its arrow points to the front, or set the angle at which it "
        "sits in the set-up. Motors and propellers stay."
    ),
    Slip.BOARD_UPSIDE_DOWN: mark(
        "Unplug the pack and turn the flight board over, or say in the set-up that it lies upside down. Motors and "
        "propellers stay."
    ),
    Slip.SOMETHING_ELSE: mark(
        "Change nothing of how it is put together. Look for a loose propeller, a motor that falls out of step, a "
        "broken lead, or a wrong set-up, with somebody who knows."
    ),
}
"""What to do, whichever corner it is. What happens to the propeller of a reversed motor is always said."""
STEPS: Final[dict[MendStep, str]] = {
    MendStep.UNPLUG: mark("Unplug the pack."),
    MendStep.PROPELLERS_OFF: mark("Take all four propellers off."),
    MendStep.FIT_PROPELLER: mark("Fit a propeller of the direction that the portrait of its corner shows."),
    MendStep.SWAP_PROPELLERS: mark(
        "Let propellers change places, so that each corner gets the direction that its portrait shows."
    ),
    MendStep.TURN_PROPELLER_OVER: mark(
        "Turn the propeller over: the rounded edge higher, the hollow side underneath. Its direction stays, and so "
        "does its corner."
    ),
    MendStep.REVERSE_MOTOR: mark(
        "Reverse each motor that turns against its portrait: in the set-up of its speed control, or by changing over "
        "any two of its three leads."
    ),
    MendStep.KEEP_PROPELLER: mark(
        "Then look at its propeller. It stays only if it is of the direction that the portrait shows."
    ),
    MendStep.CHANGE_PROPELLER_TOO: mark(
        "A propeller that lifted while its motor turned the wrong way will push down now that the motor is reversed: "
        "change it for one of the other direction."
    ),
    MendStep.DECLARE_SCHEME: mark(
        "Or leave motors and propellers as they are, and change the declared scheme in the set-up. Do one of the two, "
        "never both."
    ),
    MendStep.EXCHANGE_OUTPUTS: mark(
        "Give each corner its own output in the set-up. No motor is reversed by that, so the propellers stay."
    ),
    MendStep.TURN_BOARD: mark(
        "Turn the flight board until its arrow points to the front, or say in the set-up how it sits."
    ),
    MendStep.TURN_BOARD_OVER: mark("Turn the flight board over, or say in the set-up that it lies upside down."),
    MendStep.LOOK_AT_ALL: mark("Look at every corner and at the flight board once more before propellers go on."),
    MendStep.LOOK_ELSEWHERE: mark(
        "Change nothing of how it is put together. What was seen has another reason: look for a loose propeller, a "
        "motor that falls out of step, a broken lead or a wrong set-up before flying, with somebody who knows."
    ),
}
AT_CORNERS: Final[dict[Slip, str]] = {
    Slip.PROPELLER_DIRECTION: mark("At {corners} belongs a propeller that turns {direction}, seen from above."),
    Slip.MOTOR_DIRECTION: mark(
        "At {corners} the motor must turn {direction}, seen from above, and so must its propeller."
    ),
}


def declared(front_left: Rotation, at: At) -> Rotation:
    """Return how motor and propeller of a corner should turn: diagonal corners alike, neighbours against each other."""
    if at in (At.FRONT_LEFT, At.REAR_RIGHT):
        return front_left
    return other(front_left)


def other(rotation: Rotation) -> Rotation:
    """Return the other direction of turning."""
    return Rotation.ANTICLOCKWISE if rotation is Rotation.CLOCKWISE else Rotation.CLOCKWISE


def corner(at: At) -> str:
    """Return a corner's name."""
    return text(CORNERS[at])


def rotation_words(rotation: Rotation) -> str:
    """Return a direction of turning, seen from above."""
    return text(ROTATIONS[rotation])


def corners(at: Iterable[At]) -> str:
    """Return corners in a row: "front-left, front-right and rear-left"."""
    return together_all([corner(each) for each in at])


def together_all(names: list[str]) -> str:
    """Return names in a row, the last joined by "and"."""
    if len(names) <= 1:
        return "".join(names)
    return text("{first} and {last}", first=", ".join(names[:-1]), last=names[-1])


def any_of(names: list[str]) -> str:
    """Return names in a row, the last joined by "or"."""
    if len(names) <= 1:
        return "".join(names)
    return text("{first} or {last}", first=", ".join(names[:-1]), last=names[-1])


def slip_name(found: SlipFound) -> str:
    """Return an assembly error as a clause: "a propeller upside down at rear-left"."""
    slip = found.slip
    if slip is Slip.BOARD_TURNED:
        return text(TURNED.get(found.quarter_turns, WHOLE[slip]))
    if slip is Slip.ORDER and found.at:
        return _crossed(found)
    if slip in WHOLE or not found.at:
        return text(WHOLE.get(slip, ALL_FOUR.get(slip, "")))
    if len(found.at) == len(At):
        return text(ALL_FOUR[slip])
    return text((ONE if len(found.at) == 1 else MANY)[slip], corners=corners(found.at))


def set_name(found: SlipSet) -> str:
    """Return errors that are there together as one clause."""
    if not found.slips:
        return text(RIGHT)
    return together_all([slip_name(slip) for slip in found.slips])


def mend_lines(
    slip: Slip, places: Iterable[tuple[At, ...]], front_left: Rotation, steps: tuple[MendStep, ...] = ()
) -> tuple[str, ...]:
    """Return what to do when an error is found, with the directions that its corners must have.

    Parameters
    ----------
    slip : Slip
    places : iterable of tuple of At
        Corners at which it may be found.
    front_left : Rotation
        Declared scheme.
    steps : tuple of MendStep
        In their order; without any, the mend of such an error in general.
    """
    lines = [text(STEPS[step]) for step in steps] or [text(MEND[slip])]
    if steps and steps[0] is not MendStep.UNPLUG:
        lines.insert(0, text(STEPS[MendStep.UNPLUG]))
    about = {each for place in places for each in place}
    for rotation in Rotation:
        at = [each for each in At if each in about and declared(front_left, each) is rotation]
        if at and slip in AT_CORNERS:
            lines.append(text(AT_CORNERS[slip], corners=corners(at), direction=rotation_words(rotation)))
    if slip is Slip.SCHEME:
        said = rotation_words(other(front_left))
        lines.append(text("The way the motors turn, the scheme is: front-left {direction}, seen from above.",
                          direction=said))  # fmt: skip
    return tuple(lines)


def _crossed(found: SlipFound) -> str:
    if len(found.at) == len(At):
        return text("the motor order crossed between all four corners")
    return text("the motor order crossed: {corners} get each other's output", corners=corners(found.at))
