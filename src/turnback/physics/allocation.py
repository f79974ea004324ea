"""What four corners do to an aircraft, however it is put together: forces, moments, and whether the loop holds.

Axes: x forward, y right, z down; corners in the order front-left, front-right, rear-left, rear-right, each a unit away
from the centre along x and along y. A direction is +1 clockwise and -1 anticlockwise seen from above. Thrust counts in
full thrusts of one corner, yaw in full reaction torques of one motor: loops are set so that each axis answers alike, so
units drop out of every question of sign. Moments turn right side down (x), nose up (y), clockwise seen from above (z).

See docs/models/assembly.md. Mixing and reaction torque: Mahony, Kumar, Corke, "Multirotor aerial vehicles", IEEE
Robotics and Automation Magazine 19(3), 2012 (from memory); stability of a third-degree polynomial: Routh and Hurwitz.
"""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FORWARD: Final[Floats] = np.array([1.0, 1.0, -1.0, -1.0])
"""Place of each corner ahead of the centre."""
RIGHT: Final[Floats] = np.array([-1.0, 1.0, -1.0, 1.0])
"""Place of each corner to the right of the centre."""
TWO_AXES: Final = 2
EPSILON: Final = 1e-9
"""Below this a number of this page is nought: all are of the order of one."""


def corner_thrust(
    propeller: Any, motor: Any, upside_down: Any, reverse_share: float, upside_down_share: float
) -> Floats:
    """Return the thrust of each corner at full output, upward; negative where it pushes down.

    Parameters
    ----------
    propeller, motor : array_like
        Direction in which each propeller lifts, and in which each motor turns, shape ``(n, 4)``.
    upside_down : array_like of bool
        A propeller that is turned over keeps its direction and lifts less, shape ``(n, 4)``.
    reverse_share : float
        Thrust of a propeller that is turned against its direction, downward, as share of its right thrust.
    upside_down_share : float
        Thrust of one that lies on its face, as share of its right thrust.

    Returns
    -------
    ndarray
        Shape ``(n, 4)``.
    """
    agrees = np.asarray(propeller) == np.asarray(motor)
    thrust = np.where(agrees, 1.0, -reverse_share)
    return np.asarray(thrust * np.where(np.asarray(upside_down), upside_down_share, 1.0), dtype=np.float64)


def effectiveness(thrust_share: Any, motor: Any) -> Floats:
    """Return the moments of each corner at full output, shape ``(n, 3, 4)``: roll, pitch, yaw.

    Parameters
    ----------
    thrust_share : array_like
        Of `corner_thrust`, shape ``(n, 4)``.
    motor : array_like
        Direction in which each motor turns, shape ``(n, 4)``. The reaction torque turns the aircraft against it,
        whatever the propeller does.
    """
    up, turns = np.asarray(thrust_share, dtype=np.float64), np.asarray(motor, dtype=np.float64)
    return np.stack([-RIGHT * up, FORWARD * up, -turns], axis=-2)


def mixer(scheme: Any) -> Floats:
    """Return what a demand in roll, pitch and yaw asks of the output of each corner, shape ``(4, 3)``.

    Parameters
    ----------
    scheme : array_like
        Declared direction of each motor, shape ``(4,)``.
    """
    return np.column_stack([-RIGHT, FORWARD, -np.asarray(scheme, dtype=np.float64)])


def board_rotation(turns: Any, flipped: Any) -> Floats:
    """Return what takes turning rates of the aircraft to those that a turned board measures, shape ``(n, 3, 3)``.

    Parameters
    ----------
    turns : array_like of int
        Quarter turns of the board, clockwise seen from above, shape ``(n,)``.
    flipped : array_like of bool
        Board upside down (turned over its long axis before), shape ``(n,)``.
    """
    angle = 0.5 * np.pi * np.asarray(turns, dtype=np.float64)
    over = np.where(np.asarray(flipped), -1.0, 1.0)
    cos, sin = np.round(np.cos(angle)), np.round(np.sin(angle))
    rotation = np.zeros((*angle.shape, 3, 3))
    rotation[..., 0, 0], rotation[..., 0, 1] = cos, sin
    rotation[..., 1, 0], rotation[..., 1, 1] = -over * sin, over * cos
    rotation[..., 2, 2] = over
    return rotation


def loop_matrix(moment_share: Any, order: Any, scheme: Any, rotation: Any) -> Floats:
    """Return the moment that answers a turning rate of the aircraft, with the sign that damps, shape ``(n, 3, 3)``.

    Parameters
    ----------
    moment_share : array_like
        Of `effectiveness`, shape ``(n, 3, 4)``.
    order : array_like of int
        Whose output each corner gets, shape ``(n, 4)``.
    scheme : array_like
        Shape ``(4,)``.
    rotation : array_like
        Of `board_rotation`, shape ``(n, 3, 3)``.
    """
    asked = mixer(scheme)[np.asarray(order)]  # (n, 4, 3): what each corner gets of a demand
    return np.asarray(np.asarray(moment_share) @ asked @ np.asarray(rotation), dtype=np.float64)


def holds_still(matrix: Any) -> NDArray[np.bool_]:
    """Return whether all real parts of the eigenvalues are positive: a turn then dies away.

    Parameters
    ----------
    matrix : array_like
        Shape ``(n, 3, 3)`` or ``(n, 2, 2)``.

    Notes
    -----
    Routh and Hurwitz: of ``s³ - T s² + C s - D`` with trace T, sum of principal minors C and determinant D all roots
    have positive real parts where T > 0, D > 0 and T C > D; of two axes, where trace and determinant are positive.
    """
    m = np.asarray(matrix, dtype=np.float64)
    trace = np.trace(m, axis1=-2, axis2=-1)
    if m.shape[-1] == TWO_AXES:
        two = m[..., 0, 0] * m[..., 1, 1] - m[..., 0, 1] * m[..., 1, 0]
        return np.asarray((trace > EPSILON) & (two > EPSILON))
    minors = np.zeros(m.shape[:-2])
    for i, j in ((0, 1), (0, 2), (1, 2)):
        minors += m[..., i, i] * m[..., j, j] - m[..., i, j] * m[..., j, i]
    whole = np.linalg.det(m)
    return np.asarray((trace > EPSILON) & (whole > EPSILON) & (trace * minors > whole + EPSILON))
