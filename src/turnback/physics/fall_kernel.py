"""Compiled arithmetic of `turnback.physics.fall`: one falling point mass at a time, many in parallel.

The equations are smooth above the height below which the wind no longer falls, and below it, but not across it; so
steps end at that height, and at the ground. Each step is the classical Runge-Kutta step of order four, and takes a
share of the shortest of the fall's own time scales. A step that would pass one of the two heights is shortened until it
ends there. Inputs are trusted.
"""

from __future__ import annotations

import math
from typing import Any

from numba import prange
from numpy.typing import NDArray

from turnback.base.constants import GRAVITY_MPS2
from turnback.base.kernels import kernel, parallel_kernel
from turnback.physics.terrain_grid import bilinear_kernel

LEAST_WIND_HEIGHT_M = 2.0  # below it the wind is taken as there: the draws of a flight do so too
HEIGHT_SHARE = 2.5  # of a step's share: the wind changes with the height's logarithm, slowly
STEADY_SHARE = 0.6  # half of what the method stands without swinging
MOST_STEPS = 2_000_000  # the slowest fall from the greatest height takes a tenth of it
MOST_LOOKS = 60
CLOSE_M = 1e-9
CLOSE_S = 1e-13


@kernel
def _rate(state: Any, ground: float, traits: Any) -> Any:
    """Return the rates of place and velocity; `traits` are drag over mass, wind east and north at 10 m, roughness."""
    drag, wind_east, wind_north, roughness = traits
    height = max(state[2] - ground, LEAST_WIND_HEIGHT_M)
    factor = math.log(height / roughness) / math.log(10.0 / roughness) if roughness > 0.0 else 1.0
    east = state[3] - wind_east * factor
    north = state[4] - wind_north * factor
    pull = drag * math.sqrt(east * east + north * north + state[5] * state[5])
    return (state[3], state[4], state[5], -pull * east, -pull * north, -pull * state[5] - GRAVITY_MPS2)


@kernel
def _moved(state: Any, rate: Any, seconds: float) -> Any:
    return (
        state[0] + seconds * rate[0],
        state[1] + seconds * rate[1],
        state[2] + seconds * rate[2],
        state[3] + seconds * rate[3],
        state[4] + seconds * rate[4],
        state[5] + seconds * rate[5],
    )


@kernel
def _stepped(state: Any, first: Any, seconds: float, ground: float, traits: Any) -> Any:
    """Return the state one Runge-Kutta step on; `first` is the rate at its start."""
    second = _rate(_moved(state, first, 0.5 * seconds), ground, traits)
    third = _rate(_moved(state, second, 0.5 * seconds), ground, traits)
    last = _rate(_moved(state, third, seconds), ground, traits)
    sixth = seconds / 6.0
    return (
        state[0] + sixth * (first[0] + 2.0 * (second[0] + third[0]) + last[0]),
        state[1] + sixth * (first[1] + 2.0 * (second[1] + third[1]) + last[1]),
        state[2] + sixth * (first[2] + 2.0 * (second[2] + third[2]) + last[2]),
        state[3] + sixth * (first[3] + 2.0 * (second[3] + third[3]) + last[3]),
        state[4] + sixth * (first[4] + 2.0 * (second[4] + third[4]) + last[4]),
        state[5] + sixth * (first[5] + 2.0 * (second[5] + third[5]) + last[5]),
    )


@kernel
def _step_s(state: Any, rate: Any, above: float, drag: float, share: float, most: float) -> float:
    """Return the longest step that keeps the answer: a share of every time scale of the fall here."""
    fall = abs(state[5])
    seconds = most
    if fall > 0.0:
        seconds = min(seconds, HEIGHT_SHARE * share * max(above, LEAST_WIND_HEIGHT_M) / fall)
    if drag > 0.0:
        # drag slows a body of relative speed v by itself in 1 / (k v); weight brings it to its end in 1 / sqrt(g k)
        pull = math.sqrt(rate[3] * rate[3] + rate[4] * rate[4] + (rate[5] + GRAVITY_MPS2) ** 2)  # k v²
        gain = math.sqrt(rate[3] * rate[3] + rate[4] * rate[4] + rate[5] * rate[5])
        # a step's error is as the fourth power of its length times what changes: little does near the end speed
        longer = share * math.sqrt(math.sqrt(GRAVITY_MPS2 / gain)) if gain > 0.0 else STEADY_SHARE
        settles = 1.0 / math.sqrt(GRAVITY_MPS2 * drag)
        seconds = min(seconds, min(max(share, longer), max(share, STEADY_SHARE)) * settles)
        if pull > 0.0:
            seconds = min(seconds, share / math.sqrt(pull * drag))
    return seconds


