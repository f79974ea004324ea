"""A rigid aircraft with four motors under a rate controller, flown by made-up sticks: small, slow and plain.

It shares no code with what reads the records. Axes x forward, y right, z down; the left motors roll it to the right,
the front motors raise its nose (the moment of an upward force about the centre: r x F).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
G = 9.80665
ARMS = ((1.0, -1.0), (1.0, 1.0), (-1.0, -1.0), (-1.0, 1.0))
"""Place of each motor, forward and to the right: front-left, front-right, rear-left, rear-right."""
SPIN = (1.0, -1.0, -1.0, 1.0)


@dataclass(frozen=True)
class Flight:
    """What the aircraft did, at each step; angles in rad, SI."""

    t_s: Array
    rate: Array  # (n, 3)
    demand: Array
    stick: Array
    angle: Array  # roll, pitch, heading
    force: Array
    output: Array  # (n, 4) by corner
    velocity: Array  # north, east, down
    place: Array


def sticks(length_s: float, rate_hz: float, seed: int, calm: float = 1.0) -> Array:
    """Return made-up stick movements (roll, pitch, yaw), each a sum of slow waves of chance phase."""
    generator = np.random.default_rng(seed)
    t = np.arange(round(length_s * rate_hz)) / rate_hz
    waves = np.zeros((t.size, 3))
    for axis in range(3):
        for hertz in generator.uniform(0.1, 0.8, size=5):
            waves[:, axis] += 0.08 * np.sin(2.0 * np.pi * hertz * t + generator.uniform(0.0, 6.28))
    return np.asarray(calm * waves)


def fly(
    stick: Array,
    rate_hz: float,
    seed: int,
    level: bool = True,
    gust: float = 6.0,
    forward: float = 0.0,
    order: tuple[int, int, int, int] = (0, 1, 2, 3),
) -> Flight:
    """Fly sticks; `order` is the corner that each corner's output really drives."""
    n, dt = len(stick), 1.0 / rate_hz
    generator = np.random.default_rng(seed + 1)
    shock = generator.normal(size=(n, 3)) * gust / math.sqrt(dt) * 0.05
    sensed = generator.normal(size=(n, 3)) * 0.01
    angle, rate, integral = [0.0, 0.0, 0.5], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    thrust, velocity, place = [0.25] * 4, [0.0, 0.0, 0.0], [0.0, 0.0, -30.0]
    rows = []
    for i in range(n):
        roll, pitch, yaw = angle
        wanted = [6.0 * s for s in stick[i]]
        if level:
            wanted[0] = 5.0 * (1.2 * stick[i, 0] - roll)
            wanted[1] = 5.0 * (1.2 * stick[i, 1] - forward - pitch)
        measured = [rate[k] + sensed[i, k] for k in range(3)]
        error = [wanted[k] - measured[k] for k in range(3)]
        integral = [0.98 * integral[k] + error[k] * dt for k in range(3)]
        push = [0.02 * error[k] + 0.05 * integral[k] for k in range(3)]
        lift = 0.25 / max(0.3, math.cos(roll) * math.cos(pitch)) + 0.02 * velocity[2] + 0.01 * (place[2] + 30.0)
        out = []
        for (ahead, right), spin in zip(ARMS, SPIN, strict=True):
            out.append(min(1.0, max(0.03, lift - right * push[0] + ahead * push[1] - spin * push[2])))
        for k in range(4):
            corner = order[k]
            thrust[corner] += (out[k] - thrust[corner]) * min(1.0, dt / 0.03)
        moment = [
            180.0 * sum(-ARMS[k][1] * thrust[k] for k in range(4)),
            180.0 * sum(ARMS[k][0] * thrust[k] for k in range(4)),
            40.0 * sum(-SPIN[k] * thrust[k] for k in range(4)),
        ]
        rate = [rate[k] + dt * (moment[k] + shock[i, k] - 0.5 * rate[k]) for k in range(3)]
        p, q, r = rate
        cosine = math.copysign(max(0.05, abs(math.cos(pitch))), math.cos(pitch))
        turn = (q * math.sin(roll) + r * math.cos(roll)) / cosine
        angle = [
            roll + dt * (p + turn * math.sin(pitch)),
            pitch + dt * (q * math.cos(roll) - r * math.sin(roll)),
            yaw + dt * turn,
        ]
        velocity, force = _moved(angle, velocity, sum(thrust), dt)
        place = [place[k] + dt * velocity[k] for k in range(3)]
        rows.append([*measured, *wanted, *angle, *force, *out, *velocity, *place])
    table = np.array(rows)
    return Flight(
        np.arange(n, dtype=np.float64) * dt,
        table[:, :3], table[:, 3:6], stick, table[:, 6:9], table[:, 9:12], table[:, 12:16],
        table[:, 16:19], table[:, 19:22],
    )  # fmt: skip


def _moved(angle: list[float], velocity: list[float], thrust: float, dt: float) -> tuple[list[float], list[float]]:
    """Return the velocity a step later, and the specific force along the body's axes."""
    (sr, sp, sy), (cr, cp, cy) = [math.sin(a) for a in angle], [math.cos(a) for a in angle]
    body = (
        (cp * cy, cp * sy, -sp),
        (sr * sp * cy - cr * sy, sr * sp * sy + cr * cy, sr * cp),
        (cr * sp * cy + sr * sy, cr * sp * sy - sr * cy, cr * cp),
    )
    along = [sum(body[k][j] * velocity[j] for j in range(3)) for k in range(3)]
    force = [-0.35 * along[0], -0.35 * along[1], -0.35 * along[2] - G * thrust]
    push = [sum(body[k][j] * force[k] for k in range(3)) for j in range(3)]
    push[2] += G
    return [velocity[j] + dt * push[j] for j in range(3)], force
