"""March the pack through one flight in every world, and read off the chance of landing above the land-by volts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import Scale, electrical_w
from turnback.assess.draw_set import DrawSet
from turnback.assess.draws import Nodes
from turnback.assess.legs import Flown, Legs, fly
from turnback.assess.thrust import Thrust
from turnback.physics.cell import STEP_S, soc_at_rest_v
from turnback.physics.cell_march import march_worlds
from turnback.physics.normal import normal_cdf, normal_quantile
from turnback.rules.chemistry import Chemistry
from turnback.rules.typical import typical

Array = NDArray[np.float64]

HANDS = 40  # equal shares of the pilot's hand between and beyond its nodes
LEAST_LOADED_MARGIN_V = -0.3  # a pack that failed has no volts: counted as far below as a good one sags (our choice)
COLDEST_C = -40.0  # an entered -40 °C has a band that reaches below what the pack's model covers
MOST_W = 1e5  # no pack here gives a tenth of it: more asked is failed all the same


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

    A pack that failed on the way has no volts under load from there on, and the foot of its curve at rest.
    """

    rest_v: Array
    """Rest volts of one cell at the end of each leg."""
    loaded_v: Array
    """Least loaded volts of one cell within each leg."""
    soc: Array
    """At the end of each leg; the last known where the pack failed."""
    greatest_w: Array
    """``(j, w, h)``: the most that any leg asks of the pack."""
    unflown_share: Array
    """``(j, w, h)``: charge that the legs from the failed one on would take, as a share of the pack.

    0 where none fails, infinite where a leg never ends.
    """
    deliverable: NDArray[np.bool_]
    """``(j, w, h)``: the wind could be beaten and the pack could give what was asked, all the way."""
    duration_s: Array
    """``(j, w, s)``"""
    nodes: Nodes


def march_flight(craft: Craft, legs: Legs, nodes: Nodes | None = None, step_s: float = STEP_S) -> Marched:
    """Fly the legs in every world and march the pack along, in steps no longer than `step_s`."""
    draws = craft.draws
    nodes = nodes or draws.nodes
    flown = flown_legs(craft, legs, nodes)
    power = electrical_w(draws, craft.thrust, craft.scale, flown.airspeed_mps, flown.climb_mps)
    hand = np.exp(typical("chance")["handling_sd"].value * nodes.hand_z)
    j, w, s = power.shape
    shape = (j, w, hand.size, s)
    worlds = np.minimum((power[:, :, None, :] * hand[:, None]).reshape(-1, s), MOST_W)
    duration = np.broadcast_to(flown.duration_s[:, :, None, :], shape).reshape(-1, s)

    def each(values: Array) -> Array:
        return np.repeat(values, w * hand.size)

    begun = start_soc(craft)
    marched = march_worlds(
        worlds,
        duration,
        cells_in_series=draws.world.pack.cells,
        r0_ohm=each(draws["pack.resistance_ohm"]),
        capacity_ah=each(draws["pack.capacity_ah"]),
        start_soc=each(begun),
        temperature_c=each(draws["pack.temperature_c"]),
        ambient_c=each(np.maximum(draws["site.temperature_c"], COLDEST_C)),
        cell_mass_kg=each(draws["pack.mass_kg"] / draws.world.pack.cells),
        traits=craft.chemistry,
        step_s=step_s,
    )
    return Marched(
        rest_v=np.nan_to_num(marched.rest_v, nan=craft.chemistry.ocv_v[0]).reshape(shape),
        loaded_v=np.nan_to_num(marched.loaded_low_v, nan=0.0).reshape(shape),
        soc=_held(marched.soc, each(begun)).reshape(shape),
        greatest_w=worlds.max(axis=-1).reshape(shape[:3]),
        unflown_share=_unflown_share(craft, worlds, duration, np.isnan(marched.soc)).reshape(shape[:3]),
        deliverable=marched.deliverable.reshape(shape[:3]),
        duration_s=flown.duration_s,
        nodes=nodes,
    )


def _unflown_share(craft: Craft, power_w: Array, duration_s: Array, failed: NDArray[np.bool_]) -> Array:
    """Return what the failed legs of each world would take, as a share of the pack at the label's volts."""
    draws = craft.draws
    pack_j = draws["pack.capacity_ah"] * 3600.0 * craft.chemistry.nominal_v * draws.world.pack.cells
    taken_j = np.where(failed, power_w * duration_s, 0.0).sum(axis=-1)
    return np.asarray(taken_j.reshape(draws.count, -1) / pack_j[:, None]).reshape(-1)


