"""Both radios along the route: margin, chance, reach, and the obstacle that rules."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.assess.spreads import bands_along, spread
from turnback.assess.track import Track
from turnback.physics.antenna import Pattern, pattern_loss_db, worst_attitude_loss_db
from turnback.physics.clutter import vegetation_db, woodland
from turnback.physics.link import noise_dbm
from turnback.physics.normal import normal_cdf
from turnback.physics.polarisation import Polarisation, polarisation_loss_db
from turnback.physics.rays import RaySet, ray_losses
from turnback.physics.terrain_grid import TerrainGrid
from turnback.records.result import LinkResult
from turnback.records.world import LinkWorld
from turnback.rules.chance import BAND_LOW, LIMIT_CHANCE
from turnback.rules.typical import typical

Array = NDArray[np.float64]

CANOPIES_M = (2.0, 5.0, 10.0, 15.0, 20.0, 30.0)
BREAKING_M = np.arange(2.0, 41.0, 2.0)
TO_AIRCRAFT, TO_GROUND = "to aircraft", "to ground"
AIM_RAD = 0.5  # 30 degrees: how well a patch on a head follows the aircraft (our choice)
CRUISE_TILT_RAD = 0.35  # 20 degrees: the attitude at which the pattern's loss is taken; the rest is in sigma


@dataclass(frozen=True, slots=True)
class LinkAnswer:
    """The result, and one value per draw of the unknowns, shape ``(j,)``."""

    result: LinkResult
    chance: Array
    reach_m: Array
    score: Array
    """Least margin over sigma along the plan."""


def cast_rays(
    grid: TerrainGrid, draws: DrawSet, track: Track, launch_ground_m: float, links: list[LinkWorld]
) -> RaySet:
    """Return every ray from the pilot's antenna to the route's stations, at all links' frequencies."""
    lowest = np.maximum(track.height_m, track.ground_m + 0.5)
    return ray_losses(
        grid,
        draws.world.site.antenna_height_m.value,
        track.x_m,
        track.y_m,
        lowest + launch_ground_m,
        np.array([link.frequency_mhz for link in links]),
        canopy_height_m=CANOPIES_M,
    )


def assess_link(
    grid: TerrainGrid,
    draws: DrawSet,
    track: Track,
    rays: RaySet,
    which: int,
    link: LinkWorld,
    launch_ground_m: float,
) -> LinkAnswer:
    """Judge one link at every station, in every draw.

    One draw of shadowing holds for the whole flight, out and back: the link survives where the least margin over
    sigma of the route is above it, so its chance given the unknowns is exactly the normal distribution at that score.
    """
    trees = _trees_db(draws, rays, link.frequency_mhz)
    loss = _path_loss_db(draws, rays, which) + trees
    ways = _margins_db(draws, link, rays, measured_loss_db(draws, link, rays, loss))
    weaker = min(ways, key=lambda name: float(np.median(ways[name])))
    margin = np.minimum.reduce(list(ways.values()))
    sigma = measured_sigma_db(draws, link, _sigma_db(rays, which, trees))
    score = margin / sigma
    planned = track.planned()
    least = score[:, planned].min(axis=1)
    worst = int(np.flatnonzero(planned)[np.argmin(np.median(score[:, planned], axis=0))])
    reach = reach_of(score, track)
    mid, low, high = bands_along(margin)
    result = LinkResult(
        name=link.name,
        frequency_mhz=link.frequency_mhz,
        distance_m=track.along_m,
        from_launch_m=track.from_launch_m,
        margin_mid_db=mid,
        margin_low_db=low,
        margin_high_db=high,
        sigma_db=np.median(sigma, axis=0),
        probability=spread(normal_cdf(least)),
        worst=worst,
        to_aircraft_mid_db=_middle(ways.get(TO_AIRCRAFT), margin),
        to_ground_mid_db=_middle(ways.get(TO_GROUND), margin),
        weaker_direction=weaker,
        line_of_sight=rays.line_of_sight,
        clearance_ratio=rays.clearance_ratio[:, which],
        obstacle_from_launch_m=rays.obstacle_km * 1e3,
        obstacle_height_m=rays.obstacle_height_m,
        free_space_db=rays.free_space_db[:, which],
        diffraction_db=rays.diffraction_db[:, which],
        knife_edge_db=rays.knife_edge_db[:, which],
        trees_db=np.median(trees, axis=0),
        reach_m=spread(reach),
        canopy_that_breaks_m=_breaking_canopy_m(grid, draws, track, worst, link, margin, launch_ground_m),
    )
    return LinkAnswer(result, normal_cdf(least), reach, least)


