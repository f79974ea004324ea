"""Real ground for made-up flights: the example terrain as local heights about a launch point."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from numpy.typing import NDArray

Floats = NDArray[np.float64]
FILE = Path(__file__).parents[2] / "examples" / "terrain" / "jacksboro_fault.tif"


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """Ground about a launch point, metres; see `own_world.World` of the same names."""

    latitude_deg: float
    longitude_deg: float
    height_m: float
    ground: Floats
    step: float
    north0: float
    east0: float

    def world(self) -> dict[str, Any]:
        """Return what `World` takes."""
        return {"ground": self.ground, "ground_step": self.step, "ground_n": self.north0, "ground_e": self.east0,
                "rough_ground": 1.0}  # fmt: skip

    def at(self, north: Floats, east: Floats) -> Floats:
        """Return heights above the launch point, bilinear."""
        y = np.clip((north - self.north0) / self.step, 0.0, self.ground.shape[0] - 1.001)
        x = np.clip((east - self.east0) / self.step, 0.0, self.ground.shape[1] - 1.001)
        j, i = y.astype(int), x.astype(int)
        fy, fx = y - j, x - i
        g = self.ground
        low = g[j, i] * (1 - fx) + g[j, i + 1] * fx
        high = g[j + 1, i] * (1 - fx) + g[j + 1, i + 1] * fx
        return np.asarray(low * (1 - fy) + high * fy)


@cache
def _grid() -> tuple[NDArray[np.float64], float, float, float]:
    with rasterio.open(FILE) as raster:
        heights = raster.read(1).astype(np.float64)
        return heights, float(raster.transform.c), float(raster.transform.f), float(raster.transform.a)


def place(rng: np.random.Generator, half_m: float = 1600.0, step_m: float = 40.0) -> Place:
    """Draw a launch point and return the ground about it; bilinear between the file's pixels."""
    heights, west, north, pixel = _grid()
    rows, columns = heights.shape
    row, column = rng.uniform(30, rows - 30), rng.uniform(40, columns - 40)
    latitude, longitude = north - (row + 0.5) * pixel, west + (column + 0.5) * pixel
    axis = np.arange(-half_m, half_m + 1.0, step_m)
    up = row - axis / (111_320.0 * pixel)
    side = column + axis / (111_320.0 * math.cos(math.radians(latitude)) * pixel)
    j, i = np.floor(up).astype(int), np.floor(side).astype(int)
    fy, fx = (up - j)[:, None], (side - i)[None, :]

    def pick(dj: int, di: int) -> Floats:
        return np.asarray(heights[np.ix_(j + dj, i + di)])

    ground = (pick(0, 0) * (1 - fx) + pick(0, 1) * fx) * (1 - fy) + (pick(1, 0) * (1 - fx) + pick(1, 1) * fx) * fy
    middle = float(ground[len(axis) // 2, len(axis) // 2])
    return Place(latitude, longitude, middle, ground - middle, step_m, -half_m, -half_m)
