"""Bayes' rule over every way, written apart from the product: way by way, no parts, loops over what may be seen.

It shares with the product the rules (data), the prior of a way and how a way flies; none of its sums.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.assembly_prior import prior
from turnback.assess.assembly_ways import SHAPE, Ways
from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchCheck, Saw, Seen, Toward
from turnback.rules import bench as rules

Floats = NDArray[np.float64]

KINDS: Final = ["hovers-well", "flips-at-once", "lifts-then-flips", "spins", "stays-down"]
SIDES: Final = ["front", "front-right", "right", "rear-right", "rear", "rear-left", "left", "front-left"]
ARROWS: Final = {"forward": 0, "right": 1, "rear": 2, "left": 3}


def apart(one: int, other: int) -> int:
    """Return how many eighths of a turn lie between two sides, the shorter way."""
    return min((one - other) % 8, (other - one) % 8)


def told(word: Seen, kind: str, side: int) -> float:
    """Return how likely words are for one sight."""
    if word.what is Saw.WEAK_LOUD:
        return rules.WEAK_WHEN.values[kind]
    chance = rules.SAID_AS[kind].values[word.what.value]
    if word.toward is Toward.NOT_TOLD:
        return chance
    if "flips" not in kind:
        return chance / 8.0
    return chance * rules.TOWARD_SAID.values[str(apart(side, SIDES.index(word.toward.value)))]


def flight(words: Sequence[Seen], does: str | None, toward: int) -> float:
    """Return how likely words are for what a way does: the sum over every sight of it."""
    total = 0.0
    for kind in KINDS:
        seen = rules.ELSE_LOOKS_LIKE.values[kind] if does is None else rules.LOOKS_LIKE[does].values[kind]
        for side in range(8):
            beside = 1.0 / 8.0
            if does is not None and "flips" in kind and toward < 8:
                beside = rules.TOWARD_SEEN.values[str(apart(toward, side))]
            fits = 1.0
            for word in words:
                fits *= told(word, kind, side)
            total += seen * beside * fits
    return total


def part(each: Seen, every: Ways, front_left: Rotation, errs: float | None) -> Floats:
    """Return how likely one thing is for every way by its parts; `errs` instead of its own chance of error."""
    first = 1 if front_left is Rotation.CLOCKWISE else -1
    declared = np.array([first, -first, -first, first])
    wrong_propeller, wrong_motor = every.propeller != declared, every.motor != declared
    moved = every.order != np.arange(4)
    board = (every.turns != 0) | every.flipped
    corner = None if each.at is None else list(At).index(each.at)

    def one(state: NDArray[np.bool_], says: bool, own: float) -> Floats:
        error = own if errs is None else max(own, errs)
        return np.where(state == says, 1.0 - error, error)

    def at(states: NDArray[np.bool_]) -> NDArray[np.bool_]:
        return np.asarray(states.any(axis=1) if corner is None else states[:, corner])

    n = len(every.turns)
    if each.what is BenchCheck.PROPELLER_DIRECTION:
        return one(at(wrong_propeller), each.result == "wrong", rules.LOOK_ERRS.value)
    if each.what is BenchCheck.PROPELLER_FACE:
        return one(at(every.upside_down), each.result == "down", rules.LOOK_ERRS.value)
    if each.what is BenchCheck.MOTOR_DIRECTION:
        return one(at(wrong_motor), each.result == "wrong", rules.POWERED_ERRS.value)
    if each.what is Saw.MOTOR_TURNS:
        turned = 1 if each.result == "clockwise" else -1
        assert corner is not None
        return one(every.motor[:, corner] == turned, True, rules.TURNING_ERRS.value)
    if each.what is Saw.WRONG_CORNER_TURNS:
        return one(at(moved), True, rules.PASSING_ERRS.value)
    if each.what is Saw.TILT_SHOWN_WRONG:
        return one(board, True, rules.PASSING_ERRS.value)
    if each.what is BenchCheck.HAND_TILT:
        return one(board, each.result == "wrong", rules.POWERED_ERRS.value)
    if each.what is BenchCheck.MOTOR_ORDER:
        corners = set() if each.result == "right" else set(each.result.split(":"))
        same = (moved == np.array([corner.value in corners for corner in At])).all(axis=1)
        error = rules.POWERED_ERRS.value if errs is None else errs
        return np.where(same, 1.0 - error, error / 11.0)  # 12 sets of corners can have moved
    if each.what is BenchCheck.BOARD_ARROW:
        shows = np.where(every.flipped, each.result == "upside-down", every.turns == ARROWS.get(each.result, 9))
        error = rules.LOOK_ERRS.value if errs is None else errs
        purpose = rules.TURNED_ON_PURPOSE.value
        return (1.0 - purpose) * np.where(shows, 1.0 - error, error / 4.0) + purpose / 5.0
    some = every.upside_down.any(axis=1)
    if each.what is Saw.HOVERS_WELL:
        return np.where(some, rules.WELL_THOUGH_UPSIDE_DOWN.value, 1.0)
    if each.what is Saw.WEAK_LOUD:
        if corner is None:
            return np.where(some, rules.WEAK_SEEN.value, rules.WEAK_FALSELY.value)
        general = np.where(some, rules.WEAK_ELSEWHERE.value, 0.25 * rules.WEAK_FALSELY.value)
        count = every.upside_down.sum(axis=1)
        return np.where(every.upside_down[:, corner], rules.WEAK_SEEN.value / np.maximum(count, 1), general)
    return np.ones(n)


def brute(
    seen: Sequence[Seen], front_left: Rotation, every: Ways, flown: NDArray[np.uint8], share: Floats
) -> tuple[Floats, float]:
    """Return the chance of every way and of something else, after things that are all different.

    Parameters
    ----------
    seen : sequence of Seen
    front_left : Rotation
    every : Ways
        All of them.
    flown : ndarray
        Shape ``(n, margins)``: kind and side as one number.
    share : ndarray
        Shape ``(margins,)``.
    """
    before = prior()
    place = np.unravel_index(np.arange(len(every.turns)), SHAPE)
    chance = (
        before.turning[place[0], place[1]] * before.face[place[2]] * before.order[place[3]] * before.board[place[4]]
    )
    chance *= 1.0 - before.something_else
    other = before.something_else
    words = [each for each in seen if each.what is Saw.WEAK_LOUD or each.what.value in KINDS]
    if words:
        by_number = np.array([flight(words, kind, side) for kind in KINDS for side in range(9)])
        chance *= sum(share[margin] * by_number[flown[:, margin]] for margin in range(len(share)))
        alone = float(np.prod([flight([word], None, 8) for word in words]))  # otherwise in each flight
        varies = rules.ELSE_VARIES.value
        other *= varies * alone + (1.0 - varies) * flight(words, None, 8)
    for each in seen:
        chance *= part(each, every, front_left, None)
        other *= float(part(each, every, front_left, rules.ELSE_ERRS.value)[0])
    whole = chance.sum() + other
    return chance / whole, other / whole
