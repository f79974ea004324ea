"""What those who mend aircraft know of wrong assembly, and what the algebra says of it; all common practice.

A wrong propeller or motor "tips toward" its corner because that corner pushes down. The time simulation of
`tests/studies/test_assembly_flown.py` holds the same algebra over all ways.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from turnback.assess.assembly_flown import KINDS, TOWARDS, FlownKind, flown
from turnback.assess.assembly_ways import ORDERS, SHAPE, scheme, ways
from turnback.records.aircraft import Rotation
from turnback.records.bench import At, Toward

pytestmark = pytest.mark.published

MARGINS = (3.0, 4.0, 5.0, 6.0)
REVERSES = (0.3, 0.4, 0.5)
CORNERS = tuple(At)
FRONT, REAR, LEFT, RIGHT = (0, 1), (2, 3), (0, 2), (1, 3)
DIAGONALS = ((0, 3), (1, 2))
ALL = (0, 1, 2, 3)
FLAT, FLIPPED = (0, 1, 2, 3), (4, 5, 6, 7)


def does(
    propeller: tuple[int, ...] = (),
    motor: tuple[int, ...] = (),
    face: tuple[int, ...] = (),
    order: tuple[int, ...] = ALL,
    board: int = 0,
    margins: tuple[float, ...] = MARGINS,
    reverses: tuple[float, ...] = REVERSES,
) -> set[tuple[FlownKind, Toward]]:
    """Return all that one way does at these margins, for both rotation schemes; corners count from front-left."""
    number = [sum(1 << corner for corner in corners) for corners in (propeller, motor, face)]
    index = np.array([np.ravel_multi_index((*number, ORDERS.index(order), board), SHAPE)])
    found = set()
    for rotation in Rotation:
        for margin in margins:
            for reverse in reverses:
                done = flown(ways(index, rotation), scheme(rotation), margin, reverse)
                found.add((KINDS[done.kind[0]], TOWARDS[done.toward[0]]))
    return found


def only(kind: FlownKind, toward: Toward = Toward.NOT_TOLD) -> set[tuple[FlownKind, Toward]]:
    """Return a set of one."""
    return {(kind, toward)}


def test_put_together_right_it_hovers() -> None:
    assert does() == only(FlownKind.HOLDS)


@pytest.mark.parametrize("corner", ALL)
def test_one_wrong_corner_tips_toward_it_and_propeller_and_motor_look_alike(corner: int) -> None:
    toward = only(FlownKind.FLIPS_AT_ONCE, Toward(CORNERS[corner].value))
    assert does(propeller=(corner,)) == toward
    assert does(motor=(corner,)) == toward


@pytest.mark.parametrize(
    ("pair", "toward"),
    [(FRONT, Toward.FRONT), (REAR, Toward.REAR), (LEFT, Toward.LEFT), (RIGHT, Toward.RIGHT)],
)
def test_a_wrong_pair_of_propellers_tips_toward_its_side(pair: tuple[int, ...], toward: Toward) -> None:
    assert does(propeller=pair) == only(FlownKind.FLIPS_AT_ONCE, toward)


def test_all_propellers_or_all_motors_wrong_push_down_and_both_together_lift_and_spin() -> None:
    assert does(propeller=ALL) == only(FlownKind.STAYS_DOWN)
    assert does(motor=ALL) == only(FlownKind.STAYS_DOWN)
    assert does(propeller=ALL, motor=ALL) == only(FlownKind.SPINS)


@pytest.mark.parametrize("order", [order for order in ORDERS if order != ALL])
def test_any_crossed_motors_lift_then_flip(order: tuple[int, ...]) -> None:
    # Known of two crossed motors; true of every order but the right one.
    assert does(order=order) == only(FlownKind.LIFTS_THEN_FLIPS)


@pytest.mark.parametrize("board", FLAT[1:])
def test_a_turned_board_lifts_then_flips(board: int) -> None:
    assert does(board=board) == only(FlownKind.LIFTS_THEN_FLIPS)


@pytest.mark.parametrize("board", FLIPPED)
def test_a_board_upside_down_flips_at_once_and_nobody_can_tell_where(board: int) -> None:
    assert does(board=board) == only(FlownKind.FLIPS_AT_ONCE)


@pytest.mark.parametrize("pair", DIAGONALS)
def test_a_reversed_diagonal_pair_lifts_then_flips_with_much_thrust_and_stays_down_with_little(
    pair: tuple[int, ...],
) -> None:
    # Lift is (2 - 2 r) / 4 of the margin: 6 gives 1.5 to 2.1 weights; 3 gives 0.75 to 1.05.
    assert does(propeller=pair, margins=(6.0,)) == only(FlownKind.LIFTS_THEN_FLIPS)
    assert does(propeller=pair, margins=(3.0,), reverses=(0.4, 0.5)) == only(FlownKind.STAYS_DOWN)


@pytest.mark.parametrize("corners", [*((c,) for c in ALL), *combinations(ALL, 2), ALL])
def test_propellers_on_their_face_still_lift(corners: tuple[int, ...]) -> None:
    # Weak, loud and hot, but lifting: which shows at another place (`assembly_signs`), not in how it flies.
    kinds = {kind for kind, _ in does(face=corners)}
    assert kinds <= {FlownKind.HOLDS, FlownKind.SPINS}


def test_one_corner_with_motor_and_propeller_both_wrong_lifts_and_turns() -> None:
    # It pushes up as it should and its reaction torque is the wrong one: level, but nothing holds the heading.
    for corner in ALL:
        assert does(propeller=(corner,), motor=(corner,)) == only(FlownKind.SPINS)
