"""The turn-back map: for every place around the launch point, whether an aircraft sent there comes home, or why not."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from turnback.records.finding import Spread

Array = NDArray[np.float64]

NO_DATA: Final = -32768
"""In every layer: the ground there, or on the way there, is not known."""


class Reason(IntEnum):
    """What rules at a place: the weakest of all that has to hold. The numbers stand in the layer ``"reason"``."""

    HOME = 0
    """It comes home with the limit chance, at the unfavourable end of what is not known."""
    CONTROL = 1
    VIDEO = 2
    ENERGY = 3
    WIND = 4
    """The way home cannot be flown against the wind."""
    GROUND = 5
    """The straight way there, at this height, meets the ground or the trees on it."""


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """One layer of the map.

    Attributes
    ----------
    key : str
        Such as ``"home_low"``; see `LAYERS`.
    values : ndarray
        Shape ``(ny, nx)``, int16, row 0 north; `NO_DATA` where nothing can be said.
    scale : float
        A value times this is the number in `unit`.
    unit : str
        ``"1"`` for a chance or a share, ``"dB"``, ``"m"``, ``"W h"``, ``""`` for a code.
    """

    key: str
    values: NDArray[np.int16]
    scale: float
    unit: str

    def numbers(self) -> NDArray[np.float32]:
        """Return the layer in its unit, NaN where there is no data."""
        found = self.values.astype(np.float32) * np.float32(self.scale)
        found[self.values == NO_DATA] = np.nan
        return found


LAYERS: Final[Mapping[str, tuple[float, str]]] = {
    "home": (1e-4, "1"),  # chance of coming home: the mean over what is not known
    "home_low": (1e-4, "1"),  # at the unfavourable end
    "home_high": (1e-4, "1"),
    "reason": (1.0, ""),  # of `Reason`
    "control_margin": (0.01, "dB"),  # weaker direction, best estimate, at the place itself
    "control_to_aircraft": (0.01, "dB"),  # margin of each direction; left out where the link has none
    "control_to_ground": (0.01, "dB"),
    "control_chance": (1e-4, "1"),  # that it holds all the way there and back, best estimate
    "control_diffraction": (0.01, "dB"),  # by the full recommendation, at the place itself
    "video_margin": (0.01, "dB"),
    "video_to_ground": (0.01, "dB"),
    "video_chance": (1e-4, "1"),
    "video_diffraction": (0.01, "dB"),
    "sight": (1.0, ""),  # 1 where nothing stands in the straight line from the pilot's antenna
    "energy": (0.01, "W h"),  # to go there and come back, best estimate
    "energy_high": (0.01, "W h"),  # with the unfavourable end of what is not known, in the wind of 1 flight in 20
    "energy_chance": (1e-4, "1"),  # of landing above the land-by volts, best estimate
    "return_clearance": (0.1, "m"),  # of the straight line home at the set height; left out where none is set
    "people": (1e-4, "1"),  # share of falls, motors stopped here, that end in a people area; left out without areas
}
"""Scale and unit of each layer that a map may hold, in the order written."""


@dataclass(frozen=True, slots=True, eq=False)
class TurnBackRing:
    """How far out it can turn back, by bearing; arrays of shape ``(n,)``.

    Straight out from the launch point the chance only falls: the distance is the last place before it passes under
    `chance` at the unfavourable end, over a neighbourhood of one cell to either side.
    """

    bearing_deg: Array
    """Clockwise from true north, ascending, every degree."""
    turn_back_m: Array
    reason: tuple[str, ...]
    """Name of a `Reason` in small letters, or ``"limit"``, ``"terrain"`` or ``"map"`` (the map ends first)."""
    chance: float
    share_home: float
    """Part of the map's known ground within its radius from which it comes home with `chance`."""


@dataclass(frozen=True, slots=True, eq=False)
class HeightStep:
    """The map at one more height, in short."""

    height_m: float
    ring: TurnBackRing
    home_low: NDArray[np.int16] | None
    """The layer ``"home_low"`` at this height, thinned to at most 200 cells a side for a small picture."""
    thinned: int
    """Cells of the map in one cell of that picture, along a side."""


@dataclass(frozen=True, slots=True, eq=False)
class HomeMap:
    """The whole map. Local metres: x east, y north, the launch point is the origin.

    Attributes
    ----------
    layers : mapping of str to Layer
        In the order of `LAYERS`.
    heights_m : ndarray
        Ground heights above sea level, shape ``(ny, nx)``, float32, for shading.
    x_west_m, y_north_m : float
        Centre of pixel [0, 0].
    height_m, height_above : float, str
        The height flown, above ``"launch"`` or ``"ground"``.
    ring : TurnBackRing
    heights : tuple of HeightStep
        The sweep over heights, ascending, up to the entered limit; empty where it was not asked for.
    sight_m : float
        How far an observer can tell which way this aircraft points.
    limit_height_m, limit_distance_m : float or None
        The local limits that were entered; None where none were.
    over_limit : bool
        The height of this map lies above the entered limit, somewhere.
    return_set_m : float or None
        Set height of the automatic return above launch.
    return_works : Spread or None
        Share of bearings on which an automatic return beats the wind; None where none is set or it is not tested.
    launch_lat_deg, launch_lon_deg : float or None
        None for ground that was typed in, and in a map that was redacted.
    areas : tuple
        People areas inside the map: name and outer ring ``(n, 2)``.
    """

    layers: Mapping[str, Layer]
    heights_m: NDArray[np.float32]
    x_west_m: float
    y_north_m: float
    cell_m: float
    radius_m: float
    height_m: float
    height_above: str
    ring: TurnBackRing
    heights: tuple[HeightStep, ...]
    sight_m: float
    limit_height_m: float | None
    limit_distance_m: float | None
    over_limit: bool
    return_set_m: float | None
    return_works: Spread | None
    launch_lat_deg: float | None
    launch_lon_deg: float | None
    areas: tuple[tuple[str, Array], ...]
    terrain_source: str
    terrain_assumed: bool
    terrain_notes: tuple[Any, ...]
    measured: tuple[str, ...]
    """Names of the links that a range walk corrected here: ``"control"``, ``"video"``."""
    draws: int
    seed: int
    title: str
