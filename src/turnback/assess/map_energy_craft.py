"""What each draw of a craft flies with, laid out for the map's kernels, and its pack emptied."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import electrical_w
from turnback.assess.draws import Nodes
from turnback.assess.flight_energy import COLDEST_C, LEAST_LOADED_MARGIN_V, Craft, flown_legs, start_soc
from turnback.assess.legs import Legs
from turnback.assess.map_energy_kernel import Craftwise
from turnback.assess.map_energy_pack import STOPS, Emptied, Packs, empty_kernel
from turnback.physics.cell import packed, soc_at_rest_v
from turnback.rules.typical import typical

Array = NDArray[np.float64]

WINDY_Z: Final = 1.645
"""The wind that one flight in twenty meets."""
SPEEDS, CLIMBS = 9, 25
MOST_CLIMB_MPS, LEAST_CLIMB_MPS = 30.0, 0.1
LEAST_POWER, MOST_POWER = 0.7, 3.5  # of a draw's own power, hands included
POWER_STEP: Final = 0.15
MOST_POWERS: Final = 12
AROUND_M: Final = 5.0


def _around_legs(at_launch_m: float) -> Legs:
    """Return the legs that are flown on the spot: up, down, and a go-around, as `turnback.assess.legs` has them."""
    style = typical("style")
    pace_s = at_launch_m / style["climb_mps"].value
    zero = np.zeros(3)
    return Legs(
        zero,
        np.array([at_launch_m, -at_launch_m, 0.0]),
        zero,
        zero,
        np.array([at_launch_m / 2.0, at_launch_m / 2.0, AROUND_M]),
        np.array([pace_s, pace_s, style["landing_hover_s"].value]),
        zero,
        0,
    )


def _around_w(craft: Craft, at_launch_m: float, wind_z: Array) -> tuple[Array, Array]:
    """Return power of the legs on the spot ``(j, w, 3)`` and their time ``(3,)``."""
    legs = _around_legs(at_launch_m)
    flown = flown_legs(craft, legs, Nodes(wind_z, np.zeros(1), np.ones(1)))
    power = electrical_w(craft.draws, craft.thrust, craft.scale, flown.airspeed_mps, flown.climb_mps)
    return power, legs.still_s


def craftwise(craft: Craft, at_launch_m: float, steepest_ratio: float) -> Craftwise:
    """Return what each draw flies with.

    Parameters
    ----------
    craft : Craft
    at_launch_m : float
        Height flown over the launch point.
    steepest_ratio : float
        The steepest climb over way that is flown; 0 where all legs are level.
    """
    draws, nodes = craft.draws, craft.draws.nodes
    cruise = draws["aircraft.cruise_mps" if draws.world.route_mps is None else "route.speed_mps"]
    most = np.maximum(0.8 * craft.thrust.most_level_mps, cruise)  # as `turnback.assess.flight_energy.flown_legs`
    wind_z = np.append(nodes.wind_z, WINDY_Z)
    wind = draws["site.wind_mps"][:, None] * np.exp(typical("chance")["wind_flight_sd"].value * wind_z)
    fastest = float(most.max() + wind.max())
    climb = float(np.clip(steepest_ratio * fastest, LEAST_CLIMB_MPS, MOST_CLIMB_MPS))
    turn = np.linspace(-1.0, 1.0, CLIMBS if steepest_ratio > 0.0 else 3)
    speed = cruise[:, None] + (most - cruise)[:, None] * np.linspace(0.0, 1.0, SPEEDS)
    shape = (*speed.shape, turn.size)
    climbs = climb * np.sign(turn) * turn**2
    table = electrical_w(
        draws, craft.thrust, craft.scale,
        np.ascontiguousarray(np.broadcast_to(speed[..., None], shape)),
        np.ascontiguousarray(np.broadcast_to(climbs, shape)),
    )  # fmt: skip
    power, still_s = _around_w(craft, at_launch_m, wind_z)
    still = (power * still_s).sum(axis=-1)
    middle = int(np.argmin(np.abs(nodes.wind_z)))
    up = power[..., 0] * still_s[0]
    label = draws["pack.capacity_ah"] * 3600.0 * craft.chemistry.nominal_v * draws.world.pack.cells
    least = typical("style")["least_ground_speed_mps"].value
    columns = (cruise, most, *draws.wind_to(), least, climb, label, table[:, 0, turn.size // 2], still[:, middle],
               up[:, middle])  # fmt: skip
    own = np.stack(np.broadcast_arrays(*columns), axis=1)
    closing = power[..., 2] / power[:, middle, None, 2]
    return Craftwise(np.ascontiguousarray(own), wind, table, np.stack([up, still, closing], axis=-1))


def emptied_packs(craft: Craft, each: Craftwise, at_launch_m: float) -> Emptied:
    """Return each draw's pack emptied at some powers."""
    draws, law, cells = craft.draws, craft.chemistry, craft.draws.world.pack.cells
    nodes, table, numbers = packed(law)
    mass = draws["pack.mass_kg"] / cells
    worlds = np.column_stack([
        draws["pack.resistance_ohm"], draws["pack.capacity_ah"], start_soc(craft), draws["pack.temperature_c"],
        np.maximum(draws["site.temperature_c"], COLDEST_C), mass * law.heat_capacity_j_per_kg_k,
        mass * law.heat_loss_w_per_kg_k,
    ])  # fmt: skip
    floor_soc = float(soc_at_rest_v(law.land_by_rest_v, law))
    packs = Packs(
        float(cells), worlds, nodes, table, numbers, each.own[:, 6].copy(), floor_soc, law.damage_v,
        LEAST_LOADED_MARGIN_V,
    )  # fmt: skip
    hardest = float((each.power_w[:, -1, each.power_w.shape[2] // 2] / each.own[:, 7]).max())
    last = float(np.clip(1.3 * hardest, 1.3, MOST_POWER))
    count = 1 + min(int(np.ceil((last - LEAST_POWER) / POWER_STEP)), MOST_POWERS)
    ratio = np.linspace(LEAST_POWER, last, count)
    power, still_s = _around_w(craft, at_launch_m, np.zeros(1))
    around = np.stack([power[:, 0], np.broadcast_to(still_s, power[:, 0].shape)], axis=-1)
    emptied = Emptied(ratio, STOPS, np.empty((draws.count, 3, ratio.size, STOPS.size)))
    empty_kernel(packs, each.own[:, 7].copy(), np.ascontiguousarray(around), emptied)
    return emptied
