"""The energy answer: the pack along the whole route and back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.consumption import hover_and_cruise_w
from turnback.assess.flight_energy import (
    Craft,
    Marched,
    chance_above_zero,
    landing_chance,
    landing_margin,
    loaded_margin_v,
    march_flight,
    start_soc,
)
from turnback.assess.legs import planned_legs
from turnback.assess.spreads import bands_along, spread
from turnback.assess.thrust import warm_resistance_ohm
from turnback.assess.track import Track
from turnback.physics.cell import constant_power_current_a, open_circuit_v, soc_at_rest_v
from turnback.physics.pack import greatest_power_w
from turnback.records.result import EnergyResult
from turnback.rules.chemistry import Chemistry

Array = NDArray[np.float64]


MOST_OHM = 1.0  # of one cell: beyond it no pack flies anything
ONE_IN_TWENTY_Z = 1.645  # the wind, or the hand, that one flight in twenty meets


@dataclass(frozen=True, slots=True)
class EnergyAnswer:
    """The result, and what the chance and the unknowns' shares are worked out from, shape ``(j,)``."""

    result: EnergyResult
    chance: Array
    loaded_chance: Array
    deliver_chance: Array
    """The pack can give what every leg asks, even at its land-by volts."""
    landing_margin: Array
    """In the middle of what chance does."""


def assess_energy(craft: Craft, track: Track) -> EnergyAnswer:
    """March every world along the planned flight and read it off."""
    legs = planned_legs(track)
    marched = march_flight(craft, legs)
    law = craft.chemistry
    landing, loaded = landing_margin(marched, craft), loaded_margin_v(marched, craft)
    chance = landing_chance(marched, craft)
    middle = _middle(marched)
    rest, soc = marched.rest_v[middle], marched.soc[middle]
    duration = np.where(np.isfinite(marched.duration_s), marched.duration_s, np.nan)[:, middle[1], :]
    time = np.nancumsum(duration, axis=-1)
    rest_mid, rest_low, rest_high = bands_along(rest)
    hover_w, cruise_w = hover_and_cruise_w(craft.draws, craft.thrust, craft.scale)
    capacity = craft.draws["pack.capacity_ah"]
    begun = start_soc(craft)
    landed_soc = soc[:, -1] - marched.unflown_share[middle]  # below zero where the pack is flat before the end
    time_left_s = _time_left_s(craft, landed_soc, cruise_w)
    flown_m = float(legs.end_along_m[-1])
    result = EnergyResult(
        time_s=np.concatenate([[0.0], np.median(time, axis=0)]),
        distance_m=np.concatenate([[0.0], legs.end_along_m]),
        rest_mid_v=_from_start(begun, rest_mid, law, 0.5),
        rest_low_v=_from_start(begun, rest_low, law, 0.05),
        rest_high_v=_from_start(begun, rest_high, law, 0.95),
        loaded_mid_v=_loaded_along(marched, middle, law, begun),
        used_mid_ah=np.concatenate([[0.0], np.median((begun[:, None] - soc) * capacity[:, None], axis=0)]),
        landing_rest_v=spread(rest[:, -1]),
        lowest_loaded_v=spread(marched.loaded_v[middle].min(axis=-1)),
        land_by_rest_v=law.land_by_rest_v,
        land_by_loaded_v=spread(_under_cruise_v(craft, cruise_w, np.full(capacity.size, law.land_by_rest_v))),
        turn_back_loaded_v=spread(_turn_back_v(craft, marched, legs.far, cruise_w)),
        flight_s=spread(time[:, -1]),
        time_to_land_by_s=spread(np.maximum(time[:, -1] + time_left_s, 0.0)),
        distance_to_land_by_m=spread(np.maximum(flown_m + time_left_s * craft.draws["aircraft.cruise_mps"], 0.0)),
        hover_current_a=spread(_current_a(craft, hover_w)),
        cruise_current_a=spread(_current_a(craft, cruise_w)),
        full_current_a=spread(craft.thrust.full_pack_current_a),
        sag_v=spread(craft.thrust.full_sag_v),
        thrust_margin=spread(craft.thrust.margin_ratio),
        hover_output_fraction=spread(np.minimum(craft.thrust.hover_output_fraction, 9.99)),
        pack_c=spread(craft.thrust.full_pack_current_a / capacity),
        capacity_ah=spread(capacity),
        used_fraction=spread(np.minimum(1.0 - landed_soc, 1.0)),
        probability=spread(chance),
    )
    in_the_middle = np.where(np.isfinite(landing), landing, -1.0)[middle]
    spare_w = _greatest_power_w(craft)[:, None, None] - marched.greatest_w
    return EnergyAnswer(
        result,
        chance,
        chance_above_zero([loaded], marched.nodes),
        chance_above_zero([spare_w], marched.nodes),
        in_the_middle,
    )


