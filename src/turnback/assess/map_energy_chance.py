"""The chance that both margins hold, compiled: `turnback.assess.flight_energy.chance_above_zero` by walking.

A stronger hand asks for more, so along the shares of the hand the strongest wind that is stood only falls: the wind is
walked down once for all of them.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import HANDS
from turnback.assess.map_energy_pack import read_kernel
from turnback.base.kernels import kernel
from turnback.physics.normal import normal_cdf, normal_quantile
from turnback.rules.typical import typical

Array = NDArray[np.float64]

TABLED = 1600  # steps between the first and the last wind: to 1e-6


class Chances(NamedTuple):
    """What a chance is counted over."""

    wind_z: Array
    """``(w,)``, ascending."""
    middle: int
    """Which of them is the middle wind."""
    hand_ratio: Array
    """``(h,)``: energy at the nodes of the hand over that of the middle one."""
    hand: NDArray[np.int64]
    """``(n,)``: the node below each equal share of the hand."""
    part: Array
    """``(n,)``: of the way to the next node."""
    cdf: Array
    """The normal distribution at even steps from the first wind to the last."""


def chances_of(nodes: Nodes) -> Chances:
    """Return what chances are counted over, for the nodes of a brief."""
    z = normal_quantile((np.arange(HANDS) + 0.5) / HANDS)
    hand = np.clip(np.searchsorted(nodes.hand_z, z) - 1, 0, nodes.hand_z.size - 2)
    part = (z - nodes.hand_z[hand]) / (nodes.hand_z[hand + 1] - nodes.hand_z[hand])
    cdf = normal_cdf(np.linspace(nodes.wind_z[0], nodes.wind_z[-1], TABLED + 1))
    middle = int(np.argmin(np.abs(nodes.wind_z)))
    ratio = np.exp(typical("chance")["handling_sd"].value * nodes.hand_z)
    return Chances(nodes.wind_z.copy(), middle, ratio, hand, part, cdf)


@kernel
def _margin(
    packs: Array, j: int, stops: Array, powers: Array, asked: Array, ratio: Array, margins: Array, half: int, w: int,
    h: int,
) -> float:  # fmt: skip  # pragma: no cover - compiled
    """Return a margin at a node of wind and hand; worked out when first asked for, until then not a number."""
    if not math.isnan(margins[half, w, h]):
        return float(margins[half, w, h])
    found = -math.inf
    if half == 0 and not math.isnan(asked[w, 0, 0]):
        found = read_kernel(packs, j, 0, stops, powers, ratio[h] * asked[w, 0, 0], ratio[h] * asked[w, 0, 1])
    elif not math.isnan(asked[w, 0, 0]):
        found = read_kernel(packs, j, 2, stops, powers, ratio[h] * asked[w, 1, 0], ratio[h] * asked[w, 1, 1])
        for leg in range(2, 5):
            if asked[w, leg, 1] > 0.0:
                share, power = ratio[h] * asked[w, leg, 0], ratio[h] * asked[w, leg, 1]
                found = min(found, read_kernel(packs, j, 1, stops, powers, share, power))
    margins[half, w, h] = found
    return found


@kernel
def _windiest_z(
    packs: Array, j: int, stops: Array, powers: Array, asked: Array, ratio: Array, margins: Array, half: int,
    wind_z: Array, hand: int, part: float, start: int,
) -> tuple[int, float]:  # fmt: skip  # pragma: no cover - compiled
    """Return the last wind of those up to `start` that a share of the hand stands, and where beyond it that ends."""
    last = wind_z.size - 1
    after = -math.inf
    for w in range(min(start + 1, last), -1, -1):
        low = _margin(packs, j, stops, powers, asked, ratio, margins, half, w, hand)
        high = _margin(packs, j, stops, powers, asked, ratio, margins, half, w, hand + 1)
        unbeaten = math.isinf(low) or math.isinf(high)
        here = -math.inf if unbeaten else low * (1.0 - part) + high * part
        if here >= 0.0 and w <= start:
            if w == last or after >= 0.0 or math.isinf(after):
                return w, wind_z[w]
            return w, wind_z[w] + here / (here - after) * (wind_z[w + 1] - wind_z[w])
        after = here
    return -1, -math.inf


@kernel
def chance_kernel(
    packs: Array, j: int, stops: Array, powers: Array, asked: Array, wind_z: Array, hand: NDArray[np.int64],
    part: Array, ratio: Array, cdf: Array, margins: Array,
) -> float:  # fmt: skip  # pragma: no cover - compiled
    """Return the chance that both margins of a flight are above zero; `margins` ``(2, w, h)`` is room to work in.

    Margins are taken to fall with wind and hand, so only those beside the line where one of them ends are looked up.
    `packs` is `turnback.assess.map_energy_pack.Emptied.margin`, `asked` ``(w, 5, 2)`` what
    `turnback.assess.map_energy_kernel` asks of them; the rest as in `Chances`.
    """
    last_w, last_h = wind_z.size - 1, ratio.size - 1
    margins[:] = math.nan
    ends, none = 0, False  # bits: which margin ends somewhere
    for half in range(2):
        for w in (last_w, 0):  # in a light wind it hovers on more than in a fresh one
            if _margin(packs, j, stops, powers, asked, ratio, margins, half, w, last_h) < 0.0:
                ends |= 1 << half
        if ends >> half & 1 and _margin(packs, j, stops, powers, asked, ratio, margins, half, 0, 0) < 0.0:
            none = True
    if ends == 0 or none:
        return 0.0 if none else cdf[-1]
    per_z = (cdf.size - 1) / (wind_z[-1] - wind_z[0])
    charge_w = volts_w = last_w
    total = 0.0
    for n in range(hand.size):
        charge_z = volts_z = wind_z[-1]
        if ends & 1:
            charge_w, charge_z = _windiest_z(
                packs, j, stops, powers, asked, ratio, margins, 0, wind_z, hand[n], part[n], charge_w
            )  # fmt: skip
        if ends & 2 and charge_w >= 0:
            volts_w, volts_z = _windiest_z(
                packs, j, stops, powers, asked, ratio, margins, 1, wind_z, hand[n], part[n], volts_w
            )  # fmt: skip
        if charge_w < 0 or volts_w < 0:
            break
        at = (min(charge_z, volts_z) - wind_z[0]) * per_z
        k = min(int(at), cdf.size - 2)
        total += cdf[k] + (at - k) * (cdf[k + 1] - cdf[k])
    return total / hand.size
