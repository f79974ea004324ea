"""What the model says a range walk would read, place by place, and how far its unknowns could move all of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import UNKNOWN_DRAWS, DrawSet, draw_set
from turnback.assess.draws import chance_nodes
from turnback.assess.reception import CANOPIES_M, limit_dbm, loss_and_sigma_db, pattern_of_elevation_db
from turnback.base.errors import Fault, InputError, bad_input
from turnback.physics.rays import ray_losses
from turnback.physics.terrain_grid import TerrainGrid
from turnback.records.terrain import Terrain
from turnback.records.walk import Walk, WalkEnd
from turnback.records.world import LinkWorld, World

Array = NDArray[np.float64]

MOST_FAULTS: Final = 5
PLACES_OF_DRAWS: Final = 100  # enough to tell by how much all levels move together


@dataclass(frozen=True, slots=True, eq=False)
class Predicted:
    """What the model says; arrays of shape ``(n,)``.

    `offset_sd_db` is how far all levels together may be off by what is not known of power, antennas, bodies and ground.
    """

    level_dbm: Array
    sigma_db: Array
    offset_sd_db: float


def predicted(world: World, ground: TerrainGrid, terrain: Terrain, walk: Walk, seed: int) -> Predicted:
    """Return the level that the model expects at every reading, at best estimates, at the power of that reading.

    Parameters
    ----------
    world : World
        Of the plan, with no range walk of this link in it.
    ground, terrain
        The plan's, wherever there are readings: see `require_ground`.
    walk : Walk
    seed : int
        Of the draws that tell how far all levels could move together.

    Raises
    ------
    InputError
        Where the plan has no such link.
    """
    link = link_of(world, walk)
    level_dbm, sigma_db = _levels(best_estimates(world), ground, terrain, link, walk)
    few = _thinned(walk)
    moved_dbm, _ = _levels(draw_set(world, UNKNOWN_DRAWS, seed), ground, terrain, link, few)
    middle_dbm, _ = _levels(best_estimates(world), ground, terrain, link, few)
    together_db = np.median(moved_dbm - middle_dbm, axis=1)
    return Predicted(level_dbm[0], sigma_db[0], float(np.std(together_db)))


def link_of(world: World, walk: Walk) -> LinkWorld:
    """Return the link that was walked.

    Raises
    ------
    InputError
        If the plan has no such link.
    """
    link = world.control if walk.link == "control" else world.video
    if link is None:
        raise bad_input(walk.source, "the plan has no video link", "walk the control link, or name the video's class")
    return link


def require_ground(terrain: Terrain, walk: Walk, rows: tuple[str, ...]) -> None:
    """Require that the plan's ground reaches every reading.

    Parameters
    ----------
    rows : tuple of str
        Where each reading stands in its record.

    Raises
    ------
    InputError
        Naming the first readings that lie beyond it.
    """
    beyond = np.flatnonzero(~terrain.covers(walk.x_m, walk.y_m))
    if beyond.size:
        do = "plan a route at least as far, or leave the reading out"
        faults = [
            Fault(rows[i], f"it was taken {walk.from_launch_m[i]:.0f} m out, where the plan's ground is not known", do)
            for i in beyond[:MOST_FAULTS]
        ]
        raise InputError(*faults)


def nothing_below_dbm(world: World, walk: Walk) -> float:
    """Return the level that a place surely stood below if nothing came: the receiver's limit, lifted by noise.

    Of what the plan leaves open, the end that teaches least is taken.
    """
    link = link_of(world, walk)
    end = "aircraft" if walk.read_at is WalkEnd.AIRCRAFT else "ground"
    return float(np.quantile(limit_dbm(draw_set(world, UNKNOWN_DRAWS, 1), link, end), 0.95))


def best_estimates(world: World) -> DrawSet:
    """Return a world as one draw: every unknown at its best estimate."""
    one = draw_set(world, 1, 1)
    values = {band.key: np.array([band.value]) for band in world.bands()}
    mass_kg = values["aircraft.mass_kg"] + values["pack.mass_kg"]
    return replace(one, values=values, nodes=chance_nodes(), mass_kg=mass_kg)


def _levels(draws: DrawSet, ground: TerrainGrid, terrain: Terrain, link: LinkWorld, walk: Walk) -> tuple[Array, Array]:
    """Return level and spread of shadowing at every reading, shape ``(j, n)`` each."""
    rays = ray_losses(
        ground,
        draws.world.site.antenna_height_m.value,
        walk.x_m,
        walk.y_m,
        terrain.ground_m(walk.x_m, walk.y_m) + walk.above_ground_m,
        np.array([link.frequency_mhz]),
        canopy_height_m=CANOPIES_M,
    )
    loss_db, sigma_db = loss_and_sigma_db(draws, rays, 0, link)
    name = link.name
    gain_db = draws[f"{name}.ground.gain_dbi"] + draws[f"{name}.aircraft.gain_dbi"] - draws[f"{name}.body_loss_db"]
    gain_db = gain_db + _radiated_db(draws, link, walk)
    lost_db = loss_db + pattern_of_elevation_db(link, np.nan_to_num(rays.elevation_rad))
    return walk.power_dbm + gain_db[:, None] - lost_db, sigma_db


def _radiated_db(draws: DrawSet, link: LinkWorld, walk: Walk) -> Array:
    """Return by how much more or less may be radiated than is set, shape ``(j,)``: as wide as the plan's own power."""
    sends = "ground" if walk.read_at is WalkEnd.AIRCRAFT else "aircraft"
    band = link.ground_power_dbm if sends == "ground" else link.aircraft_power_dbm
    if band is None:
        return np.zeros(draws.count)
    return draws[f"{link.name}.{sends}_power_dbm"] - band.value


def _thinned(walk: Walk) -> Walk:
    """Return some of the readings, spread over the walk."""
    count = walk.x_m.size
    kept = np.unique(np.linspace(0, count - 1, min(count, PLACES_OF_DRAWS)).astype(int))
    return replace(
        walk,
        x_m=walk.x_m[kept],
        y_m=walk.y_m[kept],
        above_ground_m=walk.above_ground_m[kept],
        level_dbm=walk.level_dbm[kept],
        censored=walk.censored[kept],
        power_dbm=walk.power_dbm[kept],
    )
