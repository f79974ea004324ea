"""Made-up flights with known phases: motion is laid down first, then the channels follow from it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from tests.assess.record_makers import Made

from turnback.records.bench import At
from turnback.records.channel import ACCELERATIONS, RATES, Channel, Quantity

G = 9.80665
HOVER_OUTPUT, IDLE_OUTPUT = 0.32, 0.05
DRAG_PER_S = 0.25  # deceleration a metre a second of speed
Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class MadeFlight:
    """Truth at each step; `forward` and `upright` are specific force along the aircraft."""

    t_s: Floats
    height_m: Floats
    climb_mps: Floats
    speed_mps: Floats
    forward_mps2: Floats
    upright_mps2: Floats
    lean_rad: Floats
    output: Floats
    armed: Floats
    aloft: NDArray[np.bool_]
    starts_s: dict[str, float]


def fly(*legs: tuple[str, float, float, float], rate_hz: float = 1000.0) -> MadeFlight:
    """Fly legs of (name, seconds, climb at its end, speed at its end); both change evenly over a leg's first second.

    Names: off, idle, fly, fall (motors off in the air, no drag), lie (motors off after a fall), bench.
    """
    step_s = 1.0 / rate_hz
    climb, speed = 0.0, 0.0
    parts: dict[str, list[Floats]] = {
        name: [] for name in ("climb", "speed", "output", "armed", "aloft", "forward", "upright", "lean")
    }
    starts_s: dict[str, float] = {}
    now_s = 0.0
    for name, length_s, to_climb, to_speed in legs:
        starts_s.setdefault(name if name not in starts_s else f"{name}{len(starts_s)}", now_s)
        n = round(length_s * rate_hz)
        along_s = np.arange(n) * step_s
        ramp = np.minimum(along_s / min(1.0, length_s), 1.0)
        up = np.full(n, to_climb) if name in ("off", "idle", "lie", "bench") else climb + (to_climb - climb) * ramp
        over = np.full(n, to_speed) if name in ("off", "idle", "lie", "bench") else speed + (to_speed - speed) * ramp
        if name == "fall":
            up, over = climb - G * along_s, np.full(n, speed)
        lift, drag = G + np.gradient(up, step_s), DRAG_PER_S * over
        push = np.gradient(over, step_s)
        thrust, lean = np.hypot(lift, push + drag), np.arctan2(push + drag, lift)
        forward, upright = push * np.cos(lean) - lift * np.sin(lean), push * np.sin(lean) + lift * np.cos(lean)
        if name != "fly":
            lean = np.zeros(n)
            forward, upright = np.zeros(n), np.full(n, 0.0 if name == "fall" else G)
        parts["climb"].append(up)
        parts["speed"].append(over)
        parts["forward"].append(forward)
        parts["upright"].append(upright)
        parts["lean"].append(lean)
        parts["aloft"].append(np.full(n, float(name in ("fly", "fall"))))
        parts["armed"].append(np.full(n, float(name in ("idle", "fly", "bench"))))
        share = {"off": 0.0, "fall": 0.0, "lie": 0.0, "idle": IDLE_OUTPUT, "bench": 0.4}.get(name)
        parts["output"].append(HOVER_OUTPUT * thrust / G if share is None else np.full(n, share))
        climb, speed = float(up[-1]), float(over[-1])
        if name != "fly" and name != "fall":
            climb, speed = 0.0, 0.0
        now_s += n * step_s
    joined = {name: np.concatenate(each) for name, each in parts.items()}
    t_s = np.asarray(np.arange(joined["climb"].size) * step_s, np.float64)
    aloft = joined["aloft"] > 0.5
    height = np.asarray(np.maximum(np.cumsum(np.where(aloft, joined["climb"], 0.0)) * step_s, 0.0), np.float64)
    return MadeFlight(
        t_s, height, joined["climb"], joined["speed"], joined["forward"], joined["upright"], joined["lean"],
        joined["output"], joined["armed"], aloft, starts_s,
    )  # fmt: skip


def picked(values: Floats, every: int, shake: Floats | float = 0.0) -> Floats:
    """Return every n-th value with something added."""
    return np.asarray(values[::every] + shake, np.float64)


def board_channels(flight: MadeFlight, generator: np.random.Generator, noise: float = 1.0) -> Made:
    """Rates, specific force and outputs; air turns it to and fro aloft, motors shake it while they run."""
    n = flight.t_s.size
    runs = flight.output > 0.02
    shake = noise * np.where(runs, 0.15, 0.004)
    wind = np.zeros(n)
    for hz in (0.7, 1.3, 2.9):
        wind += 0.12 * noise * np.sin(2.0 * np.pi * hz * flight.t_s + generator.uniform(0.0, 6.0))
    made: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
    for each in RATES:
        values = np.where(flight.aloft, wind * generator.uniform(0.5, 1.0), 0.0) + shake * generator.standard_normal(n)
        made[each] = (flight.t_s, values.astype(np.float32))
    bumps = noise * np.where(runs, 1.2, 0.05)
    for each, force in zip(ACCELERATIONS, (flight.forward_mps2, np.zeros(n), -flight.upright_mps2), strict=True):
        made[each] = (flight.t_s, (force + bumps * generator.standard_normal(n)).astype(np.float32))
    for at in At:
        output = np.clip(flight.output + 0.01 * noise * runs * generator.standard_normal(n), 0.0, 1.0)
        made[Channel(Quantity.OUTPUT, at)] = (flight.t_s, output.astype(np.float32))
    return made


def slow_channels(flight: MadeFlight, generator: np.random.Generator, hz: float, noise: float = 1.0) -> Made:
    """Height, speed, climb and current at a slower rate."""
    every = round(1.0 / (hz * (flight.t_s[1] - flight.t_s[0])))
    t_s = flight.t_s[::every]
    n = t_s.size
    current = 0.4 + 12.0 * (flight.output / HOVER_OUTPUT) ** 1.5
    return {
        Quantity.HEIGHT_LAUNCH: (t_s, picked(flight.height_m, every, 0.15 * noise * generator.standard_normal(n))),
        Quantity.GROUND_SPEED: (
            t_s, np.abs(picked(flight.speed_mps, every, 0.15 * noise * generator.standard_normal(n)))
        ),
        Quantity.CURRENT: (t_s, picked(current, every, 0.1 * noise * generator.standard_normal(n))),
    }  # fmt: skip


def armed_channel(flight: MadeFlight) -> Made:
    """Whether the motors are allowed to run."""
    return {Quantity.ARMED: (flight.t_s, flight.armed)}


USUAL = (
    ("off", 4.0, 0.0, 0.0), ("idle", 3.0, 0.0, 0.0), ("fly", 3.0, 2.0, 0.0), ("fly", 8.0, 0.0, 0.0),
    ("fly", 15.0, 0.0, 12.0), ("fly", 6.0, 0.0, 0.0), ("fly", 5.0, -4.0 / 3.0, 0.0), ("idle", 2.0, 0.0, 0.0),
    ("off", 4.0, 0.0, 0.0),
)  # fmt: skip


def joined(*parts: Made) -> Made:
    """Return all channels together."""
    every: dict[Channel | Quantity, tuple[ArrayLike, ArrayLike]] = {}
    for part in parts:
        every |= part
    return every


def shown(phases: Iterable[object]) -> str:
    """Return phases on lines, for a failing test."""
    return "\n".join(map(str, phases))