@kernel
def _part_of_step(state: Any, rate: Any, whole: float, level: float, ground: Any, traits: Any) -> float:
    """Return the part of a step that ends at a height above the ground under it (false position, the Illinois way)."""
    height_m, x_west_m, y_north_m, cell_m, under = ground
    low, low_left, side = 0.0, state[2] - under - level, 0
    high, high_left = whole, 0.0
    step = whole
    for look in range(MOST_LOOKS):
        after = _stepped(state, rate, step, under, traits)
        left = after[2] - bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, after[0], after[1]) - level
        if abs(left) <= CLOSE_M or high - low <= CLOSE_S:
            break
        if look == 0:
            high_left = left
        elif (left > 0.0) == (low_left > 0.0):
            low, low_left = step, left
            high_left *= 0.5 if side == 1 else 1.0
            side = 1
        else:
            high, high_left = step, left
            low_left *= 0.5 if side == -1 else 1.0
            side = -1
        step = (low * high_left - high * low_left) / (high_left - low_left)
    return step


@kernel
def _fallen(
    world: NDArray[Any],
    height_m: NDArray[Any],
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    roughness_m: float,
    share: float,
) -> Any:
    """March one fall to the ground and return its last state and its time; `world` is a row of `falls_kernel`."""
    x, y, above, east, north, climb, drag, wind_east, wind_north = world
    traits = (drag, wind_east, wind_north, roughness_m)
    under = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, x, y)
    state = (x, y, under + above, east, north, climb)
    seconds = 0.0
    high = above > LEAST_WIND_HEIGHT_M
    most = share * math.sqrt(2.0 * max(above, 0.0) / GRAVITY_MPS2)  # of the time without drag
    for _ in range(MOST_STEPS):
        if above <= 0.0:
            break
        rate = _rate(state, under, traits)
        step = _step_s(state, rate, above, drag, share, most)
        after = _stepped(state, rate, step, under, traits)
        left = after[2] - bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, after[0], after[1])
        level = -1.0  # none is passed
        if high != (left > LEAST_WIND_HEIGHT_M):
            level = LEAST_WIND_HEIGHT_M
        elif left <= 0.0:
            level = 0.0
        if level >= 0.0:
            step = _part_of_step(state, rate, step, level, (height_m, x_west_m, y_north_m, cell_m, under), traits)
            after = _stepped(state, rate, step, under, traits)
            left = level
            high = level > 0.0 and not high
        under = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, after[0], after[1])
        state, above = after, left
        seconds += step
    return state, seconds


@parallel_kernel
def falls_kernel(
    worlds: NDArray[Any],
    height_m: NDArray[Any],
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    roughness_m: float,
    share: float,
    out: NDArray[Any],
) -> None:  # pragma: no cover - compiled
    """Fill ``(n, 5)``: x, y, time, speed and sink at the ground.

    `worlds` is ``(n, 9)``: x, y, height above the ground under it, velocity east, north, up, drag over mass
    k = ρ CdA / (2 m), wind east and north at 10 m.
    """
    for row in prange(worlds.shape[0]):
        state, seconds = _fallen(worlds[row], height_m, x_west_m, y_north_m, cell_m, roughness_m, share)
        out[row, 0], out[row, 1], out[row, 2] = state[0], state[1], seconds
        out[row, 3] = math.sqrt(state[3] * state[3] + state[4] * state[4] + state[5] * state[5])
        out[row, 4] = -state[5]
