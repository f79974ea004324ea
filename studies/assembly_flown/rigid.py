"""The truth of this study: a rigid aircraft on four springy legs, a board that levels it, a throttle that opens.

Shares no code with the product but how kernels are compiled. Axes: x forward, y right, z down; corners in the order
front-left, front-right, rear-left, rear-right. Heading and place over ground do not matter to it, so the state is the
downward direction in the aircraft's own axes, the turning rate with its gyroscopic terms, height and climb, four
lagging motors and three integrals. Constants are those of a 5-inch aircraft of unit mass (our own, middling ones; the
attitude gain, the integral gain and its limit are those of the wind-up figure in docs/models/assembly.md).
"""

from __future__ import annotations

import math
from itertools import permutations, product
from typing import Any, NamedTuple

import numpy as np
from numba import prange

from turnback.base.kernels import kernel, parallel_kernel

HOLDS, FLIPS_AT_ONCE, LIFTS_THEN_FLIPS, SPINS, STAYS_DOWN = range(5)
STEP_S, LENGTH_S, RAMP_S, LAG_S = 0.001, 3.0, 1.5, 0.04
GRAVITY, ARM_M, LEG_M, TORQUE_M = 9.81, 0.078, 0.03, 0.0127
SPRING_N_M, DAMPER_NS_M, FRICTION = 2000.0, 22.0, 0.4
INERTIA, INERTIA_UP = 0.005, 0.009
BANDWIDTH, BANDWIDTH_YAW, ATTITUDE, FASTEST = 12.0, 6.0, 6.0, 6.0
INTEGRAL, LIMIT, IDLE = 0.1, 0.4, 0.03
TIPPED, LEANS, CLEAR_M, SPINS_RAD_S = math.radians(45.0), math.radians(20.0), 0.03, 5.0


class Built(NamedTuple):
    """How n aircraft are put together; shapes ``(n, 4)`` but for the last two, ``(n,)``."""

    propeller: Any
    upside_down: Any
    motor: Any
    order: Any
    turns: Any
    flipped: Any


def every(scheme: Any) -> Built:
    """Return all 16 x 16 x 24 x 8 ways with every propeller the right way up."""
    sides = list(product((1, -1), repeat=4))
    rows = [(p, m, o, t, f) for p, m, o, t, f in product(sides, sides, permutations(range(4)), range(4), (False, True))]
    propeller, motor, order, turns, flipped = (np.array(column) for column in zip(*rows, strict=True))
    declared = np.asarray(scheme)
    return Built(propeller * declared, np.zeros(propeller.shape, bool), motor * declared, order, turns, flipped)


def fly(built: Built, scheme: Any, margin: float, reverse: float, weak: float, seed: int) -> tuple[Any, Any]:
    """Fly them all; return what each does ``(n,)`` and the low side as it tips, ahead and right ``(n, 2)``.

    They stand on ground that leans by half a degree or so, each toward a side drawn by lot, and no two motors push or
    turn alike: they differ by some 1.5 %.
    """
    n = len(built.turns)
    lot = np.random.default_rng(seed)
    lean, uneven = lot.normal(0.0, math.radians(0.5), (n, 2)), lot.normal(1.0, 0.015, (n, 4))
    kind, low = np.zeros(n, np.int64), np.zeros((n, 2))
    thrust = np.where(built.propeller == built.motor, 1.0, -reverse) * np.where(built.upside_down, weak, 1.0) * uneven
    motor = built.motor * lot.normal(1.0, 0.015, (n, 4))
    order, turns = np.asarray(built.order, dtype=np.int64), np.asarray(built.turns, dtype=np.int64)
    _fly(thrust, motor, order, turns, built.flipped, np.asarray(scheme, dtype=float), margin, lean, kind, low)
    return kind, low


@parallel_kernel
def _fly(
    thrust: Any, motor: Any, order: Any, turns: Any, flipped: Any, scheme: Any, margin: float, lean: Any, kind: Any,
    low: Any,
) -> None:  # fmt: skip
    for i in prange(kind.size):
        kind[i], low[i, 0], low[i, 1] = _one(
            thrust[i], motor[i], order[i], turns[i], flipped[i], scheme, margin, lean[i]
        )


@kernel
def _board(v: Any, turns: int, flipped: bool) -> Any:
    """Return a vector of the aircraft in the axes of its board: turned clockwise, then rolled over."""
    x, y, z = v[0], v[1], v[2]
    for _ in range(turns):
        x, y = y, -x
    return (x, -y, -z) if flipped else (x, y, z)


@kernel
def demand(
    down: Any, rate: Any, total: Any, turns: int, flipped: bool, per_unit: Any, throttle: float, step_s: float
) -> Any:
    """Return what the board asks in roll, pitch and yaw, as shares of output; a proportional and integral rate loop."""
    shown, felt = _board(down, turns, flipped), _board(rate, turns, flipped)
    roll = math.atan2(shown[1], shown[2])
    pitch = -math.asin(min(max(shown[0], -1.0), 1.0))
    wanted = (
        min(max(-ATTITUDE * roll, -FASTEST), FASTEST),
        min(max(-ATTITUDE * pitch, -FASTEST), FASTEST),
        0.0,
    )
    out = np.zeros(3)
    for k in range(3):
        error = wanted[k] - felt[k]
        if throttle > 0.1:
            total[k] = min(max(total[k] + INTEGRAL * error * step_s, -LIMIT), LIMIT)
        out[k] = (BANDWIDTH_YAW if k == 2 else BANDWIDTH) / per_unit[k] * error + total[k]
    return out


