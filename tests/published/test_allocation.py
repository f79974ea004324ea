"""Forces, moments and loops of four corners, held against rotorpy, numpy's eigenvalues and rotations by others."""

from __future__ import annotations

from itertools import permutations, product
from typing import Any

import numpy as np
import pytest
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor
from scipy.spatial.transform import Rotation

from turnback.physics.allocation import (
    FORWARD,
    RIGHT,
    board_rotation,
    corner_thrust,
    effectiveness,
    holds_still,
    loop_matrix,
    mixer,
)

pytestmark = pytest.mark.published

SCHEME = np.array([1, -1, -1, 1])
"""Front-left clockwise."""
THEIRS = ("r1", "r2", "r4", "r3")
"""Their names of front-left, front-right, rear-left, rear-right."""


def quad(directions: Any) -> Any:
    """Return rotorpy's small quad with its rotors in our order; what turns clockwise reacts up their z axis."""
    places = {str(c): quad_params["rotor_pos"][name] for c, name in enumerate(THEIRS)}
    made = Multirotor({**quad_params, "rotor_pos": places, "rotor_directions": SCHEME}, aero=False)
    made.rotor_dir = np.asarray(directions)
    return made


def test_the_small_quad_hovers_at_the_speed_of_the_models_page_and_a_faster_rotor_turns_it_so() -> None:
    # models.md: 469.204 rad/s; rotor 1 +5 %: Fz 5.03069 N, M = (0.015109, -0.015109, 0.0030689) N·m (y left, z up)
    lift, torque = float(quad_params["k_eta"]), float(quad_params["k_m"])
    arm = float(quad_params["rotor_pos"]["r1"][0])
    hover = np.sqrt(quad_params["mass"] * 9.81 / 4.0 / lift)
    assert hover == pytest.approx(469.204, abs=5e-4)
    push = lift * (hover * np.array([1.05, 1.0, 1.0, 1.0])) ** 2
    thrust = corner_thrust(SCHEME[None], SCHEME[None], np.zeros((1, 4), bool), 0.4, 0.6)
    roll, pitch, yaw = effectiveness(thrust, SCHEME[None])[0] @ push
    assert push.sum() == pytest.approx(5.03069, abs=5e-6)
    assert roll * arm == pytest.approx(0.015109, abs=5e-7)
    assert -pitch * arm == pytest.approx(-0.015109, abs=5e-7)
    assert -yaw * torque / lift == pytest.approx(0.0030689, abs=5e-8)


@pytest.mark.parametrize("motor", list(product((1, -1), repeat=4)))
def test_moments_are_those_of_rotorpy_for_every_set_of_motor_directions(motor: tuple[int, ...]) -> None:
    craft = quad(motor)
    speeds = np.array([400.0, 470.0, 530.0, 610.0])
    force, moment = craft.compute_body_wrench(np.zeros(3), speeds, np.zeros(3))
    push = craft.k_eta * speeds**2
    turns = np.array(motor)[None]
    thrust = corner_thrust(turns, turns, np.zeros((1, 4), bool), 0.4, 0.6)
    ours = effectiveness(thrust, turns)[0] @ push
    arm = float(quad_params["rotor_pos"]["r1"][0])
    assert (thrust[0] * push).sum() == pytest.approx(force[2], rel=1e-12)
    assert ours[0] * arm == pytest.approx(moment[0], rel=1e-9)
    assert -ours[1] * arm == pytest.approx(moment[1], rel=1e-9)
    assert -ours[2] * craft.k_m / craft.k_eta == pytest.approx(moment[2], rel=1e-9, abs=1e-15)


