"""The way flown, in local metres: what every written form of a route becomes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

from turnback.records.common import Reading

Floats = NDArray[np.float64]


class HeightReference(Enum):
    """What a route's heights are counted from."""

    LAUNCH = "launch"
    GROUND = "ground"
    SEA_LEVEL = "sea level"


@dataclass(frozen=True, slots=True, eq=False)
class Route:
    """A route as a polyline; the way home is straight unless the polyline itself ends at the launch point.

    Attributes
    ----------
    east_m, north_m, height_m : ndarray
        Shape ``(n,)``, float64, read-only, finite; east and north of the launch point, height above
        `height_reference`.
    height_reference : HeightReference
    speed_mps : Reading or None
        Airspeed asked for; the aircraft's cruise where none is.
    hover_s : float
        Time spent hovering or looking round at the far end.
    straight : bool
        Straight out and back: the first point is over the launch point, the second the far end.
    closes_at_launch : bool
        The polyline itself ends near the launch point: no way home is added.
    """

    east_m: Floats
    north_m: Floats
    height_m: Floats
    height_reference: HeightReference
    speed_mps: Reading | None
    hover_s: float
    straight: bool
    closes_at_launch: bool

    def __post_init__(self) -> None:
        """Freeze the arrays and refuse a polyline no reader should have made (a slip in code, not in a file)."""
        arrays = [np.array(getattr(self, name), dtype=np.float64) for name in ("east_m", "north_m", "height_m")]
        if arrays[0].ndim != 1 or not arrays[0].size or len({array.shape for array in arrays}) != 1:
            raise ValueError("a route needs as many heights as places, and at least one")
        if not all(np.isfinite(array).all() for array in arrays):
            raise ValueError("a route needs finite numbers")
        for name, array in zip(("east_m", "north_m", "height_m"), arrays, strict=True):
            array.flags.writeable = False
            object.__setattr__(self, name, array)

    @property
    def farthest_m(self) -> float:
        """Horizontal distance of the farthest point from the launch point."""
        return float(np.hypot(self.east_m, self.north_m).max())
