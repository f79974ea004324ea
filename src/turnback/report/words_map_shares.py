"""What part of a map is sure, open, unknown, or above people: shares of its circle, and how they are said."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.home_map import NO_DATA, HomeMap
from turnback.report import numbers
from turnback.report.language import text

LEAST_TOLD: Final = 0.01
Mask = NDArray[np.bool_]


def circle(found: HomeMap) -> Mask:
    """Return which pixels lie within the map's radius; shape ``(ny, nx)``."""
    rows, columns = found.heights_m.shape
    x_m = found.x_west_m + np.arange(columns) * found.cell_m
    y_m = found.y_north_m - np.arange(rows) * found.cell_m
    return np.asarray(np.hypot(x_m[None, :], y_m[:, None]) <= found.radius_m + 1e-6)


def known(found: HomeMap) -> Mask:
    """Return where the map says something, within its radius."""
    return np.asarray(circle(found) & (found.layers["home_low"].values != NO_DATA))


def known_share(found: HomeMap) -> float:
    """Return the part of the circle about which the map says something."""
    return _share(known(found), circle(found))


def open_share(found: HomeMap) -> float:
    """Return the part of the known ground from which it may come home or not, by what is not known."""
    sound = known(found)
    low, high = (found.layers[key] for key in ("home_low", "home_high"))
    enough = found.ring.chance / low.scale
    return _share(sound & (low.values < enough) & (high.values >= enough), sound)


def people_share(found: HomeMap) -> float:
    """Return the part of the known ground from which a fall may end in a people area; 0 without areas."""
    layer = found.layers.get("people")
    sound = known(found)
    return 0.0 if layer is None else _share(sound & (layer.values > 0), sound)


def return_meets_share(found: HomeMap) -> float | None:
    """Return the part of the known ground from which the straight way home at the set height meets something."""
    layer = found.layers.get("return_clearance")
    if layer is None:
        return None
    sound = known(found) & (layer.values != NO_DATA)
    return _share(sound & (layer.values < 0), sound)


def percent_of(share: float) -> str:
    """Return a share as a percentage; a small one is never said to be none, and a large one never to be all."""
    if 0.0 < share < LEAST_TOLD:
        return text("less than 1 %")
    if 1.0 - LEAST_TOLD < share < 1.0:
        return text("more than 99 %")
    return numbers.percent(share)


def _share(part: Mask, whole: Mask) -> float:
    count = int(np.count_nonzero(whole))
    return float(np.count_nonzero(part)) / count if count else 0.0
