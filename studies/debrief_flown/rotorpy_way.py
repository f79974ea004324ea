"""Where the second generator's aircraft is to be, 50 times a second: up, out, back, down; a pilot who flies by tilt."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from studies.debrief_flown.rotorpy_world import NEVER, Floats, Way, Wrong

TICK_S = 0.02


@dataclass(slots=True, eq=False)
class Wanted:
    """Place, speed, acceleration (shape (n, 3), x north, y west, z up), and heading anticlockwise from north."""

    x: Floats
    v: Floats
    a: Floats
    yaw: Floats


def smooth(values: Floats, rows: int) -> Floats:
    """Return values averaged twice over `rows`."""
    if rows < 2:
        return values
    kernel = np.ones(rows) / rows
    pad = np.concatenate([np.full(rows, values[0]), values, np.full(rows, values[-1])])
    return np.asarray(np.convolve(np.convolve(pad, kernel, "same"), kernel, "same")[rows:-rows])


def wanted(way: Way, wrong: Wrong) -> Wanted:
    """Return the flight as its pilot means it. Wind carries along: a pilot holds tilt, not speed over ground.

    Parameters
    ----------
    way : Way
        Its later times are put off where the way back takes longer.
    wrong : Wrong
    """
    carried = 0.8 * way.wind * math.cos(way.wind_to - way.course)
    out = max(way.speed + carried, 0.5)
    back = max(way.speed - carried, 0.0)
    far = out * (way.back_s - way.out_s)
    needed = far / back if back > 0.3 else NEVER
    leg = min(max(needed, 3.0), 16.0)
    later = leg - (way.home_s - way.back_s - 0.8)
    way.home_s, way.down_s, way.end_s = way.home_s + later, way.down_s + later, way.end_s + later
    t = np.arange(0.0, way.end_s + 4.0, TICK_S)
    along = np.where((t >= way.out_s) & (t < way.back_s), out, 0.0)
    homeward = (t >= way.back_s + 0.8) & (t < way.back_s + 0.8 + leg)
    along = along - np.where(homeward, min(back, far / leg), 0.0)
    v_along = smooth(along, 75)
    low = float(wrong.notes.get("return_low", 0.0))
    rise = np.where((t >= way.off_s) & (t < way.off_s + (way.height + 0.4) / 2.6), 2.6, 0.0)
    fast = way.height - 3.0
    sink = np.where((t >= way.down_s) & (t < way.down_s + fast / 2.4), -2.4, 0.0)
    sink = np.where((t >= way.down_s + fast / 2.4) & (t < way.end_s), -1.1, sink)
    up = smooth(rise + sink, 20)
    for begin, high in wrong.notes.get("punches", ()):
        up = up + smooth(np.where((t >= begin) & (t < begin + 0.7), high, 0.0), 8)
        up = up - smooth(np.where((t >= begin + 1.6) & (t < begin + 3.0), high / 2.0, 0.0), 25)
    if low > 0.0:
        up = up - smooth(np.where((t >= way.back_s - 2.5) & (t < way.back_s - 0.5), low, 0.0), 10)
    direction = np.array([math.cos(way.course), -math.sin(way.course), 0.0])
    v = direction * v_along[:, None]
    v[:, 2] = up
    x = np.cumsum(v, axis=0) * TICK_S
    turn = math.pi if way.nose_turns else 0.0
    yaw = -way.course - smooth(np.where(t >= way.back_s - 0.6, turn, 0.0), 50)
    return Wanted(x, v, np.gradient(v, TICK_S, axis=0), yaw)


def straight(place: Floats, home: tuple[float, float], way: Way) -> Wanted:
    """Return the way straight down from a place, by way of the launch point where that is near enough."""
    gap = np.array([home[0] - place[0], home[1] - place[1], 0.0])
    far = float(np.hypot(gap[0], gap[1]))
    leg = far / 6.0 if far < 60.0 else 0.0
    height = max(float(place[2]), 1.0)
    t = np.arange(0.0, leg + 3.0 + height / 1.6 + 6.0, TICK_S)
    along = smooth(np.where((t >= 1.0) & (t < 1.0 + leg), 6.0, 0.0), 50)
    v = gap / max(far, 1e-6) * along[:, None]
    v[:, 2] = smooth(np.where(t >= leg + 2.0, -1.6, 0.0), 25)
    x = np.asarray(place) + np.cumsum(v, axis=0) * TICK_S
    return Wanted(x, v, np.gradient(v, TICK_S, axis=0), np.full(len(t), -way.course))
