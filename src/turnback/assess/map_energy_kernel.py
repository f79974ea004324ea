"""Flights straight out and straight back on every bearing, compiled: energy by distance, then the chance of landing.

The wind triangle, the margins and the chance are those of `turnback.assess.legs` and `turnback.assess.flight_energy`.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.assess.map_energy_chance import Chances, chance_kernel
from turnback.assess.map_energy_pack import Emptied
from turnback.base.kernels import kernel, parallel_kernel

Array = NDArray[np.float64]

LEAST_GROUND_MPS = 0.5
SAME = 1.0 - 1e-9


class Craftwise(NamedTuple):
    """What each draw flies with; rows are draws, ``w`` the winds of a flight."""

    own: Array
    """``(j, 10)``: cruise and greatest airspeed; the unit vector, east and north, toward which the wind blows; least
    ground speed; the end of the climbs of `power_w`; energy of the pack at the label's volts; power at cruise; energy
    of all legs but the way in the middle wind, and of the climb over launch."""
    wind_mps: Array
    """``(j, w)`` at 10 m."""
    power_w: Array
    """``(j, v, c)``: at even steps of airspeed from cruise to the most, and of the root of the climb."""
    still: Array
    """``(j, w, 3)``: energy of the climb over launch and of all legs but the way; power of the go-around over that in
    the middle wind."""


class Ways(NamedTuple):
    """The ways out; ``b`` bearings, ``k`` places, ``s = k - 1`` legs between them."""

    way: Array
    """``(b, 2)``: unit vector, east and north."""
    length_m: Array
    """``(s,)``"""
    legs: Array
    """``(b, 2, s)``: climb over way, outward; wind at the leg's height over that at 10 m."""
    legs_ratio: Array
    """``(b, k)``: energy by the brief's own legs there and back over that by these."""
    peak: NDArray[np.int64]
    """``(b, k)``: the leg of the way home that asks most of a pack so far emptied; -1 where none does."""
    settle: Array
    """``(2, 2)``: share and time constant of both lags of the volts."""


@kernel
def _power_w(own: Array, table: Array, airspeed_mps: float, climb_mps: float) -> float:  # pragma: no cover - compiled
    """Return the power of a draw, between the entries of its table; `own` as for `leg_kernel`."""
    last_v, last_c = table.shape[0] - 1, table.shape[1] - 1
    span = own[1] - own[0]
    at_v = min(max((airspeed_mps - own[0]) / span, 0.0), 1.0) * last_v if span > 0.0 else 0.0
    at_c = 0.5 * last_c
    if climb_mps != 0.0:
        root = math.sqrt(min(abs(climb_mps) / own[5], 1.0))
        at_c *= 1.0 + (root if climb_mps > 0.0 else -root)
    v, c = min(int(at_v), last_v - 1), min(int(at_c), last_c - 1)
    up, right = at_v - v, at_c - c
    low = table[v, c] + right * (table[v, c + 1] - table[v, c])
    high = table[v + 1, c] + right * (table[v + 1, c + 1] - table[v + 1, c])
    return float(low + up * (high - low))


