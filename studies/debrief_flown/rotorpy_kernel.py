"""rotorpy's equations of motion, compiled: the same numbers as its own function, some fifty times as fast.

`rotorpy_flight` holds this against ``Multirotor._s_dot_fn`` itself several times in each flight, so that what is flown
is rotorpy and nothing else.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.record_flown.compiled import kernel

Floats = NDArray[np.float64]


@kernel
def matrix(q: Floats) -> Floats:
    """Return the rotation matrix of a unit quaternion (i, j, k, w)."""
    x, y, z, w = q[0], q[1], q[2], q[3]
    out = np.empty((3, 3))
    out[0, 0], out[0, 1], out[0, 2] = 1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)
    out[1, 0], out[1, 1], out[1, 2] = 2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)
    out[2, 0], out[2, 1], out[2, 2] = 2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)
    return out


@kernel
def derivative(
    state: Floats, cmd: Floats, turn: Floats, places: Floats, turns: Floats, body: Floats, lifts: Floats, twists: Floats
) -> Floats:  # fmt: skip
    """Return the state's derivative.

    Parameters
    ----------
    state : ndarray, shape (20,)
        Place, velocity, quaternion, turning rates, wind, rotor speeds.
    cmd : ndarray, shape (4,)
        Speeds that the motors are driven to.
    turn : ndarray, shape (3, 3)
        Of the quaternion.
    places : ndarray, shape (4, 3)
        Of the rotors about the centre of mass.
    turns : ndarray, shape (4,)
        +1 or -1.
    body : ndarray, shape (13,)
        Mass, three inertias, three drags, thrust and yaw constants, rotor drag in and across its disc, lag, gravity.
    lifts, twists : ndarray, shape (4,)
        What a rotor's thrust and yaw moment are multiplied by; 1 of a sound one.
    """
    out = np.zeros(20)
    mass, ix, iy, iz = body[0], body[1], body[2], body[3]
    v = np.empty(3)
    for i in range(3):
        v[i] = 0.0
        for j in range(3):
            v[i] += turn[j, i] * (state[3 + j] - state[13 + j])
    size = math.sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2])
    fx, fy, fz = -size * body[4] * v[0], -size * body[5] * v[1], -size * body[6] * v[2]
    mx = my = mz = 0.0
    p, q, r = state[10], state[11], state[12]
    for k in range(4):
        speed = state[16 + k]
        x, y, z = places[k, 0], places[k, 1], places[k, 2]
        lx, ly, lz = v[0] + q * z - r * y, v[1] + r * x - p * z, v[2] + p * y - q * x
        thrust = body[7] * speed * speed * lifts[k]
        hx, hy, hz = -speed * body[9] * lx, -speed * body[9] * ly, -speed * body[10] * lz
        tz = thrust + hz
        fx += hx
        fy += hy
        fz += tz
        mx += y * tz - z * hy
        my += z * hx - x * tz
        mz += x * hy - y * hx + turns[k] * twists[k] * body[8] * speed * speed
        out[16 + k] = (cmd[k] - speed) / body[11]
    out[0], out[1], out[2] = state[3], state[4], state[5]
    for i in range(3):
        out[3 + i] = (turn[i, 0] * fx + turn[i, 1] * fy + turn[i, 2] * fz) / mass
    out[5] -= body[12]
    a, b, c, w = state[6], state[7], state[8], state[9]
    out[6] = 0.5 * (w * p - c * q + b * r)
    out[7] = 0.5 * (c * p + w * q - a * r)
    out[8] = 0.5 * (-b * p + a * q + w * r)
    out[9] = 0.5 * (-a * p - b * q - c * r)
    out[10] = (mx - (iz - iy) * q * r) / ix
    out[11] = (my - (ix - iz) * r * p) / iy
    out[12] = (mz - (iy - ix) * p * q) / iz
    return out


@kernel
def mixed(
    moment: Floats, throttle: float, force_most: float, linear: float, arm: float, turn_m: float, scheme: float,
    idle: float,
) -> Floats:  # fmt: skip
    """Return corner outputs (front-left, front-right, rear-left, rear-right).

    Moments are right side down, nose up, nose to the right. Where one corner would be asked for more than all it has,
    the mean gives way.
    """
    d = arm / math.sqrt(2.0)
    u = max(throttle, idle)
    mean = force_most * (linear * u + (1.0 - linear) * u * u)
    upright = min(max(-moment[2] / (4.0 * turn_m), -0.18 * force_most), 0.18 * force_most)
    forces = np.empty(4)
    for k in range(4):
        side = 1.0 if k % 2 == 0 else -1.0
        front = 1.0 if k < 2 else -1.0
        forces[k] = (moment[0] * side + moment[1] * front) / (4.0 * d) + upright * side * front * scheme
    high, low = forces.max(), forces.min()
    room = force_most - high
    mean = min(mean, room) if room > -low else (room - low) / 2.0
    if throttle > 0.12:
        mean = max(mean, min(-low, room))
    out = np.empty(4)
    a = 1.0 - linear
    for k in range(4):
        share = min(max((mean + forces[k]) / force_most, 0.0), 1.0)
        out[k] = min(max((-linear + math.sqrt(linear * linear + 4.0 * a * share)) / (2.0 * a), idle), 1.0)
    return out
