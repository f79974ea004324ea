"""Power at any airspeed in every draw, scaled to what was measured on this aircraft."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from turnback.assess.draw_set import DrawSet
from turnback.assess.thrust import Thrust
from turnback.physics.rotor import disc_area_m2, flight_power
from turnback.records.plan import LastFlight
from turnback.rules.chemistry import Chemistry
from turnback.rules.typical import typical

Array = NDArray[np.float64]

DUCT_SHARE = 0.5  # a short ring around each propeller turns about half its air (our choice)


@dataclass(frozen=True, slots=True)
class Scale:
    """Measured over modelled power, shape ``(j,)``: in hover and in cruise; 1 where nothing was measured."""

    hover: Array
    cruise: Array


def electrical_w(draws: DrawSet, thrust: Thrust, scale: Scale, airspeed_mps: Array, climb_mps: Array) -> Array:
    """Return power from the pack, board and radios included; shape ``(j, ...)`` of the speeds.

    The measured scale is hover's on the spot and cruise's from cruise speed on, blended between in logarithms.
    """
    craft = draws.world.aircraft

    def wide(values: Array) -> Array:
        return values.reshape(values.shape + (1,) * (airspeed_mps.ndim - 1))

    power = flight_power(
        wide(draws.mass_kg),
        np.clip(airspeed_mps, 0.0, 60.0),
        np.clip(climb_mps, -30.0, 30.0),
        wide(draws.density_kg_m3),
        float(disc_area_m2(craft.propeller_diameter_m, craft.rotors)),
        wide(draws["aircraft.drag_area_m2"]),
        wide(draws["aircraft.figure_of_merit"]),
        wide(draws["aircraft.electrical_efficiency"]),
        wide(thrust.thrust_coefficient),
        DUCT_SHARE if craft.ducted else 0.0,
    )
    forward = np.clip(airspeed_mps / wide(draws["aircraft.cruise_mps"]), 0.0, 1.0)
    measured = wide(scale.hover) ** (1.0 - forward) * wide(scale.cruise) ** forward
    return np.asarray(power.electrical_w * measured + wide(draws["aircraft.auxiliary_w"]))


def hover_and_cruise_w(draws: DrawSet, thrust: Thrust, scale: Scale) -> tuple[Array, Array]:
    """Return power in still hover and at cruise in still air, each of shape ``(j,)``."""
    still = np.zeros(draws.count)
    hover = electrical_w(draws, thrust, scale, still, still)
    return hover, electrical_w(draws, thrust, scale, draws["aircraft.cruise_mps"], still)


def measured_scale(draws: DrawSet, thrust: Thrust, chemistry: Chemistry) -> Scale:
    """Return the scale that a measured hover or cruise current gives; one measured current serves for both."""
    ones = np.ones(draws.count)
    craft = draws.world.aircraft
    bench_a = _bench_hover_current_a(draws, chemistry)
    if craft.hover_current_a is None and craft.cruise_current_a is None and bench_a is None:
        return Scale(ones, ones)
    auxiliary = draws["aircraft.auxiliary_w"]
    volts = chemistry.nominal_v * draws.world.pack.cells
    modelled = hover_and_cruise_w(draws, thrust, Scale(ones, ones))
    found: list[Array | None] = []
    currents = [None if band is None else draws[band.key] for band in (craft.hover_current_a, craft.cruise_current_a)]
    if currents[0] is None:
        currents[0] = bench_a
    for current, model in zip(currents, modelled, strict=True):
        watts = None if current is None else current * volts
        found.append(None if watts is None else np.maximum(watts - auxiliary, 0.1 * watts) / (model - auxiliary))
    hover, cruise = found
    in_hover = hover if hover is not None else cruise
    in_cruise = cruise if cruise is not None else hover
    return Scale(ones if in_hover is None else in_hover, ones if in_cruise is None else in_cruise)


def _bench_hover_current_a(draws: DrawSet, chemistry: Chemistry) -> Array | None:
    """Return the pack current in hover that a declared thrust curve gives, board and radios added; None without one.

    At the label's volts: the curve was taken on a fresh pack, whose amperes are worth more watts.

    The curve is read at the hover thrust of one motor; where hover asks for more than its last point, it says nothing.
    """
    craft = draws.world.aircraft
    if not craft.thrust_curve:
        return None
    each_n = draws.weight_n() / craft.rotors
    thrust = np.array([point.thrust_n for point in craft.thrust_curve])
    current = np.array([point.current_a for point in craft.thrust_curve])
    if (each_n > thrust[-1]).any():
        return None
    fresh_a = craft.rotors * np.interp(each_n, thrust, current)
    volts = chemistry.nominal_v * draws.world.pack.cells
    return np.asarray(fresh_a * chemistry.full_v / chemistry.nominal_v + draws["aircraft.auxiliary_w"] / volts)


def last_flight_current_a(flight: LastFlight) -> float:
    """Return the mean current of the last flight: what the charger put back over the minutes flown."""
    return flight.charger_mah * 1e-3 / (flight.minutes / 60.0)


def mean_current_a(draws: DrawSet, thrust: Thrust, scale: Scale, chemistry: Chemistry) -> Array:
    """Return the model's mean current of an ordinary flight, half hover and half cruise, shape ``(j,)``."""
    hover, cruise = hover_and_cruise_w(draws, thrust, scale)
    return np.asarray((hover + cruise) / 2.0 / (chemistry.nominal_v * draws.world.pack.cells))


def fit_score(current_a: Array, measured_a: float) -> Array:
    """Return how well each draw's mean current fits the last flight's: a log likelihood, shape ``(j,)``."""
    sd = typical("style")["last_flight_sd"].value
    return np.asarray(-0.5 * (np.log(measured_a / current_a) / sd) ** 2)


def rows_by_score(score: Array, keep: int) -> NDArray[np.int64]:
    """Return rows resampled by how well they fit (systematic resampling; no chance in it).

    Parameters
    ----------
    score : ndarray, shape (j,)
        Each draw's log likelihood.
    keep : int
        How many rows to return; a row that fits well is returned several times.
    """
    weight = np.exp(score - score.max())
    edges = np.cumsum(weight / weight.sum())
    return np.asarray(np.searchsorted(edges, (np.arange(keep) + 0.5) / keep).clip(0, score.size - 1))