def score_of(draws: DrawSet, rays: RaySet, which: int, link: LinkWorld) -> Array:
    """Return margin over sigma of one link on some rays, in every draw, shape ``(j, n)``: what `assess_link` rules by.

    The weaker direction of the link counts.
    """
    loss, sigma = loss_and_sigma_db(draws, rays, which, link)
    return np.asarray(np.minimum.reduce(list(_margins_db(draws, link, rays, loss).values())) / sigma)


def loss_and_sigma_db(draws: DrawSet, rays: RaySet, which: int, link: LinkWorld) -> tuple[Array, Array]:
    """Return what the way to each place loses, and the spread of its shadowing, shape ``(j, n)`` each.

    Trees and a range walk's correction are in it; antennas and patterns are not.
    """
    trees = _trees_db(draws, rays, link.frequency_mhz)
    loss = measured_loss_db(draws, link, rays, _path_loss_db(draws, rays, which) + trees)
    return loss, measured_sigma_db(draws, link, _sigma_db(rays, which, trees))


def measured_loss_db(draws: DrawSet, link: LinkWorld, rays: RaySet, loss_db: Array) -> Array:
    """Return the loss, shape ``(j, n)``, with what a range walk found beyond the model; as it is where nobody walked.

    See `LossWorld` for the formula; distances count along the ground.
    """
    if link.measured is None:
        return loss_db
    along_m = np.maximum(rays.slant_m * np.cos(rays.elevation_rad), 1.0)
    near = 10.0 * np.log10(along_m / link.measured.reference_m)
    far = 10.0 * np.log10(np.maximum(along_m / link.measured.walked_m, 1.0))
    excess = draws[f"{link.name}.offset_db"][:, None] + draws[f"{link.name}.excess_exponent"][:, None] * near
    return np.asarray(loss_db + excess + draws[f"{link.name}.beyond_exponent"][:, None] * far)


def measured_sigma_db(draws: DrawSet, link: LinkWorld, sigma_db: Array) -> Array:
    """Return the spread of shadowing, as wide as a range walk found it; as it is where nobody walked."""
    return sigma_db if link.measured is None else sigma_db * draws[f"{link.name}.sigma_ratio"][:, None]


def _path_loss_db(draws: DrawSet, rays: RaySet, which: int) -> Array:
    """Free space and diffraction; between one clean edge and the full recommendation nobody knows: a draw places it.

    Shape ``(j, n)``.
    """
    edge, full = rays.knife_edge_db[:, which], rays.diffraction_db[:, which]
    low, high = np.minimum(edge, full), np.maximum(edge, full)
    place = np.clip(draws["site.edge_fraction"], 0.0, 1.0)[:, None]
    return np.asarray(rays.free_space_db[:, which] + low + place * (high - low))


def _trees_db(draws: DrawSet, rays: RaySet, frequency_mhz: float) -> Array:
    """Return vegetation loss, shape ``(j, n)``: the path below the canopy's top, as far as it is leaves."""
    under = np.column_stack([np.zeros(rays.slant_m.size), rays.canopy_path_m])
    heights = np.concatenate([[0.0], CANOPIES_M])
    canopy = np.clip(draws["site.canopy_height_m"], 0.0, heights[-1])
    k = np.clip(np.searchsorted(heights, canopy, side="right") - 1, 0, heights.size - 2)
    share = (canopy - heights[k]) / (heights[k + 1] - heights[k])
    depth = under[:, k].T * (1.0 - share[:, None]) + under[:, k + 1].T * share[:, None]
    leaves = np.clip(draws["site.tree_depth_fraction"], 0.0, 1.0)[:, None] * depth
    wood = woodland(frequency_mhz)
    return vegetation_db(leaves, float(wood.specific_db_per_m), float(wood.greatest_db))


def _sigma_db(rays: RaySet, which: int, trees_db: Array) -> Array:
    """Return the spread of shadowing, shape ``(j, n)``: by what stands in the way."""
    rows = typical("chance")
    clear, grazing = rows["sigma_clear_db"].value, rows["sigma_grazing_db"].value
    ratio = rays.clearance_ratio[:, which]
    seen = np.where(ratio >= 0.6, clear, grazing)
    sigma = np.where(rays.line_of_sight, seen, rows["sigma_diffracted_db"].value)
    leaves = rows["sigma_trees_db"].value * np.clip(trees_db / 6.0, 0.0, 1.0)
    return np.hypot(sigma, leaves)


def direction_levels_db(draws: DrawSet, link: LinkWorld) -> dict[str, Array]:
    """Return margin over the receiver's limit at no loss for each direction of the link, shape ``(j,)`` each."""
    name = link.name
    gain = draws[f"{name}.ground.gain_dbi"] + draws[f"{name}.aircraft.gain_dbi"] - draws[f"{name}.body_loss_db"]
    ways = {}
    if link.ground_power_dbm is not None:
        ways[TO_AIRCRAFT] = draws[f"{name}.ground_power_dbm"] + gain - limit_dbm(draws, link, "aircraft")
    if link.aircraft_power_dbm is not None:
        ways[TO_GROUND] = draws[f"{name}.aircraft_power_dbm"] + gain - limit_dbm(draws, link, "ground")
    return ways


