"""The loop over one flight of this study: pilot, link, board, rotors, body, sensors, a row of the log a millisecond."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown import own_columns as to
from studies.debrief_flown.own_compiled import kernel
from studies.debrief_flown.own_kernel import (
    LATE,
    forces,
    homeward,
    mixed,
    pack_now,
    pilot,
    rate_loop,
    rotors,
    shaken,
)
from studies.debrief_flown.own_radio import ground_at, packet, within
from studies.debrief_flown.own_world import World
from studies.record_flown import columns as at
from studies.record_flown.craft import Craft, Plan
from studies.record_flown.kernel import DT
from studies.record_flown.loop import airs, moved
from studies.record_flown.rigid import G, contact, rotation

Floats = NDArray[np.float64]
Log = NDArray[np.float32]


@kernel
def angles_of(r: Floats, out: Floats) -> None:
    """Write roll, pitch, heading of a matrix from body to north-east-down."""
    out[0] = math.atan2(r[2, 1], r[2, 2])
    out[1] = math.asin(min(max(-r[2, 0], -1.0), 1.0))
    out[2] = math.atan2(r[1, 0], r[0, 0])


@kernel
def field(w: World, r: Floats, height: float, current: float, seen: Floats, mag: Floats) -> float:
    """Write the field that the direction sensor shows; return the heading that the board makes of it."""
    near = math.exp(-max(0.0, height) / w.local_m)
    raw = np.zeros(3)
    for k in range(3):
        for j in range(3):
            raw[k] += r[j, k] * (w.earth[j] + w.local[j] * near)
        raw[k] += w.lead[k] * current
    for k in range(3):
        mag[k] = w.sensor[k, 0] * raw[0] + w.sensor[k, 1] * raw[1] + w.sensor[k, 2] * raw[2]
    sr, cr, sp, cp = math.sin(seen[0]), math.cos(seen[0]), math.sin(seen[1]), math.cos(seen[1])
    x = mag[0] * cp + mag[1] * sr * sp + mag[2] * cr * sp
    y = mag[1] * cr - mag[2] * sr
    return math.atan2(-y, x)


@kernel
def asked(mode: float, craft: Craft, w: World, pos: Floats, vel: Floats, seen: Floats, heading: float,
          err: Floats, launch: Floats, got: Floats, want: Floats, tilt: Floats, flat: float, more: float,
          demand: Floats, lean: Floats) -> tuple[float, float]:  # fmt: skip
    """Write the rates and tilts that the board asks for; return throttle and what it has learnt of hover."""
    throttle = got[3]
    if mode == at.RETURN or mode == at.DESCEND:
        demand[2] = homeward(pos, vel, heading, err, w, launch, mode == at.DESCEND, want, tilt)
        lean[0], lean[1] = tilt[0], tilt[1]
        more = min(max(more + DT * 0.15 * tilt[2] / G, -0.1), 0.45)
        throttle = craft.hover * (1.0 + 0.75 * tilt[2] / G) / max(0.5, flat) + more
    else:
        lean[0], lean[1] = got[0] * craft.tilt_max, got[1] * craft.tilt_max
        demand[2] = got[2] * craft.rate_max
    for k in range(2):
        if mode == at.RATE_MODE:
            demand[k] = got[k] * craft.rate_max
        else:
            demand[k] = min(max(6.0 * (lean[k] - seen[k]), -5.0), 5.0)
    return throttle, more


@kernel
def sensed(craft: Craft, w: World, drawn: NDArray[np.float32], rate: Floats, felt: Floats, shake: Floats,
           current: float, gyro: Floats, row: NDArray[np.float32]) -> None:  # fmt: skip
    """Write what gyroscope and accelerometer show in the board's axes, and the rate as the board filters it."""
    rough = w.ripple_gyro * current
    for k in range(3):
        turn, push = 0.0, 0.0
        for j in range(3):
            turn += w.board[k, j] * (rate[j] + shake[j])
            push += w.board[k, j] * (felt[j] + shake[3 + j])
        seen = turn + craft.bias * (k - 1.0) + (craft.gyro_noise + rough) * drawn[8 + k]
        seen = min(max(seen, -34.9), 34.9)
        gyro[k] += 0.45 * (seen - gyro[k])
        row[at.GYRO + k] = seen
        row[at.RATE + k] = rate[k]
        row[at.ACC + k] = min(max(push + craft.acc_noise * drawn[11 + k], -157.0), 157.0)


