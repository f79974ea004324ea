"""One flight of the second generator: rotorpy's rigid body, rotors, drag and position controller, stepped by us.

Theirs: the equations of `Multirotor._s_dot_fn` (motor lag, rotor thrust and drag, body drag, rigid body), compiled in
`rotorpy_kernel` and held against their own function in each flight, and `SE3Control` itself for what a pilot or an
automatic return wants. Ours: the board's rate loop, the pack, the radio, ground, hands, and each fault. A
step is 5 ms, by the two-step formula of Adams and Bashforth (Hairer, Nørsett, Wanner 1993, III.1).
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from rotorpy.controllers.quadrotor_control import SE3Control
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor
from studies.debrief_flown.rotorpy_hands import Hands
from studies.debrief_flown.rotorpy_kernel import derivative, matrix, mixed
from studies.debrief_flown.rotorpy_link import Heard, Radio, wander
from studies.debrief_flown.rotorpy_way import TICK_S, Wanted, straight, wanted
from studies.debrief_flown.rotorpy_world import NEVER, Build, Floats, G, Rng, Way, Wrong, rest_v
from studies.record_flown import columns as at

STEP_S: Final = 0.005
EVERY: Final = round(TICK_S / STEP_S)
THINKS: Final = 3
"""Ticks from one thought of the pilot to the next."""
HELD_EVERY: Final = 1500
"""Steps from one comparison with their own function to the next."""
SAME: Final = 1e-9
IDLE: Final = 0.055
THEIRS: Final = (0, 1, 3, 2)
"""Places of their rotors (front-left, front-right, rear-right, rear-left) in our order."""
SIDE: Final = (1.0, -1.0, 1.0, -1.0)
FRONT: Final = (1.0, 1.0, -1.0, -1.0)
TURNS: Final = (1.0, -1.0, -1.0, 1.0)
HARD_MPS: Final = 2.2
NAMES: Final = (
    "north", "west", "up", "v_north", "v_west", "v_up", "p", "q", "r", "roll", "pitch", "heading", "true_heading",
    "ax", "ay", "az", "dp", "dq", "dr", "roll_d", "pitch_d", "o0", "o1", "o2", "o3", "s0", "s1", "s2", "s3", "amps",
    "volts", "rest", "used", "warm", "mode", "armed", "lost", "sr", "sp", "sy", "st", "level", "back", "quality",
    "quality_back", "ratio", "watt", "usual", "wind_n", "wind_w", "board_alive",
)  # fmt: skip
PLACE: Final = {name: place for place, name in enumerate(NAMES)}


class Vehicle(Multirotor):  # type: ignore[misc]
    """Theirs, with rotors that do not do what their speed says."""

    lifts: Floats | None = None
    twists: Floats | None = None

    def compute_body_wrench(self, body_rates: Floats, rotor_speeds: Floats, airspeed: Floats) -> tuple[Floats, Floats]:
        """Return force and moment; a corner's thrust and yaw moment changed by its factor."""
        force, moment = super().compute_body_wrench(body_rates, rotor_speeds, airspeed)
        if self.lifts is not None and self.twists is not None:
            square = rotor_speeds * rotor_speeds
            extra = (self.lifts - 1.0) * self.k_eta * square
            force[2] += extra.sum()
            moment[0] += float(extra @ self.rotor_geometry[:, 1])
            moment[1] -= float(extra @ self.rotor_geometry[:, 0])
            moment[2] += float(((self.twists - 1.0) * self.rotor_dir * self.k_m) @ square)
        return force, moment


def quad_of(build: Build, wrong: Wrong) -> dict[str, Any]:
    """Return their constants of an aircraft."""
    d = build.arm / math.sqrt(2.0)
    lift = build.force_most / build.speed_most**2 * wrong.density
    turns = build.scheme * np.array([TURNS[k] for k in THEIRS])
    return dict(quad_params) | {
        "mass": build.mass, "Ixx": build.ixx, "Iyy": build.iyy, "Izz": build.izz,
        "rotor_pos": {f"r{i + 1}": np.array([d * FRONT[k], d * SIDE[k], 0.0]) for i, k in enumerate(THEIRS)},
        "rotor_directions": turns, "k_eta": lift, "k_m": build.turn_m * lift, "tau_m": build.lag_s,
        "rotor_speed_min": 0.0, "rotor_speed_max": 2.0 * build.speed_most, "k_d": 1.6e-5 * build.mass,
        "k_z": 3.5e-5 * build.mass, "k_h": 0.0, "c_Dx": build.drag, "c_Dy": 1.1 * build.drag, "c_Dz": 1.6 * build.drag,
        "motor_noise_std": 0.0,
    }  # fmt: skip