@kernel
def leg_kernel(
    own: Array, table: Array, wind_mps: float, east: float, north: float, slope_ratio: float
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return seconds for a metre of a leg, infinite where the wind cannot be beaten, and power.

    `own` is one draw's row of `Craftwise.own`, `table` its table of power.
    """
    along = wind_mps * (own[2] * east + own[3] * north)
    cross = wind_mps * (own[3] * east - own[2] * north)
    head = max(own[4] - along, 0.0)
    moving = min(max(own[0], math.sqrt(head * head + cross * cross)), own[1])
    ground = math.sqrt(max(moving * moving - cross * cross, 0.0)) + along
    if moving < abs(cross) * SAME or ground <= LEAST_GROUND_MPS:
        return math.inf, 1.0
    return 1.0 / ground, _power_w(own, table, moving, slope_ratio * ground)


@kernel
def _fly(
    own: Array, table: Array, wind_mps: Array, way: Array, length_m: Array, legs: Array, per_m: Array, flown: Array
) -> None:  # pragma: no cover - compiled
    """Fill ``(k, w, 4)``: energy and time from launch outward, and homeward to launch, of the ways to every place.

    `way` is a bearing's unit vector, `legs` slope and wind ratio ``(2, s)``; `per_m` ``(w, 4)`` is room to work in.
    """
    winds = wind_mps.size
    for w in range(winds):
        for part in range(4):
            flown[0, w, part] = 0.0
    for i in range(length_m.size):
        anew = i == 0 or legs[0, i] != legs[0, i - 1] or legs[1, i] != legs[1, i - 1]
        for w in range(winds):
            if anew:
                wind = wind_mps[w] * legs[1, i]
                out_s, out_w = leg_kernel(own, table, wind, way[0], way[1], legs[0, i])
                back_s, back_w = leg_kernel(own, table, wind, -way[0], -way[1], -legs[0, i])
                per_m[w, 0], per_m[w, 1] = out_s * out_w, out_s
                per_m[w, 2], per_m[w, 3] = back_s * back_w, back_s
            for part in range(4):
                flown[i + 1, w, part] = flown[i, w, part] + per_m[w, part] * length_m[i]


@kernel
def _ask(
    own: Array, still: Array, right: float, here: Array, peak: Array, before: Array, settle: Array, asked: Array
) -> None:  # pragma: no cover - compiled
    """Fill ``(w, 5, 2)``: where in the emptied packs a flight is looked up, energy and power, for the middle hand.

    Charge at landing; volts of the go-around, of the way home, of the way out and of the leg home that asks most. Not a
    number where the wind cannot be beaten; no power where there is nothing to look up. `still` is ``(w, 3)`` of
    `Craftwise.still`; `right` corrects the legs; `here`, `peak` and `before` are ``(w, 4)`` of the ways to the place
    and to both ends of the leg that asks most, all ways being nought where there is none.
    """
    label, way_w, middle, middle_up = own[6], own[7], own[8], own[9]
    for w in range(asked.shape[0]):
        out_j, out_s, home_j, home_s = here[w, 0], here[w, 1], here[w, 2], here[w, 3]
        asked[w, 2, 1] = asked[w, 3, 1] = asked[w, 4, 1] = 0.0
        if math.isinf(out_s + home_s):
            asked[w, 0, 0] = math.nan
            continue
        way_j, moves = right * (out_j + home_j), out_s + home_s > 0.0
        up_j, all_j, around = still[w, 0], still[w, 1] + way_j, still[w, 2]
        mean = way_j / (out_s + home_s) / way_w if moves else 1.0
        asked[w, 0, 0], asked[w, 0, 1] = (all_j - mean * middle) / label, mean
        asked[w, 1, 0], asked[w, 1, 1] = (all_j - around * middle) / label, around
        if not moves:
            continue
        home = right * home_j / home_s / way_w
        asked[w, 2, 0], asked[w, 2, 1] = (up_j + way_j - home * middle_up) / label, home
        out = right * out_j / out_s / way_w
        if out > home:
            asked[w, 3, 0], asked[w, 3, 1] = (up_j + right * out_j - out * middle_up) / label, out
        took_s = peak[w, 3] - before[w, 3]
        if took_s > 0.0:
            share = 1.0
            for lag in range(2):
                share -= settle[lag, 0] * math.exp(-took_s / settle[lag, 1])
            power = home + share * ((peak[w, 2] - before[w, 2]) / took_s / way_w - home)
            if power > home:
                done_j = up_j + right * (out_j + home_j - before[w, 2])
                asked[w, 4, 0], asked[w, 4, 1] = (done_j - power * middle_up) / label, power


@parallel_kernel
def plane_kernel(
    craft: Craftwise, ways: Ways, emptied: Emptied, chances: Chances, chance: NDArray[Any], needed_wh: NDArray[Any]
) -> None:  # pragma: no cover - compiled
    """Fill ``(b, k, j)`` with chances, and ``(2, b, k, j)`` with energies in the middle wind and in the last wind.

    The last wind is not one that chances are counted over. Tuples are opened here: within the loops each look into one
    would count references, for all threads in turn.
    """
    own, tables, wind_mps, still = craft.own, craft.power_w, craft.wind_mps, craft.still
    way, length_m, legs, right = ways.way, ways.length_m, ways.legs, ways.legs_ratio
    peaks, settle = ways.peak, ways.settle
    margin, stops, powers = emptied.margin, emptied.stop_share, emptied.power_ratio
    wind_z, hand, part, ratio, cdf = chances.wind_z, chances.hand, chances.part, chances.hand_ratio, chances.cdf
    middle = chances.middle
    bearings, places, draws = chance.shape
    winds = wind_mps.shape[1]
    for row in prange(bearings * draws):
        b, j = row // draws, row % draws
        flown, asked, per_m = np.empty((places, winds, 4)), np.empty((winds - 1, 5, 2)), np.empty((winds, 4))
        margins, reach_z = np.empty((2, winds - 1, ratio.size)), np.empty(hand.size)
        _fly(own[j], tables[j], wind_mps[j], way[b], length_m, legs[b], per_m, flown)
        least = 1.0
        for k in range(places):
            for half in range(2):
                w = middle if half == 0 else winds - 1
                way_j = right[b, k] * (flown[k, w, 0] + flown[k, w, 2])
                needed_wh[half, b, k, j] = (still[j, w, 1] + way_j) / 3600.0
            if least > 0.0:
                peak = peaks[b, k]
                _ask(own[j], still[j], right[b, k], flown[k], flown[peak + 1], flown[max(peak, 0)], settle, asked)
                found = chance_kernel(margin, j, stops, powers, asked, wind_z, hand, part, ratio, cdf, margins, reach_z)
                least = min(least, found)
            chance[b, k, j] = least
