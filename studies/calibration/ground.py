"""Ground heights along one bearing from the launch point, read anew from the raster or typed in."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
import rasterio
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEP_M: Final = 15.0
RASTER: Final = Path(__file__).parents[2] / "examples" / "terrain" / "jacksboro_fault.tif"


@dataclass(frozen=True)
class Place:
    """Where a plan is flown: on the raster, or on flat ground with perhaps a ridge across the way (metres)."""

    latitude_deg: float | None
    longitude_deg: float | None
    ridge_distance_m: float = 0.0
    ridge_height_m: float = 0.0
    ridge_width_m: float = 300.0


@cache
def _raster() -> tuple[Array, float, float, float, float]:
    with rasterio.open(RASTER) as source:
        heights = source.read(1).astype(np.float64)
        moved = source.transform
    return heights, moved.c, moved.f, moved.a, moved.e


def _heights_at(latitude_deg: Array, longitude_deg: Array) -> Array:
    """Return heights between pixel centres, bilinear; NaN outside."""
    heights, west, north, wide, tall = _raster()
    column = (longitude_deg - west) / wide - 0.5
    row = (latitude_deg - north) / tall - 0.5
    inside = (column >= 0) & (row >= 0) & (column < heights.shape[1] - 1) & (row < heights.shape[0] - 1)
    c, r = np.where(inside, column, 0.0), np.where(inside, row, 0.0)
    i, j = r.astype(np.int64), c.astype(np.int64)
    u, v = r - i, c - j
    over = heights[i, j] * (1 - v) + heights[i, j + 1] * v
    under = heights[i + 1, j] * (1 - v) + heights[i + 1, j + 1] * v
    return np.where(inside, over * (1 - u) + under * u, np.nan)


def profile(place: Place, bearing_deg: float, length_m: float) -> tuple[Array, Array, float]:
    """Return distances, heights above the launch point's ground, and that ground's height above sea level."""
    along = np.arange(0.0, length_m + STEP_M, STEP_M)
    if place.latitude_deg is None or place.longitude_deg is None:
        off = np.minimum(np.abs(along - place.ridge_distance_m) / (place.ridge_width_m / 2.0), 1.0)
        return along, place.ridge_height_m * 0.5 * (1.0 + np.cos(np.pi * off)), 0.0
    phi = math.radians(place.latitude_deg)
    north_m = 111_132.92 - 559.82 * math.cos(2 * phi) + 1.175 * math.cos(4 * phi)  # metres a degree, WGS 84 series
    east_m = 111_412.84 * math.cos(phi) - 93.5 * math.cos(3 * phi)
    bearing = math.radians(bearing_deg)
    heights = _heights_at(
        place.latitude_deg + along * math.cos(bearing) / north_m,
        place.longitude_deg + along * math.sin(bearing) / east_m,
    )
    return along, heights - heights[0], float(heights[0])


def roughened(along_m: Array, heights_m: Array, error_m: float, chance: np.random.Generator) -> Array:
    """Return heights with the grid's error on them: correlated over 250 m, none at the launch point."""
    keep = math.exp(-STEP_M / 250.0)
    error = np.zeros_like(heights_m)
    level = 0.0
    for k in range(1, along_m.size):
        level = keep * level + math.sqrt(1.0 - keep * keep) * chance.normal(0.0, abs(error_m))
        error[k] = level
    return heights_m + error