@kernel
def switched(t: float, craft: Craft, plan: Plan, w: World, armed: bool, dead: bool, lifted: bool, mode: float,
             waited: float, over: bool) -> tuple[bool, bool, float]:  # fmt: skip
    """Return armed, dead and mode; `waited` is how long an armed aircraft aloft has heard nothing, `over` the end."""
    if not dead and not lifted and t >= plan.arm_at and w.arms > 0.0 and w.linked > 0.0:
        armed = True
    if within(w.restart, t) or t >= w.arm_off or (armed and over):
        armed, dead = False, True
    if armed and w.return_at <= t < w.return_until and mode < at.RETURN:
        mode = at.RETURN
    if mode == at.RETURN and t >= w.return_until and waited == 0.0:
        mode = w.mode
    if armed and waited > craft.loss_after:
        if craft.action == 0.0:
            mode, armed, dead = at.STOPPED, False, True
        elif craft.action == 2.0 and mode < at.RETURN:
            mode = at.RETURN
        elif craft.action == 3.0 and mode < at.RETURN:
            mode = at.DESCEND
    return armed, dead, mode


@kernel
def written(row: NDArray[np.float32], demand: Floats, vel: Floats, pos: Floats, att: Floats, lean: Floats, out: Floats,
            speed: Floats, got: Floats, stick: Floats, wind: Floats, felt: Floats, mag: Floats, seen: Floats,
            err: Floats, scalars: tuple[float, ...], more: tuple[float, ...]) -> None:  # fmt: skip
    """Write a row; `scalars` stand from `columns.VOLTS` to `TOUCH`, `more` from `own_columns.HEADING_SEEN` on."""
    for k in range(3):
        row[at.DEMAND + k], row[at.VEL + k], row[at.NORTH + k] = demand[k], vel[k], pos[k]
        row[at.ROLL + k], row[to.MAG + k] = att[k], mag[k]
    for c in range(4):
        row[at.OUT + c], row[at.SPEED + c] = out[c], speed[c]
        row[at.STICK + c], row[to.SENT + c] = got[c], stick[c]
    for k in range(2):
        row[at.TILT_DEMAND + k], row[at.WIND + k], row[to.ATT_SEEN + k] = lean[k], wind[k], seen[k]
        row[to.ERR + k] = err[k]
    for k in range(len(scalars)):
        row[at.VOLTS + k] = scalars[k]
    for k in range(len(more)):
        row[to.HEADING_SEEN + k] = more[k]
    row[at.FORCE] = math.sqrt(felt[0] * felt[0] + felt[1] * felt[1] + felt[2] * felt[2])