class Flight:
    """One flight; `fly` returns its log."""

    def __init__(self, build: Build, way: Way, wrong: Wrong, seed: int) -> None:
        """Make ready."""
        self.build, self.way, self.wrong = build, way, wrong
        rng = np.random.default_rng([seed, 41])
        self.wanted: Wanted = wanted(way, wrong)
        ticks = len(self.wanted.yaw) + 3200
        self.radio = Radio(build, wrong, rng, ticks)
        self.hands = Hands(build, way, wrong, rng, ticks)
        quad = quad_of(build, wrong)
        self.vehicle = Vehicle(quad, control_abstraction="cmd_motor_speeds", aero=True, enable_ground=False)
        self.pilot = SE3Control(quad)
        self.pilot.kp_pos, self.pilot.kd_pos = np.array([1.1, 1.1, 4.0]), np.array([1.7, 1.7, 3.6])
        self.base = self.vehicle.rotor_geometry.copy()
        one = self.vehicle
        self.constants = np.array([one.mass, one.Ixx, one.Iyy, one.Izz, one.c_Dx, one.c_Dy, one.c_Dz, one.k_eta, one.k_m,
                                   one.k_d, one.k_z, one.tau_m, one.g])  # fmt: skip
        self.turns = one.rotor_dir.astype(np.float64)
        self.hovers = self._throttle_for(build.mass * G / 4.0)
        self.want: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
        toward = np.array([math.cos(way.wind_to), -math.sin(way.wind_to), 0.0])
        self.mean_wind = way.wind * toward
        self.gusts = np.column_stack([wander(rng, ticks, way.gust, 30) for _ in range(3)])
        self.rumble = rng.standard_normal((ticks * EVERY, 3)) if wrong.wash else None
        self.state = np.zeros(20)
        half = -way.course / 2.0
        self.state[6:10] = (0.0, 0.0, math.sin(half), math.cos(half))
        self.before: Floats | None = None
        self.used, self.slow_v, self.amps = 0.0, 0.0, 0.3
        self.volts = build.cells * rest_v(build.charge)
        self.rate_sum = [0.0, 0.0, 0.0]
        self.gyro_old = [(0.0, 0.0, 0.0)] * 2
        self.outputs = [0.0] * 4
        self.asked, self.tilt_asked, self.throttle = [0.0, 0.0, 0.0], (0.0, 0.0), 0.0
        self.mode, self.armed, self.lost, self.lost_for = at.SELF_LEVEL, False, False, 0.0
        self.heard = Heard(0.0, 0.0, 1.0, 1.0, 30.0, 0.1, 0.0)
        self.crashed_s = self.landed_s = NEVER
        self.flown, self.alive = False, True
        self.ended_s = NEVER
        self.blow = 0.0
        self.stayed_s = 0.0
        self.taken, self.began, self.astray_m = False, 0, 0.0
        board = np.eye(3)
        if wrong.board_turn:
            c, s = math.cos(wrong.board_turn), math.sin(wrong.board_turn)
            board = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
        if wrong.board_over:
            board = board @ np.diag([1.0, -1.0, -1.0])
        self.board = board
        self.plain = not (wrong.board_turn or wrong.board_over)
        self.rows: list[tuple[float, ...]] = []
        self.end_rng = float(rng.uniform(0.8, 2.2))
        self.reaction_s = float(rng.uniform(0.3, 1.0))

    # --- one flight --------------------------------------------------------------------------------------------------

    def fly(self) -> Floats:
        """Fly, and return the log: a row every 5 ms, columns `NAMES`."""
        last = int((self.way.end_s + 60.0) / STEP_S)
        for i in range(last):
            t = i * STEP_S
            if self._ends(t):
                break
            turn = matrix(self.state[6:10])
            seen = turn if self.plain else turn @ self.board
            angles = (
                math.atan2(float(seen[2, 1]), float(seen[2, 2])) + self.wrong.level[0],
                math.asin(max(-1.0, min(1.0, seen[2, 0]))) + self.wrong.level[1],
            )
            if i % EVERY == 0:
                self._tick(t, i // EVERY, turn, angles)
            rates = self._rates()
            self._board(t, rates, angles)
            self._motors(t, i, turn, rates, angles)
        return np.array(self.rows)

    def _ends(self, t: float) -> bool:
        done = min(self.crashed_s + self.end_rng, self.landed_s + 1.5, self.wrong.dies_s)
        if self.wrong.never_arms or self.wrong.link == "none":
            done = min(done, self.way.arm_s + 12.0)
        if self.stayed_s > 3.0:
            done = min(done, t)
        return t >= done or (t > self.way.end_s + 55.0)

    # --- 50 times a second: radio, pilot, mode -----------------------------------------------------------------------

    def _tick(self, t: float, tick: int, turn: Floats, angles: tuple[float, float]) -> None:
        state = self.state
        x, y, z = state[0], state[1], state[2]
        away = max(math.sqrt(x * x + y * y + (z - 1.5) ** 2), 0.5)
        way = turn.T @ np.array([-x / away, -y / away, -(z - 1.5) / away])
        self.heard = self.radio.hear(tick, (x, y, z), (way[0], way[1], way[2]), self.amps)
        self.lost_for = self.lost_for + TICK_S if self.heard.quality < 0.04 else 0.0
        self.lost = self.lost_for > 0.45
        if t >= self.wrong.over_s and not self.taken:
            self._take_over(t)
        if tick % THINKS == 0:
            self.want = self._want(t, tick, turn)
        want = self.want
        self.hands.tick(t, tick, want, angles, self.mode, self.astray_m, linked=not self.lost)
        self._modes(t)
        sticks = self.hands.received
        build = self.build
        if self.mode in (at.RETURN, at.DESCEND):
            self.tilt_asked = (want[0], want[1])
            self.asked[2] = want[2]
            self.throttle = want[3]
        elif self.mode == at.RATE_MODE:
            self.tilt_asked = (0.0, 0.0)
            self.asked = [sticks[0] * build.rate_most, sticks[1] * build.rate_most, sticks[2] * 3.5]
            self.throttle = sticks[3]
        else:
            self.tilt_asked = (sticks[0] * build.tilt_most, sticks[1] * build.tilt_most)
            self.asked[2] = sticks[2] * 3.5
            self.throttle = sticks[3]

    def _want(self, t: float, tick: int, turn: Floats) -> tuple[float, float, float, float]:
        """Return bank, nose-up angle, turning to the right and throttle that whoever flies wants."""
        state, tilt = self.state, self.build.tilt_most
        row = min(tick - self.began, len(self.wanted.yaw) - 1)
        flat = {"x": self.wanted.x[row], "x_dot": self.wanted.v[row], "x_ddot": self.wanted.a[row],
                "yaw": self.wanted.yaw[row], "yaw_dot": 0.0}  # fmt: skip
        psi = math.atan2(turn[1, 0], turn[0, 0])
        steer, off = psi, 0.0
        if self.mode in (at.RETURN, at.DESCEND):
            flat, off = self._homeward(psi)
            steer, tilt = psi + off, float(self.wrong.notes.get("return_tilt", 0.4))
        held = {"x": state[0:3], "v": state[3:6], "q": state[6:10], "w": state[10:13]}
        a = self.pilot.update(t, held, flat)["cmd_acc"]
        c, s = math.cos(steer), math.sin(steer)
        forward, left, up = a[0] * c + a[1] * s, -a[0] * s + a[1] * c, max(a[2], 1.0)
        roll = min(max(-math.atan2(left, up), -tilt), tilt)
        pitch = min(max(-math.atan2(forward, up), -tilt), tilt)
        aim = (flat["yaw"] - steer + math.pi) % (2.0 * math.pi) - math.pi
        lean = max(turn[2, 2], 0.45)
        force = self.build.mass * max(a[2], 0.0) / lean / 4.0
        self.astray_m = float(np.linalg.norm(state[0:2] - flat["x"][0:2]))
        return roll, pitch, -min(max(2.0 * aim, -2.2), 2.2), self._throttle_for(force / self.wrong.density)

    def _take_over(self, t: float) -> None:
        """The pilot takes over from the return: straight home and down, or down where it is if that is too far."""
        self.taken, self.began = True, round(t / TICK_S)
        self.wanted = straight(self.state[0:3], self.wrong.launch if self.wrong.lands else (0.0, 0.0), self.way)
        self.way.down_s = t + 0.5
        self.way.end_s = max(self.way.end_s, t + len(self.wanted.yaw) * TICK_S)

    def _throttle_for(self, force: float) -> float:
        share = min(max(force / self.build.force_most, 0.0), 1.0)
        a, b = 1.0 - self.build.linear, self.build.linear
        return (-b + math.sqrt(b * b + 4.0 * a * share)) / (2.0 * a)

    def _homeward(self, psi: float) -> tuple[dict[str, Any], float]:
        """Return what the automatic return wants, and how wrong the heading is that it steers by."""
        wrong, state = self.wrong, self.state
        off = -self._heading_error()
        home = np.array([wrong.launch[0], wrong.launch[1]])
        gap = home - state[0:2]
        away = float(np.hypot(*gap))
        v = np.zeros(3)
        if self.mode == at.RETURN:
            high = wrong.return_height if wrong.return_height < NEVER else max(12.0, self.way.height)
            near = away < 2.5
            if near and wrong.lands:
                v[2] = -1.4 if state[2] > 3.0 else -0.8
            else:
                v[2] = min(max(0.8 * (high - state[2]), -2.0), 2.5)
            if state[2] > high - 3.0 or near or high < 6.0 or wrong.return_height < NEVER:
                v[0:2] = gap / max(away, 1e-6) * min(wrong.return_speed, 0.7 * away)
        else:
            v[2] = -1.5
        yaw = math.atan2(gap[1], gap[0]) if away > 4.0 and self.mode == at.RETURN else psi + off
        return {"x": state[0:3].copy(), "x_dot": v, "x_ddot": np.zeros(3), "yaw": yaw, "yaw_dot": 0.0}, off

    def _heading_error(self) -> float:
        """Return by how much the board's heading is too far to the right."""
        wrong = self.wrong
        near = wrong.heading_near_ground * math.exp(-max(self.state[2], 0.0) / 5.0)
        return wrong.heading_off + wrong.heading_by_current * self.amps + near

    def _modes(self, t: float) -> None:
        wrong, way = self.wrong, self.way
        if self.crashed_s < NEVER:
            if t > self.crashed_s + self.reaction_s:
                self.armed = False
            return
        if t >= way.arm_s and not self.flown and not wrong.never_arms and wrong.link != "none":
            self.armed = True
        if t >= wrong.disarms_s or t >= self.landed_s + 0.7:
            self.armed = False
        mode = at.RATE_MODE if way.rate_mode or t >= float(wrong.notes.get("rate_mode_s", NEVER)) else at.SELF_LEVEL
        if self.lost_for > 0.9 and wrong.action != "keep" and self.flown:
            mode = {"return": at.RETURN, "stop": at.STOPPED, "descend": at.DESCEND}[wrong.action]
        elif self.mode in (at.RETURN, at.DESCEND, at.STOPPED) and self.lost:
            mode = self.mode
        if wrong.returns_s <= t < wrong.over_s:
            mode = at.RETURN
        if self.mode == at.STOPPED:
            mode = at.STOPPED
        if mode == at.STOPPED:
            self.armed = False
        self.mode = mode

    # --- 200 times a second: board, motors, body ---------------------------------------------------------------------

    def _rates(self) -> tuple[float, float, float]:
        """Return the true turning rates in the board's axes: right side down, nose up, to the right."""
        w = self.state[10:13] if self.plain else self.board.T @ self.state[10:13]
        return float(w[0]), -float(w[1]), -float(w[2])

    def _board(self, t: float, rates: tuple[float, float, float], angles: tuple[float, float]) -> None:
        """Set the corner outputs."""
        build = self.build
        felt, self.gyro_old = self.gyro_old[0], [self.gyro_old[1], rates]
        if not self.armed or not self.alive:
            self.outputs = [0.0] * 4
            self.rate_sum = [0.0, 0.0, 0.0]
            return
        if self.mode != at.RATE_MODE:
            most = build.rate_most
            self.asked[0] = min(max(7.0 * (self.tilt_asked[0] - angles[0]), -most), most)
            self.asked[1] = min(max(7.0 * (self.tilt_asked[1] - angles[1]), -most), most)
        gain = build.gain * self.wrong.gain
        kp = 0.40 / build.lag_s * gain
        ground = self.state[2] <= 0.02
        moment = [0.0, 0.0, 0.0]
        for k, inertia in enumerate((build.ixx, build.iyy, build.izz)):
            error = self.asked[k] - felt[k]
            limit = 1.2 if k < 2 else 0.8
            if ground and self.throttle < 0.2:
                self.rate_sum[k] = 0.0
            else:
                self.rate_sum[k] = min(max(self.rate_sum[k] + error * STEP_S * 2.0, -limit), limit)
            moment[k] = inertia * kp * (0.55 if k == 2 else 1.0) * (error + self.rate_sum[k])
        self._mix(moment)

    def _mix(self, moment: list[float]) -> None:
        """Share moments among the corners."""
        build, wrong = self.build, self.wrong
        scheme = build.scheme * (-1.0 if wrong.yaw_backward else 1.0)
        asked = mixed(np.array(moment), self.throttle, build.force_most, build.linear, build.arm, build.turn_m, scheme,
                      IDLE).tolist()  # fmt: skip
        self.outputs = [asked[wrong.order[k]] for k in range(4)]

    def _motors(
        self, t: float, i: int, turn: Floats, rates: tuple[float, float, float], angles: tuple[float, float]
    ) -> None:
        """Drive the motors, step the body, write the row."""
        build, wrong, state = self.build, self.wrong, self.state
        later = wrong.later if t >= wrong.at_s else {}
        swift, lift = later.get("swift", wrong.swift), later.get("lift", wrong.lift)
        twist, thirst = later.get("twist", wrong.twist), later.get("thirst", wrong.thirst)
        stiff = max(self.volts / (4.12 * build.cells), 0.2) ** 0.75
        cmd = np.empty(4)
        for place, k in enumerate(THEIRS):
            u = self.outputs[k]
            speed = build.speed_most * stiff * math.sqrt(build.linear * u + (1.0 - build.linear) * u * u) * swift[k]
            if wrong.stops is not None and k == wrong.stops[0] and wrong.stops[1] <= t < wrong.stops[2]:
                speed = 0.0
            cmd[place] = speed
        lifts, twists = np.array([lift[k] for k in THEIRS]), np.array([twist[k] for k in THEIRS])
        places = self.base
        if wrong.shift != (0.0, 0.0) and t >= wrong.shift_at_s:
            places = self.base - np.array([wrong.shift[0], -wrong.shift[1], 0.0])
        state[13:16] = self.mean_wind + self.gusts[i // EVERY] if state[2] > 0.1 else 0.0
        change = derivative(state, cmd, turn, places, self.turns, self.constants, lifts, twists)
        if i % HELD_EVERY == 200:
            self._hold_against(state, cmd, places, lifts, twists, change)
        self._upset(t, i, change)
        self._pack(t, state[16:20], thirst)
        self._write(t, turn, rates, angles, change)
        self._step(t, change, turn)

    def _hold_against(
        self, state: Floats, cmd: Floats, places: Floats, lifts: Floats, twists: Floats, change: Floats
    ) -> None:
        """Refuse to fly on where the compiled equations are not theirs."""
        vehicle = self.vehicle
        vehicle.rotor_geometry, vehicle.lifts, vehicle.twists = places, lifts, twists
        theirs = vehicle._s_dot_fn(0.0, state, cmd)  # noqa: SLF001 - their only function for it
        if not np.allclose(theirs, change, rtol=SAME, atol=SAME):
            raise ArithmeticError("the compiled equations of motion are not those of rotorpy")

    def _upset(self, t: float, i: int, change: Floats) -> None:
        """Add what shakes it: its own wash while it sinks."""
        sink = -self.state[5]
        if self.rumble is not None and sink > 2.0 and math.hypot(self.state[3], self.state[4]) < 3.5:
            size = min((sink - 2.0) / 2.0, 1.5)
            wave = math.sin(2.0 * math.pi * 31.0 * t) + math.sin(2.0 * math.pi * 23.0 * t + 1.0)
            change[10:12] += size * (90.0 * self.rumble[i, :2] + 120.0 * wave)
            change[5] -= 0.45 * size * max(change[5] + G, 0.0)

    def _pack(self, t: float, speeds: Floats, thirst: list[float]) -> None:
        build, wrong = self.build, self.wrong
        hover = build.speed_most * math.sqrt(build.mass * G / 4.0 / build.force_most)
        turns = speeds.tolist()
        watt = sum(thirst[k] * (turns[place] / hover) ** 3 for place, k in enumerate(THEIRS)) * build.watt_hover / 4.0
        watt = watt * wrong.density + build.watt_board
        self.amps = min(watt / max(self.volts, 2.4 * build.cells), 400.0) if self.alive else 0.0
        charge = build.charge - self.used / (build.capacity * wrong.capacity)
        rest = build.cells * rest_v(charge)
        if wrong.cell_low > 0.0:
            rest -= rest_v(charge) - rest_v(max(charge - wrong.cell_low, 0.0))
        ohm = build.ohm * (wrong.ohm * (1.0 + wrong.ohm_cold * math.exp(-self.used / build.capacity / 0.06)))
        self.slow_v += (self.amps * build.slow_ohm * wrong.ohm - self.slow_v) * STEP_S / build.slow_s
        self.rest = rest
        self.cell_volts = rest - self.amps * ohm - self.slow_v
        self.volts = self.cell_volts - self.amps * wrong.lead_ohm
        self.used += self.amps * STEP_S / 3600.0

    def _write(
        self, t: float, turn: Floats, rates: tuple[float, float, float], angles: tuple[float, float], change: Floats
    ) -> None:
        state, heard = self.state, self.heard
        down = state[2] <= 0.01 and state[5] <= 0.01
        force = np.array([0.0, 0.0, G]) if down and change[5] < 0.0 else change[3:6] + np.array([0.0, 0.0, G])
        body = turn.T @ force
        body = body if self.plain else self.board.T @ body
        if self.blow > 0.0:
            body = body + np.array([-0.6, 0.3, 0.9]) * self.blow
            self.blow = self.blow * 0.4 if self.blow > 5.0 else 0.0
        psi = -math.atan2(turn[1, 0], turn[0, 0])
        flying = self.armed and not (self.throttle < 0.05 and not self.flown)
        told, hands = state.tolist(), self.hands.received
        speeds = told[16:20]
        self.rows.append((
            *told[0:6], *rates, *angles, psi + self._heading_error(), psi, body[0], -body[1], -body[2],
            *(self.asked if flying else (0.0, 0.0, 0.0)), *(self.tilt_asked if flying else (0.0, 0.0)), *self.outputs,
            speeds[0], speeds[1], speeds[3], speeds[2], self.amps, self.volts, self.cell_volts, self.used,
            self.used / self.build.capacity, self.mode, float(self.armed), float(self.lost), *hands, heard.level,
            heard.back, heard.quality, heard.quality_back, heard.ratio, heard.watt, heard.usual, told[13], told[14],
            float(self.alive),
        ))  # fmt: skip

    def _step(self, t: float, change: Floats, turn: Floats) -> None:
        """Step the body, and meet ground and obstacles."""
        state = self.state
        sink = -state[5]
        if self.crashed_s < NEVER:
            state[16:20] += STEP_S * change[16:20]
            return
        before = change if self.before is None else self.before
        state += STEP_S * (1.5 * change - 0.5 * before)
        self.before = change
        state[6:10] /= math.sqrt(float(state[6:10] @ state[6:10]))
        np.clip(state[16:20], 0.0, None, out=state[16:20])
        self.flown = self.flown or state[2] > 0.8
        if self._strikes(t):
            return
        if state[2] > 0.0:
            return
        tilted = turn[2, 2] < 0.6
        if (self.flown and sink > HARD_MPS) or tilted:
            self._crash(t, max(sink, 1.5))
            return
        state[2], state[5] = 0.0, max(state[5], 0.0)
        state[3:5] *= 0.9
        if self.throttle < 0.75 * self.hovers or not self.armed:  # most of its weight is on its feet
            state[10:13] = 0.0
            yaw = math.atan2(turn[1, 0], turn[0, 0]) / 2.0
            state[6:10] = (0.0, 0.0, math.sin(yaw), math.cos(yaw))
        if self.flown and self.landed_s == NEVER and (t > self.way.down_s or self.mode in (at.RETURN, at.DESCEND)):
            self.landed_s = t
            self.ended_s = t
        if not self.flown and self.throttle > 0.9:
            self.stayed_s += STEP_S

    def _strikes(self, t: float) -> bool:
        wrong, state = self.wrong, self.state
        hit = t >= wrong.strikes_s
        if wrong.obstacle_m < NEVER and self.mode == at.RETURN:
            hit = hit or math.hypot(state[0], state[1]) < wrong.obstacle_m
        if hit and not wrong.notes.get("struck"):
            wrong.notes["struck"] = True
            speed = float(np.linalg.norm(state[3:6]))
            self.ended_s = min(self.ended_s, t)
            self.blow = 40.0 + 14.0 * speed
            state[3:6] *= -0.15
            state[10:13] += np.array([9.0, -14.0, 4.0])
            wrong.lift, wrong.later = [0.2, 0.6, 0.2, 0.6], {}
            self.before = None
        return False

    def _crash(self, t: float, sink: float) -> None:
        self.crashed_s = t
        self.ended_s = min(self.ended_s, t)
        self.blow = 30.0 + 22.0 * sink
        self.state[2] = 0.0
        self.state[3:6] = 0.0
        self.state[10:13] = 0.0
