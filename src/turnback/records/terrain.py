"""The ground around the launch point: a grid of heights in local metres, and what is known of its worth."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class TerrainKind(Enum):
    """Where the heights come from."""

    MEASURED = "measured grid"
    FLAT = "assumed flat"
    RIDGE = "typed-in ridge"


class TerrainNoteKind(Enum):
    """What a face should say about a terrain; the number beside it is `TerrainNote.value`."""

    VOIDS_FILLED = "voids filled"
    """Pixels without a height, filled from those around."""
    VOIDS_LEFT = "voids left"
    """Pixels without a height, in holes too wide to fill."""
    VOID_VALUE_UNDECLARED = "void value undeclared"
    """The value taken as a mark of voids, though the file does not say so."""
    COVER_MISSING = "cover missing"
    """Share of the wanted circle that lies outside the raster."""
    KNOWN_REACH = "known reach"
    """Distance from the launch point to the nearest ground without a known height."""
    COARSENED = "coarsened"
    """Size of the raster's own pixels, which were averaged into larger cells: tops are lower than they are."""
    CELLS_WIDE = "cells wide"
    """Size of pixels so wide that a ridge between two of them may be missed."""
    UNIT_CONVERTED = "unit converted"
    """Metres in one unit of the file's heights."""
    UNIT_ASSUMED = "unit assumed"
    """The file names no unit of height; this many metres are assumed in one unit."""
    SCALED = "scaled"
    """Factor that the file gives for its stored numbers."""
    FIRST_OF_BANDS = "first of bands"
    """Bands in the file, of which the first is used."""


@dataclass(frozen=True, slots=True)
class TerrainNote:
    """One thing to be said about a terrain, as data.

    Attributes
    ----------
    kind : TerrainNoteKind
    value : float
        The number that goes with it; its meaning is the kind's.
    unit : str
        Unit of the number, empty for a count or a share.
    """

    kind: TerrainNoteKind
    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Terrain:
    """Ground heights around a launch point, which is the origin: x east, y north.

    Attributes
    ----------
    heights_m : ndarray
        Shape ``(ny, nx)``, float32, C-contiguous, read-only, finite everywhere; metres above sea level. Row 0 is the
        north edge. Where `known` is false the height is a guess from around, so that a sweep can run over it.
    known : ndarray
        Shape ``(ny, nx)``, bool, read-only: the cell's height is measured, or filled across a small void, or the
        terrain is assumed altogether.
    x_west_m, y_north_m : float
        Centre of pixel [0, 0].
    cell_m : float
        Side of the square cells.
    kind : TerrainKind
    source : str
        Name of the file and what the file says of its origin, or what was typed in.
    radius_m : float
        The circle around the launch point that was asked for.
    void_fraction : float
        Share of the circle's ground inside the raster that had no height in the file, filled or not.
    voids_filled : int
        Pixels of the file filled by interpolation.
    missing_fraction : float
        Share of the circle that lies outside the raster.
    launch_lat_deg, launch_lon_deg : float or None
        The launch point on WGS-84; none where the terrain is assumed.
    notes : tuple of TerrainNote
    """

    heights_m: NDArray[np.float32]
    known: NDArray[np.bool_]
    x_west_m: float
    y_north_m: float
    cell_m: float
    kind: TerrainKind
    source: str
    radius_m: float
    void_fraction: float = 0.0
    voids_filled: int = 0
    missing_fraction: float = 0.0
    launch_lat_deg: float | None = None
    launch_lon_deg: float | None = None
    notes: tuple[TerrainNote, ...] = ()

    def __post_init__(self) -> None:
        """Freeze the arrays and refuse a grid no reader should have made (a slip in code, not in a file)."""
        heights = np.array(self.heights_m, dtype=np.float32, order="C")
        known = np.array(self.known, dtype=np.bool_, order="C")
        if heights.ndim != 2 or min(heights.shape) < 2 or known.shape != heights.shape:
            raise ValueError(f"heights of shape {heights.shape} with known of shape {known.shape} are no terrain")
        if not np.isfinite(heights).all() or not (np.isfinite(self.cell_m) and self.cell_m > 0.0):
            raise ValueError("a terrain needs finite heights and a cell larger than nothing")
        heights.flags.writeable = False
        known.flags.writeable = False
        object.__setattr__(self, "heights_m", heights)
        object.__setattr__(self, "known", known)

    @property
    def assumed(self) -> bool:
        """True unless the heights were measured."""
        return self.kind is not TerrainKind.MEASURED

    @property
    def launch_ground_m(self) -> float:
        """Ground height at the launch point, metres above sea level."""
        return float(self.ground_m(0.0, 0.0))

    def ground_m(self, x_m: Any, y_m: Any) -> Floats:
        """Return ground heights above sea level, bilinear between cell centres.

        Parameters
        ----------
        x_m, y_m : float or array_like
            East and north of the launch point; shapes broadcast.

        Returns
        -------
        ndarray
            Metres. Outside the grid the rim's height is held: ask `covers` first.
        """
        row, column, down, right = self._corner(x_m, y_m)
        heights = self.heights_m
        north = heights[row, column] * (1.0 - right) + heights[row, column + 1] * right
        south = heights[row + 1, column] * (1.0 - right) + heights[row + 1, column + 1] * right
        return np.asarray(north * (1.0 - down) + south * down, dtype=np.float64)

    def covers(self, x_m: Any, y_m: Any) -> NDArray[np.bool_]:
        """Return where the ground is known: inside the grid, with every height that `ground_m` would use known.

        Parameters
        ----------
        x_m, y_m : float or array_like
            East and north of the launch point; shapes broadcast.
        """
        row, column, down, right = self._corner(x_m, y_m)
        sound = np.ones(np.shape(down), dtype=np.bool_)
        for step_down, weight_down in ((0, 1.0 - down), (1, down)):
            for step_right, weight_right in ((0, 1.0 - right), (1, right)):
                unused = weight_down * weight_right < 1e-6  # a height of no weight need not be known
                sound &= unused | self.known[row + step_down, column + step_right]
        return np.asarray(sound & self._inside(x_m, y_m), dtype=np.bool_)

    def _pixel(self, x_m: Any, y_m: Any) -> tuple[Floats, Floats]:
        x, y = np.broadcast_arrays(np.asarray(x_m, dtype=np.float64), np.asarray(y_m, dtype=np.float64))
        return (self.y_north_m - y) / self.cell_m, (x - self.x_west_m) / self.cell_m

    def _inside(self, x_m: Any, y_m: Any) -> NDArray[np.bool_]:
        row, column = self._pixel(x_m, y_m)
        rim = 1e-6  # a millionth of a cell is forgiven at the rim
        rows, columns = self.heights_m.shape
        inside = (row >= -rim) & (row <= rows - 1 + rim) & (column >= -rim) & (column <= columns - 1 + rim)
        return np.asarray(inside, dtype=np.bool_)

    def _corner(self, x_m: Any, y_m: Any) -> tuple[NDArray[np.intp], NDArray[np.intp], Floats, Floats]:
        """Row and column of the north-west of the four heights around a point, and the shares beyond it."""
        rows, columns = self.heights_m.shape
        row, column = self._pixel(x_m, y_m)
        row = np.clip(np.nan_to_num(row, nan=0.0), 0.0, rows - 1.0)
        column = np.clip(np.nan_to_num(column, nan=0.0), 0.0, columns - 1.0)
        top = np.minimum(row.astype(np.intp), rows - 2)
        left = np.minimum(column.astype(np.intp), columns - 2)
        return top, left, row - top, column - left