@kernel
def fly(craft: Craft, plan: Plan, w: World, launch: Floats, shift: Floats, kp_by: float,
        noise: NDArray[np.float32], log: Log) -> int:  # fmt: skip
    """Fly one flight; return the rows written to `log`, shape (n, own_columns.WIDE).

    `noise`, shape (n, 18): standard normal. `launch`: stored launch point north, east. `shift`: when, x, y that the
    middle of mass moves.
    """
    pos, vel, rate, att = np.zeros(3), np.zeros(3), np.zeros(3), np.zeros(3)
    turn = w.way[0, 4]
    q, r, rb = np.array([math.cos(turn / 2), 0.0, 0.0, math.sin(turn / 2)]), np.zeros((3, 3)), np.zeros((3, 3))
    speed, thrust, torque, out, angle = np.zeros(4), np.zeros(4), np.zeros(4), np.zeros(4), np.zeros(4)
    force, moment, shake, stuck, swirl = np.zeros(3), np.zeros(3), np.zeros(6), np.zeros(4), np.zeros(4)
    stick, mapped, got, hand, want, tilt = np.zeros(4), np.zeros(4), np.zeros(4), np.zeros(3), np.zeros(7), np.zeros(3)
    demand, gyro, last, total, u = np.zeros(3), np.zeros(3), np.zeros(3), np.zeros(3), np.zeros(3)
    gust, wind, lean, felt, err = np.zeros(3), np.zeros(3), np.zeros(2), np.zeros(3), np.zeros(2)
    seen, mag, past, trim, above = np.zeros(3), np.zeros(3), np.zeros((LATE, 2)), np.zeros(1), np.zeros(3)
    state = np.zeros(10)
    state[1], state[2], state[7] = craft.level0, 1.0, 1.0
    if w.linked == 0.0:
        state[2], state[7], state[3], state[8], state[9] = 0.0, 0.0, -9.0, -9.0, -9.0
    volts, current, used, slow, rest, warm = 4.2 * craft.cells, 0.0, 0.0, 0.0, 4.2, w.cold_c
    cell, supply, board_on, heading = 4.2, 5.05, True, turn
    armed, lifted, dead, crash_at, landed_at, more = False, False, False, 1e9, 1e9, 0.0
    mode = w.mode
    ground, paused, tipped, astray = ground_at(w, 0.0, 0.0), 0.0, 0.0, 0.0
    pos[2] = -0.0273 - ground
    rotation(q, r)
    done = log.shape[0]
    for i in range(log.shape[0]):
        t = i * DT
        airs(plan, noise[i], -pos[2], hand, gust, wind)
        for c in range(4):
            swirl[c] += DT / 0.09 * -swirl[c] + math.sqrt(2.0 * DT / 0.09) * noise[i, 14 + c]
        open_plug = within(w.plug, t)
        if supply < 3.2 or within(w.restart, t):
            board_on = False
        elif not open_plug and not within(w.restart, t) and w.restart.shape[0] > 0:
            board_on = True
        # the pilot
        over = crash_at < t or landed_at < t
        if t < plan.off_at or over:
            for k in range(4):
                stick[k] *= 0.99
            stick[3] = max(stick[3], w.throttle_least)
        else:
            if mode == at.RETURN or mode == at.DESCEND:
                stick[:3] *= 0.995  # the board flies: hands rest
            else:
                pilot(i, t, t - paused, pos, vel, att, craft, plan, w, hand, want, tilt, past, trim, stick)
            far = math.sqrt((want[0] - pos[0]) ** 2 + (want[1] - pos[1]) ** 2 + (want[2] - pos[2]) ** 2)
            led = mode == at.RETURN or mode == at.DESCEND
            paused += DT if led else 0.0
            lost_it = not led and (far > w.gives_up_m or abs(rate[2]) > 9.0)
            astray = astray + DT if lost_it or astray > 0.7 else 0.0
            if astray > 0.7:
                stick[3] = 0.0
            if not lifted:  # off the ground without dawdling
                trim[0] = 0.8 * (t - plan.off_at)
        # the link: one packet in 20 ms
        if i % 20 == 0:
            for k in range(4):
                mapped[k] = w.stick_off[k]
                for j in range(4):
                    mapped[k] += w.stick_map[k, j] * stick[j]
                mapped[k] = min(max(mapped[k], -1.0), 1.0)
            packet(t, noise[i], pos, r, craft, w, current, state, mapped, got, board_on)
        lost = t - state[8] > 0.5
        # arming, modes, what the board asks for
        waited = t - state[8] if armed and lifted and lost and not over else 0.0
        if lifted and t >= w.arm_off and armed:
            dead = True
        armed, dead, mode = switched(t, craft, plan, w, armed, dead, lifted, mode, waited,
                                     t > crash_at + 1.2 or t > landed_at + 1.0 or astray > 1.5)  # fmt: skip
        k4 = t * 4.0
        k0 = min(int(k4), w.place_err.shape[0] - 2)
        for k in range(2):
            share = min(k4 - k0, 1.0)
            err[k] = w.place_err[k0, k] * (1.0 - share) + w.place_err[k0 + 1, k] * share
        throttle, more = asked(mode, craft, w, pos, vel, seen, heading, err, launch, got, want, tilt, r[2, 2],
                               more, demand, lean)  # fmt: skip
        if not armed:
            demand[:] = 0.0
        rate_loop(craft, kp_by, demand, gyro, last, total, armed and (lifted or throttle > 0.6 * craft.hover), u)
        if not lifted:
            u *= 0.7
        mixed(craft, throttle, u, w.idle, out)
        if not armed:
            out[:] = 0.0
        # rotors, pack, body
        power = rotors(t, craft, w, out, armed and board_on and not open_plug, volts, stuck, speed, thrust,
                       torque)  # fmt: skip
        now, current, rest, cell = pack_now(craft, w, power, used, slow, warm)
        if open_plug:
            now, current = 0.0, 0.0
            volts += DT / 0.03 * (now - volts)
        else:
            volts += DT / 0.004 * (now - volts)
        supply = min(5.05, max(volts - 0.25, 0.0))
        used += current * DT / 3600.0
        slow += DT / craft.slow_s * (current * craft.r_slow - slow)
        warm += DT * current * max(0.0, rest * craft.cells - cell * craft.cells) / w.heat
        forces(t, craft, w, r, vel, wind, rate, speed, thrust, torque, swirl, shift, force, moment)
        ground = ground_at(w, pos[0], pos[1])
        above[0], above[1], above[2] = pos[0], pos[1], pos[2] + ground
        touch = contact(above, vel, rate, r, craft.mass, craft.arm, force, moment)
        moved(craft, force, moment, vel, rate, pos, q, r, att, felt)
        # sensors
        for j in range(3):
            for k in range(3):
                rb[j, k] = r[j, 0] * w.board[k, 0] + r[j, 1] * w.board[k, 1] + r[j, 2] * w.board[k, 2]
        angles_of(rb, seen)
        seen[0] += w.level[0]
        seen[1] += w.level[1]
        if i % 10 == 0:
            heading = field(w, r, -pos[2] - ground, current, seen, mag)
        shaken(t, craft, w, speed, noise[i], angle, shake)
        sensed(craft, w, noise[i], rate, felt, shake, current, gyro, log[i])
        # where it is in the flight
        high = -pos[2] - ground
        if high > 0.2 and not lifted:
            lifted = True
            trim[0] *= 0.6
        tipped = tipped + DT if r[2, 2] < 0.5 and high < 0.5 and t > plan.off_at else 0.0
        if not lifted and armed and t > plan.off_at + 6.0 and plan.end > plan.off_at + 15.0:
            tipped = 1.0
        if dead and high < 0.3 and abs(vel[2]) < 0.2:
            tipped = 1.0
        if tipped > 0.8 and crash_at > t:  # it lies on its side, motors running
            crash_at = t
        if lifted and touch > 0.0 and abs(ground) > 3.0 and vel[0] ** 2 + vel[1] ** 2 > 9.0 and w.strike[0] > t + 1e6:
            w.strike[0], w.strike[1], w.strike[2] = t, 1.0, 20.0  # into a slope
        struck = w.strike[0] <= t < w.strike[0] + 0.02
        if lifted and (touch > 6.0) and crash_at > t:
            crash_at = t
        if struck and crash_at > t:
            crash_at = t + 0.4
        if (
            lifted
            and touch > 0.3
            and landed_at > t
            and crash_at > t
            and (t - paused > plan.down_at or mode >= at.RETURN)
        ):
            landed_at = t
        written(log[i], demand, vel, pos, att, lean, out, speed, got, mapped, wind, felt, mag, seen, err,
                (volts, current, used, rest, state[1], state[2], mode, 1.0 if armed else 0.0, 1.0 if lost else 0.0,
                 touch),
                (heading, supply, state[6], state[7], state[4], state[5], cell, warm))  # fmt: skip
        log[i, to.GROUND] = ground
        log[i, to.BOARD_ON] = 1.0 if board_on else 0.0
        log[i, to.OFF] = 1.0 if t - state[3] > 0.5 else 0.0
        log[i, to.HEARD_BACK] = 1.0 if t - state[9] < 0.5 else 0.0
        if t > min(crash_at, landed_at) + 3.0 or t > plan.end:
            done = i + 1
            break
    return int(done)
