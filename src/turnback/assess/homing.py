"""The turn-back map at one height: every ray walked outward over the terrain, and the chance of coming home from it.

What a draw fixes, the kernel walks over: a link's level, what the pack allows, where the loss behind an edge lies. What
a place fixes is worked out once a sample. See docs/models/turn-back-map.md.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.coming_back import canopy_m, set_height_m
from turnback.assess.draw_set import DrawSet
from turnback.assess.homing_cell import Slots, Stack
from turnback.assess.homing_energy import energy_rows
from turnback.assess.homing_kernel import Asked, GroundTables, homing_kernel
from turnback.assess.homing_links import LinkTables, link_tables, order_of
from turnback.assess.homing_near import NEAR_STEP_M
from turnback.assess.homing_return import beats_wind, rescue_set
from turnback.assess.map_energy import EnergyTable
from turnback.base.constants import EFFECTIVE_EARTH_RADIUS_KM
from turnback.physics.diffraction import AVERAGE_CONDUCTIVITY_S_PER_M, AVERAGE_PERMITTIVITY
from turnback.physics.polarisation import Polarisation
from turnback.physics.sweep_rays import ray_count, ray_end
from turnback.physics.terrain_grid import TerrainGrid
from turnback.records.home_map import LAYERS, NO_DATA, Layer
from turnback.records.terrain import Terrain
from turnback.rules.flight import RETURN_CLEARANCE, RETURN_SUCCESS

Array = NDArray[np.float64]

OVER_TREES_M: Final = 30.0  # as on a bearing of the rose: nearer than this the launch field has no trees
MOST_SAMPLES: Final = 200_000  # of one ray: more than any grid has
MOST_APART: Final = 16_000_000  # cells of a layer that lies by itself; of more only one copy is kept
CELLS_AT_ONCE: Final = 4_000_000  # between two calls of `tell`
SHORT: Final = ("home_low", "reason")
"""The layers of a height that is only told in short."""


@dataclass(frozen=True, slots=True, eq=False)
class Worlds:
    """What all heights share: the links in every draw, and on which rays an automatic return beats the wind."""

    draws: DrawSet
    order: NDArray[np.int64]
    links: LinkTables
    names: tuple[str, ...]
    ways: tuple[tuple[str, ...], ...]
    returns: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Flown:
    """What is flown: one height everywhere."""

    height_m: float
    over_ground: bool
    launch_m: float
    """Ground at the launch point, above sea level."""
    chance: float


def worlds_of(draws: DrawSet, grid: TerrainGrid) -> Worlds:
    """Return what all heights of a map share.

    Parameters
    ----------
    draws : DrawSet
    grid : TerrainGrid
        The ground, from whose rim the rays take their bearings.
    """
    world = draws.world
    links = [world.control] if world.video is None else [world.control, world.video]
    order = order_of(draws)
    rows, columns = grid.height_m.shape
    place = (grid.x_west_m, grid.y_north_m, grid.cell_m)
    returns = np.zeros(ray_count(rows, columns), dtype=np.bool_)
    if rescue_set(world):
        ends = np.array([ray_end(ray, rows, columns, *place) for ray in range(returns.size)])
        returns = beats_wind(draws, set_height_m(world), np.arctan2(ends[:, 0], ends[:, 1]))
    ways = tuple(
        tuple(
            name
            for name, power in (("to_aircraft", link.ground_power_dbm), ("to_ground", link.aircraft_power_dbm))
            if power is not None
        )
        for link in links
    )
    return Worlds(draws, order, link_tables(draws, links, order), tuple(link.name for link in links), ways, returns)


def layers_at(
    worlds: Worlds,
    grid: TerrainGrid,
    terrain: Terrain,
    energy: EnergyTable,
    flown: Flown,
    keys: tuple[str, ...] | None = None,
    tell: Callable[[float], None] | None = None,
    samples_per_cell: int = 1,
) -> Mapping[str, Layer]:
    """Return the layers of the map at one height, in the order of `LAYERS`.

    Parameters
    ----------
    worlds : Worlds
    grid : TerrainGrid
        The terrain as rays cross it.
    terrain : Terrain
        The same, for what of it is known.
    energy : EnergyTable
        As far as the grid's farthest corner, at this height.
    flown : Flown
    keys : tuple of str, optional
        Only these; all that the plan allows if left out.
    tell : callable, optional
        Called now and then with the share that is done; it may raise, to stop.
    samples_per_cell : int
        Samples of a ray in one cell of the grid, 1 to 4; the brief's rays have one.
    """
    wanted = _wanted(worlds) if keys is None else keys
    chosen = [key for key in LAYERS if key in wanted]
    stack: Stack = np.full((*grid.height_m.shape, len(chosen)), NO_DATA, dtype=np.int16)  # a cell's numbers together
    ground = GroundTables(
        grid.height_m, terrain.known, bool(terrain.known.all()), grid.x_west_m, grid.y_north_m, grid.cell_m,
        grid.cell_m / samples_per_cell, MOST_SAMPLES, stride(grid.cell_m / samples_per_cell),
    )  # fmt: skip
    rows = energy_rows(energy, worlds.order)
    asked, slots = _asked(worlds, flown), _slots(worlds, chosen)
    rays = worlds.returns.size
    strip = max(1, int(CELLS_AT_ONCE / grid.height_m.size * rays))
    for first in range(0, rays, strip):
        if tell is not None:
            tell(first / rays)
        last = min(first + strip, rays)
        homing_kernel(first, last, ground, worlds.links, rows, asked, slots, worlds.returns, stack)
    apart = grid.height_m.size <= MOST_APART
    values = [np.ascontiguousarray(stack[:, :, i]) if apart else stack[:, :, i] for i in range(len(chosen))]
    return {key: Layer(key, values[i], *LAYERS[key]) for i, key in enumerate(chosen)}


def stride(spacing_m: float) -> int:
    """Return at which of a ray's samples all draws are asked: a brief's stations stand no closer than that either."""
    return max(1, int(NEAR_STEP_M / spacing_m + 1e-9))


def _wanted(worlds: Worlds) -> set[str]:
    """Return the keys of all layers that a plan allows."""
    keys = {"home", "home_low", "home_high", "reason", "sight", "energy", "energy_high", "energy_chance"}
    for name, ways in zip(worlds.names, worlds.ways, strict=True):
        keys |= {f"{name}_{what}" for what in ("margin", "chance", "diffraction", *ways)}
    if worlds.draws.world.aircraft.return_height_m is not None:
        keys.add("return_clearance")
    return keys


def _slots(worlds: Worlds, chosen: list[str]) -> Slots:
    def at(key: str) -> int:
        return chosen.index(key) if key in chosen else -1

    def each(what: str) -> NDArray[np.int64]:
        return np.array([at(f"{name}_{what}") for name in worlds.names], dtype=np.int64)

    ways = [at(f"{name}_{way}") for name, ways in zip(worlds.names, worlds.ways, strict=True) for way in ways]
    return Slots(
        home=at("home"), home_low=at("home_low"), home_high=at("home_high"), reason=at("reason"), sight=at("sight"),
        energy=at("energy"), energy_high=at("energy_high"), energy_chance=at("energy_chance"),
        return_clearance=at("return_clearance"),
        margin=each("margin"), chance=each("chance"), diffraction=each("diffraction"),
        way=np.array(ways, dtype=np.int64),
    )  # fmt: skip


def _asked(worlds: Worlds, flown: Flown) -> Asked:
    world = worlds.draws.world
    set_m = world.aircraft.return_height_m
    return Asked(
        height_m=flown.height_m if flown.over_ground else flown.launch_m + flown.height_m,
        over_ground=flown.over_ground,
        antenna_m=flown.launch_m + world.site.antenna_height_m.value,
        trees_m=canopy_m(world) if world.site.tree_depth_fraction.value > 0.0 else 0.0,
        trees_from_m=OVER_TREES_M,
        return_m=float("nan") if set_m is None else flown.launch_m + set_m.value - canopy_m(world),
        return_clearance_m=RETURN_CLEARANCE.value,
        rescue=RETURN_SUCCESS.value,
        chance=flown.chance,
        radius_km=EFFECTIVE_EARTH_RADIUS_KM,
        vertical=Polarisation.VERTICAL.over_ground_vertical,
        permittivity=AVERAGE_PERMITTIVITY,
        conductivity=AVERAGE_CONDUCTIVITY_S_PER_M,
    )
