"""The next action is the one that tells most for a minute of work, and every look stands before everything powered."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
import pytest

from turnback.assess.assembly_belief import Posterior, believe
from turnback.assess.assembly_next import LOOKS, every, minutes, worth_doing
from turnback.assess.assembly_prior import Prior, prior
from turnback.assess.assembly_signs import likelihood, part_told
from turnback.readers.bench_said import seen_from
from turnback.records.aircraft import Rotation
from turnback.records.bench import At, BenchCheck, BenchNext, Seen
from turnback.rules import bench as rules

CLOCKWISE = Rotation.CLOCKWISE


def after(*texts: str) -> tuple[Posterior, tuple[Seen, ...]]:
    """Return the belief after some sights (without a dot or a known name of an action) and results."""
    actions = tuple(action.value for action in BenchCheck)
    seen = seen_from(
        [text for text in texts if not text.startswith(actions)], [text for text in texts if text.startswith(actions)]
    )
    return believe(likelihood(seen, CLOCKWISE)), seen


def results(action: BenchCheck, corners: tuple[At, ...]) -> list[list[Seen]]:
    """Return every result that an action can have, as what is then said."""
    if action in {BenchCheck.PROPELLER_DIRECTION, BenchCheck.PROPELLER_FACE, BenchCheck.MOTOR_DIRECTION}:
        words = ("up", "down") if action is BenchCheck.PROPELLER_FACE else ("right", "wrong")
        at = corners or tuple(At)
        return [
            [Seen(action, at=corner, result=word) for corner, word in zip(at, told, strict=True)]
            for told in product(words, repeat=len(at))
        ]
    if action is BenchCheck.BOARD_ARROW:
        return [[Seen(action, result=word)] for word in ("forward", "left", "right", "rear", "upside-down")]
    if action is BenchCheck.HAND_TILT:
        return [[Seen(action, result=word)] for word in ("right", "wrong")]
    names = [corner.value for corner in At]
    moved = [{a for a, there in zip(names, bits, strict=True) if there} for bits in product((0, 1), repeat=4)]
    told_order = ["right" if not each else ":".join(a for a in names if a in each) for each in moved if len(each) != 1]
    return [[Seen(action, result=word)] for word in told_order]


def entropy(chance: np.ndarray) -> float:
    """Return bits of uncertainty."""
    flat = chance[chance > 0.0]
    return float(-(flat * np.log2(flat)).sum())


def exhaustive(belief: Posterior, action: BenchCheck, corners: tuple[At, ...]) -> float:
    """Return the expected fall of the whole belief's entropy, result by result, over every way and something else."""
    errs: Callable[[float], float] = lambda own: own  # noqa: E731
    whole, before = 0.0, entropy(np.append(belief.way.ravel(), belief.something_else))
    axes = {"propeller": 0, "motor": 1, "face": 2, "order": 3, "board": 4}
    for told in results(action, corners):
        way, other = belief.way, belief.something_else
        for each in told:
            part = part_told(each, CLOCKWISE)
            assert part is not None
            name, like, own = part
            shape = [1] * 5
            shape[axes[name]] = -1
            way = way * like(errs(own)).reshape(shape)
            other *= float(like(errs(own))[0])
        chance = float(way.sum()) + other
        whole += chance * entropy(np.append(way.ravel(), other) / chance)
    return before - whole


def small() -> Prior:
    """Return a prior on few errors, so that many ways are out: the small set of the exhaustive search."""
    turning = np.zeros((16, 16))
    turning[0, 0], turning[1, 0], turning[0, 1], turning[15, 15], turning[3, 0] = 0.6, 0.15, 0.12, 0.08, 0.05
    face, order, board = np.zeros(16), np.zeros(24), np.zeros(8)
    face[0], face[8] = 0.9, 0.1
    order[0], order[1], order[6] = 0.9, 0.06, 0.04
    board[0], board[1], board[4] = 0.9, 0.06, 0.04
    return Prior(turning, face, order, board, 0.05)


