"""The checks of the bench in words: what to do, how, how long it takes, and what keeps it from hurting."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from turnback.records.bench import At, BenchCheck, BenchNext
from turnback.report.language import mark, mark_plural, plural, text
from turnback.report.words_bench_slips import corners

NAMES: Final[dict[BenchCheck, str]] = {
    BenchCheck.PROPELLER_DIRECTION: mark("Look at the direction of each propeller"),
    BenchCheck.PROPELLER_FACE: mark("Look which face of each propeller is up"),
    BenchCheck.BOARD_ARROW: mark("Look at the arrow on the flight board"),
    BenchCheck.MOTOR_DIRECTION: mark("See which way each motor turns"),
    BenchCheck.MOTOR_ORDER: mark("See whether the corner that is asked is the one that turns"),
    BenchCheck.HAND_TILT: mark("Compare the tilt that is shown with the way you hold it"),
}
NAMES_AT: Final[dict[BenchCheck, tuple[str, str]]] = {
    BenchCheck.PROPELLER_DIRECTION: mark_plural(
        "Look at the direction of the propeller at {corners}", "Look at the direction of the propellers at {corners}"
    ),
    BenchCheck.PROPELLER_FACE: mark_plural(
        "Look which face of the propeller is up at {corners}", "Look which faces of the propellers are up at {corners}"
    ),
    BenchCheck.MOTOR_DIRECTION: mark_plural(
        "See which way the motor turns at {corners}", "See which way the motors turn at {corners}"
    ),
}
HOW: Final[dict[BenchCheck, str]] = {
    BenchCheck.PROPELLER_DIRECTION: mark(
        "Unplug the pack. Look at a blade from its tip: one edge is higher than the other. The higher edge must go "
        "first when it turns the way its portrait shows."
    ),
    BenchCheck.PROPELLER_FACE: mark(
        "Unplug the pack. The higher edge must be the rounded one, and the hollow side must be underneath. If the "
        "sharp edge is the higher one, the propeller is upside down. Lettering is on top, as a rule."
    ),
    BenchCheck.BOARD_ARROW: mark(
        "Unplug the pack. The arrow must point to the front and lie on top, or the way your set-up sheet says."
    ),
    BenchCheck.MOTOR_DIRECTION: mark(
        "Take all propellers off and strap the aircraft down. Let the set-up turn one motor at idle speed for a "
        "second or two. Touch the side of the bell with the end of a long strip of thin paper: it is carried along "
        "the way the motor turns. Compare with the portrait."
    ),
    BenchCheck.MOTOR_ORDER: mark(
        "Take all propellers off and strap the aircraft down. Let the set-up turn one corner at idle speed for a "
        "second or two, then the next. The corner that is asked must be the one that turns."
    ),
    BenchCheck.HAND_TILT: mark(
        "Take all propellers off. Switch on, and do not arm. Tip the nose down, then the right side down: the tilt "
        "that is shown must do the same."
    ),
}
UNPLUGGED: Final = mark("Looking, unplugged.")
POWERED: Final = mark(
    "Powered: propellers off, strapped down, short, no throttle. Connect the pack last, and disconnect it first."
)
POWERED_HELD: Final = mark(
    "Powered: propellers off, not armed, short, no throttle. Connect the pack last, and disconnect it first."
)


@dataclass(frozen=True, slots=True)
class CheckSaid:
    """One check as people read it."""

    name: str
    how: str
    """Empty where an earlier one is done the same way."""
    caution: str
    minutes: str
    powered: bool
    tell: tuple[str, str]
    """What to type where the result is as it should be, and, as an example, where it is not."""


RESULTS: Final[dict[BenchCheck, str]] = {
    BenchCheck.PROPELLER_DIRECTION: "wrong",
    BenchCheck.PROPELLER_FACE: "down",
    BenchCheck.BOARD_ARROW: "left",
    BenchCheck.MOTOR_DIRECTION: "wrong",
    BenchCheck.MOTOR_ORDER: "front-left:rear-right",
    BenchCheck.HAND_TILT: "wrong",
}
"""One result that is not as it should be, and may be told,"""
RIGHT_RESULTS: Final = {BenchCheck.PROPELLER_FACE: "up", BenchCheck.BOARD_ARROW: "forward"}
"""and what is told where all is as it should be, other than "right"."""
BY_CORNER: Final = frozenset({BenchCheck.PROPELLER_DIRECTION, BenchCheck.PROPELLER_FACE, BenchCheck.MOTOR_DIRECTION})


def told_with(check: BenchCheck, at: tuple[At, ...]) -> tuple[str, str]:
    """Return what to type where the result is as it should be, and where it is not."""
    corner = at[0] if at else At.FRONT_LEFT
    place = f".{corner.value}" if check in BY_CORNER else ""
    right = "" if len(at) != 1 else place
    return (
        f"--checked {check.value}{right}={RIGHT_RESULTS.get(check, 'right')}",
        f"--checked {check.value}{place}={RESULTS[check]}",
    )


def checks_said(following: Sequence[BenchNext]) -> tuple[CheckSaid, ...]:
    """Return checks in words, in their order; how a kind is done is told once, where it comes first."""
    said, told = [], set()
    for each in following:
        found = check_said(each)
        said.append(replace(found, how="") if each.check in told else found)
        told.add(each.check)
    return tuple(said)


def check_said(following: BenchNext) -> CheckSaid:
    """Return a check in words."""
    check = following.check
    at = following.at
    some = check in NAMES_AT and 0 < len(at) < len(At)
    name = plural(*NAMES_AT[check], len(at), corners=corners(at)) if some else text(NAMES[check])
    held = POWERED_HELD if check is BenchCheck.HAND_TILT else POWERED
    caution = text(held) if following.powered else text(UNPLUGGED)
    return CheckSaid(
        name, text(HOW[check]), caution, minutes_words(following.minutes), following.powered, told_with(check, at)
    )


def minutes_words(minutes: float) -> str:
    """Say how long a piece of work takes, in whole minutes."""
    whole = round(minutes)
    if whole < 1:
        return text("less than a minute")
    return plural("about a minute", "about {count} minutes", whole)
