"""A weight toward a corner and a corner that lifts too little look alike in hover; how it turns tells them apart."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.assess.test_signs_outputs_motion import HZ, Made, seen_in, sign

from turnback.assess.output_events_balance import HALVES
from turnback.assess.signs_outputs import output_signs
from turnback.records.debrief import SignsTold

LONE, SIDES = "one-corner-works-harder", "halves-differ-in-hover"
ROLL, PITCH, PAIR = (HALVES[name] for name in ("left-right", "front-rear", "diagonal"))
HOVERS_S = 5.0
GAIN = 30.0
RIGHT_REAR = 3


def smooth(rng: np.random.Generator, n: int, size: float, over_s: float) -> NDArray[np.float64]:
    """Return what wanders about nothing with a standard deviation of `size`."""
    width = round(over_s * HZ)
    found = np.convolve(rng.normal(0.0, 1.0, n + width), np.ones(width), "valid")[:n]
    return np.asarray(found / found.std() * size)


def flown(
    lifts: float = 1.0, weight: float = 0.0, moves: float = 3.0, blows: float = 0.0, speeds: bool = True
) -> SignsTold:
    """Return the signs of a flight with a corner that lifts so much, or a weight so far toward it."""
    made = Made()
    rows = made.rows(HOVERS_S)
    n, rng = rows.stop - rows.start, np.random.default_rng(7)
    accel = np.stack([smooth(rng, n, moves, 0.2), smooth(rng, n, moves, 0.2)]) if moves else np.zeros((2, n))
    mean = 4.0 + (smooth(rng, n, 0.25, 1.0) if moves else np.zeros(n))
    lift = np.ones(4)
    lift[RIGHT_REAR] = lifts
    toward = np.array([ROLL[RIGHT_REAR], PITCH[RIGHT_REAR]])
    wants = accel / GAIN + weight * toward[:, None] * mean  # front-left, front-right, rear-left, rear-right
    turns = smooth(rng, n, 0.2, 0.3) if moves else np.zeros(n)
    thrust = np.linalg.solve(np.stack([ROLL * lift, PITCH * lift, lift, PAIR]), np.stack([*wants, mean, turns]))
    made.out[:, rows] = 0.4 * thrust ** (1.0 / 1.5)
    made.speed[:, rows] = 300.0 * np.sqrt(thrust)
    made.rate[:2, rows] += np.cumsum(accel, axis=1) / HZ
    if blows:
        for k in range(round(2.0 * HZ), n, round(4.0 * HZ)):  # a gust: the outputs have no part in it
            made.rate[:2, rows.start + k : rows.start + k + 20] += blows
    return output_signs(made.looked(speeds=speeds))


@pytest.mark.parametrize("speeds", [True, False])
@pytest.mark.parametrize("blows", [0.0, 1.0])
def test_a_weight_pulls_with_all_thrust_and_a_weak_corner_with_its_own(speeds: bool, blows: float) -> None:
    weight, corner = flown(weight=0.1, speeds=speeds, blows=blows), flown(lifts=0.6, speeds=speeds, blows=blows)
    assert seen_in(weight) & {LONE, SIDES} == {SIDES}
    assert seen_in(corner) & {LONE, SIDES} == {LONE}


@pytest.mark.parametrize("lifts, weight", [(1.0, 0.1), (0.6, 0.0)])
def test_where_it_does_not_turn_nobody_knows_whose_the_pull_is(lifts: float, weight: float) -> None:
    told = flown(lifts, weight, moves=0.0)
    assert sign(told, LONE).seen and sign(told, LONE).sure <= 0.8
    assert SIDES in {each.sign for each in told.not_looked_for}


def test_a_braked_corner_works_harder_alone() -> None:
    made = Made()
    made.out[:, made.rows(HOVERS_S)] += np.array([[0.09], [-0.03], [-0.03], [-0.03]])
    told = output_signs(made.looked())
    assert sign(told, LONE).seen and sign(told, LONE).sure > 0.8
    assert not sign(told, SIDES).seen