def _margins_db(draws: DrawSet, link: LinkWorld, rays: RaySet, loss_db: Array) -> dict[str, Array]:
    """Return margin over the receiver's limit for each direction of the link, shape ``(j, n)`` each."""
    taken = pattern_of_elevation_db(link, np.nan_to_num(rays.elevation_rad)) + loss_db
    return {way: level[:, None] - taken for way, level in direction_levels_db(draws, link).items()}


def _middle(margin_db: Array | None, like: Array) -> Array:
    return np.full(like.shape[1], np.nan) if margin_db is None else np.median(margin_db, axis=0)


def limit_dbm(draws: DrawSet, link: LinkWorld, end: str) -> Array:
    """Return the weakest usable level at one end: its sensitivity, lifted with the noise floor by interference.

    A receiver's sensitivity is its noise plus what it needs above it, so interference lifts both alike; it is never
    below thermal noise (ITU-R P.372, kT0B).
    """
    lifted = draws[f"{link.name}.{end}_sensitivity_dbm"] + draws[f"{link.name}.interference_rise_db"]
    return np.maximum(lifted, float(noise_dbm(link.bandwidth_hz)) - 20.0)  # spread spectrum reads below its noise


def pattern_of_elevation_db(link: LinkWorld, elevation: Array) -> Array:
    """Return what patterns and polarisation take, shape ``(n,)``, at the tilt of cruise; by elevation in radians."""
    aircraft = worst_attitude_loss_db(Pattern(link.aircraft.pattern.value), -elevation, CRUISE_TILT_RAD)
    pattern = Pattern(link.ground.pattern.value)
    aimed = pattern is Pattern.PATCH  # a pilot turns it toward the aircraft
    ground = pattern_loss_db(pattern, AIM_RAD) if aimed else worst_attitude_loss_db(pattern, elevation, 0.0)
    turned = polarisation_loss_db(
        Polarisation(link.ground.polarisation.value), Polarisation(link.aircraft.polarisation.value), 0.0
    )
    rows = typical("chance")
    aircraft = np.minimum(aircraft, rows["null_aircraft_db"].value)
    ground = np.minimum(ground, rows["null_ground_db"].value)
    return np.asarray(aircraft + ground + turned)


def reach_of(score: Array, track: Track) -> Array:
    """Return the distance from launch to which each draw holds the link with the limit chance, shape ``(j,)``."""
    way = np.flatnonzero(track.outbound())
    running = np.minimum.accumulate(score[:, way], axis=1)
    holds = normal_cdf(running) >= LIMIT_CHANCE.value
    farthest = np.maximum.accumulate(track.from_launch_m[way])
    last = holds.sum(axis=1) - 1
    return np.where(last >= 0, farthest[np.maximum(last, 0)], 0.0)


def _breaking_canopy_m(
    grid: TerrainGrid,
    draws: DrawSet,
    track: Track,
    worst: int,
    link: LinkWorld,
    margin_db: Array,
    launch_ground_m: float,
) -> float:
    """Return the height of trees, as ground, that would break the link at the ruling station; NaN if none to 40 m.

    Trees stand nowhere within two cells of either end, so that neither antenna is buried.
    """
    spare = float(np.quantile(margin_db[:, worst], BAND_LOW.value))
    x, y, height = track.x_m[worst], track.y_m[worst], track.height_m[worst]
    if spare <= 0.0 or np.hypot(x, y) < 4.0 * grid.cell_m:
        return float("nan")
    rows, columns = np.indices(grid.height_m.shape)
    east, north = grid.x_west_m + columns * grid.cell_m, grid.y_north_m - rows * grid.cell_m
    near = (np.hypot(east, north) < 2.0 * grid.cell_m) | (np.hypot(east - x, north - y) < 2.0 * grid.cell_m)
    bare = None
    for canopy in np.concatenate([[0.0], BREAKING_M]):
        raised = TerrainGrid(
            np.where(near, grid.height_m, grid.height_m + canopy), grid.x_west_m, grid.y_north_m, grid.cell_m
        )
        lost = ray_losses(
            raised, draws.world.site.antenna_height_m.value, np.array([x]), np.array([y]),
            np.array([height + launch_ground_m]), np.array([link.frequency_mhz]),
        ).diffraction_db[0, 0]  # fmt: skip
        bare = lost if bare is None else bare
        if lost - bare > spare:
            return float(canopy)
    return float("nan")
