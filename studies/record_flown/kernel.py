"""One flight, a step a millisecond."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.record_flown import columns as at
from studies.record_flown.compiled import kernel
from studies.record_flown.control import thrust_share, tilt_toward, wanted_place, wrap
from studies.record_flown.craft import Craft, Faults, Plan
from studies.record_flown.rigid import G

Floats = NDArray[np.float64]

DT = 0.001
RHO = 1.225
REST_V = np.array([3.27, 3.55, 3.67, 3.73, 3.77, 3.80, 3.84, 3.89, 3.96, 4.03, 4.11, 4.20])
REST_S = np.array([0.0, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0])


@kernel
def link_level(pos: Floats, r: Floats, craft: Craft, shadow: float, t: float, faults: Faults) -> float:
    """Return the level in dBm: free space from the level at 100 m, a vertical dipole's null, shadow and fade."""
    away = math.sqrt(pos[0] ** 2 + pos[1] ** 2 + (pos[2] - 1.5) ** 2)
    away = max(away, 3.0)
    along = abs(r[0, 2] * pos[0] + r[1, 2] * pos[1] + r[2, 2] * (pos[2] - 1.5)) / away
    null = 20.0 * math.log10(max(math.sqrt(max(0.0, 1.0 - along * along)), 0.2))
    fade = 0.0
    if t >= faults.fade and t < faults.fade_end + faults.fade_ramp:
        rise = min(1.0, (t - faults.fade) / faults.fade_ramp)
        fall = min(1.0, (faults.fade_end + faults.fade_ramp - t) / faults.fade_ramp)
        fade = faults.fade_db * min(rise, fall)
    return craft.level0 - 20.0 * math.log10(away / 100.0) + null + shadow - fade


@kernel
def pilot_sticks(t: float, pos: Floats, vel: Floats, att: Floats, craft: Craft, plan: Plan, faults: Faults,
                 hand: Floats, want: Floats, tilt: Floats, stick: Floats) -> None:  # fmt: skip
    """Write the pilot's four sticks."""
    wanted_place(t, plan, want)
    tilt_toward(pos, vel, want, att[2], 0.8 * craft.tilt_max, plan.speed, tilt)
    if plan.rate_mode > 0.0:
        aim0 = 4.5 * (tilt[0] - att[0]) / craft.rate_max
        aim1 = 4.5 * (tilt[1] - att[1]) / craft.rate_max
    else:
        aim0, aim1 = tilt[0] / craft.tilt_max, tilt[1] / craft.tilt_max
    turning = min(max(1.5 * wrap(want[6] - att[2]), -1.6), 1.6) if t > plan.out_at - 3.0 else 0.0
    lean = max(0.5, math.cos(att[0]) * math.cos(att[1]))
    if t >= faults.reversals and t < faults.reversals_end:
        sway = 0.45 if math.sin(2.0 * math.pi * faults.reversals_hz * (t - faults.reversals)) >= 0.0 else -0.45
        if faults.reversals_axis < 0.5:
            aim0 = sway
        else:
            aim1 = sway
    quick = DT / 0.06
    shake = 4.0 / craft.rate_max if plan.rate_mode > 0.0 else 1.0
    stick[0] += quick * (aim0 + shake * hand[0] - stick[0])
    stick[1] += quick * (aim1 + shake * hand[1] - stick[1])
    stick[2] += quick * (turning / craft.rate_max + 0.5 * hand[2] - stick[2])
    stick[3] += quick * (craft.hover * (1.0 + 0.75 * tilt[2] / G) / lean - stick[3])
    for k in range(3):
        stick[k] = min(max(stick[k], -1.0), 1.0)
    stick[3] = min(max(stick[3], 0.0), 1.0)


@kernel
def board_way(mode: float, pos: Floats, vel: Floats, att: Floats, craft: Craft, plan: Plan, faults: Faults,
              want: Floats, tilt: Floats) -> float:  # fmt: skip
    """Write roll, pitch and climb of an automatic return or descent into `tilt`; return the yaw rate asked for."""
    want[3], want[4] = 0.0, 0.0
    dn, de = faults.launch_n - pos[0], faults.launch_e - pos[1]
    away = math.sqrt(dn * dn + de * de)
    if mode == at.DESCEND:
        want[0], want[1], want[2] = pos[0], pos[1], pos[2] + 1.3
        tilt_toward(pos, vel, want, att[2], 0.05, 1.0, tilt)
        return 0.0
    high = max(plan.height, 25.0)
    bearing = math.atan2(de, dn) + faults.return_off
    want[0], want[1] = pos[0] + away * math.cos(bearing), pos[1] + away * math.sin(bearing)
    if away < 6.0:
        want[0], want[1], want[2] = faults.launch_n, faults.launch_e, pos[2] + (1.8 if pos[2] < -3.0 else 0.8)
        bearing = att[2]
    elif -pos[2] < high - 4.0:
        want[0], want[1], want[2] = pos[0], pos[1], -high
    else:
        want[2] = -high
    tilt_toward(pos, vel, want, att[2], 0.7 * craft.tilt_max, plan.speed / 1.35, tilt)
    return min(max(1.5 * wrap(bearing - att[2]), -1.6), 1.6)