@kernel
def outputs(asked: Any, scheme: Any, throttle: float) -> Any:
    """Return the four outputs; a board that would have to ask for less than idle raises all, as far as none is full."""
    x, y = (1.0, 1.0, -1.0, -1.0), (-1.0, 1.0, -1.0, 1.0)
    wish = np.zeros(4)
    for c in range(4):
        wish[c] = throttle - y[c] * asked[0] + x[c] * asked[1] - scheme[c] * asked[2]
    if throttle > 0.1:
        wish += max(0.0, min(IDLE - wish.min(), 1.0 - wish.max()))
    for c in range(4):
        wish[c] = min(max(wish[c], IDLE), 1.0)
    return wish


@kernel
def _one(
    thrust: Any, motor: Any, order: Any, turns: int, flipped: bool, scheme: Any, margin: float, lean: Any
) -> tuple[int, float, float]:
    x, y = (1.0, 1.0, -1.0, -1.0), (-1.0, 1.0, -1.0, 1.0)
    most = margin * GRAVITY / 4.0
    turn = 4.0 * most * ARM_M / INERTIA
    per_unit = (turn, turn, 4.0 * most * TORQUE_M / INERTIA_UP)
    slope = np.array([lean[0], lean[1], 1.0]) / math.sqrt(1.0 + lean[0] ** 2 + lean[1] ** 2)
    # The ground leans and the aircraft with it: "down" is gravity's, "into" is into the ground, both in its own axes.
    down, into = slope.copy(), np.array([0.0, 0.0, 1.0])
    rate, total, speed = np.zeros(3), np.zeros(3), np.full(4, IDLE)
    height, climb, throttle = LEG_M - GRAVITY / (4.0 * SPRING_N_M), 0.0, 0.0
    lifted, spun, gain = False, False, 0.0
    for _ in range(int(LENGTH_S / STEP_S)):
        if height < 0.3:
            throttle = min(throttle + STEP_S / RAMP_S, 1.0)
        else:
            throttle = min(max(throttle - STEP_S * (0.25 * (climb - 0.3) + 0.12 * gain), 0.1), 1.0)
        asked = demand(down, rate, total, turns, flipped, per_unit, throttle, STEP_S)
        up, moment, lowest, load = 0.0, np.zeros(3), 1e9, 0.0
        wish = outputs(asked, scheme, throttle)
        for c in range(4):
            speed[c] += (wish[order[c]] - speed[c]) * STEP_S / LAG_S
            force = most * speed[c] * thrust[c]
            up += force
            moment[0] -= y[c] * ARM_M * force
            moment[1] += x[c] * ARM_M * force
            moment[2] -= motor[c] * TORQUE_M * most * speed[c]
            leg = (x[c] * ARM_M, y[c] * ARM_M, LEG_M)
            above = height - (into[0] * leg[0] + into[1] * leg[1] + into[2] * leg[2])
            lowest = min(lowest, above)
            if above < 0.0:
                spin = (
                    rate[1] * into[2] - rate[2] * into[1],
                    rate[2] * into[0] - rate[0] * into[2],
                    rate[0] * into[1] - rate[1] * into[0],
                )
                rises = climb + spin[0] * leg[0] + spin[1] * leg[1] + spin[2] * leg[2]
                push = max(0.0, -SPRING_N_M * above - DAMPER_NS_M * rises)
                load += push
                moment[0] -= push * (leg[1] * into[2] - leg[2] * into[1])
                moment[1] -= push * (leg[2] * into[0] - leg[0] * into[2])
                moment[2] -= push * (leg[0] * into[1] - leg[1] * into[0])
        moment[2] -= FRICTION * load * 1.4 * ARM_M * math.tanh(rate[2] / 0.1)
        swirl = (INERTIA_UP - INERTIA) * rate[2]
        rate[0] += (moment[0] - swirl * rate[1]) / INERTIA * STEP_S
        rate[1] += (moment[1] + swirl * rate[0]) / INERTIA * STEP_S
        rate[2] += moment[2] / INERTIA_UP * STEP_S
        _turn(down, rate)
        _turn(into, rate)
        gain = up * into[2] + load - GRAVITY
        climb += gain * STEP_S
        height += climb * STEP_S
        tilt = math.acos(min(max(into[2], -1.0), 1.0))
        lifted = lifted or (lowest > CLEAR_M and tilt < LEANS)
        spun = spun or (lifted and tilt < LEANS and abs(rate[2]) > SPINS_RAD_S)
        if tilt > TIPPED:
            size = math.hypot(into[0], into[1])
            if spun:
                return SPINS, 0.0, 0.0
            return (LIFTS_THEN_FLIPS if lifted else FLIPS_AT_ONCE), into[0] / size, into[1] / size
    if not lifted:
        return STAYS_DOWN, 0.0, 0.0
    return (SPINS if spun else HOLDS), 0.0, 0.0


@kernel
def _turn(v: Any, rate: Any) -> None:
    """Carry a direction that stands still in the world along in the turning axes of the aircraft, one step."""
    a = v[0] - STEP_S * (rate[1] * v[2] - rate[2] * v[1])
    b = v[1] - STEP_S * (rate[2] * v[0] - rate[0] * v[2])
    c = v[2] - STEP_S * (rate[0] * v[1] - rate[1] * v[0])
    size = math.sqrt(a * a + b * b + c * c)
    v[0], v[1], v[2] = a / size, b / size, c / size
