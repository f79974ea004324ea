"""The loop over one flight: pilot, board, rotors, body, sensors, a row of the log a millisecond."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.record_flown import columns as at
from studies.record_flown.compiled import kernel
from studies.record_flown.control import mix
from studies.record_flown.craft import Craft, Faults, Plan
from studies.record_flown.kernel import (
    DT,
    board_way,
    forces,
    link_level,
    pack_now,
    pilot_sticks,
    rate_loop,
    rotors,
    shaken,
)
from studies.record_flown.rigid import G, contact, rotation, turn

Floats = NDArray[np.float64]
Log = NDArray[np.float32]


@kernel
def phase_now(mode: float, armed: bool, aloft: bool, up: bool, low: bool, tilt: float, down_speed: float,
              over_ground: float) -> float:  # fmt: skip
    """Return what it does, as a place in the log's phases."""
    if not aloft:
        return at.P_ARMED if armed else at.P_GROUND
    if mode == at.STOPPED or not armed or (tilt < 0.2 and down_speed > 2.0):
        return at.P_FALL
    if not up:
        return at.P_TAKE_OFF if low else at.P_CLIMB
    if mode == at.RETURN:
        return at.P_RETURN
    if over_ground > 3.5:
        return at.P_CRUISE
    return at.P_SLOW if over_ground > 1.2 else at.P_HOVER


@kernel
def airs(plan: Plan, row: NDArray[np.float32], height: float, hand: Floats, gust: Floats, wind: Floats) -> None:
    """Move the pilot's unsteady hand and the gusts on by one step; write the wind at a height, north, east, down."""
    for k in range(3):
        hand[k] += DT / 0.35 * -hand[k] + plan.clumsy * math.sqrt(2.0 * DT / 0.35) * row[k]
        gust[k] += DT / 1.2 * -gust[k] + plan.gust * math.sqrt(2.0 * DT / 1.2) * row[3 + k]
    near = min(1.0, 0.35 + max(0.0, height) / 15.0)
    wind[0] = near * (-plan.wind * math.cos(plan.wind_from) + gust[0])
    wind[1] = near * (-plan.wind * math.sin(plan.wind_from) + gust[1])
    wind[2] = near * 0.5 * gust[2]


@kernel
def asked(mode: float, armed: bool, craft: Craft, plan: Plan, faults: Faults, pos: Floats, vel: Floats, att: Floats,
          got: Floats, want: Floats, tilt: Floats, flat: float, climb_more: float, demand: Floats, lean: Floats,
          ) -> tuple[float, float]:  # fmt: skip
    """Write the rates and tilts that the board asks for; return throttle and what it has learnt of hover."""
    throttle = got[3]
    if mode == at.RETURN or mode == at.DESCEND:
        demand[2] = board_way(mode, pos, vel, att, craft, plan, faults, want, tilt)
        lean[0], lean[1] = tilt[0], tilt[1]
        climb_more = min(max(climb_more + DT * 0.15 * tilt[2] / G, -0.1), 0.3)
        throttle = craft.hover * (1.0 + 0.75 * tilt[2] / G) / max(0.5, flat) + climb_more
    else:
        lean[0], lean[1] = got[0] * craft.tilt_max, got[1] * craft.tilt_max
        demand[2] = got[2] * craft.rate_max
    for k in range(2):
        if mode == at.RATE_MODE:
            demand[k] = got[k] * craft.rate_max
        else:
            demand[k] = min(max(6.0 * (lean[k] - att[k]), -5.0), 5.0)
    if not armed:
        demand[:] = 0.0
    return throttle, climb_more


@kernel
def moved(craft: Craft, force: Floats, moment: Floats, vel: Floats, rate: Floats, pos: Floats, q: Floats, r: Floats,
          att: Floats, felt: Floats) -> None:  # fmt: skip
    """Move the body by one step; write its attitude and the specific force in body axes."""
    for k in range(3):
        felt[k] = (r[0, k] * force[0] + r[1, k] * force[1] + r[2, k] * force[2]) / craft.mass
    vel[0] += DT * force[0] / craft.mass
    vel[1] += DT * force[1] / craft.mass
    vel[2] += DT * (force[2] / craft.mass + G)
    p, s, y = rate[0], rate[1], rate[2]
    rate[0] += DT * (moment[0] + (craft.iyy - craft.izz) * s * y) / craft.ixx
    rate[1] += DT * (moment[1] + (craft.izz - craft.ixx) * p * y) / craft.iyy
    rate[2] += DT * (moment[2] + (craft.ixx - craft.iyy) * p * s) / craft.izz
    for k in range(3):
        rate[k] = min(max(rate[k], -60.0), 60.0)
        pos[k] += DT * vel[k]
    turn(q, rate, DT)
    rotation(q, r)
    att[0] = math.atan2(r[2, 1], r[2, 2])
    att[1] = math.asin(min(max(-r[2, 0], -1.0), 1.0))
    att[2] = math.atan2(r[1, 0], r[0, 0])


