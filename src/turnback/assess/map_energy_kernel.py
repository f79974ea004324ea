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
from turnback.assess.map_energy_pack import Emptied, read_kernel, stop_kernel
from turnback.base.kernels import kernel, parallel_kernel

Array = NDArray[np.float64]

LEAST_GROUND_MPS = 0.5
SAME = 1.0 - 1e-9


class Craftwise(NamedTuple):
    """What each draw flies with; rows are draws, ``w`` the winds of a flight."""

    cruise_mps: Array
    most_mps: Array
    wind_mps: Array
    """``(j, w)`` at 10 m."""
    east: Array
    north: Array
    """Unit vector toward which the wind blows."""
    power_w: Array
    """``(j, v, c)``: at even steps of airspeed from cruise to the most, and of `CLIMBS`."""
    climb_mps: float
    """The end of the climbs."""
    least_mps: float
    """Least ground speed."""
    up_j: Array
    """``(j, w)``: energy of the climb over launch, as are the next two."""
    still_j: Array
    """Of all legs but the way."""
    closing_ratio: Array
    """Power of the go-around over that in the middle wind."""
    middle_j: Array
    """``(j,)``: `still_j` in the middle wind."""
    middle_up_j: Array
    label_j: Array
    way_w: Array


class Ways(NamedTuple):
    """The ways out; ``b`` bearings, ``k`` places, ``s = k - 1`` legs between them."""

    east: Array
    north: Array
    distance_m: Array
    slope_ratio: Array
    """``(b, s)``: climb over way, outward."""
    wind_ratio: Array
    """``(b, s)``: wind at the leg's height over that at 10 m."""
    legs_ratio: Array
    """``(b, k)``: energy by the brief's own legs there and back over that by these."""
    peak: NDArray[np.int64]
    """``(b, k)``: the leg of the way home that asks most of a pack so far emptied."""
    settle: Array
    """``(2, 2)``: share and time constant of both lags of the volts."""


@kernel
def power_kernel(craft: Craftwise, j: int, airspeed_mps: float, climb_mps: float) -> float:  # pragma: no cover
    """Return the power of a draw, between the entries of its table."""
    table = craft.power_w[j]
    last_v, last_c = table.shape[0] - 1, table.shape[1] - 1
    span = craft.most_mps[j] - craft.cruise_mps[j]
    at_v = min(max((airspeed_mps - craft.cruise_mps[j]) / span, 0.0), 1.0) * last_v if span > 0.0 else 0.0
    root = math.sqrt(min(abs(climb_mps) / craft.climb_mps, 1.0))
    at_c = 0.5 * last_c * (1.0 + (root if climb_mps >= 0.0 else -root))
    v, c = min(int(at_v), last_v - 1), min(int(at_c), last_c - 1)
    up, right = at_v - v, at_c - c
    low = table[v, c] + right * (table[v, c + 1] - table[v, c])
    high = table[v + 1, c] + right * (table[v + 1, c + 1] - table[v + 1, c])
    return float(low + up * (high - low))


