"""Pilot, board, rotors and forces of one step, with all that `World` may have wrong."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown.own_compiled import kernel
from studies.debrief_flown.own_world import World
from studies.record_flown.control import thrust_share, wrap
from studies.record_flown.craft import Craft, Plan
from studies.record_flown.kernel import DT, REST_S, REST_V, RHO
from studies.record_flown.rigid import G

Floats = NDArray[np.float64]
LATE = 350  # ms that a startled pilot is late
LET_GO, CUT, PUNCH, REVERSED, LATE_AND_MUCH, ROLL_OVER = 1.0, 2.0, 3.0, 4.0, 5.0, 6.0
"""What a pilot may do for a while: lets go of the right stick; closes the throttle; opens it; steers to the wrong side;
answers late and far too much; rolls over once."""


@kernel
def wanted(t: float, w: World, want: Floats) -> None:
    """Write north, east, down, their speeds and the heading of the plan at time `t` into `want`, shape (7,)."""
    k = 0
    while k < w.way.shape[0] - 2 and t >= w.way[k + 1, 0]:
        k += 1
    lasts = max(w.way[k + 1, 0] - w.way[k, 0], 1e-3)
    share = min(max((t - w.way[k, 0]) / lasts, 0.0), 1.0)
    for j in range(3):
        step = w.way[k + 1, 1 + j] - w.way[k, 1 + j]
        way = -1.0 if j == 2 else 1.0
        want[j] = way * (w.way[k, 1 + j] + share * step)
        want[3 + j] = way * step / lasts if 0.0 < share < 1.0 else 0.0
    want[6] = w.way[k, 4]


@kernel
def toward(pos: Floats, vel: Floats, want: Floats, heading: float, tilt_max: float, speed: float, sink: float,
           climb: float, out: Floats) -> None:  # fmt: skip
    """Write wanted roll, pitch and upward acceleration (m/s²) for going after `want` into `out`, shape (3,)."""
    vn = want[3] + 0.45 * (want[0] - pos[0])
    ve = want[4] + 0.45 * (want[1] - pos[1])
    size = math.sqrt(vn * vn + ve * ve)
    if size > speed:
        vn, ve = vn * speed / size, ve * speed / size
    an, ae = 0.9 * (vn - vel[0]), 0.9 * (ve - vel[1])
    ax = an * math.cos(heading) + ae * math.sin(heading)
    ay = -an * math.sin(heading) + ae * math.cos(heading)
    out[0] = min(max(math.atan2(ay, G), -tilt_max), tilt_max)
    out[1] = min(max(math.atan2(-ax, G), -tilt_max), tilt_max)
    up = min(max(1.0 * (pos[2] - want[2]) - want[5], -sink), climb)
    out[2] = min(max(1.6 * (up + vel[2]), -5.0), 6.0)


@kernel
def pilot(i: int, t: float, planned: float, pos: Floats, vel: Floats, att: Floats, craft: Craft, plan: Plan, w: World,
          hand: Floats, want: Floats, tilt: Floats, past: Floats, trim: Floats, stick: Floats) -> None:  # fmt: skip
    """Write the four sticks as the thumbs move them.

    `planned`: time of the plan, which stands still while the board flies by itself; `past`, shape (LATE, 2), is what
    was aimed at before.
    """
    wanted(planned, w, want)
    toward(pos, vel, want, att[2], 0.8 * craft.tilt_max, 1.35 * plan.speed, w.sink, w.climb, tilt)
    turning = min(max(1.5 * wrap(want[6] - att[2]), -1.6), 1.6)
    lean = max(0.5, math.cos(att[0]) * math.cos(att[1]))
    trim[0] = min(max(trim[0] + DT * 0.22 * tilt[2] / G, -0.2), 1.0)
    throttle = min(max((craft.hover * (1.0 + 0.75 * tilt[2] / G) + trim[0]) / lean, 0.0), 1.0)
    quick = DT / 0.06
    for k in range(2):
        for j in range(w.acts.shape[0]):
            if w.acts[j, 0] <= t < w.acts[j, 1] and w.acts[j, 2] == REVERSED:
                tilt[k] *= -1.0
        aim = 4.5 * (tilt[k] - att[k]) / craft.rate_max if plan.rate_mode > 0.0 else tilt[k] / craft.tilt_max
        was = past[i % LATE, k]
        past[i % LATE, k] = aim
        shake = 4.0 / craft.rate_max if plan.rate_mode > 0.0 else 1.0
        for j in range(w.acts.shape[0]):
            if not w.acts[j, 0] <= t < w.acts[j, 1]:
                continue
            if w.acts[j, 2] == LET_GO:
                aim = 0.0
            elif w.acts[j, 2] == LATE_AND_MUCH:
                aim = 4.0 * was
            elif w.acts[j, 2] == ROLL_OVER and k == 0:
                aim = 0.9
        stick[k] += quick * (aim + shake * hand[k] - stick[k])
    for j in range(w.acts.shape[0]):
        if w.acts[j, 0] <= t < w.acts[j, 1]:
            if w.acts[j, 2] == CUT:
                throttle = 0.0
            elif w.acts[j, 2] == PUNCH:
                throttle = 0.97
            elif w.acts[j, 2] == ROLL_OVER:
                throttle = 0.3 * craft.hover
    stick[2] += quick * (turning / craft.rate_max + 0.5 * hand[2] - stick[2])
    stick[3] += quick * (throttle - stick[3])
    for k in range(3):
        stick[k] = min(max(stick[k], -1.0), 1.0)
    stick[3] = min(max(stick[3], w.throttle_least), 1.0)


@kernel
def homeward(pos: Floats, vel: Floats, heading: float, err: Floats, w: World, launch: Floats, descend: bool,
             want: Floats, tilt: Floats) -> float:  # fmt: skip
    """Write roll, pitch and climb of an automatic return or descent as the board sees its place and heading."""
    want[3], want[4], want[5] = 0.0, 0.0, 0.0
    seen_n, seen_e = pos[0] + err[0], pos[1] + err[1]
    if descend:
        want[0], want[1], want[2] = pos[0], pos[1], pos[2] + (1.3 if pos[2] < -3.0 else 0.7)
        toward(pos, vel, want, heading, 0.05, 1.0, 2.2, 4.0, tilt)
        return 0.0
    dn, de = launch[0] - seen_n, launch[1] - seen_e
    away = math.sqrt(dn * dn + de * de)
    bearing = math.atan2(de, dn)
    want[0], want[1], want[2] = pos[0] + dn, pos[1] + de, -w.return_high
    if away < 6.0:
        bearing = heading
        want[2] = pos[2] + (1.8 if pos[2] < -3.0 else 0.8) if w.return_lands > 0.0 else pos[2]
    elif -pos[2] < w.return_high - 4.0:
        want[0], want[1] = pos[0], pos[1]
    toward(pos, vel, want, heading, w.return_tilt, w.return_speed, 2.2, 4.0, tilt)
    return min(max(1.5 * wrap(bearing - heading), -1.6), 1.6)


@kernel
def mixed(craft: Craft, throttle: float, u: Floats, idle: float, out: Floats) -> None:
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
    middle = min(max(throttle, idle - low), 1.0 - high)
    for c in range(4):
        out[c] = min(max(out[c] + middle, idle), 1.0)


@kernel
def rate_loop(craft: Craft, kp_by: float, demand: Floats, gyro: Floats, last: Floats, total: Floats, winding: bool,
              u: Floats) -> None:  # fmt: skip
    """Write three turning outputs from rate demand and measured rate."""
    slope = craft.thrust_max * (craft.linear + 2.0 * (1.0 - craft.linear) * craft.hover)
    for k in range(3):
        error = demand[k] - gyro[k]
        total[k] = min(max(total[k] + DT * error, -3.0), 3.0) if winding else 0.0
        if k < 2:
            inertia = craft.ixx if k == 0 else craft.iyy
            ask = craft.kp * error + craft.ki * total[k] - craft.kd * (gyro[k] - last[k]) / DT
            u[k] = kp_by * ask * inertia / (4.0 * craft.arm * slope)
        else:
            u[k] = kp_by * (craft.kp_yaw * error + 0.5 * craft.ki * total[k]) * craft.izz
            u[k] /= 4.0 * craft.torque_m * slope
        u[k] = min(max(u[k], -0.5), 0.5)
        last[k] = gyro[k]


@kernel
def pack_now(craft: Craft, w: World, power: float, used: float, slow: float, warm_c: float,
             ) -> tuple[float, float, float, float]:  # fmt: skip
    """Return volts at the board, current, rest volts of a cell, volts of the cells at the pack.

    A Thevenin pack at constant power; its resistance rises in the cold by 3.5 % a degree.
    """
    share = max(0.0, craft.charge0 - used / craft.capacity)
    rest = np.interp(share, REST_S, REST_V)
    if share < 0.03:  # the last of it goes quickly
        rest -= 0.9 * (0.03 - share) / 0.03
    weak = max(0.0, craft.charge0 - w.cell_low - used / craft.capacity) if w.cell_low > 0.0 else share
    fall = 0.0
    if w.cell_low > 0.0:
        fall = rest - np.interp(weak, REST_S, REST_V) + (1.2 * (0.06 - weak) / 0.06 if weak < 0.06 else 0.0)
    open_v = rest * craft.cells - slow - fall
    r = craft.r_pack * (1.0 + 0.35 * math.exp(-8.0 * share)) * math.exp(0.035 * (25.0 - warm_c)) + w.lead_ohm
    inside = open_v * open_v - 4.0 * power * r
    current = open_v / (2.0 * r) if inside < 0.0 else (open_v - math.sqrt(inside)) / (2.0 * r)
    volts = open_v - current * r
    return volts, current, rest, (volts + current * w.lead_ohm) / craft.cells


@kernel
def rotors(t: float, craft: Craft, w: World, out: Floats, driven: bool, volts: float, stuck: Floats, speed: Floats,
           thrust: Floats, torque: Floats) -> float:  # fmt: skip
    """Move the four rotor speeds by one step; write thrusts and torques about the upright axis; return power in W.

    `stuck`, shape (4,): seconds that a rotor has been below the output it needs, or less than nothing while it is to
    start again.
    """
    full = 4.2 * craft.cells
    power = craft.idle_w
    late = t >= w.corner_at
    for c in range(4):
        ask = out[int(w.order[c])]
        aim = craft.speed_max * volts / full * math.sqrt(thrust_share(ask, craft.linear)) if driven else 0.0
        lag, factor, heavy = craft.lag if driven else 0.25, 1.0, 1.0
        aim *= 1.0 + 0.2 * (1.0 - w.air)  # thin air brakes less
        if late:
            aim *= 1.0 - w.brake[c]
            factor, heavy = w.lift[c], w.drag[c]
        on = True
        for k in range(w.off.shape[0]):
            if w.off[k, 0] == c and w.off[k, 1] <= t < w.off[k, 2]:
                on = False
        for k in range(w.slip.shape[0]):
            if w.slip[k, 0] == c and w.slip[k, 1] <= t < w.slip[k, 2]:
                aim, factor, heavy = min(1.3 * aim, 1.15 * craft.speed_max), 0.12, 0.15
        if w.stall[0] == c and driven and t >= w.stall[3]:
            if stuck[c] < 0.0:
                on = False
                stuck[c] = min(0.0, stuck[c] + DT) if ask > 2.0 * w.stall[1] else -w.stall[2]
            elif ask < w.stall[1]:
                stuck[c] += DT
                if stuck[c] > 0.12:
                    stuck[c] = -w.stall[2]
            else:  # a moment's push of the loop does not bring it up to speed
                stuck[c] = max(0.0, stuck[c] - 2.0 * DT)
        if not on:
            aim, lag = 0.0, 0.05
        speed[c] += DT / lag * (aim - speed[c])
        load = w.air * craft.thrust_max * (speed[c] / craft.speed_max) ** 2
        thrust[c] = factor * load
        way = (craft.scheme if c in (0, 3) else -craft.scheme) * w.spin[c]
        torque[c] = -way * craft.torque_m * heavy * load
        if driven and aim > 0.0:
            watts = heavy * load**1.5 / math.sqrt(2.0 * RHO * w.air * craft.disc) / craft.merit
            power += watts * (1.0 + (2.0 * w.brake[c] if late else 0.0))
    return power


@kernel
def forces(t: float, craft: Craft, w: World, r: Floats, vel: Floats, wind: Floats, rate: Floats, speed: Floats,
           thrust: Floats, torque: Floats, swirl: Floats, shift: Floats, force: Floats, moment: Floats,
           ) -> None:  # fmt: skip
    """Write all but gravity and ground: force in north-east-down, moment about the centre of mass in body axes.

    Sinking straight down about as fast as the air that it drives down, it loses thrust unsteadily (vortex ring).
    """
    air0, air1, air2 = vel[0] - wind[0], vel[1] - wind[1], vel[2] - wind[2]
    size = math.sqrt(air0 * air0 + air1 * air1 + air2 * air2)
    rho = RHO * w.air
    blown = math.sqrt(craft.mass * G / (2.0 * rho * 4.0 * craft.disc))
    down = (r[0, 2] * air0 + r[1, 2] * air1 + r[2, 2] * air2) / blown
    across = math.sqrt(max(0.0, size * size - (down * blown) ** 2)) / blown
    ring = max(0.0, min(1.0, (down - 0.35) / 0.35)) * max(0.0, min(1.0, (2.0 - down) / 0.5)) * max(0.0, 1.0 - across)
    lift = 0.0
    for c in range(4):
        thrust[c] *= 1.0 - ring * (0.22 + 0.30 * swirl[c])
        lift += thrust[c]
    spin = (speed[0] + speed[1] + speed[2] + speed[3]) / (4.0 * craft.speed_max)
    along = down * blown
    k = 0.5 * rho * craft.cda * size
    d = w.air * craft.lift_drag * craft.mass * spin
    force[0] = -r[0, 2] * lift - k * air0 - d * (air0 - along * r[0, 2])
    force[1] = -r[1, 2] * lift - k * air1 - d * (air1 - along * r[1, 2])
    force[2] = -r[2, 2] * lift - k * air2 - d * (air2 - along * r[2, 2])
    gx = shift[1] if t >= shift[0] else 0.0
    gy = shift[2] if t >= shift[0] else 0.0
    moment[0], moment[1], moment[2] = gy * lift, -gx * lift, 0.0
    for c in range(4):
        x = craft.arm if c < 2 else -craft.arm
        y = -craft.arm if c % 2 == 0 else craft.arm
        moment[0] -= y * thrust[c]
        moment[1] += x * thrust[c]
        moment[2] += torque[c]
    for k2 in range(w.upset.shape[0]):
        if w.upset[k2, 0] <= t < w.upset[k2, 1]:
            moment[0] += w.upset[k2, 2] * craft.ixx
            moment[1] += w.upset[k2, 3] * craft.iyy
    if w.strike[0] <= t < w.strike[0] + 0.008:
        for j in range(3):
            force[j] -= craft.mass * w.strike[1] * vel[j] / 0.008
        moment[0] += craft.ixx * w.strike[2] / 0.008
        moment[1] -= craft.iyy * 0.6 * w.strike[2] / 0.008
    for j in range(3):
        moment[j] -= 0.02 * (craft.ixx if j < 2 else craft.izz) * rate[j] * abs(rate[j])


@kernel
def shaken(t: float, craft: Craft, w: World, speed: Floats, drawn: NDArray[np.float32], angle: Floats, shake: Floats,
           ) -> None:  # fmt: skip
    """Write the rotors' shaking at the sensors: gyro 3 (rad/s), accelerometer 3 (m/s²)."""
    shake[:] = 0.0
    late = t >= w.corner_at
    for c in range(4):
        angle[c] += DT * speed[c]
        share = (speed[c] / craft.speed_max) ** 2
        once = craft.unbalance * share * (1.0 + 0.15 * c) * (w.once[c] if late else 1.0)
        blade = 0.4 * craft.unbalance * share
        passing = craft.blades * speed[c] / (2.0 * math.pi)
        if passing > 450.0:
            blade *= (450.0 / passing) ** 4
        si, co = math.sin(angle[c]), math.cos(angle[c])
        bl = math.sin(craft.blades * angle[c] + c)
        shake[0] += craft.vib_gyro * (once * si + blade * bl)
        shake[1] += craft.vib_gyro * (once * co + blade * bl)
        shake[2] += 0.3 * craft.vib_gyro * once * si
        shake[3] += craft.vib_acc * (once * co + blade * bl)
        shake[4] += craft.vib_acc * (once * si - blade * bl)
        shake[5] += craft.vib_acc * (0.4 * once * si + 1.5 * blade * bl)
        if late and w.rough[c] > 0.0:
            for j in range(3):
                hiss = w.rough[c] * share * drawn[(3 * c + j) % 14]
                shake[3 + j] += hiss
                shake[j] += 0.012 * hiss
    for j in range(6):
        shake[j] *= w.shake_all
        if w.shake_all > 1.0:  # the frame itself rings: rates without a line of their own
            ring = (w.shake_all - 1.0) * (shake[j] ** 2) ** 0.5
            shake[j] += 0.5 * ring * drawn[j]