@pytest.mark.parametrize("saw", [[], ["flips-at-once=front-left"], ["lifts-then-flips"]])
def test_the_best_action_is_that_of_an_exhaustive_search(saw: list[str]) -> None:
    seen = seen_from(saw, [])
    belief = believe(likelihood(seen, CLOCKWISE), small())
    ours = list(every(belief, seen))
    by_hand = [exhaustive(belief, each.check, each.at) for each in ours]
    assert [each.bits for each in ours] == pytest.approx(by_hand, abs=1e-9)
    rates = {each: bits / each.minutes for each, bits in zip(ours, by_hand, strict=True) if each.check in LOOKS}
    assert worth_doing(belief, seen)[0] == max(rates, key=lambda each: rates[each])


@pytest.mark.parametrize(
    "texts",
    [(), ("flips-at-once=front-left",), ("lifts-then-flips",), ("spins",), ("tilt-shown-wrong",),
     ("flips-at-once=rear-left", "propeller-direction=right"), ("motor-order=front-left:front-right",)],
)  # fmt: skip
def test_every_look_that_tells_stands_before_everything_powered(texts: tuple[str, ...]) -> None:
    offered = worth_doing(*after(*texts))
    powered = [each.powered for each in offered]
    assert powered == sorted(powered)
    assert [each.powered for each in offered] == [each.check not in LOOKS for each in offered]
    assert all(each.bits >= rules.TELLS_BITS.value for each in offered)
    for group in (False, True):
        rates = [each.bits / each.minutes for each in offered if each.powered is group]
        assert rates == sorted(rates, reverse=True)


def test_a_powered_action_comes_first_only_where_no_look_tells_enough() -> None:
    looked = ("flips-at-once=front-left", "propeller-direction=right", "propeller-face=up", "board-arrow=forward")
    offered = worth_doing(*after(*looked))
    assert offered[0].powered
    assert offered[0].check is BenchCheck.MOTOR_DIRECTION


def test_what_was_done_is_not_asked_for_again() -> None:
    belief, seen = after("flips-at-once=front-left", "propeller-direction.front-left=wrong", "board-arrow=left")
    asked = [(each.check, each.at) for each in every(belief, seen)]
    assert (BenchCheck.PROPELLER_DIRECTION, (At.FRONT_LEFT,)) not in asked
    assert (BenchCheck.PROPELLER_DIRECTION, (At.FRONT_RIGHT, At.REAR_LEFT, At.REAR_RIGHT)) in asked
    assert BenchCheck.BOARD_ARROW not in {check for check, _ in asked}
    belief, seen = after("propeller-direction=right")
    assert BenchCheck.PROPELLER_DIRECTION not in {each.check for each in every(belief, seen)}


def test_the_corner_it_tips_to_is_looked_at_first() -> None:
    offered = worth_doing(*after("flips-at-once=rear-right"))
    assert offered[0].check is BenchCheck.PROPELLER_DIRECTION
    alone = next(each for each in offered if len(each.at) == 1)
    assert alone.at == (At.REAR_RIGHT,)


def test_looking_costs_less_than_powering() -> None:
    looks = [minutes(action, 4) for action in LOOKS]
    assert max(looks) < min(minutes(action, 1) for action in BenchCheck if action not in LOOKS)
    assert minutes(BenchCheck.PROPELLER_FACE, 1) < minutes(BenchCheck.PROPELLER_FACE, 4)


def test_nothing_is_worth_doing_where_everything_is_known() -> None:
    certain = believe(likelihood((), CLOCKWISE), Prior(*_certain(), 0.0))
    assert worth_doing(certain, ()) == ()
    assert isinstance(next(every(certain, ())), BenchNext)


def _certain() -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    parts = tuple(np.zeros_like(part) for part in (prior().turning, prior().face, prior().order, prior().board))
    for part in parts:
        part.flat[0] = 1.0
    return parts[0], parts[1], parts[2], parts[3]
