"""The losses to every cell of a terrain grid, by rays outward from the launch point, in parallel."""

from __future__ import annotations

from dataclasses import dataclass
from math import gcd
from typing import Any, Final

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM
from turnback.base.errors import bad_input
from turnback.base.kernels import kernel, parallel_kernel
from turnback.base.ranges import within
from turnback.physics.diffraction import AVERAGE_CONDUCTIVITY_S_PER_M, AVERAGE_PERMITTIVITY, valid_ground
from turnback.physics.polarisation import Polarisation
from turnback.physics.profile import HIGHEST_M, LEAST_ANTENNA_M, LOWEST_M, valid_frequency_mhz, valid_radius_km
from turnback.physics.sweep import sweep_wanted
from turnback.physics.sweep_rays import longest_samples, most_owned, owned_cells, ray_count, ray_profile, ray_samples
from turnback.physics.terrain_grid import TerrainGrid

Array = NDArray[np.float64]

LOWEST_FLIGHT_M: Final = 0.5
"""An aircraft is never taken to be nearer to the ground than this."""
MOST_SAMPLES: Final = 65_536
"""Longest ray; beyond, spacing grows past the cell (our choice: far past any grid that fits into memory)."""
CLEAR_RATIO: Final = 0.6
"""Of the first Fresnel radius: with so much free nothing is lost (ITU-R P.530)."""
TOGETHER: Final = 16
"""Neighbouring rays that one thread walks in turn: they read the same ground and write to the same rows."""


@dataclass(frozen=True, slots=True, eq=False)
class SweepLosses:
    """What the sweep says of every cell; F frequencies, C canopies, ny rows (row 0 north), nx columns.

    Attributes
    ----------
    diffraction_db, knife_edge_db : ndarray
        Shape ``(F, ny, nx)``, float32: delta-Bullington, and the ruling edge alone.
    fresnel_clear : ndarray of bool
        Shape ``(F, ny, nx)``: 0.6 of the first Fresnel radius or more is free.
    line_of_sight : ndarray of bool
        Shape ``(ny, nx)``.
    top_m : ndarray
        Shape ``(ny, nx)``, float32: highest ground on the way, above sea level, both ends included.
    canopy_path_m : ndarray
        Shape ``(C, ny, nx)``, float32: metres of the ray below the top of each canopy.
    """

    diffraction_db: NDArray[np.float32]
    knife_edge_db: NDArray[np.float32]
    fresnel_clear: NDArray[np.bool_]
    line_of_sight: NDArray[np.bool_]
    top_m: NDArray[np.float32]
    canopy_path_m: NDArray[np.float32]


@kernel
def flown_m(ground_m: Array, height_m: float, above_ground: bool, aircraft_m: Array) -> None:  # pragma: no cover
    """Fill the aircraft's height above sea level along a ray, never nearer to the ground than `LOWEST_FLIGHT_M`."""
    for i in range(ground_m.size):
        base_m = ground_m[i] if above_ground else ground_m[0]
        aircraft_m[i] = max(base_m + height_m, ground_m[i] + LOWEST_FLIGHT_M)


@kernel
def walk_bundle(
    bundle: int,
    height_m: Array,
    place: tuple[float, float, float],
    flight: tuple[float, float, bool],
    frequency_mhz: Array,
    earth: tuple[float, bool, float, float],
    canopy_m: Array,
    most: int,
    losses_db: Any,
    edges_db: Any,
    clear: Any,
    seen: Any,
    top_m: Any,
    under_m: Any,
) -> None:  # pragma: no cover - compiled
    """Walk neighbouring rays one after the other and write the cells they own.

    ``place`` is that of the grid; ``flight`` antenna, height and whether over ground; ``earth`` radius and ground.
    """
    rows, columns = height_m.shape
    longest = longest_samples(rows, columns, *place, place[2], most)
    line = np.empty((4, longest))
    table = np.empty((longest, frequency_mhz.size, 3))
    under = np.empty((longest, canopy_m.size))
    wanted = np.empty(longest, dtype=np.bool_)
    owned = np.empty((3, most_owned(rows, columns)), dtype=np.int64)
    for ray in range(bundle * TOGETHER, min((bundle + 1) * TOGETHER, ray_count(rows, columns))):
        n = ray_samples(ray, rows, columns, *place, place[2], most)
        cells = owned_cells(ray, n, rows, columns, *place, owned[0], owned[1], owned[2])
        if cells == 0:
            continue
        wanted[:] = False
        for k in range(cells):
            wanted[owned[0, k]] = True
        ray_profile(ray, height_m, *place, line[0, :n], line[1, :n])
        flown_m(line[1, :n], flight[1], flight[2], line[2])
        sweep_wanted(
            line[0, :n], line[1, :n], line[2, :n], line[1, 0] + flight[0], frequency_mhz, *earth, canopy_m, wanted[:n],
            table[:n], under[:n], line[3, :n],
        )  # fmt: skip
        for k in range(cells):
            i, row, column = owned[0, k], owned[1, k], owned[2, k]
            for f in range(frequency_mhz.size):
                losses_db[f, row, column] = table[i, f, 0]
                edges_db[f, row, column] = table[i, f, 1]
                clear[f, row, column] = table[i, f, 2] >= CLEAR_RATIO
            seen[row, column] = table[i, 0, 2] > 0.0
            top_m[row, column] = line[3, i]
            for c in range(canopy_m.size):
                under_m[c, row, column] = under[i, c]


