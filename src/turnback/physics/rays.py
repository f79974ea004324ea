"""Many rays over one terrain: from the launch point to every place the aircraft passes, in parallel.

Each ray is a profile of its own, so its numbers are those of `turnback.physics.diffraction.ray_loss`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numba import prange
from numpy.typing import NDArray

from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM
from turnback.base.errors import bad_input
from turnback.base.kernels import parallel_kernel
from turnback.base.ranges import within
from turnback.physics.bullington import ray_kernel
from turnback.physics.clutter import canopy_kernel
from turnback.physics.diffraction import AVERAGE_CONDUCTIVITY_S_PER_M, AVERAGE_PERMITTIVITY, valid_ground
from turnback.physics.link import NEAREST_M, free_space_db
from turnback.physics.polarisation import Polarisation
from turnback.physics.profile import HIGHEST_M, LEAST_ANTENNA_M, LOWEST_M, valid_frequency_mhz, valid_radius_km
from turnback.physics.terrain_grid import (
    TerrainGrid,
    bilinear_kernel,
    profile_kernel,
    require_inside,
    sample_count_kernel,
)

Array = NDArray[np.float64]

MOST_SAMPLES = 4096
"""Longest profile; beyond, spacing grows past the cell (our choice: 120 km at 30 m, far past any flight)."""
OVERHEAD_M = 1.0
"""Nearer than this along the ground nothing can stand between."""


@dataclass(frozen=True, slots=True, eq=False)
class RaySet:
    """What every ray says; N positions, F frequencies, C canopy heights.

    Attributes
    ----------
    free_space_db, diffraction_db, knife_edge_db, clearance_ratio : ndarray
        Shape ``(N, F)``, as in `RayLoss`. Overhead (within 1 m along the ground) no loss and infinite clearance.
    line_of_sight : ndarray of bool
        Shape ``(N,)``.
    obstacle_km, obstacle_height_m : ndarray
        Shape ``(N,)``: the sample that rules; NaN overhead.
    slant_m, elevation_rad : ndarray
        Shape ``(N,)``: slant distance; elevation of the aircraft seen from the ground antenna.
    above_ground_m : ndarray
        Shape ``(N,)``: height of the aircraft above the ground below it. At or below 0 the place lies inside the
        hill; its ray is then computed to 0.01 m above the ground.
    canopy_path_m : ndarray
        Shape ``(N, C)``: metres of the ray below the top of each canopy.
    """

    free_space_db: Array
    diffraction_db: Array
    knife_edge_db: Array
    clearance_ratio: Array
    line_of_sight: NDArray[np.bool_]
    obstacle_km: Array
    obstacle_height_m: Array
    slant_m: Array
    elevation_rad: Array
    above_ground_m: Array
    canopy_path_m: Array


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """One profile from the launch point: arrays of shape ``(n,)``, distance ascending from 0, height above sea."""

    distance_km: Array
    height_m: Array


@parallel_kernel
def _rays_kernel(
    height_m: Array,
    x_west_m: float,
    y_north_m: float,
    cell_m: float,
    antenna_m: float,
    x_m: Array,
    y_m: Array,
    aircraft_m: Array,
    frequency_mhz: Array,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
    most: int,
    canopy_m: Array,
    table: Array,
    place: Array,
    under_m: Array,
) -> None:  # pragma: no cover - compiled
    """Fill, for each position, the table of `ray_kernel`, the place (see below) and the metres under each canopy.

    ``place[p]`` is obstacle distance km, obstacle height m, end height m, ground under the end m.
    """
    start_m = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, 0.0, 0.0) + antenna_m
    for p in prange(x_m.size):
        path_m = math.hypot(x_m[p], y_m[p])
        ground = bilinear_kernel(height_m, x_west_m, y_north_m, cell_m, x_m[p], y_m[p])
        end_m = max(aircraft_m[p], ground + LEAST_ANTENNA_M)
        place[p, 2] = end_m
        place[p, 3] = ground
        if path_m < OVERHEAD_M:
            for f in range(frequency_mhz.size):
                table[p, f, 0] = 0.0
                table[p, f, 1] = 0.0
                table[p, f, 2] = math.inf
            for c in range(canopy_m.size):
                under_m[p, c] = min(max(canopy_m[c] - antenna_m, 0.0), max(end_m - start_m, 0.0))
            place[p, 0] = math.nan
            place[p, 1] = math.nan
            continue
        count = sample_count_kernel(path_m, cell_m, most)
        distance_km = np.empty(count)
        ground_m = np.empty(count)
        profile_kernel(height_m, x_west_m, y_north_m, cell_m, x_m[p], y_m[p], distance_km, ground_m)
        ruling = ray_kernel(
            distance_km,
            ground_m,
            start_m,
            end_m,
            frequency_mhz,
            radius_km,
            vertical,
            permittivity,
            conductivity,
            table[p],
        )
        place[p, 0] = distance_km[ruling]
        place[p, 1] = ground_m[ruling]
        for c in range(canopy_m.size):
            under_m[p, c] = canopy_kernel(distance_km, ground_m, start_m, end_m, radius_km, canopy_m[c])


def ray_losses(
    grid: TerrainGrid,
    antenna_height_m: float,
    x_m: Any,
    y_m: Any,
    aircraft_height_m: Any,
    frequency_mhz: Any,
    effective_earth_radius_km: float = EFFECTIVE_EARTH_RADIUS_KM,
    polarisation: Polarisation = Polarisation.VERTICAL,
    relative_permittivity: float = AVERAGE_PERMITTIVITY,
    conductivity_s_per_m: float = AVERAGE_CONDUCTIVITY_S_PER_M,
    canopy_height_m: Any = (),
    most_samples: int = MOST_SAMPLES,
) -> RaySet:
    """Return the losses from the launch point to many places of the aircraft, at several frequencies.

    Parameters
    ----------
    grid : TerrainGrid
        Ground around the launch point, which is its origin.
    antenna_height_m : float
        Of the pilot's antenna above the ground at the launch point, 0.01 m to 50 km.
    x_m, y_m : array_like
        East and north of the launch point, shape ``(N,)``, on the grid.
    aircraft_height_m : array_like
        Above SEA level, shape ``(N,)``, -500 to 50,000 m.
    frequency_mhz : array_like
        Shape ``(F,)`` or a scalar, 100 to 50,000 MHz.
    effective_earth_radius_km : float
        8500 km is the median of temperate climates.
    polarisation : Polarisation
        Circular is taken as vertical.
    relative_permittivity, conductivity_s_per_m : float
        Ground constants.
    canopy_height_m : array_like
        Canopies to measure the path under, shape ``(C,)``, 0 to 100 m; none by default.
    most_samples : int
        Cap of a profile, 3 to 1,000,000.

    Returns
    -------
    RaySet

    Raises
    ------
    InputError
        Where an input is outside its range or a place lies outside the grid.

    Notes
    -----
    ITU-R P.525 and P.526-15 section 4.5, profile by profile, sampled no wider than a cell. Positions share nothing,
    so the number of threads moves no byte.
    """
    x, y = _places(grid, x_m, y_m)
    aircraft = within("aircraft_height_m", aircraft_height_m, LOWEST_M, HIGHEST_M, "m", "enter metres above sea level")
    aircraft = np.array(np.broadcast_to(aircraft, x.shape))
    frequency = valid_frequency_mhz(frequency_mhz).flatten()
    if frequency.size == 0:
        raise bad_input("frequency_mhz", "no frequency is given", "give at least one")
    antenna = float(within("antenna_height_m", antenna_height_m, LEAST_ANTENNA_M, HIGHEST_M, "m"))
    permittivity, conductivity = valid_ground(relative_permittivity, conductivity_s_per_m)
    canopies = within("canopy_height_m", canopy_height_m, 0.0, 100.0, "m").flatten()
    most = int(within("most_samples", most_samples, 3, 1_000_000, ""))
    table = np.empty((x.size, frequency.size, 3))
    place = np.empty((x.size, 4))
    under_m = np.empty((x.size, canopies.size))
    _rays_kernel(
        grid.height_m,
        grid.x_west_m,
        grid.y_north_m,
        grid.cell_m,
        antenna,
        x,
        y,
        aircraft,
        frequency,
        valid_radius_km(effective_earth_radius_km),
        polarisation.over_ground_vertical,
        permittivity,
        conductivity,
        most,
        canopies,
        table,
        place,
        under_m,
    )
    start_m = bilinear_kernel(grid.height_m, grid.x_west_m, grid.y_north_m, grid.cell_m, 0.0, 0.0) + antenna
    along_m = np.hypot(x, y)
    slant_m = np.maximum(np.hypot(along_m, place[:, 2] - start_m), NEAREST_M)
    return RaySet(
        free_space_db=free_space_db(slant_m[:, None], frequency[None, :]),
        diffraction_db=table[:, :, 0].copy(),
        knife_edge_db=table[:, :, 1].copy(),
        clearance_ratio=table[:, :, 2].copy(),
        line_of_sight=np.asarray((table[:, :, 2] > 0.0).all(axis=1)),
        obstacle_km=place[:, 0].copy(),
        obstacle_height_m=place[:, 1].copy(),
        slant_m=slant_m,
        elevation_rad=np.arctan2(place[:, 2] - start_m, along_m),
        above_ground_m=aircraft - place[:, 3],
        canopy_path_m=under_m,
    )


def profile_to(grid: TerrainGrid, x_m: float, y_m: float, most_samples: int = MOST_SAMPLES) -> Profile:
    """Return the profile from the launch point to one place: the very samples that `ray_losses` used.

    Parameters
    ----------
    grid : TerrainGrid
    x_m, y_m : float
        East and north of the launch point, at least 1 m away, on the grid.
    most_samples : int
        3 to 1,000,000.

    Raises
    ------
    InputError
        If the place lies outside the grid or at the launch point.

    Notes
    -----
    Bilinear between the centres of pixels, no wider than a cell, both ends exact.
    """
    x, y = _places(grid, [x_m], [y_m])
    path_m = math.hypot(x[0], y[0])
    if path_m < OVERHEAD_M:
        raise bad_input("x_m, y_m", "the place is the launch point itself", "choose a place at least 1 m away")
    count = sample_count_kernel(path_m, grid.cell_m, int(within("most_samples", most_samples, 3, 1_000_000, "")))
    distance_km, ground_m = np.empty(count), np.empty(count)
    profile_kernel(grid.height_m, grid.x_west_m, grid.y_north_m, grid.cell_m, x[0], y[0], distance_km, ground_m)
    return Profile(distance_km, ground_m)


def _places(grid: TerrainGrid, x_m: Any, y_m: Any) -> tuple[Array, Array]:
    x = within("x_m", x_m, -1e6, 1e6, "m")
    y = within("y_m", y_m, -1e6, 1e6, "m")
    x, y = np.broadcast_arrays(np.atleast_1d(x), np.atleast_1d(y))
    if x.ndim != 1:
        raise bad_input("x_m, y_m", f"places have {x.ndim} dimensions", "give two rows of numbers of one length")
    require_inside(grid, x, y)
    return np.array(x), np.array(y)  # writable copies: a read-only array would be compiled for anew
