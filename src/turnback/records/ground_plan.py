"""The flight from above: a rose of turn-back distances by bearing, and a map in local metres."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class RoseResult:
    """Straight out and back on each bearing, at the height that the plan flies; arrays have shape ``(n,)``.

    The bearing of a straight plan is among them, and there the numbers are those of the brief.
    """

    bearing_deg: Array
    """Clockwise from true north, ascending."""
    turn_back_m: Array
    """At the unfavourable end, with the limit chance; never beyond `farthest_m`."""
    reason: tuple[str, ...]
    """What ends it: ``"energy"``, ``"control"``, ``"video"``, ``"limit"`` (a distance that was entered),
    ``"terrain"`` (the ground is not known farther out), ``"ground"`` (the flight would meet it) or ``"route"``
    (nothing up to `farthest_m`)."""
    lowest_return_m: Array
    """Least return height above launch that clears ground, trees and margin out to the turn-back distance."""
    height_m: float
    """Flown at this height,"""
    height_above: str
    """above ``"launch"``, ``"ground"`` or ``"sea level"``."""
    farthest_m: float
    """Nobody looked farther than this."""
    plan_bearing_deg: float
    """Toward the plan's farthest point; not a number for a hover over the launch point."""


@dataclass(frozen=True, slots=True)
class MapMark:
    """One place on the map."""

    kind: str
    """``"control"``, ``"video"`` or ``"return"``: the obstacle that rules it."""
    x_m: float
    y_m: float
    height_m: float
    """Of the ground above the launch point."""


@dataclass(frozen=True, slots=True, eq=False)
class MapResult:
    """The ground around the flight in local metres: x east, y north, the launch point is the origin."""

    heights_m: NDArray[np.float32]
    """Shape ``(ny, nx)`` above sea level, row 0 north; cut to the flight and thinned."""
    known: NDArray[np.bool_]
    x_west_m: float
    y_north_m: float
    """Centre of pixel [0, 0]."""
    cell_m: float
    route_x_m: Array
    route_y_m: Array
    """In the order flown."""
    marks: tuple[MapMark, ...]
    areas: tuple[tuple[str, Array], ...]
    """People areas inside the map: name and outer ring ``(n, 2)``."""
