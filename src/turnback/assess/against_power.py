"""The plan's power and pack along a record: power at the recorded speed and climb, volts under the recorded power."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from turnback.assess.against_track import Stations, means
from turnback.assess.bands import entered
from turnback.assess.consumption import electrical_w
from turnback.assess.draws import Z_BAND
from turnback.assess.flight_energy import COLDEST_C, MOST_W, Craft, start_soc
from turnback.assess.link_events_parts import spans_looked_at
from turnback.assess.power_events_fit import RestFit, fit_rest, load_of
from turnback.assess.power_events_volts import Volts, volts_of
from turnback.assess.signals import held_at
from turnback.assess.spreads import bands_along, spread
from turnback.base.streams import stream
from turnback.physics.cell_march import WorldsMarch, march_worlds
from turnback.physics.normal import normal_quantile
from turnback.records.channel import Channel, Quantity
from turnback.records.debrief import Compare, Compared
from turnback.records.flight_record import FlightRecord, Series
from turnback.records.happened import Event, EventKind, Flown
from turnback.rules.record_learn import RECORDED_LEAST
from turnback.rules.typical import typical

Floats = NDArray[np.float64]

STEP_CLEAR_S: Final = 0.2
FASTEST_MPS: Final = 60.0
SEED: Final = 1
"""Of chance that is laid over the unknowns; the same record gives the same bytes."""


@dataclass(frozen=True, slots=True, eq=False)
class PowerSeen:
    """Power of a flight; stations ``n``, draws ``j``.

    Parameters
    ----------
    recorded_w : ndarray, shape (n,)
        NaN where nothing tells it.
    modelled_w : ndarray, shape (j, n)
        The steady model at the recorded speed and climb; NaN where those are not known.
    airspeed_mps : ndarray, shape (j, n)
    """

    recorded_w: Floats
    modelled_w: Floats
    airspeed_mps: Floats


def chance_z(count: int, name: str) -> Floats:
    """Return standard normal scores in a fixed shuffled order, shape ``(count,)``: chance beside the unknowns."""
    order = stream(SEED, name).permutation(count)
    return np.asarray(normal_quantile((order + 0.5) / count))


def airspeeds_mps(craft: Craft, at: Stations) -> Floats:
    """Return airspeed at every station, shape ``(j, n)``: as recorded, else over ground less the plan's wind.

    The day's wind is one flight's own chance about the plan's; NaN where no speed is known.
    """
    draws = craft.draws
    if np.isfinite(at.airspeed_mps).any():
        return np.broadcast_to(np.clip(at.airspeed_mps, 0.0, FASTEST_MPS), (draws.count, at.t_s.size))
    height_m = np.where(np.isfinite(at.height_m), at.height_m, np.nanmedian(at.height_m)
                        if np.isfinite(at.height_m).any() else 10.0)  # fmt: skip
    wind = draws.wind_mps(height_m, np.zeros(1))[:, 0, :]
    sd = typical("chance")["wind_flight_sd"].value
    wind = wind * np.exp(sd * chance_z(draws.count, "against.wind"))[:, None]
    east, north = draws.wind_to()
    through = np.hypot(at.east_mps - wind * east[:, None], at.north_mps - wind * north[:, None])
    return np.asarray(np.minimum(through, FASTEST_MPS))


def recorded_power_w(record: FlightRecord, volts: Volts | None, t_s: Floats) -> Floats | None:
    """Return electrical power at even times as recorded, or current times pack volts; None where neither tells."""
    power, current = record.get(Quantity.POWER), record.get(Quantity.CURRENT)
    if power is not None and power.t_s.size > 1:
        return means(power, t_s)
    if current is None or current.t_s.size < 2 or volts is None or volts.cells == 1:
        return None
    watts = current.values * held_at(volts.t_s, volts.volts, current.t_s)
    return means(Series(Channel(Quantity.POWER), current.t_s, watts, current.rate_hz, current.fresh_hz), t_s)


def power_seen(flown: Flown, craft: Craft, at: Stations) -> PowerSeen:
    """Return what was drawn and what the model says; both NaN where nothing tells."""
    recorded = recorded_power_w(flown.record, volts_of(flown), at.t_s)
    airspeed = airspeeds_mps(craft, at)
    known = np.isfinite(airspeed).all(axis=0) & at.flying
    modelled = np.full((craft.draws.count, at.t_s.size), np.nan)
    if known.any():
        climb = np.clip(np.nan_to_num(at.climb_mps[known]), -30.0, 30.0)
        modelled[:, known] = electrical_w(
            craft.draws, craft.thrust, craft.scale, airspeed[:, known],
            np.broadcast_to(climb, (craft.draws.count, climb.size)),
        )  # fmt: skip
    nothing = np.full(at.t_s.size, np.nan)
    return PowerSeen(nothing if recorded is None else recorded, modelled, airspeed)


def compared_power(seen: PowerSeen, craft: Craft, at: Stations) -> Compared | None:
    """Hold recorded power against the model's where it flies; None where one of them is not there.

    The band holds the plan's unknowns, the wind of the day and the pilot's hand.
    """
    both = at.flying & np.isfinite(seen.recorded_w) & np.isfinite(seen.modelled_w).all(axis=0)
    if both.sum() < RECORDED_LEAST.value:
        return None
    hand = np.exp(typical("chance")["handling_sd"].value * chance_z(craft.draws.count, "against.hand"))
    modelled = seen.modelled_w * hand[:, None]
    return compared(Compare.POWER, "W", at, np.where(both, seen.recorded_w, np.nan), modelled, both)


def compared(
    what: Compare, unit: str, at: Stations, recorded: Floats, modelled: Floats, counts: NDArray[np.bool_]
) -> Compared:
    """Return one channel beside the model; `modelled` has shape ``(j, n)``, `counts` says which stations are judged."""
    predicted, low, high = (np.full(at.t_s.size, np.nan) for _ in range(3))
    there = np.isfinite(modelled).all(axis=0)
    if there.any():
        predicted[there], low[there], high[there] = bands_along(modelled[:, there])
    off = np.median(recorded[None, counts] - modelled[:, counts], axis=1)
    return Compared(what, unit, at.t_s, recorded, predicted, low, high, spread(off))


def marched(seen: PowerSeen, craft: Craft, at: Stations) -> WorldsMarch | None:
    """March the plan's pack through the power: recorded, else the model's; None where neither is known.

    A recorded power is as far off as current sensors are; on the ground board and radios draw.
    """
    draws = craft.draws
    shape = (draws.count, at.t_s.size)
    idle_w = np.broadcast_to(draws["aircraft.auxiliary_w"][:, None], shape)
    if np.isfinite(seen.recorded_w).sum() >= RECORDED_LEAST.value:
        off = np.exp(np.log1p(entered("current_share").share) / Z_BAND * chance_z(draws.count, "against.sensor"))
        power = np.where(np.isfinite(seen.recorded_w), seen.recorded_w * off[:, None], idle_w)
    elif np.isfinite(seen.modelled_w).any():
        hand = np.exp(typical("chance")["handling_sd"].value * chance_z(draws.count, "against.hand"))
        power = np.where(np.isfinite(seen.modelled_w), seen.modelled_w * hand[:, None], idle_w)
    else:
        return None
    return march_worlds(
        np.clip(power, 0.0, MOST_W),
        np.full(shape, at.step_s),
        cells_in_series=draws.world.pack.cells,
        r0_ohm=draws["pack.resistance_ohm"],
        capacity_ah=draws["pack.capacity_ah"],
        start_soc=start_soc(craft),
        temperature_c=draws["pack.temperature_c"],
        ambient_c=np.maximum(draws["site.temperature_c"], COLDEST_C),
        cell_mass_kg=draws["pack.mass_kg"] / draws.world.pack.cells,
        traits=craft.chemistry,
        step_s=at.step_s,
    )


def compared_volts(
    flown: Flown, events: tuple[Event, ...], march: WorldsMarch | None, craft: Craft, at: Stations
) -> list[Compared]:
    """Hold rest and loaded volts of one cell against the plan's pack; nothing where volts or power are not there.

    From where a world's pack fails, it counts as at the foot of its curve.
    """
    volts = volts_of(flown)
    cells = cells_of_plan(volts, craft)
    if volts is None or march is None or cells is None:
        return []
    found = []
    fit = rest_fit(flown, events, volts, craft.draws.world.pack.chemistry.value)
    foot = craft.chemistry.ocv_v[0]
    if fit is not None:
        middle = 0.5 * (fit.rest_v + fit.rest_high_v) / cells
        rest = means(Series(volts.channels[0], fit.t_s, middle, 0.0, 0.0), at.t_s)
        counts = at.flying & np.isfinite(rest)
        if counts.sum() >= RECORDED_LEAST.value:
            found.append(compared(Compare.VOLTS, "V", at, rest, np.nan_to_num(march.rest_v, nan=foot), counts))
    loaded = means(Series(volts.channels[0], volts.t_s, volts.volts / cells, 0.0, 0.0), at.t_s)
    counts = at.flying & np.isfinite(loaded)
    if counts.sum() >= RECORDED_LEAST.value:
        low_v = np.nan_to_num(march.loaded_low_v, nan=foot)
        found.append(compared(Compare.LOADED_VOLTS, "V", at, loaded, low_v, counts))
    return found


def cells_of_plan(volts: Volts | None, craft: Craft) -> int | None:
    """Return how many cells share the recorded volts; None where plan and record do not agree on it."""
    if volts is None:
        return None
    planned = craft.draws.world.pack.cells
    if volts.cells is None or volts.cells in (1, planned):
        return volts.cells or planned or None
    return None


def rest_fit(flown: Flown, events: tuple[Event, ...], volts: Volts, chemistry: str) -> RestFit | None:
    """Fit the pack's resistance to what came before its first sudden step down; None without amperes or change."""
    load = load_of(flown.record, volts)
    if load is None or not load.amperes:
        return None
    fallen = [each.start_s for each in events if each.kind is EventKind.VOLT_STEP and each.values["step_v"] < 0.0]
    until_s = min(fallen) - STEP_CLEAR_S if fallen else np.inf
    return fit_rest(volts, load, spans_looked_at(flown), chemistry, until_s)
