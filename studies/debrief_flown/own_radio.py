"""The control link: ray, ground, trees, aerials, noise, packets both ways."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from studies.debrief_flown.own_compiled import kernel
from studies.debrief_flown.own_world import World
from studies.record_flown.craft import Craft

Floats = NDArray[np.float64]
EYE = 1.5  # m of the pilot's radio above the ground
WAVE = 0.125  # m


@kernel
def within(spans: Floats, t: float) -> bool:
    """Tell whether a time lies in one of the spans, the first two of each row."""
    for k in range(spans.shape[0]):  # noqa: SIM110 - no generators in a kernel
        if spans[k, 0] <= t < spans[k, 1]:
            return True
    return False


@kernel
def ground_at(w: World, north: float, east: float) -> float:
    """Return the ground's height above the launch point, m; bilinear, held at the grid's edge."""
    y = min(max((north - w.ground_n) / w.ground_step, 0.0), w.ground.shape[0] - 1.000001)
    x = min(max((east - w.ground_e) / w.ground_step, 0.0), w.ground.shape[1] - 1.000001)
    j, i = int(y), int(x)
    fy, fx = y - j, x - i
    low = w.ground[j, i] * (1.0 - fx) + w.ground[j, i + 1] * fx
    high = w.ground[j + 1, i] * (1.0 - fx) + w.ground[j + 1, i + 1] * fx
    return float(low * (1.0 - fy) + high * fy)


@kernel
def bent(w: World, north: float, east: float, up: float) -> tuple[float, float, float]:
    """Return the loss of one knife edge in dB (Rec. ITU-R P.526, eqs. 26 and 31), its clearance and distance in m."""
    away = math.sqrt(north * north + east * east)
    if away < 30.0:
        return 0.0, 1.0e3, 0.0
    count = int(min(max(away / 20.0, 6.0), 120.0))
    worst, clear, where = -9.0, 1.0e3, 0.0
    for k in range(1, count):
        share = k / count
        d1, d2 = share * away, (1.0 - share) * away
        over = ground_at(w, share * north, share * east) - (EYE + share * (up - EYE))
        nu = over * math.sqrt(2.0 / WAVE * (1.0 / d1 + 1.0 / d2))
        if nu > worst:
            worst, clear, where = nu, -over, d1
    if worst <= -0.78:
        return 0.0, clear, where
    return 6.9 + 20.0 * math.log10(math.sqrt((worst - 0.1) ** 2 + 1.0) + worst - 0.1), clear, where


@kernel
def path_level(w: World, craft: Craft, north: float, east: float, up: float) -> float:
    """Return what both ways share of a level in dBm: free space from the level at 100 m, and the ground."""
    away = max(math.sqrt(north * north + east * east + (up - EYE) ** 2), 3.0)
    loss = bent(w, north, east, up)[0] if w.rough_ground > 0.0 else 0.0
    return craft.level0 - 20.0 * math.log10(away / 100.0) - loss


@kernel
def ray(t: float, pos: Floats, r: Floats, craft: Craft, w: World) -> float:
    """Return the level that both ways share, with aerials, trees and bodies in the way."""
    level = path_level(w, craft, pos[0], pos[1], -pos[2])
    flat = math.sqrt(pos[0] ** 2 + pos[1] ** 2)
    away = max(math.sqrt(flat * flat + (pos[2] + EYE) ** 2), 0.1)
    along = 0.0
    for k in range(3):
        aerial = r[k, 0] * w.axis[0] + r[k, 1] * w.axis[1] + r[k, 2] * w.axis[2]
        along += aerial * (pos[k] if k < 2 else pos[2] + EYE) / away
    level += 20.0 * math.log10(max(math.sqrt(max(0.0, 1.0 - along * along)), w.null))
    bearing, elevation = math.atan2(pos[1], pos[0]), math.atan2(-pos[2] - EYE, flat)
    for k in range(w.trees.shape[0]):
        off = bearing - w.trees[k, 0]
        off -= 2.0 * math.pi * math.floor((off + math.pi) / (2.0 * math.pi))
        # a wood has soft edges: full loss in its middle, none half a width beyond its edge
        side = min(1.0, max(0.0, 1.5 - abs(off) / w.trees[k, 1]) * 2.0)
        above = min(1.0, max(0.0, (w.trees[k, 3] - elevation) / 0.02))
        behind = min(1.0, max(0.0, (flat - w.trees[k, 2]) / 8.0))
        level -= w.trees[k, 4] * side * above * behind
    for k in range(w.body.shape[0]):
        if w.body[k, 0] <= t < w.body[k, 1]:
            level -= w.body[k, 2]
    return level


@kernel
def packet(t: float, drawn: NDArray[np.float32], pos: Floats, r: Floats, craft: Craft, w: World, current: float,
           state: Floats, stick: Floats, got: Floats, board_on: bool) -> None:  # fmt: skip
    """Send one packet each way.

    `state`: shadow, level, quality, when the receiver last heard, noise up in dB, dB below set power, level back,
    quality back, when the board last got a channel, when the radio last heard the aircraft.
    """
    state[0] += 0.02 / 1.5 * -state[0] + 1.5 * math.sqrt(0.04 / 1.5) * drawn[6]
    shared = ray(t, pos, r, craft, w) + state[0]
    low = 0.0
    for k in range(w.sent_db.shape[0]):
        if t >= w.sent_db[k, 0]:
            low = w.sent_db[k, 1]
    jam = 0.0
    for k in range(w.jam.shape[0]):
        if w.jam[k, 0] <= t < w.jam[k, 1]:
            jam = w.jam[k, 2] * (0.75 + 0.25 * math.sin(7.0 * t))
    noise = max(jam, w.aboard_db + w.aboard_db_per_a * current if board_on else 0.0)
    level = shared - low
    arrived = w.linked > 0.0 and 2.5 * drawn[7] < level - craft.sensitivity - noise
    state[2] += 0.1 * ((1.0 if arrived else 0.0) - state[2])
    back = shared - w.back_db
    heard = board_on and w.linked > 0.0 and 2.5 * drawn[8] < back - w.sensitivity_back - jam
    state[7] += 0.1 * ((1.0 if heard else 0.0) - state[7])
    state[1], state[4], state[5], state[6] = level, noise, low, back
    if heard:
        state[9] = t
    if arrived:
        state[3] = t
        if not within(w.wire, t) and board_on:
            state[8] = t
            for k in range(4):
                got[k] = stick[k]
