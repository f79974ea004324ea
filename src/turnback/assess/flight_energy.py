"""March the pack through one flight in every world, and read off the chance of landing above the land-by volts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import Scale, electrical_w
from turnback.assess.draw_set import DrawSet
from turnback.assess.draws import Nodes
from turnback.assess.legs import Flown, Legs, fly
from turnback.assess.thrust import Thrust
from turnback.physics.cell import soc_at_rest_v
from turnback.physics.cell_march import march_worlds
from turnback.physics.normal import normal_cdf
from turnback.rules.chemistry import Chemistry
from turnback.rules.typical import typical

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Craft:
    """What does not change from flight to flight of one brief."""

    draws: DrawSet
    thrust: Thrust
    scale: Scale
    chemistry: Chemistry


@dataclass(frozen=True, slots=True)
class Marched:
    """Every world of one flight: axes are unknowns ``j``, wind nodes ``w``, hand nodes ``h``, legs ``s``.

    A pack that failed on the way counts as flat from there on: no volts under load, its foot of the curve at rest.
    """

    rest_v: Array
    """Rest volts of one cell at the end of each leg."""
    loaded_v: Array
    """Least loaded volts of one cell within each leg."""
    soc: Array
    greatest_w: Array
    """``(j, w, h)``: the most that any leg asks of the pack."""
    deliverable: NDArray[np.bool_]
    """``(j, w, h)``: the wind could be beaten and the pack could give what was asked, all the way."""
    duration_s: Array
    """``(j, w, s)``"""
    nodes: Nodes


def march_flight(craft: Craft, legs: Legs, nodes: Nodes | None = None) -> Marched:
    """Fly the legs in every world and march the pack along."""
    draws = craft.draws
    nodes = nodes or draws.nodes
    flown = _flown(craft, legs, nodes)
    power = electrical_w(draws, craft.thrust, craft.scale, flown.airspeed_mps, flown.climb_mps)
    hand = np.exp(typical("chance")["handling_sd"].value * nodes.hand_z)
    j, w, s = power.shape
    shape = (j, w, hand.size, s)
    worlds = (power[:, :, None, :] * hand[:, None]).reshape(-1, s)
    duration = np.broadcast_to(flown.duration_s[:, :, None, :], shape).reshape(-1, s)

    def each(values: Array) -> Array:
        return np.repeat(values, w * hand.size)

    marched = march_worlds(
        worlds,
        duration,
        cells_in_series=draws.world.pack.cells,
        r0_ohm=each(draws["pack.resistance_ohm"]),
        capacity_ah=each(draws["pack.capacity_ah"]),
        start_soc=each(start_soc(craft)),
        temperature_c=each(draws["pack.temperature_c"]),
        ambient_c=each(draws["site.temperature_c"]),
        cell_mass_kg=each(draws["pack.mass_kg"] / draws.world.pack.cells),
        traits=craft.chemistry,
    )
    return Marched(
        rest_v=np.nan_to_num(marched.rest_v, nan=craft.chemistry.ocv_v[0]).reshape(shape),
        loaded_v=np.nan_to_num(marched.loaded_low_v, nan=0.0).reshape(shape),
        soc=np.nan_to_num(marched.soc, nan=0.0).reshape(shape),
        greatest_w=worlds.max(axis=-1).reshape(shape[:3]),
        deliverable=marched.deliverable.reshape(shape[:3]),
        duration_s=flown.duration_s,
        nodes=nodes,
    )


def start_soc(craft: Craft) -> Array:
    """Return state of charge at launch from the rest volts, shape ``(j,)``."""
    return soc_at_rest_v(craft.draws["pack.rest_v"], craft.chemistry)


def _flown(craft: Craft, legs: Legs, nodes: Nodes) -> Flown:
    draws = craft.draws
    shape = (draws.count, nodes.wind_z.size)

    def per_world(values: Array) -> Array:
        return np.broadcast_to(values[:, None], shape)

    east, north = draws.wind_to()
    return fly(
        legs,
        per_world(draws["aircraft.cruise_mps" if draws.world.route_mps is None else "route.speed_mps"]),
        per_world(0.8 * craft.thrust.most_level_mps),  # nobody holds the very greatest speed for a whole leg
        draws.wind_mps(legs.height_m, nodes.wind_z),
        per_world(east),
        per_world(north),
    )


def landing_margin_v(marched: Marched, land_by_v: float) -> Array:
    """Return rest volts at landing above the land-by volts, ``(j, w, h)``; minus infinity where it never lands."""
    return np.where(marched.deliverable, marched.rest_v[..., -1] - land_by_v, -np.inf)


def loaded_margin_v(marched: Marched, damage_v: float) -> Array:
    """Return the flight's least loaded volts above the damage volts, ``(j, w, h)``."""
    return np.where(marched.deliverable, marched.loaded_v.min(axis=-1) - damage_v, -np.inf)


def chance_above_zero(margin: Array, nodes: Nodes) -> Array:
    """Return, for each draw of the unknowns, the chance that a margin is above zero.

    The margin falls with wind; its crossing of zero is found between wind nodes by a straight line, and the hand nodes
    are summed with their weights. Beyond the last node nobody looked: the chance never passes that node's.

    Parameters
    ----------
    margin : ndarray, shape (j, w, h)

    Returns
    -------
    ndarray, shape (j,)
    """
    falling = np.minimum.accumulate(margin, axis=1)
    z = nodes.wind_z
    reach = np.full(falling.shape[:1] + falling.shape[2:], -np.inf)
    for i in range(z.size):  # the last node that holds, then a part of the way to the next
        here = falling[:, i, :]
        part = np.zeros_like(here)
        if i + 1 < z.size:
            after = falling[:, i + 1, :]
            crosses = (here >= 0.0) & (after < 0.0) & np.isfinite(after)
            above, below = np.where(crosses, here, 0.0), np.where(crosses, after, -1.0)
            part = above / (above - below) * (z[i + 1] - z[i])
        reach = np.where(here >= 0.0, z[i] + part, reach)
    return np.asarray(normal_cdf(reach) @ nodes.hand_weight)
