"""Pilot and board: where to go, how to tilt, how hard each corner works."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.record_flown.compiled import kernel
from studies.record_flown.craft import Craft, Plan
from studies.record_flown.rigid import G

Floats = NDArray[np.float64]


@kernel
def wanted_place(t: float, plan: Plan, want: Floats) -> None:
    """Write the pilot's wanted north, east, down, their speeds, and heading at time `t` into `want`, shape (7,)."""
    length = plan.speed * (plan.back_at - 5.0 - plan.out_at)
    out_s = plan.back_at - 5.0 - plan.out_at
    climb = 2.5
    high = min(max(0.0, climb * (t - plan.off_at)), plan.height)
    low = max(0.0, plan.height - 2.0 * max(0.0, t - plan.down_at))
    height = min(high, low)
    if t > plan.down_at and height < 1.5:
        height = max(-3.0, 1.5 - 0.5 * (t - plan.down_at - (plan.height - 1.5) / 2.0))
    share, moving = 0.0, 0.0
    if t >= plan.out_at and t < plan.out_at + out_s:
        share, moving = (t - plan.out_at) / out_s, 1.0
    elif t >= plan.out_at + out_s and t < plan.back_at:
        share = 1.0
    elif t >= plan.back_at and t < plan.back_at + out_s:
        share, moving = 1.0 - (t - plan.back_at) / out_s, -1.0
    want[0] = share * length * math.cos(plan.course)
    want[1] = share * length * math.sin(plan.course)
    want[2] = -height
    want[3] = moving * plan.speed * math.cos(plan.course)
    want[4] = moving * plan.speed * math.sin(plan.course)
    want[5] = 0.0
    want[6] = plan.course if t < plan.out_at + out_s else plan.course + math.pi


@kernel
def tilt_toward(pos: Floats, vel: Floats, want: Floats, heading: float, tilt_max: float, speed: float,
                out: Floats) -> None:  # fmt: skip
    """Write wanted roll, pitch and upward acceleration (m/s²) for going after `want` into `out`, shape (3,)."""
    vn = want[3] + 0.45 * (want[0] - pos[0])
    ve = want[4] + 0.45 * (want[1] - pos[1])
    size = math.sqrt(vn * vn + ve * ve)
    most = 1.35 * speed
    if size > most:
        vn, ve = vn * most / size, ve * most / size
    an, ae = 0.9 * (vn - vel[0]), 0.9 * (ve - vel[1])
    ax = an * math.cos(heading) + ae * math.sin(heading)
    ay = -an * math.sin(heading) + ae * math.cos(heading)
    out[0] = min(max(math.atan2(ay, G), -tilt_max), tilt_max)
    out[1] = min(max(math.atan2(-ax, G), -tilt_max), tilt_max)
    climb = min(max(1.0 * (pos[2] - want[2]), -2.2), 4.0)
    out[2] = min(max(1.6 * (climb + vel[2]), -5.0), 6.0)


@kernel
def wrap(angle: float) -> float:
    """Return an angle in -pi to pi."""
    return angle - 2.0 * math.pi * math.floor((angle + math.pi) / (2.0 * math.pi))


@kernel
def mix(craft: Craft, throttle: float, u: Floats, out: Floats) -> None:
    """Write four outputs, 0 to 1: the middle moves so that turning has room, then each is cut off."""
    low, high = 9.0, -9.0
    for c in range(4):
        roll = 1.0 if c % 2 == 0 else -1.0
        pitch = 1.0 if c < 2 else -1.0
        clockwise = craft.scheme if c in (0, 3) else -craft.scheme
        out[c] = roll * u[0] + pitch * u[1] - clockwise * u[2]
        low, high = min(low, out[c]), max(high, out[c])
    span = high - low
    if span > 1.0:
        for c in range(4):
            out[c] /= span
        low, high = low / span, high / span
    middle = min(max(throttle, 0.05 - low), 1.0 - high)
    for c in range(4):
        out[c] = min(max(out[c] + middle, 0.05), 1.0)


@kernel
def thrust_share(u: float, linear: float) -> float:
    """Return thrust over greatest thrust at a steady output."""
    return linear * u + (1.0 - linear) * u * u
