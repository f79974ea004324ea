"""One ray outward over the ground: the radio losses to every sample of it, in one walk.

For the sample ``i`` the numbers are those of a path over the samples ``0..i`` alone (`bullington.ray_kernel`,
`clutter.canopy_kernel`), but nothing is walked twice: horizons are tangents to a hull that grows with the ray, the
sample that rules is found by blocks, the smooth-earth fit by running sums. See docs/models/sweep.md.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from turnback.base.constants import SPEED_OF_LIGHT_MPS
from turnback.base.kernels import kernel
from turnback.physics.bullington import bullington_kernel, knife_edge_kernel, ray_kernel
from turnback.physics.clutter import canopy_kernel
from turnback.physics.sweep_blocks import block_lines, close_blocks
from turnback.physics.sweep_canopy import ascending, under_canopies
from turnback.physics.sweep_hull import push_hull, steepest_behind
from turnback.physics.sweep_sight import crossing, ruling_sample
from turnback.physics.sweep_smooth import far_from_smooth, smooth_excess, smooth_heights

Array = NDArray[np.float64]

CLEAR_NU = -0.85
"""Below this at the lowest frequency nothing is lost (J is 0 from -0.78) and the Fresnel zone is clear (0.6)."""


@kernel
def sweep_ray(
    distance_km: Array,
    ground_m: Array,
    aircraft_m: Array,
    antenna_m: float,
    frequency_mhz: Array,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
    canopy_m: Array,
    table: Array,
    under_m: Array,
    top_m: Array,
) -> None:  # pragma: no cover - compiled
    """Fill, for every sample of a ray, ``table[i, f] = (delta-Bullington loss, ruling edge's loss, clearance ratio)``.

    ``under_m[i, c]`` is the path below each canopy, ``top_m[i]`` the highest ground from the launch point to there.
    Heights above sea level; ``ground_m[0]`` is the launch point's. The first sample is overhead: no loss, infinitely
    clear; to the second the ground half-way is taken as the mean of both ends. Where no sample comes near the ray
    (nu at most -0.85 at the lowest frequency) the clearance ratio is that of nu = -0.85: it is at least that, which
    is more than 0.6. Distances that are evenly spaced are quickest.
    """
    sweep_wanted(
        distance_km, ground_m, aircraft_m, antenna_m, frequency_mhz, radius_km, vertical, permittivity, conductivity,
        canopy_m, np.empty(0, dtype=np.bool_), table, under_m, top_m,
    )  # fmt: skip


@kernel
def sweep_wanted(
    distance_km: Array,
    ground_m: Array,
    aircraft_m: Array,
    antenna_m: float,
    frequency_mhz: Array,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
    canopy_m: Array,
    wanted: NDArray[np.bool_],
    table: Array,
    under_m: Array,
    top_m: Array,
) -> None:  # pragma: no cover - compiled
    """Do what `sweep_ray` does, but after the second sample only for those wanted: all, where `wanted` is empty.

    ``top_m`` is filled everywhere.
    """
    count = distance_km.size
    first_samples(
        distance_km, ground_m, aircraft_m, antenna_m, frequency_mhz, radius_km, vertical, permittivity, conductivity,
        canopy_m, table, under_m, top_m,
    )  # fmt: skip
    longest_m = longest_wave_m(frequency_mhz)
    flat_m = flattened(distance_km, ground_m, radius_km)
    lines = block_lines(count)
    hulls = np.empty((2, count), dtype=np.int64)  # of the flattened ground, and of the ground itself
    order = ascending(canopy_m)
    canopies = canopy_m[order]
    counts = np.zeros((3, canopy_m.size))
    size = 0
    bare_size = 0
    ahead = 1
    ruling = 1
    steepest = -math.inf
    area = 0.0
    moment = 0.0
    for i in range(1, count):
        here = distance_km[i]
        prior = distance_km[i - 1]
        area += (here - prior) * (ground_m[i] + ground_m[i - 1])
        moment += (here - prior) * (ground_m[i] * (2.0 * here + prior) + ground_m[i - 1] * (here + 2.0 * prior))
        top_m[i] = max(top_m[i - 1], ground_m[i])
        if i == 1:
            continue
        size = push_hull(hulls[0], size, distance_km, flat_m, i - 1)
        bare_size = push_hull(hulls[1], bare_size, distance_km, ground_m, i - 1)
        close_blocks(lines, distance_km, flat_m, i - 1)
        steepest = max(steepest, (ground_m[i - 1] - antenna_m) / prior)
        if (flat_m[i - 1] - antenna_m) * distance_km[ahead] > (flat_m[ahead] - antenna_m) * prior:
            ahead = i - 1
        if wanted.size > 0 and not wanted[i]:
            continue
        at_m = aircraft_m[i] - 500.0 * here * here / radius_km
        behind = steepest_behind(hulls[0], size, distance_km, flat_m, here, at_m)
        least = -CLEAR_NU * CLEAR_NU * longest_m / (0.002 * here)
        value, ruling = ruling_sample(
            distance_km, flat_m, lines, hulls[0], size, i - 1, antenna_m, at_m, here, ahead, behind, ruling, least
        )
        forward = (flat_m[ahead] - antenna_m) / distance_km[ahead]
        backward = (flat_m[behind] - at_m) / (here - distance_km[behind])
        apex_km = crossing(antenna_m, forward, at_m, backward, distance_km, i)
        write_losses(value, antenna_m, forward, at_m, apex_km, here, frequency_mhz, table[i])
        from_m, to_m = smooth_heights(
            distance_km, ground_m, hulls[1], bare_size, area, moment, steepest, antenna_m, aircraft_m[i], i
        )
        if not far_from_smooth(here, from_m, to_m, radius_km, longest_m):
            smooth_excess(
                distance_km, i, from_m, to_m, frequency_mhz, radius_km, vertical, permittivity, conductivity, table[i]
            )
        if canopies.size > 0:
            under_canopies(
                distance_km, flat_m, lines, i, value > 0.0, antenna_m, forward, at_m, backward, apex_km,
                500.0 * here / radius_km, canopies, counts,
            )  # fmt: skip
            for c in range(canopies.size):
                under_m[i, order[c]] = counts[2, c]
                counts[2, c] = 0.0


@kernel
def flattened(distance_km: Array, ground_m: Array, radius_km: float) -> Array:  # pragma: no cover - compiled
    """Return the ground as it stands below the horizontal of the launch point: g - d² / (2 a)."""
    flat_m = np.empty(distance_km.size)
    for i in range(flat_m.size):
        flat_m[i] = ground_m[i] - 500.0 * distance_km[i] * distance_km[i] / radius_km
    return flat_m


@kernel
def longest_wave_m(frequency_mhz: Array) -> float:  # pragma: no cover - compiled
    """Return the wavelength of the lowest frequency."""
    longest_m = 0.0
    for f in range(frequency_mhz.size):
        longest_m = max(longest_m, SPEED_OF_LIGHT_MPS / (frequency_mhz[f] * 1e6))
    return longest_m


@kernel
def write_losses(
    value: float,
    from_m: float,
    forward: float,
    at_m: float,
    apex_km: float,
    path_km: float,
    frequency_mhz: Array,
    out: Array,
) -> None:  # pragma: no cover - compiled
    """Fill ``out[f]`` from v of the ruling sample and, where that is blocked, the crossing of both horizon slopes."""
    direct = math.copysign(math.sqrt(abs(value) * 0.002 * path_km), value)
    edge = direct
    if value > 0.0:
        far_km = path_km - apex_km
        above_m = from_m + forward * apex_km - (from_m * far_km + at_m * apex_km) / path_km
        edge = above_m * math.sqrt(0.002 * path_km / (apex_km * far_km))
    for f in range(frequency_mhz.size):
        root = math.sqrt(SPEED_OF_LIGHT_MPS / (frequency_mhz[f] * 1e6))
        out[f, 0] = bullington_kernel(edge / root, path_km)
        out[f, 1] = knife_edge_kernel(direct / root)
        out[f, 2] = -direct / root / math.sqrt(2.0)


@kernel
def first_samples(
    distance_km: Array,
    ground_m: Array,
    aircraft_m: Array,
    antenna_m: float,
    frequency_mhz: Array,
    radius_km: float,
    vertical: bool,
    permittivity: float,
    conductivity: float,
    canopy_m: Array,
    table: Array,
    under_m: Array,
    top_m: Array,
) -> None:  # pragma: no cover - compiled
    """Fill the first sample, overhead, and the second, with the ground half-way the mean of both ends."""
    top_m[0] = ground_m[0]
    for f in range(frequency_mhz.size):
        table[0, f, 0] = 0.0
        table[0, f, 1] = 0.0
        table[0, f, 2] = math.inf
    for c in range(canopy_m.size):
        above_m = antenna_m - ground_m[0]
        under_m[0, c] = min(max(canopy_m[c] - above_m, 0.0), max(aircraft_m[0] - antenna_m, 0.0))
    if distance_km.size == 1:
        return
    near_km = np.array([0.0, distance_km[1] / 2.0, distance_km[1]])
    near_m = np.array([ground_m[0], (ground_m[0] + ground_m[1]) / 2.0, ground_m[1]])
    ray_kernel(
        near_km, near_m, antenna_m, aircraft_m[1], frequency_mhz, radius_km, vertical, permittivity, conductivity,
        table[1],
    )  # fmt: skip
    for c in range(canopy_m.size):
        under_m[1, c] = canopy_kernel(near_km, near_m, antenna_m, aircraft_m[1], radius_km, canopy_m[c])
