"""What was seen of an aircraft, and the results of checks, in words: the chain."""

from __future__ import annotations

import re
from typing import Final

from turnback.records.bench import At, BenchCheck, Saw, Seen, Toward
from turnback.report.language import mark, text
from turnback.report.words_bench_slips import corner

TOWARD: Final[dict[Toward, str]] = {
    Toward.FRONT_LEFT: mark("toward front-left"),
    Toward.FRONT_RIGHT: mark("toward front-right"),
    Toward.REAR_LEFT: mark("toward rear-left"),
    Toward.REAR_RIGHT: mark("toward rear-right"),
    Toward.FRONT: mark("forward"),
    Toward.REAR: mark("backward"),
    Toward.LEFT: mark("to the left"),
    Toward.RIGHT: mark("to the right"),
    Toward.NOT_TOLD: mark("which way was not told"),
}
SAW: Final[dict[Saw, str]] = {
    Saw.HOVERS_WELL: mark("It hovers well."),
    Saw.FLIPS_AT_ONCE: mark("It flips at once, {toward}."),
    Saw.LIFTS_THEN_FLIPS: mark("It lifts, then flips, {toward}."),
    Saw.SPINS: mark("It lifts and spins like a top."),
    Saw.STAYS_DOWN: mark("It stays down at full throttle."),
    Saw.WEAK_LOUD: mark("It flies, but weak and loud."),
    Saw.RUNS_UP_WITHOUT_PROPELLERS: mark("Armed without propellers, it runs its motors up by itself."),
    Saw.MOTOR_TURNS: mark("A motor turns."),
    Saw.WRONG_CORNER_TURNS: mark("Another corner turns than the one that was asked."),
    Saw.TILT_SHOWN_WRONG: mark("The tilt that is shown is not the way it is held."),
}
SAW_AT: Final[dict[Saw, str]] = {
    Saw.WEAK_LOUD: mark("It flies, but weak and loud at {corner}."),
    Saw.WRONG_CORNER_TURNS: mark("Another corner turns when {corner} is asked."),
}
MOTOR_TURNS: Final[dict[str, str]] = {
    "clockwise": mark("The motor at {corner} turns clockwise, seen from above."),
    "anticlockwise": mark("The motor at {corner} turns anticlockwise, seen from above."),
}
CHECKED_AT: Final[dict[tuple[BenchCheck, str], str]] = {
    (BenchCheck.PROPELLER_DIRECTION, "right"): mark("The propeller at {corner} is of the right direction."),
    (BenchCheck.PROPELLER_DIRECTION, "wrong"): mark("The propeller at {corner} is of the wrong direction."),
    (BenchCheck.PROPELLER_FACE, "up"): mark("The propeller at {corner} is the right way up."),
    (BenchCheck.PROPELLER_FACE, "down"): mark("The propeller at {corner} is upside down."),
    (BenchCheck.MOTOR_DIRECTION, "right"): mark("The motor at {corner} turns the right way."),
    (BenchCheck.MOTOR_DIRECTION, "wrong"): mark("The motor at {corner} turns the wrong way."),
}
CHECKED: Final[dict[tuple[BenchCheck, str], str]] = {
    (BenchCheck.PROPELLER_DIRECTION, "right"): mark("All propellers are of the right direction."),
    (BenchCheck.PROPELLER_DIRECTION, "wrong"): mark("All propellers are of the wrong direction."),
    (BenchCheck.PROPELLER_FACE, "up"): mark("All propellers are the right way up."),
    (BenchCheck.PROPELLER_FACE, "down"): mark("All propellers are upside down."),
    (BenchCheck.MOTOR_DIRECTION, "right"): mark("All motors turn the right way."),
    (BenchCheck.MOTOR_DIRECTION, "wrong"): mark("All motors turn the wrong way."),
    (BenchCheck.BOARD_ARROW, "forward"): mark("The arrow on the flight board points forward."),
    (BenchCheck.BOARD_ARROW, "left"): mark("The arrow on the flight board points to the left."),
    (BenchCheck.BOARD_ARROW, "right"): mark("The arrow on the flight board points to the right."),
    (BenchCheck.BOARD_ARROW, "rear"): mark("The arrow on the flight board points to the rear."),
    (BenchCheck.BOARD_ARROW, "upside-down"): mark("The flight board lies upside down."),
    (BenchCheck.MOTOR_ORDER, "right"): mark("Each corner that is asked is the one that turns."),
    (BenchCheck.HAND_TILT, "right"): mark("The tilt that is shown is the way it is held."),
    (BenchCheck.HAND_TILT, "wrong"): mark("The tilt that is shown is not the way it is held."),
}
WRONG_RESULTS: Final = frozenset({"wrong", "down"})
ALL_RIGHT_RESULTS: Final = frozenset({"right", "up"})


def seen_words(seen: Seen) -> str:
    """Return one link of the chain as a sentence."""
    if isinstance(seen.what, BenchCheck):
        return _checked(seen, seen.what)
    if seen.what is Saw.MOTOR_TURNS and seen.at is not None and seen.result in MOTOR_TURNS:
        return text(MOTOR_TURNS[seen.result], corner=corner(seen.at))
    if seen.at is not None and seen.what in SAW_AT:
        return text(SAW_AT[seen.what], corner=corner(seen.at))
    if "{toward}" in SAW[seen.what]:
        return text(SAW[seen.what], toward=text(TOWARD[seen.toward]))
    return text(SAW[seen.what])


def found_at(seen: tuple[Seen, ...], at: At) -> tuple[tuple[Seen, bool], ...]:
    """Return the results of checks at one corner, each with whether it was right."""
    return tuple(
        (each, each.result in ALL_RIGHT_RESULTS)
        for each in seen
        if isinstance(each.what, BenchCheck) and each.at in (at, None)
        if each.result in WRONG_RESULTS | ALL_RIGHT_RESULTS and (each.what, each.result) in CHECKED_AT
    )


def _checked(seen: Seen, check: BenchCheck) -> str:
    key = (check, seen.result)
    if seen.at is not None and key in CHECKED_AT:
        return text(CHECKED_AT[key], corner=corner(seen.at))
    if seen.at is None and key in CHECKED:
        return text(CHECKED[key])
    if check is BenchCheck.MOTOR_ORDER:
        named = {each.value: each for each in At}
        crossed = [named[part] for part in re.split("[:, ]+", seen.result) if part in named]
        if crossed:
            corners = ", ".join(corner(each) for each in crossed)
            return text("Corners that answer for one another: {corners}.", corners=corners)
    return text("Checked, with the result “{result}”.", result=seen.said or seen.result)
