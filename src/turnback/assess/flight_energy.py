"""March the pack through a flight in every world, and read off the chance of landing above the land-by volts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.assess.draws import Nodes
from turnback.assess.legs import Legs, fly
from turnback.assess.thrust import Thrust
from turnback.physics.normal import normal_cdf
from turnback.rules.typical import typical

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Marched:
    """Every world of one flight: axes are unknowns ``j``, wind nodes ``w``, hand nodes ``h``, legs ``s``."""

    rest_v: Array
    """Rest volts of one cell at the end of each leg, ``(j, w, h, s)``; NaN once empty."""
    loaded_v: Array
    """Least loaded volts of one cell within each leg."""
    used_fraction: Array
    """Share of capacity used at the end of each leg."""
    current_a: Array
    """Greatest pack current within each leg."""
    deliverable: NDArray[np.bool_]
    """``(j, w, h)``: the pack could give what was asked, all the way, and the wind could be beaten."""
    duration_s: Array
    """``(j, w, s)``"""


def landing_margin_v(marched: Marched, land_by_v: Array | float) -> Array:
    """Return rest volts at landing above the land-by volts, ``(j, w, h)``; minus infinity where it never lands."""
    return np.where(marched.deliverable, marched.rest_v[..., -1] - land_by_v, -np.inf)


def chance_above_zero(margin: Array, nodes: Nodes) -> Array:
    """Return, for each draw of the unknowns, the chance that a margin is above zero.

    The margin falls with wind; its crossing of zero is found between the wind nodes by a straight line, and the hand
    nodes are summed with their weights. Beyond the last node nobody looked: the chance never passes that node's.

    Parameters
    ----------
    margin : ndarray, shape (j, w, h)

    Returns
    -------
    ndarray, shape (j,)
    """
    falling = np.minimum.accumulate(margin, axis=1)
    chance = np.zeros(margin.shape[:1] + margin.shape[2:])
    z = nodes.wind_z
    for i in range(z.size):  # the last node that holds, then a part of the way to the next
        here = falling[:, i, :]
        holds = here >= 0.0
        if i + 1 < z.size:
            after = falling[:, i + 1, :]
            with np.errstate(divide="ignore", invalid="ignore"):
                share = np.where(np.isfinite(after), here / (here - after), 0.0)
            reach = z[i] + np.clip(np.nan_to_num(share), 0.0, 1.0) * (z[i + 1] - z[i])
        else:
            reach = np.full_like(here, z[i])
        chance = np.where(holds, normal_cdf(reach), chance)
    return np.asarray(chance @ nodes.hand_weight)


__all__ = ["Legs", "Thrust", "fly", "typical"]