@parallel_kernel
def _grid_kernel(
    turns: int,
    first: int,
    every: int,
    stride: int,
    bundles: int,
    height_m: Array,
    place: tuple[float, float, float],
    flight: tuple[float, float, bool],
    frequency_mhz: Array,
    earth: tuple[float, bool, float, float],
    canopy_m: Array,
    most: int,
    losses_db: Any,
    edges_db: Any,
    clear: Any,
    seen: Any,
    top_m: Any,
    under_m: Any,
) -> None:  # pragma: no cover - compiled
    """Walk every `every`-th bundle of rays from the `first`; neighbouring turns lie `stride` apart."""
    for turn in prange(turns):
        bundle = (turn * every + first) * stride % bundles
        walk_bundle(
            bundle, height_m, place, flight, frequency_mhz, earth, canopy_m, most, losses_db, edges_db, clear, seen,
            top_m, under_m,
        )  # fmt: skip


def sweep_losses(
    grid: TerrainGrid,
    antenna_height_m: float,
    height_m: float,
    above_ground: bool,
    frequency_mhz: Any,
    canopy_height_m: Any = (),
    effective_earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
    polarisation: Polarisation = Polarisation.VERTICAL,
    relative_permittivity: float = AVERAGE_PERMITTIVITY,
    conductivity_s_per_m: float = AVERAGE_CONDUCTIVITY_S_PER_M,
    most_samples: int = MOST_SAMPLES,
    walked_share: tuple[int, int] = (0, 1),
) -> SweepLosses:
    """Return the losses from the launch point to an aircraft over every cell of a grid.

    Parameters
    ----------
    grid : TerrainGrid
        Ground around the launch point, which is its origin.
    antenna_height_m : float
        Of the pilot's antenna above the ground at the launch point, 0.01 m to 50 km.
    height_m : float
        Of the aircraft, -5000 to 50,000 m; it is never taken lower than 0.5 m above the ground.
    above_ground : bool
        Whether that height counts from the ground below the aircraft, or else from the ground at the launch point.
    frequency_mhz : array_like
        Shape ``(F,)`` or a scalar, 100 to 50,000 MHz.
    canopy_height_m : array_like
        Canopies to measure the path under, shape ``(C,)``, 0 to 100 m; none by default.
    effective_earth_radius_km : float
        8500 km is the median of temperate climates.
    polarisation : Polarisation
        Circular is taken as vertical.
    relative_permittivity, conductivity_s_per_m : float
        Ground constants.
    most_samples : int
        Cap of a ray, 3 to 1,000,000.
    walked_share : tuple of int
        ``(k, n)``: walk only the k-th of n shares of the rays, to time a share of a large grid; other cells stay 0.

    Returns
    -------
    SweepLosses

    Raises
    ------
    InputError
        Where an input is outside its range.

    Notes
    -----
    ITU-R P.526-15 section 4.5 on one ray to the centre of each cell of the rim (`sweep.sweep_ray`), sampled no wider
    than a cell. A cell gets the nearest sample of the ray that passes nearest (`sweep_rays`), so the numbers at the rim
    are those of `rays.ray_losses`, and elsewhere those of a place less than a cell away. Rays write disjoint cells, so
    the number of threads moves no byte.
    """
    antenna = float(within("antenna_height_m", antenna_height_m, LEAST_ANTENNA_M, HIGHEST_M, "m"))
    flight = float(within("height_m", height_m, 10.0 * LOWEST_M, HIGHEST_M, "m"))
    frequency = np.array(valid_frequency_mhz(frequency_mhz).flatten())
    if frequency.size == 0:
        raise bad_input("frequency_mhz", "no frequency is given", "give at least one")
    canopies = np.array(within("canopy_height_m", canopy_height_m, 0.0, 100.0, "m").flatten())
    permittivity, conductivity = valid_ground(relative_permittivity, conductivity_s_per_m)
    most = int(within("most_samples", most_samples, 3, 1_000_000, ""))
    shape = grid.height_m.shape
    found = SweepLosses(
        diffraction_db=np.zeros((frequency.size, *shape), dtype=np.float32),
        knife_edge_db=np.zeros((frequency.size, *shape), dtype=np.float32),
        fresnel_clear=np.zeros((frequency.size, *shape), dtype=np.bool_),
        line_of_sight=np.zeros(shape, dtype=np.bool_),
        top_m=np.zeros(shape, dtype=np.float32),
        canopy_path_m=np.zeros((canopies.size, *shape), dtype=np.float32),
    )
    bundles = -(-ray_count(*shape) // TOGETHER)
    k, shares = walked_share
    _grid_kernel(
        -(-(bundles - k) // shares), k, shares, _stride(bundles), bundles, grid.height_m,
        (grid.x_west_m, grid.y_north_m, grid.cell_m), (antenna, flight, bool(above_ground)), frequency,
        (valid_radius_km(effective_earth_radius_km), polarisation.over_ground_vertical, permittivity, conductivity),
        canopies, most, found.diffraction_db, found.knife_edge_db, found.fresnel_clear, found.line_of_sight,
        found.top_m, found.canopy_path_m,
    )  # fmt: skip
    return found


def _stride(bundles: int) -> int:
    """Return how far apart bundles walked in turn lie: all sides of the grid in every thread's share of the turns."""
    stride = max(int(0.618 * bundles), 1)
    while gcd(stride, bundles) > 1:
        stride += 1
    return stride
