"""Where on the way out the chance of landing falls: there a map's distances are close together."""

from __future__ import annotations

from typing import Final

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.assess.map_energy_chance import Chances
from turnback.assess.map_energy_kernel import Craftwise, leg_kernel
from turnback.assess.map_energy_pack import Emptied
from turnback.base.kernels import parallel_kernel

Array = NDArray[np.float64]

NEXT_RATIO: Final = 1.05  # of two distances where chances fall: a straight line between them is good to 0.01
NEAR_M: Final = 1.0  # the first metre must already beat the wind
LOOKED_DEG: Final = np.arange(0.0, 180.0, 22.5)
ROOM_RATIO: Final = 1.08
HARD_RATIO: Final = 1.35  # of a draw's own power: a strong hand against the wind
MOST_DISTANCES: Final = 120


def distances_m(
    craft: Craftwise, emptied: Emptied, chances: Chances, wind_ratio: float, farthest_m: float, near_legs: int
) -> Array:
    """Return distances from 0 to the farthest: few where no chance falls yet, and closer where they do.

    Parameters
    ----------
    craft, emptied, chances
        As for `turnback.assess.map_energy_kernel.plane_kernel`.
    wind_ratio : float
        Wind at the height flown over that at 10 m.
    farthest_m : float
    near_legs : int
        Into how many the way is cut before any chance falls.
    """
    j_per_m = np.empty((craft.own.shape[0], 2, LOOKED_DEG.size))
    hard, easy = int(chances.wind_z.searchsorted(1.5)), 0
    turn = np.deg2rad(LOOKED_DEG)
    _there_and_back(craft, np.array([hard, easy]), wind_ratio, np.sin(turn), np.cos(turn), j_per_m)
    with np.errstate(divide="ignore"):
        weak = _way_j(craft, emptied, HARD_RATIO)[:, None] / (j_per_m[:, 0] * chances.hand_ratio[-2])
        strong = _way_j(craft, emptied, 1.0)[:, None] / (j_per_m[:, 1] * chances.hand_ratio[1])
    end_m = max(float(strong.max()) * ROOM_RATIO, 10.0 * NEAR_M)
    start_m = float(weak[weak > 0.0].min()) / ROOM_RATIO if (weak > 0.0).any() else end_m
    start_m = min(max(start_m, end_m / NEXT_RATIO ** (MOST_DISTANCES / 2), 5.0 * NEAR_M), farthest_m)
    near = np.linspace(0.0, start_m, near_legs + 1)
    count = int(np.ceil(np.log(max(min(end_m, farthest_m) / start_m, 1.0)) / np.log(NEXT_RATIO)))
    falling = start_m * NEXT_RATIO ** np.arange(1, count + 1)
    every = np.concatenate([near, [min(NEAR_M, 0.5 * start_m)], falling[falling < farthest_m], [farthest_m]])
    return np.unique(every)


def _way_j(craft: Craftwise, emptied: Emptied, ratio: float) -> Array:
    """Return the energy that each draw's way may take at about this part of its power, ``(j,)``; 0 where none."""
    p = int(np.argmin(np.abs(emptied.power_ratio - ratio)))
    least = emptied.margin[:, :, p].min(axis=1)
    fails = np.argmax(least < 0.0, axis=1)
    rows = np.arange(fails.size)
    here, after = least[rows, np.maximum(fails - 1, 0)], least[rows, fails]
    low, high = emptied.stop_share[np.maximum(fails - 1, 0)], emptied.stop_share[fails]
    share = np.where(fails > 0, low + np.maximum(here, 0.0) / np.maximum(here - after, 1e-9) * (high - low), 0.0)
    return np.asarray(share * craft.own[:, 6])


@parallel_kernel
def _there_and_back(
    craft: Craftwise, winds: NDArray[np.int64], wind_ratio: float, east: Array, north: Array, j_per_m: Array
) -> None:  # pragma: no cover - compiled
    """Fill ``(j, w, b)`` with the energy of a metre there and back on level legs."""
    own, tables, wind_mps = craft.own, craft.power_w, craft.wind_mps
    for j in prange(j_per_m.shape[0]):
        for w in range(winds.size):
            wind = wind_mps[j, winds[w]] * wind_ratio
            for b in range(east.size):
                out_s, out_w = leg_kernel(own[j], tables[j], wind, east[b], north[b], 0.0)
                back_s, back_w = leg_kernel(own[j], tables[j], wind, -east[b], -north[b], 0.0)
                both_s = out_s + back_s
                j_per_m[j, w, b] = out_s * out_w + back_s * back_w if both_s < np.inf else np.inf