def test_a_propeller_of_the_wrong_direction_pushes_down_and_one_on_its_face_lifts_weakly() -> None:
    # common practice; reverse thrust 0.3 to 0.5 of the right one (models.md)
    motor = np.array([[1, -1, -1, 1]])
    propeller = np.array([[-1, -1, -1, 1]])
    thrust = corner_thrust(propeller, motor, np.array([[False, False, True, False]]), 0.3, 0.6)
    assert thrust[0].tolist() == [-0.3, 1.0, 0.6, 1.0]
    # a wrong propeller and a wrong motor push alike; only the reaction torque tells them apart
    other = corner_thrust(motor, propeller, np.array([[False, False, True, False]]), 0.3, 0.6)
    assert other.tolist() == thrust.tolist()
    apart = effectiveness(thrust, motor) - effectiveness(other, propeller)
    assert not apart[0, :2].any()
    assert apart[0, 2].tolist() == [-2.0, 0.0, 0.0, 0.0]


def test_the_mixer_is_the_turned_over_effectiveness_and_its_demands_do_not_mix() -> None:
    # for a square of four the pseudo-inverse is a quarter of the transpose: Mahony, Kumar, Corke 2012 (from memory)
    right = effectiveness(np.ones((1, 4)), SCHEME[None])[0]
    assert np.allclose(mixer(SCHEME), 4.0 * np.linalg.pinv(right), atol=1e-12)
    assert (np.abs(mixer(SCHEME).sum(axis=0)) < 1e-12).all()  # no demand lifts


@pytest.mark.parametrize(("turns", "flipped"), list(product(range(4), (False, True))))
def test_a_board_measures_what_rotations_by_others_give(turns: int, flipped: bool) -> None:
    # z points down: clockwise seen from above is a right-handed turn about it; then half a turn about its own x axis.
    board = Rotation.from_euler("z", 90.0 * turns, degrees=True)
    if flipped:
        board = board * Rotation.from_euler("x", 180.0, degrees=True)
    found = board_rotation(np.array([turns]), np.array([flipped]))[0]
    assert np.allclose(found, board.as_matrix().T, atol=1e-12)


def test_the_loop_is_put_together_corner_by_corner() -> None:
    # One demand, one corner, one moment at a time, with places written out; the board turned clockwise once.
    motor, order = np.array([[1, -1, 1, 1]]), np.array([[2, 1, 3, 0]])
    thrust = np.array([[1.0, -0.4, 1.0, 0.6]])
    rotation = board_rotation(np.array([1]), np.array([False]))
    found = loop_matrix(effectiveness(thrust, motor), order, SCHEME, rotation)[0]
    for axis in range(3):
        rate = np.zeros(3)
        rate[axis] = 1.0
        shown = np.array([rate[1], -rate[0], rate[2]])  # its x axis points to the right, its y axis to the rear
        moment = np.zeros(3)
        for corner in range(4):
            source = order[0, corner]
            output = -RIGHT[source] * shown[0] + FORWARD[source] * shown[1] - SCHEME[source] * shown[2]
            lift = thrust[0, corner] * output
            moment += [-RIGHT[corner] * lift, FORWARD[corner] * lift, -motor[0, corner] * output]
        assert found[:, axis] == pytest.approx(moment, abs=1e-12)


@pytest.mark.parametrize("size", [2, 3])
def test_what_holds_still_has_eigenvalues_with_positive_real_parts_only(size: int) -> None:
    # numpy.linalg.eigvals (LAPACK) against Routh and Hurwitz
    matrices = np.random.default_rng(7).normal(size=(4000, size, size)) + 0.6 * np.eye(size)
    least = np.linalg.eigvals(matrices).real.min(axis=-1)
    clear = np.abs(least) > 1e-6
    assert 500 < (least > 0.0).sum() < 3500
    assert np.array_equal(holds_still(matrices)[clear], (least > 0.0)[clear])


def test_of_all_orders_only_the_right_one_holds_and_any_swap_of_two_does_not() -> None:
    # common practice: any two motors exchanged, and it cannot be flown (models.md)
    orders = np.array(list(permutations(range(4))))
    right = effectiveness(np.ones((24, 4)), np.tile(SCHEME, (24, 1)))
    still = np.tile(np.eye(3), (24, 1, 1))
    holds = holds_still(loop_matrix(right, orders, SCHEME, still))
    assert holds.tolist() == [True] + [False] * 23
