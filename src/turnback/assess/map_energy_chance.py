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
def _look_up(
    packs: Array, j: int, stops: Array, powers: Array, asked: Array, ratio: Array, margins: Array, half: int, w: int,
    h: int,
) -> float:  # fmt: skip  # pragma: no cover - compiled
    """Keep and return a margin at a node of wind and hand; minus infinity where the wind cannot be beaten."""
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
def _fill(
    packs: Array, j: int, stops: Array, powers: Array, asked: Array, ratio: Array, margins: Array, half: int
) -> None:  # pragma: no cover - compiled
    """Look up the margins beside the line where they end.

    For each hand and the next: the winds from one end to the other, and the first that neither stands.
    """
    last = asked.shape[0] - 1
    w = before = last
    for h in range(ratio.size):
        while w >= 0:
            found = margins[half, w, h]
            if math.isnan(found):
                found = _look_up(packs, j, stops, powers, asked, ratio, margins, half, w, h)
            if found >= 0.0:
                break
            w -= 1
        for v in range(max(w, 0), min(before + 1, last) + 1):
            for g in range(max(h - 1, 0), h + 1):
                if math.isnan(margins[half, v, g]):
                    _look_up(packs, j, stops, powers, asked, ratio, margins, half, v, g)
        before = max(w, 0)


@kernel
def _stand(
    margins: Array, half: int, wind_z: Array, hand: NDArray[np.int64], part: Array, reach_z: Array
) -> None:  # pragma: no cover - compiled
    """Lower each share's strongest wind ``(n,)`` to what a margin stands; minus infinity where it stands none."""
    last = wind_z.size - 1
    start = last
    for n in range(hand.size):
        h, high = hand[n], part[n]
        low = 1.0 - high
        after, reach = -math.inf, -math.inf
        if start < last:  # where it ended for a gentler hand
            after = margins[half, start + 1, h] * low + margins[half, start + 1, h + 1] * high
        while start >= 0:
            here = margins[half, start, h] * low + margins[half, start, h + 1] * high
            if here >= 0.0:
                reach = wind_z[start]
                if start < last and -math.inf < after < 0.0:
                    reach += here / (here - after) * (wind_z[start + 1] - wind_z[start])
                break
            after = here
            start -= 1
        reach_z[n] = min(reach_z[n], reach)


@kernel
def chance_kernel(
    packs: Array, j: int, stops: Array, powers: Array, asked: Array, wind_z: Array, hand: NDArray[np.int64],
    part: Array, ratio: Array, cdf: Array, margins: Array, reach_z: Array,
) -> float:  # fmt: skip  # pragma: no cover - compiled
    """Return the chance that both margins of a flight are above zero.

    Margins are taken to fall with wind and hand, so only those beside the line where one of them ends are looked up.
    `packs` is `turnback.assess.map_energy_pack.Emptied.margin`, `asked` ``(w, 5, 2)`` what
    `turnback.assess.map_energy_kernel` asks of them; `margins` ``(2, w, h)`` and `reach_z` ``(n,)`` are room to
    work in; the rest as in `Chances`.
    """
    last_w, last_h = wind_z.size - 1, ratio.size - 1
    margins[:] = math.nan
    reach_z[:] = wind_z[-1]
    holds = True
    for half in range(2):
        least = _look_up(packs, j, stops, powers, asked, ratio, margins, half, last_w, last_h)
        if least >= 0.0:  # in a light wind it hovers on more than in a fresh one
            least = _look_up(packs, j, stops, powers, asked, ratio, margins, half, 0, last_h)
        if least >= 0.0:
            continue
        if _look_up(packs, j, stops, powers, asked, ratio, margins, half, 0, 0) < 0.0:
            return 0.0
        holds = False
        _fill(packs, j, stops, powers, asked, ratio, margins, half)
        _stand(margins, half, wind_z, hand, part, reach_z)
    if holds:
        return float(cdf[-1])
    per_z = (cdf.size - 1) / (wind_z[-1] - wind_z[0])
    total = 0.0
    for n in range(reach_z.size):
        if reach_z[n] >= wind_z[0]:
            at = (reach_z[n] - wind_z[0]) * per_z
            k = min(int(at), cdf.size - 2)
            total += cdf[k] + (at - k) * (cdf[k + 1] - cdf[k])
    return total / reach_z.size