@kernel
def sensed(craft: Craft, drawn: NDArray[np.float32], rate: Floats, felt: Floats, shake: Floats, gyro: Floats,
           row: NDArray[np.float32]) -> None:  # fmt: skip
    """Write what gyroscope and accelerometer show, and the rate as the board filters it."""
    for k in range(3):
        seen = rate[k] + craft.bias * (k - 1.0) + craft.gyro_noise * drawn[8 + k] + shake[k]
        seen = min(max(seen, -34.9), 34.9)
        gyro[k] += 0.45 * (seen - gyro[k])
        row[at.GYRO + k] = seen
        row[at.RATE + k] = rate[k]
        row[at.ACC + k] = min(max(felt[k] + craft.acc_noise * drawn[11 + k] + shake[3 + k], -157.0), 157.0)


@kernel
def logged(row: NDArray[np.float32], demand: Floats, vel: Floats, pos: Floats, att: Floats, lean: Floats, out: Floats,
           speed: Floats, got: Floats, wind: Floats, felt: Floats, scalars: tuple[float, ...]) -> None:  # fmt: skip
    """Write the rest of a row; `scalars` are what stands from `columns.VOLTS` to `columns.TOUCH`."""
    for k in range(3):
        row[at.DEMAND + k] = demand[k]
        row[at.VEL + k] = vel[k]
        row[at.NORTH + k] = pos[k]
        row[at.ROLL + k] = att[k]
    for c in range(4):
        row[at.OUT + c], row[at.SPEED + c], row[at.STICK + c] = out[c], speed[c], got[c]
    row[at.TILT_DEMAND], row[at.TILT_DEMAND + 1] = lean[0], lean[1]
    row[at.WIND], row[at.WIND + 1] = wind[0], wind[1]
    for k in range(len(scalars)):
        row[at.VOLTS + k] = scalars[k]
    row[at.FORCE] = math.sqrt(felt[0] * felt[0] + felt[1] * felt[1] + felt[2] * felt[2])


@kernel
def packet(t: float, drawn: NDArray[np.float32], pos: Floats, r: Floats, craft: Craft, faults: Faults, shadow: float,
           quality: float, last_ok: float, dead: bool, stick: Floats, got: Floats,
           ) -> tuple[float, float, float, float]:  # fmt: skip
    """Send one packet; write the sticks that arrive, return shadow, level, quality and when one last arrived."""
    shadow += 0.02 / 1.5 * -shadow + 1.5 * math.sqrt(0.04 / 1.5) * drawn[6]
    level = link_level(pos, r, craft, shadow, t, faults)
    arrived = drawn[7] < (level - craft.sensitivity) / 1.5
    if t >= faults.jam and t < faults.jam_end and drawn[8] < 0.4:
        arrived = False
    quality += 0.1 * ((1.0 if arrived else 0.0) - quality)
    if arrived:
        last_ok = t
        if not (t >= faults.frozen and t < faults.frozen_end) and not dead:
            for k in range(4):
                got[k] = stick[k]
    return shadow, level, quality, last_ok


@kernel
def switched(t: float, craft: Craft, plan: Plan, faults: Faults, armed: bool, dead: bool, lifted: bool, mode: float,
             waited: float, over: bool) -> tuple[bool, bool, float]:  # fmt: skip
    """Return armed, dead and mode; `waited` is how long an armed aircraft aloft has heard nothing, `over` the end."""
    if not dead and not lifted and t >= plan.arm_at:
        armed = True
    if t >= faults.restart:
        dead, armed = True, False
    if armed and over:
        armed, dead = False, True
    if armed and waited > craft.loss_after:
        if craft.action == 0.0:
            mode, armed, dead = at.STOPPED, False, True
        elif craft.action == 2.0 and mode < at.RETURN:
            mode = at.RETURN
        elif craft.action == 3.0 and mode < at.RETURN:
            mode = at.DESCEND
    return armed, dead, mode


