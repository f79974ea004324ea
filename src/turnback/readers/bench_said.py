"""What was seen at the bench, as it is typed: ``flips-at-once=front-left``, ``propeller-direction.rear-left=wrong``."""

from __future__ import annotations

import difflib
import math
from collections.abc import Sequence
from typing import Final

from turnback.base.errors import Fault, InputError
from turnback.readers.said import said
from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchCheck, Gains, Saw, Seen, Toward

CORNERS: Final = tuple(corner.value for corner in At)
TOWARD: Final = tuple(toward.value for toward in Toward if toward is not Toward.NOT_TOLD)
TURNS: Final = tuple(rotation.value for rotation in Rotation)
ARROWS: Final = ("forward", "left", "right", "rear", "upside-down")
RESULTS: Final[dict[BenchCheck, tuple[str, ...]]] = {
    BenchCheck.PROPELLER_DIRECTION: ("right", "wrong"),
    BenchCheck.PROPELLER_FACE: ("up", "down"),
    BenchCheck.MOTOR_DIRECTION: ("right", "wrong"),
    BenchCheck.BOARD_ARROW: ARROWS,
    BenchCheck.HAND_TILT: ("right", "wrong"),
}
"""Allowed results; of those by corner, the first may be said of all four at once."""
BY_CORNER: Final = (BenchCheck.PROPELLER_DIRECTION, BenchCheck.PROPELLER_FACE, BenchCheck.MOTOR_DIRECTION)
RANGES: Final = {
    "integral gain": (0.0, 1000.0), "attitude gain": (0.0, 1000.0), "limit": (0.0, 1.0), "tilt": (0.01, 90.0),
}  # fmt: skip


class _OddError(Exception):
    """What is wrong with one text, and what to do."""


def seen_from(saw: Sequence[str], checked: Sequence[str]) -> tuple[Seen, ...]:
    """Read what was seen, and the results of what was looked at, in the order given; sights come first.

    Parameters
    ----------
    saw : sequence of str
        ``SIGN`` or ``SIGN=VALUE``: ``spins``, ``flips-at-once=front-left``, ``motor-turns=front-left:clockwise``,
        ``weak-and-loud=rear-right``.
    checked : sequence of str
        ``CHECK=RESULT`` or ``CHECK.CORNER=RESULT``: ``propeller-direction.front-left=wrong``,
        ``propeller-direction=right`` (all four), ``motor-order=front-left:rear-right`` (they answered crosswise),
        ``board-arrow=left``, ``hand-tilt=wrong``.

    Raises
    ------
    InputError
        With one sentence for each text that is not understood: what is allowed, and the nearest.
    """
    found: list[Seen] = []
    faults: list[Fault] = []
    for name, texts, read in (("--saw", saw, _sight), ("--checked", checked, _result)):
        for text in texts:
            try:
                found.append(read(text.strip()))
            except _OddError as odd:
                faults.append(Fault(f"{name} {said(text)}", *odd.args))
    if faults:
        raise InputError(*faults)
    return tuple(found)


def gains_from(integral_gain: float, attitude_gain: float, limit: float, tilt_deg: float) -> Gains:
    """Return gains that are in their range.

    Raises
    ------
    InputError
        With one sentence for each that is not.
    """
    given = dict(zip(RANGES, (integral_gain, attitude_gain, limit, tilt_deg), strict=True))
    faults = [
        Fault(f"the {name}", f"{said(value)} is not between {low:g} and {high:g}", "take it from the set-up sheet")
        for (name, value), (low, high) in zip(given.items(), RANGES.values(), strict=True)
        if not (math.isfinite(value) and low <= value <= high)
    ]
    if faults:
        raise InputError(*faults)
    return Gains(integral_gain, attitude_gain, limit, tilt_deg)


def _sight(text: str) -> Seen:
    name, given, value = (part.strip() for part in text.partition("="))
    sign = Saw(_one_of(name, tuple(each.value for each in Saw), "sign"))
    if given and not value:
        raise _OddError("a value is missing after the equals sign", f"write {name} alone, or {name}=VALUE")
    if sign in {Saw.FLIPS_AT_ONCE, Saw.LIFTS_THEN_FLIPS} and value:
        return Seen(sign, toward=Toward(_one_of(value, TOWARD, "place it tips toward")), said=text)
    if sign in {Saw.WEAK_LOUD, Saw.WRONG_CORNER_TURNS} and value:
        return Seen(sign, at=_corner(value), said=text)
    if sign is Saw.MOTOR_TURNS:
        return _motor(text, value)
    if value:
        raise _OddError(f"{name} takes no value", f"write {name} alone")
    return Seen(sign, said=text)


def _motor(text: str, value: str) -> Seen:
    corner, _, turn = (part.strip() for part in value.partition(":"))
    if not corner or not turn:
        example = "motor-turns=front-left:clockwise, seen from above"
        raise _OddError("it needs a corner and a direction", f"write it as {example}")
    return Seen(Saw.MOTOR_TURNS, at=_corner(corner), result=_one_of(turn, TURNS, "direction"), said=text)


def _result(text: str) -> Seen:
    head, _, value = (part.strip() for part in text.partition("="))
    name, dot, corner = (part.strip() for part in head.partition("."))
    action = BenchCheck(_one_of(name, tuple(each.value for each in BenchCheck), "name of what was looked at"))
    if dot and action not in BY_CORNER:
        raise _OddError(f"{name} is of the whole aircraft and takes no corner", f"write {name}=RESULT")
    at = _corner(corner) if dot else None
    if action is BenchCheck.MOTOR_ORDER:
        return Seen(action, result=_order(value), said=text)
    result = _one_of(value, RESULTS[action], "result")
    if action in BY_CORNER and at is None and result != RESULTS[action][0]:
        raise _OddError(
            f"without a corner, {name} takes only {RESULTS[action][0]}, for all four",
            f"name the corner, such as {name}.front-left={value}",
        )
    return Seen(action, at=at, result=result, said=text)


def _order(value: str) -> str:
    if value == "right":
        return value
    corners = [part.strip() for part in value.split(":")]
    if len(corners) == 1 and value not in CORNERS:
        _one_of(value, ("right", *CORNERS), "result or corner")
    given = {_corner(corner) for corner in corners}
    if len(corners) == 1 or len(given) < len(corners):
        example = "write right, or the corners that answered crosswise, such as motor-order=front-left:rear-right"
        raise _OddError("it needs two to four different corners", example)
    return ":".join(corner.value for corner in At if corner in given)


def _corner(word: str) -> At:
    return At(_one_of(word, CORNERS, "corner"))


def _one_of(word: str, allowed: tuple[str, ...], what: str) -> str:
    if word in allowed:
        return word
    near = difflib.get_close_matches(word.lower().replace("_", "-").replace(" ", "-")[:60], allowed, n=1, cutoff=0.5)
    raise _OddError(
        f"{said(word)} is no known {what}: allowed are {', '.join(allowed)}",
        f"write {near[0]} if that was meant" if near else "write one of these",
    )
