"""The drawn unknowns of one brief, by name, with what is worked out from them once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draws import Nodes, chance_nodes, draw_unknowns
from turnback.base.constants import GRAVITY_MPS2, ZERO_CELSIUS_K
from turnback.physics.air import density_kg_m3, pressure_from_qnh_pa
from turnback.physics.wind import wind_at_height_mps
from turnback.records.world import World
from turnback.rules.typical import typical

Array = NDArray[np.float64]

UNKNOWN_DRAWS = 250  # times 8 x 5 chance nodes: 10,000 worlds


@dataclass(frozen=True, slots=True)
class DrawSet:
    """Draws of the unknowns; every array has shape ``(j,)``."""

    world: World
    values: dict[str, Array]
    nodes: Nodes
    density_kg_m3: Array
    mass_kg: Array

    @property
    def count(self) -> int:
        """How many draws of the unknowns."""
        return self.mass_kg.size

    def __getitem__(self, key: str) -> Array:
        """Return the draws of one parameter."""
        return self.values[key]

    def kept(self, rows: NDArray[np.int64]) -> DrawSet:
        """Return the draws of some rows (a subset, or a resampling by weight)."""
        values = {key: value[rows] for key, value in self.values.items()}
        return DrawSet(self.world, values, self.nodes, self.density_kg_m3[rows], self.mass_kg[rows])

    def weight_n(self) -> Array:
        """Return the weight with the pack."""
        return self.mass_kg * GRAVITY_MPS2

    def wind_mps(self, height_m: Array, wind_z: Array) -> Array:
        """Return the wind at heights above ground, shape ``(j, w, s)``, for the flight's wind scores ``(w,)``."""
        at_10_m = self["site.wind_mps"][:, None] * np.exp(typical("chance")["wind_flight_sd"].value * wind_z)
        roughness_m = typical("site")["roughness_m"].value
        factor = wind_at_height_mps(1.0, 10.0, np.maximum(height_m, 2.0), roughness_m)
        return np.asarray(at_10_m[..., None] * factor)

    def wind_to(self) -> tuple[Array, Array]:
        """Return the unit vector (east, north) toward which the wind blows."""
        towards = np.deg2rad(self["site.wind_from_deg"] + 180.0)
        return np.sin(towards), np.cos(towards)


def draw_set(world: World, count: int, seed: int) -> DrawSet:
    """Draw the unknowns of a world."""
    values = draw_unknowns(world.bands(), count, seed)
    pressure_pa = pressure_from_qnh_pa(values["site.qnh_pa"], world.site.launch_height_m)
    density = density_kg_m3(values["site.temperature_c"] + ZERO_CELSIUS_K, pressure_pa)
    return DrawSet(
        world, values, chance_nodes(), np.asarray(density), values["aircraft.mass_kg"] + values["pack.mass_kg"]
    )
