"""An aircraft on its legs, a pilot who opens the throttle, a board that levels: stepped in time, one way after another.

Shares no code with the product. Angles are roll, pitch and yaw of a body that turns about its own axes (good to the 45
degrees at which a flip is called one). Motors lag, outputs are held between idle and full, the integral is limited, legs
hold the body level until thrust tips it over them.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numba import njit, prange

STAYS, HOLDS, SPINS, FLIPS = 0, 1, 2, 3
STEP_S, LENGTH_S = 0.001, 3.0
ARM_M, GRAVITY = 0.1, 9.81
LAG_S, IDLE = 0.04, 0.03
RAMP_S = 1.6
TURN_ACCEL, YAW_ACCEL = 500.0, 60.0
"""Angular acceleration at full difference of outputs of an aircraft put together right, rad/s²."""
BANDWIDTH, YAW_BANDWIDTH, ATTITUDE, INTEGRAL, LIMIT = 12.0, 6.0, 5.0, 1.5, 0.3
TIPPED, SPIN = math.radians(45.0), 3.0


@njit(cache=True)
def fly_one(
    propeller: Any, upside: Any, motor: Any, order: Any, turns: int, flipped: bool, scheme: Any, margin: float,
    reverse: float, weak: float, tilt: Any,
) -> tuple[int, float, float]:  # fmt: skip
    """Return what it does, and toward where it tips: ahead and right, of length one; nought where it does not."""
    x = (1.0, 1.0, -1.0, -1.0)
    y = (-1.0, 1.0, -1.0, 1.0)
    most = margin * GRAVITY / 4.0
    inertia = 4.0 * most * ARM_M / TURN_ACCEL
    yaw_m = YAW_ACCEL * 2.0 * inertia / (4.0 * most)
    angle, rate, total = np.zeros(3), np.zeros(3), np.zeros(3)
    angle[0], angle[1] = tilt[0], tilt[1]
    speed = np.full(4, IDLE)
    height = climb = throttle = 0.0
    lifted = False
    turned = 0.5 * math.pi * turns
    for step in range(int(LENGTH_S / STEP_S)):
        if height < 0.3:
            throttle = min(throttle + STEP_S / RAMP_S, 1.0)
        else:
            throttle = min(max(throttle - 0.5 * STEP_S * climb, 0.0), 1.0)
        shown = np.zeros(3)  # attitude as the board takes it to be: small angles in its own axes
        felt = np.zeros(3)
        for k in range(2):
            source = angle if k == 0 else rate
            into = shown if k == 0 else felt
            a = math.cos(turned) * source[0] + math.sin(turned) * source[1]
            b = -math.sin(turned) * source[0] + math.cos(turned) * source[1]
            into[0], into[1], into[2] = a, (-b if flipped else b), (-source[2] if flipped else source[2])
        if flipped:
            shown[0] = math.pi - abs(shown[0]) if shown[0] < 0.0 else -(math.pi - shown[0])
        demand = np.zeros(3)
        for k in range(3):
            wanted = 0.0 if k == 2 else min(max(-ATTITUDE * shown[k], -6.0), 6.0)
            error = wanted - felt[k]
            gain = BANDWIDTH / TURN_ACCEL if k < 2 else YAW_BANDWIDTH / YAW_ACCEL
            if throttle > 0.1:
                total[k] = min(max(total[k] + INTEGRAL * gain * error * STEP_S, -LIMIT), LIMIT)
            demand[k] = gain * error + total[k]
        lift, roll, pitch, yaw = 0.0, 0.0, 0.0, 0.0
        for c in range(4):
            o = order[c]
            output = throttle - y[o] * demand[0] + x[o] * demand[1] - scheme[o] * demand[2]
            output = min(max(output, IDLE), 1.0)
            speed[c] += (output - speed[c]) * STEP_S / LAG_S
            thrust = most * speed[c] * (1.0 if propeller[c] == motor[c] else -reverse) * (weak if upside[c] else 1.0)
            lift += thrust
            roll -= y[c] * ARM_M * thrust
            pitch += x[c] * ARM_M * thrust
            yaw -= motor[c] * most * speed[c] * yaw_m
        steep = math.hypot(angle[0], angle[1])
        load = GRAVITY - lift * math.cos(min(steep, 1.5))
        if height <= 0.0 and load > 0.0:  # it stands: legs carry the rest and hold it level as far as they can
            push = math.hypot(roll, pitch)
            legs = (abs(roll) + abs(pitch)) / push * ARM_M if push > 1e-9 else ARM_M
            free = max(0.0, 1.0 - load * legs / push) if push > 1e-9 else 0.0
            roll, pitch = roll * free, pitch * free
            yaw *= max(0.0, 1.0 - 0.5 * load * ARM_M / abs(yaw)) if abs(yaw) > 1e-9 else 0.0
            if free == 0.0:
                rate[0] *= 0.9
                rate[1] *= 0.9
                climb = 0.0
        rate[0] += roll / inertia * STEP_S
        rate[1] += pitch / inertia * STEP_S
        rate[2] += yaw / (2.0 * inertia) * STEP_S
        for k in range(3):
            angle[k] += rate[k] * STEP_S
        climb += -load * STEP_S
        height += climb * STEP_S
        if height <= 0.0:
            height, climb = 0.0, 0.0
        lifted = lifted or height > 0.05
        if steep > TIPPED:
            return FLIPS, -angle[1] / steep, angle[0] / steep
    if not lifted:
        return STAYS, 0.0, 0.0
    return (SPINS if abs(rate[2]) > SPIN else HOLDS), 0.0, 0.0


@njit(cache=True, parallel=True)
def fly(
    propeller: Any, upside: Any, motor: Any, order: Any, turns: Any, flipped: Any, scheme: Any, margin: float,
    reverse: float, weak: float, tilt: Any, kind: Any, toward: Any,
) -> None:  # fmt: skip
    """Fly n ways; fill ``kind (n,)`` and ``toward (n, 2)``. ``tilt (n, 2)`` is how they stand at first, radians."""
    for i in prange(kind.size):
        kind[i], toward[i, 0], toward[i, 1] = fly_one(
            propeller[i], upside[i], motor[i], order[i], turns[i], flipped[i], scheme, margin, reverse, weak, tilt[i]
        )
