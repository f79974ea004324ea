"""Ground without a terrain file: flat, or with ridges typed in. Both are marked as assumed."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from turnback.base.errors import Fault, InputError
from turnback.base.ranges import within
from turnback.records.terrain import Terrain, TerrainKind

MOST_CELLS = 4000  # along one side; our choice, as for rasters: 64 MB of heights


class RidgeLine(NamedTuple):
    """A ridge as a pilot would describe it.

    Attributes
    ----------
    distance_m : float
        From the launch point to the top line.
    height_m : float
        Of the top line above the launch point.
    bearing_deg : float or None
        From the launch point to the ridge; the top line runs square to it, without end. None: all round.
    width_m : float
        From foot to foot.
    """

    distance_m: float
    height_m: float
    bearing_deg: float | None
    width_m: float


def flat_terrain(radius_m: float, cell_m: float, height_m: float = 0.0) -> Terrain:
    """Return flat ground, assumed.

    Parameters
    ----------
    radius_m : float
        Reach around the launch point, 10 to 100,000 m.
    cell_m : float
        Side of a cell, 0.5 to 1000 m, no more than `MOST_CELLS` along a side.
    height_m : float
        Height above sea level, -500 to 9000 m.

    Raises
    ------
    InputError
        Outside those ranges.
    """
    x_m, _ = _axes(radius_m, cell_m)
    base_m = float(within("height_m", height_m, -500.0, 9000.0, "m", "enter metres, not feet"))
    heights = np.full((x_m.size, x_m.size), base_m, dtype=np.float32)
    return _assumed(heights, x_m, cell_m, TerrainKind.FLAT, "flat ground, assumed", radius_m)


def ridge_terrain(
    radius_m: float,
    cell_m: float,
    ridges: Iterable[RidgeLine | tuple[float, float, float | None, float]],
    height_m: float = 0.0,
    where: str = "ridges",
) -> Terrain:
    """Return flat ground with ridges on it, assumed.

    Parameters
    ----------
    radius_m, cell_m, height_m : float
        As for `flat_terrain`; the launch point stands at `height_m`.
    ridges : iterable of RidgeLine
        At least one; where two overlap the higher counts.
    where : str
        The field's name, for errors.

    Raises
    ------
    InputError
        All faults of all ridges together: out of range, beyond the radius, or so near that the launch point would
        stand on the slope.

    Notes
    -----
    The cross-section is a raised cosine, so a top line that falls between cells loses at most
    ``1 - cos^2(pi cell / (2 width))`` of its height (our choice).
    """
    lines = [RidgeLine(*ridge) for ridge in ridges]
    faults: list[Fault] = []
    for number, line in enumerate(lines):
        faults += _faults(line, f"{where}[{number}]", radius_m, cell_m)
    if not lines:
        faults.append(Fault(where, "no ridge is given", "give at least one ridge or leave the ground flat"))
    if faults:
        raise InputError(*faults)
    x_m, y_m = _axes(radius_m, cell_m)
    base_m = float(within("height_m", height_m, -500.0, 9000.0, "m", "enter metres, not feet"))
    rise_m = np.zeros((y_m.size, x_m.size))
    for line in lines:
        rise_m = np.maximum(rise_m, _rise(line, x_m[None, :], y_m[:, None], cell_m))
    heights = (base_m + rise_m).astype(np.float32)
    return _assumed(heights, x_m, cell_m, TerrainKind.RIDGE, "; ".join(map(_said, lines)), radius_m)


def _axes(radius_m: float, cell_m: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Cell centres east, and north from the north edge down; the launch point is a cell's centre."""
    radius = float(within("radius_m", radius_m, 10.0, 100_000.0, "m", "enter metres, not kilometres"))
    cell = float(within("cell_m", cell_m, 0.5, 1000.0, "m"))
    reach = int(np.ceil(radius / cell)) + 1
    within("cells along a side", 2 * reach + 1, 3, MOST_CELLS, "", "choose larger cells or a shorter radius")
    steps = np.asarray(np.arange(-reach, reach + 1) * cell, dtype=np.float64)
    return steps, np.asarray(steps[::-1])


def _rise(line: RidgeLine, x_m: NDArray[np.float64], y_m: NDArray[np.float64], cell_m: float) -> NDArray[np.float64]:
    if line.bearing_deg is None:
        toward_m = np.hypot(x_m, y_m)
    else:
        bearing = np.radians(line.bearing_deg)
        toward_m = x_m * np.sin(bearing) + y_m * np.cos(bearing)
    off = np.minimum(np.abs(toward_m - line.distance_m) / _half_width_m(line, cell_m), 1.0)
    return np.asarray(line.height_m * np.cos(off * np.pi / 2.0) ** 2)


def _half_width_m(line: RidgeLine, cell_m: float) -> float:
    """Half the width from foot to foot; a ridge narrower than four cells would fall through the grid."""
    return max(line.width_m / 2.0, 2.0 * cell_m)


def _faults(line: RidgeLine, where: str, radius_m: float, cell_m: float) -> list[Fault]:
    rows = [
        ("distance_m", line.distance_m, 20.0, 20_000.0, "m", "enter metres from the launch point"),
        ("height_m", line.height_m, 1.0, 3000.0, "m", "enter metres above the launch point"),
        ("width_m", line.width_m, 1.0, 20_000.0, "m", "enter metres from foot to foot"),
        ("bearing_deg", line.bearing_deg or 0.0, 0.0, 360.0, "degrees", "enter degrees from true north"),
    ]
    faults: list[Fault] = []
    for field, value, low, high, unit, slip in rows:
        try:
            within(f"{where}.{field}", value, low, high, unit, slip)
        except InputError as error:
            faults += error.faults
    if not faults and line.distance_m > radius_m:
        what = f"the ridge at {line.distance_m:g} m lies beyond the ground's radius of {radius_m:g} m"
        faults.append(Fault(where, what, "make the radius larger or leave the ridge out"))
    if not faults and line.distance_m < _half_width_m(line, cell_m):
        foot_to_foot_m = 2.0 * _half_width_m(line, cell_m)
        what = f"a ridge {foot_to_foot_m:g} m wide at {line.distance_m:g} m has the launch point on its slope"
        faults.append(Fault(where, what, "enter a narrower ridge, smaller cells or the distance to its top"))
    return faults


def _said(line: RidgeLine) -> str:
    direction = "all round" if line.bearing_deg is None else f"on bearing {line.bearing_deg:g} degrees"
    return f"ridge of {line.height_m:g} m at {line.distance_m:g} m {direction}, typed in"


def _assumed(
    heights: NDArray[np.float32],
    x_m: NDArray[np.float64],
    cell_m: float,
    kind: TerrainKind,
    source: str,
    radius_m: float,
) -> Terrain:
    return Terrain(
        heights_m=heights,
        known=np.ones(heights.shape, dtype=np.bool_),
        x_west_m=float(x_m[0]),
        y_north_m=float(-x_m[0]),
        cell_m=float(cell_m),
        kind=kind,
        source=source,
        radius_m=float(radius_m),
    )
