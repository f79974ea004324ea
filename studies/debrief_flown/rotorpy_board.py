"""The aircraft of the second generator as board, pilot and radio see it: what is wanted, demanded and put out.

Theirs is `SE3Control` for what a pilot or an automatic return wants. Ours: the board's rate loop, modes, take-over.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np
from rotorpy.controllers.quadrotor_control import SE3Control
from rotorpy.vehicles.hummingbird_params import quad_params
from rotorpy.vehicles.multirotor import Multirotor
from studies.debrief_flown.rotorpy_hands import Hands
from studies.debrief_flown.rotorpy_kernel import mixed
from studies.debrief_flown.rotorpy_link import Heard, Radio, wander
from studies.debrief_flown.rotorpy_way import TICK_S, Wanted, straight, wanted
from studies.debrief_flown.rotorpy_world import NEVER, Build, Floats, G, Way, Wrong, rest_v
from studies.record_flown import columns as at

STEP_S: Final = 0.005
EVERY: Final = round(TICK_S / STEP_S)
THINKS: Final = 3
"""Ticks from one thought of the pilot to the next."""
HELD_EVERY: Final = 1500
"""Steps from one comparison with their own function to the next."""
SAME: Final = 1e-9
IDLE: Final = 0.055
CARRIES_MPS: Final = 7.0
THEIRS: Final = (0, 1, 3, 2)
"""Places of their rotors (front-left, front-right, rear-right, rear-left) in our order."""
SIDE: Final = (1.0, -1.0, 1.0, -1.0)
FRONT: Final = (1.0, 1.0, -1.0, -1.0)
TURNS: Final = (1.0, -1.0, -1.0, 1.0)


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


class Board:
    """An aircraft and its pilot, before anything moves."""

    def __init__(self, build: Build, way: Way, wrong: Wrong, seed: int, again: int = 0) -> None:
        """Make ready; `again`: how often it was drawn before."""
        self.build, self.way, self.wrong = build, way, wrong
        rng = np.random.default_rng([seed, 41, again] if again else [seed, 41])
        self.wanted: Wanted = wanted(way, wrong)
        self.meant = (float(self.wanted.x[-1, 0]), float(self.wanted.x[-1, 1]))
        """Where the pilot means to land; a wind that carries it along makes another way, not another wish."""
        if way.wind > CARRIES_MPS:
            self.meant = (0.0, 0.0)
        ticks = len(self.wanted.yaw) + 3200
        self.radio = Radio(build, wrong, rng, ticks)
        self.hands = Hands(build, way, wrong, rng, ticks)
        quad = quad_of(build, wrong)
        self.vehicle = Vehicle(quad, control_abstraction="cmd_motor_speeds", aero=True, enable_ground=False)
        self.pilot = SE3Control(quad)
        self.pilot.kp_pos, self.pilot.kd_pos = np.array([1.1, 1.1, 4.0]), np.array([1.7, 1.7, 3.6])
        self.base = self.vehicle.rotor_geometry.copy()
        one = self.vehicle
        self.constants = np.array([one.mass, one.Ixx, one.Iyy, one.Izz, one.c_Dx, one.c_Dy, one.c_Dz, one.k_eta,
                                   one.k_m, one.k_d, one.k_z, one.tau_m, one.g])  # fmt: skip
        self.turns = one.rotor_dir.astype(np.float64)
        self.hovers = self.hands.hovers = self.throttle_for(build.mass * G / 4.0)
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
        return roll, pitch, -min(max(2.0 * aim, -2.2), 2.2), self.throttle_for(force / self.wrong.density)

    def _take_over(self, t: float) -> None:
        """The pilot takes over from the return: straight home and down, or down where it is if that is too far."""
        self.taken, self.began = True, round(t / TICK_S)
        self.wanted = straight(self.state[0:3], self.wrong.launch if self.wrong.lands else (0.0, 0.0), self.way)
        self.way.down_s = t + 0.5
        self.way.end_s = max(self.way.end_s, t + len(self.wanted.yaw) * TICK_S)

    def throttle_for(self, force: float) -> float:
        """Return the output at which a corner gives so much, in N, with a full pack at sea level."""
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

    def _board(self, rates: tuple[float, float, float], angles: tuple[float, float]) -> None:
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
