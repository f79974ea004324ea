"""Every way to put an aircraft together is there once, and its prior is what independent errors leave."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np
import pytest

from turnback.assess.assembly_prior import prior
from turnback.assess.assembly_ways import COUNT, MOVED, MOVED_OF, ORDERS, at_corners, scheme, ways, wrong_corners
from turnback.base.sources import SOURCES
from turnback.records.aircraft import Rotation
from turnback.records.bench import At
from turnback.rules import bench as rules


def test_the_space_is_as_large_as_its_parts_and_no_way_comes_twice() -> None:
    # 16 propeller patterns x 16 motor patterns x 24 orders x 8 mountings = 49,152 (models.md), times 16 ways up.
    assert COUNT == 16 * 49_152
    every = ways(np.arange(COUNT), Rotation.CLOCKWISE)
    parts = [every.propeller > 0, every.upside_down, every.motor > 0, every.flipped[:, None]]
    bits = np.packbits(np.column_stack(parts), axis=1)
    whole = np.column_stack([bits, every.order, every.turns]).astype(np.uint8)
    assert len(np.unique(np.ascontiguousarray(whole).view(f"V{whole.shape[1]}"))) == COUNT


@pytest.mark.parametrize("front_left", list(Rotation))
def test_the_first_way_is_put_together_right(front_left: Rotation) -> None:
    right = ways(np.array([0]), front_left)
    first = 1 if front_left is Rotation.CLOCKWISE else -1
    assert right.propeller.tolist() == right.motor.tolist() == [[first, -first, -first, first]]
    assert scheme(front_left).sum() == 0
    assert not right.upside_down.any()
    assert not right.flipped.any()
    assert right.order.tolist() == [[0, 1, 2, 3]]
    assert right.turns.tolist() == [0]


def test_patterns_name_their_corners() -> None:
    assert at_corners(0) == ()
    assert at_corners(0b1001) == (At.FRONT_LEFT, At.REAR_RIGHT)
    assert wrong_corners()[0b0110].tolist() == [False, True, True, False]


def test_orders_are_told_by_the_corners_that_moved() -> None:
    assert MOVED_OF[0] == 0
    assert np.bincount(MOVED_OF).tolist() == [1, *[1] * 6, *[2] * 4, 9]  # derangements of 2, 3, 4: 1, 2, 9
    for order, place in zip(ORDERS, MOVED_OF, strict=True):
        assert MOVED[place] == tuple(corner for corner, output in enumerate(order) if corner != output)


def test_every_part_of_the_prior_adds_up_to_one() -> None:
    before = prior()
    for part in (before.turning, before.face, before.order, before.board):
        assert part.sum() == pytest.approx(1.0, abs=1e-12)
        assert part.min() >= 0.0


def test_the_prior_is_that_of_every_combination_of_errors() -> None:
    # Written apart from the product: every error is there or not, 2 ** 11 combinations for the propellers.
    pairs = list(combinations(range(4), 2))
    errors = [(rules.PROPELLER_ONE.value, {corner}) for corner in range(4)]
    errors += [(rules.PROPELLER_PAIR.value, set(pair)) for pair in pairs if sum(pair) != 3]
    errors += [(rules.PROPELLER_DIAGONAL.value, set(pair)) for pair in pairs if sum(pair) == 3]
    errors += [(rules.PROPELLER_ALL.value, {0, 1, 2, 3})]
    propeller: dict[frozenset[int], float] = {}
    for there in product((False, True), repeat=len(errors)):
        wrong: set[int] = set()
        chance = 1.0
        for (share, corners), is_there in zip(errors, there, strict=True):
            chance *= share if is_there else 1.0 - share
            wrong ^= corners if is_there else set()
        propeller[frozenset(wrong)] = propeller.get(frozenset(wrong), 0.0) + chance
    motor_one, motor_all, both = rules.MOTOR_ONE.value, rules.MOTOR_ALL.value, rules.SCHEME.value

    def motors(wrong: int) -> float:
        plain = motor_one**wrong * (1 - motor_one) ** (4 - wrong)
        other = motor_one ** (4 - wrong) * (1 - motor_one) ** wrong
        return (1 - motor_all) * plain + motor_all * other

    for at, chance in propeller.items():
        pattern = sum(1 << corner for corner in at)
        rest = propeller[frozenset({0, 1, 2, 3} - at)]
        for motor in range(16):
            count = motor.bit_count()
            expected = (1 - both) * chance * motors(count) + both * rest * motors(4 - count)
            assert prior().turning[pattern, motor] == pytest.approx(expected, rel=1e-12)


def test_boards_and_orders_have_their_own_shares() -> None:
    turned, over = rules.BOARD_TURNED.value, rules.BOARD_UPSIDE_DOWN.value
    right_way_up = [1.0 - 3.0 * turned, turned, turned, turned]  # none, and 1 to 3 quarter turns
    assert prior().board[:4] == pytest.approx([(1.0 - over) * share for share in right_way_up])
    assert prior().board[4:] == pytest.approx([over * share for share in right_way_up])
    # Permutations of four by what they move: 6 exchange two, 8 go around three, 3 exchange two pairs, 6 go around four.
    two, twice, other = rules.ORDER_TWO.value, rules.ORDER_TWICE.value, rules.ORDER_OTHER.value
    assert sorted(prior().order[1:]) == pytest.approx(sorted([two] * 6 + [twice] * 3 + [other] * 14))
    moved = [sum(c != output for c, output in enumerate(order)) for order in ORDERS]
    assert all(prior().order[place] == two for place, count in enumerate(moved) if count == 2)
    assert all(prior().order[place] == other for place, count in enumerate(moved) if count == 3)


def test_every_row_of_the_bench_has_a_source_a_reason_and_shares_that_add_up() -> None:
    rows = [value for value in vars(rules).values() if isinstance(value, rules.Row | rules.Shares)]
    rows += [row for value in vars(rules).values() if isinstance(value, dict) for row in value.values()
             if isinstance(row, rules.Shares)]  # fmt: skip
    assert len(rows) > 45
    for row in rows:
        assert row.source in SOURCES
        assert row.why[0].isupper()
        assert row.why.endswith(".")
        if isinstance(row, rules.Shares) and row is not rules.WEAK_WHEN:
            values = row.values
            each_side = row in (rules.TOWARD_SEEN, rules.TOWARD_SAID)
            whole = 2.0 * sum(values.values()) - values["0"] - values["4"] if each_side else sum(values.values())
            assert whole == pytest.approx(1.0, abs=1e-12)