@kernel
def fly(craft: Craft, plan: Plan, faults: Faults, noise: NDArray[np.float32], log: Log) -> int:
    """Fly one flight; return the rows written to `log`, shape (n, columns.WIDTH).

    `noise`, shape (n, 14): standard normal. What is left in it beyond sixty lines is the state that one step hands to
    the next; every part that can stand alone is a kernel of its own.
    """
    pos, vel, rate, att = np.zeros(3), np.zeros(3), np.zeros(3), np.zeros(3)
    q, r = np.array([math.cos(plan.course / 2), 0.0, 0.0, math.sin(plan.course / 2)]), np.zeros((3, 3))
    speed, thrust, out, angle = np.zeros(4), np.zeros(4), np.zeros(4), np.zeros(4)
    force, moment, shake = np.zeros(3), np.zeros(3), np.zeros(6)
    stick, got, hand, want, tilt = np.zeros(4), np.zeros(4), np.zeros(3), np.zeros(7), np.zeros(3)
    demand, gyro, last, total, u = np.zeros(3), np.zeros(3), np.zeros(3), np.zeros(3), np.zeros(3)
    gust, wind, lean, felt = np.zeros(3), np.zeros(3), np.zeros(2), np.zeros(3)
    shadow, level, quality, last_ok, lost = 0.0, craft.level0, 1.0, 0.0, False
    volts, current, used, slow, rest = 4.2 * craft.cells, 0.0, 0.0, 0.0, 4.2
    armed, lifted, up, dead, crash_at, landed_at = False, False, False, False, 1e9, 1e9
    mode = at.RATE_MODE if plan.rate_mode > 0 else at.SELF_LEVEL
    climb_more = 0.0
    pos[2] = -0.0273  # on its feet
    rotation(q, r)
    done = log.shape[0]
    for i in range(log.shape[0]):
        t = i * DT
        airs(plan, noise[i], -pos[2], hand, gust, wind)
        # the link: one packet in 20 ms
        if i % 20 == 0:
            shadow, level, quality, last_ok = packet(t, noise[i], pos, r, craft, faults, shadow, quality, last_ok, dead,
                                                     stick, got)  # fmt: skip
            lost = t - last_ok > 0.5
        # the pilot
        if t < plan.off_at or crash_at < t or landed_at < t:
            for k in range(4):
                stick[k] *= 0.99
        else:
            pilot_sticks(t, pos, vel, att, craft, plan, faults, hand, want, tilt, stick)
        # arming, modes, what the board asks for
        waited = t - last_ok if armed and lifted and lost and crash_at > t and landed_at > t else 0.0
        armed, dead, mode = switched(t, craft, plan, faults, armed, dead, lifted, mode, waited,
                                     t > crash_at + 1.2 or t > landed_at + 1.0)  # fmt: skip
        throttle, climb_more = asked(mode, armed, craft, plan, faults, pos, vel, att, got, want, tilt, r[2, 2],
                                     climb_more, demand, lean)  # fmt: skip
        rate_loop(t, craft, faults, demand, gyro, last, total, armed and lifted, u)
        if not lifted:
            u *= 0.3
        mix(craft, throttle, u, out)
        if not armed:
            out[:] = 0.0
        # rotors, pack, body
        power = rotors(t, craft, faults, out, armed, volts, speed, thrust)
        now, current, rest = pack_now(craft, power, used, slow, faults.step_ohm if t >= faults.step else 0.0)
        volts += DT / 0.004 * (now - volts)
        used += current * DT / 3600.0
        slow += DT / craft.slow_s * (current * craft.r_slow - slow)
        forces(craft, faults, t, r, vel, wind, rate, speed, thrust, force, moment)
        touch = contact(pos, vel, rate, r, craft.mass, craft.arm, force, moment)
        moved(craft, force, moment, vel, rate, pos, q, r, att, felt)
        # sensors
        shaken(t, craft, faults, speed, angle, shake)
        sensed(craft, noise[i], rate, felt, shake, gyro, log[i])
        # where it is in the flight
        aloft = -pos[2] > 0.12 and touch == 0.0
        lifted = lifted or -pos[2] > 0.2
        up = up or -pos[2] > 0.92 * plan.height or t > plan.out_at
        if lifted and touch > 6.0 and crash_at > t:
            crash_at = t
        if lifted and touch > 0.3 and landed_at > t and crash_at > t and (t > plan.down_at or mode >= at.RETURN):
            landed_at = t
        logged(log[i], demand, vel, pos, att, lean, out, speed, got, wind, felt,
               (volts, current, used, rest, level, quality, mode, 1.0 if armed else 0.0, 1.0 if lost else 0.0,
                touch))  # fmt: skip
        flat = math.sqrt(vel[0] ** 2 + vel[1] ** 2)
        log[i, at.PHASE] = phase_now(mode, armed, aloft, up, -pos[2] < 2.0, r[2, 2], vel[2], flat)
        if t > faults.ends or t > min(crash_at, landed_at) + 4.0:
            done = i + 1
            break
    return int(done)
