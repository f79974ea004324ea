"""One flight of the second generator: rotorpy's rigid body, rotors, drag and position controller, stepped by us.

Theirs: the equations of `Multirotor._s_dot_fn` (motor lag, rotor thrust and drag, body drag, rigid body), compiled in
`rotorpy_kernel` and held against their own function in each flight, and `SE3Control` itself for what a pilot or an
automatic return wants. Ours: the board's rate loop, the pack, the radio, ground, hands, and each fault. A step is 5 ms,
by the two-step formula of Adams and Bashforth (Hairer, Nørsett, Wanner 1993, III.1).
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from studies.debrief_flown.rotorpy_board import EVERY, HELD_EVERY, SAME, STEP_S, THEIRS, Board
from studies.debrief_flown.rotorpy_kernel import derivative, matrix
from studies.debrief_flown.rotorpy_world import NEVER, Floats, G, rest_v
from studies.record_flown import columns as at

HARD_MPS: Final = 2.2
DEEP_M: Final = 8.0
"""Of what stands in the way home: trees, a house."""
NAMES: Final = (
    "north", "west", "up", "v_north", "v_west", "v_up", "p", "q", "r", "roll", "pitch", "heading", "true_heading",
    "ax", "ay", "az", "dp", "dq", "dr", "roll_d", "pitch_d", "o0", "o1", "o2", "o3", "s0", "s1", "s2", "s3", "amps",
    "volts", "rest", "used", "warm", "mode", "armed", "lost", "sr", "sp", "sy", "st", "level", "back", "quality",
    "quality_back", "ratio", "watt", "usual", "wind_n", "wind_w", "board_alive",
    "true_p", "true_q", "true_r", "true_roll", "true_pitch", "thumb_roll", "thumb_pitch", "thumb_yaw",
)  # fmt: skip
PLACE: Final = {name: place for place, name in enumerate(NAMES)}


class Flight(Board):
    """One flight; `fly` returns its log."""

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
            self._board(rates, angles)
            self._motors(t, i, turn, rates, angles)
        return np.array(self.rows)

    def _ends(self, t: float) -> bool:
        done = min(self.crashed_s + self.end_rng, self.landed_s + 1.5, self.wrong.dies_s)
        if self.wrong.never_arms or self.wrong.link == "none":
            done = min(done, self.way.arm_s + 12.0)
        if self.stayed_s > 3.0:
            done = min(done, t)
        return t >= done or (t > self.way.end_s + 55.0)

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
        self._pack(state[16:20], thirst)
        self._write(turn, rates, angles, change)
        self._step(t, change, turn)

    def _hold_against(
        self, state: Floats, cmd: Floats, places: Floats, lifts: Floats, twists: Floats, change: Floats
    ) -> None:
        """Refuse to fly on where the compiled equations are not theirs."""
        vehicle = self.vehicle
        vehicle.rotor_geometry, vehicle.lifts, vehicle.twists = places, lifts, twists
        theirs = vehicle._s_dot_fn(0.0, state, cmd)
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

    def _pack(self, speeds: Floats, thirst: list[float]) -> None:
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
        times = wrong.ohm * (1.0 + wrong.ohm_cold * math.exp(-self.used / build.capacity / 0.06))
        ohm = build.ohm * times
        self.slow_v += (self.amps * build.slow_ohm * times - self.slow_v) * STEP_S / build.slow_s
        self.rest = rest
        self.cell_volts = rest - self.amps * ohm - self.slow_v
        self.volts = self.cell_volts - self.amps * wrong.lead_ohm
        self.used += self.amps * STEP_S / 3600.0

    def _write(
        self, turn: Floats, rates: tuple[float, float, float], angles: tuple[float, float], change: Floats
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
            float(self.alive), told[10], -told[11], -told[12], math.atan2(float(turn[2, 1]), float(turn[2, 2])),
            math.asin(max(-1.0, min(1.0, turn[2, 0]))), *self.hands.meant,
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
        if change[5] < -0.25 * G or self.throttle < 0.75 * self.hovers or not self.armed:  # weight is on its feet
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
            away = math.hypot(state[0], state[1])
            high = wrong.return_height + float(wrong.notes["taller_m"])
            hit = hit or (wrong.obstacle_m - DEEP_M < away < wrong.obstacle_m and bool(state[2] < high))
        if hit and not wrong.notes.get("struck"):
            wrong.notes["struck"] = True
            speed = float(np.linalg.norm(state[3:6]))
            wrong.notes.update(struck_s=t, struck_mps=speed)
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