def _middle(marched: Marched) -> tuple[slice, int, int]:
    """Return the index of the world in the middle of what chance does, for every draw of the unknowns."""
    wind = int(np.argmin(np.abs(marched.nodes.wind_z)))
    return slice(None), wind, marched.nodes.hand_z.size // 2


def _from_start(begun: Array, along: Array, law: Chemistry, at: float) -> Array:
    start = float(np.interp(np.quantile(begun, at), law.ocv_soc, law.ocv_v))
    return np.concatenate([[start], along])


def _loaded_along(marched: Marched, middle: tuple[slice, int, int], law: Chemistry, begun: Array) -> Array:
    start = float(np.interp(np.median(begun), law.ocv_soc, law.ocv_v))
    return np.concatenate([[start], np.median(marched.loaded_v[middle], axis=0)])


def steady_resistance_ohm(craft: Craft) -> Array:
    """Return the resistance of one cell after minutes of load: ohmic and both RC pairs, warm."""
    law = craft.chemistry
    return np.asarray(warm_resistance_ohm(craft.draws, law) * (1.0 + law.r1_ratio + law.r2_ratio))


def _greatest_power_w(craft: Craft) -> Array:
    """Return the most the pack can give at its land-by volts, ``(j,)``."""
    law, cells = craft.chemistry, craft.draws.world.pack.cells
    nearly_empty = np.interp(soc_at_rest_v(law.land_by_rest_v, law), law.resistance_soc, law.resistance_ratio)
    ohm = np.minimum(steady_resistance_ohm(craft) * nearly_empty, MOST_OHM)
    return greatest_power_w(law.land_by_rest_v, ohm, cells)


def _under_cruise_v(craft: Craft, cruise_w: Array, rest_v: Array) -> Array:
    """Return what goggles show for one cell under cruise load, at rest volts ``(j,)``.

    Never below the loaded volts at which the chemistry says to land whatever the pack's rest volts may be.
    """
    law, cells = craft.chemistry, craft.draws.world.pack.cells
    soc = np.interp(rest_v, law.ocv_v, law.ocv_soc)
    ohm = steady_resistance_ohm(craft) * np.interp(soc, law.resistance_soc, law.resistance_ratio)
    current = constant_power_current_a(rest_v, ohm, cruise_w / cells)
    loaded_v = np.where(np.isnan(current), 0.0, rest_v - ohm * np.nan_to_num(current))
    return np.maximum(loaded_v, law.land_by_loaded_v)


def _turn_back_v(craft: Craft, marched: Marched, far: int, cruise_w: Array) -> Array:
    """Return what goggles show at the far point when the pack holds just enough for the way home, ``(j,)``.

    Enough is the charge that the way home takes in a wind and a hand of one flight in twenty, above that of the
    land-by volts.
    """
    law = craft.chemistry
    wind = int(np.argmin(np.abs(marched.nodes.wind_z - ONE_IN_TWENTY_Z)))
    hand = int(np.argmin(np.abs(marched.nodes.hand_z - ONE_IN_TWENTY_Z)))
    world = (slice(None), wind, hand)
    home_share = marched.soc[world][:, far] - marched.soc[world][:, -1] + np.minimum(marched.unflown_share[world], 1.0)
    needed = np.clip(float(soc_at_rest_v(law.land_by_rest_v, law)) + home_share, 0.0, 1.0)
    return _under_cruise_v(craft, cruise_w, open_circuit_v(needed, law))


def _current_a(craft: Craft, power_w: Array) -> Array:
    law, cells = craft.chemistry, craft.draws.world.pack.cells
    nominal = np.full(power_w.size, law.nominal_v)
    current = constant_power_current_a(nominal, steady_resistance_ohm(craft), power_w / cells)
    return np.where(np.isnan(current), power_w / (law.nominal_v * cells), current)


def _time_left_s(craft: Craft, landed_soc: Array, cruise_w: Array) -> Array:
    """Return time from the plan's end until the land-by volts, flying on at cruise; negative where they come first."""
    law = craft.chemistry
    left_ah = (landed_soc - float(soc_at_rest_v(law.land_by_rest_v, law))) * craft.draws["pack.capacity_ah"]
    return np.asarray(left_ah * 3600.0 / _current_a(craft, cruise_w))
