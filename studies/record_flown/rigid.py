"""A rigid body with four rotors: attitude as a quaternion, ground contact at four points."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.record_flown.compiled import kernel

G = 9.80665
Floats = NDArray[np.float64]


@kernel
def rotation(q: Floats, r: Floats) -> None:
    """Write the matrix from body to north-east-down into `r`, shape (3, 3)."""
    w, x, y, z = q[0], q[1], q[2], q[3]
    r[0, 0] = 1 - 2 * (y * y + z * z)
    r[0, 1] = 2 * (x * y - w * z)
    r[0, 2] = 2 * (x * z + w * y)
    r[1, 0] = 2 * (x * y + w * z)
    r[1, 1] = 1 - 2 * (x * x + z * z)
    r[1, 2] = 2 * (y * z - w * x)
    r[2, 0] = 2 * (x * z - w * y)
    r[2, 1] = 2 * (y * z + w * x)
    r[2, 2] = 1 - 2 * (x * x + y * y)


@kernel
def turn(q: Floats, rate: Floats, dt: float) -> None:
    """Turn the attitude by the body rates for one step."""
    p, s, t = 0.5 * dt * rate[0], 0.5 * dt * rate[1], 0.5 * dt * rate[2]
    w, x, y, z = q[0], q[1], q[2], q[3]
    q[0] = w - x * p - y * s - z * t
    q[1] = x + w * p + y * t - z * s
    q[2] = y + w * s + z * p - x * t
    q[3] = z + w * t + x * s - y * p
    size = math.sqrt(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3])
    for k in range(4):
        q[k] /= size


@kernel
def contact(pos: Floats, vel: Floats, rate: Floats, r: Floats, mass: float, arm: float, force: Floats,
            moment: Floats) -> float:  # fmt: skip
    """Add the ground's force (north-east-down) and moment (body) at four feet; return its size over weight.

    The ground is level at down = 0; a spring of 10 Hz, damped, with friction.
    """
    total = 0.0
    if pos[2] < -1.5 * arm - 0.1:
        return 0.0
    stiff = mass * 60.0**2 / 4.0
    damp = mass * 2.0 * 0.3 * 60.0 / 4.0
    for c in range(4):
        bx = arm if c < 2 else -arm
        by = -arm if c % 2 == 0 else arm
        bz = 0.03
        deep = pos[2] + r[2, 0] * bx + r[2, 1] * by + r[2, 2] * bz
        if deep <= 0.0:
            continue
        vbx = rate[1] * bz - rate[2] * by
        vby = rate[2] * bx - rate[0] * bz
        vbz = rate[0] * by - rate[1] * bx
        vn = vel[0] + r[0, 0] * vbx + r[0, 1] * vby + r[0, 2] * vbz
        ve = vel[1] + r[1, 0] * vbx + r[1, 1] * vby + r[1, 2] * vbz
        vd = vel[2] + r[2, 0] * vbx + r[2, 1] * vby + r[2, 2] * vbz
        push = max(0.0, stiff * deep + damp * vd)
        slip = math.sqrt(vn * vn + ve * ve) + 0.3
        fn, fe, fd = -0.6 * push * vn / slip, -0.6 * push * ve / slip, -push
        force[0] += fn
        force[1] += fe
        force[2] += fd
        fx = r[0, 0] * fn + r[1, 0] * fe + r[2, 0] * fd
        fy = r[0, 1] * fn + r[1, 1] * fe + r[2, 1] * fd
        fz = r[0, 2] * fn + r[1, 2] * fe + r[2, 2] * fd
        moment[0] += by * fz - bz * fy
        moment[1] += bz * fx - bx * fz
        moment[2] += bx * fy - by * fx
        total += push
    return total / (mass * G)
