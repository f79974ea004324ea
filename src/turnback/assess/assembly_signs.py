"""What was seen, as likelihoods: how well it fits each way to put an aircraft together.

All words for a flight come from one sight of it: first how a way flies is seen (with mistakes), then that sight is told
(with slips of the tongue), so the sum over sights is taken once and telling it again tells little. Results of looks
and powered trials speak of one part of the assembly each, with an error of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.assembly_ways import (
    CORNERS,
    MOVED,
    MOVED_OF,
    ORDERS,
    PATTERNS,
    QUARTER_TURNS,
    UPSIDE_DOWN,
    scheme,
    wrong_corners,
)  # fmt: skip
from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchCheck, Saw, Seen, Toward
from turnback.rules import bench as rules

Floats = NDArray[np.float64]

KINDS: Final = (Saw.HOVERS_WELL, Saw.FLIPS_AT_ONCE, Saw.LIFTS_THEN_FLIPS, Saw.SPINS, Saw.STAYS_DOWN)
FLIPS: Final = (Saw.FLIPS_AT_ONCE, Saw.LIFTS_THEN_FLIPS)
KINDS_FLIP: Final = np.array([kind in FLIPS for kind in KINDS])
AROUND: Final = (
    Toward.FRONT, Toward.FRONT_RIGHT, Toward.RIGHT, Toward.REAR_RIGHT,
    Toward.REAR, Toward.REAR_LEFT, Toward.LEFT, Toward.FRONT_LEFT,
)  # fmt: skip
"""Where it tips toward, clockwise seen from above, by eighths of a turn."""
NOWHERE: Final = len(AROUND)
"""Index of "no side": it does not tip, or the side is undefined."""
ARROWS: Final = ("forward", "right", "rear", "left", "upside-down")


@dataclass(frozen=True, slots=True, eq=False)
class Likelihood:
    """How well everything that was seen fits, by parts; their product is the likelihood of a way.

    Attributes
    ----------
    flight : ndarray
        Shape ``(5, 9)``: by what it does (`KINDS`) and where it tips toward (`AROUND`, then `NOWHERE`).
    propeller, motor, face : ndarray
        Shape ``(16,)``: by which corners are wrong.
    order : ndarray
        Shape ``(24,)``.
    board : ndarray
        Shape ``(8,)``.
    something_else : float
        Where it is put together right and something else is wrong.
    expected : float
        What it would be if every single thing that was seen were the one that its cause shows best.
    """

    flight: Floats
    propeller: Floats
    motor: Floats
    face: Floats
    order: Floats
    board: Floats
    something_else: float
    expected: float


Part = tuple[str, Callable[[float], Floats], float]
"""Which part of the assembly it speaks of, its likelihood there for a chance of error, and that chance."""


def likelihood(seen: Sequence[Seen], front_left: Rotation) -> Likelihood:
    """Return how well what was seen fits each way; the same thing seen again changes nothing.

    Parameters
    ----------
    seen : sequence of Seen
        In any order.
    front_left : Rotation
        The declared scheme, against which a seen direction is right or wrong.
    """
    told = _once(seen)
    words = [each for each in told if each.what in {*KINDS, Saw.WEAK_LOUD}]
    flight, something_else = _flight(words)
    alone = [_flight([word]) for word in words]
    expected = float(np.prod([fits.max() for fits, _ in alone]))
    varies = rules.ELSE_VARIES.value
    something_else = (1.0 - varies) * something_else + varies * float(np.prod([other for _, other in alone]))
    parts = {
        "propeller": np.ones(PATTERNS), "motor": np.ones(PATTERNS), "face": np.ones(PATTERNS),
        "order": np.ones(len(ORDERS)), "board": np.ones(len(QUARTER_TURNS)),
    }  # fmt: skip
    for each in told:
        part = part_told(each, front_left)
        if part is not None:
            name, like, errs = part
            parts[name] *= like(errs)
            something_else *= float(like(max(errs, rules.ELSE_ERRS.value))[0])
            expected *= float(like(errs).max())
    return Likelihood(flight=flight, **parts, something_else=something_else, expected=expected)


def part_told(each: Seen, front_left: Rotation) -> Part | None:
    """Return of which part of the assembly something speaks, and how; None where it speaks of none."""
    look, powered = rules.LOOK_ERRS.value, rules.POWERED_ERRS.value
    passing = rules.PASSING_ERRS.value
    found: Part | None = None
    match each.what:
        case BenchCheck.PROPELLER_DIRECTION:
            found = "propeller", lambda errs: _corner(each.at, errs, wrong=each.result == "wrong"), look
        case BenchCheck.PROPELLER_FACE:
            found = "face", lambda errs: _corner(each.at, errs, wrong=each.result == "down"), look
        case BenchCheck.MOTOR_DIRECTION:
            found = "motor", lambda errs: _corner(each.at, errs, wrong=each.result == "wrong"), powered
        case Saw.MOTOR_TURNS:
            wrong = _turns_wrong(each, front_left)
            found = "motor", lambda errs: _corner(each.at, errs, wrong=wrong), rules.TURNING_ERRS.value
        case BenchCheck.MOTOR_ORDER:
            found = "order", lambda errs: order_result(errs)[:, _moved(each.result)], powered
        case Saw.WRONG_CORNER_TURNS:
            found = "order", lambda errs: _wrong_corner(each.at, errs), passing
        case BenchCheck.BOARD_ARROW:
            found = "board", lambda errs: arrow_result(errs)[:, ARROWS.index(each.result)], look
        case BenchCheck.HAND_TILT:
            found = "board", lambda errs: tilt_result(errs)[:, int(each.result == "wrong")], powered
        case Saw.TILT_SHOWN_WRONG:
            found = "board", lambda errs: tilt_result(errs)[:, 1], passing
        case Saw.WEAK_LOUD:
            found = "face", lambda _: _weak(each.at), 0.0
        case Saw.HOVERS_WELL:
            found = "face", lambda _: _well(), 0.0
    return found


def corner_result(errs: float) -> Floats:
    """Return the chance that one corner is told right or wrong, shape ``(2 is wrong, 2 told wrong)``."""
    return np.array([[1.0 - errs, errs], [errs, 1.0 - errs]])


def order_result(errs: float) -> Floats:
    """Return the chance of every result of a trial of the order, shape ``(24, 12)``: by `ORDERS` and `MOVED`."""
    same = np.array(MOVED_OF)[:, None] == np.arange(len(MOVED))
    return np.where(same, 1.0 - errs, errs / (len(MOVED) - 1))


def arrow_result(errs: float) -> Floats:
    """Return the chance of every arrow that may be seen, shape ``(8, 5)``: by mounting and `ARROWS`."""
    shows = np.where(UPSIDE_DOWN, ARROWS.index("upside-down"), QUARTER_TURNS)
    same = shows[:, None] == np.arange(len(ARROWS))
    on_purpose = rules.TURNED_ON_PURPOSE.value
    plain = np.where(same, 1.0 - errs, errs / (len(ARROWS) - 1))
    return (1.0 - on_purpose) * plain + on_purpose / len(ARROWS)


def tilt_result(errs: float) -> Floats:
    """Return the chance that a tilt by hand is shown right or wrong, shape ``(8, 2)``."""
    chance: Floats = corner_result(errs)[(np.arange(len(QUARTER_TURNS)) > 0).astype(int)]
    return chance


def _once(seen: Sequence[Seen]) -> list[Seen]:
    """Leave out what was seen before, and what is said without a place where it is also said with one."""
    found: dict[tuple[object, ...], Seen] = {}
    for each in seen:
        found.setdefault((each.what, each.at, each.toward, each.result), each)
    places = {each.what for each in found.values() if each.at or each.toward is not Toward.NOT_TOLD}
    vague = {*FLIPS, Saw.WEAK_LOUD, Saw.WRONG_CORNER_TURNS} & places
    placed = [each for each in found.values() if each.at or each.toward is not Toward.NOT_TOLD]
    return [each for each in found.values() if each.what not in vague or each in placed]


def _flight(words: Sequence[Seen]) -> tuple[Floats, float]:
    """Return the likelihood of all words for a flight, by what it does, shape ``(5, 9)``, and for something else."""
    sight = np.ones((len(KINDS), NOWHERE))
    for word in {(each.what, each.toward): each for each in words}.values():
        sight *= _said(word)
    whole = sight.mean(axis=1)  # where the side is undefined
    beside = _beside(rules.TOWARD_SEEN)
    sided = np.where(KINDS_FLIP[:, None], sight @ beside.T, whole[:, None])
    seen_as = np.array([_shares(rules.LOOKS_LIKE[kind.value]) for kind in KINDS])
    flight = np.empty((len(KINDS), NOWHERE + 1))
    flight[:, :NOWHERE] = seen_as @ sided
    flight[:, NOWHERE] = seen_as @ whole
    return flight, float(_shares(rules.ELSE_LOOKS_LIKE) @ whole)


def _said(word: Seen) -> Floats:
    """Return how well words fit a sight, shape ``(5 kinds, 8 sides)``."""
    if word.what is Saw.WEAK_LOUD:
        return np.repeat(_shares(rules.WEAK_WHEN)[:, None], NOWHERE, axis=1)
    kind = np.array([rules.SAID_AS[sight.value].values[word.what.value] for sight in KINDS])[:, None]
    if word.toward is Toward.NOT_TOLD:
        return np.repeat(kind, NOWHERE, axis=1)
    side = _beside(rules.TOWARD_SAID)[:, AROUND.index(word.toward)]
    return kind * np.where(KINDS_FLIP[:, None], side, 1.0 / NOWHERE)


def _beside(row: rules.Shares) -> Floats:
    """Return the shares by eighths of a turn as a matrix, shape ``(8 true, 8 told)``."""
    apart = np.abs(np.arange(NOWHERE)[:, None] - np.arange(NOWHERE))
    shares: Floats = np.array([row.values[str(step)] for step in range(5)])[np.minimum(apart, NOWHERE - apart)]
    return shares


def _shares(row: rules.Shares) -> Floats:
    return np.array([row.values[kind.value] for kind in KINDS])


def _corner(at: At | None, errs: float, *, wrong: bool) -> Floats:
    """Return the likelihood by pattern of a corner, or of all four at once, being told right or wrong."""
    is_wrong = wrong_corners()[:, CORNERS.index(at)] if at else wrong_corners().any(axis=1)
    like: Floats = corner_result(errs)[is_wrong.astype(int), int(wrong)]
    return like


def _turns_wrong(each: Seen, front_left: Rotation) -> bool:
    turn = 1 if each.result == Rotation.CLOCKWISE.value else -1
    return each.at is not None and turn != int(scheme(front_left)[CORNERS.index(each.at)])


def _moved(result: str) -> int:
    corners = [] if result == "right" else [CORNERS.index(At(corner)) for corner in result.split(":")]
    return MOVED.index(tuple(sorted(corners)))


def _wrong_corner(at: At | None, errs: float) -> Floats:
    moved = [bool(MOVED[m]) if at is None else CORNERS.index(at) in MOVED[m] for m in MOVED_OF]
    return np.where(moved, 1.0 - errs, errs)


def _weak(at: At | None) -> Floats:
    some = wrong_corners().any(axis=1)
    if at is None:
        return np.where(some, rules.WEAK_SEEN.value, rules.WEAK_FALSELY.value)
    elsewhere = np.where(some, rules.WEAK_ELSEWHERE.value, rules.WEAK_FALSELY.value / len(CORNERS))
    shared = rules.WEAK_SEEN.value / np.maximum(wrong_corners().sum(axis=1), 1)  # one of them is named
    return np.where(wrong_corners()[:, CORNERS.index(at)], shared, elsewhere)


def _well() -> Floats:
    return np.where(wrong_corners().any(axis=1), rules.WELL_THOUGH_UPSIDE_DOWN.value, 1.0)
