"""The pilot's hands in the second generator: sticks from what is wanted, what goes wrong with them, what arrives."""

from __future__ import annotations

import math

from studies.debrief_flown.rotorpy_link import wander
from studies.debrief_flown.rotorpy_world import Build, Rng, Way, Wrong
from studies.record_flown import columns as at

Want = tuple[float, float, float, float]
Sticks = tuple[float, float, float, float]
TURN_MOST = 3.5
ASTRAY_M = 4.0
"""A beginner whose aircraft goes the wrong way lets it down by then (our choice)."""
LETS_DOWN = 0.6


class Hands:
    """Sticks 50 times a second: roll, pitch, yaw from -1 to 1, throttle from 0 to 1."""

    def __init__(self, build: Build, way: Way, wrong: Wrong, rng: Rng, ticks: int) -> None:
        """Draw how they tremble."""
        self.build, self.way, self.wrong = build, way, wrong
        self.tremble = [wander(rng, ticks, size, 5) for size in (0.012, 0.012, 0.010, 0.006)]
        self.received: Sticks = (0.0, 0.0, 0.0, 0.0)
        self.meant = (0.0, 0.0, 0.0)
        """What the thumbs mean: roll, pitch, yaw, before the transmitter makes anything of it."""
        self.phase = [float(one) for one in rng.uniform(0.0, 6.28, 3)]
        self.side = float(rng.choice([-1.0, 1.0]))
        self.beat = float(rng.uniform(2.2, 3.2))
        self.astray_m, self.gives_up = 0.0, False
        self.hovers = 0.4
        """Throttle that holds it; the board says."""

    def tick(
        self,
        t: float,
        tick: int,
        want: Want,
        angles: tuple[float, float],
        mode: float,
        astray_m: float,
        *,
        linked: bool,
    ) -> None:
        """Move the sticks, and let those that arrive be known."""
        self.astray_m = astray_m
        sent = self._sent(t, tick, want, angles, mode)
        stuck = not linked or any(begin <= t < end for begin, end in self.wrong.frozen)
        if not stuck:
            self.received = sent

    def _sent(self, t: float, tick: int, want: Want, angles: tuple[float, float], mode: float) -> Sticks:
        build, way, wrong = self.build, self.way, self.wrong
        if wrong.link == "none":
            return (0.0, 0.0, 0.0, 0.0)
        if mode in (at.RETURN, at.DESCEND, at.STOPPED):
            return self._arrive((0.0, 0.0, 0.0, 0.45), tick, resting=False)
        if t < way.off_s or t > way.end_s + 3.0:
            idle = float(wrong.notes.get("throttle_up", 0.0)) if t >= way.arm_s - 1.0 else 0.0
            return self._arrive((0.0, 0.0, 0.0, idle), tick, resting=True)
        if mode == at.RATE_MODE:
            roll = min(max(5.0 * (want[0] - angles[0]), -4.0), 4.0) / build.rate_most
            pitch = min(max(5.0 * (want[1] - angles[1]), -4.0), 4.0) / build.rate_most
        else:
            roll, pitch = want[0] / build.tilt_most, want[1] / build.tilt_most
        odd = wrong.stick_swap is not None or min(wrong.stick_sign) < 0.0 or wrong.yaw_backward
        self.gives_up = self.gives_up or (odd and self.astray_m > ASTRAY_M)
        # each correction makes it worse, so the throttle comes down before it is far off
        throttle = min(want[3], LETS_DOWN * self.hovers) if self.gives_up else want[3]
        sticks = (roll, pitch, want[2] / TURN_MOST, max(throttle, 0.07))
        return self._arrive(self._wrongly(t, sticks), tick, resting=False)

    def _wrongly(self, t: float, sticks: Sticks) -> Sticks:
        """Return what the hands do where the fault is theirs."""
        wrong = self.wrong
        since = t - wrong.at_s
        if wrong.hands == "flat out":
            climb = min(max((t - self.way.off_s) / 1.5, 0.0), 1.0)
            return (0.0, 0.0, 0.0, climb)
        if since < 0.0 or not wrong.hands:
            return sticks
        roll, pitch, yaw, throttle = sticks
        if wrong.hands == "cut":
            full = since < wrong.notes["cut_s"] + wrong.notes["full_s"]
            return (roll, pitch, yaw, 0.0 if since < wrong.notes["cut_s"] else 1.0 if full else throttle)
        if wrong.hands == "lost":
            wave = 6.28 * self.beat * since
            size = min(0.3 + 0.25 * since, 0.95)
            lean = 0.35 * min(since / 1.5, 1.0) * self.side
            return (
                size * math.sin(wave + self.phase[0]) + lean, size * math.sin(0.8 * wave + self.phase[1]) - 0.3,
                0.5 * math.sin(0.6 * wave + self.phase[2]), max(0.12, throttle * (1.0 - 0.35 * min(since, 2.0) / 2.0)),
            )  # fmt: skip
        if wrong.hands == "startled":
            if since < 0.35:
                return (0.25 * self.side, pitch, yaw, throttle)
            held = since < 0.35 + wrong.notes["held_s"]
            return (-self.side, pitch, 0.0, throttle * 0.7) if held else (0.0, 0.0, 0.0, 0.2)
        if wrong.hands == "let go":
            return (0.0, 0.0, 0.0, throttle)
        if wrong.hands == "bank":
            lean = 0.55 * self.side
            return (lean, -0.1, yaw, throttle) if since < 1.0 else (0.0, 0.0, 0.0, wrong.notes["kept"])
        if wrong.hands == "sink":
            return (roll, pitch, yaw, max(throttle * wrong.notes["lift"], 0.08))
        return sticks

    def _arrive(self, sticks: Sticks, tick: int, *, resting: bool) -> Sticks:
        """Return what the transmitter makes of the sticks."""
        wrong = self.wrong
        moved = list(sticks)
        self.meant = sticks[:3]
        if not resting:
            moved = [one + self.tremble[k][tick] for k, one in enumerate(moved)]
        if wrong.stick_swap is not None:
            a, b = wrong.stick_swap
            moved[a], moved[b] = moved[b], moved[a]
        for k in range(3):
            moved[k] = moved[k] * wrong.stick_sign[k] + wrong.stick_off[k]
        return (
            min(max(moved[0], -1.0), 1.0), min(max(moved[1], -1.0), 1.0), min(max(moved[2], -1.0), 1.0),
            min(max(moved[3], 0.0), 1.0),
        )  # fmt: skip