@kernel
def pack_now(craft: Craft, power: float, used: float, slow: float, extra: float) -> tuple[float, float, float]:
    """Return volts, current and rest volts per cell; a Thevenin pack at constant power."""
    share = max(0.0, craft.charge0 - used / craft.capacity)
    rest = np.interp(share, REST_S, REST_V)
    open_v = rest * craft.cells - slow
    r = craft.r_pack * (1.0 + 0.35 * math.exp(-8.0 * share)) + extra
    inside = open_v * open_v - 4.0 * power * r
    current = open_v / (2.0 * r) if inside < 0.0 else (open_v - math.sqrt(inside)) / (2.0 * r)
    return open_v - current * r, current, rest


@kernel
def rotors(t: float, craft: Craft, faults: Faults, out: Floats, armed: bool, volts: float, speed: Floats,
           thrust: Floats) -> float:  # fmt: skip
    """Move the four rotor speeds by one step, write thrusts; return electric power in W."""
    full = 4.2 * craft.cells
    power = craft.idle_w
    for c in range(4):
        aim = craft.speed_max * volts / full * math.sqrt(thrust_share(out[c], craft.linear)) if armed else 0.0
        lag = craft.lag if armed else 0.25
        factor = 1.0
        if t >= faults.stop and t < faults.stop_end and c == int(faults.stop_at):
            aim, lag = 0.0, 0.035
        if t >= faults.prop and c == int(faults.prop_at):
            aim, factor = min(1.45 * aim, 1.1 * craft.speed_max), 0.02
        if t >= faults.bent and c == int(faults.bent_at):
            factor = 0.93
        speed[c] += DT / lag * (aim - speed[c])
        thrust[c] = factor * craft.thrust_max * (speed[c] / craft.speed_max) ** 2
        if armed and aim > 0.0:
            power += thrust[c] ** 1.5 / math.sqrt(2.0 * RHO * craft.disc) / craft.merit
    return power


@kernel
def rate_loop(t: float, craft: Craft, faults: Faults, demand: Floats, gyro: Floats, last: Floats, total: Floats,
              winding: bool, u: Floats) -> None:  # fmt: skip
    """Write three turning outputs from rate demand and measured rate."""
    slope = craft.thrust_max * (craft.linear + 2.0 * (1.0 - craft.linear) * craft.hover)
    more = faults.gain_by if t >= faults.gain else 1.0
    for k in range(3):
        error = demand[k] - gyro[k]
        total[k] = min(max(total[k] + DT * error, -3.0), 3.0) if winding else 0.0
        if k < 2:
            inertia = craft.ixx if k == 0 else craft.iyy
            ask = more * craft.kp * error + craft.ki * total[k] - more * craft.kd * (gyro[k] - last[k]) / DT
            u[k] = ask * inertia / (4.0 * craft.arm * slope)
        else:
            u[k] = (craft.kp_yaw * error + 0.5 * craft.ki * total[k]) * craft.izz / (4.0 * craft.torque_m * slope)
        u[k] = min(max(u[k], -0.5), 0.5)
        if faults.crossed_axis == k:
            u[k] = -u[k]
        last[k] = gyro[k]


@kernel
def forces(craft: Craft, faults: Faults, t: float, r: Floats, vel: Floats, wind: Floats, rate: Floats, speed: Floats,
           thrust: Floats, force: Floats, moment: Floats) -> None:  # fmt: skip
    """Write all but gravity and ground: force in north-east-down, moment about the centre of mass in body axes."""
    air0, air1, air2 = vel[0] - wind[0], vel[1] - wind[1], vel[2] - wind[2]
    size = math.sqrt(air0 * air0 + air1 * air1 + air2 * air2)
    lift = thrust[0] + thrust[1] + thrust[2] + thrust[3]
    spin = (speed[0] + speed[1] + speed[2] + speed[3]) / (4.0 * craft.speed_max)
    along = r[0, 2] * air0 + r[1, 2] * air1 + r[2, 2] * air2
    k = 0.5 * RHO * craft.cda * size
    d = craft.lift_drag * craft.mass * spin
    force[0] = -r[0, 2] * lift - k * air0 - d * (air0 - along * r[0, 2])
    force[1] = -r[1, 2] * lift - k * air1 - d * (air1 - along * r[1, 2])
    force[2] = -r[2, 2] * lift - k * air2 - d * (air2 - along * r[2, 2])
    gx = faults.shift_x if t >= faults.shift else 0.0
    gy = faults.shift_y if t >= faults.shift else 0.0
    moment[0], moment[1], moment[2] = gy * lift, -gx * lift, 0.0
    for c in range(4):
        x = craft.arm if c < 2 else -craft.arm
        y = -craft.arm if c % 2 == 0 else craft.arm
        way = craft.scheme if c in (0, 3) else -craft.scheme
        moment[0] -= y * thrust[c]
        moment[1] += x * thrust[c]
        moment[2] -= way * craft.torque_m * thrust[c]
    for j in range(3):
        moment[j] -= 0.02 * (craft.ixx if j < 2 else craft.izz) * rate[j] * abs(rate[j])


@kernel
def shaken(t: float, craft: Craft, faults: Faults, speed: Floats, angle: Floats, shake: Floats) -> None:
    """Write the rotors' shaking at the sensors: gyro 3 (rad/s), accelerometer 3 (m/s²)."""
    for j in range(6):
        shake[j] = 0.0
    for c in range(4):
        angle[c] += DT * speed[c]
        share = (speed[c] / craft.speed_max) ** 2
        once = craft.unbalance * share * (1.0 + 0.15 * c)
        if t >= faults.bent and c == int(faults.bent_at):
            once *= faults.bent_by
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
