"""The first stretch of a ray, looked at more closely than the ground's cells allow, compiled.

Flying away from overhead, an aircraft passes through the nulls of the antennas before it is one cell of a coarse grid
out. What a brief sees there at its stations, the map has to see as well: every place beyond has it on its way.
"""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.homing_fold import fold_kernel
from turnback.assess.homing_links import LinkTables
from turnback.base.kernels import kernel

Array = NDArray[np.float64]
Single = NDArray[np.float32]

NEAR_STEP_M: Final = 5.0
"""As far apart as a brief's stations at their closest; see `track`."""
NEAR_HEIGHTS: Final = 2.0
"""As far out as this many heights over the antenna: beyond, seen under 27 degrees, no pattern changes fast."""


@kernel
def near_kernel(
    links: LinkTables,
    table: Array,
    under_m: Array,
    distance_m: Array,
    above_m: Array,
    depth_m: Single,
    loss: Single,
    least: Single,
    common: Array,
) -> float:  # pragma: no cover - compiled
    """Lower the running least score by places between two samples near the launch point; see `fold_kernel`.

    The arrays hold those of both samples, ``above_m`` heights over the antenna. What stands between is joined by
    straight lines; distance and angle are the place's own.
    """
    pieces = math.ceil((distance_m[1] - distance_m[0]) / NEAR_STEP_M)
    reach_m = NEAR_HEIGHTS * max(abs(above_m[0]), abs(above_m[1]))
    fell = 0.0
    for step in range(1, pieces):
        share = step / pieces
        at_m = distance_m[0] + share * (distance_m[1] - distance_m[0])
        if at_m > reach_m:
            break
        losses = (1.0 - share) * table[0] + share * table[1]
        under = (1.0 - share) * under_m[0] + share * under_m[1]
        height_m = above_m[0] + share * (above_m[1] - above_m[0])
        fell += fold_kernel(links, losses, under, at_m, height_m, depth_m, loss, least, common)
    return fell