def _held(soc: Array, begun: Array) -> Array:
    """Hold the last charge known from the failed leg on."""
    along = np.concatenate([begun[:, None], soc], axis=1)
    return np.asarray(np.fmin.accumulate(along, axis=1)[:, 1:])


def start_soc(craft: Craft) -> Array:
    """Return state of charge at launch from the rest volts, shape ``(j,)``."""
    return soc_at_rest_v(craft.draws["pack.rest_v"], craft.chemistry)


def flown_legs(craft: Craft, legs: Legs, nodes: Nodes) -> Flown:
    """Return how each leg is flown in every draw and wind node, ``(j, w, s)``."""
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


def landing_margin(marched: Marched, craft: Craft) -> Array:
    """Return charge left at landing above that of the land-by volts, as a share of the pack, ``(j, w, h)``.

    Charge is counted on below zero where a pack is flat before the end: what the rest of the flight would have taken.
    So the margin falls evenly through zero as wind and hand ask for more, and its crossing is found between nodes.
    Minus infinity where the wind cannot be beaten.
    """
    floor = float(soc_at_rest_v(craft.chemistry.land_by_rest_v, craft.chemistry))
    short = np.minimum(marched.soc.min(axis=-1) - marched.unflown_share, 0.0)
    return np.asarray(np.where(marched.deliverable, marched.soc[..., -1], short) - floor)


def loaded_margin_v(marched: Marched, craft: Craft) -> Array:
    """Return the flight's least loaded volts above the damage volts, ``(j, w, h)``; no less than a floor.

    Without the floor the 0 V of a pack that failed would pull the crossing of zero onto the last node that holds.
    """
    lowest = np.maximum(marched.loaded_v.min(axis=-1) - craft.chemistry.damage_v, LEAST_LOADED_MARGIN_V)
    return np.where(np.isfinite(marched.unflown_share), lowest, -np.inf)


def landing_chance(marched: Marched, craft: Craft) -> Array:
    """Return each draw's chance of landing above the land-by volts with no cell harmed, ``(j,)``."""
    return chance_above_zero([landing_margin(marched, craft), loaded_margin_v(marched, craft)], marched.nodes)


def chance_above_zero(margins: Sequence[Array], nodes: Nodes) -> Array:
    """Return, for each draw of the unknowns, the chance that all margins are above zero.

    A margin falls with wind and with the hand. Its crossing of zero is found between wind nodes by a straight line, for
    each of many equal shares of the hand, whose margins lie on straight lines through the hand nodes: summed over the
    few nodes alone the chance would jump, in a calm by more than two in ten. Beyond the last wind node nobody looked:
    the chance never passes that node's.

    Parameters
    ----------
    margins : sequence of ndarray, each of shape (j, w, h)

    Returns
    -------
    ndarray, shape (j,)
    """
    reach = np.minimum.reduce([_windiest_z(_over_hands(margin, nodes.hand_z), nodes.wind_z) for margin in margins])
    return np.asarray(normal_cdf(reach).mean(axis=-1))


def _over_hands(margin: Array, hand_z: Array) -> Array:
    """Return a margin at equal shares of the hand, ``(j, w, HANDS)``: straight lines, carried on beyond the ends."""
    if hand_z.size == 1:
        return margin
    z = normal_quantile((np.arange(HANDS) + 0.5) / HANDS)
    k = np.clip(np.searchsorted(hand_z, z) - 1, 0, hand_z.size - 2)
    share = (z - hand_z[k]) / (hand_z[k + 1] - hand_z[k])
    low, high = margin[..., k], margin[..., k + 1]
    known = np.isfinite(low) & np.isfinite(high)
    return np.where(known, np.where(known, low, 0.0) * (1.0 - share) + np.where(known, high, 0.0) * share, -np.inf)


def _windiest_z(margin: Array, wind_z: Array) -> Array:
    """Return the score of the strongest wind that a margin stands, ``(j, h)``; minus infinity where none."""
    falling = np.minimum.accumulate(margin, axis=1)
    reach = np.full(falling.shape[:1] + falling.shape[2:], -np.inf)
    for i in range(wind_z.size):  # the last node that holds, then a part of the way to the next
        here = falling[:, i, :]
        part = np.zeros_like(here)
        if i + 1 < wind_z.size:
            after = falling[:, i + 1, :]
            crosses = (here >= 0.0) & (after < 0.0) & np.isfinite(after)
            above, below = np.where(crosses, here, 0.0), np.where(crosses, after, -1.0)
            part = above / (above - below) * (wind_z[i + 1] - wind_z[i])
        reach = np.where(here >= 0.0, wind_z[i] + part, reach)
    return reach