@kernel
def leg_kernel(
    craft: Craftwise, j: int, wind_mps: float, east: float, north: float, slope_ratio: float
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return seconds for a metre of a leg, infinite where the wind cannot be beaten, and power."""
    along = wind_mps * (craft.east[j] * east + craft.north[j] * north)
    cross = wind_mps * (craft.north[j] * east - craft.east[j] * north)
    head = max(craft.least_mps - along, 0.0)
    moving = min(max(craft.cruise_mps[j], math.sqrt(head * head + cross * cross)), craft.most_mps[j])
    ground = math.sqrt(max(moving * moving - cross * cross, 0.0)) + along
    if moving < abs(cross) * SAME or ground <= LEAST_GROUND_MPS:
        return math.inf, 0.0
    return 1.0 / ground, power_kernel(craft, j, moving, slope_ratio * ground)


@kernel
def _fly(craft: Craftwise, ways: Ways, b: int, j: int, flown: Array) -> None:  # pragma: no cover - compiled
    """Fill ``(k, w, 4)``: energy and time from launch outward, and homeward to launch, of the ways to every place."""
    flown[0] = 0.0
    east, north = ways.east[b], ways.north[b]
    for i in range(ways.distance_m.size - 1):
        length = ways.distance_m[i + 1] - ways.distance_m[i]
        slope, factor = ways.slope_ratio[b, i], ways.wind_ratio[b, i]
        for w in range(craft.wind_mps.shape[1]):
            wind = craft.wind_mps[j, w] * factor
            for back in range(2):
                sign = 1.0 - 2.0 * back
                seconds, power = leg_kernel(craft, j, wind, sign * east, sign * north, sign * slope)
                took = seconds * length
                flown[i + 1, w, 2 * back] = flown[i, w, 2 * back] + (took * power if took < math.inf else math.inf)
                flown[i + 1, w, 2 * back + 1] = flown[i, w, 2 * back + 1] + took


@kernel
def _margins(
    craft: Craftwise, ways: Ways, emptied: Emptied, at: Any, flown: Array, hand: float
) -> tuple[float, float]:  # pragma: no cover - compiled
    """Return the margins of charge and of volts of one flight; `at` is bearing, place, draw and wind."""
    b, k, j, w = at
    out_j, out_s, back_j, back_s = flown[k, w, 0], flown[k, w, 1], flown[k, w, 2], flown[k, w, 3]
    if math.isinf(out_s + back_s):
        return -math.inf, -math.inf
    right, label = ways.legs_ratio[b, k], craft.label_j[j]
    way_j, time_s = right * (out_j + back_j), out_s + back_s
    mean = hand * (way_j / time_s / craft.way_w[j] if time_s > 0.0 else 1.0)
    all_j = hand * (craft.still_j[j, w] + way_j)
    stop, part = stop_kernel((all_j - mean * craft.middle_j[j]) / label, emptied.stop_share)
    charge = read_kernel(emptied.landing[j], emptied.power_ratio, mean, stop, part)
    # the go-around, and the way home's end
    around = hand * craft.closing_ratio[j, w]
    stop, part = stop_kernel((all_j - around * craft.middle_j[j]) / label, emptied.stop_share)
    volts = read_kernel(emptied.closing_v[j], emptied.power_ratio, around, stop, part)
    if time_s > 0.0:
        up_j = hand * craft.up_j[j, w]
        home = hand * right * back_j / back_s / craft.way_w[j]
        for leg in range(3):
            power, done_j = home, way_j
            if leg == 1:
                power, done_j = hand * right * out_j / out_s / craft.way_w[j], right * out_j
                if power <= home:
                    continue
            elif leg == 2:
                i = ways.peak[b, k]
                if i < 0:
                    continue
                took_j, took_s = flown[i + 1, w, 2] - flown[i, w, 2], flown[i + 1, w, 3] - flown[i, w, 3]
                share = 1.0
                for lag in range(2):
                    share -= ways.settle[lag, 0] * math.exp(-took_s / ways.settle[lag, 1])
                power = home + share * (hand * took_j / took_s / craft.way_w[j] - home)
                done_j = right * (out_j + back_j - flown[i, w, 2])
                if power <= home:
                    continue
            stop, part = stop_kernel((up_j + hand * done_j - power * craft.middle_up_j[j]) / label, emptied.stop_share)
            volts = min(volts, read_kernel(emptied.flying_v[j], emptied.power_ratio, power, stop, part))
    return charge, volts


@kernel
def _margins_table(
    craft: Craftwise, ways: Ways, emptied: Emptied, at: Any, flown: Array, hands: Array, margins: Array
) -> int:  # pragma: no cover - compiled
    """Fill ``(2, w, h)`` with margins; return 1 where all hold, -1 where none does, 0 where chance must be counted."""
    b, k, j = at
    winds, last = margins.shape[1], hands.size - 1
    least = math.inf
    for w in (0, winds - 1):
        for half in range(2):
            margins[half, w, last] = 0.0
        margins[0, w, last], margins[1, w, last] = _margins(craft, ways, emptied, (b, k, j, w), flown, hands[last])
        least = min(least, margins[0, w, last], margins[1, w, last])
    if least >= 0.0:
        return 1
    charge, volts = _margins(craft, ways, emptied, (b, k, j, 0), flown, hands[0])
    if min(charge, volts) < 0.0:
        return -1
    for w in range(winds):
        for h in range(hands.size):
            margins[0, w, h], margins[1, w, h] = _margins(craft, ways, emptied, (b, k, j, w), flown, hands[h])
    return 0


@parallel_kernel
def plane_kernel(
    craft: Craftwise, ways: Ways, emptied: Emptied, chances: Chances, chance: NDArray[Any], needed_wh: NDArray[Any]
) -> None:  # pragma: no cover - compiled
    """Fill ``(b, k, j)`` with chances, and ``(2, b, k, j)`` with energies in the middle wind and in the last wind.

    The last wind is not one that chances are counted over.
    """
    bearings, places, draws = chance.shape
    winds = craft.wind_mps.shape[1]
    for row in prange(bearings * draws):
        b, j = row // draws, row % draws
        flown = np.empty((places, winds, 4))
        margins = np.empty((2, winds - 1, chances.hand_ratio.size))
        _fly(craft, ways, b, j, flown)
        held, least = 0, 1.0
        for k in range(places):
            for half in range(2):
                w = chances.middle if half == 0 else winds - 1
                way_j = ways.legs_ratio[b, k] * (flown[k, w, 0] + flown[k, w, 2])
                needed_wh[half, b, k, j] = (craft.still_j[j, w] + way_j) / 3600.0
            if held >= 0:
                held = _margins_table(craft, ways, emptied, (b, k, j), flown, chances.hand_ratio, margins)
            found = chances.most if held > 0 else 0.0
            if held == 0:
                found = chance_kernel(margins, chances)
            least = min(least, found)
            chance[b, k, j] = least
