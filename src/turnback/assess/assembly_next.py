"""What to look at or try next: the action that tells most for a minute of work, looking before powering.

The result of an action depends on one part of the assembly, so what it is expected to tell of the way is what it tells
of that part (mutual information, in bits): entropy of its result less the entropy that its own errors leave.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.assembly_belief import Posterior
from turnback.assess.assembly_signs import arrow_result, corner_result, order_result, tilt_result
from turnback.assess.assembly_ways import CORNERS, PATTERNS, wrong_corners
from turnback.records.bench import At, BenchCheck, BenchNext, Seen
from turnback.rules import bench as rules

Floats = NDArray[np.float64]

LOOKS: Final = (BenchCheck.PROPELLER_DIRECTION, BenchCheck.PROPELLER_FACE, BenchCheck.BOARD_ARROW)
BY_CORNER: Final = (BenchCheck.PROPELLER_DIRECTION, BenchCheck.PROPELLER_FACE, BenchCheck.MOTOR_DIRECTION)
WHOLE: Final[dict[BenchCheck, Callable[[float], Floats]]] = {
    BenchCheck.BOARD_ARROW: arrow_result,
    BenchCheck.MOTOR_ORDER: order_result,
    BenchCheck.HAND_TILT: tilt_result,
}
MOST: Final = 6


def worth_doing(posterior: Posterior, seen: Sequence[Seen]) -> tuple[BenchNext, ...]:
    """Return what is worth doing next, best first; every look stands before everything powered.

    What was done is not asked for again: doing it again repeats its error. Of an action by corner the best corner is
    offered, and all corners that are left together. What tells too little is left out.

    Parameters
    ----------
    posterior : Posterior
    seen : sequence of Seen
    """
    told = [each for each in every(posterior, seen) if each.bits >= rules.TELLS_BITS.value]
    best: dict[tuple[BenchCheck, bool], BenchNext] = {}
    for each in sorted(told, key=_rank):
        best.setdefault((each.check, len(each.at) == 1), each)
    return tuple(best.values())[:MOST]


def every(posterior: Posterior, seen: Sequence[Seen]) -> Iterator[BenchNext]:
    """Return every action that is not done yet, in no order, with the bits that it is expected to tell."""
    for action in BenchCheck:
        done = [each for each in seen if each.what is action]
        part = part_chance(posterior, action)
        if action not in BY_CORNER:
            if not done:
                bits = expected_bits(part, WHOLE[action](_errs(action)))
                yield BenchNext(action, (), bits, minutes(action, len(CORNERS)), action not in LOOKS)
            continue
        looked_at = set(CORNERS) if any(each.at is None for each in done) else {each.at for each in done}
        left = tuple(corner for corner in CORNERS if corner not in looked_at)
        together = () if len(left) == 1 else (left,) if left else ()
        for corners in (*((corner,) for corner in left), *together):
            bits = expected_bits(part, corners_result(corners, _errs(action)))
            at = () if len(corners) == len(CORNERS) else corners
            yield BenchNext(action, at, bits, minutes(action, len(corners)), action not in LOOKS)


def part_chance(posterior: Posterior, action: BenchCheck) -> Floats:
    """Return the chance of every state of the part that an action speaks of; something else counts as right there."""
    parts = {
        BenchCheck.PROPELLER_DIRECTION: posterior.turning.sum(axis=1),
        BenchCheck.MOTOR_DIRECTION: posterior.turning.sum(axis=0),
        BenchCheck.PROPELLER_FACE: posterior.face.copy(),
        BenchCheck.MOTOR_ORDER: posterior.order.copy(),
        BenchCheck.BOARD_ARROW: posterior.board.copy(),
        BenchCheck.HAND_TILT: posterior.board.copy(),
    }
    part: Floats = parts[action]
    part[0] += posterior.something_else
    return part


def corners_result(corners: Sequence[At], errs: float) -> Floats:
    """Return the chance of every result of looking at some corners, shape ``(16, 2 ** corners)``."""
    chance = np.ones((PATTERNS, 1))
    for corner in corners:
        one = corner_result(errs)[wrong_corners()[:, CORNERS.index(corner)].astype(int)]
        chance = (chance[:, :, None] * one[:, None, :]).reshape(PATTERNS, -1)
    return chance


def expected_bits(part: Floats, result: Floats) -> float:
    """Return what a result is expected to tell, in bits.

    Parameters
    ----------
    part : ndarray
        Shape ``(n,)``: chance of every state.
    result : ndarray
        Shape ``(n, results)``: chance of every result in every state.
    """
    return max(float(_entropy(part @ result) - part @ _entropy(result)), 0.0)


def minutes(action: BenchCheck, corners: int) -> float:
    """Return the minutes of work of an action at so many corners."""
    if action is BenchCheck.BOARD_ARROW:
        return rules.MINUTES_ARROW.value
    if action in LOOKS:
        return rules.MINUTES_LOOK_CORNER.value + (corners - 1) * rules.MINUTES_LOOK_FURTHER.value
    return rules.MINUTES_POWERED.value + corners * rules.MINUTES_POWERED_CORNER.value


def _rank(each: BenchNext) -> tuple[bool, float]:
    return each.powered, -each.bits / each.minutes


def _errs(action: BenchCheck) -> float:
    return rules.LOOK_ERRS.value if action in LOOKS else rules.POWERED_ERRS.value


def _entropy(chance: Floats) -> Floats:
    """Return the entropy over the last axis, in bits."""
    bits: Floats = -(chance * np.log2(np.where(chance > 0.0, chance, 1.0))).sum(axis=-1)
    return bits
